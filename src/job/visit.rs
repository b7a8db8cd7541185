//! The time on site as the user wants it: hands, hours, nights, and what is to start when.

use super::PieceId;
use crate::quantity::iso;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The time on site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Visit {
    /// Pairs of hands that mix and brush.
    pub hands: u32,
    /// When the work begins; `None`: as soon as possible.
    #[serde(with = "iso::maybe_moment")]
    pub begins: Option<DateTime<Utc>>,
    /// From when to when hands may work there each day, in minutes after midnight; `None`: always.
    pub hours: Option<(u32, u32)>,
    /// How many nights may lie in between.
    pub nights: u32,
    /// What is to start at a time of its own.
    pub pins: Vec<Pin>,
}

impl Default for Visit {
    fn default() -> Self {
        Self {
            hands: 1,
            begins: None,
            hours: None,
            nights: 0,
            pins: Vec::new(),
        }
    }
}

/// A work that starts at a time of the user's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pin {
    /// The piece.
    pub piece: PieceId,
    /// Which of its works, from 0: the coats, then the peeling.
    pub work: usize,
    /// When it starts.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
}
