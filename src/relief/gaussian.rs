//! A smooth surface of which some places were seen, and what that tells of all others: a Gaussian
//! process, conditioned (C. Rasmussen & C. Williams, "Gaussian Processes for Machine Learning",
//! 2006, 2.2 and algorithm 2.1), with the Matérn covariance of smoothness 5/2 (4.17 there).

use super::near::apart;
use crate::survey::Mm;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// A place, and how strongly each part of the unknown surface is felt there, in millimetres: the
/// part that changes along the wall, the part that all places share, and the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    pub at: Mm,
    pub local: f64,
    pub common: f64,
    pub scale: f64,
}

impl Spot {
    /// How much the surface varies there.
    pub fn variance(&self) -> f64 {
        self.local * self.local + self.common * self.common + self.scale * self.scale
    }

    /// How much it varies together with another place; `length` is that of the local part.
    pub fn with(&self, other: &Self, length: f64) -> f64 {
        self.local * other.local * matern(apart(self.at, other.at) / length)
            + self.common * other.common
            + self.scale * other.scale
    }
}

/// `(1 + √5 r + 5 r²/3) exp(-√5 r)`.
fn matern(r: f64) -> f64 {
    let r = 5.0_f64.sqrt() * r;
    (1.0 + r + r * r / 3.0) * (-r).exp()
}

/// A height that was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seen {
    pub at: Mm,
    pub height: f64,
    /// Standard deviation of its own.
    pub sd: f64,
    /// A standard deviation that it shares with the others of its group.
    pub shared: Option<(usize, f64)>,
}

/// What was seen, ready to tell of other places.
pub(super) struct Conditioned {
    pub spots: Vec<Spot>,
    pub length: f64,
    pub cholesky: Cholesky<f64, Dyn>,
}

/// Beside this share of the largest variance no reading is told from its neighbour: it keeps two
/// readings at one place from dividing by nothing.
const LEAST_NOISE: f64 = 1e-6;

impl Conditioned {
    /// On places that were seen with these errors; `None` where the numbers break down.
    pub fn on(spots: Vec<Spot>, seen: &[Seen], length: f64) -> Option<Self> {
        let n = spots.len();
        let largest = spots.iter().map(Spot::variance).fold(0.0, f64::max);
        let mut matrix = DMatrix::zeros(n, n);
        for column in 0..n {
            for row in column..n {
                let mut both = spots[row].with(&spots[column], length);
                if let (Some((a, sd)), Some((b, other))) = (seen[row].shared, seen[column].shared)
                    && a == b
                {
                    both += sd * other;
                }
                if row == column {
                    both += seen[row].sd * seen[row].sd + LEAST_NOISE * largest;
                }
                // The decomposition reads the lower half alone.
                matrix[(row, column)] = both;
            }
        }
        Some(Self {
            cholesky: Cholesky::new(matrix)?,
            spots,
            length,
        })
    }

    /// The logarithm of how likely these differences from the mean are, less what no choice of
    /// the surface changes.
    pub fn likelihood(&self, off: &DVector<f64>) -> f64 {
        let lower = self.cholesky.l_dirty();
        let logs: f64 = (0..off.len()).map(|i| lower[(i, i)].ln()).sum();
        let weights = self.cholesky.solve(off);
        -0.5 * off.dot(&weights) - logs
    }

    /// How each of these places varies together with each that was seen, a column each.
    pub fn towards(&self, places: &[Spot]) -> DMatrix<f64> {
        DMatrix::from_fn(self.spots.len(), places.len(), |row, column| {
            self.spots[row].with(&places[column], self.length)
        })
    }

    /// The variance that is left at places with these columns of [`Self::towards`].
    pub fn left(&self, towards: &DMatrix<f64>, places: &[Spot]) -> Vec<f64> {
        let mut solved = towards.clone();
        self.cholesky
            .l_dirty()
            .solve_lower_triangular_mut(&mut solved);
        let columns = solved.column_iter().zip(places);
        columns
            .map(|(column, place)| (place.variance() - column.norm_squared()).max(0.0))
            .collect()
    }
}
