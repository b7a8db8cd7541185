//! A tap need not be exact: it goes to the corner or the ticks that the picture shows near it.
//!
//! - [`corner`]: the crossing of the two straight edges near a tap.
//! - [`ticks`]: all ticks of a rule between two readings: `edge` finds the rule's edge, `strokes`
//!   what stands beside it, `comb` counts, and the `pattern` of longer ticks says which numbers
//!   they bear.
//!
//! Pixels are those of the [`GreyView`](super::GreyView), which is the upright full-size picture.
//! Nothing is returned that the picture does not show clearly: the tap then stays as it was.

mod comb;
mod corner;
mod edge;
mod line;
mod pattern;
pub(super) mod profile;
pub(super) mod robust;
mod strokes;
mod ticks;

pub use corner::{Corner, corner};
pub use pattern::Division;
pub use ticks::{NoTicks, Tick, Ticks, ticks};
