//! How sure a swept map is: maps that may as well be true.
//!
//! The matches stay and the cameras move: each draw of the cameras ([`Bundle::draws`]) sees every
//! place of the surface from where it may as well have stood. Beside that each place has a spread
//! of its own, which neighbours share, and the whole map may stand a little off the wall.

use super::{Draw, Frame};
use crate::quantity::Dice;
use crate::relief::DRAWS;
use crate::relief::near::around;
use crate::survey::{Bundle, Camera, Mm, Px, signed_area};
use nalgebra::{Matrix3, Vector3};

/// From knot to knot of the mesh on which cameras are moved, in places.
const MESH: usize = 8;
/// Heights that neighbours share are off alike over about this length, in millimetres.
const ALIKE_MM: f64 = 16.0;
/// How far the whole of a map may stand off the wall, in millimetres: what the wall itself is
/// uneven by where the cameras were found from it.
const WHOLE_SD_MM: f64 = 0.12;
/// The spread of a place where all is clear, in millimetres.
const CLEAR_SD_MM: f32 = 0.12;
/// How far aside a match may be, in millimetres: on a slope it is that much too high or too low.
const ASIDE_SD_MM: f32 = 0.35;
/// How far off a match lies at most, in places.
const ASIDE: usize = 2;
/// How far outside or inside an outline may be traced all along, in millimetres.
const EDGE_SD_MM: f64 = 0.15;
/// What a place that was filled in may be off, as a share of how its neighbourhood varies.
const FILLED: f32 = 0.5;

/// Two surfaces from the same photos that lie apart by no more than this share of the volume say
/// no more than the spread of each place, ...
const APART_FROM: f32 = 0.03;
/// ... and beyond it the map may be off by so much of what they lie apart, all at once (made up so
/// that it holds on rendered domes and rings of plaster in raking light).
const APART_SD: f32 = 1.6;

/// A map that may as well be another one.
pub(super) struct Likely<'a> {
    pub(super) heights: &'a [f32],
    /// The spread of each place by itself.
    pub(super) sds: &'a [f32],
    /// How far each may be off together with all others.
    pub(super) doubt: &'a [f32],
}

/// How far each place may be off together with all others, from how far two surfaces of the same
/// photos lie apart there.
pub(super) fn doubted(heights: &[f32], apart: Vec<f32>) -> Vec<f32> {
    let all: f32 = heights.iter().filter(|h| !h.is_nan()).sum();
    let known = apart.iter().zip(heights).filter(|(_, h)| !h.is_nan());
    let share = known.map(|(apart, _)| apart).sum::<f32>() / all.max(f32::MIN_POSITIVE);
    let by = APART_SD * (1.0 - APART_FROM / share.max(APART_FROM));
    apart.iter().map(|apart| by * apart).collect()
}

/// The spread of each place by itself, in millimetres.
pub(super) fn own(heights: &[f32], trust: &[f32], inside: &[bool], frame: &Frame) -> Vec<f32> {
    let (columns, rows) = (frame.columns, frame.rows);
    let step = frame.step.0 as f32;
    // A step to the wall at the outline is the outline's own, and not the match's.
    let at = |column: usize, row: usize| {
        let place = row * columns + column;
        inside[place].then(|| heights[place])
    };
    let mut sds = vec![0.0; heights.len()];
    for row in 0..rows {
        for column in 0..columns {
            let place = row * columns + column;
            if !inside[place] {
                continue;
            }
            let here = heights[place];
            let slope = |back: Option<f32>, on: Option<f32>| match (back, on) {
                (Some(a), Some(b)) => (b - a) / (2.0 * step),
                (Some(a), None) => (here - a) / step,
                (None, Some(b)) => (b - here) / step,
                (None, None) => 0.0,
            };
            let zx = slope(
                column.checked_sub(1).and_then(|c| at(c, row)),
                (column + 1 < columns)
                    .then(|| at(column + 1, row))
                    .flatten(),
            );
            let zy = slope(
                row.checked_sub(1).and_then(|r| at(column, r)),
                (row + 1 < rows).then(|| at(column, row + 1)).flatten(),
            );
            let aside = ASIDE_SD_MM * zx.hypot(zy).min(6.0);
            let filled = if trust[place] > 0.0 {
                // What is less alike is less sure.
                0.8 * (1.0 - trust[place]).max(0.0)
            } else {
                0.6 + FILLED * zx.hypot(zy).min(6.0)
            };
            sds[place] = CLEAR_SD_MM.hypot(aside).hypot(filled);
        }
    }
    sds
}

/// Maps that may as well be true.
pub(super) fn draws(
    bundle: &Bundle,
    base: usize,
    corners: &[Px],
    frame: &Frame,
    likely: &Likely<'_>,
) -> Vec<Draw> {
    let Likely {
        heights,
        sds,
        doubt,
    } = *likely;
    let mut dice = Dice::seeded(1);
    let cameras = bundle.draws(DRAWS, &mut || dice.normal());
    let knots = Knots::over(frame, heights);
    let size = |camera: &Camera| {
        let places: Vec<Mm> = corners.iter().filter_map(|px| camera.unsee(*px)).collect();
        signed_area(&places).abs()
    };
    let area = size(&bundle.cameras[base]);
    let top = heights.iter().copied().fold(0.0, f32::max);
    let reach = reach(heights, frame);
    let places: Vec<Mm> = corners
        .iter()
        .filter_map(|px| bundle.cameras[base].unsee(*px))
        .collect();
    // A ring that lies outside by so much is longer by that along all of its edge.
    let edge = EDGE_SD_MM * around(&places) / (2.0 * area.max(f64::MIN_POSITIVE));
    let mut dice_edge = Dice::seeded(2);
    let mut dice_doubt = Dice::seeded(3);
    let drawn = cameras.iter().map(|cameras| {
        let moved = knots.moved(&bundle.cameras, cameras);
        let waves = Knots::waves(frame, &mut dice);
        let whole = (WHOLE_SD_MM * dice.normal()) as f32;
        let aside = dice_doubt.normal() as f32;
        let mut drawn = Vec::with_capacity(frame.len());
        for row in 0..frame.rows {
            let (waves, moved) = (waves.row(row, frame.columns), moved.row(row, frame.columns));
            let places = row * frame.columns..(row + 1) * frame.columns;
            drawn.extend(places.enumerate().map(|(column, place)| {
                let [low, high] = reach[place];
                let own = heights[place] + waves[column] * sds[place];
                let own = own.max(low).min(high);
                // What is doubted is no new peak.
                let own = (own + aside * doubt[place]).min(own.max(top));
                let height = own + moved[column] + whole;
                if heights[place].is_nan() {
                    f32::NAN
                } else {
                    height.max(0.0)
                }
            }));
        }
        let scale = (size(&cameras[base]) / area).sqrt() * (1.0 + edge * dice_edge.normal());
        Draw {
            heights: drawn,
            scale: if scale.is_finite() && scale > 0.0 {
                scale
            } else {
                1.0
            },
        }
    });
    drawn.collect()
}

/// Between which heights each place lies however far aside it was matched: those of its
/// neighbours, and a little.
fn reach(heights: &[f32], frame: &Frame) -> Vec<[f32; 2]> {
    let (columns, rows) = (frame.columns, frame.rows);
    let about = |place: usize| {
        let (column, row) = (place % columns, place / columns);
        let mut ends = [heights[place]; 2];
        for r in row.saturating_sub(ASIDE)..=(row + ASIDE).min(rows - 1) {
            for c in column.saturating_sub(ASIDE)..=(column + ASIDE).min(columns - 1) {
                // NaN is neither less nor more.
                ends[0] = ends[0].min(heights[r * columns + c]);
                ends[1] = ends[1].max(heights[r * columns + c]);
            }
        }
        [ends[0] - 2.0 * CLEAR_SD_MM, ends[1] + 2.0 * CLEAR_SD_MM]
    };
    (0..heights.len()).map(about).collect()
}

/// The spread of each place with that of all, in millimetres.
pub(super) fn whole(heights: &[f32], own: &[f32], draws: &[Draw]) -> Vec<f32> {
    let count = draws.len().max(1) as f32;
    let mut squares = vec![0.0; heights.len()];
    for draw in draws {
        let both = draw.heights.iter().zip(heights);
        for (square, (drawn, height)) in squares.iter_mut().zip(both) {
            *square += (drawn - height) * (drawn - height);
        }
    }
    let sds = squares.iter().zip(own);
    sds.map(|(square, own)| (square / count).sqrt().max(*own))
        .collect()
}

/// Values at the knots of a coarse mesh over the map.
pub(super) struct Knots {
    /// From knot to knot, in places.
    apart: usize,
    columns: usize,
    values: Vec<f32>,
    /// Where each knot is: on the wall, and how high.
    places: Vec<(Mm, f64)>,
}

impl Knots {
    fn over(frame: &Frame, heights: &[f32]) -> Self {
        let (columns, rows) = (frame.columns / MESH + 2, frame.rows / MESH + 2);
        let mut places = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let [c, r] = [
                    (column * MESH).min(frame.columns - 1),
                    (row * MESH).min(frame.rows - 1),
                ];
                let height = heights[r * frame.columns + c];
                let height = if height.is_nan() {
                    0.0
                } else {
                    f64::from(height)
                };
                places.push((frame.place(c as f64, r as f64), height));
            }
        }
        Self {
            apart: MESH,
            columns,
            values: vec![0.0; columns * rows],
            places,
        }
    }

    /// By how much each knot stands higher when the cameras are others and the pixels the same.
    fn moved(&self, was: &[Camera], now: &[Camera]) -> Self {
        let higher = |(mm, height): &(Mm, f64)| risen(was, now, *mm, *height).unwrap_or(0.0) as f32;
        Self {
            values: self.places.iter().map(higher).collect(),
            places: Vec::new(),
            ..*self
        }
    }

    /// Normal numbers that neighbours share.
    pub(super) fn waves(frame: &Frame, dice: &mut Dice) -> Self {
        let apart = ((ALIKE_MM / frame.step.0) as usize).max(2);
        let (columns, rows) = (frame.columns / apart + 2, frame.rows / apart + 2);
        // Between knots the mean of four varies less than each: a third less on average.
        let values = (0..columns * rows).map(|_| (1.5 * dice.normal()) as f32);
        Self {
            apart,
            columns,
            values: values.collect(),
            places: Vec::new(),
        }
    }

    /// The values of a row of the map, straight between those at the knots.
    pub(super) fn row(&self, row: usize, columns: usize) -> Vec<f32> {
        let share = |at: usize| (at % self.apart) as f32 / self.apart as f32;
        let line = |r: usize| &self.values[r * self.columns..(r + 1) * self.columns];
        let (above, below, y) = (
            line(row / self.apart),
            line(row / self.apart + 1),
            share(row),
        );
        let knots = above.iter().zip(below);
        let knots: Vec<f32> = knots.map(|(a, b)| a * (1.0 - y) + b * y).collect();
        let pairs = knots.windows(2).flat_map(|pair| {
            (0..self.apart).map(|at| pair[0] * (1.0 - share(at)) + pair[1] * share(at))
        });
        pairs.take(columns).collect()
    }
}

/// How much higher the place is that the other cameras see in the same pixels.
fn risen(was: &[Camera], now: &[Camera], mm: Mm, height: f64) -> Option<f64> {
    let (mut pull, mut hold) = (Vector3::zeros(), Matrix3::zeros());
    for (was, now) in was.iter().zip(now) {
        let px = was.see_before(mm, height)?;
        let seen = now.see_with_slopes(mm, height)?;
        let off = [px[0] - seen.px[0], px[1] - seen.px[1]];
        for ((off, on_wall), by_height) in off.iter().zip(seen.on_wall).zip(seen.by_height) {
            let slope = Vector3::new(on_wall[0], on_wall[1], by_height);
            pull += slope * *off;
            hold += slope * slope.transpose();
        }
    }
    let step = hold.try_inverse()? * pull;
    step.z.is_finite().then_some(step.z)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_two_surfaces_lie_apart_counts_beyond_a_share_of_the_volume() {
        // Of 1000 cubic millimetres, and what is off the piece.
        let heights = [vec![10.0; 100], vec![f32::NAN; 20]].concat();
        let share = |mm: f32| {
            let apart = [vec![mm; 50], vec![0.0; 50], vec![9.0; 20]].concat();
            doubted(&heights, apart)[..100].iter().sum::<f32>() / 1000.0
        };
        assert_eq!([share(0.0), share(10.0 * APART_FROM)], [0.0; 2]);
        assert!((share(4.0) - APART_SD * (0.2 - APART_FROM)).abs() < 1e-3);
    }
}
