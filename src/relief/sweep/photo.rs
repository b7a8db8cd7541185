//! A photo as the sweep sees it: reduced until its pixels are about as large as the grid's steps.

use crate::survey::{Camera, GreyView, Mm};
use nalgebra::Vector3;
use std::ops::Range;

/// So many places are laid at once.
const LANES: usize = 16;

/// Part of a photo, from and up to these pixels across and down.
pub(super) type Window = [Range<usize>; 2];

/// Brightness in means over squares of pixels: what is finer than the grid would only be noise
/// there.
#[derive(Clone)]
pub(super) struct Reduced {
    pub(super) width: usize,
    pub(super) height: usize,
    data: Vec<f32>,
    /// Side of the squares, in pixels.
    side: f64,
    /// The photo's pixel at which the first square begins.
    from: [f64; 2],
}

impl Reduced {
    /// Means over squares of `side` pixels of a part of the photo; what is left over at the right
    /// and below is left out.
    pub(super) fn of(grey: &GreyView<'_>, side: usize, [across, down]: Window) -> Self {
        let side = side.max(1);
        let (width, height) = (across.len() / side, down.len() / side);
        let mut data = Vec::with_capacity(width * height);
        let share = 1.0 / (side * side) as f32;
        let mut sums = vec![0_u32; width * side];
        let lines = grey.data.chunks_exact(grey.width as usize);
        let lines: Vec<&[u8]> = lines.map(|line| &line[across.clone()]).collect();
        for lines in lines[down.clone()].chunks_exact(side) {
            sums.fill(0);
            lines.iter().for_each(|line| add_pixels(&mut sums, line));
            let squares = sums.chunks_exact(side);
            data.extend(squares.map(|square| square.iter().sum::<u32>() as f32 * share));
        }
        Self {
            width,
            height,
            data,
            side: side as f64,
            from: [across.start, down.start].map(|at| at as f64),
        }
    }

    /// Brightness between pixels, mixed from the four about the place; NaN off the photo.
    #[inline]
    pub(super) fn at(&self, x: f32, y: f32) -> f32 {
        mixed([self.width, self.height], [x, y], |at| self.data[at])
    }

    /// Lays a row of the grid on a surface: how bright each place is where `eye` sees it in this
    /// photo, from the column `first` on; NaN off the photo. `heights` are before the wall.
    pub(super) fn lay(
        &self,
        eye: &Eye,
        first: usize,
        row: usize,
        heights: &[f32],
        out: &mut [f32],
    ) {
        if self.width < 2 || self.height < 2 {
            return out.fill(f32::NAN);
        }
        let chunks = heights.chunks(LANES).zip(out.chunks_mut(LANES));
        for (chunk, (heights, out)) in chunks.enumerate() {
            let first = first + chunk * LANES;
            let mut near = [0.0; LANES];
            near[..heights.len()].copy_from_slice(heights);
            let laid = self.lay_lanes(eye, first as f32, row as f32, &near);
            out.copy_from_slice(&laid[..out.len()]);
        }
    }

    /// The same of a few places: all that is no look at the photo is done for all at once.
    #[inline]
    fn lay_lanes(&self, eye: &Eye, first: f32, row: f32, heights: &[f32; LANES]) -> [f32; LANES] {
        let (wide, high) = (self.width as f32 - 1.0, self.height as f32 - 1.0);
        let (mut x, mut y) = ([0.0; LANES], [0.0; LANES]);
        for i in 0..LANES {
            let seen = eye.see(first + i as f32, row, heights[i]);
            // NaN is not inside.
            let inside = seen[0] >= 0.0 && seen[0] < wide && seen[1] >= 0.0 && seen[1] < high;
            x[i] = if inside { seen[0] } else { f32::NAN };
            y[i] = if inside { seen[1] } else { 0.0 };
        }
        let (columns, rows) = (x.map(|x| x as i32), y.map(|y| y as i32));
        let mut four = [[0.0; LANES]; 4];
        for i in 0..LANES {
            let start = rows[i] as usize * self.width + columns[i] as usize;
            let near = &self.data[start..start + self.width + 2];
            let corners = [near[0], near[1], near[self.width], near[self.width + 1]];
            (0..4).for_each(|k| four[k][i] = corners[k]);
        }
        std::array::from_fn(|i| {
            let (fx, fy) = (x[i] - columns[i] as f32, y[i] - rows[i] as f32);
            let top = four[0][i] + (four[1][i] - four[0][i]) * fx;
            let low = four[2][i] + (four[3][i] - four[2][i]) * fx;
            top + (low - top) * fy
        })
    }

    /// The same with less of the sensor's grain.
    pub(super) fn softened(&self) -> Self {
        let mut soft = self.clone();
        soften(&mut soft.data, self.width, self.height);
        soft
    }

    /// The same without what changes only over more than `reach` squares: light that falls off
    /// across an even surface looks alike wherever it is laid.
    pub(super) fn detailed(&self, reach: usize) -> Self {
        let mut means = vec![0.0; self.data.len()];
        let width = self.width.max(1);
        let rows = self.data.chunks_exact(width);
        for (means, row) in means.chunks_exact_mut(width).zip(rows) {
            running_means(row, reach, means);
        }
        let means: Vec<&[f32]> = means.chunks_exact(width).collect();
        let mut sums = vec![0.0; self.width];
        let mut detail = self.clone();
        let first = means.iter().take(reach);
        first.for_each(|row| add_row(&mut sums, row, 1.0));
        for (at, row) in detail.data.chunks_exact_mut(width).enumerate() {
            if let Some(next) = means.get(at + reach) {
                add_row(&mut sums, next, 1.0);
            }
            if at > reach {
                add_row(&mut sums, means[at - reach - 1], -1.0);
            }
            let count = (at + reach + 1).min(means.len()) - at.saturating_sub(reach);
            less_means(row, &sums, count);
        }
        detail
    }

    /// How a grid before the wall is seen in it ([`Eye::new`]).
    pub(super) fn eye(&self, camera: &Camera, origin: Mm, step: f64) -> Eye {
        let mut eye = Eye::new(camera, self.side, origin, step);
        for (center, from) in eye.center.iter_mut().zip(self.from) {
            *center -= (from / self.side) as f32;
        }
        eye
    }
}

// A browser goes on with a function as it was first compiled, which is slow, until that returns:
// so rows are worked on by functions of their own, of which the first few calls are slow.

/// Adds a line of pixels to sums, as far as these go.
#[inline(never)]
fn add_pixels(sums: &mut [u32], line: &[u8]) {
    for (sum, byte) in sums.iter_mut().zip(line) {
        *sum += u32::from(*byte);
    }
}

/// The mean of each value and `reach` to either side, of those that there are.
#[inline(never)]
fn running_means(line: &[f32], reach: usize, out: &mut [f32]) {
    let mut sum: f64 = line.iter().take(reach).map(|v| f64::from(*v)).sum();
    for at in 0..line.len() {
        if let Some(next) = line.get(at + reach) {
            sum += f64::from(*next);
        }
        if at > reach {
            sum -= f64::from(line[at - reach - 1]);
        }
        let count = (at + reach + 1).min(line.len()) - at.saturating_sub(reach);
        out[at] = (sum / count as f64) as f32;
    }
}

#[inline(never)]
fn add_row(sums: &mut [f64], row: &[f32], times: f64) {
    for (sum, value) in sums.iter_mut().zip(row) {
        *sum += times * f64::from(*value);
    }
}

/// What a row has over the means, which are sums of so many rows; about a middling grey.
#[inline(never)]
fn less_means(row: &mut [f32], sums: &[f64], count: usize) {
    let share = 1.0 / count as f64;
    for (value, sum) in row.iter_mut().zip(sums) {
        *value += 128.0 - (sum * share) as f32;
    }
}

/// Weighs each value against its neighbours by 1 2 1, along rows and down columns: the grain of a
/// sensor is finer than what a surface shows, and would be taken for it.
fn soften(data: &mut [f32], width: usize, height: usize) {
    if width < 3 || height < 3 {
        return;
    }
    data.chunks_exact_mut(width).for_each(soften_along);
    let mut above = data[..width].to_vec();
    for y in 1..height - 1 {
        let (row, below) = data[y * width..].split_at_mut(width);
        soften_down(row, &mut above, below);
    }
}

#[inline(never)]
fn soften_along(row: &mut [f32]) {
    let mut before = row[0];
    for i in 1..row.len() - 1 {
        let here = row[i];
        row[i] = 0.25 * (before + row[i + 1]) + 0.5 * here;
        before = here;
    }
}

/// `above` is the row above as it was, and becomes this one as it was.
#[inline(never)]
fn soften_down(row: &mut [f32], above: &mut [f32], below: &[f32]) {
    for ((here, above), below) in row.iter_mut().zip(above).zip(below) {
        let softened = 0.25 * (*above + below) + 0.5 * *here;
        *above = *here;
        *here = softened;
    }
}

/// Brightness between pixels, mixed from the four about the place; NaN off the photo.
#[inline]
fn mixed([width, height]: [usize; 2], [x, y]: [f32; 2], value: impl Fn(usize) -> f32) -> f32 {
    let inside = |at: f32, side: usize| at >= 0.0 && at < side as f32 - 1.0;
    if !(inside(x, width) && inside(y, height)) {
        return f32::NAN;
    }
    let (column, row) = (x as usize, y as usize);
    let (fx, fy) = (x - column as f32, y - row as f32);
    let start = row * width + column;
    let [a, b, c, d] = [0, 1, width, width + 1].map(|by| value(start + by));
    let (top, low) = (a + (b - a) * fx, c + (d - c) * fx);
    top + (low - top) * fy
}

/// A photo in several sizes, each worked out once.
pub(super) struct Sizes<'a> {
    grey: GreyView<'a>,
    reduced: Vec<Reduced>,
}

impl<'a> Sizes<'a> {
    pub(super) fn of(grey: GreyView<'a>) -> Self {
        Self {
            grey,
            reduced: Vec::new(),
        }
    }

    /// In means over squares of `side` pixels.
    pub(super) fn reduced(&mut self, side: usize) -> Pixels<'_> {
        if side == 1 {
            return Pixels::Whole(self.grey);
        }
        let known = self.reduced.iter().position(|of| of.side == side as f64);
        let at = known.unwrap_or_else(|| {
            let whole = [self.grey.width, self.grey.height].map(|n| 0..n as usize);
            self.reduced.push(Reduced::of(&self.grey, side, whole));
            self.reduced.len() - 1
        });
        Pixels::Reduced(&self.reduced[at])
    }
}

/// A photo as it was taken, which needs no memory of its own, or reduced.
pub(super) enum Pixels<'a> {
    Whole(GreyView<'a>),
    Reduced(&'a Reduced),
}

impl Pixels<'_> {
    /// Brightness between pixels, mixed from the four about the place; NaN off the photo.
    pub(super) fn at(&self, x: f32, y: f32) -> f32 {
        match self {
            Self::Whole(grey) => {
                let size = [grey.width, grey.height].map(|n| n as usize);
                mixed(size, [x, y], |at| f32::from(grey.data[at]))
            }
            Self::Reduced(reduced) => reduced.at(x, y),
        }
    }

    /// Side of the squares, in pixels.
    pub(super) fn side(&self) -> f64 {
        match self {
            Self::Whole(_) => 1.0,
            Self::Reduced(reduced) => reduced.side,
        }
    }
}

/// How a grid before the wall is seen in a reduced photo: column, row and height in millimetres
/// become a place in it.
#[derive(Clone)]
pub(super) struct Eye {
    /// The place before the camera is `column · x + row · y + height · z + zero`.
    x: [f32; 3],
    y: [f32; 3],
    z: [f32; 3],
    zero: [f32; 3],
    focal: f32,
    center: [f32; 2],
    k1: f32,
    k2: f32,
}

impl Eye {
    /// For a grid whose first place lies at `origin` and whose others `step` millimetres apart.
    pub(super) fn new(camera: &Camera, side: f64, origin: Mm, step: f64) -> Self {
        let turned = |v: Vector3<f64>| camera.rotation * v;
        let normal = camera.normal();
        let away = normal.dot(&camera.translation).signum();
        let start = Vector3::new(
            origin[0] - camera.anchor[0],
            origin[1] - camera.anchor[1],
            0.0,
        );
        let single = |v: Vector3<f64>| [v.x as f32, v.y as f32, v.z as f32];
        let optics = camera.optics;
        Self {
            x: single(turned(Vector3::x() * step)),
            y: single(turned(Vector3::y() * step)),
            z: single(normal * -away),
            zero: single(turned(start) + camera.translation),
            focal: (optics.focal / side) as f32,
            center: optics.center.map(|c| ((c + 0.5) / side - 0.5) as f32),
            k1: optics.k1 as f32,
            k2: optics.k2 as f32,
        }
    }

    /// Where in the reduced photo; NaN behind the camera.
    #[inline]
    pub(super) fn see(&self, column: f32, row: f32, height: f32) -> [f32; 2] {
        let p: [f32; 3] = std::array::from_fn(|i| {
            self.zero[i] + column * self.x[i] + row * self.y[i] + height * self.z[i]
        });
        let depth = if p[2] > 0.0 { p[2] } else { f32::NAN };
        let (x, y) = (p[0] / depth, p[1] / depth);
        let r2 = x * x + y * y;
        let bend = self.focal * (1.0 + r2 * (self.k1 + r2 * self.k2));
        [x * bend + self.center[0], y * bend + self.center[1]]
    }

    /// The camera's place, in columns, rows and millimetres before the wall.
    pub(super) fn stand(&self) -> [f32; 3] {
        let at = |v: &[f32; 3]| Vector3::from(v.map(f64::from));
        let columns = nalgebra::Matrix3::from_columns(&[at(&self.x), at(&self.y), at(&self.z)]);
        let stand = columns
            .try_inverse()
            .map(|inverse| inverse * -at(&self.zero));
        stand.map_or([0.0; 3], |s| [s.x as f32, s.y as f32, s.z as f32])
    }
}
