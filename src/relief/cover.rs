//! Which part of a grid an outline covers, and where its edge runs.

use super::{Frame, HeightMap};
use crate::quantity::{Millimetres, SquareMillimetres};
use crate::survey::{Mm, Region, signed_area};
use std::ops::Range;

/// Each cell between four places is looked at in this many parts both ways.
pub(super) const PARTS: usize = 4;

/// A stretch of the piece's edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// Column and row of its middle.
    pub at: [f64; 2],
    /// Its length in millimetres.
    pub length: f64,
    /// The direction away from the piece, of length one.
    pub outward: Mm,
    /// The column and row of the place that it bounds, and of the one beyond it, where the edge
    /// is that of the grid's own squares.
    pub beyond: Option<[[isize; 2]; 2]>,
}

/// What of a grid belongs to the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    pub(super) frame: Frame,
    /// Whether each place does.
    pub(super) inside: Vec<bool>,
    /// Which parts of each cell do, one bit each; the cells begin one step before the first place
    /// and end one step after the last, both ways.
    pub(super) cells: Vec<u16>,
    pub(super) edge: Vec<Stretch>,
    /// Whether the edge is a known outline, and not that of the grid's squares.
    pub(super) outlined: bool,
    pub(super) footprint: f64,
}

impl Cover {
    /// What an outline and its holes cover of a grid.
    pub fn of_rings(frame: Frame, outline: &[Mm], holes: &[Vec<Mm>]) -> Self {
        let rings: Vec<Vec<Mm>> = std::iter::once(outline)
            .chain(holes.iter().map(Vec::as_slice))
            .map(|ring| ring.iter().map(|place| frame.grid(*place)).collect())
            .collect();
        let wide = frame.columns + 1;
        let mut cells = vec![0_u16; wide * (frame.rows + 1)];
        let parts = PARTS as f64;
        for line in 0..(frame.rows + 1) * PARTS {
            let row = (line as f64 + 0.5) / parts - 1.0;
            for_inside(
                &rings,
                row,
                (wide * PARTS, 1.0 / parts, 0.5 / parts - 1.0),
                |parts| {
                    for cell in parts.start / PARTS..parts.end.div_ceil(PARTS) {
                        let within = |part: usize| part.clamp(cell * PARTS, (cell + 1) * PARTS);
                        let [low, high] =
                            [parts.start, parts.end].map(|p| within(p) - cell * PARTS);
                        let bits = (1_u16 << high) - (1 << low);
                        cells[line / PARTS * wide + cell] |= bits << (line % PARTS * PARTS);
                    }
                },
            );
        }
        let mut inside = vec![false; frame.len()];
        for row in 0..frame.rows {
            for_inside(&rings, row as f64, (frame.columns, 1.0, 0.0), |columns| {
                inside[row * frame.columns..][columns].fill(true);
            });
        }
        let edge = rings.iter().enumerate().flat_map(|(n, ring)| {
            let turn = signed_area(ring).signum();
            stretches(ring, frame, if n == 0 { turn } else { -turn })
        });
        Self {
            frame,
            inside,
            cells,
            edge: edge.collect(),
            outlined: true,
            footprint: Region::of(outline, holes).area(),
        }
    }

    /// Where no outline is known: the squares around all places that have a height, with an edge
    /// of this length, since that of the squares would be too long.
    pub fn of_map(map: &HeightMap, perimeter: Millimetres) -> Self {
        let frame = map.frame();
        let inside: Vec<bool> = map.heights().iter().map(|h| !h.is_nan()).collect();
        let [columns, rows] = map.size().map(|n| n as isize);
        let is_in = |c: isize, r: isize| {
            (0..columns).contains(&c)
                && (0..rows).contains(&r)
                && inside[(r * columns + c) as usize]
        };
        let mut cells = vec![0_u16; (frame.columns + 1) * (frame.rows + 1)];
        let mut edge = Vec::new();
        let half = PARTS / 2;
        for (r, c) in (0..rows).flat_map(|r| (0..columns).map(move |c| (r, c))) {
            if !is_in(c, r) {
                continue;
            }
            // A quarter of the square lies in each of the four cells around the place.
            for (down, right) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let cell = (r as usize + down) * (frame.columns + 1) + c as usize + right;
                for part in 0..half * half {
                    let y = part / half + half * (1 - down);
                    let x = part % half + half * (1 - right);
                    cells[cell] |= 1 << (y * PARTS + x);
                }
            }
            for (dx, dy) in [(-1, 0), (1, 0), (0, -1), (0, 1)] {
                if !is_in(c + dx, r + dy) {
                    edge.push(Stretch {
                        at: [c as f64 + dx as f64 / 2.0, r as f64 + dy as f64 / 2.0],
                        length: 0.0,
                        outward: [dx as f64, dy as f64],
                        beyond: Some([[c, r], [c + dx, r + dy]]),
                    });
                }
            }
        }
        let each = perimeter.0 / edge.len().max(1) as f64;
        edge.iter_mut().for_each(|stretch| stretch.length = each);
        let count = inside.iter().filter(|inside| **inside).count() as f64;
        Self {
            frame,
            inside,
            cells,
            edge,
            outlined: false,
            footprint: count * frame.step.0 * frame.step.0,
        }
    }

    /// The same where lengths along the wall are so many times as long.
    pub(super) fn stretched(&self, scale: f64) -> Self {
        let mut all = self.clone();
        all.frame.step = self.frame.step * scale;
        all.footprint *= scale * scale;
        all.edge
            .iter_mut()
            .for_each(|stretch| stretch.length *= scale);
        all
    }

    /// The area that is covered.
    pub fn footprint(&self) -> SquareMillimetres {
        SquareMillimetres(self.footprint)
    }

    /// The length of all edges.
    pub fn perimeter(&self) -> Millimetres {
        Millimetres(self.edge.iter().map(|stretch| stretch.length).sum())
    }

    /// Whether a map of the same frame holds heights where this covers it, and nowhere else, but
    /// for a tenth: whether it was laid on this outline.
    pub fn agrees(&self, map: &HeightMap) -> bool {
        let (mut both, mut either) = (0_u32, 0_u32);
        for (inside, height) in self.inside.iter().zip(map.heights()) {
            both += u32::from(*inside && !height.is_nan());
            either += u32::from(*inside || !height.is_nan());
        }
        f64::from(both) > 0.9 * f64::from(either)
    }

    /// Whether each place of the frame lies on the piece, row after row.
    pub fn inside(&self) -> &[bool] {
        &self.inside
    }
}

/// Walks along a row of `count` points, `first + n step`, and tells from which to which they lie
/// inside the rings (even-odd rule).
fn for_inside(
    rings: &[Vec<Mm>],
    row: f64,
    (count, step, first): (usize, f64, f64),
    mut each: impl FnMut(Range<usize>),
) {
    let mut crossings = Vec::new();
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a[1] > row) != (b[1] > row) {
                crossings.push(a[0] + (row - a[1]) * (b[0] - a[0]) / (b[1] - a[1]));
            }
        }
    }
    crossings.sort_unstable_by(f64::total_cmp);
    for pair in crossings.chunks_exact(2) {
        let index = |x: f64| ((x - first) / step).ceil().clamp(0.0, count as f64) as usize;
        each(index(pair[0])..index(pair[1]));
    }
}

/// A ring's edge in stretches of half a step at most. `turn` is the ring's sense, 1 where its
/// right-hand side, seen along it, lies inside (y down).
fn stretches(ring: &[Mm], frame: Frame, turn: f64) -> Vec<Stretch> {
    let mut all = Vec::new();
    for (i, a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        let long = (b[0] - a[0]).hypot(b[1] - a[1]);
        let count = (2.0 * long).ceil().clamp(1.0, 1e5);
        let outward = match long > 0.0 {
            true => [turn * (b[1] - a[1]) / long, -turn * (b[0] - a[0]) / long],
            false => [0.0; 2],
        };
        for n in 0..count as usize {
            let share = (n as f64 + 0.5) / count;
            all.push(Stretch {
                at: [0, 1].map(|k| a[k] + (b[k] - a[k]) * share),
                length: long / count * frame.step.0,
                outward,
                beyond: None,
            });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cover_has_the_area_and_edge_of_its_outline() {
        let frame = Frame {
            origin: [-2.0, -2.0],
            step: Millimetres(1.0),
            columns: 30,
            rows: 20,
        };
        let outline = [[0.3, 0.1], [20.6, 0.1], [20.6, 12.4], [0.3, 12.4]];
        let hole = vec![[5.0, 5.0], [9.0, 5.0], [9.0, 9.0], [5.0, 9.0]];
        let cover = Cover::of_rings(frame, &outline, &[hole]);
        let parts: u32 = cover.cells.iter().map(|cell| cell.count_ones()).sum();
        let area = 20.3 * 12.3 - 16.0;
        assert!((cover.footprint - area).abs() < 1e-9);
        assert!((f64::from(parts) / 16.0 - area).abs() < 6.0, "{parts}");
        assert!((cover.perimeter().0 - (2.0 * 32.6 + 16.0)).abs() < 1e-9);
        let place = |x: f64, y: f64| cover.inside[frame.nearest([x, y]).unwrap()];
        assert!(place(1.0, 1.0) && place(20.0, 12.0) && place(4.0, 7.0));
        assert!(!place(0.0, 3.0) && !place(7.0, 7.0) && !place(21.0, 3.0));
    }
}
