//! What is known about the wall: marks, rules, the lens and the pull of gravity.

use super::{ImageSize, Lens, Mm, Px};
use serde::{Deserialize, Serialize};

/// One thing known about the wall or about a rule that lies on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Evidence {
    /// A mark whose place on the wall is known.
    Point {
        /// Where the mark is seen, in pixels.
        px: Px,
        /// Where the mark is, in millimetres on the wall.
        mm: Mm,
    },
    /// A reading on a straight rule.
    Tick {
        /// Where the reading is seen, in pixels.
        px: Px,
        /// What the rule reads there, in millimetres.
        at_mm: f64,
        /// The rule's name.
        rule: String,
    },
    /// A rule that was held level.
    Level {
        /// The rule's name.
        rule: String,
    },
    /// A rule that was held plumb.
    Plumb {
        /// The rule's name.
        rule: String,
    },
}

/// All that is known for one photo.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WallProblem {
    /// Size of the upright full-size picture.
    pub image_size_px: ImageSize,
    /// The lens, where known; otherwise a phone's main camera is supposed, with a wide spread.
    pub lens: Option<Lens>,
    /// The direction of gravity in the camera's frame (x right, y down, z forward).
    pub gravity: Option<[f64; 3]>,
    /// Standard deviation of that direction, in degrees.
    pub gravity_sd_deg: f64,
    /// How far the wall leans back, in degrees: 0 stands upright, 90 is a floor or a table top
    /// seen from above, -90 a ceiling. On a wall that leans, a rule held plumb runs straight down
    /// the slope. It counts where gravity or a held rule says which way is down.
    #[serde(default)]
    pub wall_angle_deg: f64,
    /// Standard deviation of that angle, in degrees.
    #[serde(default = "wall_angle_sd_deg")]
    pub wall_angle_sd_deg: f64,
    /// Standard deviation of a mark along x and along y, in pixels.
    pub point_sd_px: f64,
    /// What was marked.
    pub evidence: Vec<Evidence>,
}

impl WallProblem {
    /// An upright wall and evidence of the usual spread; neither lens nor gravity is known.
    ///
    /// ```
    /// use peelcast::survey::{ImageSize, WallProblem};
    /// let size = ImageSize { width: 4000, height: 3000 };
    /// let floor = WallProblem {
    ///     gravity: Some([0.0, 0.0, 1.0]),
    ///     wall_angle_deg: 90.0,
    ///     ..WallProblem::new(size, vec![])
    /// };
    /// assert_eq!(floor.gravity_sd_deg, 0.5);
    /// ```
    pub fn new(image_size_px: ImageSize, evidence: Vec<Evidence>) -> Self {
        Self {
            image_size_px,
            lens: None,
            gravity: None,
            gravity_sd_deg: GRAVITY_SD_DEG,
            wall_angle_deg: 0.0,
            wall_angle_sd_deg: WALL_ANGLE_SD_DEG,
            point_sd_px: POINT_SD_PX,
            evidence,
        }
    }
}

fn wall_angle_sd_deg() -> f64 {
    WALL_ANGLE_SD_DEG
}

/// How far a wall is out of plumb, in degrees: 5 mm in 2.5 m (from memory).
pub const WALL_ANGLE_SD_DEG: f64 = 0.115;

/// How well a phone's level knows where down is, in degrees (from memory).
pub const GRAVITY_SD_DEG: f64 = 0.5;

/// How well a mark can be set with a magnifier, in pixels of the full-size picture
/// (common practice, no source).
pub const POINT_SD_PX: f64 = 0.5;
