//! Heights that were read on the piece, with a probe, a skewer or a rule.

use super::near::contains;
use crate::quantity::Millimetres;
use crate::say;
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// One height read over the wall.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// The place on the wall.
    pub at: Mm,
    /// How high the surface stands over the wall there.
    pub height: Millimetres,
    /// One standard deviation of the reading, with that of its place.
    pub sd: Millimetres,
}

/// How the piece meets the wall along its outline.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Edge {
    /// Its surface runs down to the wall.
    #[default]
    MeetsWall,
    /// It stands off the wall with an edge of about this height.
    Stands {
        /// The edge's height.
        height: Millimetres,
        /// One standard deviation along the outline.
        sd: Millimetres,
    },
    /// Nothing is known of it.
    Unknown,
}

impl Edge {
    /// The height at the outline and its standard deviation, in millimetres, if it is known.
    pub(super) fn height(&self) -> Option<(f64, f64)> {
        match self {
            Self::MeetsWall => Some((0.0, 0.0)),
            Self::Stands { height, sd } => Some((height.0, sd.0)),
            Self::Unknown => None,
        }
    }

    pub(super) fn check(&self) -> Result<(), SurveyError> {
        match self.height() {
            Some((height, sd)) if !is_height(height) || !(0.0..=100.0).contains(&sd) => {
                Err(SurveyError::at(
                    "edge",
                    tr("The height of the edge has to be between 0 and 1000 mm (39 in)."),
                ))
            }
            _ => Ok(()),
        }
    }
}

pub(super) fn is_height(height: f64) -> bool {
    (0.0..=1000.0).contains(&height)
}

impl Reading {
    /// Refuses what is no reading on this piece. `number` counts from one.
    pub(super) fn check(
        &self,
        number: usize,
        outline: &[Mm],
        holes: &[Vec<Mm>],
    ) -> Result<(), SurveyError> {
        let fail = |part: &str, sentence: String| {
            Err(SurveyError::at(
                format!("readings[{}].{part}", number - 1),
                sentence,
            ))
        };
        if !is_height(self.height.0) {
            return fail(
                "height",
                say!(
                    "Reading {number} has to be between 0 and 1000 mm (39 in) over the wall. Read it again.",
                    number
                ),
            );
        }
        if !(self.sd.0 > 0.0 && self.sd.0 <= 100.0) {
            return fail(
                "sd",
                say!(
                    "The spread of reading {number} has to be above zero and 100 mm (4 in) at most.",
                    number
                ),
            );
        }
        let finite = self.at.iter().all(|x| x.is_finite());
        if !finite || !contains(outline, holes, self.at) {
            return fail(
                "at",
                say!(
                    "Reading {number} lies outside the outline. Move it onto the piece, or take it away.",
                    number
                ),
            );
        }
        Ok(())
    }
}
