//! The material card: what the paste's data sheet says, and how far each number is known.

use super::mix;
use super::packs::PackSize;
use super::source::Source;
use crate::quantity::{
    Celsius, GramsPerMillilitre, KilojoulesPerMole, Millimetres, Minutes, Pascals,
};
use crate::say;
use crate::words::tr;
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

/// How a paste cures, which decides what stops it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cure {
    /// By addition, with platinum.
    Addition,
    /// By condensation, with tin.
    Condensation,
    /// Not known.
    #[default]
    Unknown,
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
    /// How it cures.
    #[serde(default)]
    pub cure: Cure,
    /// Parts by volume, A to B, where the sheet gives them.
    #[serde(default)]
    pub ratio_by_volume: Option<(f64, f64)>,
    /// Density of the mix.
    pub density: GramsPerMillilitre,
    /// Density of A alone, where the sheet gives it.
    #[serde(default)]
    pub density_a: Option<GramsPerMillilitre>,
    /// Density of B alone, where the sheet gives it.
    #[serde(default)]
    pub density_b: Option<GramsPerMillilitre>,
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
    /// Activation energy of the cure, where the sheet gives it; the rate then follows from it, and
    /// not from `q10`.
    #[serde(default)]
    pub activation: Option<KilojoulesPerMole>,
    /// Linear shrinkage on cure as a share of the length.
    #[serde(default)]
    pub shrinkage: Option<f64>,
    /// How much longer the cured skin gets before it breaks, as a share of its length.
    #[serde(default)]
    pub elongation: Option<f64>,
    /// Hardness of the cured skin, Shore A.
    #[serde(default)]
    pub hardness: Option<f64>,
    /// How thick a wet coat holds on a wall.
    #[serde(default)]
    pub hold: Option<Hold>,
    /// How far a wet coat draws back from what bulges, in times its own thickness, where skins of
    /// this paste were measured; otherwise it follows from what holds on a wall.
    #[serde(default)]
    pub levelling: Option<f64>,
    /// The least thickness of a skin that can be peeled without tearing.
    #[serde(default)]
    pub least_skin: Option<Millimetres>,
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
    /// Mark of the mix ratio by weight.
    pub ratio: Source,
    /// Mark of how it cures.
    pub cure: Source,
    /// Mark of the mix ratio by volume.
    pub ratio_by_volume: Source,
    /// Mark of the density of the mix.
    pub density: Source,
    /// Mark of the density of A.
    pub density_a: Source,
    /// Mark of the density of B.
    pub density_b: Source,
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
    /// Mark of the activation energy.
    pub activation: Source,
    /// Mark of the shrinkage.
    pub shrinkage: Source,
    /// Mark of the elongation at break.
    pub elongation: Source,
    /// Mark of the hardness.
    pub hardness: Source,
    /// Mark of what holds on a wall.
    pub hold: Source,
    /// Mark of how far it levels.
    pub levelling: Source,
    /// Mark of the least thickness of a skin.
    pub least_skin: Source,
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
            cure: source.clone(),
            ratio_by_volume: source.clone(),
            density: source.clone(),
            density_a: source.clone(),
            density_b: source.clone(),
            working: source.clone(),
            recoat: source.clone(),
            demould: source.clone(),
            reference: source.clone(),
            service_max: source.clone(),
            q10: source.clone(),
            activation: source.clone(),
            shrinkage: source.clone(),
            elongation: source.clone(),
            hardness: source.clone(),
            hold: source.clone(),
            levelling: source.clone(),
            least_skin: source.clone(),
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
    /// The mix ratio by volume.
    RatioByVolume,
    /// The density of the mix.
    Density,
    /// The density of A.
    DensityA,
    /// The density of B.
    DensityB,
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
    /// The activation energy.
    Activation,
    /// The linear shrinkage.
    Shrinkage,
    /// The elongation at break.
    Elongation,
    /// The hardness.
    Hardness,
    /// What holds on a wall.
    Holding,
    /// How far a coat draws back from what bulges.
    Levelling,
    /// The least thickness of a skin.
    LeastSkin,
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
        let is_ratio = |(a, b): (f64, f64)| {
            within(a, 0.01, 1000.0) && within(b, 0.01, 1000.0) && within(a / b, 0.005, 200.0)
        };
        let is_density = |density: GramsPerMillilitre| within(density.0, 0.5, 3.0);

        check(
            !self.name.trim().is_empty(),
            Name,
            tr("The card needs a name, so that you find it again."),
        );
        check(
            is_ratio(self.ratio_by_mass),
            Ratio,
            tr(
                "The mix ratio needs two numbers above zero, parts of A and parts of B by weight, neither more than 200 times the other.",
            ),
        );
        check(
            self.ratio_by_volume.is_none_or(is_ratio),
            RatioByVolume,
            tr(
                "The mix ratio by volume needs two numbers above zero, parts of A and parts of B, neither more than 200 times the other. Leave both empty if the sheet gives none.",
            ),
        );
        for (density, field, part) in [
            (self.density_a, DensityA, "A"),
            (self.density_b, DensityB, "B"),
        ] {
            check(
                density.is_none_or(is_density),
                field,
                &say!(
                    "The density of {part} has to be between 0.5 and 3 g/ml. Leave it empty if the sheet does not say.",
                    part
                ),
            );
        }
        check(
            is_density(self.density),
            Density,
            tr(
                "The density of the mix has to be between 0.5 and 3 g/ml; pastes lie near 1.2. The sheet may call it specific gravity.",
            ),
        );
        check(
            within(self.working.0, 1.0, 1440.0),
            Working,
            tr("The working time has to be between 1 minute and 24 hours."),
        );
        check(
            within(self.recoat_from.0, 1.0, 2880.0),
            RecoatFrom,
            tr(
                "The earliest next coat has to be between 1 minute and 2 days after the coat before.",
            ),
        );
        check(
            self.recoat_until
                .is_none_or(|until| until.0 > self.recoat_from.0 && until.0 <= 43_200.0),
            RecoatUntil,
            tr(
                "The latest next coat has to come after the earliest one. Leave it empty if the sheet gives no limit.",
            ),
        );
        check(
            within(self.demould.0, 1.0, 20_160.0),
            Demould,
            tr("The time to demould has to be between 1 minute and 14 days."),
        );
        check(
            self.demould.0.is_nan() || self.working.0.is_nan() || self.demould.0 >= self.working.0,
            Demould,
            tr(
                "The time to demould can't be shorter than the working time. Check which is which on the sheet.",
            ),
        );
        check(
            within(self.reference.0, 0.0, 50.0),
            Reference,
            tr(
                "The temperature the sheet's times hold at has to be between 0 and 50 °C (32 and 122 °F); most sheets use 23 °C (73 °F).",
            ),
        );
        check(
            self.service_max.is_none_or(|t| within(t.0, 40.0, 400.0)),
            ServiceMax,
            tr(
                "The highest service temperature has to be between 40 and 400 °C (104 and 752 °F). Leave it empty if the sheet does not say.",
            ),
        );
        check(
            within(self.q10, 1.0, 5.0),
            Q10,
            tr(
                "How much faster it cures ten degrees warmer has to be between 1 and 5 times; about 2 is usual.",
            ),
        );
        check(
            self.activation
                .is_none_or(|energy| within(energy.0, 1.0, 150.0)),
            Activation,
            tr(
                "The activation energy has to be between 1 and 150 kJ/mol; twice as fast ten degrees warmer is near 50. Leave it empty if the sheet does not say.",
            ),
        );
        check(
            self.shrinkage.is_none_or(|s| within(s, 0.0, 0.1)),
            Shrinkage,
            tr(
                "The linear shrinkage has to be between 0 and 10 %. Leave it empty if the sheet does not say.",
            ),
        );
        check(
            self.elongation.is_none_or(|e| within(e, 0.01, 20.0)),
            Elongation,
            tr(
                "How far it stretches before it breaks has to be between 1 and 2000 % more than its length. Leave it empty if the sheet does not say.",
            ),
        );
        check(
            self.hardness.is_none_or(|shore| within(shore, 0.0, 100.0)),
            Hardness,
            tr(
                "The hardness has to be between 0 and 100 Shore A. Leave it empty if the sheet gives it on another scale.",
            ),
        );
        check(
            self.hold.is_none_or(|hold| match hold {
                Hold::YieldStress(stress) => within(stress.0, 0.1, 10_000.0),
                Hold::Dab(thickness) => within(thickness.0, 0.1, 100.0),
            }),
            Holding,
            tr(
                "What holds on a wall has to be a yield stress between 0.1 and 10,000 Pa, or a dab between 0.1 and 100 mm thick.",
            ),
        );
        check(
            self.levelling.is_none_or(|times| within(times, 0.0, 20.0)),
            Levelling,
            tr(
                "How far a coat levels has to be between 0 and 20 times its thickness. Leave it empty if you have not measured it.",
            ),
        );
        check(
            self.least_skin
                .is_none_or(|least| within(least.0, 0.1, 50.0)),
            LeastSkin,
            tr(
                "The least thickness of the skin has to be between 0.1 and 50 mm. Leave it empty if the sheet does not say.",
            ),
        );
        check(
            self.packs.iter().all(|pack| {
                within(pack.size.0, 1.0, 1e6) && pack.price.is_none_or(|p| within(p, 0.0, 1e6))
            }),
            Packs,
            tr(
                "Each pack needs a mass between 1 g and 1000 kg, A and B together, and a price of zero or more if you give one.",
            ),
        );
        found.extend(mix::contradictions(self, &found));
        found
    }

    /// The shares of A and B in the mix, by weight; together one.
    pub fn shares(&self) -> [f64; 2] {
        let (a, b) = self.ratio_by_mass;
        [a / (a + b), b / (a + b)]
    }
}

/// A and B without a colour.
pub(crate) fn parts() -> [Part; 2] {
    [tr("Part A"), tr("Part B")].map(|name| Part {
        name: name.to_string(),
        colour: String::new(),
    })
}
