//! A straight line through points of which some stray.

use crate::survey::Px;
use crate::survey::rank::nth;

/// A line fitted to points, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    /// The middle of the points it was fitted to.
    pub at: Px,
    /// Its direction, of length 1.
    pub along: Px,
    /// Standard deviation of its place across itself at `at`, in pixels.
    pub offset_sd: f64,
    /// Standard deviation of its direction, in radians.
    pub angle_sd: f64,
    /// Standard deviation of one point about it, in pixels.
    pub scatter: f64,
    /// Share of the points that it passes through.
    pub share: f64,
}

/// Rounds of reweighting: the weights have settled by then.
pub(super) const ROUNDS: usize = 12;

/// Tukey's biweight gives no weight to what is further off than this many standard deviations
/// (P. Huber, Robust Statistics, 1981: 95 % as good as least squares for normal errors).
pub(super) const TUKEY: f64 = 4.685;

/// Neighbours a pixel apart see the same pixels: so many points say as much as one that stands
/// alone.
const ALIKE: f64 = 2.0;

/// No line is known better along a stretch of a picture, in pixels: the pixels' own raster and
/// the file's compression remain (from the drawn photos of the tests).
const LEAST_SCATTER: f64 = 0.06;

impl Line {
    /// The line by total least squares, reweighted by Tukey's biweight; `None` for fewer than
    /// four points that agree.
    pub fn fit(points: &[Px]) -> Option<Self> {
        let mut weights = vec![1.0; points.len()];
        let mut line = Self::weighted(points, &weights)?;
        for _ in 0..ROUNDS {
            let off: Vec<f64> = points.iter().map(|p| line.off(*p)).collect();
            let spread = spread(&off).max(LEAST_SCATTER);
            for (weight, off) in weights.iter_mut().zip(&off) {
                let far = off / (TUKEY * spread);
                *weight = if far.abs() < 1.0 {
                    (1.0 - far * far).powi(2)
                } else {
                    0.0
                };
            }
            line = Self::weighted(points, &weights)?;
        }
        Some(line)
    }

    fn weighted(points: &[Px], weights: &[f64]) -> Option<Self> {
        let sum: f64 = weights.iter().sum();
        let kept = weights.iter().filter(|w| **w > 0.0).count();
        if kept < 4 || sum < 1.0 {
            return None;
        }
        let both = || points.iter().zip(weights);
        let at = [0, 1].map(|k| both().map(|(p, w)| w * p[k]).sum::<f64>() / sum);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (p, w) in both() {
            let (x, y) = (p[0] - at[0], p[1] - at[1]);
            xx += w * x * x;
            xy += w * x * y;
            yy += w * y * y;
        }
        let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
        let (s, c) = angle.sin_cos();
        let along_square = (c * c * xx + 2.0 * s * c * xy + s * s * yy) / sum;
        let across_square = (s * s * xx - 2.0 * s * c * xy + c * c * yy) / sum;
        if along_square <= 0.0 {
            return None;
        }
        let scatter = across_square.max(0.0).sqrt().max(LEAST_SCATTER);
        let offset_sd = scatter * (ALIKE / sum).sqrt();
        Some(Self {
            at,
            along: [c, s],
            offset_sd,
            angle_sd: offset_sd / along_square.sqrt(),
            scatter,
            share: kept as f64 / points.len() as f64,
        })
    }

    /// The direction across: the direction along, a quarter turn from x to y.
    pub fn across(&self) -> Px {
        [-self.along[1], self.along[0]]
    }

    /// How far across the line a place lies, in pixels.
    fn off(&self, p: Px) -> f64 {
        let n = self.across();
        (p[0] - self.at[0]) * n[0] + (p[1] - self.at[1]) * n[1]
    }

    /// Where two lines cross, and the standard deviation of that place along x and along y, the
    /// mean of both; `None` for lines that are nearly parallel.
    pub fn meet(&self, other: &Self) -> Option<(Px, f64)> {
        let (n, m) = (self.across(), other.across());
        let cross = n[0] * m[1] - n[1] * m[0];
        if cross.abs() < 1e-6 {
            return None;
        }
        let c = n[0] * self.at[0] + n[1] * self.at[1];
        let d = m[0] * other.at[0] + m[1] * other.at[1];
        let px = [(c * m[1] - d * n[1]) / cross, (d * n[0] - c * m[0]) / cross];
        // Each line moves the crossing along the other one.
        let variance = self.variance_at(px) + other.variance_at(px);
        Some((px, (variance / 2.0).sqrt() / cross.abs()))
    }

    /// Variance of the line's place across itself, at the foot of a place.
    fn variance_at(&self, p: Px) -> f64 {
        let t = (p[0] - self.at[0]) * self.along[0] + (p[1] - self.at[1]) * self.along[1];
        self.offset_sd.powi(2) + (t * self.angle_sd).powi(2)
    }
}

/// The standard deviation of normal errors that has the same median size.
pub(super) fn spread(errors: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = errors.iter().map(|e| e.abs()).collect();
    if sizes.is_empty() {
        return 0.0;
    }
    let middle = sizes.len() / 2;
    let median = nth(&mut sizes, middle, f64::total_cmp);
    1.4826 * median
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strays_do_not_move_the_line() {
        let points: Vec<Px> = (0..40)
            .map(|i| {
                let x = f64::from(i);
                [x, 3.0 + 0.5 * x + if i % 5 == 0 { 4.0 } else { 0.0 }]
            })
            .collect();
        let line = Line::fit(&points).unwrap();
        assert!((line.along[1] / line.along[0] - 0.5).abs() < 1e-6);
        assert!((line.share - 0.8).abs() < 1e-9);
    }

    #[test]
    fn lines_meet_where_they_cross() {
        let level: Vec<Px> = (0..20).map(|i| [f64::from(i), 7.0]).collect();
        let plumb: Vec<Px> = (0..20).map(|i| [4.0, f64::from(i) + 20.0]).collect();
        let (px, sd) = Line::fit(&level)
            .unwrap()
            .meet(&Line::fit(&plumb).unwrap())
            .unwrap();
        assert!((px[0] - 4.0).abs() < 1e-9 && (px[1] - 7.0).abs() < 1e-9);
        assert!(sd > 0.0 && sd < 0.2, "{sd}");
    }
}
