//! A photo and a reference become the wall plane, the outline's true shape, and its range.
//!
//! Pixels ([`Px`]) are of the upright full-size picture: x right, y down, (0, 0) the centre of
//! the first pixel. Places on the wall ([`Mm`]) are in millimetres: x right, y down.
//!
//! The way of the data: `picture` says whether a file can be measured on and what its `camera_tag` tells; `snap` puts marks where
//! the `grey` picture shows them; `reference` turns what was marked into `evidence`; `fit` finds
//! the `camera` before the wall from all evidence at once (start from a `homography`, then `least_squares`, the `lens` as far as it is known);
//! `wall` is what it found, with its spread; `ring` finds the outline in a ring drawn round the
//! ornament, and `trace` follows its edge from tap to tap; `footprint` measures a `polygon` on it,
//! and `advice` says what would help; `rectify` shows the wall square on.
//!
//! ```
//! use peelcast::quantity::Millimetres;
//! use peelcast::survey::{
//!     EdgeError, ImageSize, POINT_SD_PX, RectangleKind, Reference, WallProblem, fit_wall, footprint,
//! };
//!
//! // A sheet of 200 x 150 mm whose corners were marked, and an outline traced beside it.
//! let sheet = Reference::Rectangle {
//!     kind: RectangleKind::Own {
//!         width: Millimetres(200.0),
//!         height: Millimetres(150.0),
//!     },
//!     corners: vec![[400.0, 300.0], [800.0, 310.0], [795.0, 600.0], [402.0, 610.0]],
//! };
//! let size = ImageSize {
//!     width: 1600,
//!     height: 1200,
//! };
//! let wall = fit_wall(&WallProblem::new(size, sheet.evidence()?))?;
//! let outline = [[900.0, 350.0], [1200.0, 360.0], [1190.0, 640.0], [880.0, 620.0]];
//! let found = footprint(&wall, &outline, &[], EdgeError::traced(POINT_SD_PX))?;
//! assert!(found.area.low95 < found.area.value && found.area.value < found.area.high95);
//! # Ok::<(), peelcast::survey::SurveyError>(())
//! ```

mod advice;
mod alike;
mod bundle;
pub mod calibrate;
mod camera;
mod camera_tag;
mod combine;
mod distance;
mod doubt;
mod edge_error;
mod error;
mod evidence;
mod fit;
mod footprint;
mod gather;
mod grey;
mod held;
mod homography;
mod joined;
mod least_squares;
mod lens;
pub mod picture;
mod polygon;
mod rank;
mod rectify;
mod reference;
mod region;
mod ring;
mod scene;
mod section;
mod sight;
mod simplify;
pub mod snap;
mod stance;
mod start;
mod trace;
mod wall;

pub use alike::{name_alike, same_kind};
pub(crate) use bundle::{Bundle, Spotted, Track, bundle};
pub(crate) use camera::Camera;
pub use camera_tag::CameraTag;
pub(crate) use camera_tag::Needed;
pub use combine::{Combined, combine};
pub use distance::distance;
pub use edge_error::EdgeError;
pub use error::SurveyError;
pub use evidence::{Evidence, GRAVITY_SD_DEG, POINT_SD_PX, WALL_ANGLE_SD_DEG, WallProblem};
pub use fit::fit_wall;
pub use footprint::{Footprint, footprint, holes_and_neighbours};
pub use grey::GreyView;
pub(crate) use grey::brightness;
pub use held::{Rest, gravity_of_phone, pitch, roll};
pub use homography::Homography;
pub use joined::{LEAST_TIES, Part, Tie, joined, tied};
pub use lens::{ImageSize, Lens};
pub use polygon::check as check_rings;
pub(crate) use polygon::{contains, signed_area};
pub(crate) use rank::nth;
pub use rectify::{GridLines, RectifiedFrame, RgbaView, grid_step};
pub use reference::{Held, MarkTool, RectangleKind, Reference, RuleMark, Side, check_size};
pub use region::Region;
pub use ring::{Ring, RingOutline, Stroke};
pub use section::{Section, section};
pub use sight::Sight;
pub use trace::{Settled, settle, trace};
pub use wall::Wall;

/// A place in the picture, in pixels.
pub type Px = [f64; 2];

/// A place on the wall, in millimetres.
pub type Mm = [f64; 2];
