//! What keeps a copy from sticking, and what may spoil it.

use super::medium::{MediumCard, MediumFamily};
use crate::coating::{Caution, Cure, MaterialCard, Source, Topic};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Whether a release agent is wanted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReleaseAdvice {
    /// Whether one is wanted before each copy.
    pub wanted: bool,
    /// What to do.
    pub text: String,
    /// On whose word.
    pub source: Source,
}

impl ReleaseAdvice {
    /// What the medium asks for in a mould of silicone.
    pub fn of(medium: &MediumCard) -> Self {
        let text = match medium.family {
            _ if medium.food => {
                tr("No release agent: only what the paste's maker allows beside food, if anything.")
            }
            MediumFamily::Gypsum => {
                tr("Plaster lets go of silicone by itself: no release agent, and no soaking.")
            }
            MediumFamily::Cement => {
                tr("Cement lets go of silicone by itself. Rinse the mould after each copy.")
            }
            MediumFamily::Resin => tr(
                "Resins attack silicone and shorten its life. Use a release agent that the resin's sheet names, thin and dry, before each copy.",
            ),
            MediumFamily::Own => tr(
                "Ask its maker what lets it go of silicone. Silicone cast in silicone sticks for good: never without a release agent.",
            ),
            _ => tr("It lets go of silicone by itself: no release agent."),
        };
        Self {
            wanted: !medium.food
                && matches!(medium.family, MediumFamily::Resin | MediumFamily::Own),
            text: text.to_string(),
            source: Source::CommonPractice,
        }
    }
}

/// What the mould may do to the medium while it sets.
pub(super) fn inhibition(medium: &MediumCard, card: &MaterialCard) -> Option<Caution> {
    match (medium.family, card.cure) {
        (MediumFamily::Resin, Cure::Condensation | Cure::Unknown) => Some(Caution::new(
            Topic::Air,
            tr(
                "A mould that cures by condensation gives off alcohol in its first days, which leaves resins soft or full of bubbles.",
            ),
            tr("Let it stand open for the days its sheet names, and cast a small trial first."),
            Source::FromMemory,
        )),
        (MediumFamily::Own, _) => Some(Caution::new(
            Topic::Measuring,
            tr("Nobody has tried your own medium in this mould yet."),
            tr(
                "Cast a small trial first: some silicones and soft plastics stay sticky on another silicone.",
            ),
            Source::CommonPractice,
        )),
        _ => None,
    }
}
