//! Batches: what is weighed out into one pair of containers.

use crate::quantity::Grams;
use serde::{Deserialize, Serialize};

/// One batch, as the scale shows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Batch {
    /// Part A.
    pub a: Grams,
    /// Part B.
    pub b: Grams,
}

impl Batch {
    /// Both parts together.
    pub fn mass(&self) -> Grams {
        self.a + self.b
    }
}

/// The least masses of A and B on the scale's step that make at least `mass` with the ratio
/// kept: the smaller part is rounded up to the step, and the larger follows from it, so that
/// its own rounding (under one step of the larger part) is all that disturbs the ratio.
pub fn weigh_out(mass: Grams, ratio: (f64, f64), step: Grams) -> Batch {
    let (ra, rb) = ratio;
    let small = ra.min(rb);
    let large = ra.max(rb);
    let part_small = steps_up(mass.0 * small / (small + large), step.0);
    let part_large = steps_up(part_small * large / small, step.0);
    let (a, b) = if ra <= rb {
        (part_small, part_large)
    } else {
        (part_large, part_small)
    };
    Batch {
        a: Grams(a),
        b: Grams(b),
    }
}

/// `number` rounded up to a multiple of `step`, forgiving what floating point adds.
fn steps_up(number: f64, step: f64) -> f64 {
    let steps = (number / step - 1e-9).ceil().max(0.0);
    // Tenths of a gram are divided, not multiplied: 76 of them are 7.6, and not a hair more.
    let per_gram = (1.0 / step).round();
    if (per_gram * step - 1.0).abs() < 1e-12 {
        steps / per_gram
    } else {
        steps * step
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_small_catalyst_part_keeps_its_ratio() {
        let batch = weigh_out(Grams(50.0), (100.0, 5.0), Grams(1.0));
        assert_eq!(
            batch,
            Batch {
                a: Grams(60.0),
                b: Grams(3.0)
            }
        );
        let fine = weigh_out(Grams(50.0), (100.0, 5.0), Grams(0.1));
        assert!((fine.a.0 - 48.0).abs() < 1e-9 && (fine.b.0 - 2.4).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn enough_on_the_step_and_in_ratio(
            mass in 0.5f64..5000.0,
            ra in 1.0f64..100.0,
            rb in 1.0f64..100.0,
            step in prop::sample::select(vec![0.1, 0.5, 1.0, 5.0, 28.349_523_125 / 8.0]),
        ) {
            let batch = weigh_out(Grams(mass), (ra, rb), Grams(step));
            let (a, b) = (batch.a.0, batch.b.0);
            prop_assert!(a + b >= mass - 1e-6);
            for part in [a, b] {
                prop_assert!((part / step - (part / step).round()).abs() < 1e-6);
            }
            // The larger part is within one step of the exact ratio to the smaller.
            let (large, wanted) = if ra > rb { (a, b * ra / rb) } else { (b, a * rb / ra) };
            prop_assert!((large - wanted).abs() <= step + 1e-6);
            // And it is not wasteful: at most one step of the smaller part and one of the larger.
            let most = mass + step * (1.0 + ra.max(rb) / ra.min(rb)) + step;
            prop_assert!(a + b <= most + 1e-6);
        }
    }
}
