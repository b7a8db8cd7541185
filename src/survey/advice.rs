//! What to tell the person who took the photo: what hurts the measure, and what would help it.

use super::footprint::stretch;
use super::{Mm, Px, Wall, polygon};
use crate::quantity::{Degrees, Estimate, SquareMillimetres};

/// Beyond this slant the far side of the ornament is seen too short for good marks (common
/// practice, no source).
const STEEP_DEG: f64 = 40.0;
/// From this half width of the 95 % range on, as a share of the area, the range is worth a remark.
const WIDE: f64 = 0.05;
/// From this many times the reference's own reach on, the outline is far from what is known.
const FAR: f64 = 3.0;
/// Where a pixel covers more of the wall than this, edges can't be traced well.
const COARSE_MM: f64 = 1.0;
/// Turns sharper than this are corners; gentler ones are taken to belong to a curve.
const CORNER_DEG: f64 = 40.0;
/// A curve cut short by more than this share of the area is worth a remark.
const CUT_SHORT: f64 = 0.005;

/// Remarks on a measured outline, the wall's own first.
pub(super) fn notes(
    wall: &Wall,
    area: &Estimate<SquareMillimetres>,
    tilt: &Estimate<Degrees>,
    outline: &[Px],
    outline_mm: &[Mm],
) -> Vec<String> {
    let mut notes = wall.notes().to_vec();
    if tilt.value.0 > STEEP_DEG {
        notes.push(format!(
            "The photo was taken at a slant of {:.0} degrees. Take it more squarely to the wall: \
             the range will shrink.",
            tilt.value.0
        ));
    }
    let half = (area.high95.0 - area.low95.0) / (2.0 * area.value.0);
    let far = farness(wall.marks(), outline_mm);
    if half > WIDE {
        let advice = if far > FAR {
            "The ornament is large beside the reference: use a longer one, or lay it closer."
        } else if !wall.lens_known() {
            "Take the photo more squarely and from further away, so that the lens matters less."
        } else {
            "Mark more points of the reference, or mark them closer."
        };
        notes.push(format!(
            "The range is wide, about {:.0} % either way. {advice}",
            100.0 * half
        ));
    }
    let pixel = outline
        .iter()
        .map(|px| {
            let [x, y] = stretch(wall, *px);
            (x[0] * y[1] - x[1] * y[0]).abs().sqrt()
        })
        .fold(0.0, f64::max);
    if pixel > COARSE_MM {
        notes.push(format!(
            "One pixel covers {pixel:.1} mm of the wall: step closer, or use the photo in its \
             full size."
        ));
    }
    let short = cut_short(outline_mm) / area.value.0;
    if short > CUT_SHORT {
        notes.push(format!(
            "The outline's straight pieces cut its curves short by about {:.1} % of the area. \
             Add points along the curves.",
            100.0 * short
        ));
    }
    notes
}

/// How far the outline reaches from the marks' middle, in the marks' own reach.
fn farness(marks: &[Mm], outline: &[Mm]) -> f64 {
    let n = marks.len() as f64;
    let middle = [0, 1].map(|axis| marks.iter().map(|m| m[axis]).sum::<f64>() / n);
    let reach = |places: &[Mm]| {
        places
            .iter()
            .map(|p| (p[0] - middle[0]).hypot(p[1] - middle[1]))
            .fold(0.0, f64::max)
    };
    reach(outline) / reach(marks)
}

/// The area between an outline's straight pieces and the smooth curve that they seem to follow,
/// in mm²: a piece of length L whose ends turn by `t` on average cuts off L² t / 12.
fn cut_short(outline: &[Mm]) -> f64 {
    let n = outline.len();
    let edge = |i: usize| {
        let (a, b) = (outline[i % n], outline[(i + 1) % n]);
        [b[0] - a[0], b[1] - a[1]]
    };
    // The turn at the start of edge i, positive towards the inside; corners don't count.
    let way = polygon::signed_area(outline).signum();
    let turn = |i: usize| {
        let (a, b) = (edge(i + n - 1), edge(i));
        let angle = way * (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]);
        if angle.abs() < CORNER_DEG.to_radians() {
            angle
        } else {
            0.0
        }
    };
    (0..n)
        .map(|i| {
            let e = edge(i);
            (e[0] * e[0] + e[1] * e[1]) * (turn(i) + turn(i + 1)) / 24.0
        })
        .sum::<f64>()
        .max(0.0)
}
