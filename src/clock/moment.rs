//! What the user said by tapping, and when.

use crate::quantity::iso;
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// How the last coat feels to a fingertip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Feel {
    /// Comes off on the fingertip.
    Wet,
    /// Sticks a little and leaves nothing on the fingertip.
    Tacky,
    /// Doesn't stick any more.
    Firm,
}

impl Feel {
    /// The word for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Wet => tr("wet"),
            Self::Tacky => tr("tacky"),
            Self::Firm => tr("firm"),
        }
    }
}

/// One tap on the Coat page. Coats and batches count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", try_from = "Written")]
pub enum Tap {
    /// A and B touch: the working time begins.
    StartMix {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Scraped over into the second container.
    SecondContainer {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// One even colour, but too thin to hold: it stands to thicken.
    LetStand {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// One even colour, and thick enough: brushing begins.
    StartBrush {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// The batch is on the piece.
    BatchDone {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
        /// Whether it was the coat's last one, so that a later change of the plan doesn't
        /// rewrite what happened.
        last: bool,
    },
    /// The batch was thrown away before it was on.
    BatchLost {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// A fingertip on the coat.
    Touch {
        /// Which coat.
        coat: u32,
        /// What it found.
        feel: Feel,
    },
    /// The skin is off the piece.
    Demoulded,
}

impl Tap {
    /// What happened, for the log that people read.
    pub fn said(&self) -> String {
        match self {
            Self::StartMix { coat, batch } => {
                say!("Coat {coat}, batch {batch}: A and B together", coat, batch)
            }
            Self::SecondContainer { coat, batch } => {
                say!(
                    "Coat {coat}, batch {batch}: scraped over into the second container",
                    coat,
                    batch
                )
            }
            Self::LetStand { coat, batch } => {
                say!(
                    "Coat {coat}, batch {batch}: mixed, standing to thicken",
                    coat,
                    batch
                )
            }
            Self::StartBrush { coat, batch } => {
                say!("Coat {coat}, batch {batch}: brushing", coat, batch)
            }
            Self::BatchDone {
                coat, last: true, ..
            } => say!("Coat {coat}: all on", coat),
            Self::BatchDone { coat, batch, .. } => {
                say!("Coat {coat}, batch {batch}: on", coat, batch)
            }
            Self::BatchLost { coat, batch } => {
                say!("Coat {coat}, batch {batch}: thrown away", coat, batch)
            }
            Self::Touch { coat, feel } => say!(
                "Coat {coat}: {name} to the fingertip",
                coat,
                name = feel.name()
            ),
            Self::Demoulded => tr("Skin off the piece").into(),
        }
    }
}

/// A tap as it is written, all fields side by side: a quarter of the code that reading a tagged
/// enum takes.
#[derive(Deserialize)]
struct Written {
    kind: Kind,
    #[serde(default)]
    coat: u32,
    #[serde(default)]
    batch: u32,
    #[serde(default)]
    last: bool,
    feel: Option<Feel>,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    StartMix,
    SecondContainer,
    LetStand,
    StartBrush,
    BatchDone,
    BatchLost,
    Touch,
    Demoulded,
}

impl TryFrom<Written> for Tap {
    type Error = &'static str;

    fn try_from(written: Written) -> Result<Self, Self::Error> {
        let Written {
            coat, batch, last, ..
        } = written;
        Ok(match written.kind {
            Kind::StartMix => Self::StartMix { coat, batch },
            Kind::SecondContainer => Self::SecondContainer { coat, batch },
            Kind::LetStand => Self::LetStand { coat, batch },
            Kind::StartBrush => Self::StartBrush { coat, batch },
            Kind::BatchDone => Self::BatchDone { coat, batch, last },
            Kind::BatchLost => Self::BatchLost { coat, batch },
            Kind::Touch => Self::Touch {
                coat,
                feel: written.feel.ok_or(tr("a touch says how the coat felt"))?,
            },
            Kind::Demoulded => Self::Demoulded,
        })
    }
}

/// A tap with its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Moment {
    /// When, by the phone's clock.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// What.
    pub tap: Tap,
}
