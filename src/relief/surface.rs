//! The surface that the heights make: its area, its bends, and the sides that stand around it.

use super::cover::{Cover, PARTS, Stretch};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// What a surface has beyond its footprint.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Modelling {
    /// Area beyond that of the footprint, in square millimetres.
    pub excess: f64,
    /// The integral of the mean curvature, in millimetres; positive where it bulges outward.
    pub mean_curvature: f64,
    /// The integral of the Gaussian curvature: 2 pi for half a sphere.
    pub total_curvature: f64,
    /// What lies between it and the wall, in cubic millimetres.
    pub volume: f64,
}

impl Modelling {
    /// Of heights (row after row, in millimetres, not a number where unknown) times `up`, within
    /// a cover of the same frame.
    ///
    /// The area is that of the bilinear patches between four places each; patches that the edge
    /// crosses count by their parts inside it, with the heights carried on beyond the last places
    /// (`Grid`). Where there is still a height at the edge the surface falls to the wall like a
    /// cliff: a side of that height, an edge that turns outward to it, and corners as a whole
    /// turn around has them. The integrals of the curvatures of a graph are summed up by central
    /// differences. Where the ornament meets the wall the surface is hollow; what a layer would
    /// lose there is not counted, since paste pools in it.
    pub fn of(heights: &[f32], up: f64, cover: &Cover) -> Self {
        let grid = Grid::of(heights, up, cover);
        let mut sum = grid.area_and_volume(cover);
        grid.curvatures(cover, &mut sum);
        let mut rim = Faces::default();
        grid.rim(cover, &mut rim);
        sum.with(&rim)
    }

    /// The same without the bends, which take as long again.
    pub(super) fn unbent(heights: &[f32], cover: &Cover) -> Self {
        let grid = Grid::of(heights, 1.0, cover);
        let mut sum = grid.area_and_volume(cover);
        let sides = cover.edge.iter().map(|edge| edge.length * grid.side(edge));
        sum.excess += sides.sum::<f64>();
        sum
    }

    fn with(self, rim: &Faces) -> Self {
        if rim.length == 0.0 || rim.count == 0.0 {
            return self;
        }
        let perimeter = rim.length;
        let cliffs = rim.cliffs / rim.count;
        Self {
            excess: self.excess + rim.sides,
            mean_curvature: self.mean_curvature
                + rim.turns / rim.count / 2.0 * perimeter
                + PI * rim.sides / perimeter,
            total_curvature: self.total_curvature + cliffs * (TAU - self.total_curvature),
            ..self
        }
    }
}

/// The edge between the ornament and the wall.
#[derive(Default)]
struct Faces {
    /// Its length.
    length: f64,
    /// The area of the cliffs.
    sides: f64,
    /// How many faces of the grid's squares look outward, how many of them are cliffs, and by how
    /// much the surface turns there in all.
    count: f64,
    cliffs: f64,
    turns: f64,
}

/// The heights with one more ring of places around them.
///
/// A place beyond the edge takes up how the surface comes towards it along the grid, the mean of
/// all lines that lead to it: straight on, or, where that is lower and not yet below the wall, as
/// a round side falls: the squares of the heights of a circle that stands on the wall, of a cone
/// and of a slab go on as a parabola. Below the wall its value is negative, so that the surface
/// between the two meets the wall in the right place.
pub(super) struct Grid {
    width: usize,
    step: f64,
    z: Vec<f64>,
    known: Vec<bool>,
    /// Whether sides may be round: only a known outline tells where they end.
    round: bool,
}

impl Grid {
    /// Of heights times `up`, as far as they lie inside the cover.
    pub(super) fn of(heights: &[f32], up: f64, cover: &Cover) -> Self {
        let frame = cover.frame;
        let width = frame.columns + 2;
        let mut z = vec![f64::NAN; width * (frame.rows + 2)];
        for (row, line) in heights.chunks_exact(frame.columns).enumerate() {
            let inside = &cover.inside[row * frame.columns..];
            for (column, height) in line.iter().enumerate() {
                if inside[column] {
                    z[(row + 1) * width + column + 1] = up * f64::from(*height);
                }
            }
        }
        let known: Vec<bool> = z.iter().map(|z| !z.is_nan()).collect();
        let mut grid = Self {
            width,
            step: frame.step.0,
            z,
            known,
            round: cover.outlined,
        };
        grid.carry_on([(-1, 0), (1, 0), (0, -1), (0, 1)]);
        grid.carry_on([(-1, -1), (1, -1), (-1, 1), (1, 1)]);
        grid
    }

    /// Whether there was a height, in the padded grid; nothing beyond it.
    fn known(&self, x: isize, y: isize) -> Option<f64> {
        let x = usize::try_from(x).ok().filter(|x| *x < self.width)?;
        let at = usize::try_from(y).ok()? * self.width + x;
        (*self.known.get(at)?).then(|| self.z[at])
    }

    fn carry_on(&mut self, ways: [(isize, isize); 4]) {
        let mut found = Vec::new();
        for at in 0..self.z.len() {
            if !self.z[at].is_nan() {
                continue;
            }
            let (x, y) = ((at % self.width) as isize, (at / self.width) as isize);
            let (mut sum, mut count) = (0.0, 0.0);
            for (dx, dy) in ways {
                let back = |n: isize| self.known(x + n * dx, y + n * dy);
                if let Some(last) = back(1) {
                    let first = back(3).filter(|_| self.round);
                    sum += beyond(last, back(2), first);
                    count += 1.0;
                }
            }
            if count > 0.0 {
                found.push((at, sum / count));
            }
        }
        for (at, value) in found {
            self.z[at] = value;
        }
    }

    /// The corners of a cell, those of its upper side first; `None` where one is not known.
    fn corners(&self, column: usize, row: usize) -> Option<[f64; 4]> {
        let at = row * self.width + column;
        let corners = [
            self.z[at],
            self.z[at + 1],
            self.z[at + self.width],
            self.z[at + self.width + 1],
        ];
        corners.iter().all(|z| !z.is_nan()).then_some(corners)
    }

    /// The cells that the cover holds, whole or by their parts: of each the height of its middle,
    /// its slopes, and its share of a cell. All shares together are the footprint over a square of
    /// the grid; what lies too far from any known height is taken to be as the rest.
    pub(super) fn for_parts(&self, cover: &Cover, mut each: impl FnMut(Part)) {
        let part = 1.0 / PARTS as f64;
        let wide = cover.frame.columns + 1;
        let cells = || {
            cover
                .cells
                .iter()
                .enumerate()
                .filter(|(_, cell)| **cell != 0)
        };
        let corners = |index: usize| self.corners(index % wide, index / wide);
        let seen = cells().filter(|(index, _)| corners(*index).is_some());
        let seen: u32 = seen.map(|(_, cell)| cell.count_ones()).sum();
        let square = self.step * self.step;
        let whole = cover.footprint / (f64::from(seen) * part * part * square);
        for (index, cell) in cells() {
            let Some([a, b, c, d]) = corners(index) else {
                continue;
            };
            if *cell == u16::MAX {
                each(Part {
                    index,
                    z: (a + b + c + d) / 4.0,
                    zx: (b - a + d - c) / (2.0 * self.step),
                    zy: (c - a + d - b) / (2.0 * self.step),
                    share: whole,
                });
                continue;
            }
            for bit in (0..PARTS * PARTS).filter(|bit| cell >> bit & 1 == 1) {
                let [u, v] = [bit % PARTS, bit / PARTS].map(|n| (n as f64 + 0.5) * part);
                let between = |[a, b, c, d]: [f64; 4]| {
                    (a * (1.0 - u) + b * u) * (1.0 - v) + (c * (1.0 - u) + d * u) * v
                };
                // Below the wall there is only the wall. Squares that reach too far make good for
                // those that end too early, and count to their end.
                let z = between([a, b, c, d]);
                let over = if z > 0.0 || !cover.outlined {
                    1.0 / self.step
                } else {
                    0.0
                };
                each(Part {
                    index,
                    // A round side falls as the root of its distance from the edge.
                    z: between([a, b, c, d].map(|z| z * z.abs())).max(0.0).sqrt(),
                    zx: ((b - a) * (1.0 - v) + (d - c) * v) * over,
                    zy: ((c - a) * (1.0 - u) + (d - b) * u) * over,
                    share: whole * part * part,
                });
            }
        }
    }

    fn area_and_volume(&self, cover: &Cover) -> Modelling {
        let square = self.step * self.step;
        let mut sum = Modelling::default();
        self.for_parts(cover, |part| {
            sum.excess += (part.stretch() - 1.0) * part.share * square;
            sum.volume += part.z * part.share * square;
        });
        sum
    }

    /// Slopes and bends at a known place, by central differences; beyond the last places the
    /// surface goes on as it came. Columns and rows of the padded grid.
    pub(super) fn bend(&self, x: isize, y: isize) -> Option<Bend> {
        let here = self.known(x, y)?;
        let z = |dx: isize, dy: isize| {
            self.known(x + dx, y + dy).unwrap_or_else(|| {
                let back = self.known(x - dx, y - dy).unwrap_or(here);
                2.0 * here - back
            })
        };
        let [left, right, down, up] = [z(-1, 0), z(1, 0), z(0, -1), z(0, 1)];
        let square = self.step * self.step;
        Some(Bend {
            zx: (right - left) / (2.0 * self.step),
            zy: (up - down) / (2.0 * self.step),
            zxx: (right - 2.0 * here + left) / square,
            zyy: (up - 2.0 * here + down) / square,
            zxy: (z(1, 1) - z(1, -1) - z(-1, 1) + z(-1, -1)) / (4.0 * square),
        })
    }

    fn places(&self) -> impl Iterator<Item = [isize; 2]> + '_ {
        let known = self.known.iter().enumerate().filter(|(_, known)| **known);
        known.map(|(at, _)| [(at % self.width) as isize, (at / self.width) as isize])
    }

    fn curvatures(&self, cover: &Cover, sum: &mut Modelling) {
        let square = self.step * self.step;
        let mut count = 0.0;
        let (mut mean, mut total) = (0.0, 0.0);
        for [x, y] in self.places() {
            if let Some(bend) = self.bend(x, y) {
                let w = bend.stretch();
                mean += bend.mean_curvature() * w;
                total += bend.gaussian_curvature() * w;
                count += square;
            }
        }
        if count > 0.0 {
            sum.mean_curvature = mean * cover.footprint * square / count;
            sum.total_curvature = total * cover.footprint * square / count;
        }
    }

    fn rim(&self, cover: &Cover, rim: &mut Faces) {
        for stretch in &cover.edge {
            rim.length += stretch.length;
            rim.sides += stretch.length * self.side(stretch);
        }
        for [x, y] in self.places() {
            let Some(bend) = self.bend(x, y) else {
                continue;
            };
            let faces = [
                (-1, 0, -bend.zx),
                (1, 0, bend.zx),
                (0, -1, -bend.zy),
                (0, 1, bend.zy),
            ];
            for (dx, dy, outward) in faces {
                if self.known(x + dx, y + dy).is_some() {
                    continue;
                }
                rim.count += 1.0;
                let here = self.known(x, y).unwrap_or(0.0);
                let height = here + outward * self.step / 2.0;
                // What the surface falls by within another half step is no cliff.
                if height > -outward * self.step / 2.0 && height > 0.0 {
                    rim.cliffs += 1.0;
                    rim.turns += FRAC_PI_2 + outward.atan();
                }
            }
        }
    }

    /// How high the surface still stands at a stretch of the edge.
    pub(super) fn side(&self, stretch: &Stretch) -> f64 {
        if let Some([here, there]) = stretch.beyond {
            let z = |[x, y]: [isize; 2]| self.z[(y + 1) as usize * self.width + (x + 1) as usize];
            // What the surface falls by within another half step is no cliff.
            return match z(there) > 0.0 {
                true => (z(here) + z(there)) / 2.0,
                false => 0.0,
            };
        }
        let [x, y] = stretch.at.map(|n| n + 1.0);
        let high = self.z.len() / self.width;
        let (c, r) = (x.floor(), y.floor());
        if !(c >= 0.0 && r >= 0.0 && c + 1.0 < self.width as f64 && r + 1.0 < high as f64) {
            return 0.0;
        }
        let (u, v) = (x - c, y - r);
        let at = r as usize * self.width + c as usize;
        let corners = [
            (at, (1.0 - u) * (1.0 - v)),
            (at + 1, u * (1.0 - v)),
            (at + self.width, (1.0 - u) * v),
            (at + self.width + 1, u * v),
        ];
        let known = corners.iter().filter(|(at, _)| !self.z[*at].is_nan());
        let (sum, all) = known.fold((0.0, 0.0), |(sum, all), (at, share)| {
            (sum + self.z[*at] * share, all + share)
        });
        if all > 0.0 { (sum / all).max(0.0) } else { 0.0 }
    }
}

/// A part of the surface between four places.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    /// The number of its cell.
    pub index: usize,
    /// Its height.
    pub z: f64,
    /// Its slope along the columns.
    pub zx: f64,
    /// Its slope along the rows.
    pub zy: f64,
    /// Its footprint, in squares of the grid.
    pub share: f64,
}

impl Part {
    /// How much surface lies over a unit of wall.
    pub fn stretch(&self) -> f64 {
        (1.0 + self.zx * self.zx + self.zy * self.zy).sqrt()
    }
}

/// The value beyond the last of three places of a line.
fn beyond(last: f64, before: Option<f64>, first: Option<f64>) -> f64 {
    let Some(before) = before else { return last };
    let straight = 2.0 * last - before;
    let Some(first) = first.filter(|_| straight > 0.0) else {
        return straight;
    };
    let square = 3.0 * last * last - 3.0 * before * before + first * first;
    straight.min(square.abs().sqrt().copysign(square))
}

/// The derivatives of the height at a place: slopes along columns and rows, and bends per
/// millimetre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bend {
    pub zx: f64,
    pub zy: f64,
    pub zxx: f64,
    pub zyy: f64,
    pub zxy: f64,
}

impl Bend {
    /// How much surface lies over a unit of wall.
    pub fn stretch(&self) -> f64 {
        (1.0 + self.zx * self.zx + self.zy * self.zy).sqrt()
    }

    /// In 1/mm, positive where the surface bulges outward: half of what a layer's area grows by
    /// with its thickness.
    pub fn mean_curvature(&self) -> f64 {
        let Self {
            zx,
            zy,
            zxx,
            zyy,
            zxy,
        } = *self;
        let bend = (1.0 + zy * zy) * zxx - 2.0 * zx * zy * zxy + (1.0 + zx * zx) * zyy;
        -bend / (2.0 * self.stretch().powi(3))
    }

    /// In 1/mm2.
    pub fn gaussian_curvature(&self) -> f64 {
        (self.zxx * self.zyy - self.zxy * self.zxy) / self.stretch().powi(4)
    }
}
