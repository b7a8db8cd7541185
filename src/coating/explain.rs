//! How a number came about.

use super::source::Source;
use crate::quantity::Amount;
use crate::quantity::show::System;
use serde::{Deserialize, Serialize};

/// One computed number: what went in, how, and on whose word.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Explanation {
    /// What is explained: "Surface to coat".
    pub what: String,
    /// Its result.
    pub result: Amount,
    /// The names of the inputs, and the inputs.
    pub inputs: Vec<(String, Amount)>,
    /// The formula in words.
    pub formula: String,
    /// Where the formula or its constants come from.
    pub source: Source,
}

impl Explanation {
    /// The inputs as pairs of texts in the reader's units.
    pub fn input_texts(&self, system: System) -> Vec<(String, String)> {
        self.inputs
            .iter()
            .map(|(name, amount)| (name.clone(), amount.show(system)))
            .collect()
    }
}

/// Builds an explanation from borrowed names.
pub(crate) fn explain(
    what: &str,
    result: Amount,
    inputs: Vec<(&str, Amount)>,
    formula: &str,
    source: Source,
) -> Explanation {
    Explanation {
        what: what.to_string(),
        result,
        inputs: inputs
            .into_iter()
            .map(|(name, amount)| (name.to_string(), amount))
            .collect(),
        formula: formula.to_string(),
        source,
    }
}
