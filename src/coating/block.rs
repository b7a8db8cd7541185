//! The other way: the same piece as a poured block mould, to compare.

use super::practice;
use super::relief::Relief;
use crate::quantity::{Estimate, Millilitres, Millimetres, SquareMillimetres};

/// What a poured block takes: the footprint widened by the margin all round, as deep as the
/// highest point and the margin over it, less what the piece itself fills.
///
/// The widened footprint is Steiner's, an upper bound for outlines with notches.
pub fn block_volume(
    area: &Estimate<SquareMillimetres>,
    perimeter: &Estimate<Millimetres>,
    relief: &Relief,
) -> Estimate<Millilitres> {
    let margin = practice::BLOCK_MARGIN.value;
    let corners = SquareMillimetres(std::f64::consts::PI * margin.0 * margin.0);
    let base = area.value + perimeter.value * margin + corners;
    let depth = relief.highest + margin;
    let fill = relief.kind.mean_height();
    let volume = base * depth - area.value * (relief.highest * fill.value);
    // Area and perimeter err together; the fill is independent of them.
    let outline =
        area.sd * (depth.0 - relief.highest.0 * fill.value) + perimeter.sd * margin.0 * depth.0;
    let piece = area.value.0 * relief.highest.0 * fill.sd;
    Estimate::positive(volume, outline.hypot(piece) / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::ReliefKind;

    #[test]
    fn a_block_around_a_box_is_its_hull_less_the_box() {
        // A slab 300 x 200 x 40 with 15 mm around and above: 1,774,500 mm3 with square corners,
        // 10,621 less with round ones (4 - pi times 15^2 times 55). The slab fills all of its
        // height, which is one standard deviation above the kind's middle.
        let block = block_volume(
            &Estimate::exact(SquareMillimetres(60_000.0)),
            &Estimate::exact(Millimetres(1000.0)),
            &Relief {
                kind: ReliefKind::Low,
                highest: Millimetres(40.0),
            },
        );
        let slab = block.value.0 - block.sd;
        assert!((slab - (1_774.5 - 10.621)).abs() < 0.01, "{slab}");
    }
}
