//! Sound inputs made unsound: bytes, JSON and words changed by chance.

use fastrand::Rng;
use serde_json::{Map, Value, json};

/// No input grows beyond this many bytes.
const MOST: usize = 300_000;
/// A value of more places than this is changed no further.
const MOST_PLACES: usize = 20_000;

/// One of a slice's items.
pub fn one<'a, T>(rng: &mut Rng, all: &'a [T]) -> &'a T {
    &all[rng.usize(..all.len())]
}

/// A part of so many bytes; short ones are more common.
fn part(rng: &mut Rng, length: usize) -> std::ops::Range<usize> {
    let from = rng.usize(..=length);
    let most = (length - from).min(1 << rng.u32(0..14));
    from..from + rng.usize(..=most)
}

/// One to eight, mostly one or two: what is changed all over is refused at once.
fn few(rng: &mut Rng) -> u32 {
    1 << rng.u32(0..4).min(rng.u32(0..4))
}

/// One of the seeds, with one to eight changes.
pub fn bytes(rng: &mut Rng, seeds: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = one(rng, seeds).clone();
    for _ in 0..few(rng) {
        change_bytes(rng, &mut bytes, seeds);
    }
    bytes.truncate(MOST);
    bytes
}

fn change_bytes(rng: &mut Rng, bytes: &mut Vec<u8>, seeds: &[Vec<u8>]) {
    let length = bytes.len();
    // What a file says of itself mostly stands at one of its ends.
    let at = match rng.u8(0..4) {
        0 => rng.usize(..=length.min(64)),
        1 => length - rng.usize(..=length.min(64)),
        _ => rng.usize(..=length),
    };
    match rng.u8(0..12) {
        0 => bytes
            .iter_mut()
            .skip(at)
            .take(1)
            .for_each(|b| *b ^= 1 << rng.u8(0..8)),
        1 => bytes
            .iter_mut()
            .skip(at)
            .take(1)
            .for_each(|b| *b = rng.u8(..)),
        2 => bytes.truncate(at),
        3 => drop(bytes.drain(part(rng, length))),
        4 => {
            let more = bytes[part(rng, length)].repeat(1 << rng.u32(0..7));
            let room = MOST.saturating_sub(length).min(more.len());
            bytes.splice(at..at, more[..room].iter().copied());
        }
        5 => {
            let other = one(rng, seeds);
            let from = rng.usize(..=other.len());
            bytes.truncate(at);
            bytes.extend(&other[from..]);
        }
        6 => {
            let other = one(rng, seeds);
            let put = &other[part(rng, other.len())];
            bytes.splice(at..at, put.iter().copied());
        }
        7 | 8 => number(rng, bytes, at),
        9 => {
            let digit = |b: &u8| b.is_ascii_digit();
            if let Some(found) = bytes.iter().skip(at).position(digit) {
                bytes[at + found] = b'0' + rng.u8(0..10);
            }
        }
        10 => {
            let noise: Vec<u8> = (0..rng.usize(1..20)).map(|_| rng.u8(..)).collect();
            bytes.splice(at..at, noise);
        }
        _ => {
            let (a, b) = (part(rng, length), part(rng, length));
            let moved = bytes[a].to_vec();
            bytes.splice(b, moved);
        }
    }
}

/// A field that tells a length or a place, in two, four or eight bytes of either order.
fn number(rng: &mut Rng, bytes: &mut [u8], at: usize) {
    let length = bytes.len() as u64;
    let strange = [
        0,
        1,
        2,
        0x7f,
        0x80,
        0xff,
        0x7fff,
        0xffff,
        0x7fff_ffff,
        0x8000_0000,
    ];
    let larger = [
        0xffff_ffff,
        0xffff_fffe,
        1 << 62,
        u64::MAX,
        length,
        length + 1,
    ];
    let number = *one(rng, &[&strange[..], &larger].concat());
    let width = *one(rng, &[1, 2, 4, 4, 8]);
    let mut told = number.to_le_bytes()[..width].to_vec();
    if rng.bool() {
        told.reverse();
    }
    for (byte, told) in bytes.iter_mut().skip(at).zip(told) {
        *byte = told;
    }
}

/// One of the sound values, with one to eight of its parts changed.
pub fn value(rng: &mut Rng, sound: &[Value]) -> Value {
    let mut value = one(rng, sound).clone();
    for _ in 0..few(rng) {
        change_value(rng, &mut value);
    }
    value
}

fn change_value(rng: &mut Rng, root: &mut Value) {
    let places = places(root);
    if places > MOST_PLACES {
        return;
    }
    let place = rng.usize(..places);
    let other = rng.usize(..places);
    let taken = at(root, other).clone();
    let here = at(root, place);
    // What is changed within its kind gets further than what is not.
    match (rng.u8(0..10), here) {
        (0..5, Value::Number(number)) => {
            let number = number.as_f64().unwrap_or_default();
            let by = *one(
                rng,
                &[-1.0, 0.0, 0.5, 2.0, 10.0, 1e3, 1e6, 1e-3, 1e-9, 1.000_001],
            );
            let changed = number * by;
            *at(root, place) = if rng.bool() && changed.abs() < 1e15 {
                json!(changed.round() as i64)
            } else {
                json!(changed)
            };
        }
        (5..8, Value::Number(_)) => *at(root, place) = strange_number(rng),
        (0..4, Value::String(text)) => *text = words(rng, text),
        (4..8, Value::String(text)) => *text = (*one(rng, &TEXTS)).into(),
        (0..8, Value::Bool(yes)) => *yes = !*yes,
        (0..4, Value::Array(items)) if !items.is_empty() => {
            let item = one(rng, items).clone();
            let times = *one(rng, &[1, 2, 10, 60]);
            items.extend(std::iter::repeat_n(item, times));
        }
        (4..6, Value::Array(items)) => items.truncate(rng.usize(..=items.len())),
        (6..8, Value::Array(items)) => rng.shuffle(items),
        (0..8, Value::Object(fields)) if !fields.is_empty() => {
            let key = fields.keys().nth(rng.usize(..fields.len())).cloned();
            fields.remove(&key.unwrap_or_default());
        }
        (8, here) => *here = taken,
        (_, here) => *here = strange(rng),
    }
}

/// How many places a value has: itself, its parts, and theirs.
fn places(value: &Value) -> usize {
    match value {
        Value::Array(items) => 1 + items.iter().map(places).sum::<usize>(),
        Value::Object(fields) => 1 + fields.values().map(places).sum::<usize>(),
        _ => 1,
    }
}

/// The place of that number, each value before its parts.
fn at(value: &mut Value, place: usize) -> &mut Value {
    fn among<'a>(parts: impl Iterator<Item = &'a mut Value>, mut place: usize) -> &'a mut Value {
        for part in parts {
            let here = places(part);
            if place < here {
                return at(part, place);
            }
            place -= here;
        }
        unreachable!("no place has a number as high as their count")
    }
    match value {
        value if place == 0 => value,
        Value::Array(items) => among(items.iter_mut(), place - 1),
        Value::Object(fields) => among(fields.values_mut(), place - 1),
        leaf => leaf,
    }
}

const TEXTS: [&str; 19] = [
    "",
    " ",
    "9999-12-31T23:59:59.999999999Z",
    "0000-01-01T00:00:00Z",
    "0000-01-01T00:00:00+23:59",
    "9999-12-31T23:59:59-23:59",
    "+262142-12-31T23:59:59Z",
    "1970-01-01T00:00:00Z",
    "9999-12-31",
    "0000-01-01",
    "2026-02-29",
    "\u{0}",
    "ß\u{301}\u{202e}🙂",
    "=1+1",
    "../x",
    "\"",
    "{n}",
    "1e999",
    "NaN",
];

fn strange_number(rng: &mut Rng) -> Value {
    let numbers = [
        0.0,
        -0.0,
        1e-300,
        -1.0,
        0.5,
        1.0,
        90.0,
        180.0,
        -90.0,
        1e4,
        1e6,
        1e9,
        1e15,
        1e300,
        -1e300,
        4_294_967_295.0,
        4_294_967_296.0,
        f64::MAX,
        f64::MIN_POSITIVE,
        f64::EPSILON,
    ];
    match rng.u8(0..4) {
        0 => json!(one(
            rng,
            &[0, 1, 2, 7, 12, 255, 65_535, 4_294_967_295, u64::MAX]
        )),
        1 => json!(one(rng, &[-1, i64::MIN, i64::from(i32::MIN)])),
        _ => json!(one(rng, &numbers)),
    }
}

/// A value that fits few places.
fn strange(rng: &mut Rng) -> Value {
    match rng.u8(0..6) {
        0 | 1 => strange_number(rng),
        2 => one(
            rng,
            &[Value::Null, json!(true), json!(false), json!([]), json!({})],
        )
        .clone(),
        3 => json!(vec![[1.0, 2.0]; rng.usize(0..8)]),
        4 => Value::Object(Map::from_iter([("kind".to_owned(), json!("none"))])),
        _ => json!(one(rng, &TEXTS)),
    }
}

/// A text with letters changed, taken out, doubled or put in.
pub fn words(rng: &mut Rng, text: &str) -> String {
    let odd = [
        '\0', '\n', '\r', '\t', ' ', '"', '\'', '\\', ',', ';', ':', '-', '=', '+', '@', '0', '9',
        'é', '€', '𝄞', '\u{301}', '\u{202e}', '\u{feff}', '\u{a0}', 'İ', '½',
    ];
    let mut letters: Vec<char> = text.chars().collect();
    for _ in 0..rng.usize(1..4) {
        let at = rng.usize(..=letters.len());
        match rng.u8(0..5) {
            0 => letters.insert(at, *one(rng, &odd)),
            1 if at < letters.len() => letters[at] = *one(rng, &odd),
            2 if at < letters.len() => drop(letters.remove(at)),
            3 => letters.truncate(at),
            _ => {
                let more = letters[part(rng, letters.len())].repeat(1 << rng.u32(0..4));
                letters.splice(at..at, more);
                letters.truncate(4000);
            }
        }
    }
    letters.into_iter().collect()
}
