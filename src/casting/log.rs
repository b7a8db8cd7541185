//! What was cast in a mould so far.

use super::medium::MediumFamily;
use crate::quantity::iso;
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What was wrong with a copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Defect {
    /// Air was caught.
    Bubbles,
    /// It came out bent.
    Warped,
    /// It stayed soft or sticky.
    Soft,
    /// The mould shows less than it did.
    LostDetail,
    /// The mould is torn.
    Tear,
    /// The copy stuck to the mould.
    Stuck,
}

impl Defect {
    /// All defects.
    pub const ALL: [Self; 6] = [
        Self::Bubbles,
        Self::Warped,
        Self::Soft,
        Self::LostDetail,
        Self::Tear,
        Self::Stuck,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bubbles => tr("bubbles"),
            Self::Warped => tr("warped"),
            Self::Soft => tr("soft or sticky"),
            Self::LostDetail => tr("lost detail"),
            Self::Tear => tr("mould torn"),
            Self::Stuck => tr("stuck to the mould"),
        }
    }

    /// Whether the mould's wear is to blame, and not the pour.
    pub fn is_wear(self) -> bool {
        matches!(self, Self::LostDetail | Self::Tear | Self::Stuck)
    }
}

/// Copies that were cast in one go.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CastEntry {
    /// When.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// The medium's name.
    pub medium: String,
    /// What kind of thing it was.
    pub family: MediumFamily,
    /// Whether it was food.
    pub food: bool,
    /// How many copies.
    pub copies: u32,
    /// What was wrong with them.
    pub defects: Vec<Defect>,
    /// Anything else.
    pub note: String,
    /// Whether the mould was done for after them.
    pub worn_out: bool,
}

impl CastEntry {
    /// Whether the mould spoiled a copy.
    pub fn shows_wear(&self) -> bool {
        self.worn_out || self.defects.iter().any(|defect| defect.is_wear())
    }
}
