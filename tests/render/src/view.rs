//! The camera: where it stands before the wall and how its lens bends.

use crate::Point;

type Vector = [f64; 3];

/// A pinhole camera with radial distortion before a flat wall.
///
/// The seen `x' = x (1 + k1 r² + k2 r⁴)` of the ideal `x = X/Z`; `u = focal x' + centre`.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Pixels from left to right and from top to bottom.
    pub size: [u32; 2],
    /// Focal length, in pixels.
    pub focal: f64,
    /// Principal point, in pixels.
    pub center: Point,
    /// Radial distortion of the second degree.
    pub k1: f64,
    /// Radial distortion of the fourth degree.
    pub k2: f64,
    /// The camera's right, down and forward in the wall's frame (x right, y down, z into the wall).
    axes: [Vector; 3],
    /// Where the camera is in the wall's frame, in millimetres; z is negative in front.
    stand: Vector,
}

/// How the camera is held.
#[derive(Clone, Copy, Debug)]
pub struct Hold {
    /// The place on the wall in the middle of the view.
    pub target: Point,
    /// From the camera to that place, in millimetres.
    pub distance: f64,
    /// Angle between the line of sight and the wall's normal, in degrees.
    pub tilt_deg: f64,
    /// From which side: 0 from the right, 90 from below, 180 from the left.
    pub azimuth_deg: f64,
    /// Turn about the line of sight, in degrees.
    pub roll_deg: f64,
}

impl View {
    /// A camera held so, with its principal point in the middle and no distortion.
    pub fn new(size: [u32; 2], focal: f64, hold: Hold) -> Self {
        let (tilt, from) = (hold.tilt_deg.to_radians(), hold.azimuth_deg.to_radians());
        // Out of the wall towards the camera.
        let out = [
            tilt.sin() * from.cos(),
            tilt.sin() * from.sin(),
            -tilt.cos(),
        ];
        let stand = [
            hold.target[0] + hold.distance * out[0],
            hold.target[1] + hold.distance * out[1],
            hold.distance * out[2],
        ];
        let forward = out.map(|c| -c);
        let right = unit(cross([0.0, 1.0, 0.0], forward));
        let down = cross(forward, right);
        let (s, c) = hold.roll_deg.to_radians().sin_cos();
        let mix =
            |a: Vector, x: f64, b: Vector, y: f64| std::array::from_fn(|i| a[i] * x + b[i] * y);
        Self {
            size,
            focal,
            center: size.map(|n| (f64::from(n) - 1.0) / 2.0),
            k1: 0.0,
            k2: 0.0,
            axes: [mix(right, c, down, s), mix(down, c, right, -s), forward],
            stand,
        }
    }

    /// The same camera with a bent lens.
    pub fn bent(self, k1: f64, k2: f64) -> Self {
        Self { k1, k2, ..self }
    }

    /// The pixel that shows a place on the wall.
    pub fn see(&self, wall: Point) -> Point {
        self.see_at([wall[0], wall[1], 0.0])
    }

    /// The pixel that shows a place so many millimetres before the wall.
    pub fn see_before(&self, wall: Point, height: f64) -> Point {
        self.see_at([wall[0], wall[1], -height])
    }

    fn see_at(&self, place: Vector) -> Point {
        let d: Vector = std::array::from_fn(|i| place[i] - self.stand[i]);
        let [x, y, z] = self.axes.map(|axis| dot(axis, d));
        let (x, y) = (x / z, y / z);
        let r2 = x * x + y * y;
        let bend = 1.0 + self.k1 * r2 + self.k2 * r2 * r2;
        [
            self.focal * bend * x + self.center[0],
            self.focal * bend * y + self.center[1],
        ]
    }

    /// The place on the wall that a pixel shows; `None` past the wall's horizon.
    pub fn unsee(&self, px: Point) -> Option<Point> {
        let ray = self.ray(px);
        let along = -self.stand[2] / ray[2];
        (along > 0.0 && along.is_finite()).then(|| [0, 1].map(|i| self.stand[i] + along * ray[i]))
    }

    /// The direction in which a pixel looks, in the wall's frame.
    pub fn ray(&self, px: Point) -> Vector {
        let seen: Point = std::array::from_fn(|i| (px[i] - self.center[i]) / self.focal);
        // Undone by repetition: each round brings the ideal point nearer.
        let mut ideal = seen;
        for _ in 0..50 {
            let r2 = ideal[0] * ideal[0] + ideal[1] * ideal[1];
            let bend = 1.0 + self.k1 * r2 + self.k2 * r2 * r2;
            let next = seen.map(|c| c / bend);
            let change = (next[0] - ideal[0]).abs() + (next[1] - ideal[1]).abs();
            ideal = next;
            if change < 1e-12 {
                break;
            }
        }
        std::array::from_fn(|i| {
            self.axes[0][i] * ideal[0] + self.axes[1][i] * ideal[1] + self.axes[2][i]
        })
    }

    /// The rectangle on the wall that holds all that is seen, with a margin in millimetres. A
    /// corner that looks past the wall is left out.
    pub fn reach(&self, margin: f64) -> (Point, Point) {
        let [w, h] = self.size.map(|n| f64::from(n) - 1.0);
        let corners = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        let seen = corners.iter().filter_map(|px| self.unsee(*px));
        let (from, to) = seen.fold(
            ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]),
            |(from, to): (Point, Point), p| {
                (
                    [0, 1].map(|i| from[i].min(p[i])),
                    [0, 1].map(|i| to[i].max(p[i])),
                )
            },
        );
        (from.map(|c| c - margin), to.map(|c| c + margin))
    }

    /// The direction of gravity in the camera's frame, for a wall that leans back by so many
    /// degrees: 0 stands upright, 90 is a floor, -90 a ceiling.
    pub fn gravity(&self, angle_deg: f64) -> Vector {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        self.axes.map(|axis| cos * axis[1] + sin * axis[2])
    }

    /// Where the camera is in the wall's frame, in millimetres; z is negative in front.
    pub fn stand(&self) -> Vector {
        self.stand
    }

    /// Whether the pixel lies in the picture, a margin from its border.
    pub fn holds(&self, px: Point, margin: f64) -> bool {
        (0..2).all(|i| px[i] >= margin && px[i] <= f64::from(self.size[i]) - 1.0 - margin)
    }
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: Vector, b: Vector) -> Vector {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn unit(a: Vector) -> Vector {
    let length = dot(a, a).sqrt();
    a.map(|c| c / length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hold(tilt_deg: f64) -> Hold {
        Hold {
            target: [100.0, 50.0],
            distance: 500.0,
            tilt_deg,
            azimuth_deg: 30.0,
            roll_deg: 0.0,
        }
    }

    #[test]
    fn square_on_the_picture_is_a_scaled_wall() {
        let view = View::new([1001, 801], 1000.0, hold(0.0));
        assert_eq!(view.see([100.0, 50.0]), [500.0, 400.0]);
        assert_eq!(view.see([150.0, 75.0]), [600.0, 450.0]);
    }

    #[test]
    fn a_tilted_bent_view_is_undone() {
        let view = View::new([1600, 1200], 1200.0, hold(25.0)).bent(-0.05, 0.01);
        let back = view.unsee(view.see([-30.0, 160.0])).unwrap();
        assert!((back[0] + 30.0).abs() < 1e-6 && (back[1] - 160.0).abs() < 1e-6);
    }

    #[test]
    fn gravity_points_down_the_picture() {
        let g = View::new([1600, 1200], 1200.0, hold(0.0)).gravity(0.0);
        assert!((g[1] - 1.0).abs() < 1e-12, "{g:?}");
    }
}
