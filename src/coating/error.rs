//! What is wrong with the numbers of a plan, in sentences.

use crate::quantity::show::{self, System};
use crate::quantity::{Celsius, Millimetres, Minutes};
use crate::say;
use crate::words::tr;
use std::fmt;

/// Why no plan can be made. Its text says what is wrong and what to do.
#[derive(Clone, Debug, PartialEq)]
pub enum CoatingError {
    /// A number is missing, below zero, not finite or beyond anything meant.
    Number {
        /// Whose number, as the start of a sentence: "The footprint's area".
        what: String,
        /// What it would have to be: "between 1 cm² and 100 m²".
        wanted: String,
    },
    /// The perimeter is too short for any shape of that area.
    PerimeterTooShort,
    /// No coat is chosen.
    NoCoats,
    /// More coats than are ever brushed.
    TooManyCoats,
    /// The card has problems; each is a sentence.
    Card(Vec<String>),
    /// The paste runs off the wall even in thin passes.
    RunsOff {
        /// What one pass holds.
        holds: Millimetres,
    },
    /// The paste sets before it can be mixed and brushed.
    SetsTooFast {
        /// The temperature asked for.
        temperature: Celsius,
        /// What is left of the working time there.
        working: Minutes,
    },
}

impl fmt::Display for CoatingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number { what, wanted } => {
                f.write_str(&say!("{what} has to be {wanted}. Check it.", what, wanted))
            }
            Self::PerimeterTooShort => f.write_str(tr(
                "The perimeter is too short to go around that area. Trace the outline again.",
            )),
            Self::NoCoats => f.write_str(tr("There is no coat yet. Add at least one.")),
            Self::TooManyCoats => f.write_str(tr(
                "That is more than twelve coats. Take some away or make them thicker.",
            )),
            Self::Card(problems) => f.write_str(&say!(
                "The material card can't be used yet. {problems}",
                problems = problems.join(" ")
            )),
            Self::RunsOff { holds } => f.write_str(&say!(
                "One wet coat of this paste holds only {in_metric} ({in_us}) on a wall, so \
                 the coats would take too many passes. Let a mixed dab stand five minutes or \
                 more and try again how thick it holds, or take a stiffer paste.",
                in_metric = show::length(*holds, System::Metric),
                in_us = show::length(*holds, System::UsCustomary)
            )),
            Self::SetsTooFast {
                temperature,
                working,
            } => f.write_str(&say!(
                "At {in_metric} ({in_us}) this paste sets {working} after mixing starts, \
                 which leaves no time to brush. Work in a cooler hour, cool the parts, or \
                 take a slower paste.",
                in_metric = show::temperature(*temperature, System::Metric),
                in_us = show::temperature(*temperature, System::UsCustomary),
                working = show::duration(*working)
            )),
        }
    }
}

impl std::error::Error for CoatingError {}

/// Accepts a finite number within the bounds, or says what it has to be.
pub(crate) fn within(
    number: f64,
    bounds: std::ops::RangeInclusive<f64>,
    what: &str,
    wanted: &str,
) -> Result<(), CoatingError> {
    if number.is_finite() && bounds.contains(&number) {
        return Ok(());
    }
    Err(CoatingError::Number {
        what: what.to_string(),
        wanted: wanted.to_string(),
    })
}
