//! The way along an edge from one point to another: the path of least cost through a corridor, as
//! in E. Mortensen and W. Barrett, "Interactive segmentation with intelligent scissors", Graphical
//! Models and Image Processing 60, 1998.
//!
//! The corridor is looked at in cells coarse enough for a quick answer; the path is then made
//! exact in a narrow `strip` along it.

use super::base::{Base, Station, distance};
use super::settle::{HAND, place};
use super::strip::{BESIDE, Strip};
use crate::survey::rank::nth;
use crate::survey::{GreyView, Px, SurveyError, simplify};
use crate::words::tr;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Cells of the corridor, at most.
const MOST_CELLS: f64 = 80_000.0;
/// The corridor reaches so far to both sides, as a share of the distance between the points.
const WIDE: f64 = 0.3;
/// The end may be off the edge by this share of that distance, and within these bounds in pixels.
const REACH: f64 = 0.08;
const REACH_PX: [f64; 2] = [3.0, 30.0];
/// What a cell's length costs along the clearest edge, and where there is none, in whole units.
const UNIT: f32 = 1000.0;
const ALONG: f32 = 0.4;
/// A slope so many times the corridor's median is surely one of an edge.
const CLEAR: f32 = 3.0;
/// Even in a picture without grain, an edge rises by this much brightness a cell (of 255).
const FAINTEST: f32 = 0.8;
/// A path must run along a clear edge for this share of its length.
const SEEN: f64 = 0.7;
/// The farthest a point left out of the path may lie from it, in pixels.
const TOLERANCE_PX: f64 = 0.6;

/// The points after `from` along an edge up to and including `to`, which itself goes to the edge.
pub fn trace(grey: &GreyView<'_>, from: Px, to: Px) -> Result<Vec<Px>, SurveyError> {
    let far = distance(from, to);
    for (name, px) in [("from", from), ("to", to)] {
        if grey.at(px).is_none() {
            return Err(SurveyError::at(
                name,
                tr("This point lies outside the photo. Set it inside."),
            ));
        }
    }
    if far < LEAST_FAR {
        return Err(SurveyError::at(
            "to",
            tr("The two points are at the same place. Set the second one further along the edge."),
        ));
    }
    let corridor = Corridor::between(grey, from, to);
    let cells = corridor.path(from, to).ok_or_else(no_edge)?;
    let side = f64::from(corridor.side);
    let mut line = vec![from];
    line.extend(cells.iter().skip(1).map(|cell| corridor.place(*cell)));
    let base = Base::through(&line, false, 1.0, 1.5 * side, 0.0).ok_or_else(no_edge)?;
    let strip = Strip::about(grey, &base, 2.0 * side + BESIDE);
    let found = strip.follow(&base, |_, off| -0.5 * (off / (1.5 * side)).powi(2));
    let exact: Vec<(&Station, Option<f64>)> = (0..base.stations.len())
        .map(|i| {
            let off = place(grey, &base, &found, i).map(|(off, _)| off);
            (&base.stations[i], off)
        })
        .collect();
    let seen = exact.iter().filter(|(_, off)| off.is_some()).count();
    if (seen as f64) < SEEN * exact.len() as f64 {
        return Err(no_edge());
    }
    let first = exact.iter().position(|(_, off)| off.is_some()).unwrap_or(0);
    let edge: Vec<Px> = exact[first..]
        .iter()
        .map(|(station, off)| station.place(off.unwrap_or(0.0)))
        .collect();
    // An edge that does not come by the first point is another one.
    let by = edge.iter().map(|px| distance(*px, from));
    if by.fold(f64::INFINITY, f64::min) > reach(far) {
        return Err(no_edge());
    }
    let mut path = vec![from];
    path.extend(
        edge.into_iter()
            .filter(|px| distance(*px, from) > LEAST_FAR),
    );
    let mut simple = simplify::line(&path, TOLERANCE_PX);
    simple.remove(0);
    Ok(simple)
}

/// Nearer points are one, in pixels.
const LEAST_FAR: f64 = 2.0;

fn no_edge() -> SurveyError {
    SurveyError::at(
        "to",
        tr(
            "There is no clear edge to follow between these two points. Set more points by hand here.",
        ),
    )
}

/// The picture between two points, in cells of `side` pixels.
struct Corridor {
    left: f64,
    top: f64,
    side: u32,
    wide: usize,
    high: usize,
    /// Slopes of brightness along x and along y, a cell.
    slopes: Vec<[f32; 2]>,
    /// How much each cell is a crest of slope, from 0 to 1.
    crest: Vec<f32>,
    /// A slope of a clear edge.
    clear: f32,
}

impl Corridor {
    fn between(grey: &GreyView<'_>, from: Px, to: Px) -> Self {
        let far = distance(from, to);
        let more = WIDE * far + 2.0 * reach(far);
        let span = |k: usize, most: u32| {
            let low = (from[k].min(to[k]) - more).floor().max(0.0);
            let high = (from[k].max(to[k]) + more)
                .ceil()
                .min(f64::from(most) - 1.0);
            (low, high - low + 1.0)
        };
        let ((left, width), (top, height)) = (span(0, grey.width), span(1, grey.height));
        let side = (width * height / MOST_CELLS).sqrt().ceil().max(1.0) as u32;
        let cells = |pixels: f64| ((pixels as u32 / side) as usize).max(3);
        let (wide, high) = (cells(width), cells(height));
        let light = means(grey, [left, top], side, wide, high);
        let at = |x: usize, y: usize| light[y * wide + x];
        let mut slopes = Vec::with_capacity(wide * high);
        for y in 0..high {
            let (up, low) = (y.saturating_sub(1), (y + 1).min(high - 1));
            for x in 0..wide {
                let (left, right) = (x.saturating_sub(1), (x + 1).min(wide - 1));
                // Sobel's weights.
                let gx = at(right, up) + 2.0 * at(right, y) + at(right, low)
                    - at(left, up)
                    - 2.0 * at(left, y)
                    - at(left, low);
                let gy = at(left, low) + 2.0 * at(x, low) + at(right, low)
                    - at(left, up)
                    - 2.0 * at(x, up)
                    - at(right, up);
                slopes.push([gx / 8.0, gy / 8.0]);
            }
        }
        let sizes: Vec<f32> = slopes.iter().map(|g| g[0].hypot(g[1])).collect();
        let mut sorted = sizes.clone();
        let middle = sorted.len() / 2;
        let median = nth(&mut sorted, middle, f32::total_cmp);
        let clear = (CLEAR * median).max(FAINTEST);
        let crest = (0..wide * high)
            .map(|cell| {
                let ([gx, gy], size) = (slopes[cell], sizes[cell]);
                if size <= 0.0 {
                    return 0.0;
                }
                let (x, y) = ((cell % wide) as f32, (cell / wide) as f32);
                let most = [-1.5_f32, -1.0, 1.0, 1.5]
                    .map(|by| {
                        let column = (x + by * gx / size).round().clamp(0.0, wide as f32 - 1.0);
                        let row = (y + by * gy / size).round().clamp(0.0, high as f32 - 1.0);
                        sizes[row as usize * wide + column as usize]
                    })
                    .into_iter()
                    .fold(size, f32::max);
                (size / most).powi(2)
            })
            .collect();
        Self {
            left,
            top,
            side,
            wide,
            high,
            slopes,
            crest,
            clear,
        }
    }

    /// The middle of a cell in the picture.
    fn place(&self, cell: usize) -> Px {
        let side = f64::from(self.side);
        let at = |i: usize, start: f64| start + (i as f64 + 0.5) * side - 0.5;
        [
            at(cell % self.wide, self.left),
            at(cell / self.wide, self.top),
        ]
    }

    fn cell(&self, px: Px) -> usize {
        let at = |x: f64, start: f64, count: usize| {
            let i = ((x - start + 0.5) / f64::from(self.side)).floor();
            (i.max(0.0) as usize).min(count - 1)
        };
        at(px[1], self.top, self.high) * self.wide + at(px[0], self.left, self.wide)
    }

    /// The cheapest way from one point to the edge at the other (E. Dijkstra, 1959).
    fn path(&self, from: Px, to: Px) -> Option<Vec<usize>> {
        let far = distance(from, to);
        let (reach, corridor) = (reach(far), WIDE * far + 2.0 * reach(far));
        let start = self.cell(from);
        let mut cost = vec![u32::MAX; self.slopes.len()];
        let mut before = vec![usize::MAX; self.slopes.len()];
        let mut open = BinaryHeap::from([Reverse((0, start))]);
        cost[start] = 0;
        let mut best: Option<(u32, usize)> = None;
        while let Some(Reverse((spent, cell))) = open.pop() {
            if best.is_some_and(|(least, _)| spent >= least) {
                break;
            }
            if spent > cost[cell] {
                continue;
            }
            let here = self.place(cell);
            let off = distance(here, to);
            if off <= reach.max(f64::from(self.side)) {
                // What a hand is off is paid for as so many cells without an edge.
                let sd = HAND * reach;
                let hand = UNIT * (HAND_COST * (off / sd).powi(2)) as f32;
                let whole = spent + hand as u32;
                if best.is_none_or(|(least, _)| whole < least) {
                    best = Some((whole, cell));
                }
            }
            let (x, y) = (cell % self.wide, cell / self.wide);
            for (dx, dy) in STEPS {
                let (to_x, to_y) = (x as isize + dx, y as isize + dy);
                if to_x < 0 || to_y < 0 || to_x >= self.wide as isize || to_y >= self.high as isize
                {
                    continue;
                }
                let next = to_y as usize * self.wide + to_x as usize;
                if simplify::off(self.place(next), from, to) > corridor {
                    continue;
                }
                let whole = spent + self.step(cell, next, dx as f32, dy as f32);
                if whole < cost[next] {
                    cost[next] = whole;
                    before[next] = cell;
                    open.push(Reverse((whole, next)));
                }
            }
        }
        let (_, mut cell) = best?;
        let mut path = vec![cell];
        while cell != start {
            cell = before[cell];
            path.push(cell);
        }
        path.reverse();
        Some(path)
    }

    /// What a step costs: little where the light rises straight across it. The slopes of both
    /// cells are added, so that an edge that goes from rising to falling is none.
    fn step(&self, from: usize, to: usize, dx: f32, dy: f32) -> u32 {
        let long = dx.hypot(dy);
        let (a, b) = (self.slopes[from], self.slopes[to]);
        let across = ((a[0] + b[0]) * dy - (a[1] + b[1]) * dx).abs() / (2.0 * long);
        let steep = across / self.clear;
        let edge = (1.0 - (-0.5 * steep * steep).exp()) * self.crest[to];
        (UNIT * long * (ALONG + 1.0 - edge)) as u32
    }
}

/// Cells without an edge that one standard deviation of a hand costs, halved.
const HAND_COST: f64 = 1.0;

const STEPS: [(isize, isize); 8] = [
    (1, 0),
    (1, 1),
    (0, 1),
    (-1, 1),
    (-1, 0),
    (-1, -1),
    (0, -1),
    (1, -1),
];

fn reach(far: f64) -> f64 {
    (REACH * far).clamp(REACH_PX[0], REACH_PX[1])
}

/// The mean brightness of squares of `side` pixels.
fn means(grey: &GreyView<'_>, start: Px, side: u32, wide: usize, high: usize) -> Vec<f32> {
    let (left, top, side) = (start[0] as usize, start[1] as usize, side as usize);
    let (columns, rows) = (grey.width as usize, grey.height as usize);
    let mut sums = vec![0_u32; wide * high];
    for y in 0..high * side {
        let row = &grey.data[(top + y).min(rows - 1) * columns..][..columns];
        let sums = &mut sums[y / side * wide..][..wide];
        for (x, sum) in sums.iter_mut().enumerate() {
            let from = (left + x * side).min(columns - 1);
            let pixels = &row[from..(from + side).min(columns)];
            *sum += pixels.iter().map(|p| u32::from(*p)).sum::<u32>();
        }
    }
    let area = (side * side) as f32;
    sums.into_iter().map(|sum| sum as f32 / area).collect()
}
