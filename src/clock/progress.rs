//! Where a coating stands, from what was tapped and the time of day.

use super::course::Course;
use super::due::{Due, DueKind};
use super::moment::{Moment, Tap};
use super::notes::Scene;
use super::step::{Step, step_after};
use super::tempo::Tempo;
use super::{rule, words};
use crate::coating::{Batch, MaterialCard, Plan, practice};
use crate::quantity::{Estimate, Minutes};
use chrono::{DateTime, Utc};

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
    /// From when on the big button counts, if it has to wait: paste is mixed for its time in each
    /// container.
    pub hold: Option<DateTime<Utc>>,
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

/// Where the coating of a piece stands.
///
/// `log` holds the taps in the order in which they were made; `now` is the phone's clock. The
/// card's times are taken to the temperatures of the site.
pub fn progress(
    log: &[Moment],
    plan: &Plan,
    card: &MaterialCard,
    tempo: &Tempo,
    now: DateTime<Utc>,
) -> Progress {
    let course = Course::of(log, plan.coats.len() as u32);
    let coated = course.coat.map_or(now, |(_, at)| at);
    let recoat = tempo.wait(coated, card.recoat_from);
    let (step, timers) = timers(&course, plan, card, tempo, now);
    let dead = timers
        .iter()
        .any(|due| due.kind == DueKind::WorkingEnds && now >= due.likely);
    let first = |due: &&Due| matches!(due.kind, DueKind::Mixed | DueKind::Stood);
    let mixing = timers.iter().find(first);
    let hold = mixing.map(|due| due.at).filter(|at| now < *at && !dead);
    let after = step_after(step, plan);
    let next = [after, step_after(after, plan)];
    let scene = Scene {
        log,
        course: &course,
        step,
        plan,
        timers: &timers,
        recoat: recoat.value,
        now,
    };
    Progress {
        title: words::title(step, plan),
        instruction: words::instruction(step, plan),
        weigh: weigh(step, plan),
        main: words::main_action(step, plan, dead),
        touch: match step {
            Step::Wait { coat } | Step::TouchTest { coat } => Some(coat),
            _ => None,
        },
        hold,
        others: words::others(step, plan, (dead, hold.is_some()), course.coat.map(|c| c.0)),
        notes: scene.notes(),
        next: next
            .into_iter()
            .filter(|step| *step != Step::Finished)
            .collect(),
        timers,
        step,
    }
}

/// What is being waited for; and the step, which a wait that is over takes further.
fn timers(
    course: &Course,
    plan: &Plan,
    card: &MaterialCard,
    tempo: &Tempo,
    now: DateTime<Utc>,
) -> (Step, Vec<Due>) {
    let due = |kind, from, age| Due::after(kind, from, &tempo.span(from, age));
    let wait = |kind, from, age| Due::after(kind, from, &tempo.wait(from, age));
    let mut step = course.step;
    let stand = match step {
        Step::Stand { coat, .. } => plan.coats.get(coat.saturating_sub(1) as usize),
        _ => None,
    };
    let stand = stand.map_or(Minutes(0.0), |coat| coat.stand);
    let mut timers = Vec::new();
    let done = course.coat.map(|(_, at)| at);
    match step {
        Step::MixFirst { .. }
        | Step::MixSecond { .. }
        | Step::Stand { .. }
        | Step::Apply { .. } => {
            let working = course
                .mixed
                .map(|from| due(DueKind::WorkingEnds, from, card.working));
            let since = match step {
                Step::MixFirst { .. } => course.mixed,
                Step::MixSecond { .. } => course.scraped,
                _ => None,
            };
            let mix = Estimate::exact(practice::MIX_PER_CONTAINER.value);
            let mixed = since.map(|from| Due::after(DueKind::Mixed, from, &mix));
            let stood = match step {
                Step::Stand { .. } => course.stood,
                _ => None,
            };
            let stood = stood.map(|from| Due::after(DueKind::Stood, from, &Estimate::exact(stand)));
            let first = mixed.or(stood);
            timers.extend(first);
            timers.extend(working);
            // That over, the working time is the countdown.
            if first.is_some_and(|due| now >= due.at) {
                timers.reverse();
            }
        }
        Step::Wait { coat } => {
            let due = match course.soft {
                Some(felt) => {
                    let again = card.recoat_from * rule::WAIT_AGAIN.value;
                    Some(wait(DueKind::Recoat, felt, again))
                }
                None => done.map(|at| wait(DueKind::Recoat, at, card.recoat_from)),
            };
            if due.is_some_and(|due| now >= due.at) {
                step = Step::TouchTest { coat };
            }
            timers.extend(due);
        }
        Step::Cure => {
            let due = match course.soft {
                Some(felt) => {
                    let again = card.demould * rule::WAIT_AGAIN.value;
                    Some(wait(DueKind::Demould, felt, again))
                }
                None => done.map(|at| wait(DueKind::Demould, at, card.demould)),
            };
            if due.is_some_and(|due| now >= due.at) {
                step = Step::Peel;
            }
            timers.extend(due);
        }
        Step::Weigh { .. } | Step::TouchTest { .. } | Step::Peel | Step::Finished => {}
    }
    let next_coat = matches!(
        step,
        Step::Wait { .. } | Step::TouchTest { .. } | Step::Weigh { batch: 1, .. }
    );
    if let (true, Some(done), Some(until)) = (next_coat, done, card.recoat_until) {
        timers.push(due(DueKind::RecoatLatest, done, until));
    }
    (step, timers)
}

/// What to weigh out; a batch beyond the plan is as large as the last one planned.
fn weigh(step: Step, plan: &Plan) -> Option<Batch> {
    let (Step::Weigh { coat, batch } | Step::MixFirst { coat, batch }) = step else {
        return None;
    };
    let batches = &plan.coats.get(coat.checked_sub(1)? as usize)?.batches;
    let planned = batches.get(batch.checked_sub(1)? as usize);
    planned.or(batches.last()).copied()
}
