//! The photo about the ring in square cells, each with its colour and texture.
//!
//! Few coarse cells stand for the whole in the first cut; fine cells are asked for only near the
//! edge that it found. (H. Lombaert and others, "A multilevel banded graph cuts method for fast
//! image segmentation", ICCV 2005.)

use super::super::{Px, RgbaView, brightness};
use super::mixture::Look;

/// A rectangle of the photo, in whole pixels.
#[derive(Clone, Copy)]
pub(super) struct Crop {
    pub left: u32,
    pub top: u32,
    pub width: u32,
    pub height: u32,
}

/// Square cells that cover a crop row by row; the last ones of a row or column may be narrower.
#[derive(Clone, Copy)]
pub(super) struct Grid {
    pub crop: Crop,
    /// Side of a cell, in pixels.
    pub side: u32,
    /// Cells from left to right.
    pub wide: usize,
    /// Cells from top to bottom.
    pub high: usize,
}

impl Grid {
    pub fn new(crop: Crop, side: u32) -> Self {
        Self {
            crop,
            side,
            wide: crop.width.div_ceil(side) as usize,
            high: crop.height.div_ceil(side) as usize,
        }
    }

    pub fn count(&self) -> usize {
        self.wide * self.high
    }

    /// The middle of a cell in the photo, in pixels.
    pub fn middle(&self, cell: usize) -> Px {
        let along =
            |n: usize, start: u32| f64::from(start) + (n as f64 + 0.5) * f64::from(self.side) - 0.5;
        [
            along(cell % self.wide, self.crop.left),
            along(cell / self.wide, self.crop.top),
        ]
    }

    /// The cell of this grid that holds the middle of another grid's cell on the same crop.
    pub fn under(&self, other: &Self, cell: usize) -> usize {
        let along = |n: usize, most: usize| {
            ((2 * n + 1) * other.side as usize / (2 * self.side as usize)).min(most - 1)
        };
        along(cell % other.wide, self.wide) + along(cell / other.wide, self.high) * self.wide
    }

    /// The neighbour of a cell: 0 to 7 row by row, so that `7 - slot` looks back.
    pub fn neighbour(&self, cell: usize, slot: usize) -> Option<usize> {
        let [dx, dy] = AROUND[slot];
        let x = (cell % self.wide).checked_add_signed(dx)?;
        let y = (cell / self.wide).checked_add_signed(dy)?;
        (x < self.wide && y < self.high).then_some(y * self.wide + x)
    }

    /// Sums over the pixels of a cell: red, green, blue, brightness squared; and their number.
    fn sums(&self, photo: &RgbaView<'_>, cell: usize) -> ([u32; 3], u64, u32) {
        let x0 = (cell % self.wide) as u32 * self.side;
        let y0 = (cell / self.wide) as u32 * self.side;
        let x1 = (x0 + self.side).min(self.crop.width);
        let y1 = (y0 + self.side).min(self.crop.height);
        let mut colour = [0; 3];
        let mut squares = 0;
        for y in self.crop.top + y0..self.crop.top + y1 {
            let at =
                |x: u32| (y as usize * photo.width as usize + (self.crop.left + x) as usize) * 4;
            for pixel in photo.bytes[at(x0)..at(x1)].as_chunks::<4>().0 {
                let [r, g, b] = [pixel[0], pixel[1], pixel[2]].map(u32::from);
                colour[0] += r;
                colour[1] += g;
                colour[2] += b;
                squares += u64::from(brightness(r, g, b).pow(2));
            }
        }
        (colour, squares, (x1 - x0) * (y1 - y0))
    }

    /// What all cells look like: lightness and two colour channels (CIE 1976 L*a*b*, 0 to 100),
    /// the roughness within the cells about it, and the relief of light between these cells
    /// (both logarithmic, of about the same size).
    pub fn looks(&self, photo: &RgbaView<'_>) -> Vec<Look> {
        let curve = Curve::new();
        let mut looks = Vec::with_capacity(self.count());
        let mut within = Vec::with_capacity(self.count());
        for cell in 0..self.count() {
            let (colour, squares, count) = self.sums(photo, cell);
            let mean = colour.map(|c| c as f32 / count as f32);
            let [l, a, b] = curve.lab(mean);
            looks.push([l, a, b, 0.0, 0.0]);
            let middle = brightness(colour[0], colour[1], colour[2]) as f32 / count as f32;
            within.push((squares as f32 / count as f32 - middle * middle).max(0.0));
        }
        let lightness: Vec<f32> = looks.iter().map(|look| look[0]).collect();
        let squared: Vec<f32> = lightness.iter().map(|l| l * l).collect();
        let (mean, square) = (self.averaged(&lightness), self.averaged(&squared));
        let within = self.averaged(&within);
        for (cell, look) in looks.iter_mut().enumerate() {
            // Brightness counts to 255, lightness to 100.
            look[3] = TEXTURE_SCALE * (within[cell].sqrt() / 2.55 + 0.5).ln();
            let between = (square[cell] - mean[cell] * mean[cell]).max(0.0);
            look[4] = TEXTURE_SCALE * (between.sqrt() + 0.5).ln();
        }
        looks
    }

    /// The colour of one cell, its texture taken from elsewhere.
    pub fn look(&self, photo: &RgbaView<'_>, curve: &Curve, cell: usize, texture: &Look) -> Look {
        let (colour, _, count) = self.sums(photo, cell);
        let [l, a, b] = curve.lab(colour.map(|c| c as f32 / count as f32));
        [l, a, b, texture[3], texture[4]]
    }

    /// The mean over a square of three by three cells, less at the border.
    fn averaged(&self, of: &[f32]) -> Vec<f32> {
        let pass = |from: &[f32], across: usize, along: usize, step: usize, turn: usize| {
            let mut to = vec![0.0; from.len()];
            for line in 0..across {
                for at in 0..along {
                    let near = at.saturating_sub(REACH)..(at + REACH + 1).min(along);
                    let count = near.len() as f32;
                    let sum: f32 = near.map(|i| from[line * turn + i * step]).sum();
                    to[line * turn + at * step] = sum / count;
                }
            }
            to
        };
        let rows = pass(of, self.high, self.wide, 1, self.wide);
        pass(&rows, self.wide, self.high, self.wide, 1)
    }
}

/// Cells on each side over which texture is averaged: relief is coarser than a cell, and a wider
/// window would blur the edge.
const REACH: usize = 1;
/// A doubled roughness counts as much as a difference of about 14 in lightness.
const TEXTURE_SCALE: f32 = 20.0;

const AROUND: [[isize; 2]; 8] = [
    [-1, -1],
    [0, -1],
    [1, -1],
    [-1, 0],
    [1, 0],
    [-1, 1],
    [0, 1],
    [1, 1],
];

/// From a picture's bytes to light.
pub(super) struct Curve {
    light: Vec<f32>,
}

impl Curve {
    /// The curve of IEC 61966-2-1 (sRGB) for each byte.
    pub fn new() -> Self {
        let light = (0..=255_u8)
            .map(|byte| {
                let c = f32::from(byte) / 255.0;
                if c <= 0.040_45 {
                    c / 12.92
                } else {
                    ((c + 0.055) / 1.055).powf(2.4)
                }
            })
            .collect();
        Self { light }
    }

    /// CIE 1976 L*a*b* under D65 of a mean of bytes.
    fn lab(&self, bytes: [f32; 3]) -> [f32; 3] {
        let [r, g, b] = bytes.map(|c| {
            let low = (c as usize).min(254);
            let share = c - low as f32;
            self.light[low] * (1.0 - share) + self.light[low + 1] * share
        });
        let f = |t: f32| {
            if t > 0.008_856 {
                t.cbrt()
            } else {
                7.787 * t + 16.0 / 116.0
            }
        };
        let x = f((0.412_4 * r + 0.357_6 * g + 0.180_5 * b) / 0.950_5);
        let y = f(0.212_6 * r + 0.715_2 * g + 0.072_2 * b);
        let z = f((0.019_3 * r + 0.119_2 * g + 0.950_5 * b) / 1.089);
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }
}
