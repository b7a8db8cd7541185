//! The border: the flat rim of skin on the wall around the piece, and inside its holes.

use super::input::PlanInput;
use crate::quantity::{Millimetres, SquareMillimetres};
use crate::survey::{Mm, Region};
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, TAU};

/// Where the piece lies on the wall, and what must stay free beside it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Rings {
    /// The outline.
    pub outline: Vec<Mm>,
    /// Its holes.
    #[serde(default)]
    pub holes: Vec<Vec<Mm>>,
    /// Things beside it that the border has to spare.
    #[serde(default)]
    pub neighbours: Vec<Vec<Mm>>,
}

/// The border strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rim {
    /// Its area.
    pub area: SquareMillimetres,
    /// The length of its outer edge.
    pub edge: Millimetres,
}

impl Rim {
    /// The true parallel strip of the outline where it is known, less what neighbours take of
    /// it. Otherwise Steiner's formula `P b + pi b²`: exact around a convex outline, more than
    /// enough around one with notches, where the strip overlaps itself.
    pub fn of(input: &PlanInput) -> Self {
        let (p, b) = (input.perimeter.value.0, input.border.0);
        let Some(rings) = &input.rings else {
            return Self {
                area: SquareMillimetres(p * b + PI * b * b),
                edge: Millimetres(p + TAU * b),
            };
        };
        let piece = Region::of(&rings.outline, &rings.holes);
        let mut strip = piece.widened(b).without(&piece);
        for neighbour in &rings.neighbours {
            strip = strip.without(&Region::of(neighbour, &[]));
        }
        let straight = piece.edge_length();
        // The edge bulges between its points, and the strip with it.
        let bulge = if straight > 0.0 { p / straight } else { 1.0 };
        Self {
            area: SquareMillimetres(strip.area() * bulge),
            edge: Millimetres((strip.edge_length() - straight).max(0.0) * bulge),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::Relief;
    use crate::quantity::Estimate;

    #[test]
    fn a_neighbour_keeps_its_place_and_no_outline_is_steiners() {
        let mut input = PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(30_000.0)),
            Estimate::exact(Millimetres(700.0)),
            Relief::default(),
        );
        input.border = Millimetres(25.0);
        // 200 x 150: the strip has 19,463.4954 mm2 and an outer edge of 857.0796 mm.
        let steiner = Rim::of(&input);
        assert!((steiner.area.0 - 19_463.495_4).abs() < 1e-3);
        let block =
            |x: f64, width: f64| vec![[x, 0.0], [x + width, 0.0], [x + width, 150.0], [x, 150.0]];
        input.rings = Some(Rings {
            outline: block(0.0, 200.0),
            ..Rings::default()
        });
        let free = Rim::of(&input);
        assert!((free.area.0 / steiner.area.0 - 1.0).abs() < 1e-4);
        assert!((free.edge.0 / steiner.edge.0 - 1.0).abs() < 1e-3);
        // Beside it, 10 mm away, another piece as tall: 15 of 25 mm are gone there.
        if let Some(rings) = &mut input.rings {
            rings.neighbours = vec![block(210.0, 80.0)];
        }
        let beside = Rim::of(&input);
        assert!((free.area.0 - beside.area.0 - 150.0 * 15.0).abs() < 1.0);
    }
}
