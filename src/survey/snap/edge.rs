//! The long edge of a rule between two taps on it.

use super::profile::{rise, slope};
use super::robust::{Fitted, fit};
use crate::survey::rank::nth;
use crate::survey::{GreyView, Px};

/// An edge that was found: nearly straight, bent a little by the lens.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Edge {
    start: Px,
    /// The direction from tap to tap, of length 1.
    along: Px,
    /// From tap to tap, in pixels.
    pub length: f64,
    /// How far across the edge lies, in pixels, by powers of the place along it.
    curve: Fitted<4>,
}

/// A wide lens bends a rule across the whole picture by no more than this share of its length
/// (k1 = 0.05 at the picture's border).
const MOST_BEND: f64 = 0.008;

/// Stations at which a first, coarse edge is looked for.
const STATIONS: usize = 60;

/// Share of the stations at which it must be seen; ticks that begin at the edge hide up to a
/// third.
const SEEN: f64 = 0.5;

/// No edge scatters less, in pixels.
const LEAST_SCATTER: f64 = 0.1;

impl Edge {
    /// The strongest edge whose ends lie within `reach_px` of two taps on it.
    pub fn between(grey: &GreyView<'_>, from: Px, to: Px, reach_px: f64) -> Option<Self> {
        let d = [to[0] - from[0], to[1] - from[1]];
        let length = d[0].hypot(d[1]);
        let along = d.map(|c| c / length);
        let chord = Chord {
            start: from,
            along,
            length,
        };
        let (sign, coarse) = chord.coarse(grey, reach_px)?;
        let across = chord.across().map(|c| c * sign);
        let mut curve: Option<Fitted<4>> = None;
        // The second round looks closer about the edge of the first.
        for reach in [3.0, 1.5] {
            let stations = length.floor() as usize;
            let data: Vec<([f64; 4], f64)> = (0..=stations)
                .filter_map(|i| {
                    let s = i as f64;
                    let row = chord.powers(s);
                    let off = curve
                        .as_ref()
                        .map_or_else(|| coarse.at(s / length), |c| c.at(row));
                    let found = rise(grey, chord.place(s, off), across, reach)?;
                    (found.steep > 0.0).then_some((row, off + sign * found.off))
                })
                .collect();
            curve = Some(fit(&data, LEAST_SCATTER)?);
        }
        let curve = curve?;
        let kept = curve.kept.iter().filter(|k| **k).count() as f64;
        (kept >= SEEN * length && curve.scatter < 1.0).then_some(Self {
            start: from,
            along,
            length,
            curve,
        })
    }

    fn chord(&self) -> Chord {
        Chord {
            start: self.start,
            along: self.along,
            length: self.length,
        }
    }

    /// The pixel at a place along the edge and a depth beside it, both in pixels.
    pub fn place(&self, s: f64, depth: f64) -> Px {
        let chord = self.chord();
        chord.place(s, self.curve.at(chord.powers(s)) + depth)
    }

    /// The place along the edge at the foot of a pixel.
    pub fn foot(&self, px: Px) -> f64 {
        let d = [px[0] - self.start[0], px[1] - self.start[1]];
        d[0] * self.along[0] + d[1] * self.along[1]
    }
}

/// The straight line from tap to tap.
struct Chord {
    start: Px,
    along: Px,
    length: f64,
}

/// A first guess: how far across at both taps, and the bend between, in pixels.
#[derive(Clone, Copy)]
struct Coarse {
    ends: [f64; 2],
    bend: f64,
}

impl Coarse {
    fn at(&self, share: f64) -> f64 {
        self.ends[0] * (1.0 - share)
            + self.ends[1] * share
            + 4.0 * self.bend * share * (1.0 - share)
    }
}

impl Chord {
    fn across(&self) -> Px {
        [-self.along[1], self.along[0]]
    }

    fn place(&self, s: f64, off: f64) -> Px {
        let across = self.across();
        [0, 1].map(|k| self.start[k] + s * self.along[k] + off * across[k])
    }

    fn powers(&self, s: f64) -> [f64; 4] {
        let u = 2.0 * s / self.length - 1.0;
        [1.0, u, u * u, u * u * u]
    }

    /// The curve that meets the most edge, and whether the light rises across it (1) or falls.
    fn coarse(&self, grey: &GreyView<'_>, reach: f64) -> Option<(f64, Coarse)> {
        let bend = (MOST_BEND * self.length).min(reach).ceil() as i32;
        let reach = reach.ceil() as i32;
        let wide = reach + bend + 1;
        let columns = (2 * wide + 1) as usize;
        let mut slopes = Vec::with_capacity(STATIONS * columns);
        for i in 0..STATIONS {
            let s = self.length * (i as f64 + 0.5) / STATIONS as f64;
            slopes.extend((-wide..=wide).map(|off| {
                slope(grey, self.place(s, f64::from(off)), self.across()).unwrap_or(0.0)
            }));
        }
        let mut sizes: Vec<f64> = slopes.iter().map(|s| s.abs()).collect();
        let middle = sizes.len() / 2;
        let median = nth(&mut sizes, middle, f64::total_cmp);
        let clear = (4.0 * median).max(0.004);
        let mut best: Option<(f64, f64, Coarse)> = None;
        for sign in [1.0, -1.0] {
            // An edge between two of the offsets is seen at both.
            let seen: Vec<f64> = slopes
                .iter()
                .map(|s| (sign * s / clear).clamp(0.0, 1.0))
                .collect();
            for first in (-reach..=reach).step_by(2) {
                for last in (-reach..=reach).step_by(2) {
                    for bend in (-bend..=bend).step_by(2) {
                        let curve = Coarse {
                            ends: [first, last].map(f64::from),
                            bend: f64::from(bend),
                        };
                        let score = (0..STATIONS)
                            .map(|i| {
                                let share = (i as f64 + 0.5) / STATIONS as f64;
                                let column = (curve.at(share).round() as i32 + wide) as usize;
                                let row = &seen[i * columns..(i + 1) * columns];
                                let low = column.saturating_sub(1);
                                let high = (column + 2).min(columns);
                                row[low..high].iter().copied().fold(0.0, f64::max)
                            })
                            .sum::<f64>()
                            / STATIONS as f64;
                        // Of two that are as clear the nearer one is meant.
                        let off = f64::from(first.abs() + last.abs()) / f64::from(2 * reach);
                        let score = score - 0.15 * off;
                        if score > SEEN - 0.15 && best.is_none_or(|(most, ..)| score > most) {
                            best = Some((score, sign, curve));
                        }
                    }
                }
            }
        }
        best.map(|(_, sign, curve)| (sign, curve))
    }
}
