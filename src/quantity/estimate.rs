//! A value with its spread: the one way in which the program says how sure it is.

use super::Quantity;
use serde::{Deserialize, Serialize};

/// The standard normal quantile of 97.5 %, so that `value ± Z95 sd` holds 95 %.
pub const Z95: f64 = 1.959_963_984_540_054;

/// A measured or computed quantity: best value, standard deviation and 95 % range.
///
/// All numbers are in the unit of `Q`. The range need not be symmetric.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Estimate<Q> {
    /// The most likely value.
    pub value: Q,
    /// One standard deviation, in the unit of `value`.
    pub sd: f64,
    /// Lower end of the 95 % range.
    pub low95: Q,
    /// Upper end of the 95 % range.
    pub high95: Q,
}

/// The standard normal quantile of 95 %: one-sided, for "this much is enough".
pub const Z95_ONE_SIDED: f64 = 1.644_853_626_951_472_7;

/// The standard deviation of the logarithm that a log-normal spread of this relative standard
/// deviation has.
pub fn log_sd(relative: f64) -> f64 {
    (1.0 + relative * relative).ln().sqrt()
}

impl<Q: Quantity> Estimate<Q> {
    /// A value known exactly.
    pub fn exact(value: Q) -> Self {
        Self {
            value,
            sd: 0.0,
            low95: value,
            high95: value,
        }
    }

    /// A normal spread: `value ± 1.96 sd`.
    pub fn normal(value: Q, sd: f64) -> Self {
        Self {
            value,
            sd,
            low95: Q::of(value.number() - Z95 * sd),
            high95: Q::of(value.number() + Z95 * sd),
        }
    }

    /// A spread that cannot pass zero (areas, lengths, masses): log-normal about a positive
    /// `value`, with the same relative standard deviation.
    pub fn positive(value: Q, sd: f64) -> Self {
        let v = value.number();
        if v <= 0.0 {
            return Self::normal(value, sd);
        }
        let sigma = log_sd(sd / v);
        Self {
            value,
            sd,
            low95: Q::of(v * (-Z95 * sigma).exp()),
            high95: Q::of(v * (Z95 * sigma).exp()),
        }
    }

    /// The value that is passed with a probability of 5 % only, under the same log-normal
    /// spread as [`Estimate::positive`] (normal where the value is not positive).
    pub fn enough95(&self) -> Q {
        let v = self.value.number();
        if v <= 0.0 {
            return Q::of(v + Z95_ONE_SIDED * self.sd);
        }
        let sigma = log_sd(self.sd / v);
        Q::of(v * (Z95_ONE_SIDED * sigma).exp())
    }

    /// The standard deviation as a share of the value; infinite at zero.
    pub fn relative_sd(&self) -> f64 {
        let v = self.value.number().abs();
        if v == 0.0 { f64::INFINITY } else { self.sd / v }
    }

    /// The same estimate under a linear change of unit or a constant factor.
    pub fn scaled<R: Quantity>(&self, factor: f64) -> Estimate<R> {
        let (low, high) = (self.low95.number() * factor, self.high95.number() * factor);
        Estimate {
            value: R::of(self.value.number() * factor),
            sd: self.sd * factor.abs(),
            low95: R::of(low.min(high)),
            high95: R::of(low.max(high)),
        }
    }

    /// The sum of two estimates whose errors are independent.
    pub fn plus(&self, other: &Self) -> Self {
        let value = Q::of(self.value.number() + other.value.number());
        Self::positive(value, self.sd.hypot(other.sd))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::SquareMillimetres;

    #[test]
    fn a_positive_spread_never_reaches_zero() {
        let e = Estimate::positive(SquareMillimetres(10.0), 20.0);
        assert!(e.low95.0 > 0.0 && e.high95.0 > 30.0);
    }

    #[test]
    fn a_small_positive_spread_is_nearly_normal() {
        let p = Estimate::positive(SquareMillimetres(1000.0), 5.0);
        let n = Estimate::normal(SquareMillimetres(1000.0), 5.0);
        assert!((p.low95.0 - n.low95.0).abs() < 0.1 && (p.high95.0 - n.high95.0).abs() < 0.1);
    }
}
