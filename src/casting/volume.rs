//! How much one copy holds.
//!
//! A relief of highest point `h` over a footprint `A` holds `A h f`, where `f` is its mean
//! height over its highest ([`ReliefKind::mean_height`](crate::coating::ReliefKind)).

use super::input::CastInput;
use super::shell;
use crate::coating::practice;
use crate::quantity::{Estimate, Millilitres, Millimetres};

/// Volume of one copy as it is filled, never more than the solid one.
pub(crate) fn of(input: &CastInput, solid: &Estimate<Millilitres>) -> Estimate<Millilitres> {
    let Some(thickness) = input.filling.thickness() else {
        return *solid;
    };
    let front = filled(input, Millimetres(0.0));
    let (shell, surface_sd) = match (&input.heights, &input.surface) {
        (Some(map), _) => (
            front.value * shell::share(map, thickness),
            front.relative_sd(),
        ),
        (None, Some(surface)) => (
            shell::by_surface(surface.value, input.mean_curvature, thickness),
            surface.relative_sd(),
        ),
        (None, None) => (front.value, front.relative_sd()),
    };
    if shell >= front.value {
        return *solid;
    }
    let slab = input.backing.0 / 1000.0;
    let sd = (shell.0 * input.filling.spread())
        .hypot(shell.0 * surface_sd)
        .hypot(input.area.sd * slab);
    let found = Estimate::positive(shell + Millilitres(input.area.value.0 * slab), sd);
    Estimate {
        high95: Millilitres(found.high95.0.min(solid.high95.0.max(found.value.0))),
        ..found
    }
}

/// Volume of one copy that is filled to the brim.
pub(crate) fn solid(input: &CastInput) -> Estimate<Millilitres> {
    filled(input, input.backing)
}

/// The same with a flat back of the given thickness behind the whole footprint. What stands out
/// from the wall is known from a height map, or follows from the kind of relief.
fn filled(input: &CastInput, backing: Millimetres) -> Estimate<Millilitres> {
    let (area, relief) = (&input.area, &input.relief);
    if let Some(known) = input.known() {
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
    use crate::casting::{Filling, starter_media};
    use crate::coating::{Relief, ReliefKind, starter_cards};
    use crate::quantity::SquareMillimetres;
    use std::f64::consts::PI;

    fn input(area: Estimate<SquareMillimetres>, kind: ReliefKind, highest: f64) -> CastInput {
        let relief = Relief {
            kind,
            highest: Millimetres(highest),
        };
        let medium = starter_media().swap_remove(0);
        CastInput::of_piece(area, relief, medium, starter_cards().swap_remove(0))
    }

    #[test]
    fn a_spherical_cap_lies_in_the_range() {
        // Base radius 40, height 20, so R = 50: V = pi h^2 (3 R - h) / 3 = 54,454.3 mm3.
        let area = Estimate::exact(SquareMillimetres(PI * 1600.0));
        let cap = solid(&input(area, ReliefKind::Low, 20.0));
        assert!(cap.low95.0 < 54.4543 && 54.4543 < cap.high95.0, "{cap:?}");
    }

    #[test]
    fn a_height_map_tells_better_and_the_backing_comes_on_top() {
        let area = Estimate::normal(SquareMillimetres(10_000.0), 100.0);
        let mut input = input(area, ReliefKind::High, 30.0);
        input.backing = Millimetres(7.0);
        let told = solid(&input);
        input.stands_out = Some(Estimate::normal(Millilitres(90.0), 1.2));
        let whole = solid(&input);
        assert_eq!(whole.value, Millilitres(160.0));
        // One hundredth of 160 from the outline, and the map's own.
        assert!((whole.sd - 1.6_f64.hypot(1.2)).abs() < 1e-9);
        assert!(whole.sd < told.sd / 5.0);
    }

    #[test]
    fn a_backing_is_a_slab() {
        let area = Estimate::exact(SquareMillimetres(10_000.0));
        let mut input = input(area, ReliefKind::Middle, 0.0);
        input.backing = Millimetres(12.0);
        let slab = solid(&input);
        assert_eq!(slab.value, Millilitres(120.0));
        assert_eq!(slab.sd, 0.0);
    }

    #[test]
    fn a_shell_grows_with_its_thickness_up_to_the_solid_and_keeps_its_spread() {
        let area = Estimate::positive(SquareMillimetres(10_000.0), 100.0);
        let mut input = input(area, ReliefKind::Middle, 30.0);
        input.surface = Some(Estimate::positive(SquareMillimetres(16_000.0), 800.0));
        input.backing = Millimetres(2.0);
        let brimful = solid(&input);
        let mut before = 20.0;
        for t in [1.0, 2.0, 4.0, 8.0] {
            input.filling = Filling::Slush(Millimetres(t));
            let shell = of(&input, &brimful);
            assert!(shell.value.0 > before && shell.value <= brimful.value);
            assert!(shell.high95 <= brimful.high95 && shell.low95 < shell.value);
            before = shell.value.0;
        }
        input.filling = Filling::Sheet(Millimetres(60.0));
        assert_eq!(of(&input, &brimful), brimful);
        // 16,000 mm² at 3 mm, and the back: 48 + 20 ml; a twentieth from the surface, a tenth from
        // rolling, a hundredth of the back from the outline.
        input.filling = Filling::Sheet(Millimetres(3.0));
        let sheet = of(&input, &brimful);
        assert!((sheet.value.0 - 68.0).abs() < 1e-9);
        assert!((sheet.sd - 2.4_f64.hypot(4.8).hypot(0.2)).abs() < 1e-9);
    }
}
