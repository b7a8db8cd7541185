//! Does a wet coat stay where it is put?

use super::card::{Hold, MaterialCard};
use crate::quantity::{GramsPerMillilitre, Millimetres, Pascals};

/// Standard gravity in m/s2 (exact, 3rd CGPM 1901, as in NIST SP 811).
const GRAVITY: f64 = 9.806_65;

/// The greatest thickness of one wet coat that holds on an upright or overhead surface, if the
/// card knows it. Cured coats below carry themselves, so only the wet coat counts.
pub fn holds(card: &MaterialCard) -> Option<Millimetres> {
    match card.hold? {
        Hold::YieldStress(stress) => Some(holds_by_yield(stress, card.density)),
        Hold::Dab(thickness) => Some(thickness),
    }
}

/// `t = tau / (rho g)`: a layer on a vertical plane stands still until its own weight passes
/// the yield stress (a Bingham fluid).
fn holds_by_yield(stress: Pascals, density: GramsPerMillilitre) -> Millimetres {
    Millimetres(stress.0 / (density.0 * 1000.0 * GRAVITY) * 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paste_holds_its_yield_stress_over_its_weight() {
        // Fox & McDonald, Introduction to Fluid Mechanics, 8th ed., problem 8.46 (read
        // second-hand): 40 Pa at 1000 kg/m3 holds 4.08 mm.
        let t = holds_by_yield(Pascals(40.0), GramsPerMillilitre(1.0));
        assert!((t.0 - 4.0789).abs() < 1e-3, "{t:?}");
        // Computed: 25 Pa at 1200 kg/m3 holds 2.124 mm, 150 Pa at 1300 holds 11.77 mm.
        let t = holds_by_yield(Pascals(25.0), GramsPerMillilitre(1.2));
        assert!((t.0 - 2.124).abs() < 1e-3, "{t:?}");
    }
}
