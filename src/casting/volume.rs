//! How much one copy holds.
//!
//! A relief of highest point `h` over a footprint `A` holds `A h f`, where `f` is its mean
//! height over its highest ([`ReliefKind::mean_height`](crate::coating::ReliefKind)).

use crate::coating::{Relief, practice};
use crate::quantity::{Estimate, Millilitres, Millimetres, SquareMillimetres};

/// Volume of one copy with a flat back of the given thickness behind the whole footprint. What
/// stands out from the wall is known from a height map, or follows from the kind of relief.
pub(crate) fn of(
    area: &Estimate<SquareMillimetres>,
    relief: &Relief,
    stands_out: Option<&Estimate<Millilitres>>,
    backing: Millimetres,
) -> Estimate<Millilitres> {
    if let Some(known) = stands_out {
        // The outline's own error moves both.
        let front = known.value.0 * area.relative_sd();
        let slab = area.sd * backing.0 / 1000.0;
        let value = Millilitres(known.value.0 + area.value.0 * backing.0 / 1000.0);
        return Estimate::positive(value, known.sd.hypot(front + slab));
    }
    let f = relief.kind.mean_height();
    let h = relief.highest;
    let mean = h * f.value + backing;
    let sd_h = practice::HIGHEST_SPREAD.value.0.min(h.0);
    let parts = [
        area.sd * mean.0,
        area.value.0 * h.0 * f.sd,
        area.value.0 * f.value * sd_h,
    ];
    let sd = parts.iter().fold(0.0, |sum: f64, part| sum.hypot(*part)) / 1000.0;
    Estimate::positive(area.value * mean, sd)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::ReliefKind;
    use std::f64::consts::PI;

    #[test]
    fn a_spherical_cap_lies_in_the_range() {
        // Base radius 40, height 20, so R = 50: V = pi h^2 (3 R - h) / 3 = 54,454.3 mm3.
        let area = Estimate::exact(SquareMillimetres(PI * 1600.0));
        let relief = Relief {
            kind: ReliefKind::Low,
            highest: Millimetres(20.0),
        };
        let cap = of(&area, &relief, None, Millimetres(0.0));
        assert!(cap.low95.0 < 54.4543 && 54.4543 < cap.high95.0, "{cap:?}");
    }

    #[test]
    fn a_height_map_tells_better_and_the_backing_comes_on_top() {
        let area = Estimate::normal(SquareMillimetres(10_000.0), 100.0);
        let relief = Relief {
            kind: ReliefKind::High,
            highest: Millimetres(30.0),
        };
        let known = Estimate::normal(Millilitres(90.0), 1.2);
        let whole = of(&area, &relief, Some(&known), Millimetres(7.0));
        assert_eq!(whole.value, Millilitres(160.0));
        // One hundredth of 160 from the outline, and the map's own.
        assert!((whole.sd - 1.6_f64.hypot(1.2)).abs() < 1e-9);
        assert!(whole.sd < of(&area, &relief, None, Millimetres(7.0)).sd / 5.0);
    }

    #[test]
    fn a_backing_is_a_slab() {
        let area = Estimate::exact(SquareMillimetres(10_000.0));
        let flat = Relief {
            kind: ReliefKind::Middle,
            highest: Millimetres(0.0),
        };
        let slab = of(&area, &flat, None, Millimetres(12.0));
        assert_eq!(slab.value, Millilitres(120.0));
        assert_eq!(slab.sd, 0.0);
    }
}
