//! What the estimator moves about: the camera, the rules on the wall, and which way is down.

use super::Mm;
use super::camera::{Camera, PARAMETERS};
use nalgebra::{DVector, Unit, Vector3};

/// How a straight rule lies on the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lay {
    /// The reading that `at` speaks of, about the middle of those that were marked: turning about
    /// it keeps place and angle apart. In millimetres.
    pub(super) middle: f64,
    /// Where that reading is on the wall.
    pub(super) at: Mm,
    /// The way to higher readings, in radians from the wall's x towards its y.
    pub(super) angle: f64,
}

impl Lay {
    /// The way to higher readings.
    pub(super) fn way(&self) -> Mm {
        [self.angle.cos(), self.angle.sin()]
    }

    /// Where a reading is on the wall.
    pub(super) fn place(&self, reading: f64) -> Mm {
        let (way, past) = (self.way(), reading - self.middle);
        [self.at[0] + past * way[0], self.at[1] + past * way[1]]
    }
}

/// The state of the search.
#[derive(Clone, Debug)]
pub(super) struct Scene {
    pub(super) camera: Camera,
    pub(super) lays: Vec<Lay>,
    /// Down, in the camera's frame.
    pub(super) down: Unit<Vector3<f64>>,
}

/// Where in the list of all numbers each part of a scene has its own. The camera's come first.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// Of each rule: its three numbers (x, y, angle) start here; none for the one rule that the
    /// wall's frame is fixed to.
    pub(super) rules: Vec<Option<usize>>,
    /// The two numbers of down start here; none where nothing tells of it.
    pub(super) down: Option<usize>,
    /// How many numbers there are.
    pub(super) len: usize,
}

impl Layout {
    pub(super) fn new(free: impl Iterator<Item = bool>, down: bool) -> Self {
        let mut len = PARAMETERS;
        let mut take = |count: usize| {
            len += count;
            len - count
        };
        let rules = free.map(|free| free.then(|| take(3))).collect();
        let down = down.then(|| take(2));
        Self { rules, down, len }
    }
}

impl Scene {
    /// Two directions at right angles to down and to each other.
    pub(super) fn aside(&self) -> [Vector3<f64>; 2] {
        aside(&self.down)
    }

    /// The scene a step further on.
    pub(super) fn moved(&self, layout: &Layout, step: &DVector<f64>) -> Self {
        let mut lays = self.lays.clone();
        for (lay, start) in lays.iter_mut().zip(&layout.rules) {
            if let Some(i) = *start {
                lay.at = [lay.at[0] + step[i], lay.at[1] + step[i + 1]];
                lay.angle += step[i + 2];
            }
        }
        let down = layout.down.map_or(self.down, |i| {
            let [a, b] = self.aside();
            Unit::new_normalize(self.down.into_inner() + a * step[i] + b * step[i + 1])
        });
        Self {
            camera: self
                .camera
                .moved(&step.fixed_rows::<PARAMETERS>(0).into_owned()),
            lays,
            down,
        }
    }
}

/// Two directions at right angles to one and to each other.
pub(super) fn aside(down: &Unit<Vector3<f64>>) -> [Vector3<f64>; 2] {
    // The axis least along it is safe to cross with.
    let axis = Vector3::ith(down.iamin(), 1.0);
    let first = down.cross(&axis).normalize();
    [first, down.cross(&first)]
}
