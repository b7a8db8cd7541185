//! A relief on the wall as a table of heights, and its true measures.

use crate::Point;

/// Heights over the wall in millimetres at the nodes of a square grid, bilinear between them and
/// 0 outside. A jump from one node to the next is a side one step wide: nearly upright.
#[derive(Clone, Debug)]
pub struct Field {
    /// The first node, in millimetres.
    pub origin: Point,
    /// From node to node, in millimetres.
    pub step: f64,
    /// Nodes from left to right.
    pub columns: usize,
    /// Nodes from top to bottom.
    pub rows: usize,
    heights: Vec<f32>,
    /// Which cells (between four nodes) belong to the relief.
    covered: Vec<bool>,
}

/// What a relief measures, over all that its outline encloses.
#[derive(Clone, Copy, Debug)]
pub struct Measures {
    /// On the wall, in mm².
    pub footprint: f64,
    /// Of the relief itself, with steep sides down to the wall, in mm².
    pub surface: f64,
    /// Between relief and wall, in mm³.
    pub volume: f64,
    /// Its highest place, in mm.
    pub highest: f64,
}

impl Field {
    /// A relief from rows of heights. Only the largest piece is kept; holes in it count as
    /// covered, since an outline encloses them.
    pub fn new(origin: Point, step: f64, columns: usize, rows: usize, heights: &[f32]) -> Self {
        assert_eq!(heights.len(), columns * rows, "one height a node");
        let (wide, tall) = (columns + 2, rows + 2);
        let mut padded = vec![0.0; wide * tall];
        for (r, row) in heights.chunks_exact(columns).enumerate() {
            padded[(r + 1) * wide + 1..][..columns].copy_from_slice(row);
        }
        let corners = |i: usize| {
            let at = i / (wide - 1) * wide + i % (wide - 1);
            [at, at + 1, at + wide, at + wide + 1]
        };
        let cells = (wide - 1) * (tall - 1);
        let solid: Vec<bool> = (0..cells)
            .map(|i| corners(i).iter().any(|&n| padded[n] > 0.0))
            .collect();
        let piece = largest(&solid, true, wide - 1);
        // What the outside doesn't reach is covered.
        let around: Vec<bool> = piece.iter().map(|c| !c).collect();
        let outside = flooded(&around, 0, wide - 1);
        let covered: Vec<bool> = outside.iter().map(|o| !o).collect();
        let mut kept = vec![0.0; wide * tall];
        for i in (0..cells).filter(|&i| covered[i]) {
            for n in corners(i) {
                kept[n] = padded[n];
            }
        }
        Self {
            origin: origin.map(|c| c - step),
            step,
            columns: wide,
            rows: tall,
            heights: kept,
            covered,
        }
    }

    /// The height at a place on the wall.
    pub fn at(&self, wall: Point) -> f64 {
        self.patch(wall).map_or(0.0, |(h, fx, fy)| {
            (h[0] * (1.0 - fx) + h[1] * fx) * (1.0 - fy) + (h[2] * (1.0 - fx) + h[3] * fx) * fy
        })
    }

    /// How steeply the relief rises to the right and downwards, in mm per mm.
    pub fn slope(&self, wall: Point) -> Point {
        self.patch(wall).map_or([0.0; 2], |(h, fx, fy)| {
            [
                ((h[1] - h[0]) * (1.0 - fy) + (h[3] - h[2]) * fy) / self.step,
                ((h[2] - h[0]) * (1.0 - fx) + (h[3] - h[1]) * fx) / self.step,
            ]
        })
    }

    fn patch(&self, wall: Point) -> Option<([f64; 4], f64, f64)> {
        let [x, y] = [0, 1].map(|i| (wall[i] - self.origin[i]) / self.step);
        let inside =
            x >= 0.0 && y >= 0.0 && x < (self.columns - 1) as f64 && y < (self.rows - 1) as f64;
        inside.then(|| {
            let (c, r) = (x as usize, y as usize);
            let i = r * self.columns + c;
            let h = [i, i + 1, i + self.columns, i + self.columns + 1]
                .map(|n| f64::from(self.heights[n]));
            (h, x - c as f64, y - r as f64)
        })
    }

    /// The rectangle of the table, in millimetres.
    pub fn reach(&self) -> (Point, Point) {
        let side = |i: usize, n: usize| self.origin[i] + (n - 1) as f64 * self.step;
        (self.origin, [side(0, self.columns), side(1, self.rows)])
    }

    /// The highest node, in millimetres.
    pub fn highest(&self) -> f64 {
        f64::from(self.heights.iter().copied().fold(0.0, f32::max))
    }

    /// Moves the relief along the wall so that its table's middle comes to lie here.
    pub fn centred(mut self, middle: Point) -> Self {
        let (from, to) = self.reach();
        self.origin = [0, 1].map(|i| self.origin[i] + middle[i] - (from[i] + to[i]) / 2.0);
        self
    }

    /// Whether the cell of this column and row belongs to the relief.
    pub fn covers(&self, column: usize, row: usize) -> bool {
        column + 1 < self.columns
            && row + 1 < self.rows
            && self.covered[row * (self.columns - 1) + column]
    }

    /// The relief's measures, from two triangles a covered cell.
    pub fn measures(&self) -> Measures {
        let cell = self.step * self.step;
        let mut sum = Measures {
            footprint: 0.0,
            surface: 0.0,
            volume: 0.0,
            highest: self.highest(),
        };
        for i in (0..self.covered.len()).filter(|&i| self.covered[i]) {
            let at = i / (self.columns - 1) * self.columns + i % (self.columns - 1);
            let [a, b, c, d] = [at, at + 1, at + self.columns, at + self.columns + 1]
                .map(|n| f64::from(self.heights[n]));
            let half = |dx: f64, dy: f64| {
                let rise = (dx / self.step).powi(2) + (dy / self.step).powi(2);
                0.5 * cell * (1.0 + rise).sqrt()
            };
            sum.footprint += cell;
            sum.surface += half(b - a, c - a) + half(d - c, d - b);
            sum.volume += cell * (a + b + c + d) / 4.0;
        }
        sum
    }
}

/// The largest connected piece of the cells that have this value.
fn largest(cells: &[bool], value: bool, columns: usize) -> Vec<bool> {
    let mut left: Vec<bool> = cells.iter().map(|c| *c == value).collect();
    let mut best = (0, vec![false; cells.len()]);
    while let Some(first) = left.iter().position(|c| *c) {
        let piece = flooded(&left, first, columns);
        let size = piece.iter().filter(|c| **c).count();
        left.iter_mut().zip(&piece).for_each(|(l, p)| *l &= !p);
        if size > best.0 {
            best = (size, piece);
        }
    }
    best.1
}

/// The cells that are true and joined to this one by their sides.
fn flooded(cells: &[bool], first: usize, columns: usize) -> Vec<bool> {
    let mut reached = vec![false; cells.len()];
    let mut next = vec![first];
    while let Some(i) = next.pop() {
        if !cells[i] || reached[i] {
            continue;
        }
        reached[i] = true;
        let column = i % columns;
        if column > 0 {
            next.push(i - 1);
        }
        if column + 1 < columns {
            next.push(i + 1);
        }
        if i >= columns {
            next.push(i - columns);
        }
        if i + columns < cells.len() {
            next.push(i + columns);
        }
    }
    reached
}
