//! Cards to start from: kinds of paste, not anyone's product. Each number carries its mark,
//! and the sheet of the paste in hand replaces them all.

use super::card::{CardMarks, Cure, FoodStatement, MaterialCard, parts};
use super::packs::PackSize;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, Grams, GramsPerMillilitre, Minutes};
use crate::words::tr;

/// The starter cards; the first is the default.
pub fn starter_cards() -> Vec<MaterialCard> {
    vec![
        paste(),
        slow_paste(),
        condensation_paste(),
        ten_to_one_paste(),
    ]
}

fn paste() -> MaterialCard {
    MaterialCard {
        id: "starter-paste-1-1".to_string(),
        name: tr("Brush-on silicone paste, 1:1").to_string(),
        parts: parts(),
        ratio_by_mass: (1.0, 1.0),
        cure: Cure::Addition,
        ratio_by_volume: None,
        density: GramsPerMillilitre(1.2),
        density_a: None,
        density_b: None,
        // The lower end of 12 to 15 minutes.
        working: Minutes(12.0),
        recoat_from: Minutes(60.0),
        recoat_until: None,
        demould: Minutes(120.0),
        reference: Celsius(23.0),
        service_max: Some(practice::HEAT_WITHOUT_HARM.value),
        q10: practice::Q10.value,
        activation: None,
        shrinkage: Some(0.001),
        elongation: None,
        hardness: None,
        hold: None,
        levelling: None,
        least_skin: None,
        food: FoodStatement::NotDeclared,
        packs: packs(&[450.0, 900.0, 3600.0]),
        marks: CardMarks {
            ratio: Source::CommonPractice,
            cure: Source::FromMemory,
            ratio_by_volume: Source::FromMemory,
            density: Source::FromMemory,
            density_a: Source::FromMemory,
            density_b: Source::FromMemory,
            working: Source::CommonPractice,
            recoat: Source::CommonPractice,
            demould: Source::CommonPractice,
            reference: Source::FromMemory,
            service_max: practice::HEAT_WITHOUT_HARM.source,
            q10: practice::Q10.source,
            activation: Source::FromMemory,
            shrinkage: Source::Published(
                tr("suppliers' tables for addition cure (under 0.1 %), read second-hand")
                    .to_string(),
            ),
            elongation: Source::FromMemory,
            hardness: Source::FromMemory,
            hold: Source::FromMemory,
            levelling: practice::LEVELLING.source,
            least_skin: practice::LEAST_SKIN.source,
            food: Source::CommonPractice,
            packs: Source::MadeUp,
        },
    }
}

fn slow_paste() -> MaterialCard {
    let quick = paste();
    MaterialCard {
        id: "starter-paste-slow-1-1".to_string(),
        name: tr("Slow brush-on silicone paste, 1:1").to_string(),
        working: Minutes(30.0),
        recoat_from: Minutes(150.0),
        demould: Minutes(360.0),
        marks: CardMarks {
            working: Source::MadeUp,
            recoat: Source::MadeUp,
            demould: Source::MadeUp,
            ..quick.marks.clone()
        },
        ..quick
    }
}

fn condensation_paste() -> MaterialCard {
    let quick = paste();
    MaterialCard {
        id: "starter-condensation-100-5".to_string(),
        name: tr("Condensation-cure brush-on silicone, 100:5").to_string(),
        ratio_by_mass: (100.0, 5.0),
        cure: Cure::Condensation,
        density: GramsPerMillilitre(1.15),
        working: Minutes(20.0),
        recoat_from: Minutes(120.0),
        demould: Minutes(720.0),
        service_max: None,
        // The upper end of 0.1 to 1 % by volume is a third of a percent by length.
        shrinkage: Some(0.0033),
        packs: packs(&[525.0, 1050.0, 5250.0]),
        marks: CardMarks {
            ratio: Source::Published(
                tr("a model-maker's workshop notes (catalyst 5 to 10 % by weight), read second-hand")
                    .to_string(),
            ),
            cure: Source::Published(
                tr("a model-maker's workshop notes (tin catalyst), read second-hand").to_string(),
            ),
            working: Source::Published(
                tr("a model-maker's workshop notes (5 to 40 minutes), read second-hand").to_string(),
            ),
            recoat: Source::MadeUp,
            demould: Source::Published(
                tr("a model-maker's workshop notes (cure 2 to 24 hours), read second-hand").to_string(),
            ),
            service_max: Source::FromMemory,
            shrinkage: Source::Published(
                tr("Blanpain, Driesmans and Benrubi, Silicone as a Moulding Material for Loss Compensation (0.1 to 1 % by volume)")
                    .to_string(),
            ),
            ..quick.marks.clone()
        },
        ..quick
    }
}

fn ten_to_one_paste() -> MaterialCard {
    let quick = paste();
    MaterialCard {
        id: "starter-paste-10-1".to_string(),
        name: tr("Firm brush-on silicone paste, 10:1").to_string(),
        ratio_by_mass: (10.0, 1.0),
        working: Minutes(20.0),
        recoat_from: Minutes(90.0),
        demould: Minutes(300.0),
        packs: packs(&[550.0, 1100.0, 5500.0]),
        marks: CardMarks {
            ratio: Source::MadeUp,
            working: Source::MadeUp,
            recoat: Source::MadeUp,
            demould: Source::MadeUp,
            ..quick.marks.clone()
        },
        ..quick
    }
}

fn packs(grams: &[f64]) -> Vec<PackSize> {
    grams
        .iter()
        .zip([tr("Small set"), tr("Middle set"), tr("Large set")])
        .map(|(grams, name)| PackSize {
            name: name.to_string(),
            size: Grams(*grams),
            price: None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn starter_cards_are_sound_and_declare_no_food_use() {
        let cards = starter_cards();
        let ids: std::collections::BTreeSet<_> = cards.iter().map(|c| c.id.clone()).collect();
        assert_eq!(ids.len(), cards.len());
        for card in cards {
            assert_eq!(card.problems(), vec![], "{}", card.name);
            assert_eq!(card.food, FoodStatement::NotDeclared);
        }
    }
}
