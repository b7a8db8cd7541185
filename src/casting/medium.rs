//! The card of a casting medium.

use super::hazard::Hazard;
use crate::coating::{Caution, Marked, Source, Topic};
use crate::quantity::{Celsius, GramsPerMillilitre, Minutes};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What kind of thing it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MediumFamily {
    /// Gypsum plaster.
    Gypsum,
    /// Cement.
    Cement,
    /// Casting resin.
    Resin,
    /// Wax.
    Wax,
    /// Soap.
    Soap,
    /// Chocolate.
    Chocolate,
    /// Sugar, cooked or kneaded.
    Sugar,
    /// None of these.
    #[default]
    Own,
}

impl MediumFamily {
    /// All families.
    pub const ALL: [Self; 8] = [
        Self::Gypsum,
        Self::Cement,
        Self::Resin,
        Self::Wax,
        Self::Soap,
        Self::Chocolate,
        Self::Sugar,
        Self::Own,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gypsum => tr("gypsum plaster"),
            Self::Cement => tr("cement"),
            Self::Resin => tr("casting resin"),
            Self::Wax => tr("wax"),
            Self::Soap => tr("soap"),
            Self::Chocolate => tr("chocolate"),
            Self::Sugar => tr("sugar"),
            Self::Own => tr("something else"),
        }
    }
}

/// From here on what is poured is called hot (made up, on the careful side).
const SCALDS: Celsius = Celsius(45.0);

/// One ingredient of the mix.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MixPart {
    /// Its name.
    pub name: String,
    /// Its parts by weight.
    pub parts: f64,
}

/// What is cast. Each number carries its mark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MediumCard {
    /// Stable, unique among media.
    pub id: String,
    /// What it is.
    pub name: String,
    /// What kind of thing it is.
    pub family: MediumFamily,
    /// Density as it fills the mould.
    pub density: Marked<GramsPerMillilitre>,
    /// Standard deviation of that density as a share.
    pub density_spread: f64,
    /// What it is mixed from, by weight; one part if it is ready to pour.
    pub mix: Marked<Vec<MixPart>>,
    /// Temperature at which it goes into the mould; `None` at room temperature.
    #[serde(default)]
    pub pour_temperature: Option<Marked<Celsius>>,
    /// The hottest it gets in the mould by itself while it sets, if it warms.
    #[serde(default)]
    pub peak_temperature: Option<Marked<Celsius>>,
    /// Until it can be taken out.
    pub set_time: Marked<Minutes>,
    /// Linear change on setting as a share of the length; above zero it grows.
    #[serde(default)]
    pub linear_change: Option<Marked<f64>>,
    /// One standard deviation of that change, as a share of the length.
    #[serde(default)]
    pub linear_spread: f64,
    /// Whether it is eaten.
    pub food: bool,
    /// What it can do to people.
    #[serde(default)]
    pub hazards: Vec<Hazard>,
}

impl MediumCard {
    /// The hottest the mould gets, with the mark of that number; `None` if it stays cold.
    pub fn hottest(&self) -> Option<&Marked<Celsius>> {
        match (&self.pour_temperature, &self.peak_temperature) {
            (Some(pour), Some(peak)) if peak.value > pour.value => Some(peak),
            (Some(pour), _) => Some(pour),
            (None, peak) => peak.as_ref(),
        }
    }

    /// What it can do to people: its hazards; that it burns, where it gets hot and no hazard says
    /// so; and that nothing is known of it, where it is none of the known kinds.
    pub fn cautions(&self) -> Vec<Caution> {
        let mut all: Vec<Caution> = self.hazards.iter().map(|hazard| hazard.caution()).collect();
        let hot = self.hottest().is_some_and(|most| most.value >= SCALDS);
        if hot && all.iter().all(|caution| caution.topic != Topic::Burns) {
            all.push(Caution::new(
                Topic::Burns,
                tr("It gets hot enough to burn skin."),
                tr("Wear heat-proof gloves and long sleeves, have cold water at hand, and heat it as its sheet says."),
                Source::CommonPractice,
            ));
        }
        if self.family == MediumFamily::Own && !self.food {
            all.push(Caution::new(
                Topic::Skin,
                tr("What this medium can do to you is not known here."),
                tr("Read its safety sheet before you open it: gloves, air, heat, and what it must not touch."),
                Source::CommonPractice,
            ));
        }
        all
    }

    /// Everything that is wrong with the card, as sentences; empty if it can be used.
    pub fn problems(&self) -> Vec<String> {
        let within = |x: f64, low: f64, high: f64| (low..=high).contains(&x);
        let hot = |t: &Option<Marked<Celsius>>| {
            t.as_ref().is_none_or(|t| within(t.value.0, -20.0, 1000.0))
        };
        [
            (!self.name.trim().is_empty(), tr("The medium needs a name.")),
            (
                within(self.density.value.0, 0.1, 12.0),
                tr("The density of the medium has to be between 0.1 and 12 g/ml; water is 1."),
            ),
            (
                within(self.density_spread, 0.0, 0.5),
                tr("The spread of the density has to be between 0 and 50 %."),
            ),
            (
                !self.mix.value.is_empty()
                    && self.mix.value.iter().all(|p| within(p.parts, 0.001, 1e5)),
                tr("Each part of the mix has to be above zero, by weight."),
            ),
            (
                hot(&self.pour_temperature) && hot(&self.peak_temperature),
                tr("The temperatures have to be between -20 and 1000 °C."),
            ),
            (
                within(self.set_time.value.0, 0.1, 100_000.0),
                tr("The time to set has to be above zero and under ten weeks."),
            ),
            (
                self.linear_change
                    .as_ref()
                    .is_none_or(|c| within(c.value, -0.2, 0.2)),
                tr("The linear change has to be between -20 and 20 %."),
            ),
            (
                within(self.linear_spread, 0.0, 0.2),
                tr("The spread of the linear change has to be between 0 and 20 %."),
            ),
        ]
        .into_iter()
        .filter(|(good, _)| !good)
        .map(|(_, text)| text.to_string())
        .collect()
    }
}
