//! The focal length straight from the maps of several views of a flat grid.
//!
//! Z. Zhang, "A flexible new technique for camera calibration", IEEE PAMI 22(11), 2000: the two
//! directions of the grid are at right angles and equally long, which each map must show in the
//! image of the absolute conic. Here with square pixels and the principal point in the picture's
//! middle, so that one number is left; the least-squares estimate frees the rest.

use crate::survey::Homography;

/// The focal length in the unit of the maps' pixels, which are counted from the principal point;
/// `None` where the views are too square-on to tell.
pub(super) fn focal(maps: &[Homography]) -> Option<f64> {
    let (mut ab, mut aa) = (0.0, 0.0);
    for map in maps {
        let h = map.h;
        let column = |c: usize| [h[0][c], h[1][c], h[2][c]];
        let (x, y) = (column(0), column(1));
        let size = x.iter().chain(&y).map(|c| c * c).sum::<f64>();
        // Each equation reads a / focal² + b = 0.
        for (a, b) in [
            (x[0] * y[0] + x[1] * y[1], x[2] * y[2]),
            (
                x[0] * x[0] + x[1] * x[1] - y[0] * y[0] - y[1] * y[1],
                x[2] * x[2] - y[2] * y[2],
            ),
        ] {
            let (a, b) = (a / size, b / size);
            ab += a * b;
            aa += a * a;
        }
    }
    let focal = (-aa / ab).sqrt();
    focal.is_finite().then_some(focal)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix3, Rotation3};

    #[test]
    fn two_tilted_views_give_the_focal_length_that_drew_them() {
        let maps = [[0.5, 0.1, 0.2], [-0.2, 0.4, 1.0]].map(|[a, b, c]| {
            let r = Rotation3::from_euler_angles(a, b, c);
            let k = Matrix3::new(0.8, 0.0, 0.0, 0.0, 0.8, 0.0, 0.0, 0.0, 1.0);
            let mut pose = r.into_inner();
            pose.set_column(2, &nalgebra::Vector3::new(0.3, -0.2, 9.0));
            let m = k * pose / 7.0;
            Homography {
                h: std::array::from_fn(|r| std::array::from_fn(|c| m[(r, c)])),
            }
        });
        assert!((focal(&maps).unwrap() - 0.8).abs() < 1e-12);
    }

    #[test]
    fn square_on_views_tell_nothing() {
        let flat = Homography {
            h: [[2.0, 0.0, 5.0], [0.0, 2.0, 1.0], [0.0, 0.0, 1.0]],
        };
        assert_eq!(focal(&[flat; 3]), None);
    }
}
