//! The second sweep: the surface as it was found moves out and back by little, and what the photos
//! show on it is correlated.
//!
//! Patches then lie on the surface and not across it, so that a slope is compared as what it is;
//! and a photo counts only where it can see the place.

use super::paths::Volume;
use super::slices::{best_half, pairs};
use super::{Frame, Seen};

/// One sweep about a surface.
pub(super) struct Again {
    /// From offset to offset, in millimetres.
    pub(super) apart: f32,
    /// How many offsets: as many behind the surface as before it.
    pub(super) labels: usize,
    /// Half a patch's side, in places.
    pub(super) half: usize,
}

/// A correlation of -1 costs this much, one of 1 nothing.
pub(super) const MOST: f32 = 80.0;
/// What a place costs that no two photos see.
const UNSEEN: f32 = MOST / 2.0;
/// What is left of the grain between pixels on an even surface, as a variance in levels squared
/// (found on drawn photos: it tells plaster of 2.5 % of texture from plaster of 1 %).
const GRAIN: f32 = 0.2;
/// A patch counts when so much of it is seen by both photos.
const LEAST_SEEN: f32 = 0.3;

/// What each offset from `surface` costs at each place: `(label - middle) · apart` millimetres.
pub(super) fn swept(
    seen: &[Seen],
    grid: &Frame,
    inside: &[bool],
    surface: &[f32],
    visible: &[Vec<bool>],
    by: &Again,
) -> Volume {
    let Again {
        apart,
        labels,
        half,
    } = *by;
    let places = grid.columns * grid.rows;
    let mut cost = vec![UNSEEN as u8; places * labels];
    let pairs = pairs(seen.len());
    let mut laid: Vec<Vec<f32>> = vec![vec![0.0; places]; seen.len()];
    let mut counts: Vec<Vec<f32>> = vec![vec![0.0; places]; seen.len()];
    let mut of_pair = vec![vec![0.0_f32; places]; pairs.len()];
    let mut sums = Sums::new(places);
    let middle = (labels / 2) as f32;
    for label in 0..labels {
        let offset = (label as f32 - middle) * apart;
        for (n, of) in seen.iter().enumerate() {
            for row in 0..grid.rows {
                for column in 0..grid.columns {
                    let place = row * grid.columns + column;
                    let [x, y] = of
                        .eye
                        .see(column as f32, row as f32, surface[place] + offset);
                    let value = of.sharp.at(x, y);
                    let counts_here = visible[n][place] && !value.is_nan();
                    counts[n][place] = f32::from(u8::from(counts_here));
                    laid[n][place] = if counts_here { value - 128.0 } else { 0.0 };
                }
            }
        }
        for (pair, out) in pairs.iter().zip(&mut of_pair) {
            let [a, b] = *pair;
            sums.correlate(
                [&laid[a], &laid[b]],
                [&counts[a], &counts[b]],
                grid,
                half,
                out,
            );
        }
        for place in 0..places {
            if inside[place] {
                let costs = of_pair.iter().map(|of| of[place]).filter(|c| !c.is_nan());
                let none = of_pair.iter().all(|of| of[place].is_nan());
                let value = if none { UNSEEN } else { best_half(costs) };
                cost[place * labels + label] = value as u8;
            }
        }
    }
    Volume {
        columns: grid.columns,
        rows: grid.rows,
        labels,
        cost,
    }
}

/// Sums over squares about each place.
struct Sums {
    each: [Vec<f32>; 6],
    across: Vec<f32>,
}

impl Sums {
    fn new(places: usize) -> Self {
        Self {
            each: std::array::from_fn(|_| vec![0.0; places]),
            across: vec![0.0; places],
        }
    }

    /// The correlation of both pictures in the square about each place as a cost; NaN where too
    /// little of it is seen.
    fn correlate(
        &mut self,
        laid: [&[f32]; 2],
        counts: [&[f32]; 2],
        grid: &Frame,
        half: usize,
        out: &mut [f32],
    ) {
        let [a, b] = laid;
        let places = a.len();
        for i in 0..places {
            let both = counts[0][i] * counts[1][i];
            self.each[0][i] = both;
            self.each[1][i] = both * a[i];
            self.each[2][i] = both * b[i];
            self.each[3][i] = both * a[i] * a[i];
            self.each[4][i] = both * b[i] * b[i];
            self.each[5][i] = both * a[i] * b[i];
        }
        for sums in &mut self.each {
            square_sums(sums, &mut self.across, grid, half);
        }
        let [n, sa, sb, saa, sbb, sab] = &self.each;
        let least = LEAST_SEEN * ((2 * half + 1) * (2 * half + 1)) as f32;
        for i in 0..places {
            let count = n[i].max(1.0);
            let var_a = saa[i] - sa[i] * sa[i] / count;
            let var_b = sbb[i] - sb[i] * sb[i] / count;
            let both = sab[i] - sa[i] * sb[i] / count;
            // What varies no more than the grain does is like anything.
            let grain = GRAIN * count;
            let alike = both / ((var_a.max(0.0) + grain) * (var_b.max(0.0) + grain)).sqrt();
            let cost = ((1.0 - alike) * 0.5 * MOST).clamp(0.0, MOST);
            out[i] = if n[i] >= least { cost } else { f32::NAN };
        }
    }
}

/// Replaces each value by the sum over the square about it; outside is zero.
pub(super) fn square_sums(values: &mut [f32], across: &mut [f32], grid: &Frame, half: usize) {
    let (columns, rows) = (grid.columns, grid.rows);
    across.copy_from_slice(values);
    for row in 0..rows {
        let from = &values[row * columns..][..columns];
        let to = &mut across[row * columns..][..columns];
        for by in 1..=half.min(columns.saturating_sub(1)) {
            for i in 0..columns - by {
                to[i] += from[i + by];
            }
            for i in by..columns {
                to[i] += from[i - by];
            }
        }
    }
    values.copy_from_slice(across);
    for row in 0..rows {
        let to = &mut values[row * columns..][..columns];
        for by in 1..=half {
            for other in [row.checked_sub(by), Some(row + by).filter(|r| *r < rows)] {
                let Some(other) = other else { continue };
                let from = &across[other * columns..][..columns];
                for i in 0..columns {
                    to[i] += from[i];
                }
            }
        }
    }
}
