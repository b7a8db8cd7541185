//! A medium of one's own, typed from its sheet.

use super::hazard::Hazard;
use super::medium::{MediumCard, MediumFamily, MixPart};
use crate::coating::{Marked, Source};
use crate::quantity::{Celsius, GramsPerMillilitre, Minutes};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// One standard deviation of a density that a sheet gives, as a share: air, and how it was weighed
/// out (made up for the demo).
const DENSITY_SPREAD: f64 = 0.02;

/// What its sheet says.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnMedium {
    /// What it is.
    pub name: String,
    /// What kind of thing it is, if it is one of the known.
    pub family: MediumFamily,
    /// Density as it fills the mould.
    pub density: Option<GramsPerMillilitre>,
    /// What it is mixed from, by weight; none if it is ready to pour.
    pub mix: Vec<MixPart>,
    /// Temperature at which it goes into the mould; `None` at room temperature.
    pub pour_temperature: Option<Celsius>,
    /// The hottest it gets by itself while it sets, if it warms.
    pub peak_temperature: Option<Celsius>,
    /// Until it can be taken out.
    pub set_time: Option<Minutes>,
    /// Linear change on setting as a share of the length; above zero it grows.
    pub linear_change: Option<f64>,
    /// Whether it is eaten.
    pub food: bool,
}

/// The card of one's own medium, or everything that is missing or wrong, as sentences.
pub fn own_medium(id: &str, own: &OwnMedium) -> Result<MediumCard, Vec<String>> {
    let mut problems = Vec::new();
    if own.density.is_none() {
        problems.push(tr("Give the density from the medium's sheet; water is 1 g/ml.").to_string());
    }
    if own.set_time.is_none() {
        problems
            .push(tr("Give the time until a copy can be taken out, from its sheet.").to_string());
    }
    let name = own.name.trim();
    let ready = || MixPart {
        name: name.to_string(),
        parts: 1.0,
    };
    let mix = match own.mix.is_empty() {
        true => vec![ready()],
        false => own.mix.clone(),
    };
    let card = MediumCard {
        id: id.to_string(),
        name: name.to_string(),
        family: own.family,
        density: sheet(own.density.unwrap_or(GramsPerMillilitre(1.0))),
        density_spread: DENSITY_SPREAD,
        mix: sheet(mix),
        pour_temperature: own.pour_temperature.map(sheet),
        peak_temperature: own.peak_temperature.map(sheet),
        set_time: sheet(own.set_time.unwrap_or(Minutes(60.0))),
        linear_change: own.linear_change.map(sheet),
        linear_spread: 0.0,
        food: own.food,
        hazards: hazards(own),
    };
    problems.extend(card.problems());
    match problems.is_empty() {
        true => Ok(card),
        false => Err(problems),
    }
}

fn sheet<T>(value: T) -> Marked<T> {
    Marked {
        value,
        source: Source::YourSheet,
    }
}

/// All that its kind can do to people: which of it holds, its safety sheet says.
fn hazards(own: &OwnMedium) -> Vec<Hazard> {
    match own.family {
        MediumFamily::Gypsum => vec![Hazard::PlasterHeat, Hazard::Dust],
        MediumFamily::Cement => vec![Hazard::Caustic, Hazard::Dust],
        MediumFamily::Resin => vec![Hazard::Isocyanate, Hazard::Sensitiser, Hazard::Styrene],
        MediumFamily::Wax => vec![Hazard::HotWax],
        MediumFamily::Sugar if own.pour_temperature.is_some() => vec![Hazard::HotSugar],
        _ => Vec::new(),
    }
}
