//! The wall as it was found: from the photo to millimetres and back, with its spread.

use super::camera::{Camera, Covariance, Parameters};
use super::{ImageSize, Mm, Px, WallProblem};
use crate::quantity::{Degrees, Estimate, Millimetres};
use serde::{Deserialize, Serialize};

/// A flat wall before a camera, found from marks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wall {
    image_size: ImageSize,
    camera: Camera,
    covariance: Covariance,
    marks: Vec<Mm>,
    lens_known: bool,
    notes: Vec<String>,
}

impl Wall {
    pub(super) fn new(
        problem: &WallProblem,
        camera: Camera,
        covariance: Covariance,
        marks: Vec<Mm>,
        notes: Vec<String>,
    ) -> Self {
        Self {
            image_size: problem.image_size_px,
            camera,
            covariance,
            marks,
            lens_known: problem.lens.is_some(),
            notes,
        }
    }

    /// The place on the wall that a pixel shows; `None` where it looks past the wall.
    pub fn to_wall(&self, px: Px) -> Option<Mm> {
        self.camera.unsee(px)
    }

    /// The pixel that shows a place on the wall; `None` where the camera can't see it.
    pub fn to_photo(&self, mm: Mm) -> Option<Px> {
        self.camera.see(mm)
    }

    /// The size of the upright full-size picture.
    pub fn image_size(&self) -> ImageSize {
        self.image_size
    }

    /// Where the marks of the reference are known to be, in millimetres.
    pub fn marks(&self) -> &[Mm] {
        &self.marks
    }

    /// What the user should know about how the wall was found.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Whether the lens was given, rather than supposed to be a phone's.
    pub fn lens_known(&self) -> bool {
        self.lens_known
    }

    /// The angle between the camera's axis and the wall's normal: 0 is square on.
    pub fn tilt(&self) -> Estimate<Degrees> {
        let normal = self.camera.normal();
        let across = normal.x.hypot(normal.y);
        let tilt = across.atan2(normal.z.abs());
        // The tilt grows with the part of a turn that leans the normal further over. Square on,
        // no direction is "further", and the wider of the two spreads is taken.
        let along = |x: f64, y: f64| {
            let lean = nalgebra::Vector3::new(y, -x, 0.0);
            let mut slope = Parameters::zeros();
            slope.fixed_rows_mut::<3>(0).copy_from(&lean);
            slope.dot(&(self.covariance * slope)).sqrt()
        };
        let sd = if across > 1e-9 {
            along(normal.x / across, normal.y / across)
        } else {
            along(1.0, 0.0).max(along(0.0, 1.0))
        };
        let mut estimate = Estimate::normal(Degrees(tilt.to_degrees()), sd.to_degrees());
        estimate.low95.0 = estimate.low95.0.max(0.0);
        estimate.high95.0 = estimate.high95.0.min(90.0);
        estimate
    }

    /// How far the camera's middle was from the reference's middle.
    pub fn distance(&self) -> Estimate<Millimetres> {
        let t = self.camera.translation;
        let mut slope = Parameters::zeros();
        slope.fixed_rows_mut::<3>(3).copy_from(&t.normalize());
        let sd = slope.dot(&(self.covariance * slope)).sqrt();
        Estimate::positive(Millimetres(t.norm()), sd)
    }

    /// Walls as they might be as well: pairs one standard deviation to either side of this one
    /// along each axis of its spread, times `reach`. Half the difference of any quantity between
    /// the two of a pair is one part of that quantity's spread; the parts add as squares.
    pub(super) fn alternatives(&self, reach: f64) -> Vec<[Camera; 2]> {
        let scale = Parameters::from_fn(|i, _| self.covariance[(i, i)].sqrt());
        let correlation =
            Covariance::from_fn(|r, c| self.covariance[(r, c)] / (scale[r] * scale[c]));
        let Some(root) = correlation.cholesky() else {
            return Vec::new();
        };
        root.l()
            .column_iter()
            .map(|column| {
                let step = column.component_mul(&scale) * reach;
                [self.camera.moved(&step), self.camera.moved(&-step)]
            })
            .collect()
    }
}
