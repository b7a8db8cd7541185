//! Quantities and moments as people and files write them.

use crate::change::{one, words};
use crate::run::{Limits, many, target};
use fastrand::Rng;
use peelcast::quantity::show::System;
use peelcast::quantity::{iso, parse};

const LIMITS: Limits = Limits {
    seconds: 0.5,
    megabytes: 1.0,
};

const TOKENS: [&str; 72] = [
    "0",
    "1",
    "12",
    "999",
    "3/4",
    "1/0",
    "/",
    "//",
    ".",
    ",",
    ".5",
    "1,000",
    "1.000,5",
    "1e9",
    "-",
    "−",
    "--",
    "+",
    " ",
    "  ",
    "\u{a0}",
    "\u{202f}",
    "\t",
    "½",
    "¼",
    "⅞",
    "⁄",
    "mm",
    "cm",
    "m",
    "in",
    "inch",
    "ft",
    "'",
    "\"",
    "′",
    "″",
    "''",
    "”",
    "g",
    "kg",
    "oz",
    "lb",
    "lbs",
    "ml",
    "l",
    "fl oz",
    "gal",
    "c",
    "°c",
    "°",
    "º",
    "f",
    "F",
    "K",
    "min",
    "h",
    "d",
    "days",
    "1:20",
    ":",
    "99999999999999999999",
    "0.0000000000000000001",
    "inf",
    "nan",
    "é",
    "𝄞",
    "İ",
    "ſ",
    "٣",
    "²",
    "\0",
];

fn typed(rng: &mut Rng) -> Vec<u8> {
    let sound = [
        "1' 2 3/4\"",
        "12,5 cm",
        "2 lb 3 oz",
        "1 h 20 min",
        "1:20",
        "-40 °F",
        "12-3/4 in",
        "350 ml",
        "3 1/2 gal",
    ];
    let text = match rng.u8(0..4) {
        0 => {
            let sound = *one(rng, &sound);
            words(rng, sound)
        }
        1 => (0..rng.usize(0..2000))
            .map(|_| *one(rng, &TOKENS))
            .collect(),
        _ => (0..rng.usize(0..9)).map(|_| *one(rng, &TOKENS)).collect(),
    };
    text.into_bytes()
}

#[test]
fn quantities() {
    target("quantities", many(), &LIMITS, typed, |input| {
        let text = std::str::from_utf8(input).expect("it was made as text");
        for system in [System::Metric, System::UsCustomary] {
            let lengths = parse::length(text, system).map(|q| q.0);
            let masses = parse::mass(text, system).map(|q| q.0);
            let volumes = parse::volume(text, system).map(|q| q.0);
            let times = parse::minutes(text).map(|q| q.0);
            for number in [lengths, masses, volumes, times] {
                let sound = |number: f64| (0.0..=1e9).contains(&number);
                assert!(number.map_or_else(|why| !why.to_string().is_empty(), sound));
            }
            let below = parse::signed_length(text, system).map(|q| q.0);
            let warmth = parse::temperature(text, system).map(|q| q.0);
            for number in [below, warmth, parse::number(text)] {
                let sound = |number: f64| number.abs() <= 1e9;
                assert!(number.map_or_else(|why| !why.to_string().is_empty(), sound));
            }
        }
        parse::length(text, System::Metric).is_ok()
    });
}

#[test]
fn moments_and_days() {
    let sound = [
        "2026-05-03T12:00:00.250Z",
        "2026-05-03T14:30:00.25+02:30",
        "9999-12-31T23:59:59.999999999Z",
        "0000-01-01T00:00:00-23:59",
        "2027-02-28",
        "+262142-12-31T23:59:59Z",
    ];
    let make = |rng: &mut Rng| {
        let mut text = (*one(rng, &sound)).to_owned();
        if rng.bool() {
            let mut digit = |c: char| match rng.u8(0..8) {
                0 if c.is_ascii_digit() => char::from(b'0' + rng.u8(0..10)),
                _ => c,
            };
            text = text.chars().map(&mut digit).collect();
        } else {
            text = words(rng, &text);
        }
        text.into_bytes()
    };
    target("moments and days", many(), &LIMITS, make, |input| {
        let text = std::str::from_utf8(input).expect("it was made as text");
        if let Some(day) = iso::read_day(text) {
            assert_eq!(day.to_string(), text);
        }
        if let Some(moment) = iso::read_moment(text) {
            // What is read is what another reader reads (RFC 3339; chrono).
            let other = chrono::DateTime::parse_from_rfc3339(text).expect("it is a moment");
            assert_eq!(moment, other);
            return true;
        }
        false
    });
}
