//! Heights over the wall, and what follows from them: the developed surface, the volume, slopes,
//! and how the skin comes off.
//!
//! A [`HeightMap`] lies on the wall by its [`Frame`]; each way of finding heights answers with
//! [`Heights`]: the likely map, and plausible ones beside it that make the ranges. A [`Cover`]
//! tells which part of the grid an outline holds.
//!
//! ```
//! use peelcast::quantity::Millimetres;
//! use peelcast::relief::{Frame, HeightMap, Heights, measures};
//!
//! // A board of 60 x 40 mm that stands 5 mm out, known to two hundredths of its height.
//! let outline = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]];
//! let frame = Frame::around(&outline, 64)?;
//! let none = vec![0.0; frame.len()];
//! let map = HeightMap::of(frame, vec![5.0; frame.len()], none, 0.02)?;
//! let found = measures(&Heights::of(map), &outline, &[]);
//! // The front and four sides.
//! assert!((found.surface.value.0 - (2_400.0 + 1_000.0)).abs() < 5.0);
//! assert!((found.volume.value.0 - 12.0).abs() < 0.05);
//! assert!((found.volume.sd / 0.24 - 1.0).abs() < 0.1);
//! # Ok::<(), peelcast::survey::SurveyError>(())
//! ```

mod coarse;
mod correct;
mod cover;
mod draft;
mod felt;
mod frame;
mod gaussian;
mod height_map;
mod heights;
mod measures;
mod near;
mod overhang;
mod picture;
mod probe;
mod profile;
mod reading;
mod record;
mod sounding;
#[cfg(test)]
mod sounding_tests;
mod stored;
mod surface;
pub mod sweep;
#[cfg(test)]
mod tests;
mod waves;

pub use correct::corrected;
pub use cover::Cover;
pub use draft::{Draft, Fields, Pull, draft, drafts, fields};
pub use felt::{areas, felt_curvature};
pub use frame::Frame;
pub use height_map::HeightMap;
pub use heights::{DRAWS, Draw, Heights};
pub use measures::{Detail, Measures, measures};
pub use near::contains;
pub use overhang::{Overhang, overhung};
pub use picture::{SCALE, colour, painted, sampled, shaded};
pub use probe::Probe;
pub use profile::Profile;
pub use reading::{Edge, Reading};
pub use record::{ReliefRecord, SweptFrom};
pub use sounding::{Guess, Known, Sounded, readings};
pub use surface::Modelling;
