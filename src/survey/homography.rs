//! The map from one plane to another, from pairs of points.
//!
//! Normalised direct linear transformation (R. Hartley, "In Defense of the Eight-Point
//! Algorithm", IEEE PAMI 19(6), 1997), then refined so that the sum of squared distances in
//! the target plane is least.

use super::SurveyError;
use super::least_squares::{LeastSquares, Normal, solve};
use crate::say;
use crate::words::tr;
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};
use serde::{Deserialize, Serialize};

/// A map from plane to plane: `to ~ h · (from, 1)`, scaled so that `h[2][2]` is 1 where it can be.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Homography {
    /// The matrix by rows.
    pub h: [[f64; 3]; 3],
}

/// Where the second least eigenvalue is below this share of all, the pairs don't fix the map.
const RANK_GAP: f64 = 1e-12;

/// Each round brings the least value out by its ratio to the next one; where that is near 1 the
/// refinement does the rest.
const EIGEN_ROUNDS: usize = 60;

/// Far below what counts as zero.
const LIFT: f64 = 1e-14;

impl Homography {
    /// The map that brings `from` nearest to `to` (least squares of distances in `to`).
    ///
    /// Needs four pairs or more, no three of four in a line.
    ///
    /// ```
    /// use peelcast::survey::Homography;
    /// let seen = [[120.0, 80.0], [1010.0, 140.0], [960.0, 760.0], [90.0, 700.0]];
    /// let sheet = [[0.0, 0.0], [297.0, 0.0], [297.0, 210.0], [0.0, 210.0]];
    /// let h = Homography::fit(&seen, &sheet).unwrap();
    /// // The diagonals of the sheet cross in its middle.
    /// let middle = h.apply([544.29197, 423.47445]).unwrap();
    /// assert!((middle[0] - 148.5).abs() < 1e-4 && (middle[1] - 105.0).abs() < 1e-4);
    /// ```
    pub fn fit(from: &[[f64; 2]], to: &[[f64; 2]]) -> Result<Self, SurveyError> {
        if from.len() != to.len() {
            return Err(SurveyError::at(
                "to",
                say!(
                    "There are {value} points on one side and {to} on the other: give them in pairs.",
                    value = from.len(),
                    to = to.len()
                ),
            ));
        }
        if from.len() < 4 {
            return Err(SurveyError::at(
                "from",
                say!(
                    "{value} pairs of points don't fix the plane: give four or more.",
                    value = from.len()
                ),
            ));
        }
        for (name, points) in [("from", from), ("to", to)] {
            if let Some(i) = points.iter().position(|p| !p.iter().all(|x| x.is_finite())) {
                return Err(SurveyError::at(
                    format!("{name}[{i}]"),
                    tr("This point isn't a pair of ordinary numbers."),
                ));
            }
        }
        let (Some((tf, from)), Some((tt, to))) = (normalised(from), normalised(to)) else {
            return Err(undecided());
        };
        let start = direct(&from, &to).ok_or_else(undecided)?;
        let refined = solve(&Pairs { from, to }, start).state;
        let inverse = tt.try_inverse().ok_or_else(undecided)?;
        let h = inverse * refined * tf;
        let size = h.norm();
        let scale = if h[(2, 2)].abs() > 1e-12 * size {
            h[(2, 2)]
        } else {
            size
        };
        Ok(Self::from_matrix(&(h / scale)))
    }

    /// Where a point goes; `None` on and beyond the horizon's line.
    pub fn apply(&self, from: [f64; 2]) -> Option<[f64; 2]> {
        let v = self.matrix() * Vector3::new(from[0], from[1], 1.0);
        (v.z.abs() > f64::MIN_POSITIVE).then(|| [v.x / v.z, v.y / v.z])
    }

    pub(crate) fn matrix(&self) -> Matrix3<f64> {
        Matrix3::from_fn(|r, c| self.h[r][c])
    }

    fn from_matrix(m: &Matrix3<f64>) -> Self {
        Self {
            h: std::array::from_fn(|r| std::array::from_fn(|c| m[(r, c)])),
        }
    }
}

fn undecided() -> SurveyError {
    SurveyError::at(
        "from",
        tr(
            "These points don't fix the plane: at least four are needed of which no three lie in a \
         line. Add a mark away from the line.",
        ),
    )
}

/// Hartley's normalisation: middle at zero, mean distance from it √2.
fn normalised(points: &[[f64; 2]]) -> Option<(Matrix3<f64>, Vec<[f64; 2]>)> {
    let n = points.len() as f64;
    let (mx, my) = (
        points.iter().map(|p| p[0]).sum::<f64>() / n,
        points.iter().map(|p| p[1]).sum::<f64>() / n,
    );
    let mean = points
        .iter()
        .map(|p| (p[0] - mx).hypot(p[1] - my))
        .sum::<f64>()
        / n;
    let s = std::f64::consts::SQRT_2 / mean;
    if !s.is_finite() {
        return None;
    }
    let t = Matrix3::new(s, 0.0, -s * mx, 0.0, s, -s * my, 0.0, 0.0, 1.0);
    let moved: Vec<[f64; 2]> = points
        .iter()
        .map(|p| [s * (p[0] - mx), s * (p[1] - my)])
        .collect();
    // Numbers near the end of their range overflow here.
    let sound = moved.iter().flatten().all(|x| x.is_finite());
    sound.then_some((t, moved))
}

/// The direct linear transformation; `None` where the pairs leave more than one map.
fn direct(from: &[[f64; 2]], to: &[[f64; 2]]) -> Option<Matrix3<f64>> {
    let mut ata = DMatrix::zeros(9, 9);
    for (&[x, y], &[u, v]) in from.iter().zip(to) {
        for row in [
            [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u],
            [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v],
        ] {
            ata.syger(
                1.0,
                &DVector::from_row_slice(&row),
                &DVector::from_row_slice(&row),
                1.0,
            );
        }
    }
    ata.fill_upper_triangle_with_lower_triangle();
    let all = ata.trace();
    let (least, _) = least_but(&ata, None)?;
    let (_, next) = least_but(&ata, Some(&least))?;
    (next > RANK_GAP * all).then(|| Matrix3::from_row_slice(least.as_slice()))
}

/// The eigenvector of the least eigenvalue, or of the next one where the least is given, with its
/// eigenvalue; by inverse iteration (J. Wilkinson, The Algebraic Eigenvalue Problem, 1965).
fn least_but(matrix: &DMatrix<f64>, known: Option<&DVector<f64>>) -> Option<(DVector<f64>, f64)> {
    // Lifted by a hair, so that a least value of zero can be divided by.
    let lift = LIFT * matrix.trace();
    let lifted = matrix + DMatrix::from_diagonal_element(9, 9, lift);
    let root = lifted.cholesky()?;
    // No direction that matters is at right angles to this one.
    let mut v = DVector::from_fn(9, |i, _| 1.0 + (i as f64).sqrt());
    for _ in 0..EIGEN_ROUNDS {
        if let Some(known) = known {
            v -= known * known.dot(&v);
        }
        root.solve_mut(&mut v);
        v /= v.norm();
    }
    let value = v.dot(&(matrix * &v));
    value.is_finite().then_some((v, value))
}

/// The refinement: eight free numbers, since the matrix's scale is no parameter.
struct Pairs {
    from: Vec<[f64; 2]>,
    to: Vec<[f64; 2]>,
}

impl LeastSquares for Pairs {
    type State = Matrix3<f64>;

    fn normal(&self, h: &Matrix3<f64>) -> Option<Normal> {
        let mut normal = Normal::zero(9);
        for (&[x, y], &[u, v]) in self.from.iter().zip(&self.to) {
            let p = Vector3::new(x, y, 1.0);
            let q = h * p;
            if q.z == 0.0 {
                return None;
            }
            let (a, b) = (q.x / q.z, q.y / q.z);
            let mut du = DVector::zeros(9);
            let mut dv = DVector::zeros(9);
            for i in 0..3 {
                du[i] = p[i] / q.z;
                dv[3 + i] = p[i] / q.z;
                du[6 + i] = -a * p[i] / q.z;
                dv[6 + i] = -b * p[i] / q.z;
            }
            normal.add(a - u, &du);
            normal.add(b - v, &dv);
        }
        // Growth of the whole matrix changes nothing that is seen: hold it still.
        let along = DVector::from_fn(9, |i, _| h[(i / 3, i % 3)] / h.norm());
        normal.add(0.0, &along);
        Some(normal)
    }

    fn moved(&self, h: &Matrix3<f64>, step: &DVector<f64>) -> Matrix3<f64> {
        let next = h + Matrix3::from_row_slice(step.as_slice());
        next / next.norm()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_pairs_give_the_matrix_worked_out_by_an_independent_library() {
        let from = [
            [120.0, 80.0],
            [1010.0, 140.0],
            [960.0, 760.0],
            [90.0, 700.0],
        ];
        let to = [[0.0, 0.0], [297.0, 0.0], [297.0, 210.0], [0.0, 210.0]];
        let h = Homography::fit(&from, &to).unwrap();
        let known = [
            [0.3326032640, 0.01609370632, -41.19988819],
            [-0.02220088303, 0.3293130983, -23.68094190],
            [4.894470604e-06, -3.573032688e-05, 1.0],
        ];
        for (row, wanted) in h.h.iter().flatten().zip(known.iter().flatten()) {
            assert!(
                (row - wanted).abs() <= 1e-9 * wanted.abs().max(1e-3),
                "{row} {wanted}"
            );
        }
        let p = h.apply([500.0, 400.0]).unwrap();
        assert!((p[0] - 133.11597).abs() < 1e-5 && (p[1] - 98.10591).abs() < 1e-5);
    }

    #[test]
    fn points_in_a_line_are_refused() {
        let from = [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 0.0], [4.0, 0.0]];
        assert!(Homography::fit(&from, &from).is_err());
        let three = [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [1.0, 5.0]];
        assert!(Homography::fit(&three, &three).is_err());
        let same = [[1.0, 1.0]; 4];
        assert!(Homography::fit(&same, &three).is_err());
    }

    #[test]
    fn numbers_at_the_end_of_their_range_are_refused() {
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        for big in [1e160, 1e308] {
            let huge = square.map(|p| p.map(|x| x * big));
            let both = [
                Homography::fit(&huge, &square),
                Homography::fit(&square, &huge),
            ];
            assert!(both.iter().all(|h| match h {
                Ok(h) => h.h.iter().flatten().all(|x| x.is_finite()),
                Err(_) => true,
            }));
        }
        let nan = [[0.0, 0.0], [1.0, 0.0], [1.0, f64::NAN], [0.0, 1.0]];
        assert_eq!(Homography::fit(&square, &nan).unwrap_err().field(), "to[2]");
    }

    #[test]
    fn refining_lowers_the_distance_in_the_target() {
        let from: Vec<[f64; 2]> = (0..12)
            .map(|i| [f64::from(i % 4), f64::from(i / 4)])
            .collect();
        let to: Vec<[f64; 2]> = from
            .iter()
            .enumerate()
            .map(|(i, &[x, y])| {
                let w = 1.0 + 0.2 * x + 0.1 * y;
                let wobble = 0.05 * ((i * 7 % 5) as f64 - 2.0);
                [(3.0 * x + y) / w + wobble, (2.0 * y - x) / w - wobble]
            })
            .collect();
        let cost = |h: &Homography| -> f64 {
            from.iter()
                .zip(&to)
                .map(|(&f, t)| {
                    let p = h.apply(f).unwrap();
                    (p[0] - t[0]).powi(2) + (p[1] - t[1]).powi(2)
                })
                .sum()
        };
        let best = Homography::fit(&from, &to).unwrap();
        for i in 0..8 {
            for by in [1e-4, -1e-4] {
                let mut near = best;
                near.h[i / 3][i % 3] += by;
                assert!(cost(&near) > cost(&best));
            }
        }
    }
}
