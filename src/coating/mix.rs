//! The mix by weight and by volume: what follows from the densities of the parts.

use super::card::{CardNumber, CardProblem, MaterialCard};
use crate::quantity::{Grams, GramsPerMillilitre, Millilitres, show};
use crate::say;

/// How far two numbers of a sheet that speak of the same may lie apart: sheets round.
const APART: f64 = 0.03;

/// The ratio by weight of parts that are measured by volume; the number of A stays.
pub(super) fn by_mass(
    by_volume: (f64, f64),
    a: GramsPerMillilitre,
    b: GramsPerMillilitre,
) -> (f64, f64) {
    (by_volume.0, by_volume.1 * b.0 / a.0)
}

/// The density of a mix that takes as much room as its parts did.
pub(super) fn density(
    by_mass: (f64, f64),
    a: GramsPerMillilitre,
    b: GramsPerMillilitre,
) -> GramsPerMillilitre {
    let (of_a, of_b) = by_mass;
    GramsPerMillilitre((of_a + of_b) / (of_a / a.0 + of_b / b.0))
}

impl MaterialCard {
    /// The millilitres of so much A and so much B, where the card knows both densities.
    pub fn volumes(&self, a: Grams, b: Grams) -> Option<[Millilitres; 2]> {
        let (of_a, of_b) = self.density_a.zip(self.density_b)?;
        Some([Millilitres(a.0 / of_a.0), Millilitres(b.0 / of_b.0)])
    }
}

/// Where the numbers of a card's mix contradict each other. Those that are wrong by themselves
/// are left out: they stand in `found`.
pub(super) fn contradictions(card: &MaterialCard, found: &[CardProblem]) -> Vec<CardProblem> {
    use CardNumber::{Density, DensityA, DensityB, Ratio, RatioByVolume};
    let sound = |field| found.iter().all(|problem| problem.field != field);
    let Some((a, b)) = card.density_a.zip(card.density_b) else {
        return Vec::new();
    };
    if ![DensityA, DensityB, Ratio, RatioByVolume]
        .into_iter()
        .all(sound)
    {
        return Vec::new();
    }
    let mut contradictions = Vec::new();
    let number = |x: f64| show::number(x, 3);
    let (of_a, of_b) = card.ratio_by_mass;
    if let Some(by_volume) = card.ratio_by_volume {
        let (va, vb) = by_volume;
        let follows = by_mass(by_volume, a, b);
        let apart = (of_b / of_a) / (follows.1 / follows.0);
        if !(1.0 / (1.0 + APART)..=1.0 + APART).contains(&apart) {
            let text = say!(
                "The two ratios contradict each other: {va}:{vb} by volume with these densities is {of_a}:{follows} by weight, and the ratio by weight is {of_a}:{of_b}. Check these numbers on the sheet; if they stand there, keep to the ratio by weight and leave the one by volume empty.",
                va = number(va),
                vb = number(vb),
                of_a = number(of_a),
                follows = number(of_a * follows.1 / follows.0),
                of_b = number(of_b)
            );
            contradictions.push(CardProblem {
                field: RatioByVolume,
                text,
            });
        }
    }
    let (low, high) = if a.0 < b.0 { (a.0, b.0) } else { (b.0, a.0) };
    let between = low * (1.0 - APART)..=high * (1.0 + APART);
    if sound(Density) && !between.contains(&card.density.0) {
        let text = say!(
            "The density of the mix, {density} g/ml, has to lie between those of A and B, {a} and {b} g/ml. Check the three on the sheet.",
            density = number(card.density.0),
            a = number(a.0),
            b = number(b.0)
        );
        contradictions.push(CardProblem {
            field: Density,
            text,
        });
    }
    contradictions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;

    fn card() -> MaterialCard {
        MaterialCard {
            ratio_by_mass: (1.2, 1.0),
            ratio_by_volume: Some((1.0, 1.0)),
            density: GramsPerMillilitre(1.1),
            density_a: Some(GramsPerMillilitre(1.2)),
            density_b: Some(GramsPerMillilitre(1.0)),
            ..starter_cards().remove(0)
        }
    }

    #[test]
    fn a_litre_of_each_weighs_what_its_densities_say() {
        let (a, b) = (GramsPerMillilitre(1.2), GramsPerMillilitre(1.0));
        let ratio = by_mass((1.0, 1.0), a, b);
        // 1200 g of A to 1000 g of B, in two litres.
        assert!((ratio.0 / ratio.1 - 1.2).abs() < 1e-12);
        assert!((density(ratio, a, b).0 - 1.1).abs() < 1e-12);
        let [of_a, of_b] = card().volumes(Grams(1200.0), Grams(1000.0)).unwrap();
        assert!((of_a.0 - 1000.0).abs() < 1e-9 && (of_b.0 - 1000.0).abs() < 1e-9);
        assert_eq!(starter_cards()[0].volumes(Grams(1.0), Grams(1.0)), None);
    }

    #[test]
    fn three_percent_apart_is_rounding_and_more_is_told() {
        assert_eq!(card().problems(), []);
        let rounded = MaterialCard {
            ratio_by_mass: (1.23, 1.0),
            ..card()
        };
        assert_eq!(rounded.problems(), []);
        for ratio_by_mass in [(1.0, 1.0), (1.25, 1.0), (1.0, 1.2)] {
            let apart = MaterialCard {
                ratio_by_mass,
                ..card()
            };
            let [problem] = &apart.problems()[..] else {
                panic!("{:?}", apart.problems());
            };
            assert_eq!(problem.field, CardNumber::RatioByVolume);
        }
        let equal = MaterialCard {
            ratio_by_mass: (1.0, 1.0),
            ..card()
        };
        let text = &equal.problems()[0].text;
        assert!(text.contains("1:1 by volume with these densities is 1:0.833 by weight"));
    }

    #[test]
    fn the_mix_is_no_denser_than_both_of_its_parts() {
        for density in [0.9, 1.3] {
            let odd = MaterialCard {
                density: GramsPerMillilitre(density),
                ..card()
            };
            let [problem] = &odd.problems()[..] else {
                panic!("{:?}", odd.problems());
            };
            assert_eq!(problem.field, CardNumber::Density);
        }
    }
}
