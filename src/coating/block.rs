//! The other way: the same piece as a poured block mould, to compare.

use super::input::PlanInput;
use super::practice;
use super::rim::Rings;
use crate::quantity::{Estimate, Millilitres, Millimetres, SquareMillimetres};
use crate::survey::Mm;

/// What a poured block takes: the box around the footprint with the margin on all sides, as deep
/// as the highest point and the margin over it, less what the piece itself fills.
///
/// The box is the smallest that holds the outline, if that is known; otherwise the footprint
/// widened by the margin (Steiner), which no box undercuts.
pub(super) fn block_volume(input: &PlanInput) -> Estimate<Millilitres> {
    let margin = practice::BLOCK_MARGIN.value;
    let highest = input.highest();
    let depth = highest + margin;
    let (area, perimeter) = (&input.area, &input.perimeter);
    let base = match &input.rings {
        Some(rings) => smallest_box(rings, margin),
        None => {
            let corners = SquareMillimetres(std::f64::consts::PI * margin.0 * margin.0);
            area.value + perimeter.value * margin + corners
        }
    };
    let fill = input.relief.kind.mean_height();
    let (piece, piece_sd) = match &input.heights {
        Some(map) => (map.volume(), map.volume().0 * map.sd() * 1000.0),
        None => (
            area.value * (highest * fill.value),
            area.value.0 * highest.0 * fill.sd,
        ),
    };
    let volume = base * depth - piece;
    // Area and perimeter err together; the fill is independent of them.
    let grown = base.0 / area.value.0;
    let outline = area.sd * (depth.0 * grown - piece.0 * 1000.0 / area.value.0);
    Estimate::positive(volume, outline.hypot(piece_sd) / 1000.0)
}

/// The area of the smallest rectangle around the outline, widened by the margin all round. One of
/// its sides lies along an edge of the convex hull (H. Freeman and R. Shapira, Comm. ACM 18,
/// 1975).
fn smallest_box(rings: &Rings, margin: Millimetres) -> SquareMillimetres {
    let hull = hull(&rings.outline);
    let sides = (0..hull.len()).map(|i| {
        let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let u = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
        let extent = |axis: Mm| {
            let along = hull.iter().map(|p| p[0] * axis[0] + p[1] * axis[1]);
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            });
            high - low + 2.0 * margin.0
        };
        extent(u) * extent([-u[1], u[0]])
    });
    SquareMillimetres(sides.fold(f64::INFINITY, f64::min))
}

/// The convex hull: A. Andrew's monotone chain (Inf. Process. Lett. 9, 1979).
fn hull(points: &[Mm]) -> Vec<Mm> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut chain: Vec<Mm> = Vec::new();
    for half in 0..2 {
        let start = chain.len();
        let pass: Vec<Mm> = if half == 0 {
            sorted.clone()
        } else {
            sorted.iter().rev().copied().collect()
        };
        for p in pass {
            while chain.len() >= start + 2 {
                let [a, b] = [chain[chain.len() - 2], chain[chain.len() - 1]];
                let turn = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
                if turn > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
    }
    chain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{Relief, ReliefKind};

    /// A slab 300 x 200 x 40; it fills all of its height, which is one standard deviation above
    /// the kind's middle.
    fn slab() -> PlanInput {
        PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(60_000.0)),
            Estimate::exact(Millimetres(1000.0)),
            Relief {
                kind: ReliefKind::Low,
                highest: Millimetres(40.0),
            },
        )
    }

    #[test]
    fn a_block_around_a_box_is_its_hull_less_the_box() {
        // With 15 mm around and above 1,774,500 mm3 with square corners, 10,621 less with round
        // ones (4 - pi times 15^2 times 55).
        let block = block_volume(&slab());
        let round = block.value.0 - block.sd;
        assert!((round - (1_774.5 - 10.621)).abs() < 0.01, "{round}");
    }

    #[test]
    fn the_box_of_a_known_outline_lies_along_it() {
        let mut slab = slab();
        let (sin, cos) = 0.6_f64.sin_cos();
        let corners = [
            [0.0, 0.0],
            [300.0, 0.0],
            [300.0, 200.0],
            [150.0, 190.0],
            [0.0, 200.0],
        ];
        slab.rings = Some(Rings {
            outline: corners
                .map(|[x, y]| [cos * x - sin * y, sin * x + cos * y])
                .to_vec(),
            ..Rings::default()
        });
        let block = block_volume(&slab);
        assert!(
            (block.value.0 - block.sd - 1_774.5).abs() < 0.01,
            "{block:?}"
        );
    }
}
