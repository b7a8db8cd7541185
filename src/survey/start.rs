//! Fair guesses at the scene, from which the search walks on.

use super::camera::Camera;
use super::fit::View;
use super::scene::{Lay, Scene, aside};
use super::{Homography, Mm, Px, SurveyError};
use crate::say;
use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

/// Turns to the left and right that are tried where the marks don't show how the wall turns.
const TURNS_DEG: [f64; 5] = [-45.0, -20.0, 0.0, 20.0, 45.0];
/// A plane that leans further than this, in radians, may show its face to the same camera where
/// it leans the other way.
const FAR_LEAN: f64 = 1.0;
/// The same upwards and downwards, where nothing tells of gravity.
const LEANS_DEG: [f64; 3] = [-25.0, 0.0, 25.0];

impl View {
    /// Scenes to start from: two where the marks span the wall, since a small reference shows
    /// nearly the same from two sides, and more where they don't.
    pub(super) fn starts(&self) -> Result<Vec<Scene>, SurveyError> {
        if self.spans {
            let camera = self.camera_by_map()?;
            return Ok([camera.mirrored(), camera]
                .into_iter()
                .rev()
                .filter_map(|camera| self.around(camera))
                .collect());
        }
        let (down, back) = (self.down(), self.stance.angle());
        let leans: &[f64] = if self.measured_down {
            &[0.0]
        } else {
            &LEANS_DEG
        };
        // Two places look the same on a wall whose y runs upwards; three don't.
        let upwards: &[bool] = if self.marks.len() > 2 {
            &[false, true]
        } else {
            &[false]
        };
        let mut turns = TURNS_DEG.to_vec();
        if back.abs() > FAR_LEAN {
            turns.extend(TURNS_DEG.map(|turn| turn + 180.0));
        }
        let mut scenes = Vec::new();
        for lean in leans {
            for turn in &turns {
                let Some(frame) = wall_frame(&down, lean.to_radians() - back, turn.to_radians())
                else {
                    continue;
                };
                let cameras = upwards.iter().filter_map(|up| self.on_plane(&frame, *up));
                scenes.extend(cameras.filter_map(|camera| self.around(camera)));
            }
        }
        if scenes.is_empty() {
            return Err(super::fit::swapped());
        }
        Ok(scenes)
    }

    /// From the homography of the marks and the lens as it was known before.
    fn camera_by_map(&self) -> Result<Camera, SurveyError> {
        let optics = self.prior.mean;
        let mut ideal = Vec::with_capacity(self.marks.len());
        for mark in &self.marks {
            ideal.push(optics.unsee(mark.spot.px).ok_or_else(|| {
                SurveyError::at(
                    format!("evidence[{}].px", mark.spot.index),
                    say!("The lens, as it is described, can't see mark {index}: its k1 and k2 fold the \
                         picture there. Check the lens, or leave it out.", index = mark.spot.index + 1),
                )
            })?);
        }
        let anchor = self.anchor();
        let places: Vec<Mm> = self
            .marks
            .iter()
            .map(|m| [m.mm[0] - anchor[0], m.mm[1] - anchor[1]])
            .collect();
        let map = Homography::fit(&places, &ideal)
            .map_err(|e| SurveyError::at("evidence", e.to_string()))?;
        Camera::from_homography(&map, anchor, optics).ok_or_else(super::fit::swapped)
    }

    /// The camera before a plane that is turned as `frame` says (its x, y and normal by columns),
    /// so that the two known places furthest apart are seen where they were marked. `upwards`
    /// says that the wall's own y runs up.
    fn on_plane(&self, frame: &Matrix3<f64>, upwards: bool) -> Option<Camera> {
        let optics = self.prior.mean;
        let (x, y, normal) = (frame.column(0), frame.column(1), frame.column(2));
        // On the plane at distance 1 along its normal.
        let flat = |px: Px| -> Option<Mm> {
            let ideal = optics.unsee(px)?;
            let ray = Vector3::new(ideal[0], ideal[1], 1.0);
            let along = normal.dot(&ray);
            (along > 0.05).then(|| [x.dot(&ray) / along, y.dot(&ray) / along])
        };
        let up = if upwards { -1.0 } else { 1.0 };
        let [(px_a, a), (px_b, b)] = self.farthest()?;
        let (p, q) = (flat(px_a)?, flat(px_b)?);
        let (seen, true_way) = (
            [q[0] - p[0], q[1] - p[1]],
            [b[0] - a[0], up * (b[1] - a[1])],
        );
        let scale = true_way[0].hypot(true_way[1]) / seen[0].hypot(seen[1]);
        let turn = seen[1].atan2(seen[0]) - true_way[1].atan2(true_way[0]);
        if !scale.is_finite() {
            return None;
        }
        let turned = Rotation3::from_axis_angle(&Vector3::z_axis(), turn).into_inner();
        let rotation = frame * turned * Matrix3::from_diagonal(&Vector3::new(1.0, up, up));
        let anchor = self.anchor();
        let past = Vector3::new(anchor[0] - a[0], anchor[1] - a[1], 0.0);
        let at_a = (x * p[0] + y * p[1] + normal) * scale;
        Some(Camera {
            rotation: Rotation3::from_matrix_unchecked(rotation),
            translation: rotation * past + at_a,
            anchor,
            optics,
        })
    }

    /// The scene about a camera: each rule lies where its end readings are seen.
    fn around(&self, camera: Camera) -> Option<Scene> {
        let lays = self
            .rules
            .iter()
            .enumerate()
            .map(|(i, rule)| {
                let middle = rule.middle();
                if self.layout.rules[i].is_none() {
                    return Some(self.fixed_lay());
                }
                let [first, last] = rule.ends();
                let (a, b) = (camera.unsee(first.spot.px)?, camera.unsee(last.spot.px)?);
                let share = (middle - first.at) / (last.at - first.at);
                Some(Lay {
                    middle,
                    at: [0, 1].map(|axis| a[axis] + share * (b[axis] - a[axis])),
                    angle: (b[1] - a[1]).atan2(b[0] - a[0]),
                })
            })
            .collect::<Option<Vec<Lay>>>()?;
        let mut scene = Scene {
            camera,
            lays,
            down: self.down(),
        };
        if !self.measured_down {
            // What a level or plumb rule says, as the camera now stands.
            let held = self.rules.iter().zip(&scene.lays).find_map(|(rule, lay)| {
                let way = lay.way();
                match (rule.level, rule.plumb) {
                    (true, _) => Some([-way[1], way[0]]),
                    (_, true) => Some(way),
                    _ => None,
                }
            });
            if let Some(way) = held {
                let along = scene.camera.rotation * Vector3::new(way[0], way[1], 0.0);
                let along = if along.y < 0.0 { -along } else { along };
                scene.down = Unit::new_normalize(along);
            }
        }
        Some(scene)
    }
}

/// A plane's x, y and normal (pointing away) by columns: upright where nothing leans, and turned.
fn wall_frame(down: &Unit<Vector3<f64>>, lean: f64, turn: f64) -> Option<Matrix3<f64>> {
    let sight = Vector3::z();
    let square = sight - down.into_inner() * down.dot(&sight);
    let square = square.try_normalize(1e-3).unwrap_or_else(|| aside(down)[0]);
    let turned = Rotation3::from_axis_angle(down, turn) * square;
    let across = down.cross(&turned);
    let leaned = Rotation3::from_axis_angle(&Unit::try_new(across, 1e-9)?, lean);
    let (normal, y) = (leaned * turned, leaned * down.into_inner());
    Some(Matrix3::from_columns(&[y.cross(&normal), y, normal]))
}
