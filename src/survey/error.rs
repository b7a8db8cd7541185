//! What went wrong, where, and what to do: one sentence for a person, one path for a file.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Why a survey could not be done.
///
/// [`fmt::Display`] gives the sentence alone; [`SurveyError::field`] says which part of the
/// request it speaks of, as a path such as `evidence[2].px`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SurveyError {
    field: String,
    sentence: String,
}

impl SurveyError {
    /// An error about the part of the request that `field` names (a path from the request's root).
    pub fn at(field: impl Into<String>, sentence: impl Into<String>) -> Self {
        Self {
            field: field.into(),
            sentence: sentence.into(),
        }
    }

    /// The same about a part of something larger, which stands at `path` in the request.
    pub(crate) fn under(self, path: &str) -> Self {
        Self {
            field: format!("{path}.{}", self.field),
            ..self
        }
    }

    /// The part of the request the sentence speaks of, such as `outline_px[4]`.
    pub fn field(&self) -> &str {
        &self.field
    }
}

impl fmt::Display for SurveyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for SurveyError {}
