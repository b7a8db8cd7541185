//! What the log says, before the time of day comes in.

use super::moment::{Feel, Moment, Tap};
use super::step::Step;
use chrono::{DateTime, Utc};

/// Where the taps have led.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    pub step: Step,
    /// When the batch in hand came together.
    pub mixed: Option<DateTime<Utc>>,
    /// When it was scraped over into the second container.
    pub scraped: Option<DateTime<Utc>>,
    /// When it was left to stand.
    pub stood: Option<DateTime<Utc>>,
    /// The last complete coat, and when it was complete.
    pub coat: Option<(u32, DateTime<Utc>)>,
    /// When that coat was last found not to be ready.
    pub soft: Option<DateTime<Utc>>,
}

impl Course {
    /// Follows a log with that many coats in the plan. A tap that can't be meant where the work
    /// stands (the second of a double tap, a touch of a coat long covered) changes nothing.
    pub fn of(log: &[Moment], coats: u32) -> Self {
        let mut course = Self {
            step: Step::Weigh { coat: 1, batch: 1 },
            mixed: None,
            scraped: None,
            stood: None,
            coat: None,
            soft: None,
        };
        for moment in log {
            course.take(moment, coats);
        }
        course
    }

    /// Follows one tap more.
    pub(super) fn take(&mut self, moment: &Moment, coats: u32) {
        let at = moment.at;
        match moment.tap {
            Tap::StartMix { coat, batch } => {
                if self.step != Step::Finished && self.in_hand() != Some((coat, batch)) {
                    self.step = Step::MixFirst { coat, batch };
                    self.mixed = Some(at);
                    self.scraped = None;
                    self.stood = None;
                }
            }
            Tap::SecondContainer { coat, batch } => {
                if self.step == (Step::MixFirst { coat, batch }) {
                    self.step = Step::MixSecond { coat, batch };
                    self.scraped = Some(at);
                }
            }
            Tap::LetStand { coat, batch } => {
                if self.in_hand() == Some((coat, batch)) {
                    self.step = Step::Stand { coat, batch };
                    self.stood = Some(at);
                }
            }
            Tap::StartBrush { coat, batch } => {
                if self.in_hand() == Some((coat, batch)) {
                    self.step = Step::Apply { coat, batch };
                }
            }
            Tap::BatchLost { coat, batch } => {
                if self.in_hand() == Some((coat, batch)) {
                    self.step = Step::Weigh { coat, batch };
                }
            }
            Tap::BatchDone { coat, batch, last } => {
                if self.in_hand() == Some((coat, batch)) {
                    self.step = if last {
                        self.coat = Some((coat, at));
                        self.soft = None;
                        Self::after(coat, coats)
                    } else {
                        let batch = batch.saturating_add(1);
                        Step::Weigh { coat, batch }
                    };
                }
            }
            Tap::Touch { coat, feel } => self.touch(coat, feel, at),
            Tap::Demoulded => {
                if self.coat.is_some() && self.in_hand().is_none() {
                    self.step = Step::Finished;
                }
            }
        }
    }

    /// A touch tells of the last complete coat alone.
    fn touch(&mut self, coat: u32, feel: Feel, at: DateTime<Utc>) {
        if self.coat.is_none_or(|(last, _)| last != coat) {
            return;
        }
        match (self.step, feel) {
            (Step::Wait { .. }, Feel::Wet) => self.soft = Some(at),
            (Step::Wait { .. }, Feel::Tacky | Feel::Firm) => {
                let coat = coat.saturating_add(1);
                self.step = Step::Weigh { coat, batch: 1 };
            }
            (Step::Cure | Step::Peel, Feel::Wet | Feel::Tacky) => {
                self.step = Step::Cure;
                self.soft = Some(at);
            }
            (Step::Cure, Feel::Firm) => self.step = Step::Peel,
            _ => {}
        }
    }

    fn after(coat: u32, coats: u32) -> Step {
        if coat < coats {
            Step::Wait { coat }
        } else {
            Step::Cure
        }
    }

    /// The coat and batch that hands are on.
    fn in_hand(&self) -> Option<(u32, u32)> {
        match self.step {
            Step::MixFirst { coat, batch }
            | Step::MixSecond { coat, batch }
            | Step::Stand { coat, batch }
            | Step::Apply { coat, batch } => Some((coat, batch)),
            _ => None,
        }
    }
}

/// Whether the skin is off the piece, by the log alone.
pub fn finished(log: &[Moment]) -> bool {
    Course::of(log, 1).step == Step::Finished
}
