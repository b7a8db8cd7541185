//! How fast a paste goes at the temperature of the site.
//!
//! Rate over the sheet's reference temperature by the Q10 law,
//! `q10 ^ ((T - reference) / 10)`: two means twice as fast ten degrees warmer. The law is an
//! assumption, and the same law for working time and cure is another; the sheet decides.

use super::card::MaterialCard;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, Estimate, Minutes};

/// How many times as fast as at the sheet's reference temperature.
pub fn rate(temperature: Celsius, card: &MaterialCard) -> f64 {
    rate_of(temperature, card.reference, card.q10)
}

/// A time of the sheet at another temperature, with the range that the unknown rate leaves.
///
/// If the sheet or the user gave the rate it is taken as exact; a general rate is known
/// within its band only. At the reference temperature both are exact.
pub fn at_temperature(
    at_reference: Minutes,
    card: &MaterialCard,
    temperature: Celsius,
) -> Estimate<Minutes> {
    let value = at_reference / rate(temperature, card);
    if matches!(card.marks.q10, Source::YourSheet | Source::YourChoice) {
        return Estimate::exact(value);
    }
    // A constant to the power of a normally spread rate is log-normal in time.
    let (low, high) = practice::Q10_BAND.value;
    let sigma = (high / low).ln() / (2.0 * crate::quantity::Z95);
    let tens = (temperature.0 - card.reference.0).abs() / 10.0;
    let relative = ((sigma * tens).powi(2).exp() - 1.0).sqrt();
    Estimate::positive(value, value.0 * relative)
}

fn rate_of(temperature: Celsius, reference: Celsius, q10: f64) -> f64 {
    q10.powf((temperature.0 - reference.0) / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;

    #[test]
    fn doubling_per_ten_degrees_gives_the_known_factors() {
        // Computed from q10 = 2 relative to 23 C.
        for (celsius, factor) in [
            (5.0, 0.2872),
            (10.0, 0.4061),
            (15.0, 0.5743),
            (20.0, 0.8123),
            (30.0, 1.6245),
            (35.0, 2.2974),
        ] {
            let rate = rate_of(Celsius(celsius), Celsius(23.0), 2.0);
            assert!((rate - factor).abs() < 5e-5, "{celsius}: {rate}");
        }
        // 20 min at 23 C are 12.31 min at 30 C and 34.82 min at 15 C.
        assert!((20.0 / rate_of(Celsius(30.0), Celsius(23.0), 2.0) - 12.31).abs() < 0.005);
        assert!((20.0 / rate_of(Celsius(15.0), Celsius(23.0), 2.0) - 34.82).abs() < 0.005);
    }

    #[test]
    fn the_range_opens_away_from_the_reference() {
        let card = &starter_cards()[0];
        let here = at_temperature(card.working, card, card.reference);
        assert_eq!((here.value, here.sd), (card.working, 0.0));
        let cold = at_temperature(card.working, card, card.reference - Celsius(10.0));
        assert!((cold.value / card.working - card.q10).abs() < 1e-12);
        assert!(cold.low95 < cold.value && cold.value < cold.high95);
        // Ten degrees away the range is the band of the rate itself, about its middle.
        let spread = cold.high95 / cold.low95;
        assert!((spread - 2.5 / 1.7).abs() < 0.01, "{spread}");
    }
}
