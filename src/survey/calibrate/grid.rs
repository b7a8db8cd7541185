//! A grid's corners in a photo, each with its place in the grid.

use super::lattice::{Lattice, Node, WINDOW, largest};
use super::saddle::{refined, saddles};
use crate::say;
use crate::survey::rank::nth;
use crate::survey::{GreyView, ImageSize, Px, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The grid that is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// Inner corners across: one less than squares.
    pub columns: u32,
    /// Inner corners down.
    pub rows: u32,
    /// Whether it bears the three dots of the app's own sheet. Then a large part of it is enough;
    /// without them all four sides must be seen.
    pub dots: bool,
}

impl Target {
    /// The app's own sheet.
    pub const SHEET: Self = Self {
        columns: 8,
        rows: 12,
        dots: true,
    };

    /// The squares of the sheet that bear a dot, by the inner corner at their upper left: no turn
    /// of the sheet shows the same three.
    pub(super) const DOTS: [(u32, u32); 3] = [(2, 5), (4, 5), (2, 4)];

    fn corners(self) -> usize {
        self.columns as usize * self.rows as usize
    }

    /// Refuses grids that fix no lens; `field` is the path in the request.
    pub fn check(self, field: &str) -> Result<(), SurveyError> {
        let fine = |n: u32| (3..=60).contains(&n);
        if fine(self.columns) && fine(self.rows) {
            return Ok(());
        }
        Err(SurveyError::at(
            field,
            tr("A grid has 3 to 60 inner corners each way: one less than squares."),
        ))
    }
}

/// A corner of the grid and where it is seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct GridCorner {
    /// From 0, along the grid's rows.
    pub column: u32,
    /// From 0, along the grid's columns.
    pub row: u32,
    /// In pixels of the upright full-size picture.
    pub px: Px,
}

/// What one photo shows of the grid.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GridView {
    /// The size of the upright full-size picture.
    pub size: ImageSize,
    /// The corners that are seen, row by row.
    pub corners: Vec<GridCorner>,
}

/// The grid is found in a picture of about this many pixels; the full-size one then gives the
/// corners' exact places.
const LOOK_PIXELS: f64 = 1.3e6;
/// The longest half side of the window that an exact place is taken from, in pixels: further off
/// a bent lens shows in the edges.
const MOST_WINDOW: f64 = 20.0;
const LEAST_WINDOW: f64 = 3.0;
/// Of the sheet with its dots so large a share must be seen.
const PART: f64 = 0.5;
/// Of a grid without dots so large a share, on all four sides.
const WHOLE: f64 = 0.9;

/// Finds the grid's corners in a photo, to a small part of a pixel.
///
/// Which way up a grid without dots lies is unknown by half a turn: its rows are taken to run to
/// the right, or down where they stand.
///
/// ```
/// use peelcast::survey::GreyView;
/// use peelcast::survey::calibrate::{Target, find_grid};
/// let blank = GreyView { width: 64, height: 48, data: &[200; 64 * 48] };
/// let said = find_grid(&blank, Target::SHEET).unwrap_err().to_string();
/// assert!(said.starts_with("The sheet"));
/// ```
pub fn find_grid(grey: &GreyView<'_>, target: Target) -> Result<GridView, SurveyError> {
    let pixels = f64::from(grey.width) * f64::from(grey.height);
    let first = (pixels / LOOK_PIXELS).sqrt().ceil().max(1.0) as u32;
    let mut best = Lattice::default();
    let mut best_look = None;
    // What is blurred at first sight may be clear from further off.
    for factor in [first, 2 * first] {
        let data = reduced(grey, factor);
        let look = GreyView {
            width: grey.width / factor,
            height: grey.height / factor,
            data: &data,
        };
        let lattice = largest(&look, &saddles(&look), target.corners());
        if let Some(placed) = placed(&look, &lattice, target) {
            let view = exact(grey, placed, f64::from(factor));
            // In a blur the grid may be told as a whole, but none of its corners exactly.
            let clear = view.corners.len() as f64 >= PART * target.corners() as f64;
            return clear.then_some(view).ok_or_else(blurred);
        }
        if best_look.is_none() || lattice.nodes.len() > best.nodes.len() {
            best = lattice;
            best_look = best_look.or(Some(sharpness(&look)));
        }
    }
    Err(refusal(&best, best_look.unwrap_or_default(), target))
}

/// Each pixel the mean of `factor` by `factor`.
fn reduced(grey: &GreyView<'_>, factor: u32) -> Vec<u8> {
    let f = factor as usize;
    let (width, height) = (grey.width as usize / f, grey.height as usize / f);
    let mut data = Vec::with_capacity(width * height);
    for y in 0..height {
        let mut sums = vec![0_u32; width];
        for row in grey
            .data
            .chunks_exact(grey.width as usize)
            .skip(y * f)
            .take(f)
        {
            for (sum, part) in sums.iter_mut().zip(row.chunks_exact(f)) {
                *sum += part.iter().map(|b| u32::from(*b)).sum::<u32>();
            }
        }
        data.extend(sums.iter().map(|sum| (sum / (factor * factor)) as u8));
    }
    data
}

type Placed = BTreeMap<(u32, u32), Px>;

/// A lattice's nodes as the target's corners, where it is told which is which.
fn placed(look: &GreyView<'_>, lattice: &Lattice, target: Target) -> Option<Placed> {
    let enough =
        |placed: &Placed, share: f64| placed.len() as f64 >= share * target.corners() as f64;
    if target.dots
        && let Some(by_dots) = by_dots(look, lattice, target)
    {
        return Some(by_dots).filter(|p| enough(p, PART));
    }
    by_sides(lattice, target).filter(|p| enough(p, WHOLE))
}

/// A quarter turn as often as that: the grid stays right-handed.
fn turned((i, j): Node, quarters: usize) -> Node {
    match quarters {
        0 => (i, j),
        1 => (-j, i),
        2 => (-i, -j),
        _ => (j, -i),
    }
}

/// By where the three dots are.
fn by_dots(look: &GreyView<'_>, lattice: &Lattice, target: Target) -> Option<Placed> {
    let dots = dots(look, lattice);
    // Counted in halves of a square, so that the middle of one is a whole number each way.
    let wanted = Target::DOTS.map(|(c, r)| (2 * c as i32 + 1, 2 * r as i32 + 1));
    let mut fitting = (0..4).flat_map(|quarters| {
        let seen: Vec<Node> = dots.iter().map(|dot| turned(*dot, quarters)).collect();
        let dots = seen.clone();
        seen.into_iter().filter_map(move |(i, j)| {
            let by = (wanted[0].0 - i, wanted[0].1 - j);
            let has = |(a, b): &Node| dots.contains(&(a - by.0, b - by.1));
            wanted.iter().all(has).then_some((quarters, by))
        })
    });
    let (quarters, by) = fitting.next()?;
    if fitting.next().is_some() {
        return None;
    }
    let nodes = lattice.nodes.iter().filter_map(|(node, px)| {
        let (i, j) = turned(*node, quarters);
        let column = u32::try_from(i + by.0 / 2).ok()?;
        let row = u32::try_from(j + by.1 / 2).ok()?;
        (column < target.columns && row < target.rows).then_some(((column, row), *px))
    });
    Some(nodes.collect())
}

/// How much a dot's middle differs from its square, as a share of the way to the other colour.
const DOT: f64 = 0.5;

/// The squares that bear a dot, by their middles in halves of a square.
fn dots(look: &GreyView<'_>, lattice: &Lattice) -> Vec<Node> {
    let cells: BTreeMap<Node, [f64; 2]> = lattice
        .nodes
        .keys()
        .filter_map(|&node| Some((node, cell(look, lattice, node)?)))
        .collect();
    let dotted = cells.iter().filter_map(|(&(i, j), [middle, about])| {
        let beside = [(1, 0), (0, 1), (-1, 0), (0, -1)];
        let other: Vec<f64> = beside
            .iter()
            .filter_map(|(a, b)| cells.get(&(i + a, j + b)).map(|cell| cell[1]))
            .collect();
        let other = other.iter().sum::<f64>() / other.len() as f64;
        let share = (middle - about) / (other - about);
        (share > DOT).then_some((2 * i + 1, 2 * j + 1))
    });
    dotted.collect()
}

/// How bright a square is in its middle, and about it.
fn cell(look: &GreyView<'_>, lattice: &Lattice, (i, j): Node) -> Option<[f64; 2]> {
    let at = |a: i32, b: i32| lattice.nodes.get(&(i + a, j + b)).copied();
    let corners = [at(0, 0)?, at(1, 0)?, at(1, 1)?, at(0, 1)?];
    let middle = crossing(corners[0], corners[2], corners[1], corners[3])?;
    let towards = |a: Px, b: Px, share: f64| [0, 1].map(|k| a[k] + share * (b[k] - a[k]));
    let mean = |share: f64| -> Option<f64> {
        let mut sum = 0.0;
        for k in 0..4 {
            let side = towards(corners[k], corners[(k + 1) % 4], 0.5);
            sum += look.at(towards(middle, side, share))?;
        }
        Some(sum / 4.0)
    };
    Some([mean(0.15)?, mean(0.72)?])
}

/// Where the lines a–b and c–d cross.
fn crossing(a: Px, b: Px, c: Px, d: Px) -> Option<Px> {
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let cross = u[0] * v[1] - u[1] * v[0];
    let t = ((c[0] - a[0]) * v[1] - (c[1] - a[1]) * v[0]) / cross;
    t.is_finite().then(|| [a[0] + t * u[0], a[1] + t * u[1]])
}

/// By its sides, which must all be seen.
fn by_sides(lattice: &Lattice, target: Target) -> Option<Placed> {
    let wanted = (target.columns as i32, target.rows as i32);
    let mut best: Option<(f64, Placed)> = None;
    for quarters in 0..4 {
        let nodes: Vec<(Node, Px)> = lattice
            .nodes
            .iter()
            .map(|(node, px)| (turned(*node, quarters), *px))
            .collect();
        let low = |of: fn(&Node) -> i32| nodes.iter().map(|n| of(&n.0)).min();
        let high = |of: fn(&Node) -> i32| nodes.iter().map(|n| of(&n.0)).max();
        let (left, top) = (low(|n| n.0)?, low(|n| n.1)?);
        if (high(|n| n.0)? - left + 1, high(|n| n.1)? - top + 1) != wanted {
            continue;
        }
        // How far the rows run to the right, and the columns down.
        let middle_column = f64::from(left) + f64::from(wanted.0 - 1) / 2.0;
        let middle_row = f64::from(top) + f64::from(wanted.1 - 1) / 2.0;
        let upright: f64 = nodes
            .iter()
            .map(|((i, j), px)| {
                (f64::from(*i) - middle_column) * px[0] + (f64::from(*j) - middle_row) * px[1]
            })
            .sum();
        if best.as_ref().is_none_or(|(before, _)| upright > *before) {
            let place = |((i, j), px): (Node, Px)| (((i - left) as u32, (j - top) as u32), px);
            best = Some((upright, nodes.into_iter().map(place).collect()));
        }
    }
    best.map(|(_, placed)| placed)
}

/// The corners' exact places in the full-size picture.
fn exact(grey: &GreyView<'_>, placed: Placed, factor: f64) -> GridView {
    let full = |px: Px| px.map(|c| c * factor + (factor - 1.0) / 2.0);
    let step = |(column, row): (u32, u32), px: Px| {
        let beside = [
            (column.wrapping_add(1), row),
            (column.wrapping_sub(1), row),
            (column, row.wrapping_add(1)),
            (column, row.wrapping_sub(1)),
        ];
        let near = beside.iter().filter_map(|at| placed.get(at));
        near.map(|p| (p[0] - px[0]).hypot(p[1] - px[1]))
            .fold(f64::INFINITY, f64::min)
    };
    let mut corners: Vec<GridCorner> = placed
        .iter()
        .filter_map(|(&(column, row), &px)| {
            let window =
                (WINDOW * factor * step((column, row), px)).clamp(LEAST_WINDOW, MOST_WINDOW);
            let px = refined(grey, full(px), window)?;
            Some(GridCorner { column, row, px })
        })
        .collect();
    corners.sort_by_key(|corner| (corner.row, corner.column));
    GridView {
        size: ImageSize {
            width: grey.width,
            height: grey.height,
        },
        corners,
    }
}

/// The steepest edges of a sharp picture rise within about a pixel; `None` where there is nothing
/// to see. In pixels, as the standard deviation of the blur.
fn sharpness(look: &GreyView<'_>) -> Option<f64> {
    let mut shades = look.data.to_vec();
    let width = look.width as usize;
    let mut steps: Vec<u8> = look
        .data
        .chunks_exact(width)
        .flat_map(|row| row.windows(3).map(|w| w[2].abs_diff(w[0])))
        .collect();
    if steps.is_empty() {
        return None;
    }
    let at = |list: &mut [u8], share: f64| {
        let index = ((list.len() - 1) as f64 * share) as usize;
        f64::from(nth(list, index, u8::cmp))
    };
    let range = at(&mut shades, 0.95) - at(&mut shades, 0.05);
    let steep = at(&mut steps, 0.999) / 2.0;
    // The slope of a blurred step at its steepest.
    let blur = range / (steep * std::f64::consts::TAU.sqrt());
    (range >= 30.0 && blur.is_finite()).then_some(blur)
}

/// Edges blurred over more than this hide the corners of a sheet that fills the picture, in
/// pixels of the picture that is looked at.
const BLURRED: f64 = 4.0;
/// A square seen narrower than this is too oblique.
const OBLIQUE: f64 = 0.3;
/// Fewer crossings in a grid are found in any texture: nothing of a sheet was seen.
const SOME: usize = 15;

fn refusal(lattice: &Lattice, blur: Option<f64>, target: Target) -> SurveyError {
    let seen = lattice.nodes.len();
    let mut narrow: Vec<f64> = lattice
        .nodes
        .iter()
        .filter_map(|(&(i, j), p)| {
            let way = |node: Node| {
                let q = lattice.nodes.get(&node)?;
                Some([q[0] - p[0], q[1] - p[1]])
            };
            Some(narrowness(way((i + 1, j))?, way((i, j + 1))?))
        })
        .collect();
    narrow.sort_by(f64::total_cmp);
    let oblique = narrow.get(narrow.len() / 2).is_some_and(|n| *n < OBLIQUE);
    let sentence = if seen < SOME && blur.is_some_and(|b| b > BLURRED) {
        return blurred();
    } else if seen < SOME {
        tr(
            "The sheet isn't seen in this photo. Take the whole sheet into the picture, so that it \
         fills most of it, flat and evenly lit.",
        )
        .to_owned()
    } else if oblique {
        tr(
            "The sheet is seen too much from the side. Take the photo again with the phone tilted \
         about half as much.",
        )
        .to_owned()
    } else {
        say!(
            "The sheet isn't wholly in the picture, or something hides a part of it: {seen} of \
             its {corners} corners were found. Take the photo again with all of the grid in view.",
            seen,
            corners = target.corners()
        )
    };
    SurveyError::at("photo", sentence)
}

fn blurred() -> SurveyError {
    SurveyError::at(
        "photo",
        tr(
            "The sheet can't be told exactly: this photo is too blurred. Hold the phone still, tap \
         the sheet to focus, and take it again in better light.",
        ),
    )
}

/// The smaller extent of a parallelogram's image of the unit circle by its larger one.
fn narrowness(a: [f64; 2], b: [f64; 2]) -> f64 {
    let sum = a[0] * a[0] + a[1] * a[1] + b[0] * b[0] + b[1] * b[1];
    let area = (a[0] * b[1] - a[1] * b[0]).abs();
    let root = (sum * sum - 4.0 * area * area).max(0.0).sqrt();
    ((sum - root) / (sum + root)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_turn_of_the_sheet_shows_its_dots_in_the_same_places() {
        let dots = Target::DOTS.map(|(c, r)| (2 * c as i32 + 1, 2 * r as i32 + 1));
        let shape = |quarters: usize| {
            let mut seen = dots.map(|dot| turned(dot, quarters));
            seen.sort_unstable();
            seen.map(|(i, j)| (i - seen[0].0, j - seen[0].1))
        };
        for quarters in 1..4 {
            assert_ne!(shape(quarters), shape(0));
        }
        // Both middles of a square each way, so that the shift is a whole square.
        assert!(dots.iter().all(|(i, j)| i % 2 == 1 && j % 2 == 1));
    }

    #[test]
    fn a_reduced_picture_has_the_means() {
        let grey = GreyView {
            width: 5,
            height: 2,
            data: &[0, 4, 10, 10, 99, 8, 0, 10, 10, 99],
        };
        assert_eq!(reduced(&grey, 2), [3, 10]);
    }

    #[test]
    fn a_square_seen_from_the_side_is_narrow() {
        assert!((narrowness([10.0, 0.0], [0.0, 2.0]) - 0.2).abs() < 1e-12);
        assert!((narrowness([3.0, 4.0], [-4.0, 3.0]) - 1.0).abs() < 1e-12);
    }
}
