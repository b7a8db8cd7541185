//! The material card: what the paste's data sheet says, and how far each number is known.

use super::packs::PackSize;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, GramsPerMillilitre, Millimetres, Minutes, Pascals};
use serde::{Deserialize, Serialize};

/// One of the two parts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// What the container says: "Part A".
    pub name: String,
    /// Its colour, to tell it apart; may be empty.
    pub colour: String,
}

/// What the maker declares about food.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FoodStatement {
    /// Nothing is known of a statement: not for food.
    #[default]
    NotDeclared,
    /// The sheet says that it is not for food.
    NotForFood,
    /// The sheet declares the cured paste fit for food contact.
    DeclaredByMaker,
}

/// What is known of how thick a wet coat holds on a wall.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "value", rename_all = "snake_case")]
pub enum Hold {
    /// The yield stress of the mixed paste.
    YieldStress(Pascals),
    /// A dab of this thickness held still.
    Dab(Millimetres),
}

/// A two-part silicone paste.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MaterialCard {
    /// Stable, unique among cards.
    pub id: String,
    /// What it is.
    pub name: String,
    /// A and B.
    pub parts: [Part; 2],
    /// Parts by weight, A to B.
    pub ratio_by_mass: (f64, f64),
    /// Density of the mix.
    pub density: GramsPerMillilitre,
    /// Working time of the mix, counted from the start of mixing, at the reference temperature.
    pub working: Minutes,
    /// Earliest next coat, at the reference temperature.
    pub recoat_from: Minutes,
    /// Latest next coat; often there is no limit.
    #[serde(default)]
    pub recoat_until: Option<Minutes>,
    /// Cure of the last coat until the skin can be peeled, at the reference temperature.
    pub demould: Minutes,
    /// The temperature the times hold at.
    pub reference: Celsius,
    /// The highest temperature the cured skin stands.
    #[serde(default)]
    pub service_max: Option<Celsius>,
    /// How many times as fast it cures ten degrees warmer.
    pub q10: f64,
    /// Linear shrinkage on cure as a share of the length.
    #[serde(default)]
    pub shrinkage: Option<f64>,
    /// How thick a wet coat holds on a wall.
    #[serde(default)]
    pub hold: Option<Hold>,
    /// What the maker declares about food.
    #[serde(default)]
    pub food: FoodStatement,
    /// The sets it is sold in.
    #[serde(default)]
    pub packs: Vec<PackSize>,
    /// Where each number comes from.
    #[serde(default)]
    pub marks: CardMarks,
}

/// Where each number of a card comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct CardMarks {
    /// Mark of the mix ratio.
    pub ratio: Source,
    /// Mark of the density.
    pub density: Source,
    /// Mark of the working time.
    pub working: Source,
    /// Mark of the recoat window.
    pub recoat: Source,
    /// Mark of the time to demould.
    pub demould: Source,
    /// Mark of the reference temperature.
    pub reference: Source,
    /// Mark of the highest service temperature.
    pub service_max: Source,
    /// Mark of the rate per ten degrees.
    pub q10: Source,
    /// Mark of the shrinkage.
    pub shrinkage: Source,
    /// Mark of what holds on a wall.
    pub hold: Source,
    /// Mark of the food statement.
    pub food: Source,
    /// Mark of the pack sizes.
    pub packs: Source,
}

impl CardMarks {
    /// The same mark for every number.
    pub fn all(source: Source) -> Self {
        Self {
            ratio: source.clone(),
            density: source.clone(),
            working: source.clone(),
            recoat: source.clone(),
            demould: source.clone(),
            reference: source.clone(),
            service_max: source.clone(),
            q10: source.clone(),
            shrinkage: source.clone(),
            hold: source.clone(),
            food: source.clone(),
            packs: source,
        }
    }
}

/// A number of a card, to point at its field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CardNumber {
    /// The name.
    Name,
    /// The mix ratio by weight.
    Ratio,
    /// The density of the mix.
    Density,
    /// The working time.
    Working,
    /// The earliest next coat.
    RecoatFrom,
    /// The latest next coat.
    RecoatUntil,
    /// The time to demould.
    Demould,
    /// The reference temperature.
    Reference,
    /// The highest service temperature.
    ServiceMax,
    /// The rate per ten degrees.
    Q10,
    /// The linear shrinkage.
    Shrinkage,
    /// What holds on a wall.
    Holding,
    /// The pack sizes.
    Packs,
}

/// One thing that is wrong with a card.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CardProblem {
    /// Where.
    pub field: CardNumber,
    /// What, and what to do, as a sentence.
    pub text: String,
}

impl MaterialCard {
    /// Everything that is wrong with the card; empty if it can be used.
    pub fn problems(&self) -> Vec<CardProblem> {
        use CardNumber::*;
        let mut found = Vec::new();
        let mut check = |good: bool, field, text: &str| {
            if !good {
                found.push(CardProblem {
                    field,
                    text: text.to_string(),
                });
            }
        };
        // A comparison with NaN is false, so every range also refuses what is no number.
        let within = |x: f64, low: f64, high: f64| (low..=high).contains(&x);
        let (a, b) = self.ratio_by_mass;

        check(
            !self.name.trim().is_empty(),
            Name,
            "The card needs a name, so that you find it again.",
        );
        check(
            within(a, 0.01, 1000.0) && within(b, 0.01, 1000.0) && within(a / b, 0.005, 200.0),
            Ratio,
            "The mix ratio needs two numbers above zero, parts of A and parts of B by weight, neither more than 200 times the other.",
        );
        check(
            within(self.density.0, 0.5, 3.0),
            Density,
            "The density of the mix has to be between 0.5 and 3 g/ml; pastes lie near 1.2. The sheet may call it specific gravity.",
        );
        check(
            within(self.working.0, 1.0, 1440.0),
            Working,
            "The working time has to be between 1 minute and 24 hours.",
        );
        check(
            within(self.recoat_from.0, 1.0, 2880.0),
            RecoatFrom,
            "The earliest next coat has to be between 1 minute and 2 days after the coat before.",
        );
        check(
            self.recoat_until
                .is_none_or(|until| until.0 > self.recoat_from.0 && until.0 <= 43_200.0),
            RecoatUntil,
            "The latest next coat has to come after the earliest one. Leave it empty if the sheet gives no limit.",
        );
        check(
            within(self.demould.0, 1.0, 20_160.0),
            Demould,
            "The time to demould has to be between 1 minute and 14 days.",
        );
        check(
            self.demould.0.is_nan() || self.working.0.is_nan() || self.demould.0 >= self.working.0,
            Demould,
            "The time to demould can't be shorter than the working time. Check which is which on the sheet.",
        );
        check(
            within(self.reference.0, 0.0, 50.0),
            Reference,
            "The temperature the sheet's times hold at has to be between 0 and 50 °C (32 and 122 °F); most sheets use 23 °C (73 °F).",
        );
        check(
            self.service_max.is_none_or(|t| within(t.0, 40.0, 400.0)),
            ServiceMax,
            "The highest service temperature has to be between 40 and 400 °C (104 and 752 °F). Leave it empty if the sheet does not say.",
        );
        check(
            within(self.q10, 1.0, 5.0),
            Q10,
            "How much faster it cures ten degrees warmer has to be between 1 and 5 times; about 2 is usual.",
        );
        check(
            self.shrinkage.is_none_or(|s| within(s, 0.0, 0.1)),
            Shrinkage,
            "The linear shrinkage has to be between 0 and 10 %. Leave it empty if the sheet does not say.",
        );
        check(
            self.hold.is_none_or(|hold| match hold {
                Hold::YieldStress(stress) => within(stress.0, 0.1, 10_000.0),
                Hold::Dab(thickness) => within(thickness.0, 0.1, 100.0),
            }),
            Holding,
            "What holds on a wall has to be a yield stress between 0.1 and 10,000 Pa, or a dab between 0.1 and 100 mm thick.",
        );
        check(
            self.packs.iter().all(|pack| {
                within(pack.size.0, 1.0, 1e6) && pack.price.is_none_or(|p| within(p, 0.0, 1e6))
            }),
            Packs,
            "Each pack needs a mass between 1 g and 1000 kg, A and B together, and a price of zero or more if you give one.",
        );
        found
    }

    /// Whether part `index` (0 is A) is the smaller one, and its share of the mix.
    pub fn share(&self, index: usize) -> f64 {
        let (a, b) = self.ratio_by_mass;
        if index == 0 { a / (a + b) } else { b / (a + b) }
    }
}

/// The numbers of a sheet as a user types them; what is not typed is `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SheetNumbers {
    /// What the user calls it.
    pub name: String,
    /// Parts by weight, A to B. Needed.
    pub ratio_by_mass: Option<(f64, f64)>,
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
        parts: parts(),
        ratio_by_mass,
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

/// A and B without a colour.
pub(crate) fn parts() -> [Part; 2] {
    ["Part A", "Part B"].map(|name| Part {
        name: name.to_string(),
        colour: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Grams;

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
