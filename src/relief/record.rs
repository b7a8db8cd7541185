//! What was found out about a piece's heights, as its record keeps it.

use super::{Edge, HeightMap, Overhang, Profile, Reading};
use serde::{Deserialize, Serialize};

/// Everything of a piece's third dimension that people read, drew, marked or swept. What follows
/// from it is worked out when it is asked for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ReliefRecord {
    /// How the piece meets the wall along its outline.
    pub edge: Edge,
    /// Heights that were read on it.
    pub readings: Vec<Reading>,
    /// Sections that were drawn across it.
    pub profiles: Vec<Profile>,
    /// Strokes over what overhangs.
    pub overhangs: Vec<Overhang>,
    /// The map that photos told.
    pub swept: Option<HeightMap>,
}

impl ReliefRecord {
    /// Whether it tells heights: a map then takes the place of the kind of relief.
    pub fn tells_heights(&self) -> bool {
        self.swept.is_some() || !self.readings.is_empty() || !self.profiles.is_empty()
    }
}
