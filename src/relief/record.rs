//! What was found out about a piece's heights, as its record keeps it.

use super::{Edge, HeightMap, Overhang, Profile, Reading};
use crate::survey::Mm;
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
    /// How it was found.
    pub swept_from: Option<SweptFrom>,
}

/// How a map was found that photos told.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SweptFrom {
    /// From how many photos.
    pub photos: usize,
    /// The share of the piece whose height was seen in them, not filled in.
    pub matched: f64,
    /// The outline as it lay on the wall then.
    pub outline: Vec<Mm>,
    /// What the user should know.
    pub notes: Vec<String>,
}

impl SweptFrom {
    /// Whether the outline lies where it lay then, to half a millimetre. Another outline, or
    /// another mark on the reference, moves it.
    pub fn is_of(&self, outline: &[Mm]) -> bool {
        let near = |(a, b): (&Mm, &Mm)| (a[0] - b[0]).hypot(a[1] - b[1]) < SAME_PLACE_MM;
        self.outline.len() == outline.len() && self.outline.iter().zip(outline).all(near)
    }
}

const SAME_PLACE_MM: f64 = 0.5;

impl ReliefRecord {
    /// Whether it tells heights: a map then takes the place of the kind of relief.
    pub fn tells_heights(&self) -> bool {
        self.swept.is_some() || !self.readings.is_empty() || !self.profiles.is_empty()
    }
}
