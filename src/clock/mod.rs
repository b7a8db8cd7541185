//! The clock: the steps of a coating as they happen, and when the next one is due.
//!
//! Everything follows from the stored [`Moment`]s, the plan and the time of day that is passed in;
//! nothing counts by itself. A phone that was off for an hour is an hour further on.

mod age;
mod alert;
mod calendar;
mod course;
pub mod day;
mod due;
mod entry;
mod learned;
mod moment;
mod normal;
mod notes;
mod pace;
mod patch;
mod progress;
mod reasons;
mod rule;
mod step;
mod tempo;
mod touch;
mod warmth;
mod words;

pub use age::Ageing;
pub use alert::{Alert, alert, alerts};
pub use calendar::{Calendar, Call, Event};
pub(crate) use course::Course;
pub use course::finished;
pub use due::{Due, DueKind};
pub(crate) use due::{minutes_between, span_of};
pub use entry::{Entry, LogNote, lots, masses, readings, said};
pub use learned::{Habit, Learned, Work, learned};
pub use moment::{Feel, Moment, Tap};
pub use pace::{CARD_SPREAD, Heard, JOB_SPREAD, Pace};
pub use patch::patch_due;
pub use progress::{Action, Progress, progress};
pub use reasons::why_due;
pub use step::{Step, step_after};
pub use tempo::Tempo;
pub use touch::{FINGER_SPREAD, Touch, firm_from, touches};
pub use warmth::Warmth;
