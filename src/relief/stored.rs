//! A height map as text that a record can hold: about one letter a place.
//!
//! Heights are whole fiftieths of a millimetre. Each is foretold from its neighbours (left plus
//! above less above-left, where a smooth surface hardly errs), and what is left is written as a
//! number of as many digits as it needs: five bits and one that says whether more follow in each
//! letter of the Base64 alphabet, the lowest bit its sign (variable-length quantities, as in
//! source maps). A run of places off the ornament is a full stop and the run's length. Spreads
//! are written for every eighth place both ways, as steps of 15 %: one letter each.

use super::{Frame, HeightMap};
use crate::survey::SurveyError;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// The map's fields in the record.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Written {
    frame: Frame,
    heights: String,
    sds: String,
    #[serde(default)]
    scale_sd: f64,
}

/// Steps in a millimetre of height.
const FINE: f32 = 50.0;
/// Every so many places there is a spread.
const COARSE: usize = 8;
/// The least spread that is told from none, and how much greater each next one is.
const LEAST: f32 = 0.01;
const GROWS: f32 = 1.15;

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

impl From<HeightMap> for Written {
    fn from(map: HeightMap) -> Self {
        let frame = map.frame();
        Self {
            frame,
            heights: of_heights(frame, map.heights()),
            sds: match &map.sds_read {
                Some(text) => text.to_string(),
                None => of_sds(frame, map.sds()),
            },
            scale_sd: map.sd(),
        }
    }
}

impl TryFrom<Written> for HeightMap {
    type Error = SurveyError;

    fn try_from(written: Written) -> Result<Self, SurveyError> {
        let frame = written.frame;
        frame.check()?;
        let damaged = || {
            SurveyError::at(
                "heights",
                tr("This height map is damaged. Sweep the piece again."),
            )
        };
        let heights = to_heights(frame, &written.heights).ok_or_else(damaged)?;
        let sds = to_sds(frame, &written.sds).ok_or_else(damaged)?;
        let mut map = Self::of(frame, heights, sds, written.scale_sd)?;
        map.sds_read = Some(written.sds.into());
        Ok(map)
    }
}

fn of_heights(frame: Frame, heights: &[f32]) -> String {
    let mut text = String::with_capacity(heights.len());
    let mut so_far = vec![0_i32; heights.len()];
    let mut off = 0;
    for (at, height) in heights.iter().enumerate() {
        if height.is_nan() {
            off += 1;
            continue;
        }
        end_run(&mut text, &mut off);
        so_far[at] = (height * FINE).round() as i32;
        let left = so_far[at] - foretold(frame, &so_far, at);
        put(&mut text, left.unsigned_abs() << 1 | u32::from(left < 0));
    }
    end_run(&mut text, &mut off);
    text
}

fn end_run(text: &mut String, off: &mut u32) {
    if *off > 0 {
        text.push('.');
        put(text, *off);
        *off = 0;
    }
}

fn to_heights(frame: Frame, text: &str) -> Option<Vec<f32>> {
    let mut heights = Vec::with_capacity(frame.len());
    let mut so_far = vec![0_i32; frame.len()];
    let mut letters = text.bytes().peekable();
    while heights.len() < frame.len() {
        if letters.next_if_eq(&b'.').is_some() {
            let run = take(&mut letters)? as usize;
            if run == 0 || run > frame.len() - heights.len() {
                return None;
            }
            heights.resize(heights.len() + run, f32::NAN);
            continue;
        }
        let number = take(&mut letters)?;
        let size = (number >> 1) as i32;
        let left = if number & 1 == 1 { -size } else { size };
        let at = heights.len();
        so_far[at] = foretold(frame, &so_far, at).checked_add(left)?;
        if so_far[at].unsigned_abs() > 1 << 20 {
            return None;
        }
        heights.push(so_far[at] as f32 / FINE);
    }
    letters.next().is_none().then_some(heights)
}

/// What the places before it tell of a height; those off the ornament count as the wall.
fn foretold(frame: Frame, so_far: &[i32], at: usize) -> i32 {
    let (column, width) = (at % frame.columns, frame.columns);
    let left = if column > 0 { so_far[at - 1] } else { 0 };
    let above = if at >= width { so_far[at - width] } else { 0 };
    let corner = match column > 0 && at >= width {
        true => so_far[at - width - 1],
        false => 0,
    };
    left + above - corner
}

fn put(text: &mut String, mut number: u32) {
    loop {
        let digit = number & 31;
        number >>= 5;
        let more = u32::from(number > 0) << 5;
        text.push(LETTERS[(digit | more) as usize] as char);
        if number == 0 {
            return;
        }
    }
}

fn take(letters: &mut impl Iterator<Item = u8>) -> Option<u32> {
    let mut number = 0;
    for shift in (0..30).step_by(5) {
        let digit = value(letters.next()?)?;
        number |= (digit & 31) << shift;
        if digit < 32 {
            return Some(number);
        }
    }
    None
}

fn value(letter: u8) -> Option<u32> {
    LETTERS
        .iter()
        .position(|l| *l == letter)
        .map(|at| at as u32)
}

/// Columns and rows of the coarse grid.
fn coarse(frame: Frame) -> [usize; 2] {
    [frame.columns, frame.rows].map(|n| n.div_ceil(COARSE) + 1)
}

/// The mean of the spreads around each place of the coarse grid.
fn of_sds(frame: Frame, sds: &[f32]) -> String {
    let [columns, rows] = coarse(frame);
    let around = |n: usize, most: usize| {
        let middle = n * COARSE;
        middle.saturating_sub(COARSE / 2)..(middle + COARSE / 2).min(most)
    };
    let mut text = String::with_capacity(columns * rows);
    for r in 0..rows {
        for c in 0..columns {
            let (mut sum, mut count) = (0.0_f32, 0.0_f32);
            for row in around(r, frame.rows) {
                for column in around(c, frame.columns) {
                    let sd = sds[row * frame.columns + column];
                    if !sd.is_nan() {
                        sum += sd;
                        count += 1.0;
                    }
                }
            }
            let letter = match count > 0.0 {
                true => letter_of(sum / count),
                false => b'.',
            };
            text.push(letter as char);
        }
    }
    text
}

fn letter_of(sd: f32) -> u8 {
    if sd < LEAST / 2.0 {
        return LETTERS[0];
    }
    let steps = (sd / LEAST).ln() / GROWS.ln();
    LETTERS[1 + steps.round().clamp(0.0, 62.0) as usize]
}

fn to_sds(frame: Frame, text: &str) -> Option<Vec<f32>> {
    let [columns, rows] = coarse(frame);
    if text.len() != columns * rows {
        return None;
    }
    let known = text.bytes().map(|letter| match (letter, value(letter)) {
        (b'.', _) => Some(f32::NAN),
        (_, Some(0)) => Some(0.0),
        (_, Some(steps)) => Some(LEAST * GROWS.powi(steps as i32 - 1)),
        _ => None,
    });
    let known = known.collect::<Option<Vec<f32>>>()?;
    let mut sds = Vec::with_capacity(frame.len());
    for row in 0..frame.rows {
        for column in 0..frame.columns {
            let (c, r) = (column / COARSE, row / COARSE);
            let part = |n: usize| (n % COARSE) as f32 / COARSE as f32;
            let (u, v) = (part(column), part(row));
            let corners = [
                (0, 0, (1.0 - u) * (1.0 - v)),
                (1, 0, u * (1.0 - v)),
                (0, 1, (1.0 - u) * v),
                (1, 1, u * v),
            ];
            let (mut sum, mut all) = (0.0, 0.0);
            for (right, down, weight) in corners {
                let sd = known[(r + down) * columns + c + right];
                // A weight of nothing still counts where nothing else is known.
                let weight = weight + 1e-6;
                if !sd.is_nan() {
                    sum += weight * sd;
                    all += weight;
                }
            }
            sds.push(if all > 0.0 { sum / all } else { 0.0 });
        }
    }
    Some(sds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;
    use proptest::prelude::*;

    fn dome(n: usize) -> HeightMap {
        let frame = Frame {
            origin: [-3.5, 12.25],
            step: Millimetres(0.5),
            columns: n,
            rows: n - n / 4,
        };
        let reach = n as f32 / 2.0;
        let at = |i: usize| {
            let (x, y) = ((i % n) as f32 - reach, (i / n) as f32 - reach * 0.75);
            let square = 1.0 - (x * x + y * y * 1.8) / (reach * reach);
            match square > 0.0 {
                true => {
                    (40.0 * square.sqrt() * (1.0 + 0.1 * (x * 0.2).sin()) * FINE).round() / FINE
                }
                false => f32::NAN,
            }
        };
        let heights: Vec<f32> = (0..frame.len()).map(at).collect();
        let sds = heights.iter().map(|h| 0.2 + h / 100.0).collect();
        HeightMap::of(frame, heights, sds, 0.01).unwrap()
    }

    #[test]
    fn a_map_of_512_places_a_side_is_a_letter_a_place_and_comes_back_whole() {
        let map = dome(512);
        let text = serde_json::to_string(&map).unwrap();
        assert!(text.len() < map.heights().len() * 5 / 4, "{}", text.len());
        let back: HeightMap = serde_json::from_str(&text).unwrap();
        assert_eq!(back.frame(), map.frame());
        for (a, b) in map.heights().iter().zip(back.heights()) {
            assert!(a == b || a.is_nan() && b.is_nan(), "{a} {b}");
        }
        for (a, b) in map.sds().iter().zip(back.sds()) {
            // Beside the edge, where spreads change fast, the mean of eight places is told.
            assert!(a.is_nan() && b.is_nan() || (a - b).abs() < 0.15, "{a} {b}");
        }
        // What was read once is written and read again as it is.
        let text = serde_json::to_string(&back).unwrap();
        let again: HeightMap = serde_json::from_str(&text).unwrap();
        assert!(again == back && serde_json::to_string(&again).unwrap() == text);
    }

    proptest! {
        #[test]
        fn any_heights_come_back_to_a_fiftieth(
            heights in prop::collection::vec(prop::option::of(0.0..1000.0_f32), 42),
        ) {
            let frame = Frame { origin: [0.0; 2], step: Millimetres(1.0), columns: 7, rows: 6 };
            let heights: Vec<f32> = heights.into_iter().map(|h| h.unwrap_or(f32::NAN)).collect();
            let map = HeightMap::of(frame, heights.clone(), vec![1.0; 42], 0.0).unwrap();
            let back: HeightMap =
                serde_json::from_str(&serde_json::to_string(&map).unwrap()).unwrap();
            for (a, b) in heights.iter().zip(back.heights()) {
                prop_assert!(a.is_nan() && b.is_nan() || (a - b).abs() < 0.0101, "{a} {b}");
            }
        }

        #[test]
        fn damaged_text_is_refused_and_breaks_nothing(heights in "[A-Za-z0-9+/.]{0,60}", sds in "[A-Za-z.]{0,9}") {
            let text = format!(
                r#"{{"frame":{{"origin":[0,0],"step":1.0,"columns":4,"rows":5}},"heights":"{heights}","sds":"{sds}"}}"#
            );
            let _: Result<HeightMap, _> = serde_json::from_str(&text);
        }
    }
}
