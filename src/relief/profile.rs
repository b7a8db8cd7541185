//! A section across the piece, drawn from a contour gauge, a strip or a photo from the side.

use super::near::apart;
use super::reading::is_height;
use crate::quantity::Millimetres;
use crate::say;
use crate::survey::{Mm, SurveyError};
use serde::{Deserialize, Serialize};

/// A section along a line across the piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// Where the line begins on the wall.
    pub from: Mm,
    /// Where it ends.
    pub to: Mm,
    /// The drawn section: how far along the line, and how high over the wall there, in
    /// millimetres, along the line.
    pub section: Vec<[f64; 2]>,
    /// One standard deviation of each drawn height.
    pub sd: Millimetres,
}

/// So many places of a profile count as readings at most: between them it is as smooth as the map.
const MOST: usize = 12;

impl Profile {
    /// Refuses what is no section.
    pub(super) fn check(&self, number: usize) -> Result<(), SurveyError> {
        let field = |part: &str| format!("profiles[{}].{part}", number - 1);
        let long = apart(self.from, self.to);
        if !(long > 0.0 && long <= 1e5) {
            return Err(SurveyError::at(
                field("to"),
                say!(
                    "The line of profile {number} has no length. Draw it across the piece.",
                    number
                ),
            ));
        }
        if !(self.sd.0 > 0.0 && self.sd.0 <= 100.0) {
            return Err(SurveyError::at(
                field("sd"),
                say!(
                    "The spread of profile {number} has to be above zero and 100 mm (4 in) at most.",
                    number
                ),
            ));
        }
        let section = &self.section;
        let forward = section.windows(2).all(|pair| pair[0][0] < pair[1][0]);
        let sound = |p: &[f64; 2]| p[0].is_finite() && is_height(p[1]);
        if section.len() < 2 || !forward || !section.iter().all(sound) {
            return Err(SurveyError::at(
                field("section"),
                say!(
                    "Draw profile {number} from one end to the other, with two points or more, \
                     none below the wall.",
                    number
                ),
            ));
        }
        Ok(())
    }

    /// Places along the line with their heights, evenly spaced and no more than tell something
    /// of their own.
    pub(super) fn places(&self) -> Vec<(Mm, f64)> {
        let long = apart(self.from, self.to);
        let first = self.section.first().map_or(0.0, |p| p[0].max(0.0));
        let last = self.section.last().map_or(0.0, |p| p[0].min(long));
        if last <= first {
            return Vec::new();
        }
        let at = |n: usize| {
            let along = first + (last - first) * n as f64 / (MOST - 1) as f64;
            let share = along / long;
            let place = [0, 1].map(|k| self.from[k] + share * (self.to[k] - self.from[k]));
            (place, self.height(along))
        };
        (0..MOST).map(at).collect()
    }

    /// The drawn height so far along the line, straight between its points.
    fn height(&self, along: f64) -> f64 {
        let section = &self.section;
        let after = section.partition_point(|p| p[0] < along);
        let after = after.clamp(1, section.len() - 1);
        let (a, b) = (section[after - 1], section[after]);
        let share = ((along - a[0]) / (b[0] - a[0])).clamp(0.0, 1.0);
        a[1] + share * (b[1] - a[1])
    }
}
