//! The second sweep: the surface as it was found moves out and back by little, and what the photos
//! show on it is correlated.
//!
//! Patches then lie on the surface and not across it, so that a slope is compared as what it is;
//! and a photo counts only where it can see the place.

use super::paths::Volume;
use super::slices::{best_half, pairs};
use super::{Frame, Seen, spans};
use std::ops::Range;

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
    let places = grid.len();
    let mut volume = Volume::of(grid.columns, grid.rows, labels, UNSEEN as u8);
    let pairs = pairs(seen.len());
    let (own, about) = (spans(inside, grid, 0), spans(inside, grid, half));
    let mut laid: Vec<Vec<f32>> = vec![vec![f32::NAN; places]; seen.len()];
    let mut of_pair = vec![vec![0.0_f32; places]; pairs.len()];
    let mut sums = Sums::new(grid.columns, half);
    let middle = (labels / 2) as f32;
    let mut heights = vec![0.0; grid.columns];
    for label in 0..labels {
        let offset = (label as f32 - middle) * apart;
        for ((of, visible), laid) in seen.iter().zip(visible).zip(&mut laid) {
            for (row, span) in about.iter().enumerate() {
                let places = row * grid.columns + span.start..row * grid.columns + span.end;
                let heights = &mut heights[..places.len()];
                for (height, surface) in heights.iter_mut().zip(&surface[places.clone()]) {
                    *height = surface + offset;
                }
                let laid = &mut laid[places.clone()];
                of.sharp.lay(&of.eye, span.start, row, heights, laid);
                for (value, visible) in laid.iter_mut().zip(&visible[places]) {
                    *value = if *visible { *value - 128.0 } else { f32::NAN };
                }
            }
        }
        for (pair, out) in pairs.iter().zip(&mut of_pair) {
            sums.correlate(pair.map(|n| laid[n].as_slice()), &own, out);
        }
        for place in (0..places).filter(|place| inside[*place]) {
            let costs = of_pair.iter().map(|of| of[place]).filter(|c| !c.is_nan());
            let none = of_pair.iter().all(|of| of[place].is_nan());
            let value = if none { UNSEEN } else { best_half(costs) };
            volume.at(place)[label] = value as u8;
        }
    }
    volume
}

/// What is summed up of two pictures: how many places both show, the values of each, their squares
/// and their product.
type Kinds = [Vec<f32>; 6];

/// Sums over squares about each place of a row, from sums along rows.
struct Sums {
    columns: usize,
    half: usize,
    /// A row, with `half` places more at either end.
    row: Kinds,
    /// The sums along each of the last rows, as many as a square has.
    along: Vec<Kinds>,
    whole: Kinds,
}

impl Sums {
    fn new(columns: usize, half: usize) -> Self {
        let blank = |len: usize| std::array::from_fn(|_| vec![0.0; len]);
        Self {
            columns,
            half,
            row: blank(columns + 2 * half),
            along: vec![blank(columns); 2 * half + 1],
            whole: blank(columns),
        }
    }

    /// The correlation of both pictures, not a number where they show nothing, in the square about
    /// each place as a cost; NaN where too little of it is seen. Row by row within `spans` alone.
    fn correlate(&mut self, laid: [&[f32]; 2], spans: &[Range<usize>], out: &mut [f32]) {
        let (columns, half, rows) = (self.columns, self.half, spans.len());
        for row in 0..rows + half {
            let into = row % self.along.len();
            if row < rows {
                let line = row * columns..(row + 1) * columns;
                multiplied(laid.map(|of| &of[line.clone()]), half, &mut self.row);
                for (sums, values) in self.along[into].iter_mut().zip(&self.row) {
                    sum_of((0..=2 * half).map(|n| &values[n..n + columns]), sums);
                }
            } else {
                self.along[into].iter_mut().for_each(|sums| sums.fill(0.0));
            }
            if let Some(row) = row.checked_sub(half) {
                for (kind, sums) in self.whole.iter_mut().enumerate() {
                    sum_of(self.along.iter().map(|row| row[kind].as_slice()), sums);
                }
                let span = spans[row].clone();
                self.costs(span.clone(), &mut out[row * columns..][span]);
            }
        }
        // The next picture begins with nothing above it.
        self.along
            .iter_mut()
            .flatten()
            .for_each(|sums| sums.fill(0.0));
    }

    /// The costs of these columns, from the sums over the squares about them.
    fn costs(&self, span: Range<usize>, out: &mut [f32]) {
        let [n, sa, sb, saa, sbb, sab] = self.whole.each_ref().map(|sums| &sums[span.clone()]);
        let least = LEAST_SEEN * ((2 * self.half + 1) * (2 * self.half + 1)) as f32;
        for i in 0..out.len() {
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

/// What is summed up, of one row.
fn multiplied([a, b]: [&[f32]; 2], half: usize, row: &mut Kinds) {
    let [n, na, nb, naa, nbb, nab] = row.each_mut().map(|kind| &mut kind[half..half + a.len()]);
    for i in 0..a.len() {
        let both = !(a[i].is_nan() || b[i].is_nan());
        let (a, b) = if both { (a[i], b[i]) } else { (0.0, 0.0) };
        n[i] = if both { 1.0 } else { 0.0 };
        (na[i], nb[i]) = (a, b);
        (naa[i], nbb[i], nab[i]) = (a * a, b * b, a * b);
    }
}

/// The sums of several rows, place by place.
fn sum_of<'a>(rows: impl Iterator<Item = &'a [f32]>, sums: &mut [f32]) {
    sums.fill(0.0);
    for row in rows {
        for (sum, value) in sums.iter_mut().zip(row) {
            *sum += value;
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
