//! How the wall stands: upright, leaning, or lying as a floor, a table top or a ceiling; and what
//! that, gravity and held rules say of the scene.

use super::camera::{Camera, Parameters};
use super::fit::View;
use super::gather::{Direction, Rule};
use super::least_squares::Normal;
use super::scene::{Scene, aside};
use super::{SurveyError, WallProblem};
use crate::say;
use crate::words::tr;
use nalgebra::{DVector, Unit, Vector3};
use serde::{Deserialize, Serialize};

/// How far a rule is off that was held level or plumb by its bubble: half a degree (common
/// practice, no source).
const HELD_SD: f64 = 0.0087;
/// Where gravity was not measured, a phone is held square to the wall to about half a radian
/// (from memory).
const HAND_SD: f64 = 0.5;
/// A plane within this many degrees of lying counts as lying: which way it still slopes is not
/// known, so gravity fixes its normal to the rest of the way and no rule on it is level or plumb
/// by more than that.
const LYING_DEG: f64 = 85.0;

/// How the wall stands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(super) enum Stance {
    /// The wall leans back by so many radians from upright (forward below zero).
    Standing { angle: f64, sd: f64 },
    /// The plane lies, face up or face down.
    Lying { face_up: bool, sd: f64 },
}

impl Stance {
    /// As the request says, refused where no wall stands so.
    pub(super) fn read(problem: &WallProblem) -> Result<Self, SurveyError> {
        let (angle, sd) = (problem.wall_angle_deg, problem.wall_angle_sd_deg);
        if !(-90.0..=90.0).contains(&angle) {
            return Err(SurveyError::at(
                "wall_angle_deg",
                tr(
                    "A wall leans by -90 to 90 degrees: 0 is upright, 90 a floor or table top, -90 a \
                 ceiling.",
                ),
            ));
        }
        if !(sd > 0.0 && sd <= 90.0) {
            return Err(SurveyError::at(
                "wall_angle_sd_deg",
                tr("The spread of the wall's angle must be more than 0 and at most 90 degrees."),
            ));
        }
        Ok(if angle.abs() < LYING_DEG {
            Self::Standing {
                angle: angle.to_radians(),
                sd: sd.to_radians(),
            }
        } else {
            Self::Lying {
                face_up: angle > 0.0,
                sd: sd.hypot(90.0 - angle.abs()).to_radians(),
            }
        })
    }

    /// How far the wall leans back, in radians; what lies has no other angle.
    pub(super) fn angle(self) -> f64 {
        match self {
            Self::Standing { angle, .. } => angle,
            Self::Lying { face_up: true, .. } => std::f64::consts::FRAC_PI_2,
            Self::Lying { face_up: false, .. } => -std::f64::consts::FRAC_PI_2,
        }
    }

    /// What gravity would say of the wall's turn if it were measured to `sd` radians: slopes in
    /// the camera's numbers, for a wall of this normal before a camera held upright.
    pub(super) fn told_by_gravity(self, normal: Vector3<f64>, sd: f64) -> Vec<Parameters> {
        let directions = match self {
            Self::Standing { .. } => {
                let down = Vector3::y() - normal * normal.y;
                vec![down.normalize()]
            }
            Self::Lying { .. } => aside(&Unit::new_normalize(normal)).to_vec(),
        };
        let turn = |direction: Vector3<f64>| {
            let mut slope = Parameters::zeros();
            let turn = normal.cross(&direction) / sd;
            slope.fixed_rows_mut::<3>(0).copy_from(&turn);
            slope
        };
        directions.into_iter().map(turn).collect()
    }

    /// Down as it was measured, or as the camera has it that is held square to the wall.
    pub(super) fn down(self, measured: Option<Direction>) -> Direction {
        measured.unwrap_or_else(|| {
            let (sin, cos) = self.angle().sin_cos();
            let down = Vector3::new(0.0, cos, sin);
            (Unit::new_normalize(down), HAND_SD)
        })
    }

    /// Refuses rules that were held level or plumb on what lies.
    pub(super) fn check(self, rules: &[Rule]) -> Result<(), SurveyError> {
        let held = rules.iter().find(|rule| rule.level || rule.plumb);
        match (self, held) {
            (Self::Lying { .. }, Some(rule)) => Err(SurveyError::at(
                "evidence",
                say!(
                    "On a floor, a table top or a ceiling every rule is level and none is plumb, \
                     so it says nothing that rule {name} was held so. Take that away, or correct the \
                     wall's angle.",
                    name = rule.name
                ),
            )),
            _ => Ok(()),
        }
    }

    /// Refuses a floor that is looked up at, and a ceiling that is looked down on: `sight` goes
    /// from the camera to the marks.
    pub(super) fn check_sight(
        self,
        sight: Vector3<f64>,
        down: Unit<Vector3<f64>>,
    ) -> Result<(), SurveyError> {
        let Self::Lying { face_up, .. } = self else {
            return Ok(());
        };
        if (sight.dot(&down) > 0.0) == face_up {
            return Ok(());
        }
        let (what, way) = match face_up {
            true => (tr("a floor or table top"), "up"),
            false => (tr("a ceiling"), "down"),
        };
        Err(SurveyError::at(
            "wall_angle_deg",
            say!(
                "By the phone's level the camera looked {way}, where {what} is never seen. \
                 Correct the wall's angle, or leave the level out.",
                way,
                what
            ),
        ))
    }

    /// How many residuals it adds.
    pub(super) fn residuals(self) -> usize {
        match self {
            Self::Standing { .. } => 1,
            Self::Lying { .. } => 2,
        }
    }
}

/// The wall's normal in the camera's frame, pointing away from the camera.
fn away(camera: &Camera) -> Vector3<f64> {
    let normal = camera.normal();
    normal * normal.dot(&camera.translation).signum()
}

impl View {
    /// Adds what gravity, the wall's stance and held rules say.
    pub(super) fn add_down(&self, scene: &Scene, normal: &mut Normal) {
        let Some(start) = self.layout.down else {
            return;
        };
        let (measured, sd) = self.gravity;
        let own = scene.aside();
        for axis in aside(&measured) {
            let mut slope = DVector::zeros(self.layout.len);
            slope[start] = own[0].dot(&axis) / sd;
            slope[start + 1] = own[1].dot(&axis) / sd;
            normal.add(axis.dot(&scene.down) / sd, &slope);
        }
        let away = away(&scene.camera);
        match self.stance {
            Stance::Standing { angle, sd } => {
                // The angle's sine is how far down the normal points.
                let sine = away.dot(&scene.down).clamp(-0.9999, 0.9999);
                let by_sine = (1.0 - sine * sine).sqrt().recip() / sd;
                let slope = self.dip_slope(scene, away) * by_sine;
                normal.add((sine.asin() - angle) / sd, &slope);
            }
            Stance::Lying { sd, .. } => {
                for (i, axis) in own.iter().enumerate() {
                    let mut slope = DVector::zeros(self.layout.len);
                    slope.rows_mut(0, 3).copy_from(&(away.cross(axis) / sd));
                    slope[start + i] = -away.dot(&scene.down) / sd;
                    normal.add(away.dot(axis) / sd, &slope);
                }
            }
        }
        // Each says that a direction on the wall is level.
        let mut level = |direction: Vector3<f64>, turn: Option<(usize, f64)>| {
            let mut slope = self.dip_slope(scene, direction) / HELD_SD;
            if let Some((at, by)) = turn {
                slope[at] = by / HELD_SD;
            }
            normal.add(direction.dot(&scene.down) / HELD_SD, &slope);
        };
        for (i, (rule, lay)) in self.rules.iter().zip(&scene.lays).enumerate() {
            let way = lay.way();
            let along = scene.camera.rotation * Vector3::new(way[0], way[1], 0.0);
            let across = scene.camera.rotation * Vector3::new(-way[1], way[0], 0.0);
            let turn = |by: f64| self.layout.rules[i].map(|start| (start + 2, by));
            if rule.level {
                level(along, turn(across.dot(&scene.down)));
            }
            if rule.plumb {
                level(across, turn(-along.dot(&scene.down)));
            }
        }
    }

    /// How the part of a direction that points down grows with every number, the direction
    /// turning with the wall.
    fn dip_slope(&self, scene: &Scene, direction: Vector3<f64>) -> DVector<f64> {
        let mut slope = DVector::zeros(self.layout.len);
        slope
            .rows_mut(0, 3)
            .copy_from(&direction.cross(&scene.down));
        if let Some(start) = self.layout.down {
            let own = scene.aside();
            slope[start] = direction.dot(&own[0]);
            slope[start + 1] = direction.dot(&own[1]);
        }
        slope
    }
}
