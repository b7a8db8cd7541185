//! What is wrong with the numbers of a cast, in sentences.

use crate::say;
use crate::words::tr;
use std::fmt;

/// Why no cast can be planned.
#[derive(Clone, Debug, PartialEq)]
pub enum CastingError {
    /// A number is missing, below zero, not finite or beyond anything meant.
    Number {
        /// Whose number, as the start of a sentence.
        what: &'static str,
        /// What it would have to be.
        wanted: &'static str,
    },
    /// There is nothing to fill.
    NoVolume,
    /// A shell is wanted, and nothing tells the surface it lies on.
    NoSurface,
    /// The medium's card has problems; each is a sentence.
    Medium(Vec<String>),
}

impl fmt::Display for CastingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number { what, wanted } => f.write_str(&say!(
                "{what} has to be {wanted}. Check it.", what, wanted
            )),
            Self::NoVolume => f.write_str(
                tr("There is nothing to fill: the highest point and the backing are both zero. Give one of them."),
            ),
            Self::NoSurface => f.write_str(
                tr("A shell or sheet lies on the developed surface, which isn't known. Give the surface or the heights."),
            ),
            Self::Medium(problems) => f.write_str(&say!(
                "The medium's card can't be used yet. {problems}", problems = problems.join(" ")
            )),
        }
    }
}

impl std::error::Error for CastingError {}
