//! The wall as it was found: from the photo to millimetres and back, with its spread.

use super::camera::{Camera, Covariance, Parameters};
use super::scene::aside;
use super::stance::Stance;
use super::{Evidence, ImageSize, Mm, Px, Sight, WallProblem};
use crate::quantity::{Degrees, Estimate, Millimetres, Z95};
use nalgebra::Unit;
use serde::{Deserialize, Serialize};

/// What a range holds: a rival less likely than the rest may be left out of it.
const PART95: f64 = 0.95;

/// A flat wall before a camera, found from marks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wall {
    image_size: ImageSize,
    camera: Camera,
    covariance: Covariance,
    /// Cameras that fit the marks about as well, and how likely each is.
    rivals: Vec<(Camera, f64)>,
    /// How far what is traced stands before the plane of the evidence, and the spread of that.
    traced_at: [f64; 2],
    marks: Vec<Mm>,
    lens_known: bool,
    level_helps: bool,
    stance: Stance,
    notes: Vec<String>,
}

impl Wall {
    pub(super) fn new(
        problem: &WallProblem,
        stance: Stance,
        camera: Camera,
        covariance: Covariance,
        rivals: Vec<(Camera, f64)>,
        marks: Vec<Mm>,
        notes: Vec<String>,
    ) -> Self {
        Self {
            image_size: problem.image_size_px,
            camera,
            covariance,
            rivals,
            traced_at: [0.0, 0.0],
            marks,
            lens_known: problem.lens.is_some(),
            level_helps: problem.gravity.is_none() && ruled(problem),
            stance,
            notes,
        }
    }

    /// The same wall for an `outline` that stands before it: the edge of a plaque's face, not the
    /// line where the plaque meets the wall. Seen from 600 mm, an edge 10 mm before the wall would
    /// else read 3.4 % too large. The `reference` may stand before the wall as well, or behind it
    /// (below zero): the evidence fixes its plane, and the outline is measured by how far it is
    /// from there.
    ///
    /// ```
    /// use peelcast::quantity::{Estimate, Millimetres};
    /// use peelcast::survey::{Evidence, ImageSize, WallProblem, fit_wall};
    /// # let point = Evidence::point;
    /// # let sheet = vec![
    /// #     point([400.0, 300.0], [0.0, 0.0]),
    /// #     point([800.0, 300.0], [200.0, 0.0]),
    /// #     point([800.0, 600.0], [200.0, 150.0]),
    /// #     point([400.0, 600.0], [0.0, 150.0]),
    /// # ];
    /// # let size = ImageSize { width: 1600, height: 1200 };
    /// # let wall = fit_wall(&WallProblem::new(size, sheet)).unwrap();
    /// // A wall 608 mm away, the camera square before it.
    /// let flat = Estimate::exact(Millimetres(0.0));
    /// let face = wall.traced(&Estimate::normal(Millimetres(10.0), 1.0), &flat);
    /// let width = |wall: &peelcast::survey::Wall| {
    ///     let [a, b] = [400.0, 800.0].map(|x| wall.to_wall([x, 450.0]).unwrap());
    ///     b[0] - a[0]
    /// };
    /// assert!((width(&face) / width(&wall) - (1.0 - 10.0 / 608.0)).abs() < 1e-4);
    /// // A sheet on a board 4 mm thick, and an outline on the wall itself.
    /// let behind = wall.traced(&flat, &Estimate::exact(Millimetres(4.0)));
    /// assert!((width(&behind) / width(&wall) - (1.0 + 4.0 / 608.0)).abs() < 1e-4);
    /// ```
    #[must_use]
    pub fn traced(
        &self,
        outline: &Estimate<Millimetres>,
        reference: &Estimate<Millimetres>,
    ) -> Self {
        Self {
            traced_at: [
                outline.value.0 - reference.value.0,
                outline.sd.hypot(reference.sd),
            ],
            ..self.clone()
        }
    }

    /// The height of the plane that is traced and its spread, in millimetres before the plane of
    /// the evidence.
    pub(super) fn height(&self) -> [f64; 2] {
        self.traced_at
    }

    /// The same wall, better known; `settled` says that its rivals are out.
    pub(super) fn known_by(&self, covariance: Covariance, settled: bool) -> Self {
        let rivals = if settled { &[] } else { &*self.rivals };
        Self {
            covariance,
            rivals: rivals.to_vec(),
            ..self.clone()
        }
    }

    /// How the camera's numbers are spread.
    pub(super) fn covariance(&self) -> &Covariance {
        &self.covariance
    }

    /// The place on the wall that a pixel shows, straight behind what was traced; `None` where it
    /// looks past the wall.
    pub fn to_wall(&self, px: Px) -> Option<Mm> {
        self.camera.unsee_before(px, self.traced_at[0])
    }

    /// The pixel that shows what was traced straight before a place on the wall; `None` where the
    /// camera can't see it.
    pub fn to_photo(&self, mm: Mm) -> Option<Px> {
        self.camera.see_before(mm, self.traced_at[0])
    }

    /// How the photo sees the wall, without how well that is known.
    pub fn sight(&self) -> Sight {
        Sight {
            image_size_px: self.image_size,
            camera: self.camera.clone(),
            traced_at: self.traced_at[0],
        }
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

    /// Whether gravity could still be given: it was not measured, and a rule was read. A card or
    /// sheet shows the wall's turn by itself.
    pub(super) fn level_helps(&self) -> bool {
        self.level_helps
    }

    /// How the wall is said to stand.
    pub(super) fn stance(&self) -> Stance {
        self.stance
    }

    /// The angle between the camera's axis and the wall's normal: 0 is square on.
    pub fn tilt(&self) -> Estimate<Degrees> {
        let tilt_of = |camera: &Camera| {
            let normal = camera.normal();
            normal.x.hypot(normal.y).atan2(normal.z.abs())
        };
        let (normal, tilt) = (self.camera.normal(), tilt_of(&self.camera));
        let across = normal.x.hypot(normal.y);
        // The normal leans further over along the way it leans, or aside; square on, either way
        // is as good.
        let way = if across > 1e-9 {
            [normal.x / across, normal.y / across]
        } else {
            [1.0, 0.0]
        };
        let spread = |x: f64, y: f64| {
            let lean = nalgebra::Vector3::new(y, -x, 0.0);
            let mut slope = Parameters::zeros();
            slope.fixed_rows_mut::<3>(0).copy_from(&lean);
            slope.dot(&(self.covariance * slope)).sqrt()
        };
        let [along, aside] = [spread(way[0], way[1]), spread(-way[1], way[0])];
        // Aside, the tilt can only grow: by Pythagoras.
        let mut low = tilt - Z95 * along;
        let mut high = (tilt + Z95 * along).hypot(Z95 * aside);
        for (camera, likely) in &self.rivals {
            if *likely > 1.0 - PART95 {
                low = low.min(tilt_of(camera));
                high = high.max(tilt_of(camera));
            }
        }
        let [low95, high95] = [low, high].map(|t| Degrees(t.to_degrees().clamp(0.0, 90.0)));
        Estimate {
            value: Degrees(tilt.to_degrees()),
            sd: along.hypot(tilt.hypot(aside) - tilt).to_degrees(),
            low95,
            high95,
        }
    }

    /// How open it is which way the wall is turned: the standard deviation of its normal's
    /// direction, to the side where it is known least.
    pub(super) fn turn_sd(&self) -> Degrees {
        let [a, b] = aside(&Unit::new_normalize(self.camera.normal()));
        let turns = self.covariance.fixed_view::<3, 3>(0, 0);
        let (aa, ab, bb) = (
            a.dot(&(turns * a)),
            a.dot(&(turns * b)),
            b.dot(&(turns * b)),
        );
        let largest = (aa + bb) / 2.0 + ((aa - bb) / 2.0).hypot(ab);
        Degrees(largest.sqrt().to_degrees())
    }

    /// How far the camera's middle was from the reference's middle.
    pub fn distance(&self) -> Estimate<Millimetres> {
        let t = self.camera.translation;
        let mut slope = Parameters::zeros();
        slope.fixed_rows_mut::<3>(3).copy_from(&t.normalize());
        let sd = slope.dot(&(self.covariance * slope)).sqrt();
        Estimate::positive(Millimetres(t.norm()), sd)
    }

    /// The likeliest camera.
    pub(crate) fn camera(&self) -> &Camera {
        &self.camera
    }

    /// Cameras that fit the marks about as well, and how likely each is.
    pub(super) fn rivals(&self) -> &[(Camera, f64)] {
        &self.rivals
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

fn ruled(problem: &WallProblem) -> bool {
    let tick = |e: &Evidence| matches!(e, Evidence::Tick { .. });
    problem.evidence.iter().any(tick)
}
