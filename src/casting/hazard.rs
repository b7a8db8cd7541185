//! What a casting medium can do to people.

use crate::coating::{Caution, Source, Topic};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A hazard of a medium.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hazard {
    /// Setting plaster burns enclosed skin.
    PlasterHeat,
    /// Dust of plaster or cement.
    Dust,
    /// Wet cement is caustic.
    Caustic,
    /// Isocyanates.
    Isocyanate,
    /// Epoxy and its hardener.
    Sensitiser,
    /// Styrene and peroxide.
    Styrene,
    /// Hot sugar sticks and burns.
    HotSugar,
    /// Hot wax burns and catches fire.
    HotWax,
}

impl Hazard {
    /// The caution to show.
    pub fn caution(self) -> Caution {
        let published = |name: &str| Source::Published(name.to_string());
        match self {
            Self::PlasterHeat => Caution::new(
                Topic::Burns,
                tr(
                    "Plaster gets hot as it sets, in bulk about 60 °C (140 °F). People have lost fingers in it.",
                ),
                tr("Never put a hand or any part of the body into setting plaster."),
                published(tr(
                    "UK HSE press release on a school's plaster accident; the 60 °C read second-hand",
                )),
            ),
            Self::Dust => Caution::new(
                Topic::Air,
                tr("The dry powder makes dust."),
                tr("Pour it slowly, wear a dust mask, and wipe up wet."),
                Source::CommonPractice,
            ),
            Self::Caustic => Caution::new(
                Topic::Skin,
                tr("Wet cement is caustic and burns skin slowly."),
                tr("Wear waterproof gloves and wash splashes off at once."),
                Source::CommonPractice,
            ),
            Self::Isocyanate => Caution::new(
                Topic::Air,
                tr("Polyurethane resin holds isocyanates, a leading cause of asthma from work."),
                tr(
                    "Follow its safety sheet: air, gloves, goggles, and the respirator it names. Leave it if you have asthma.",
                ),
                published(tr("UK HSE research report RR1199")),
            ),
            Self::Sensitiser => Caution::new(
                Topic::Skin,
                tr("Epoxy resin and hardener can make you allergic for good."),
                tr("Wear nitrile gloves, keep it off your skin, and follow its safety sheet."),
                Source::CommonPractice,
            ),
            Self::Styrene => Caution::new(
                Topic::Air,
                tr(
                    "Polyester resin gives off styrene, and its hardener is a peroxide that burns eyes and starts fires.",
                ),
                tr("Work in the open or with the respirator its safety sheet names; wear goggles."),
                Source::CommonPractice,
            ),
            Self::HotSugar => Caution::new(
                Topic::Burns,
                tr(
                    "Cooked sugar is far hotter than boiling water and sticks: deep burns in a moment.",
                ),
                tr(
                    "Long sleeves, heat-proof gloves, a bowl of cold water at hand, no children near.",
                ),
                published(tr(
                    "a burns advice page (sugar at 150 to 170 °C), read second-hand",
                )),
            ),
            Self::HotWax => Caution::new(
                Topic::Burns,
                tr("Hot wax burns skin, and overheated wax catches fire."),
                tr(
                    "Melt it in a water bath, never over a flame, never alone; no water on burning wax.",
                ),
                Source::CommonPractice,
            ),
        }
    }
}
