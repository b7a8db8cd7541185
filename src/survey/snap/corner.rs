//! The corner near a tap: where two straight edges would cross.
//!
//! A bank card's corners are round and a sheet's are worn, so the edges are taken away from the
//! corner, each as a line of its own, and made to meet.

use super::line::Line;
use super::profile::{rise, slope};
use crate::survey::rank::nth;
use crate::survey::{GreyView, Px};
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, TAU};

/// A corner that was found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Corner {
    /// Where the two edges cross, in pixels.
    pub px: Px,
    /// Standard deviation of that place along x and along y, in pixels, from the scatter of the
    /// edges about their lines and their blur.
    pub sd_px: f64,
}

/// The stretch of an edge that its line is fitted to, as shares of the reach from the corner on:
/// the beginning is left to the corner's rounding.
const STRETCH: [f64; 2] = [0.38, 1.0];

/// A thumb is off by at most this share of the reach.
const THUMB: f64 = 0.45;

/// With fewer pixels of reach there is no straight stretch to fit to.
const LEAST_REACH: f64 = 10.0;

/// So much of an edge must be seen, as a share of the stretch.
const SEEN: f64 = 0.75;

/// Edges that meet at a smaller angle, or at one as near to a straight line, are no corner of a
/// card or sheet, even of one that is seen at a slant.
const LEAST_ANGLE: f64 = PI / 5.0;

/// A pair of edges as good as the best one, but for this, leaves open which of them is meant.
const CLEARLY: f64 = 0.12;

/// Corners that are no further apart are the same one, in pixels.
const SAME_PX: f64 = 2.5;

/// An edge scatters about its line by no more, in pixels.
const MOST_SCATTER: f64 = 0.7;

/// A shadow beside a blurred edge moves it as a whole by about this share of the blur (from the
/// drawn photos of the tests).
const BLURRED: f64 = 0.12;

/// The best lines of a neighbourhood that are tried against each other.
const LINES: usize = 14;

/// The corner that a tap at `near` means: the crossing of two straight edges, looked for within
/// `reach_px` of the tap; `None` where there is no clear corner.
///
/// The reach is as long as the edges are surely straight and alone: a quarter of a card's side is
/// right, and of a round corner less than its third may be rounding. The corner itself may lie up
/// to 0.45 of the reach from the tap.
///
/// Candidate lines are the peaks of a Hough transform in which each pixel votes by its own
/// gradient (D. Ballard, Pattern Recognition 13, 1981). The place of an edge is found along its
/// normal to a part of a pixel, and the lines are fitted by Tukey's biweight.
pub fn corner(grey: &GreyView<'_>, near: Px, reach_px: f64) -> Option<Corner> {
    if !(reach_px >= LEAST_REACH && near.iter().all(|c| c.is_finite())) {
        return None;
    }
    // Beyond the picture there is nothing to look for.
    let reach_px = reach_px.min(f64::from(grey.width).hypot(f64::from(grey.height)));
    let field = Field::around(grey, near, reach_px)?;
    let lines = field.lines();
    let mut pairs: Vec<Pair> = Vec::new();
    for (i, one) in lines.iter().enumerate() {
        for other in &lines[..i] {
            pairs.extend(field.pair(one, other));
        }
    }
    pairs.sort_by(|a, b| b.score.total_cmp(&a.score));
    let best = pairs.first()?;
    let found = field.refined(best)?;
    // A second crossing that is as good: the tap could mean either.
    let rival = pairs[1..]
        .iter()
        .take_while(|p| p.score > best.score - CLEARLY)
        .filter(|p| distance(p.px, found.px) > SAME_PX)
        .filter_map(|p| field.refined(p))
        .any(|c| distance(c.px, found.px) > SAME_PX);
    (!rival).then_some(found)
}

/// The neighbourhood of a tap.
struct Field<'a> {
    grey: GreyView<'a>,
    near: Px,
    reach: f64,
    /// Light that rises less steeply than this is texture and noise.
    faint: f64,
    /// Places, directions of rise (of length 1) and steepness of what is steeper.
    votes: Vec<(Px, Px, f64)>,
}

/// A straight line with the side to which the light rises: `toward . p = rho` from the tap.
#[derive(Clone, Copy)]
struct Candidate {
    toward: Px,
    rho: f64,
}

/// Two lines as edges of a corner.
struct Pair {
    px: Px,
    /// The edges' directions away from the corner, and those to which their light rises.
    edges: [(Px, Px); 2],
    score: f64,
}

const ANGLES: usize = 120;
const RHO_STEP: f64 = 1.5;

impl<'a> Field<'a> {
    fn around(grey: &GreyView<'a>, near: Px, reach: f64) -> Option<Self> {
        let window = 1.0 + reach;
        let whole = |at: f64, side: u32| {
            let low = (at - window).ceil().max(1.0);
            let high = (at + window).floor().min(f64::from(side) - 2.0);
            (low <= high).then_some(low as u32..=high as u32)
        };
        let (columns, rows) = (whole(near[0], grey.width)?, whole(near[1], grey.height)?);
        let mut all = Vec::new();
        for y in rows {
            for x in columns.clone() {
                let px = [f64::from(x), f64::from(y)];
                if distance(px, near) > window {
                    continue;
                }
                let rise = [[1.0, 0.0], [0.0, 1.0]].map(|axis| slope(grey, px, axis));
                if let [Some(gx), Some(gy)] = rise {
                    let steep = gx.hypot(gy);
                    all.push((px, [gx / steep, gy / steep], steep));
                }
            }
        }
        if all.is_empty() {
            return None;
        }
        let middle = all.len() / 2;
        let (.., median) = nth(&mut all, middle, |a, b| a.2.total_cmp(&b.2));
        // Four times the median lies far out in the tail of noise (Rayleigh: 1 in 60 000).
        let faint = (4.0 * median).max(0.004);
        all.retain(|v| v.2 > faint);
        Some(Self {
            grey: *grey,
            near,
            reach,
            faint,
            votes: all,
        })
    }

    /// The straightest and strongest lines.
    fn lines(&self) -> Vec<Candidate> {
        let span = (self.reach / RHO_STEP).ceil() as usize + 1;
        let columns = 2 * span + 1;
        let mut table = vec![0.0_f64; ANGLES * columns];
        let strongest = self.votes.iter().map(|v| v.2).fold(0.0, f64::max);
        for (px, toward, steep) in &self.votes {
            // A faint edge is as straight as a strong one: the root brings them nearer.
            let weight = (steep / strongest).sqrt();
            let own = toward[1].atan2(toward[0]).rem_euclid(TAU) / TAU * ANGLES as f64;
            for turn in [-1, 0, 1] {
                let angle = (own.round() as isize + turn).rem_euclid(ANGLES as isize) as usize;
                let n = direction(angle);
                let rho = (px[0] - self.near[0]) * n[0] + (px[1] - self.near[1]) * n[1];
                let column = (rho / RHO_STEP).round() as isize + span as isize;
                if (0..columns as isize).contains(&column) {
                    table[angle * columns + column as usize] += weight;
                }
            }
        }
        let mut peaks: Vec<(f64, usize, usize)> = (0..table.len())
            .map(|i| (table[i], i / columns, i % columns))
            .filter(|(votes, ..)| *votes > 0.0)
            .collect();
        peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut kept: Vec<(usize, usize)> = Vec::new();
        for (_, angle, column) in peaks {
            let near = |&(a, c): &(usize, usize)| {
                let turn = a.abs_diff(angle);
                turn.min(ANGLES - turn) <= 3 && c.abs_diff(column) <= 2
            };
            if !kept.iter().any(near) {
                kept.push((angle, column));
            }
            if kept.len() == LINES {
                break;
            }
        }
        kept.into_iter()
            .map(|(angle, column)| Candidate {
                toward: direction(angle),
                rho: (column as f64 - span as f64) * RHO_STEP,
            })
            .collect()
    }

    /// Two lines as a corner, if they look like one.
    fn pair(&self, one: &Candidate, other: &Candidate) -> Option<Pair> {
        let (n, m) = (one.toward, other.toward);
        let cross = n[0] * m[1] - n[1] * m[0];
        if cross.abs() < LEAST_ANGLE.sin() {
            return None;
        }
        let px = [
            self.near[0] + (one.rho * m[1] - other.rho * n[1]) / cross,
            self.near[1] + (other.rho * n[0] - one.rho * m[0]) / cross,
        ];
        let far = distance(px, self.near) / self.reach;
        if far > THUMB {
            return None;
        }
        // The card is brighter than the wall along both edges, or darker along both: an edge runs
        // away from the corner to where the other one rises, or to where it falls.
        let away = |edge: Px, other: Px, sign: f64| {
            let along = [-edge[1], edge[0]];
            let up = along[0] * other[0] + along[1] * other[1];
            along.map(|c| c * up.signum() * sign)
        };
        [1.0, -1.0]
            .map(|sign| {
                let edges = [(away(n, m, sign), n), (away(m, n, sign), m)];
                let seen = edges.map(|(along, toward)| {
                    let there = self.seen(px, along, toward);
                    let beyond = self.seen(px, along.map(|c| -c), toward);
                    (there >= SEEN).then_some(there - 0.7 * beyond)
                });
                let [Some(a), Some(b)] = seen else {
                    return None;
                };
                Some(Pair {
                    px,
                    edges,
                    score: a.min(b) - 0.2 * far,
                })
            })
            .into_iter()
            .flatten()
            .max_by(|a, b| a.score.total_cmp(&b.score))
    }

    /// The share of an edge's stretch where the light rises clearly.
    fn seen(&self, px: Px, along: Px, toward: Px) -> f64 {
        let [from, to] = STRETCH.map(|share| share * self.reach);
        let steps = ((to - from) / 1.5).ceil() as usize;
        let hits = (0..=steps)
            .filter(|i| {
                let t = from + (to - from) * *i as f64 / steps as f64;
                (-3..=3).any(|side| {
                    let off = f64::from(side) * (0.5 + 0.01 * t);
                    let at = [0, 1].map(|k| px[k] + t * along[k] + off * toward[k]);
                    slope(&self.grey, at, toward).is_some_and(|s| s > self.faint)
                })
            })
            .count();
        hits as f64 / (steps + 1) as f64
    }

    /// The corner to a part of a pixel; `None` where its edges turn out not to be straight.
    fn refined(&self, pair: &Pair) -> Option<Corner> {
        let mut px = pair.px;
        let mut edges = pair.edges;
        let (mut sd, mut blur) = (f64::INFINITY, 0.0);
        // Each round looks closer about the lines of the one before.
        for reach in [4.0, 2.5, 1.5] {
            let mut lines = Vec::with_capacity(2);
            blur = 0.0;
            for (along, toward) in &mut edges {
                let (line, blurred) = self.line(px, *along, *toward, reach)?;
                blur = f64::max(blur, blurred);
                let ahead = line.along[0] * along[0] + line.along[1] * along[1];
                *along = line.along.map(|c| c * ahead.signum());
                let up = line.across()[0] * toward[0] + line.across()[1] * toward[1];
                *toward = line.across().map(|c| c * up.signum());
                lines.push(line);
            }
            (px, sd) = lines[0].meet(&lines[1])?;
        }
        let cross = edges[0].0[0] * edges[1].0[1] - edges[0].0[1] * edges[1].0[0];
        let clear =
            cross.abs() >= LEAST_ANGLE.sin() && distance(px, self.near) <= THUMB * self.reach;
        clear.then(|| Corner {
            px,
            sd_px: sd.hypot(BLURRED * blur),
        })
    }

    /// The line through the places of an edge along its stretch, and how blurred it is, in pixels.
    fn line(&self, px: Px, along: Px, toward: Px, reach: f64) -> Option<(Line, f64)> {
        let [from, to] = STRETCH.map(|share| share * self.reach);
        let stations = (to - from).floor() as usize;
        let mut points = Vec::with_capacity(stations + 1);
        let mut blur = 0.0;
        for i in 0..=stations {
            let t = from + i as f64;
            let foot = [px[0] + t * along[0], px[1] + t * along[1]];
            match rise(&self.grey, foot, toward, reach) {
                Some(rise) if rise.steep > self.faint => {
                    points.push([
                        foot[0] + rise.off * toward[0],
                        foot[1] + rise.off * toward[1],
                    ]);
                    blur += rise.blur;
                }
                _ => {}
            }
        }
        if (points.len() as f64) < SEEN * (stations + 1) as f64 {
            return None;
        }
        let line = Line::fit(&points)?;
        (line.scatter <= MOST_SCATTER && line.share >= SEEN)
            .then(|| (line, blur / points.len() as f64))
    }
}

fn direction(angle: usize) -> Px {
    let (s, c) = (angle as f64 / ANGLES as f64 * TAU).sin_cos();
    [c, s]
}

fn distance(a: Px, b: Px) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
