//! A random smooth surface, as a sum of waves (A. Rahimi & B. Recht, "Random features for
//! large-scale kernel machines", 2007): what one knows nothing of may look like this.

use super::Frame;
use super::gaussian::Spot;
use crate::quantity::Dice;
use std::f64::consts::TAU;

/// Enough waves to look like no pattern.
const WAVES: usize = 128;

/// One random surface: its local part with unit variance, and the numbers drawn for the parts
/// that all places share.
pub(super) struct Waves {
    /// Waves along both axes, in radians a millimetre, and where each begins.
    waves: Vec<[f64; 3]>,
    common: f64,
    scale: f64,
}

impl Waves {
    /// With the Matérn covariance of smoothness 5/2 and this length: its spectrum is a
    /// t-distribution of five degrees of freedom.
    pub fn draw(dice: &mut Dice, length: f64) -> Self {
        let waves = (0..WAVES).map(|_| {
            let square: f64 = (0..5).map(|_| dice.normal().powi(2)).sum();
            let wide = (5.0 / square).sqrt() / length;
            [
                dice.normal() * wide,
                dice.normal() * wide,
                dice.even() * TAU,
            ]
        });
        Self {
            waves: waves.collect(),
            common: dice.normal(),
            scale: dice.normal(),
        }
    }

    fn whole(&self, local: f64, spot: &Spot) -> f64 {
        let even = (2.0 / WAVES as f64).sqrt();
        spot.local * local * even + spot.common * self.common + spot.scale * self.scale
    }

    /// Its height at one place.
    pub fn at(&self, spot: &Spot) -> f64 {
        let [x, y] = spot.at;
        let waves = self.waves.iter();
        let local = waves.map(|[along, down, start]| (along * x + down * y + start).cos());
        self.whole(local.sum(), spot)
    }

    /// Its heights at all places of a grid, whose spots are given row after row. The waves of a
    /// grid come apart into those of its columns and of its rows.
    pub fn over(&self, frame: Frame, spots: &[Spot]) -> Vec<f64> {
        let mut sums = vec![0.0; spots.len()];
        for [along, down, start] in &self.waves {
            let turn =
                |column: usize| (along * frame.place(column as f64, 0.0)[0] + start).sin_cos();
            let columns: Vec<(f64, f64)> = (0..frame.columns).map(turn).collect();
            for (row, line) in sums.chunks_exact_mut(frame.columns).enumerate() {
                let (sin, cos) = (down * frame.place(0.0, row as f64)[1]).sin_cos();
                for (sum, (s, c)) in line.iter_mut().zip(&columns) {
                    *sum += c * cos - s * sin;
                }
            }
        }
        let pairs = sums.iter().zip(spots);
        pairs.map(|(sum, spot)| self.whole(*sum, spot)).collect()
    }
}
