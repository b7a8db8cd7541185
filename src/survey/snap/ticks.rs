//! A rule read from two numbers: all its ticks between them become readings.

use super::comb::Comb;
use super::edge::Edge;
use super::pattern::{Division, Reader};
use super::strokes::Strokes;
use crate::survey::{GreyView, Px};
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A tick that was found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tick {
    /// Where it meets the rule's edge, in pixels.
    pub px: Px,
    /// What the rule reads there, in millimetres.
    pub at_mm: f64,
    /// Standard deviation of its place along the edge, in pixels.
    pub sd_px: f64,
}

/// The ticks of a rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ticks {
    /// What one tick is.
    pub division: Division,
    /// In the order of their readings; 20 or more.
    pub ticks: Vec<Tick>,
}

/// Why a rule could not be read; [`fmt::Display`] says it and what to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoTicks {
    /// The two readings are the same, or not numbers, or at the same place.
    Readings,
    /// The ticks would be too fine to be told apart.
    TooFine,
    /// No straight edge runs from mark to mark.
    NoEdge,
    /// Too few evenly spaced strokes stand along the edge.
    NoComb,
    /// The ticks' lengths are neither those of a millimetre rule nor those of a sixteenth-inch
    /// rule.
    NoPattern,
    /// The ticks that were counted do not fit the two readings.
    Contradiction,
}

impl fmt::Display for NoTicks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Readings => {
                tr("Two different readings at two different places are needed to read a rule.")
            }
            Self::TooFine => tr(
                "The ticks are too fine in this picture. Take it from nearer, or use a larger one.",
            ),
            Self::NoEdge => tr(
                "No clear edge of a rule runs from mark to mark. Mark both readings where their \
                 ticks meet the same edge.",
            ),
            Self::NoComb => tr(
                "The ticks can't be made out all along the edge. Take the photo without glare, \
                 sharp and from nearer.",
            ),
            Self::NoPattern => tr(
                "The longer ticks can't be told from the shorter ones, so the rule may count \
                 neither millimetres nor sixteenths of an inch.",
            ),
            Self::Contradiction => tr(
                "The ticks counted between the marks don't fit their readings. Check both \
                 readings.",
            ),
        })
    }
}

impl std::error::Error for NoTicks {}

/// Fewer ticks than this tell little more than the two marks do.
const LEAST_TICKS: usize = 20;

/// Finer ticks run into each other, in pixels a tick.
const FINEST_PX: f64 = 3.6;

/// A tilted camera sees the ticks of one end of a rule so much nearer to each other than on
/// average, and those of the other end so much further apart.
const PERSPECTIVE: [f64; 2] = [0.55, 1.7];

/// No thumb is further off across the edge, as a share of the picture's longer side; the work
/// grows with the square of it.
const MOST_REACH: f64 = 0.06;

/// No tick is known better along its edge, in pixels.
const LEAST_SD_PX: f64 = 0.05;

/// All ticks between two readings on the edge of a rule.
///
/// `readings` are the pixel and the reading in millimetres of two places on one edge, marked by
/// thumb: up to two ticks off along the edge, and up to `reach_px` across it. They fix which
/// numbers the ticks bear; that they count right is checked twice, by the number of ticks between
/// them and by the pattern of longer ticks. Two readings that are wrong by the same multiple of
/// the pattern (both 10 mm too much), or taken for each other, can't be known to be; what they
/// say of the wall stays true.
///
/// # Errors
///
/// [`NoTicks`] rather than a doubtful reading.
pub fn ticks(
    grey: &GreyView<'_>,
    readings: [(Px, f64); 2],
    reach_px: f64,
) -> Result<Ticks, NoTicks> {
    let [from, to] = if readings[0].1 <= readings[1].1 {
        readings
    } else {
        [readings[1], readings[0]]
    };
    let span_mm = to.1 - from.1;
    let span_px = (to.0[0] - from.0[0]).hypot(to.0[1] - from.0[1]);
    let scale = span_px / span_mm;
    let sound = [span_mm, span_px, scale, reach_px];
    if !sound.iter().all(|x| *x > 0.0 && x.is_finite()) {
        return Err(NoTicks::Readings);
    }
    if scale < FINEST_PX / Division::SixteenthInch.mm() {
        return Err(NoTicks::TooFine);
    }
    if scale > f64::from(grey.width).hypot(f64::from(grey.height)) {
        // A millimetre wider than the whole photo: no two ticks are in it.
        return Err(NoTicks::NoComb);
    }
    let reach_px = reach_px.min(MOST_REACH * f64::from(grey.width.max(grey.height)));
    let edge = Edge::between(grey, from.0, to.0, reach_px).ok_or(NoTicks::NoEdge)?;
    // From millimetre ticks where they stand nearest to sixteenths where they are furthest.
    let apart = [
        (PERSPECTIVE[0] * scale).max(0.8 * FINEST_PX),
        PERSPECTIVE[1] * Division::SixteenthInch.mm() * scale,
    ];
    let mut why = NoTicks::NoComb;
    let mut read = Vec::new();
    for side in [1.0, -1.0] {
        let strokes = Strokes::along(grey, &edge, side, scale);
        let Some(comb) = Comb::of(&strokes.places, apart, LEAST_TICKS) else {
            continue;
        };
        let marks = [from, to].map(|(px, mm)| (comb.number(edge.foot(px)), mm));
        match Reader::new(&strokes, &comb).read(marks) {
            Ok((division, first)) => read.push((division, first, comb)),
            Err(reason) => why = reason,
        }
    }
    // Both sides alike: a mirror image, or two rules edge to edge.
    let [(division, zero, comb)] = &read[..] else {
        return Err(if read.is_empty() {
            why
        } else {
            NoTicks::NoPattern
        });
    };
    let sd_px = comb.scatter.max(LEAST_SD_PX);
    Ok(Ticks {
        division: *division,
        ticks: comb
            .teeth
            .iter()
            .map(|tooth| Tick {
                px: edge.place(tooth.s, 0.0),
                at_mm: (tooth.number + zero) as f64 * division.mm(),
                sd_px,
            })
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const WIDTH: u32 = 700;
    const HEIGHT: u32 = 120;
    /// The rule's edge and its reading 0, in pixels.
    const EDGE: f64 = 30.0;
    const ZERO: f64 = 23.3;

    /// A bright rule with dark ticks, `scale` pixels to a millimetre; `long` is a tick's length
    /// in millimetres.
    fn rule(scale: f64, step_mm: f64, long: impl Fn(i64) -> f64) -> Vec<u8> {
        let level = |x: f64, y: f64| {
            let number = ((x - ZERO) / (scale * step_mm)).round();
            let off = (x - ZERO - number * scale * step_mm).abs();
            let deep = (y - EDGE) / scale;
            match deep {
                d if d < 0.0 => 60.0,
                d if off < 0.15 * scale && d < long(number as i64) => 30.0,
                _ => 200.0,
            }
        };
        (0..HEIGHT)
            .flat_map(|y| (0..WIDTH).map(move |x| (f64::from(x), f64::from(y))))
            .map(|(x, y)| {
                let parts = [-0.375, -0.125, 0.125, 0.375];
                let sum: f64 = parts
                    .iter()
                    .flat_map(|dx| parts.iter().map(move |dy| level(x + dx, y + dy)))
                    .sum();
                (sum / 16.0) as u8
            })
            .collect()
    }

    fn millimetres(number: i64) -> f64 {
        3.0 + 1.5 * Division::Millimetre.rank(number)
    }

    fn read(data: &[u8], scale: f64, claimed: [f64; 2]) -> Result<Ticks, NoTicks> {
        let grey = grey(data);
        let marks = [10.0, 90.0].map(|mm| [ZERO + mm * scale + 2.0, EDGE - 2.0]);
        ticks(
            &grey,
            [(marks[0], claimed[0]), (marks[1], claimed[1])],
            10.0,
        )
    }

    fn grey(data: &[u8]) -> GreyView<'_> {
        GreyView {
            width: WIDTH,
            height: HEIGHT,
            data,
        }
    }

    #[test]
    fn a_rule_seen_square_on_is_read() {
        let found = read(&rule(7.1, 1.0, millimetres), 7.1, [10.0, 90.0]).unwrap();
        assert_eq!(found.division, Division::Millimetre);
        assert!(found.ticks.len() >= 80);
        for tick in found.ticks {
            assert_eq!(tick.at_mm.fract(), 0.0);
            let along = tick.px[0] - ZERO - 7.1 * tick.at_mm;
            assert!(along.abs() < 0.15, "{tick:?} is {along} px off");
            // Ticks that begin at the edge draw it a little towards themselves.
            let across = tick.px[1] - EDGE;
            assert!(across.abs() < 0.5, "{tick:?} is {across} px off the edge");
        }
    }

    #[test]
    fn a_millimetre_that_is_wider_than_the_photo_is_no_rule() {
        let data = rule(7.1, 1.0, millimetres);
        let found = read(&data, 7.1, [0.0, 1e-300]);
        assert_eq!(found.unwrap_err(), NoTicks::NoComb);
    }

    #[test]
    fn a_reach_without_end_is_no_work_without_end() {
        let data = rule(7.1, 1.0, millimetres);
        let grey = grey(&data);
        let marks = [10.0, 90.0].map(|mm| ([ZERO + mm * 7.1, EDGE], mm));
        let found = ticks(&grey, marks, u64::MAX as f64).unwrap();
        assert_eq!(found.division, Division::Millimetre);
    }

    #[test]
    fn marks_may_be_given_from_right_to_left() {
        let data = rule(7.1, 1.0, millimetres);
        let grey = grey(&data);
        let mark = |mm: f64| ([ZERO + mm * 7.1, EDGE], mm);
        let there = ticks(&grey, [mark(10.0), mark(90.0)], 10.0).unwrap();
        assert_eq!(ticks(&grey, [mark(90.0), mark(10.0)], 10.0), Ok(there));
    }

    #[test]
    fn a_mark_beside_its_tick_is_put_right_and_a_wrong_one_refused() {
        let data = rule(7.1, 1.0, millimetres);
        let sound = read(&data, 7.1, [10.0, 90.0]).unwrap();
        let bettered = read(&data, 7.1, [11.0, 90.0]).unwrap();
        assert_eq!(bettered.ticks.len(), sound.ticks.len());
        for (a, b) in bettered.ticks.iter().zip(&sound.ticks) {
            assert_eq!(a.at_mm, b.at_mm);
            assert!((a.px[0] - b.px[0]).abs() < 0.1, "{a:?}, {b:?}");
        }
        for wrong in [[20.0, 90.0], [10.0, 95.0], [15.0, 95.0]] {
            assert_eq!(read(&data, 7.1, wrong), Err(NoTicks::Contradiction));
        }
    }

    #[test]
    fn what_is_no_rule_is_refused() {
        let even = rule(7.1, 1.0, |_| 4.0);
        assert!(read(&even, 7.1, [10.0, 90.0]).is_err());
        let halves = rule(7.1, 2.0, |n| 3.0 + 2.0 * f64::from(u8::from(n % 5 == 0)));
        assert!(read(&halves, 7.1, [10.0, 90.0]).is_err());
        let bare = rule(7.1, 1.0, |_| 0.0);
        assert_eq!(read(&bare, 7.1, [10.0, 90.0]), Err(NoTicks::NoComb));
        let flat = vec![128; (WIDTH * HEIGHT) as usize];
        assert_eq!(read(&flat, 7.1, [10.0, 90.0]), Err(NoTicks::NoEdge));
        assert_eq!(read(&flat, 1.5, [10.0, 90.0]), Err(NoTicks::TooFine));
        for claimed in [[10.0, 10.0], [f64::NAN, 90.0], [10.0, f64::INFINITY]] {
            assert_eq!(read(&flat, 7.1, claimed), Err(NoTicks::Readings));
        }
    }
}
