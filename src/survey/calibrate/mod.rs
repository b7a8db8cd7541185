//! The lens, measured once per phone: a printed grid is photographed from a few angles.
//!
//! The way of the data: [`sheet`] is what is printed; [`find_grid`] finds its corners in each
//! photo (`saddle` finds where dark and light meet crosswise, `lattice` joins these to a grid);
//! [`calibrate`] makes of them the lens and its spread (`zhang` gives the start, `bundle` the
//! least-squares estimate, `next` says which photo more would help most); a [`LensCard`] is what
//! the record keeps.

mod bundle;
mod card;
mod estimate;
mod grid;
mod lattice;
mod next;
mod saddle;
mod sheet;
mod zhang;

pub use card::LensCard;
pub use estimate::{Calibration, calibrate};
pub use grid::{GridCorner, GridView, Target, find_grid};
pub use sheet::{Paper, sheet};
