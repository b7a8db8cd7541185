//! What a day is planned from.

use super::hours::Hours;
use crate::clock::age::Ageing;
use crate::quantity::Minutes;
use serde::{Deserialize, Serialize};

/// The wait before a work, counted from the end of the work before it on the same piece, as ages
/// at the reference temperature of the piece's card.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// At least this.
    pub least: Minutes,
    /// At most this, where the card has a limit.
    pub most: Option<Minutes>,
}

/// What is already settled about a work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Settled {
    /// Nothing: the plan chooses its start.
    #[default]
    Free,
    /// It starts at this minute, and the plan goes round it.
    Pinned(Minutes),
    /// It began at this minute, and it is over or goes on: it is not judged, and `takes` is what
    /// it took, or will have taken.
    Begun(Minutes),
}

/// One hands-on work on a piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Work {
    /// What it is called: "coat 1".
    pub name: String,
    /// How long hands are on it. A work of no length still needs a moment in which hands are free.
    pub takes: Minutes,
    /// The wait before it. That of a piece's first work is not looked at.
    pub gap: Gap,
    /// Which crew does it: its place in [`Day::crews`].
    pub crew: usize,
    /// What is settled about it.
    pub settled: Settled,
}

/// A piece with its works in their order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayPiece {
    /// What it is called.
    pub name: String,
    /// How its paste ages on the site.
    pub ageing: Ageing,
    /// What is done to it, one after the other.
    pub works: Vec<Work>,
}

/// All that a plan of the day follows from. Minutes count from an origin of the caller's choice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Day {
    /// Nothing starts before it, but for what has begun.
    pub from: Minutes,
    /// How many works each crew can do at a time; usually there is one crew, with one pair of
    /// hands.
    pub crews: Vec<usize>,
    /// When the site is open.
    pub hours: Hours,
    /// The pieces.
    pub pieces: Vec<DayPiece>,
}

/// A work with its time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayStep {
    /// The piece: its place in [`Day::pieces`].
    pub piece: usize,
    /// The work: its place in [`DayPiece::works`].
    pub work: usize,
    /// When hands come on it.
    pub start: Minutes,
    /// When they are free again.
    pub end: Minutes,
}

/// A plan of the day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayPlan {
    /// All works, by their starts.
    pub steps: Vec<DayStep>,
    /// When the last one ends.
    pub leave: Minutes,
    /// No plan ends earlier than this, to the second.
    pub bound: Minutes,
    /// Whether it is proven that no plan ends earlier, to the second.
    pub proven: bool,
}

impl DayPlan {
    /// How far from the best the plan may be at most.
    pub fn from_best(&self) -> Minutes {
        self.leave - self.bound
    }
}
