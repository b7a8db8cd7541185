//! How the one who brushes works, beyond the speed of each coat.

use super::practice;
use super::source::Marked;
use crate::quantity::{Grams, Minutes};
use serde::{Deserialize, Serialize};

/// What a batch costs these hands in time and paste.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hand {
    /// Mixing time in each container.
    pub mix: Marked<Minutes>,
    /// Paste that stays in the containers and the tool, per batch.
    pub residue: Marked<Grams>,
}

impl Default for Hand {
    fn default() -> Self {
        Self {
            mix: practice::MIX_PER_CONTAINER,
            residue: Marked::made_up(practice::residue_per_batch()),
        }
    }
}
