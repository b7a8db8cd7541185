//! A dab on a hidden place, watched until its time is over: what tells best whether a paste cures
//! on a surface and leaves it as it was.

use crate::quantity::iso;
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What a dab left behind when its time was over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PatchResult {
    /// Firm all through, and the surface is as it was.
    Cured,
    /// Gummy or wet, all of it or where it touched the surface.
    Sticky,
    /// Firm, but it left a mark or took something off.
    Stained,
}

impl PatchResult {
    /// All results.
    pub const ALL: [Self; 3] = [Self::Cured, Self::Sticky, Self::Stained];

    /// A few words for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Cured => tr("cured clean"),
            Self::Sticky => tr("stayed sticky"),
            Self::Stained => tr("left a stain"),
        }
    }
}

/// A patch test. When it is due follows from the card's time to demould and the temperature of
/// the site.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PatchTest {
    /// When the dab was put on.
    #[serde(with = "iso::moment")]
    pub started: DateTime<Utc>,
    /// Where it is, to find it again.
    #[serde(default)]
    pub place: String,
    /// The id of the card of its paste: it says nothing of another one.
    #[serde(default)]
    pub paste: String,
    /// Whether the place was sealed first.
    #[serde(default)]
    pub sealed: bool,
    /// What it left; `None` until someone looked.
    #[serde(default)]
    pub result: Option<PatchResult>,
}
