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
    /// The direction of gravity in the camera's frame (x right, y down, z forward), for a wall
    /// that stands upright.
    pub gravity: Option<[f64; 3]>,
    /// Standard deviation of that direction, in degrees.
    pub gravity_sd_deg: f64,
    /// Standard deviation of a mark along x and along y, in pixels.
    pub point_sd_px: f64,
    /// What was marked.
    pub evidence: Vec<Evidence>,
}

/// How well a phone's level knows where down is, in degrees (from memory).
pub const GRAVITY_SD_DEG: f64 = 0.5;

/// How well a mark can be set with a magnifier, in pixels of the full-size picture
/// (common practice, no source).
pub const POINT_SD_PX: f64 = 0.5;
