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
        /// Standard deviation of `px` along x and along y, in pixels; that of the whole problem
        /// where it isn't given.
        #[serde(default)]
        sd_px: Option<f64>,
    },
    /// A reading on a straight rule.
    Tick {
        /// Where the reading is seen, in pixels.
        px: Px,
        /// What the rule reads there, in millimetres.
        at_mm: f64,
        /// The rule's name.
        rule: String,
        /// Standard deviation of `px` along x and along y, in pixels; that of the whole problem
        /// where it isn't given.
        #[serde(default)]
        sd_px: Option<f64>,
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

impl Evidence {
    /// A mark of known place, set as well as all others.
    ///
    /// ```
    /// use peelcast::survey::Evidence;
    /// // One that was found in the photo is better known.
    /// let found = Evidence::point([120.5, 88.25], [0.0, 0.0]).known_to(0.1);
    /// assert!(matches!(found, Evidence::Point { sd_px: Some(0.1), .. }));
    /// ```
    pub fn point(px: Px, mm: Mm) -> Self {
        Self::Point {
            px,
            mm,
            sd_px: None,
        }
    }

    /// A reading on a straight rule, set as well as all other marks.
    pub fn tick(px: Px, at_mm: f64, rule: &str) -> Self {
        Self::Tick {
            px,
            at_mm,
            rule: rule.to_owned(),
            sd_px: None,
        }
    }

    /// The same with its own spread; a rule that was held level or plumb has none.
    #[must_use]
    pub fn known_to(mut self, own_sd_px: f64) -> Self {
        if let Self::Point { sd_px, .. } | Self::Tick { sd_px, .. } = &mut self {
            *sd_px = Some(own_sd_px);
        }
        self
    }
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
    /// Standard deviation of a mark along x and along y, in pixels, where it has none of its own.
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

    /// The same problem on the photo in another size.
    ///
    /// ```
    /// use peelcast::survey::{Evidence, ImageSize, WallProblem};
    /// let size = ImageSize { width: 8000, height: 6000 };
    /// let problem = WallProblem::new(size, vec![Evidence::point([199.5, 99.5], [0.0, 0.0])]);
    /// let half = problem.resized(ImageSize { width: 4000, height: 3000 });
    /// assert!(matches!(half.evidence[0], Evidence::Point { px: [99.5, 49.5], .. }));
    /// assert_eq!(half.point_sd_px, problem.point_sd_px / 2.0);
    /// ```
    #[must_use]
    pub fn resized(&self, to: ImageSize) -> Self {
        let from = self.image_size_px;
        let along = [
            f64::from(to.width) / f64::from(from.width),
            f64::from(to.height) / f64::from(from.height),
        ];
        let length = (along[0] * along[1]).sqrt();
        // Pixels are counted from their middles, the picture from its border.
        let place = |px: Px| [0, 1].map(|k| (px[k] + 0.5) * along[k] - 0.5);
        let mut moved = self.clone();
        moved.image_size_px = to;
        moved.point_sd_px *= length;
        if let Some(lens) = &mut moved.lens {
            lens.focal_px *= length;
            lens.focal_sd_px *= length;
            lens.center_px = place(lens.center_px);
        }
        for one in &mut moved.evidence {
            if let Evidence::Point { px, sd_px, .. } | Evidence::Tick { px, sd_px, .. } = one {
                *px = place(*px);
                *sd_px = sd_px.map(|sd| sd * length);
            }
        }
        moved
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
