//! A stroke over the photo: "this too", or "not this".

use super::super::simplify::off;
use super::super::{Px, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What a finger passed over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stroke {
    /// Whether it is ornament ("this too") or wall ("not this").
    pub ornament: bool,
    /// Where the finger went, in pixels of the photo; one point is a dot.
    pub path: Vec<Px>,
    /// Half the stroke's width, in pixels.
    pub radius_px: f64,
}

impl Stroke {
    /// Refuses what is no stroke.
    pub(super) fn check(&self) -> Result<(), SurveyError> {
        let refuse = |sentence: &str| Err(SurveyError::at("strokes", sentence));
        if self.path.is_empty() {
            return refuse(tr("A stroke has no points. Draw it again."));
        }
        if !self.path.iter().flatten().all(|c| c.is_finite()) {
            return refuse(tr(
                "A stroke has a point that is not an ordinary number. Draw it again.",
            ));
        }
        if !(self.radius_px.is_finite() && self.radius_px > 0.0) {
            return refuse(tr(
                "A stroke has no width. Its radius must be more than 0 pixels.",
            ));
        }
        Ok(())
    }

    /// From a place to the middle of the stroke, in pixels.
    pub(super) fn distance(&self, from: Px) -> f64 {
        let n = self.path.len();
        (0..n)
            .map(|i| off(from, self.path[i], self.path[(i + 1).min(n - 1)]))
            .fold(f64::INFINITY, f64::min)
    }
}
