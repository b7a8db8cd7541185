//! The ring as it was drawn: which cells lie inside, and how deep.

use super::super::{Px, RgbaView, SurveyError};
use super::cells::{Crop, Grid};
use crate::words::tr;

/// The narrowest ring that is looked into, in pixels.
const NARROWEST: f64 = 16.0;
/// How much wall about the ring is looked at, as a share of the ring's width and height.
const MARGIN: f64 = 0.25;

/// The part of the photo about the ring; refuses what is no ring about something in the photo.
pub(super) fn crop(photo: &RgbaView<'_>, ring: &[Px]) -> Result<Crop, SurveyError> {
    let refuse = |sentence: &str| Err(SurveyError::at("ring_px", sentence));
    if photo.bytes.len() as u64 != u64::from(photo.width) * u64::from(photo.height) * 4 {
        return Err(SurveyError::at(
            "photo",
            tr("The photo's pixels don't make up its size. Load the photo again."),
        ));
    }
    if ring.len() < 3 {
        return refuse(tr(
            "The ring has fewer than three points. Draw it all the way round the ornament.",
        ));
    }
    if let Some(i) = ring.iter().position(|p| !p.iter().all(|c| c.is_finite())) {
        return Err(SurveyError::at(
            format!("ring_px[{i}]"),
            tr("This point of the ring is not an ordinary number. Draw the ring anew."),
        ));
    }
    let size = [photo.width, photo.height].map(f64::from);
    let span = |axis: usize| {
        let (low, high) = ring
            .iter()
            .map(|p| p[axis])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), c| {
                (low.min(c), high.max(c))
            });
        (low.max(-0.5), high.min(size[axis] - 0.5))
    };
    let ((left, right), (top, bottom)) = (span(0), span(1));
    if right <= left || bottom <= top {
        return refuse(tr(
            "The ring lies outside the photo. Draw it round the ornament in the photo.",
        ));
    }
    if right - left < NARROWEST || bottom - top < NARROWEST {
        return refuse(tr(
            "The ring is too small to find an edge in. Draw it round the whole ornament, or take \
             the photo from nearer by.",
        ));
    }
    let stretch = |low: f64, high: f64, most: f64| {
        let more = (high - low) * MARGIN;
        let from = (low - more).floor().max(0.0);
        (from as u32, ((high + more).ceil().min(most) - from) as u32)
    };
    let (left, width) = stretch(left, right, size[0]);
    let (top, height) = stretch(top, bottom, size[1]);
    Ok(Crop {
        left,
        top,
        width,
        height,
    })
}

/// How far inside the ring each cell lies, in cells; below zero outside. A ring that crosses
/// itself, as a quick finger's does at its end, holds all that it goes round.
pub(super) fn depth(grid: &Grid, ring: &[Px]) -> Vec<f32> {
    let inside = filled(grid, ring);
    let to_outside = distance(grid, |cell| !inside[cell]);
    let to_inside = distance(grid, |cell| inside[cell]);
    (0..grid.count())
        .map(|cell| {
            if inside[cell] {
                to_outside[cell] - 0.5
            } else {
                0.5 - to_inside[cell]
            }
        })
        .collect()
}

/// Cells whose middle the ring goes round at least once.
fn filled(grid: &Grid, ring: &[Px]) -> Vec<bool> {
    let mut inside = Vec::with_capacity(grid.count());
    for row in 0..grid.high {
        let y = grid.middle(row * grid.wide)[1];
        let mut crossings: Vec<(f64, i32)> = (0..ring.len())
            .map(|i| (ring[i], ring[(i + 1) % ring.len()]))
            .filter(|(a, b)| (a[1] > y) != (b[1] > y))
            .map(|(a, b)| {
                let x = a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]);
                (x, if b[1] > a[1] { 1 } else { -1 })
            })
            .collect();
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut next, mut turns) = (0, 0);
        for column in 0..grid.wide {
            let x = grid.middle(row * grid.wide + column)[0];
            while next < crossings.len() && crossings[next].0 <= x {
                turns += crossings[next].1;
                next += 1;
            }
            inside.push(turns != 0);
        }
    }
    inside
}

/// The distance to the nearest cell that is a goal, in cells, to a twentieth (the 3-4 chamfer of
/// G. Borgefors, "Distance transformations in digital images", 1986).
fn distance(grid: &Grid, goal: impl Fn(usize) -> bool) -> Vec<f32> {
    let far = (grid.wide + grid.high) as f32 * 2.0;
    let mut to: Vec<f32> = (0..grid.count())
        .map(|cell| if goal(cell) { 0.0 } else { far })
        .collect();
    let mut pass = |cell: usize, slots: [usize; 4]| {
        for slot in slots {
            if let Some(next) = grid.neighbour(cell, slot) {
                let step = if [1, 3, 4, 6].contains(&slot) {
                    0.96
                } else {
                    1.36
                };
                to[cell] = to[cell].min(to[next] + step);
            }
        }
    };
    (0..grid.count()).for_each(|cell| pass(cell, [0, 1, 2, 3]));
    (0..grid.count())
        .rev()
        .for_each(|cell| pass(cell, [4, 5, 6, 7]));
    to
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_grows_inwards_and_a_crossed_ring_holds_all_it_goes_round() {
        let grid = Grid::new(
            Crop {
                left: 10,
                top: 20,
                width: 120,
                height: 100,
            },
            2,
        );
        // A square whose end overlaps its beginning.
        let ring = [
            [30.0, 40.0],
            [110.0, 40.0],
            [110.0, 100.0],
            [30.0, 100.0],
            [30.0, 60.0],
            [50.0, 36.0],
            [60.0, 50.0],
        ];
        let depth = depth(&grid, &ring);
        let at = |x: usize, y: usize| depth[(y - 20) / 2 * grid.wide + (x - 10) / 2];
        assert!((at(70, 70) - 15.0).abs() < 1.5, "{}", at(70, 70));
        assert!(at(105, 70) > 0.0 && at(105, 70) < 3.5);
        assert!((at(120, 70) + 5.0).abs() < 1.0, "{}", at(120, 70));
    }
}
