//! A card of the user's own, from the paste's data sheet.

use super::card::{
    CardMarks, CardNumber, CardProblem, Cure, FoodStatement, Hold, MaterialCard, Part, parts,
};
use super::packs::PackSize;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, GramsPerMillilitre, Minutes};
use serde::{Deserialize, Serialize};

/// The numbers of a sheet as a user types them; what is not typed is `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SheetNumbers {
    /// What the user calls it.
    pub name: String,
    /// Names and colours of the parts, if they are not just A and B.
    pub parts: Option<[Part; 2]>,
    /// Parts by weight, A to B. Needed.
    pub ratio_by_mass: Option<(f64, f64)>,
    /// How it cures, if the sheet says so: platinum is addition, tin is condensation.
    pub cure: Cure,
    /// Density of the mix. Needed.
    pub density: Option<GramsPerMillilitre>,
    /// Working time. Needed.
    pub working: Option<Minutes>,
    /// Earliest next coat. Needed.
    pub recoat_from: Option<Minutes>,
    /// Latest next coat, if the sheet has a limit.
    pub recoat_until: Option<Minutes>,
    /// Time to demould. Needed.
    pub demould: Option<Minutes>,
    /// The temperature of these times. Needed.
    pub reference: Option<Celsius>,
    /// Highest service temperature, if the sheet has it.
    pub service_max: Option<Celsius>,
    /// Rate per ten degrees, if the sheet has it; otherwise the general one, marked so.
    pub q10: Option<f64>,
    /// Linear shrinkage, if the sheet has it.
    pub shrinkage: Option<f64>,
    /// What holds on a wall, if the sheet or a dab test says.
    pub hold: Option<Hold>,
    /// What the sheet says about food.
    pub food: FoodStatement,
    /// The sets it is sold in.
    pub packs: Vec<PackSize>,
}

/// A card of the user's own from the sheet's numbers, or every problem in a sentence. A number
/// that is needed and not typed is asked for, never invented.
pub fn own_card(id: &str, sheet: &SheetNumbers) -> Result<MaterialCard, Vec<CardProblem>> {
    use CardNumber::*;
    let needed = [
        (
            sheet.ratio_by_mass.is_none(),
            Ratio,
            "the mix ratio by weight",
        ),
        (
            sheet.density.is_none(),
            Density,
            "the density of the mix (specific gravity)",
        ),
        (
            sheet.working.is_none(),
            Working,
            "the working time (pot life)",
        ),
        (
            sheet.recoat_from.is_none(),
            RecoatFrom,
            "the earliest next coat",
        ),
        (sheet.demould.is_none(), Demould, "the time to demould"),
        (
            sheet.reference.is_none(),
            Reference,
            "the temperature its times hold at",
        ),
    ];
    let missing: Vec<CardProblem> = needed
        .iter()
        .filter(|(missing, ..)| *missing)
        .map(|(_, field, what)| CardProblem {
            field: *field,
            text: format!("Type {what} from the paste's sheet."),
        })
        .collect();
    let (
        Some(ratio_by_mass),
        Some(density),
        Some(working),
        Some(recoat_from),
        Some(demould),
        Some(reference),
    ) = (
        sheet.ratio_by_mass,
        sheet.density,
        sheet.working,
        sheet.recoat_from,
        sheet.demould,
        sheet.reference,
    )
    else {
        return Err(missing);
    };
    let card = MaterialCard {
        id: id.to_string(),
        name: sheet.name.trim().to_string(),
        parts: sheet.parts.clone().unwrap_or_else(parts),
        ratio_by_mass,
        cure: sheet.cure,
        density,
        working,
        recoat_from,
        recoat_until: sheet.recoat_until,
        demould,
        reference,
        service_max: sheet.service_max,
        q10: sheet.q10.unwrap_or(practice::Q10.value),
        shrinkage: sheet.shrinkage,
        hold: sheet.hold,
        food: sheet.food,
        packs: sheet.packs.clone(),
        marks: CardMarks {
            q10: match sheet.q10 {
                Some(_) => Source::YourSheet,
                None => practice::Q10.source,
            },
            ..CardMarks::all(Source::YourSheet)
        },
    };
    let problems = card.problems();
    if problems.is_empty() {
        Ok(card)
    } else {
        Err(problems)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Grams, Millimetres};

    fn sheet() -> SheetNumbers {
        SheetNumbers {
            name: "My paste".to_string(),
            ratio_by_mass: Some((100.0, 10.0)),
            density: Some(GramsPerMillilitre(1.14)),
            working: Some(Minutes(14.0)),
            recoat_from: Some(Minutes(45.0)),
            demould: Some(Minutes(180.0)),
            reference: Some(Celsius(23.0)),
            ..SheetNumbers::default()
        }
    }

    #[test]
    fn a_full_sheet_makes_a_card_marked_as_the_users() {
        let card = own_card("mine", &sheet()).unwrap();
        assert_eq!(card.marks.density, Source::YourSheet);
        // The rate was not on the sheet, and the card says so.
        assert_eq!(card.marks.q10, Source::FromMemory);
        assert_eq!(card.service_max, None);
    }

    #[test]
    fn each_missing_number_is_asked_for() {
        let problems = own_card("mine", &SheetNumbers::default()).unwrap_err();
        assert_eq!(problems.len(), 6);
        assert!(
            problems
                .iter()
                .all(|p| p.text.ends_with("from the paste's sheet."))
        );
    }

    #[test]
    fn each_bad_number_is_named() {
        for (field, change) in [
            (
                CardNumber::Name,
                (|s| s.name = "  ".into()) as fn(&mut SheetNumbers),
            ),
            (CardNumber::Ratio, |s| s.ratio_by_mass = Some((0.0, 1.0))),
            (CardNumber::Ratio, |s| {
                s.ratio_by_mass = Some((1.0, f64::NAN))
            }),
            (CardNumber::Density, |s| {
                s.density = Some(GramsPerMillilitre(1140.0))
            }),
            (CardNumber::Working, |s| s.working = Some(Minutes(-1.0))),
            (CardNumber::RecoatFrom, |s| {
                s.recoat_from = Some(Minutes(0.0))
            }),
            (CardNumber::RecoatUntil, |s| {
                s.recoat_until = Some(Minutes(30.0))
            }),
            (CardNumber::Demould, |s| s.demould = Some(Minutes(5.0))),
            (CardNumber::Reference, |s| s.reference = Some(Celsius(73.0))),
            (CardNumber::ServiceMax, |s| {
                s.service_max = Some(Celsius(f64::INFINITY))
            }),
            (CardNumber::Q10, |s| s.q10 = Some(0.0)),
            (CardNumber::Shrinkage, |s| s.shrinkage = Some(0.5)),
            (CardNumber::Holding, |s| {
                s.hold = Some(Hold::Dab(Millimetres(0.0)))
            }),
            (CardNumber::Packs, |s| {
                s.packs = vec![PackSize {
                    name: "tin".into(),
                    size: Grams(0.0),
                    price: None,
                }]
            }),
        ] {
            let mut sheet = sheet();
            change(&mut sheet);
            let problems = own_card("mine", &sheet).unwrap_err();
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert_eq!(problems[0].field, field);
            assert!(problems[0].text.ends_with('.'));
        }
    }
}
