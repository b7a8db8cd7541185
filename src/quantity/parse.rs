//! Quantities as people type them: with or without units, with a decimal point or comma,
//! with fractions, in one unit or two.
//!
//! ```
//! use peelcast::quantity::parse;
//! use peelcast::quantity::show::System;
//!
//! let board = parse::length("1' 2 3/4\"", System::Metric)?;
//! assert!((board.0 - 374.65).abs() < 1e-9);
//! assert_eq!(
//!     parse::length("4 kg", System::Metric).unwrap_err().to_string(),
//!     "“4 kg”: “kg” is not a unit of length. Use mm, cm, m, in or ft."
//! );
//! # Ok::<(), parse::ParseError>(())
//! ```

use super::factor::{FAHRENHEIT_AT_ZERO_CELSIUS, FAHRENHEIT_PER_CELSIUS};
use super::kind::{Kind, LENGTH, MASS, NUMBER, TEMPERATURE, TIME, VOLUME};
use super::show::System;
use super::{Celsius, Grams, Millilitres, Millimetres, Minutes};
use crate::say;
use crate::words::{language, tr};
use std::fmt;

/// Why a typed text is not the quantity asked for. Its text is a full sentence.
#[derive(Clone, Debug, PartialEq)]
pub struct ParseError {
    typed: String,
    problem: Problem,
}

#[derive(Clone, Debug, PartialEq)]
enum Problem {
    Empty {
        example: &'static str,
    },
    NotANumber {
        example: &'static str,
    },
    TwoDecimalMarks,
    ThousandsOrDecimal {
        decimal: String,
        whole: String,
    },
    ZeroDenominator,
    UnknownUnit {
        unit: String,
        of: &'static str,
        known: &'static str,
    },
    UnitMissing {
        after: String,
    },
    BelowZero {
        what: &'static str,
    },
    TooLarge,
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let typed = &self.typed;
        match &self.problem {
            Problem::Empty { example } => f.write_str(&say!(
                "Nothing is typed yet. Type a number, for example {example}.",
                example
            )),
            Problem::NotANumber { example } => f.write_str(&say!(
                "“{typed}” can't be read as a number. Type it like {example}.",
                typed,
                example
            )),
            Problem::TwoDecimalMarks => f.write_str(&say!(
                "“{typed}” has more than one decimal mark. Use one point or one comma and \
                 nothing between thousands.",
                typed
            )),
            Problem::ThousandsOrDecimal { decimal, whole } => f.write_str(&say!(
                "“{typed}” could mean {decimal} or {whole}. Type the one you mean, without a \
                 comma.",
                typed,
                decimal,
                whole
            )),
            Problem::ZeroDenominator => f.write_str(&say!(
                "“{typed}” divides by zero. Check the fraction.",
                typed
            )),
            Problem::UnknownUnit { unit, of, known } => f.write_str(&say!(
                "“{typed}”: “{unit}” is not a unit of {of}. Use {known}.",
                typed,
                unit,
                of,
                known
            )),
            Problem::UnitMissing { after } => f.write_str(&say!(
                "“{typed}”: the number after “{after}” needs its unit.",
                typed,
                after
            )),
            Problem::BelowZero { what } => f.write_str(&say!(
                "“{typed}” is below zero; {what} can't be. Take the minus sign away.",
                typed,
                what
            )),
            Problem::TooLarge => f.write_str(&say!(
                "“{typed}” is far too large to be meant. Check the number and its unit.",
                typed
            )),
        }
    }
}

impl std::error::Error for ParseError {}

/// Beyond this no length in millimetres, mass in grams or time in minutes of this work lies.
const LARGEST: f64 = 1e9;

/// A length of zero or more: mm, cm, m, in, ft, fractions; a bare number is mm or inches.
pub fn length(text: &str, system: System) -> Result<Millimetres, ParseError> {
    not_negative(text, &LENGTH, by_system(system, "mm", "in")).map(Millimetres)
}

/// A length that lies before something or, below zero, behind it; written as [`length`] reads it.
pub fn signed_length(text: &str, system: System) -> Result<Millimetres, ParseError> {
    let (length, _) = signed(text, &LENGTH, by_system(system, "mm", "in"))?;
    Ok(Millimetres(length))
}

/// A mass of zero or more: g, kg, oz, lb; a bare number is g or oz.
pub fn mass(text: &str, system: System) -> Result<Grams, ParseError> {
    not_negative(text, &MASS, by_system(system, "g", "oz")).map(Grams)
}

/// A volume of zero or more: ml, l, US fl oz, US gal; a bare number is ml or fl oz.
pub fn volume(text: &str, system: System) -> Result<Millilitres, ParseError> {
    not_negative(text, &VOLUME, by_system(system, "ml", "fl oz")).map(Millilitres)
}

/// A span of time of zero or more; a bare number is minutes, and 1:20 an hour and 20 minutes.
pub fn minutes(text: &str) -> Result<Minutes, ParseError> {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let found = match text.trim().split_once(':') {
        Some((hours, rest)) if digits(hours) && digits(rest) && rest.len() == 2 => {
            not_negative(&format!("{hours} h {rest} min"), &TIME, "min")
        }
        _ => not_negative(text, &TIME, "min"),
    };
    found.map(Minutes).map_err(|why| ParseError {
        typed: text.trim().to_string(),
        ..why
    })
}

/// A temperature; a bare number is Celsius or Fahrenheit. It may be below zero, but not below
/// the absolute zero.
pub fn temperature(text: &str, system: System) -> Result<Celsius, ParseError> {
    let (degrees, unit) = signed(text, &TEMPERATURE, by_system(system, "c", "f"))?;
    let celsius = if unit.trim_start_matches(['°', ' ']).starts_with('f') {
        (degrees - FAHRENHEIT_AT_ZERO_CELSIUS) / FAHRENHEIT_PER_CELSIUS
    } else {
        degrees
    };
    if celsius < -273.15 {
        return Err(error(
            text,
            Problem::BelowZero {
                what: tr("counted from the absolute zero, a temperature"),
            },
        ));
    }
    Ok(Celsius(celsius))
}

/// A plain number, which may be below zero; fractions and a decimal comma are read too.
pub fn number(text: &str) -> Result<f64, ParseError> {
    signed(text, &NUMBER, "").map(|(number, _)| number)
}

fn by_system(system: System, metric: &'static str, us: &'static str) -> &'static str {
    match system {
        System::Metric => metric,
        System::UsCustomary => us,
    }
}

fn error(text: &str, problem: Problem) -> ParseError {
    ParseError {
        typed: text.trim().to_string(),
        problem,
    }
}

fn not_negative(text: &str, kind: &Kind, bare: &'static str) -> Result<f64, ParseError> {
    let (number, _) = signed(text, kind, bare)?;
    if number < 0.0 {
        return Err(error(
            text,
            Problem::BelowZero {
                what: tr(kind.article),
            },
        ));
    }
    Ok(number)
}

/// The sum of all terms in the program's unit, and the last unit used.
fn signed(text: &str, kind: &Kind, bare: &'static str) -> Result<(f64, String), ParseError> {
    let fail = |problem| error(text, problem);
    let plain = normalised(text);
    if plain.is_empty() {
        return Err(fail(Problem::Empty {
            example: tr(kind.example),
        }));
    }
    let (negative, body) = match plain.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, plain.as_str()),
    };

    let mut rest = body;
    let mut sum = 0.0;
    let mut last: Option<String> = None;
    while !rest.is_empty() {
        let (number, after) = mixed_number(rest, kind).map_err(fail)?;
        let (unit, after) = unit_name(after);
        let unit = match (!unit.is_empty(), &last) {
            (true, _) => unit,
            (false, None) if after.is_empty() => bare.to_string(),
            (false, None) => {
                return Err(fail(Problem::NotANumber {
                    example: tr(kind.example),
                }));
            }
            (false, Some(previous)) => kind
                .below
                .iter()
                .find(|(above, _)| above == previous)
                .map(|(_, below)| (*below).to_string())
                .ok_or_else(|| {
                    fail(Problem::UnitMissing {
                        after: previous.clone(),
                    })
                })?,
        };
        let size = kind
            .units
            .iter()
            .find(|(name, _)| *name == unit)
            .map(|(_, size)| *size)
            .ok_or_else(|| {
                fail(Problem::UnknownUnit {
                    unit: unit.clone(),
                    of: tr(kind.noun),
                    known: tr(kind.known),
                })
            })?;
        if last.is_some() && kind.below.is_empty() {
            return Err(fail(Problem::NotANumber {
                example: tr(kind.example),
            }));
        }
        sum += number * size;
        last = Some(unit);
        rest = after;
    }
    if !sum.is_finite() || sum > LARGEST {
        return Err(fail(Problem::TooLarge));
    }
    Ok((if negative { -sum } else { sum }, last.unwrap_or_default()))
}

/// Lower case, plain quotes and fractions whatever the phone's keyboard makes of them.
fn normalised(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '’' | '‘' | '′' | 'ʹ' | '´' | '`' => out.push('\''),
            '”' | '“' | '„' | '″' | 'ʺ' => out.push('"'),
            '⁄' | '∕' => out.push('/'),
            '−' | '–' | '‐' | '‑' => out.push('-'),
            'º' | '˚' => out.push('°'),
            c if c.is_whitespace() => out.push(' '),
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            c => out.push(c.to_ascii_lowercase()),
        }
    }
    // Two primes are an inch mark; "12-3/4" is read like "12 3/4".
    out.replace("''", "\"").trim().to_string()
}

/// "12", "12.5", "3/4", "12 3/4" or "12-3/4" at the start of the text, and what follows.
fn mixed_number<'t>(text: &'t str, kind: &Kind) -> Result<(f64, &'t str), Problem> {
    let (first, after) = decimal(text, kind)?;
    if let Some(after) = after.trim_start().strip_prefix('/') {
        let (bottom, after) = decimal(after.trim_start(), kind)?;
        return Ok((quotient(first, bottom)?, after));
    }
    let next = after.trim_start().trim_start_matches('-').trim_start();
    if let Ok((top, after_top)) = decimal(next, kind)
        && let Some(after_bar) = after_top.trim_start().strip_prefix('/')
    {
        let (bottom, after) = decimal(after_bar.trim_start(), kind)?;
        return Ok((first + quotient(top, bottom)?, after));
    }
    Ok((first, after))
}

fn quotient(top: f64, bottom: f64) -> Result<f64, Problem> {
    if bottom == 0.0 {
        return Err(Problem::ZeroDenominator);
    }
    Ok(top / bottom)
}

fn decimal<'t>(text: &'t str, kind: &Kind) -> Result<(f64, &'t str), Problem> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .unwrap_or(text.len());
    let (digits, after) = text.split_at(end);
    if digits.matches(['.', ',']).count() > 1 {
        return Err(Problem::TwoDecimalMarks);
    }
    // The sign that is no decimal one may stand between thousands.
    let (decimal, other) = match language().decimal_sign() {
        ',' => (',', '.'),
        sign => (sign, ','),
    };
    if let Some((whole, part)) = digits.split_once(other)
        && part.len() == 3
        && (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
    {
        return Err(Problem::ThousandsOrDecimal {
            decimal: format!("{whole}{decimal}{part}"),
            whole: format!("{whole}{part}"),
        });
    }
    value(digits)
        .map(|number| (number, after))
        .ok_or(Problem::NotANumber {
            example: tr(kind.example),
        })
}

/// Digits with at most one mark among them. With up to 15 digits it is the nearest number there
/// is, for then both sides of the division are exact; the standard library's reader would do
/// better with more, and brings ten kilobytes of tables that do not compress.
fn value(digits: &str) -> Option<f64> {
    let (mut all, mut scale) = (0.0, 1.0);
    let (mut any, mut behind_mark) = (false, false);
    for byte in digits.bytes() {
        if !byte.is_ascii_digit() {
            behind_mark = true;
        } else if scale < FINEST {
            all = all * 10.0 + f64::from(byte - b'0');
            scale *= if behind_mark { 10.0 } else { 1.0 };
            any = true;
        }
    }
    any.then_some(all / scale)
}

/// Digits further behind the mark change nothing.
const FINEST: f64 = 1e17;

/// The unit at the start of the text (perhaps none), and what follows it.
fn unit_name(text: &str) -> (String, &str) {
    let text = text.trim_start();
    let end = text
        .find(|c: char| c.is_ascii_digit() && !text.starts_with("cm3"))
        .unwrap_or(text.len());
    let (name, after) = text.split_at(end);
    let quoted = name.find(['\'', '"']).map(|at| at + 1);
    let (name, after) = match quoted {
        Some(at) => text.split_at(at),
        None => (name, after),
    };
    // A hyphen joins feet and inches, as in 1'-2".
    let after = after.trim_start();
    let after = match (quoted, after.strip_prefix('-')) {
        (Some(_), Some(joined)) if !joined.is_empty() => joined.trim_start(),
        _ => after,
    };
    let name = name.trim().trim_end_matches(['.', ',']).trim_end();
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    (name, after)
}

#[cfg(test)]
mod tests {
    use super::value;

    #[test]
    fn digits_are_read_as_the_standard_library_reads_them() {
        let mut state = 7_u64;
        for places in (0..16).cycle().take(20_000) {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let digits = format!("{:016}", (state >> 1) % 10_u64.pow(15));
            let (whole, part) = digits.split_at(16 - places);
            let text = format!("{whole}.{part}");
            assert_eq!(value(&text), text.parse().ok(), "{text}");
        }
    }

    #[test]
    fn marks_may_stand_at_either_end_but_not_alone() {
        assert_eq!(value(".5"), Some(0.5));
        assert_eq!(value("5,"), Some(5.0));
        assert_eq!(value("."), None);
        assert_eq!(value(""), None);
    }

    #[test]
    fn endless_digits_are_no_trouble() {
        let third = format!("0.{}", "3".repeat(400));
        assert!((value(&third).unwrap() - 1.0 / 3.0).abs() < 1e-15);
        assert_eq!(value(&"9".repeat(400)), Some(f64::INFINITY));
    }
}
