//! The plan of a day: several pieces, one or more pairs of hands, and the earliest time at which
//! the person can leave.
//!
//! Each piece is a chain of hands-on works; between two of them lies a gap of at least, and where
//! the card has a limit at most, an age (see [`Ageing`](super::Ageing)). Works take hands, keep to
//! the hours of the site, and stay where they are pinned. What has begun is taken as it is.
//!
//! [`plan`] finds the plan that is left earliest, proven to the second (to the minute where all
//! times are whole minutes), or a good one with a bound. [`replan`] does the same after something
//! changed and then stays as near to the plan before as that leaves it.
//!
//! ```
//! use peelcast::clock::day::{self, Day, DayPiece, Gap, Hours, Settled, Work};
//! use peelcast::clock::{Ageing, Warmth};
//! use peelcast::coating::starter_cards;
//! use peelcast::quantity::Minutes;
//!
//! let card = &starter_cards()[0];
//! let coat = |number: u32| Work {
//!     name: format!("coat {number}"),
//!     takes: Minutes(20.0),
//!     gap: Gap { least: Minutes(40.0), most: Some(Minutes(70.0)) },
//!     crew: 0,
//!     settled: Settled::Free,
//! };
//! let piece = |name: &str| DayPiece {
//!     name: name.to_owned(),
//!     ageing: Ageing::of(card, &Warmth::steady(card.reference)),
//!     works: vec![coat(1), coat(2), coat(3)],
//! };
//! let day = Day {
//!     from: Minutes(0.0),
//!     crews: vec![1],
//!     hours: Hours::always(),
//!     pieces: vec![piece("rosette"), piece("frieze")],
//! };
//! let plan = day::plan(&day)?;
//! assert!(plan.proven && plan.leave == Minutes(160.0));
//! # Ok::<(), day::Clash>(())
//! ```

mod again;
mod ask;
mod causes;
mod clash;
mod clauses;
mod hours;
mod insert;
mod learn;
mod load;
mod model;
mod narrow;
mod order;
mod request;
mod solve;
mod sweep;
#[cfg(test)]
mod tests;
mod windows;

pub use again::replan;
pub use ask::Ask;
pub use clash::{Clash, ClashPlace};
pub use hours::Hours;
pub use request::{Day, DayPiece, DayPlan, DayStep, Gap, Settled, Work};

use crate::quantity::Minutes;
use model::Model;

/// The plan that is left earliest, or why there is none.
pub fn plan(day: &Day) -> Result<DayPlan, Clash> {
    clash::check(day)?;
    let model = Model::of(day);
    let best = solve::solve(&model).map_err(|failed| clash::explain(day, &model, failed))?;
    Ok(best.plan(&model))
}

impl solve::Best {
    fn plan(&self, model: &Model) -> DayPlan {
        let step = |t: usize| {
            let task = &model.tasks[t];
            DayStep {
                piece: task.piece,
                work: task.work,
                start: Minutes(self.starts[t]),
                end: Minutes(self.starts[t] + task.takes),
            }
        };
        DayPlan {
            steps: model.by_start(&self.starts).into_iter().map(step).collect(),
            leave: Minutes(self.leave),
            bound: Minutes(self.bound),
            proven: self.proven,
        }
    }
}
