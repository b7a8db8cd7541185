//! Does a wet coat stay where it is put?

use super::card::{Hold, MaterialCard};
use super::practice;
use crate::quantity::{GramsPerMillilitre, Millimetres, Minutes, Pascals};
use serde::{Deserialize, Serialize};

/// Standard gravity in m/s2 (exact, 3rd CGPM 1901, as in NIST SP 811).
const GRAVITY: f64 = 9.806_65;

/// A dab of mixed paste, put on an upright place and watched.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Dab {
    /// How thick it was.
    pub thickness: Millimetres,
    /// How long the mixed paste had stood before.
    #[serde(default)]
    pub stood: Minutes,
    /// Whether it stayed; otherwise it ran.
    pub held: bool,
}

/// The greatest thickness of one wet coat that holds on an upright or overhead surface once the
/// mixed paste has stood for a while, if dabs or the card tell. Cured coats below carry
/// themselves, so only the wet coat counts. Paste only thickens: a dab that held tells for all
/// longer waits, one that ran for all shorter ones. Dabs go before the card.
///
/// Where dabs only ran, a share of the thinnest is taken until one holds
/// ([`practice::HOLDS_OF_RUN`]).
pub fn holds(card: &MaterialCard, dabs: &[Dab], stood: Minutes) -> Option<Millimetres> {
    let thickest = dabs
        .iter()
        .filter(|dab| dab.held && dab.stood <= stood)
        .map(|dab| dab.thickness)
        .reduce(|a, b| if a > b { a } else { b });
    let ran = dabs
        .iter()
        .filter(|dab| !dab.held && dab.stood >= stood)
        .map(|dab| dab.thickness)
        .reduce(|a, b| if a < b { a } else { b });
    let known = thickest.or(card.hold.map(|hold| match hold {
        Hold::YieldStress(stress) => holds_by_yield(stress, card.density),
        Hold::Dab(thickness) => thickness,
    }));
    match (known, ran) {
        (Some(known), None) => Some(known),
        (Some(known), Some(ran)) if known < ran => Some(known),
        (_, ran) => ran.map(|ran| ran * practice::HOLDS_OF_RUN.value),
    }
}

/// The shortest of the tried waits after which a coat of this thickness held.
pub(super) fn wait_for(card: &MaterialCard, dabs: &[Dab], coat: Millimetres) -> Option<Minutes> {
    dabs.iter()
        .filter(|dab| dab.held && holds(card, dabs, dab.stood).is_some_and(|most| most >= coat))
        .map(|dab| dab.stood)
        .reduce(|a, b| if a < b { a } else { b })
}

/// The yield stress that the card or its dab tells: what a dab of the thickness that held weighs.
pub(super) fn yield_stress(card: &MaterialCard) -> Option<Pascals> {
    card.hold.map(|hold| match hold {
        Hold::YieldStress(stress) => stress,
        Hold::Dab(thickness) => Pascals(thickness.0 / 1000.0 * card.density.0 * 1000.0 * GRAVITY),
    })
}

/// `t = tau / (rho g)`: a layer on a vertical plane stands still until its own weight passes
/// the yield stress (a Bingham fluid).
fn holds_by_yield(stress: Pascals, density: GramsPerMillilitre) -> Millimetres {
    Millimetres(stress.0 / (density.0 * 1000.0 * GRAVITY) * 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;

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

    #[test]
    fn dabs_tell_what_holds_now_and_what_after_a_wait() {
        let mut card = starter_cards().swap_remove(0);
        let dab = |thickness, stood, held| Dab {
            thickness: Millimetres(thickness),
            stood: Minutes(stood),
            held,
        };
        let at = |card: &MaterialCard, dabs: &[Dab], stood| holds(card, dabs, Minutes(stood));
        assert_eq!(at(&card, &[], 0.0), None);
        let dabs = [
            dab(2.0, 0.0, true),
            dab(4.0, 0.0, false),
            dab(4.0, 5.0, true),
        ];
        assert_eq!(at(&card, &dabs, 0.0), Some(Millimetres(2.0)));
        assert_eq!(at(&card, &dabs, 5.0), Some(Millimetres(4.0)));
        assert_eq!(wait_for(&card, &dabs, Millimetres(3.0)), Some(Minutes(5.0)));
        assert_eq!(wait_for(&card, &dabs, Millimetres(5.0)), None);
        // Only a run is known, and it overrules the card.
        card.hold = Some(Hold::Dab(Millimetres(6.0)));
        assert_eq!(at(&card, &[], 0.0), Some(Millimetres(6.0)));
        assert_eq!(at(&card, &dabs[1..2], 0.0), Some(Millimetres(2.0)));
        // After a wait nothing is known of it again but the card's word.
        assert_eq!(at(&card, &dabs[1..2], 5.0), Some(Millimetres(6.0)));
    }
}
