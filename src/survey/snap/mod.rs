//! A tap need not be exact: it goes to the corner or the ticks that the picture shows near it.
//!
//! - [`corner`]: the crossing of the two straight edges near a tap.
//!
//! Pixels are those of the [`GreyView`](super::GreyView), which is the upright full-size picture.
//! Nothing is returned that the picture does not show clearly: the tap then stays as it was.

mod corner;
mod line;
mod profile;

pub use corner::{Corner, corner};
