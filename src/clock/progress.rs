//! Where a coating stands, from what was tapped and the time of day.

use super::due::{Due, DueKind};
use super::moment::{Feel, Moment, Tap};
use super::step::{Step, batches, step_after};
use crate::coating::{Batch, CoatRole, MaterialCard, Plan, Tool, cure, practice};
use crate::quantity::show;
use crate::quantity::{Celsius, Minutes};
use chrono::{DateTime, Duration, Utc};

/// After a wet touch, the next test comes after this share of the time to the next coat.
/// A rule of this program's own: no source.
const RETEST_SHARE: f64 = 0.2;

/// A clock that differs by less than this from a stored moment is simply read late.
const CLOCK_TOLERANCE: Duration = Duration::minutes(1);

/// Something the user can say now.
#[derive(Clone, Debug, PartialEq)]
pub struct Action {
    /// What the tap stores.
    pub tap: Tap,
    /// What stands on the button.
    pub label: String,
}

/// Where a coating stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// The step.
    pub step: Step,
    /// Which coat and batch, in words.
    pub title: String,
    /// The one thing to do now.
    pub instruction: String,
    /// What to weigh out, while weighing and mixing.
    pub weigh: Option<Batch>,
    /// The big button.
    pub main: Option<Action>,
    /// The coat that may be touched now, with one button for each feel.
    pub touch: Option<u32>,
    /// What else the user may say.
    pub others: Vec<Action>,
    /// What is being waited for; the first is the countdown.
    pub timers: Vec<Due>,
    /// The next two steps.
    pub next: Vec<Step>,
    /// What to know now.
    pub notes: Vec<String>,
}

/// What the log says, before the time of day comes in.
struct Course {
    step: Step,
    mix_started: Option<DateTime<Utc>>,
    coat_done: Option<DateTime<Utc>>,
    felt_wet: Option<DateTime<Utc>>,
}

/// Where the coating of a piece stands.
///
/// `log` holds the taps in the order in which they were made; `now` is the phone's clock. The
/// card's times are taken to the temperature of the site.
pub fn progress(
    log: &[Moment],
    plan: &Plan,
    card: &MaterialCard,
    temperature: Celsius,
    now: DateTime<Utc>,
) -> Progress {
    let course = follow(log, plan);
    let span = |at_reference| cure::at_temperature(at_reference, card, temperature);
    let mut timers = Vec::new();
    let mut step = course.step;
    match step {
        Step::MixFirst { .. } | Step::MixSecond { .. } | Step::Apply { .. } => {
            timers.extend(
                course
                    .mix_started
                    .map(|from| Due::after(DueKind::WorkingEnds, from, &span(card.working))),
            );
        }
        Step::Wait { coat } => {
            if let Some(done) = course.coat_done {
                let recoat = span(card.recoat_from);
                let due = match course.felt_wet {
                    Some(felt) => Due::after(DueKind::Recoat, felt, &recoat.scaled(RETEST_SHARE)),
                    None => Due::after(DueKind::Recoat, done, &recoat),
                };
                if now >= due.at {
                    step = Step::TouchTest { coat };
                }
                timers.push(due);
            }
        }
        Step::Cure => {
            if let Some(done) = course.coat_done {
                let due = Due::after(DueKind::Demould, done, &span(card.demould));
                if now >= due.at {
                    step = Step::Peel;
                }
                timers.push(due);
            }
        }
        Step::Weigh { .. } | Step::TouchTest { .. } | Step::Peel | Step::Finished => {}
    }
    if matches!(
        step,
        Step::Wait { .. } | Step::TouchTest { .. } | Step::Weigh { batch: 1, .. }
    ) && let (Some(done), Some(until)) = (course.coat_done, card.recoat_until)
    {
        timers.push(Due::after(DueKind::RecoatLatest, done, &span(until)));
    }
    let after = step_after(step, plan);
    let next = if after == Step::Finished {
        vec![]
    } else {
        vec![after, step_after(after, plan)]
    };
    let weigh = match step {
        Step::Weigh { coat, batch } | Step::MixFirst { coat, batch } => plan
            .coats
            .get(coat.saturating_sub(1) as usize)
            .and_then(|c| c.batches.get(batch.saturating_sub(1) as usize))
            .copied(),
        _ => None,
    };
    Progress {
        title: title(step, plan),
        instruction: instruction(step, plan),
        weigh,
        main: main_action(step, plan),
        touch: match step {
            Step::Wait { coat } | Step::TouchTest { coat } => Some(coat),
            _ => None,
        },
        others: others(step, plan),
        notes: notes(log, &course, step, plan, card, &timers, now),
        next: next.into_iter().filter(|s| *s != Step::Finished).collect(),
        timers,
        step,
    }
}

/// Follows the taps; a tap that doesn't fit where it stands still says where the work is.
fn follow(log: &[Moment], plan: &Plan) -> Course {
    let last_coat = plan.coats.len() as u32;
    let mut course = Course {
        step: Step::Weigh { coat: 1, batch: 1 },
        mix_started: None,
        coat_done: None,
        felt_wet: None,
    };
    for moment in log {
        match moment.tap {
            Tap::StartMix { coat, batch } => {
                course.mix_started = Some(moment.at);
                course.step = Step::MixFirst { coat, batch };
            }
            Tap::SecondContainer { coat, batch } => course.step = Step::MixSecond { coat, batch },
            Tap::StartBrush { coat, batch } => course.step = Step::Apply { coat, batch },
            Tap::BatchLost { coat, batch } => {
                course.mix_started = None;
                course.step = Step::Weigh { coat, batch };
            }
            Tap::BatchDone { coat, batch, last } => {
                course.mix_started = None;
                if last {
                    course.coat_done = Some(moment.at);
                    course.felt_wet = None;
                    course.step = if coat < last_coat {
                        Step::Wait { coat }
                    } else {
                        Step::Cure
                    };
                } else {
                    course.step = Step::Weigh {
                        coat,
                        batch: batch + 1,
                    };
                }
            }
            Tap::Touch { coat, feel } => match feel {
                Feel::Wet => course.felt_wet = Some(moment.at),
                Feel::Tacky | Feel::Firm if coat < last_coat => {
                    course.step = Step::Weigh {
                        coat: coat + 1,
                        batch: 1,
                    };
                }
                Feel::Tacky | Feel::Firm => course.step = Step::Cure,
            },
            Tap::Demoulded => course.step = Step::Finished,
        }
    }
    course
}

fn title(step: Step, plan: &Plan) -> String {
    let coats = plan.coats.len();
    match step {
        Step::Weigh { coat, batch }
        | Step::MixFirst { coat, batch }
        | Step::MixSecond { coat, batch }
        | Step::Apply { coat, batch } => {
            format!(
                "Coat {coat} of {coats}, batch {batch} of {}",
                batches(plan, coat)
            )
        }
        Step::Wait { coat } | Step::TouchTest { coat } => format!("Coat {coat} of {coats}"),
        Step::Cure | Step::Peel => "All coats are on".into(),
        Step::Finished => "The skin is off".into(),
    }
}

fn instruction(step: Step, plan: &Plan) -> String {
    let coat_of = |number: u32| plan.coats.get(number.saturating_sub(1) as usize);
    match step {
        Step::Weigh { .. } => "Weigh out A and B into one container.".into(),
        Step::MixFirst { .. } => "Mix. Scrape the sides and the bottom, then scrape everything \
            over into the second container."
            .into(),
        Step::MixSecond { .. } => "Mix again until it is one even colour, without streaks.".into(),
        Step::Apply { coat, .. } => match coat_of(coat).map(|c| (c.role, c.tool)) {
            Some((CoatRole::Skim, _)) => {
                "Work a thin coat into the detail. Leave no trapped air.".into()
            }
            Some((_, Tool::Spatula)) => "Lay it on with the spatula and smooth it. \
                Cover the high spots once more."
                .into(),
            _ => "Put the coat on evenly, and give the high spots more.".into(),
        },
        Step::Wait { coat } => format!("Let coat {coat} go tacky."),
        Step::TouchTest { .. } => {
            "Touch the border with a gloved fingertip. Does anything come off?".into()
        }
        Step::Cure => "Let it cure. Put the support shell on before you peel.".into(),
        Step::Peel => "Peel slowly from one edge.".into(),
        Step::Finished => "Peeled. Go on to Cast.".into(),
    }
}

fn main_action(step: Step, plan: &Plan) -> Option<Action> {
    let (tap, label) = match step {
        Step::Weigh { coat, batch } => (Tap::StartMix { coat, batch }, "A and B are together"),
        Step::MixFirst { coat, batch } => (Tap::SecondContainer { coat, batch }, "Scraped over"),
        Step::MixSecond { coat, batch } => {
            (Tap::StartBrush { coat, batch }, "One colour: put it on")
        }
        Step::Apply { coat, batch } => {
            let last = batch >= batches(plan, coat);
            let label = if last {
                "The coat is on"
            } else {
                "This batch is on"
            };
            (Tap::BatchDone { coat, batch, last }, label)
        }
        Step::Peel => (Tap::Demoulded, "The skin is off"),
        Step::Wait { .. } | Step::TouchTest { .. } | Step::Cure | Step::Finished => return None,
    };
    Some(Action {
        tap,
        label: label.into(),
    })
}

fn others(step: Step, plan: &Plan) -> Vec<Action> {
    let action = |tap, label: &str| Action {
        tap,
        label: label.into(),
    };
    match step {
        Step::MixFirst { coat, batch } | Step::MixSecond { coat, batch } => {
            vec![action(
                Tap::BatchLost { coat, batch },
                "Batch lost: mix a new one",
            )]
        }
        Step::Apply { coat, batch } => {
            let mut all = vec![action(
                Tap::BatchLost { coat, batch },
                "Batch lost: mix a new one",
            )];
            if batch < batches(plan, coat) {
                let last = true;
                all.push(action(
                    Tap::BatchDone { coat, batch, last },
                    "The whole coat is on already",
                ));
            }
            all
        }
        Step::Cure => vec![action(Tap::Demoulded, "It was firm, the skin is off")],
        _ => vec![],
    }
}

fn notes(
    log: &[Moment],
    course: &Course,
    step: Step,
    plan: &Plan,
    card: &MaterialCard,
    timers: &[Due],
    now: DateTime<Utc>,
) -> Vec<String> {
    let mut notes = Vec::new();
    let ahead = log.iter().map(|m| m.at).max();
    let backwards = log.windows(2).any(|w| w[1].at < w[0].at - CLOCK_TOLERANCE);
    if backwards || ahead.is_some_and(|last| last > now + CLOCK_TOLERANCE) {
        notes.push(
            "The phone's clock was set back after a tap, so the times here may be off: go by \
             touch and by the paste."
                .into(),
        );
    }
    if step.hands_on()
        && let Some(due) = timers.iter().find(|d| d.kind == DueKind::WorkingEnds)
    {
        if let Some(late) = due.overdue(now) {
            notes.push(format!(
                "The working time {late}. Paste that drags or strings is dead: throw it away and \
                 mix a new batch."
            ));
        } else if let Step::Apply { coat, .. } = step {
            let thick = plan
                .coats
                .get(coat.saturating_sub(1) as usize)
                .is_some_and(|c| c.thickness > practice::THIN_ENOUGH_TO_HOLD.value);
            if thick {
                notes.push(format!(
                    "If it runs, let it stand about {} and try again; the working time goes on. \
                     (Common practice.)",
                    show::duration(practice::THICKENING.value)
                ));
            }
        }
    }
    let waiting = matches!(
        step,
        Step::Wait { .. } | Step::TouchTest { .. } | Step::Weigh { batch: 1, .. }
    );
    if waiting && let Some(done) = course.coat_done {
        match timers.iter().find(|d| d.kind == DueKind::RecoatLatest) {
            Some(latest) if now > latest.at => notes.push(format!(
                "The latest time for the next coat {}. Ask the paste's sheet how to go on: the \
                 coats may not bond.",
                latest.overdue(now).unwrap_or_default()
            )),
            None if card.recoat_until.is_none() && now - done > Duration::hours(3) => {
                let waited = Minutes((now - done).num_minutes() as f64);
                notes.push(format!(
                    "The last coat has waited {}. That is fine: the card names no latest time. \
                     Wipe off dust first.",
                    show::duration(waited)
                ));
            }
            _ => {}
        }
    }
    if matches!(step, Step::Wait { .. }) && course.felt_wet.is_some() {
        notes.push("It was wet: wait a little and touch it again.".into());
    }
    notes
}
