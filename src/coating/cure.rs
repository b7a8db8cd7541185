//! How fast a paste goes at the temperature of the site.
//!
//! Rate over the sheet's reference temperature. Where the sheet gives an activation energy it
//! follows Arrhenius, `exp(-E/R (1/T - 1/reference))` with both temperatures in kelvin; otherwise
//! the ten-degree rule, `q10 ^ ((T - reference) / 10)`: two means twice as fast ten degrees warmer.
//! Either law is an assumption, and the same law for working time and cure is another; the sheet
//! decides.

use super::card::MaterialCard;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, Estimate, KilojoulesPerMole, Minutes};

/// The molar gas constant, in J/(mol K), exact since the SI of 2019.
const GAS: f64 = 8.314_462_618;
/// The zero of the Celsius scale, in kelvin.
const ZERO_CELSIUS: f64 = 273.15;

/// How many times as fast as at the sheet's reference temperature.
pub fn rate(temperature: Celsius, card: &MaterialCard) -> f64 {
    match card.activation {
        Some(energy) => arrhenius(temperature, card.reference, energy),
        None => per_ten_degrees(temperature, card.reference, card.q10),
    }
}

/// The rate at either end of its 95 % band, for what is known of the card: the one with the
/// smaller rate per ten degrees first. `None` where the rate is taken as exact, since the sheet or
/// the user gave it.
pub fn band(temperature: Celsius, card: &MaterialCard) -> Option<[f64; 2]> {
    let exact = matches!(card.marks.q10, Source::YourSheet | Source::YourChoice);
    if exact || card.activation.is_some() {
        return None;
    }
    let (low, high) = practice::Q10_BAND.value;
    let half = (high / low).sqrt();
    let with = |q10| per_ten_degrees(temperature, card.reference, q10);
    Some([with(card.q10 / half), with(card.q10 * half)])
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
    match band(temperature, card) {
        Some(ends) => banded(value, ends.map(|rate| at_reference / rate)),
        None => Estimate::exact(value),
    }
}

/// A time with those that the two ends of the rate's band give. A constant to the power of a
/// normally spread rate is log-normal in time. Through cold and warmth in turn both ends may lie
/// on one side of the value, which then is an end itself.
pub fn banded(value: Minutes, [a, b]: [Minutes; 2]) -> Estimate<Minutes> {
    let low95 = Minutes(a.0.min(b.0).min(value.0));
    let high95 = Minutes(a.0.max(b.0).max(value.0));
    let sigma = (high95 / low95).ln() / (2.0 * crate::quantity::Z95);
    // At the reference temperature, and for no time at all, nothing is left open.
    if sigma.is_nan() || sigma == 0.0 {
        return Estimate::exact(value);
    }
    let relative = (sigma.powi(2).exp() - 1.0).sqrt();
    Estimate {
        value,
        sd: value.0 * relative,
        low95,
        high95,
    }
}

fn per_ten_degrees(temperature: Celsius, reference: Celsius, q10: f64) -> f64 {
    q10.powf((temperature.0 - reference.0) / 10.0)
}

fn arrhenius(temperature: Celsius, reference: Celsius, energy: KilojoulesPerMole) -> f64 {
    let kelvin = |celsius: Celsius| celsius.0 + ZERO_CELSIUS;
    let joules = 1000.0 * energy.0;
    (-joules / GAS * (1.0 / kelvin(temperature) - 1.0 / kelvin(reference))).exp()
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
            let rate = per_ten_degrees(Celsius(celsius), Celsius(23.0), 2.0);
            assert!((rate - factor).abs() < 5e-5, "{celsius}: {rate}");
        }
        // 20 min at 23 C are 12.31 min at 30 C and 34.82 min at 15 C.
        let minutes = |celsius| 20.0 / per_ten_degrees(Celsius(celsius), Celsius(23.0), 2.0);
        assert!((minutes(30.0) - 12.31).abs() < 0.005);
        assert!((minutes(15.0) - 34.82).abs() < 0.005);
    }

    #[test]
    fn arrhenius_gives_the_known_factors() {
        // Computed from the closed form relative to 23 C, by hand and apart from this program.
        for (energy, celsius, factor) in [
            (50.0, 5.0, 0.2687),
            (50.0, 10.0, 0.3937),
            (50.0, 15.0, 0.5691),
            (50.0, 20.0, 0.8124),
            (50.0, 30.0, 1.5982),
            (50.0, 35.0, 2.2051),
            (70.0, 10.0, 0.2711),
            (70.0, 35.0, 3.0255),
            (40.0, 10.0, 0.4743),
            (40.0, 30.0, 1.4551),
        ] {
            let rate = arrhenius(Celsius(celsius), Celsius(23.0), KilojoulesPerMole(energy));
            assert!((rate - factor).abs() < 5e-5, "{energy} {celsius}: {rate}");
        }
        // What doubles from 20 to 30 C.
        let energy = KilojoulesPerMole(51.216);
        let twice = arrhenius(Celsius(30.0), Celsius(20.0), energy);
        assert!((twice - 2.0).abs() < 1e-4, "{twice}");
    }

    #[test]
    fn an_activation_energy_goes_before_the_ten_degree_rule_and_is_taken_as_exact() {
        let mut card = starter_cards().remove(0);
        card.activation = Some(KilojoulesPerMole(50.0));
        let cold = at_temperature(Minutes(20.0), &card, Celsius(15.0));
        assert!((cold.value.0 - 35.15).abs() < 0.01, "{cold:?}");
        assert_eq!((cold.low95, cold.high95), (cold.value, cold.value));
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
