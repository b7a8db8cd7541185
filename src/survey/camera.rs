//! The camera before the wall: where a place on the wall is seen, and what a pixel sees.

use super::lens::Optics;
use super::{Homography, Mm, Px};
use nalgebra::{Matrix3, Rotation3, SMatrix, SVector, Vector3};
use serde::{Deserialize, Serialize};

/// How many numbers describe the camera: three of rotation, three of translation, then log
/// focal length, centre x, centre y, k1, k2.
pub(crate) const PARAMETERS: usize = 11;

/// A step, a slope or a spread in the camera's numbers.
pub(crate) type Parameters = SVector<f64, PARAMETERS>;

/// How the camera's numbers are spread, and spread together.
pub(crate) type Covariance = SMatrix<f64, PARAMETERS, PARAMETERS>;

/// The camera's pose before the wall, and its lens.
///
/// A place `(x, y)` on the wall lies at `rotation · (x - anchor x, y - anchor y, 0) + translation`
/// in the camera's frame (x right, y down, z forward, millimetres).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Camera {
    pub(crate) rotation: Rotation3<f64>,
    pub(crate) translation: Vector3<f64>,
    /// The middle of the marks: turning about it keeps rotation and translation apart.
    pub(crate) anchor: Mm,
    pub(crate) optics: Optics,
}

/// A place on the wall as the camera sees it.
pub(crate) struct Seen {
    pub(crate) px: Px,
    /// How x and y of the pixel grow with each of the camera's numbers.
    pub(crate) slopes: [Parameters; 2],
    /// How x and y of the pixel grow with x and y on the wall, in pixels a millimetre.
    pub(crate) on_wall: [[f64; 2]; 2],
    /// How x and y of the pixel grow with the height before the wall, in pixels a millimetre.
    pub(crate) by_height: [f64; 2],
}

impl Camera {
    /// The pose that a map from the wall (about `anchor`) to ideal points `(X/Z, Y/Z)` implies;
    /// `None` if it is no view of a plane.
    pub(crate) fn from_homography(map: &Homography, anchor: Mm, optics: Optics) -> Option<Self> {
        let h = map.matrix();
        let (a, b, c) = (h.column(0), h.column(1), h.column(2));
        let scale = (a.norm() * b.norm()).sqrt() * c.z.signum();
        if !(scale.abs() > 0.0 && scale.is_finite()) {
            return None;
        }
        // The nearest pair of directions at right angles: turned away from their middle alike.
        let (x, y) = (a.try_normalize(0.0)?, b.try_normalize(0.0)?);
        let (middle, across) = ((x + y).try_normalize(0.0)?, (x - y).try_normalize(0.0)?);
        let sign = scale.signum() * std::f64::consts::FRAC_1_SQRT_2;
        let (x, y) = ((middle + across) * sign, (middle - across) * sign);
        let rotation = Matrix3::from_columns(&[x, y, x.cross(&y)]);
        Some(Self {
            rotation: Rotation3::from_matrix_unchecked(rotation),
            translation: c / scale,
            anchor,
            optics,
        })
    }

    /// The other pose that shows a small flat thing nearly the same: its tilt mirrored about the
    /// line of sight (the Necker cube's riddle).
    pub(crate) fn mirrored(&self) -> Self {
        let sight = self.translation.normalize();
        let mirror = Matrix3::identity() - 2.0 * sight * sight.transpose();
        // Mirrored along the sight on both sides: what is across the sight stays, the tilt turns.
        let local = mirror * self.rotation.matrix();
        let x = local.column(0).into_owned();
        let y = local.column(1).into_owned();
        let turned = Matrix3::from_columns(&[x, y, x.cross(&y)]);
        Self {
            rotation: Rotation3::from_matrix_unchecked(turned),
            ..self.clone()
        }
    }

    /// The wall's normal in the camera's frame, pointing away from the wall's readable side.
    pub(crate) fn normal(&self) -> Vector3<f64> {
        self.rotation.matrix().column(2).into_owned()
    }

    /// Where in the camera's frame a place on the wall is, in millimetres.
    fn before(&self, mm: Mm) -> Vector3<f64> {
        self.rotation * self.past_anchor(mm) + self.translation
    }

    fn past_anchor(&self, mm: Mm) -> Vector3<f64> {
        Vector3::new(mm[0] - self.anchor[0], mm[1] - self.anchor[1], 0.0)
    }

    /// The pixel that sees what stands `height` millimetres straight before a place on the wall;
    /// `None` behind the camera or past the lens's fold.
    pub(crate) fn see_before(&self, mm: Mm, height: f64) -> Option<Px> {
        let normal = self.normal();
        let away = normal.dot(&self.translation).signum();
        let p = self.before(mm) - normal * (height * away);
        if p.z <= 0.0 {
            return None;
        }
        let ideal = [p.x / p.z, p.y / p.z];
        let r2 = ideal[0] * ideal[0] + ideal[1] * ideal[1];
        self.optics.unfolded(r2).then(|| self.optics.see(ideal))
    }

    /// The place on the wall that a pixel sees; `None` where it looks past the wall's horizon.
    pub(crate) fn unsee(&self, px: Px) -> Option<Mm> {
        self.unsee_before(px, 0.0)
    }

    /// The place that a pixel sees on the plane so many millimetres before the wall, and from
    /// there straight back on the wall.
    pub(crate) fn unsee_before(&self, px: Px, height: f64) -> Option<Mm> {
        let ideal = self.optics.unsee(px)?;
        let ray = Vector3::new(ideal[0], ideal[1], 1.0);
        let normal = self.normal();
        let distance = normal.dot(&self.translation);
        let along = (distance - height * distance.signum()) / normal.dot(&ray);
        if !(along > 0.0 && along.is_finite()) {
            return None;
        }
        let p = self.rotation.inverse() * (ray * along - self.translation);
        Some([p.x + self.anchor[0], p.y + self.anchor[1]])
    }

    /// As [`Self::see_before`], but without looking for the fold, with the slopes of both pixel
    /// coordinates in the camera's numbers, in the place on the wall, and in the height before it.
    pub(crate) fn see_with_slopes(&self, mm: Mm, height: f64) -> Option<Seen> {
        let normal = self.normal();
        let away = normal.dot(&self.translation).signum();
        let arm = self.rotation * self.past_anchor(mm) - normal * (height * away);
        let p = arm + self.translation;
        if p.z <= 0.0 {
            return None;
        }
        let Optics { focal, k1, k2, .. } = self.optics;
        let (x, y) = (p.x / p.z, p.y / p.z);
        let r2 = x * x + y * y;
        let bend = 1.0 + r2 * (k1 + r2 * k2);
        let growth = 2.0 * (k1 + 2.0 * k2 * r2);
        // Slopes of the seen point in the ideal one, then in the place before the camera.
        let ideal = SMatrix::<f64, 2, 2>::new(
            bend + growth * x * x,
            growth * x * y,
            growth * x * y,
            bend + growth * y * y,
        );
        let ray = SMatrix::<f64, 2, 3>::new(1.0, 0.0, -x, 0.0, 1.0, -y) / p.z;
        let by_place = focal * ideal * ray;
        let mut slopes = SMatrix::<f64, 2, PARAMETERS>::zeros();
        for axis in 0..3 {
            let turned = Vector3::ith(axis, 1.0).cross(&arm);
            slopes.set_column(axis, &(by_place * turned));
            slopes.set_column(3 + axis, &by_place.column(axis));
        }
        let seen = SVector::<f64, 2>::new(x, y) * focal;
        slopes.set_column(6, &(seen * bend));
        slopes[(0, 7)] = 1.0;
        slopes[(1, 8)] = 1.0;
        slopes.set_column(9, &(seen * r2));
        slopes.set_column(10, &(seen * (r2 * r2)));
        let rows = [0, 1].map(|axis| slopes.row(axis).transpose());
        let on_wall = by_place * self.rotation.matrix();
        let by_height = by_place * normal * -away;
        Some(Seen {
            px: self.optics.see([x, y]),
            slopes: rows,
            on_wall: [0, 1].map(|axis| [on_wall[(axis, 0)], on_wall[(axis, 1)]]),
            by_height: [by_height[0], by_height[1]],
        })
    }

    /// The camera a step further on.
    pub(crate) fn moved(&self, step: &Parameters) -> Self {
        let turn = Rotation3::from_scaled_axis(Vector3::new(step[0], step[1], step[2]));
        let t = self.translation;
        let optics = self.optics;
        Self {
            rotation: turn * self.rotation,
            // The distance by its logarithm, as the focal length: the two grow together where
            // nothing tells them apart, and then no size changes.
            translation: Vector3::new(t.x + step[3], t.y + step[4], t.z * (step[5] / t.z).exp()),
            anchor: self.anchor,
            optics: Optics {
                focal: optics.focal * step[6].exp(),
                center: [optics.center[0] + step[7], optics.center[1] + step[8]],
                k1: optics.k1 + step[9],
                k2: optics.k2 + step[10],
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn camera() -> Camera {
        Camera {
            rotation: Rotation3::from_euler_angles(0.2, -0.4, 0.1),
            translation: Vector3::new(30.0, -20.0, 700.0),
            anchor: [100.0, 50.0],
            optics: Optics {
                focal: 3000.0,
                center: [2000.0, 1500.0],
                k1: -0.1,
                k2: 0.02,
            },
        }
    }

    #[test]
    fn slopes_are_those_of_small_steps() {
        let camera = camera();
        let mm = [230.0, -80.0];
        let Seen {
            slopes, on_wall, ..
        } = camera.see_with_slopes(mm, 12.0).unwrap();
        for i in 0..PARAMETERS {
            let mut step = Parameters::zeros();
            step[i] = 1e-6;
            let high = camera.moved(&step).see_before(mm, 12.0).unwrap();
            let low = camera.moved(&-step).see_before(mm, 12.0).unwrap();
            for axis in 0..2 {
                let slope = (high[axis] - low[axis]) / 2e-6;
                let said = slopes[axis][i];
                assert!(
                    (slope - said).abs() < 1e-4 * (1.0 + said.abs()),
                    "{i}: {slope} {said}"
                );
            }
        }
        for along in 0..2 {
            let step = |by: f64| {
                let mut mm = mm;
                mm[along] += by;
                camera.see_before(mm, 12.0).unwrap()
            };
            let (high, low) = (step(1e-4), step(-1e-4));
            for axis in 0..2 {
                let slope = (high[axis] - low[axis]) / 2e-4;
                assert!(
                    (slope - on_wall[axis][along]).abs() < 1e-5,
                    "{along}: {slope}"
                );
            }
        }
    }

    #[test]
    fn a_pixel_sees_the_place_that_is_seen_there() {
        let camera = camera();
        let back = camera
            .unsee(camera.see_before([-40.0, 210.0], 0.0).unwrap())
            .unwrap();
        assert!((back[0] + 40.0).abs() < 1e-9 && (back[1] - 210.0).abs() < 1e-9);
    }

    #[test]
    fn mirroring_twice_is_nothing_and_once_keeps_what_is_across_the_sight() {
        let camera = camera();
        let mirrored = camera.mirrored();
        let twice = mirrored.mirrored();
        assert!((twice.rotation.matrix() - camera.rotation.matrix()).norm() < 1e-12);
        assert!((mirrored.rotation.matrix().determinant() - 1.0).abs() < 1e-12);
        let sight = camera.translation.normalize();
        let tilt = |c: &Camera| c.normal().dot(&sight);
        assert!((tilt(&camera) - tilt(&mirrored)).abs() < 1e-12);
    }
}
