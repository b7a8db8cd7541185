//! How the one who brushes works, beyond the speed of each coat.

use super::card::MaterialCard;
use super::source::{Marked, Source};
use super::{cure, practice};
use crate::quantity::{Celsius, Grams, Minutes};
use serde::{Deserialize, Serialize};

/// What a batch costs these hands in time and paste.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hand {
    /// Mixing time in each container.
    pub mix: Marked<Minutes>,
    /// Paste that stays in the containers and the tool, per batch.
    pub residue: Marked<Grams>,
}

/// Mixing in one container takes no more than this share of the working time.
const LONGEST_MIX: Marked<f64> = Marked::made_up(0.25);

impl Hand {
    /// The same hand with this paste there: whoever mixes a slow paste at leisure has to be quicker
    /// with a fast one.
    pub fn with(&self, card: &MaterialCard, temperature: Celsius) -> Self {
        let working = cure::at_temperature(card.working, card, temperature);
        let longest = working.low95 * LONGEST_MIX.value;
        let mut hand = self.clone();
        if matches!(hand.mix.source, Source::Learned(_)) && hand.mix.value > longest {
            hand.mix.value = longest;
        }
        hand
    }
}

impl Default for Hand {
    fn default() -> Self {
        Self {
            mix: practice::MIX_PER_CONTAINER,
            residue: Marked::made_up(practice::residue_per_batch()),
        }
    }
}
