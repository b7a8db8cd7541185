//! What to know now: about the paste in hand, the coat that waits, and the phone's clock.

use super::course::Course;
use super::due::{Due, DueKind, span_of};
use super::moment::Moment;
use super::rule;
use super::step::Step;
use crate::coating::{Plan, practice};
use crate::quantity::{Minutes, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Duration, Utc};

/// What the notes are made from.
pub(super) struct Scene<'a> {
    pub log: &'a [Moment],
    pub course: &'a Course,
    pub step: Step,
    pub plan: &'a Plan,
    pub timers: &'a [Due],
    /// The likely time to the next coat at the temperature of the site.
    pub recoat: Minutes,
    pub now: DateTime<Utc>,
}

impl Scene<'_> {
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        notes.extend(self.clock());
        notes.extend(self.paste());
        notes.extend(self.wet());
        notes.extend(self.late());
        notes
    }

    fn due(&self, kind: DueKind) -> Option<&Due> {
        self.timers.iter().find(|due| due.kind == kind)
    }

    /// A clock that was set back.
    fn clock(&self) -> Option<String> {
        if self.step == Step::Finished {
            return None;
        }
        let last = self.log.iter().map(|moment| moment.at).max()?;
        if last - self.now > rule::CLOCK_TOLERANCE {
            return Some(say!(
                "The phone's clock was set back: it is {now} before a tap that was made already, so \
                 a countdown may run that much too long. Set the clock right, or go by touch and \
                 by the paste.",
                now = ago(last - self.now)
            ));
        }
        let back = |pair: &[Moment]| pair[0].at - pair[1].at > rule::CLOCK_TOLERANCE;
        self.log.windows(2).any(back).then(|| {
            tr("The phone's clock was set back between two taps, so the times of this log don't all \
             fit together: go by touch and by the paste.")
                .into()
        })
    }

    /// Paste in hand that is past its working time, or runs.
    fn paste(&self) -> Option<String> {
        let due = self.due(DueKind::WorkingEnds)?;
        let Step::Apply { coat, .. } = self.step else {
            return (self.now >= due.at).then(|| {
                say!("The working time ended {at} ago. Paste that drags or strings is dead: throw it \
                     away and mix a new batch.", at = ago(self.now - due.at))
            });
        };
        if self.now >= due.at {
            return Some(say!(
                "The working time ended {at} ago. Put no more of this batch on: throw away what is \
                 left in the container. What is on the piece is fine.",
                at = ago(self.now - due.at)
            ));
        }
        let coat = self.plan.coats.get(coat.saturating_sub(1) as usize)?;
        (coat.thickness > practice::THIN_ENOUGH_TO_HOLD.value).then(|| {
            say!("If it runs, let it stand about {thickening} and try again; the working time goes on. \
                 (Common practice.)", thickening = show::duration(practice::THICKENING.value))
        })
    }

    /// A coat that was touched and found wet.
    fn wet(&self) -> Option<String> {
        let (Some(soft), Some((_, done))) = (self.course.soft, self.course.coat) else {
            return None;
        };
        match self.step {
            Step::Wait { .. } | Step::TouchTest { .. } => {
                let long = span_of(self.recoat * rule::WET_TOO_LONG.value);
                if soft - done >= long {
                    return Some(say!(
                        "It was still wet {done} after it went on, far longer than the card says. \
                         Something may keep it from curing: the surface, a glove, the mix. Put no \
                         coat on it. Try a dab of a new mix beside the piece, and ask the paste's \
                         maker.",
                        done = ago(soft - done)
                    ));
                }
                matches!(self.step, Step::Wait { .. }).then(|| {
                    tr("It was wet. Touch it again after a fifth of the card's time to the next coat \
                     (a rule of this app's own).")
                        .into()
                })
            }
            Step::Cure => Some(tr("It still clung: give it more time.").into()),
            _ => None,
        }
    }

    /// A coat that waits longer than it has to.
    fn late(&self) -> Option<String> {
        let next = matches!(
            self.step,
            Step::Wait { .. } | Step::TouchTest { .. } | Step::Weigh { batch: 1, .. }
        );
        let (_, done) = self.course.coat.filter(|_| next)?;
        let waited = self.now - done;
        match self.due(DueKind::RecoatLatest) {
            Some(latest) => (self.now > latest.at).then(|| {
                say!("The card's latest time for the next coat passed {at} ago. Look up on the \
                     paste's sheet how to go on: the coats may not bond.", at = ago(self.now - latest.at))
            }),
            None => (waited > span_of(rule::WORTH_SAYING.value)).then(|| {
                say!("The last coat has waited {waited}. That is fine: the card names no latest time. \
                     Wipe off dust first.", waited = ago(waited))
            }),
        }
    }
}

/// A span of the clock in words, to the minute; seconds under one.
fn ago(span: Duration) -> String {
    let seconds = span.num_seconds() as f64;
    let shown = if seconds < 60.0 {
        seconds
    } else {
        (seconds / 60.0).floor() * 60.0
    };
    show::duration(Minutes(shown / 60.0))
}
