//! A linear model of few unknowns through data of which some stray.

use super::line::{ROUNDS, TUKEY, spread};
use nalgebra::{SMatrix, SVector};

/// A model `row . x = value`, and how well the data agree with it.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::survey) struct Fitted<const N: usize> {
    /// The unknowns.
    pub x: SVector<f64, N>,
    /// Which of the data it passes through.
    pub kept: Vec<bool>,
    /// Standard deviation of those about it.
    pub scatter: f64,
}

impl<const N: usize> Fitted<N> {
    /// What the model says for a row.
    pub fn at(&self, row: [f64; N]) -> f64 {
        SVector::from(row).dot(&self.x)
    }
}

/// Least squares, reweighted by Tukey's biweight. Data nearer than `least` standard deviations of
/// each other never stray.
pub(in crate::survey) fn fit<const N: usize>(
    data: &[([f64; N], f64)],
    least: f64,
) -> Option<Fitted<N>> {
    let mut weights = vec![1.0; data.len()];
    for round in 0..=ROUNDS {
        let mut matrix = SMatrix::<f64, N, N>::zeros();
        let mut right = SVector::<f64, N>::zeros();
        for ((row, value), weight) in data.iter().zip(&weights) {
            let row = SVector::from(*row);
            matrix += row * row.transpose() * *weight;
            right += row * (*weight * value);
        }
        let x = matrix.cholesky()?.solve(&right);
        let misses: Vec<f64> = data
            .iter()
            .map(|(row, value)| SVector::from(*row).dot(&x) - value)
            .collect();
        let scatter = spread(&misses).max(least);
        if round == ROUNDS {
            let kept: Vec<bool> = misses.iter().map(|m| m.abs() < TUKEY * scatter).collect();
            return (x.iter().all(|c| c.is_finite()) && kept.iter().filter(|k| **k).count() > N)
                .then_some(Fitted { x, kept, scatter });
        }
        for (weight, miss) in weights.iter_mut().zip(&misses) {
            let far = miss / (TUKEY * scatter);
            *weight = (1.0 - far * far).max(0.0).powi(2);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strays_do_not_bend_the_curve() {
        let data: Vec<([f64; 3], f64)> = (0..50)
            .map(|i| {
                let u = f64::from(i) / 25.0 - 1.0;
                let stray = if i % 7 == 0 { 3.0 } else { 0.0 };
                ([1.0, u, u * u], 2.0 - u + 0.5 * u * u + stray)
            })
            .collect();
        let found = fit(&data, 0.01).unwrap();
        assert!((found.x - SVector::from([2.0, -1.0, 0.5])).norm() < 1e-6);
        assert_eq!(found.kept.iter().filter(|k| !**k).count(), 8);
    }
}
