//! A photo and a reference become the wall plane, the outline's true shape, and its range.
//!
//! Pixels ([`Px`]) are of the upright full-size picture: x right, y down, (0, 0) the centre of
//! the first pixel. Places on the wall ([`Mm`]) are in millimetres: x right, y down.

mod camera;
mod error;
mod evidence;
mod fit;
mod footprint;
mod homography;
mod least_squares;
mod lens;
pub mod picture;
mod polygon;
mod rectify;
mod reference;
mod wall;

pub use error::SurveyError;
pub use evidence::{Evidence, GRAVITY_SD_DEG, POINT_SD_PX, WallProblem};
pub use fit::fit_wall;
pub use footprint::{Footprint, footprint};
pub use homography::Homography;
pub use lens::{ImageSize, Lens};
pub use rectify::{GridLines, RectifiedFrame, RgbaView, grid_step};
pub use reference::{MarkTool, RectangleKind, Reference, RuleMark, Side};
pub use wall::Wall;

/// A place in the picture, in pixels.
pub type Px = [f64; 2];

/// A place on the wall, in millimetres.
pub type Mm = [f64; 2];
