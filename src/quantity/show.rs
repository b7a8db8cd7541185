//! Quantities as people read them: the one place that formats numbers with units.
//!
//! ```
//! use peelcast::quantity::show::{self, System};
//! use peelcast::quantity::{Estimate, Grams, Millimetres, Minutes};
//!
//! assert_eq!(show::length(Millimetres(323.85), System::UsCustomary), "12 3/4 in");
//! assert_eq!(show::duration(Minutes(80.0)), "1 h 20 min");
//! let mass = Estimate::positive(Grams(412.0), 18.0);
//! assert_eq!(show::mass_range(&mass, System::Metric), "412 g (380 to 450)");
//! ```

pub use super::day::{day, moment_utc};

use super::factor::*;
use super::{
    Celsius, Degrees, Estimate, Grams, Millilitres, Millimetres, Minutes, Quantity,
    SquareMillimetres,
};
use crate::say;
use crate::words::language;
use serde::{Deserialize, Serialize};
use std::fmt::Display;

/// The units a person reads and types.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum System {
    /// Millimetres, grams, millilitres, Celsius.
    #[default]
    Metric,
    /// Inches with fractions, ounces and pounds, US fluid ounces, Fahrenheit.
    UsCustomary,
}

/// One unit for showing: its name, its size in the program's unit, and the decimals that a
/// plain value (one without a spread) is worth.
struct Unit {
    name: &'static str,
    size: f64,
    decimals: usize,
}

const fn unit(name: &'static str, size: f64, decimals: usize) -> Unit {
    Unit {
        name,
        size,
        decimals,
    }
}

/// A length: millimetres up to a metre; or feet, inches and sixteenths (sixty-fourths under
/// a quarter inch, where coats lie).
pub fn length(length: Millimetres, system: System) -> String {
    match system {
        System::Metric => plain(length.0, &metric_length(length.0)),
        System::UsCustomary => {
            let inches = length.0 / MM_PER_INCH;
            let per_inch = if inches.abs() < 0.25 { 64 } else { 16 };
            if length.0 != 0.0 && inches.abs() < 0.5 / 64.0 {
                return format!("{} in", fixed(inches, 3));
            }
            feet_and_inches(inches, per_inch)
        }
    }
}

/// A length with its 95 % range.
pub fn length_range(length_: &Estimate<Millimetres>, system: System) -> String {
    if length_.sd <= 0.0 {
        return length(length_.value, system);
    }
    match system {
        System::Metric => range(length_, &metric_length(length_.value.0)),
        System::UsCustomary => {
            // The coarsest binary fraction that the spread still fills.
            let sd_inches = length_.sd / MM_PER_INCH;
            let per_inch = [1, 2, 4, 8]
                .into_iter()
                .find(|n| 1.0 / f64::from(*n) <= sd_inches)
                .unwrap_or(16);
            let text = |mm: Millimetres| feet_and_inches(mm.0 / MM_PER_INCH, per_inch);
            let low = text(length_.low95);
            from_to(
                text(length_.value),
                low.trim_end_matches(" in"),
                text(length_.high95),
            )
        }
    }
}

/// An area: square centimetres or metres; square inches or feet.
pub fn area(area: SquareMillimetres, system: System) -> String {
    plain(area.0, &area_unit(area.0, system))
}

/// An area with its 95 % range.
pub fn area_range(area: &Estimate<SquareMillimetres>, system: System) -> String {
    range(area, &area_unit(area.value.0, system))
}

/// A mass: grams or kilograms; ounces or pounds and ounces.
pub fn mass(mass: Grams, system: System) -> String {
    if system == System::UsCustomary && mass.0.abs() >= GRAMS_PER_POUND {
        return pounds_and_ounces(mass);
    }
    plain(mass.0, &mass_unit(mass.0, system))
}

/// A mass with its 95 % range.
pub fn mass_range(mass: &Estimate<Grams>, system: System) -> String {
    range(mass, &mass_unit(mass.value.0, system))
}

/// A mass as a scale of the given step shows it, never shortened: what to weigh out.
pub fn weighing(mass: Grams, step: Grams, system: System) -> String {
    match system {
        System::Metric => {
            let decimals = match step.0 {
                s if s >= 1.0 => 0,
                s if s >= 0.1 => 1,
                _ => 2,
            };
            format!("{} g", fixed(mass.0, decimals))
        }
        System::UsCustomary => {
            let eighths = mass.0 / GRAMS_PER_OUNCE * 8.0;
            if (eighths - eighths.round()).abs() < 1e-6 {
                return format!("{} oz", mixed_fraction(mass.0 / GRAMS_PER_OUNCE, 8));
            }
            format!("{} oz", fixed(mass.0 / GRAMS_PER_OUNCE, 2))
        }
    }
}

/// A volume: millilitres or litres; US fluid ounces or gallons.
pub fn volume(volume: Millilitres, system: System) -> String {
    plain(volume.0, &volume_unit(volume.0, system))
}

/// A volume with its 95 % range.
pub fn volume_range(volume: &Estimate<Millilitres>, system: System) -> String {
    range(volume, &volume_unit(volume.value.0, system))
}

/// A temperature to the degree.
pub fn temperature(temperature: Celsius, system: System) -> String {
    match system {
        System::Metric => format!("{} °C", fixed(temperature.0, 0)),
        System::UsCustomary => format!("{} °F", fixed(fahrenheit(temperature), 0)),
    }
}

/// A temperature with its 95 % range.
pub fn temperature_range(reading: &Estimate<Celsius>, system: System) -> String {
    if reading.sd <= 0.0 {
        return temperature(reading.value, system);
    }
    let text = |t| temperature(t, system);
    let bare = |t| text(t).split(' ').next().unwrap_or_default().to_string();
    from_to(
        text(reading.value),
        bare(reading.low95),
        bare(reading.high95),
    )
}

/// Celsius to Fahrenheit.
pub fn fahrenheit(temperature: Celsius) -> f64 {
    temperature.0 * FAHRENHEIT_PER_CELSIUS + FAHRENHEIT_AT_ZERO_CELSIUS
}

/// A span of time: "40 s", "25 min", "1 h 20 min", "2 d 3 h".
pub fn duration(span: Minutes) -> String {
    let sign = if span.0 < 0.0 { "-" } else { "" };
    let minutes = span.0.abs();
    if minutes < 2.0 && minutes.fract() != 0.0 {
        return format!("{sign}{:.0} s", minutes * 60.0);
    }
    let whole = minutes.round() as u64;
    let (days, hours, minutes) = (whole / 1440, whole / 60, whole % 60);
    let text = match (days, hours, minutes) {
        (0..=1, 0, m) => format!("{m} min"),
        (0..=1, h, 0) => format!("{h} h"),
        (0..=1, h, m) => format!("{h} h {m} min"),
        (d, h, _) if h % 24 == 0 => format!("{d} d"),
        (d, h, _) => format!("{d} d {} h", h % 24),
    };
    format!("{sign}{text}")
}

/// A span of time with its 95 % range: "40 min (32 min to 51 min)".
pub fn duration_range(span: &Estimate<Minutes>) -> String {
    if span.sd <= 0.0 {
        return duration(span.value);
    }
    from_to(
        duration(span.value),
        duration(span.low95),
        duration(span.high95),
    )
}

/// An angle to a tenth of a degree.
pub fn angle(angle: Degrees) -> String {
    format!("{}°", trimmed(angle.0, 1))
}

/// An angle with its 95 % range.
pub fn angle_range(angle_: &Estimate<Degrees>) -> String {
    if angle_.sd <= 0.0 {
        return angle(angle_.value);
    }
    from_to(
        angle(angle_.value),
        angle(angle_.low95),
        angle(angle_.high95),
    )
}

/// A plain number with at most `decimals` decimals and no zeros at its end.
pub fn number(number: f64, decimals: usize) -> String {
    trimmed(number, decimals)
}

fn metric_length(mm: f64) -> Unit {
    match mm.abs() {
        m if m < 10.0 => unit("mm", 1.0, 2),
        m if m < 100.0 => unit("mm", 1.0, 1),
        m if m < 999.5 => unit("mm", 1.0, 0),
        _ => unit("m", 1000.0, 2),
    }
}

fn area_unit(mm2: f64, system: System) -> Unit {
    match (system, mm2.abs()) {
        (System::Metric, a) if a < 10_000.0 => unit("cm²", 100.0, 1),
        (System::Metric, a) if a < 999_950.0 => unit("cm²", 100.0, 0),
        (System::Metric, _) => unit("m²", 1e6, 2),
        (System::UsCustomary, a) if a < 2.0 * MM2_PER_SQUARE_FOOT => {
            unit("sq in", MM2_PER_SQUARE_INCH, 1)
        }
        (System::UsCustomary, _) => unit("sq ft", MM2_PER_SQUARE_FOOT, 2),
    }
}

fn mass_unit(grams: f64, system: System) -> Unit {
    match (system, grams.abs()) {
        (System::Metric, g) if g < 9.95 => unit("g", 1.0, 1),
        (System::Metric, g) if g < 1999.5 => unit("g", 1.0, 0),
        (System::Metric, _) => unit("kg", 1000.0, 2),
        (System::UsCustomary, g) if g < GRAMS_PER_OUNCE => unit("oz", GRAMS_PER_OUNCE, 2),
        (System::UsCustomary, g) if g < GRAMS_PER_POUND => unit("oz", GRAMS_PER_OUNCE, 1),
        (System::UsCustomary, _) => unit("lb", GRAMS_PER_POUND, 2),
    }
}

fn volume_unit(ml: f64, system: System) -> Unit {
    match (system, ml.abs()) {
        (System::Metric, v) if v < 9.95 => unit("ml", 1.0, 1),
        (System::Metric, v) if v < 999.5 => unit("ml", 1.0, 0),
        (System::Metric, _) => unit("l", 1000.0, 2),
        (System::UsCustomary, v) if v < ML_PER_GALLON => unit("fl oz", ML_PER_FLUID_OUNCE, 1),
        (System::UsCustomary, _) => unit("gal", ML_PER_GALLON, 2),
    }
}

fn plain(number: f64, unit: &Unit) -> String {
    format!(
        "{} {}",
        trimmed(number / unit.size, unit.decimals),
        unit.name
    )
}

/// Value and range with no more digits than the spread supports: the value to the second
/// significant digit of the standard deviation, as JCGM 100:2008 (7.2.6) advises, the ends of
/// the range to the first.
fn range<Q: Quantity>(estimate: &Estimate<Q>, unit: &Unit) -> String {
    let sd = estimate.sd / unit.size;
    if sd.is_nan() || sd <= 0.0 {
        return plain(estimate.value.number(), unit);
    }
    let place = sd.log10().floor() as i32;
    let text = |q: Q, place: i32| rounded_to(q.number() / unit.size, place);
    let value = text(estimate.value, place - 1);
    from_to(
        format!("{value} {}", unit.name),
        text(estimate.low95, place),
        text(estimate.high95, place),
    )
}

/// A value and the range it lies in.
fn from_to(value: String, low: impl Display, high: String) -> String {
    say!("{value} ({low} to {high})", value, low, high)
}

/// `number` rounded to ten to the power of `place`, at most three decimals.
fn rounded_to(number: f64, place: i32) -> String {
    if place >= 0 {
        let step = 10f64.powi(place);
        return fixed((number / step).round() * step, 0);
    }
    fixed(number, place.unsigned_abs().min(3) as usize)
}

/// `number` with at most `decimals` decimals and no zeros at its end.
fn trimmed(number: f64, decimals: usize) -> String {
    let text = fixed(number, decimals);
    let sign = language().decimal_sign();
    if text.contains(sign) {
        text.trim_end_matches('0')
            .trim_end_matches(sign)
            .to_string()
    } else {
        text
    }
}

/// `number` with that many decimals, and never a minus sign before zero.
pub fn fixed(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    let text = match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|b| matches!(b, b'0' | b'.')) => zero,
        _ => &text,
    };
    match language().decimal_sign() {
        '.' => text.to_owned(),
        sign => text.replace('.', sign.encode_utf8(&mut [0; 4])),
    }
}

/// "3 ft 2 3/8 in"; plain inches under three feet.
fn feet_and_inches(inches: f64, per_inch: u32) -> String {
    let parts = (inches.abs() * f64::from(per_inch)).round();
    let per_foot = f64::from(per_inch) * 12.0;
    let feet = (parts / per_foot).floor();
    let sign = if inches < 0.0 && parts > 0.0 { "-" } else { "" };
    if feet < 3.0 {
        return format!(
            "{sign}{} in",
            mixed_fraction(parts / f64::from(per_inch), per_inch)
        );
    }
    let rest = parts - feet * per_foot;
    if rest == 0.0 {
        return format!("{sign}{feet:.0} ft");
    }
    format!(
        "{sign}{feet:.0} ft {} in",
        mixed_fraction(rest / f64::from(per_inch), per_inch)
    )
}

/// "2 lb 3.4 oz", the ounces to a tenth, above ten pounds to the ounce, above a hundred none.
fn pounds_and_ounces(mass: Grams) -> String {
    let sign = if mass.0 < 0.0 { "-" } else { "" };
    let ounces = mass.0.abs() / GRAMS_PER_OUNCE;
    if ounces >= 1600.0 {
        return format!("{sign}{:.0} lb", ounces / 16.0);
    }
    let steps_per_ounce = if ounces >= 160.0 { 1.0 } else { 10.0 };
    let steps = (ounces * steps_per_ounce).round();
    let pounds = (steps / (16.0 * steps_per_ounce)).floor();
    let rest = (steps - pounds * 16.0 * steps_per_ounce) / steps_per_ounce;
    if rest == 0.0 {
        return format!("{sign}{pounds:.0} lb");
    }
    format!("{sign}{pounds:.0} lb {} oz", trimmed(rest, 1))
}

/// "12 3/4" from 12.75, with the fraction in lowest terms.
fn mixed_fraction(number: f64, denominator: u32) -> String {
    let parts = (number.abs() * f64::from(denominator)).round() as u64;
    let (whole, mut top, mut bottom) = (
        parts / u64::from(denominator),
        parts % u64::from(denominator),
        u64::from(denominator),
    );
    while top > 0 && top.is_multiple_of(2) && bottom.is_multiple_of(2) {
        top /= 2;
        bottom /= 2;
    }
    match (whole, top) {
        (w, 0) => w.to_string(),
        (0, t) => format!("{t}/{bottom}"),
        (w, t) => format!("{w} {t}/{bottom}"),
    }
}

/// The smallest round length of the reader's units that is no shorter than `least`, both in
/// millimetres: 1, 2 or 5 times a power of ten, or 1, 2 or 4 times a power of eight in eighths of an
/// inch.
pub fn round_length(least: f64, system: System) -> f64 {
    let (unit, rounds, base) = match system {
        System::Metric => (1.0, [1.0, 2.0, 5.0], 10.0),
        System::UsCustomary => (MM_PER_INCH / 8.0, [1.0, 2.0, 4.0], 8.0),
    };
    (0..12)
        .flat_map(|power| rounds.map(|round| unit * round * f64::powi(base, power)))
        .find(|length| *length >= least)
        .unwrap_or(least)
}
