//! A photo as the sweep sees it: reduced until its pixels are about as large as the grid's steps.

use crate::survey::{Camera, GreyView, Mm};
use nalgebra::Vector3;

/// Brightness in means over squares of pixels: what is finer than the grid would only be noise
/// there.
#[derive(Clone)]
pub(super) struct Reduced {
    pub(super) width: usize,
    pub(super) height: usize,
    data: Vec<f32>,
    /// Side of the squares, in pixels.
    side: f64,
}

impl Reduced {
    /// Means over squares of `side` pixels; what is left over at the right and below is left out.
    pub(super) fn of(grey: &GreyView<'_>, side: usize) -> Self {
        let side = side.max(1);
        let (width, height) = (grey.width as usize / side, grey.height as usize / side);
        let mut data = Vec::with_capacity(width * height);
        let share = 1.0 / (side * side) as f32;
        for row in 0..height {
            let rows = &grey.data[row * side * grey.width as usize..];
            for column in 0..width {
                let mut sum = 0;
                for line in rows.chunks(grey.width as usize).take(side) {
                    let square = &line[column * side..(column + 1) * side];
                    sum += square.iter().map(|b| u32::from(*b)).sum::<u32>();
                }
                data.push(sum as f32 * share);
            }
        }
        Self {
            width,
            height,
            data,
            side: side as f64,
        }
    }

    /// Brightness between pixels, mixed from the four about the place; NaN off the photo.
    #[inline]
    pub(super) fn at(&self, x: f32, y: f32) -> f32 {
        let inside = |at: f32, side: usize| at >= 0.0 && at < side as f32 - 1.0;
        if !(inside(x, self.width) && inside(y, self.height)) {
            return f32::NAN;
        }
        let (column, row) = (x as usize, y as usize);
        let (fx, fy) = (x - column as f32, y - row as f32);
        let start = row * self.width + column;
        let (above, below) = (&self.data[start..], &self.data[start + self.width..]);
        let top = above[0] + (above[1] - above[0]) * fx;
        let low = below[0] + (below[1] - below[0]) * fx;
        top + (low - top) * fy
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
        let (width, height) = (self.width, self.height);
        let mut mean = self.data.clone();
        let mut line = Vec::new();
        for row in mean.chunks_exact_mut(width) {
            line.clear();
            line.extend_from_slice(row);
            running_mean(&line, reach, |at, value| row[at] = value);
        }
        for column in 0..width {
            line.clear();
            line.extend((0..height).map(|row| mean[row * width + column]));
            running_mean(&line, reach, |at, value| mean[at * width + column] = value);
        }
        let mut detail = self.clone();
        for (value, mean) in detail.data.iter_mut().zip(&mean) {
            *value += 128.0 - mean;
        }
        detail
    }

    /// Side of the squares, in pixels.
    pub(super) fn side(&self) -> f64 {
        self.side
    }
}

/// The mean of each value and `reach` to either side, of those that there are.
fn running_mean(line: &[f32], reach: usize, mut each: impl FnMut(usize, f32)) {
    let mut sum: f64 = line.iter().take(reach).map(|v| f64::from(*v)).sum();
    for at in 0..line.len() {
        if let Some(next) = line.get(at + reach) {
            sum += f64::from(*next);
        }
        if at > reach {
            sum -= f64::from(line[at - reach - 1]);
        }
        let count = (at + reach + 1).min(line.len()) - at.saturating_sub(reach);
        each(at, (sum / count as f64) as f32);
    }
}

/// Weighs each value against its neighbours by 1 2 1, along rows and down columns: the grain of a
/// sensor is finer than what a surface shows, and would be taken for it.
fn soften(data: &mut [f32], width: usize, height: usize) {
    if width < 3 || height < 3 {
        return;
    }
    for row in data.chunks_exact_mut(width) {
        let mut before = row[0];
        for i in 1..width - 1 {
            let here = row[i];
            row[i] = 0.25 * (before + row[i + 1]) + 0.5 * here;
            before = here;
        }
    }
    let mut above = data[..width].to_vec();
    for y in 1..height - 1 {
        let (row, below) = data[y * width..].split_at_mut(width);
        for i in 0..width {
            let here = row[i];
            row[i] = 0.25 * (above[i] + below[i]) + 0.5 * here;
            above[i] = here;
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
