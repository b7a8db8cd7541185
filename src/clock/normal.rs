//! The standard normal distribution.

use std::f64::consts::PI;

/// Below this the series loses digits and the continued fraction is quick.
const TAIL: f64 = -4.0;

/// The logarithm of the chance to lie below `x`, to ten digits and more wherever `x` lies.
///
/// By the series of G. Marsaglia (Evaluating the normal distribution, Journal of Statistical
/// Software 11(4), 2004), and by Laplace's continued fraction in the lower tail (both from memory;
/// the tests hold them to tabulated values, the outside check to scipy's).
pub(super) fn log_cdf(x: f64) -> f64 {
    if x.is_nan() {
        // The series would never come to its end.
        return x;
    }
    if x < TAIL {
        let t = -x;
        let below = (1..=60).rev().fold(t, |next, k| t + f64::from(k) / next);
        return -0.5 * t * t - 0.5 * (2.0 * PI).ln() - below.ln();
    }
    if x > -TAIL {
        return (-log_cdf(-x).exp()).ln_1p();
    }
    let (mut term, mut sum, mut odd) = (x, x, 1.0);
    while sum + term != sum {
        odd += 2.0;
        term *= x * x / odd;
        sum += term;
    }
    (0.5 + sum * (-0.5 * x * x).exp() / (2.0 * PI).sqrt()).ln()
}

/// The logarithm of the chance to lie between two places.
pub(super) fn log_between(low: f64, high: f64) -> f64 {
    // In the upper tail both chances are one to the last digit: look from the other side.
    let (low, high) = if low > 0.0 {
        (-high, -low)
    } else {
        (low, high)
    };
    let (a, b) = (log_cdf(low), log_cdf(high));
    b + (-(a - b).exp_m1()).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_distribution_has_its_tabulated_values() {
        // Chances below, from any table of the normal distribution (here by scipy's log_ndtr).
        for (x, log) in [
            (-40.0, -804.608_442_013_753_9),
            (-8.0, -35.013_437_159_914_56),
            (-4.000_001, -10.360_105_712_134_91),
            (-3.999_999, -10.360_097_260_920_62),
            (-1.0, -1.841_021_645_009_263_7),
            (0.0, -std::f64::consts::LN_2),
            (1.959_963_984_540_054, -0.025_317_807_984_289_9),
            (5.0, -2.866_516_129_637_629_4e-7),
            (12.0, -1.776_482_112_077_653e-33),
        ] {
            let found = log_cdf(x);
            assert!((found / log - 1.0).abs() < 1e-10, "{x}: {found} {log}");
        }
        assert!(log_cdf(f64::NAN).is_nan());
        let between = log_between(6.0, 7.0);
        assert!(
            (between / -20.738_067_003_282_47 - 1.0).abs() < 1e-9,
            "{between}"
        );
        assert!((log_between(-7.0, -6.0) - between).abs() < 1e-12);
    }
}
