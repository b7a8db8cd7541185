//! How sure a sum is whose inputs are unsure: to first order, and by chance.

use crate::quantity::{Dice, Estimate, Quantity, log_sd};
use crate::survey::nth;

/// How many draws a distribution is made of.
pub const DRAWS: usize = 10_000;

/// The draws are the same each time, so that a number stands still until an input moves.
const SEED: u64 = 0x5eed_0f9a_57e5;

/// How far each input is moved to feel its slope, in its standard deviations.
const REACH: f64 = 0.1;

/// What one standard deviation of each input does to the result: first-order propagation
/// (JCGM 100:2008, 5.1), slopes by central differences. The inputs are independent of each other
/// and count in standard deviations from their best values.
pub(super) fn slopes(inputs: usize, mut result: impl FnMut(&[f64]) -> f64) -> Vec<f64> {
    let mut z = vec![0.0; inputs];
    (0..inputs)
        .map(|i| {
            z[i] = REACH;
            let up = result(&z);
            z[i] = -REACH;
            let down = result(&z);
            z[i] = 0.0;
            (up - down) / (2.0 * REACH)
        })
        .collect()
}

/// The root of the sum of squares: the standard deviation that independent slopes make together.
pub(super) fn root_sum(parts: &[f64]) -> f64 {
    parts.iter().copied().fold(0.0, f64::hypot)
}

/// A distribution by chance (JCGM 101:2008), as its draws.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Draws(Vec<f64>);

impl Draws {
    /// Draws all inputs at once from the standard normal distribution. Each draw is followed by its
    /// mirror image, which takes the chance out of the mean (antithetic variates).
    pub fn of(inputs: usize, mut result: impl FnMut(&[f64]) -> f64) -> Self {
        let mut dice = Dice::seeded(SEED);
        let mut z = vec![0.0; inputs];
        let mut draws = Vec::with_capacity(DRAWS);
        while draws.len() < DRAWS {
            z.fill_with(|| dice.normal());
            draws.push(result(&z));
            z.iter_mut().for_each(|z| *z = -*z);
            draws.push(result(&z));
        }
        Self(draws)
    }

    /// The value that so great a share of the draws does not pass.
    pub fn quantile(&mut self, share: f64) -> f64 {
        let at = (share * self.0.len() as f64).ceil() as usize;
        let at = at.saturating_sub(1).min(self.0.len() - 1);
        nth(&mut self.0, at, f64::total_cmp)
    }

    /// The estimate about a best value.
    pub fn about<Q: Quantity>(&mut self, value: Q) -> Estimate<Q> {
        let n = self.0.len() as f64;
        let mean = self.0.iter().sum::<f64>() / n;
        let square: f64 = self.0.iter().map(|x| (x - mean).powi(2)).sum();
        Estimate {
            value,
            sd: (square / (n - 1.0)).sqrt(),
            low95: Q::of(self.quantile(0.025)),
            high95: Q::of(self.quantile(0.975)),
        }
    }
}

/// A spread that can't pass zero: the factor at so many standard deviations from the best value,
/// for a relative standard deviation, as in [`Estimate::positive`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Factor {
    sigma: f64,
}

impl Factor {
    /// Of this relative standard deviation.
    pub fn of(relative: f64) -> Self {
        let relative = if relative.is_finite() { relative } else { 0.0 };
        Self {
            sigma: log_sd(relative),
        }
    }

    /// The spread of an estimate that is above zero; none of any other.
    pub fn of_estimate<Q: Quantity>(estimate: &Estimate<Q>) -> Self {
        Self::of(estimate.relative_sd())
    }

    /// The factor there.
    pub fn at(self, z: f64) -> f64 {
        if self.sigma == 0.0 {
            return 1.0;
        }
        (self.sigma * z).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Grams, Z95};

    #[test]
    fn the_draws_of_one_input_are_normal() {
        let mut draws = Draws::of(1, |z| z[0]);
        let found: Estimate<Grams> = draws.about(Grams(0.0));
        assert!((found.sd - 1.0).abs() < 0.02, "{found:?}");
        assert!((found.high95.0 - Z95).abs() < 0.06 && (found.low95.0 + Z95).abs() < 0.06);
        assert!((draws.quantile(0.5)).abs() < 0.02);
        let mut again = Draws::of(1, |z| z[0]);
        assert_eq!(again.quantile(0.95), draws.quantile(0.95));
    }

    #[test]
    fn a_sum_and_a_product_spread_as_they_should() {
        // 3, 4 and 12 add to 13 as squares; a common error doubles.
        let sum = |z: &[f64]| 3.0 * z[0] + 4.0 * z[1] + 12.0 * z[2];
        assert!((root_sum(&slopes(3, sum)) - 13.0).abs() < 1e-9);
        let drawn: Estimate<Grams> = Draws::of(3, sum).about(Grams(0.0));
        assert!((drawn.sd / 13.0 - 1.0).abs() < 0.02);
        // Relative spreads of 3 and 4 % make one of 5 % in a product.
        let factors = [Factor::of(0.03), Factor::of(0.04)];
        let product = |z: &[f64]| 100.0 * factors[0].at(z[0]) * factors[1].at(z[1]);
        assert!((root_sum(&slopes(2, product)) - 5.0).abs() < 0.01);
    }

    #[test]
    fn the_gums_end_gauge_comes_out_as_printed() {
        // JCGM 100:2008, H.1 (read second-hand): l = ls + d - ls (da t + a dt), in nm. First order
        // 31.66 nm, printed as 32; with the second-order terms 34, which draws see by themselves.
        let (ls, a, t) = (50_000_623.0, 11.5e-6, -0.1);
        let rectangular = |half: f64| half / 3.0_f64.sqrt();
        let u_d = 5.8_f64.hypot(3.9).hypot(6.7);
        let u_t = 0.2_f64.hypot(0.5 / 2.0_f64.sqrt());
        let length = |z: &[f64]| {
            let a = a + rectangular(2e-6) * z[2];
            let t = t + u_t * z[3];
            let (da, dt) = (rectangular(1e-6) * z[4], rectangular(0.05) * z[5]);
            (ls + 25.0 * z[0]) * (1.0 - da * t - a * dt) + 215.0 + u_d * z[1]
        };
        assert!((length(&[0.0; 6]) - 50_000_838.0).abs() < 1e-6);
        let first = root_sum(&slopes(6, length));
        assert!((first - 31.66).abs() < 0.01, "{first}");
        let drawn: Estimate<Grams> = Draws::of(6, length).about(Grams(50_000_838.0));
        assert!((drawn.sd - 33.8).abs() < 0.5, "{drawn:?}");
    }
}
