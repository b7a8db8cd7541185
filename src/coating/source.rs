//! Where a number comes from.

use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The mark of a number: how far it can be trusted.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    content = "name",
    rename_all = "snake_case",
    from = "Written"
)]
pub enum Source {
    /// Published; the text names where.
    Published(String),
    /// Worked out here from a closed form; the text names it.
    Computed(String),
    /// Common practice of the trade, with no source behind it.
    CommonPractice,
    /// Typed by the user from the material's own sheet.
    YourSheet,
    /// The user's own reading or choice.
    YourChoice,
    /// Learned from the user's own jobs; the text says from what.
    Learned(String),
    /// General knowledge that was not looked up.
    FromMemory,
    /// Made up for the demo.
    #[default]
    MadeUp,
}

/// A mark as it is written, its fields side by side: less code than reading a tagged enum takes.
#[derive(Deserialize)]
struct Written {
    kind: Kind,
    #[serde(default)]
    name: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    Published,
    Computed,
    CommonPractice,
    YourSheet,
    YourChoice,
    Learned,
    FromMemory,
    MadeUp,
}

impl From<Written> for Source {
    fn from(written: Written) -> Self {
        match written.kind {
            Kind::Published => Self::Published(written.name),
            Kind::Computed => Self::Computed(written.name),
            Kind::CommonPractice => Self::CommonPractice,
            Kind::YourSheet => Self::YourSheet,
            Kind::YourChoice => Self::YourChoice,
            Kind::Learned => Self::Learned(written.name),
            Kind::FromMemory => Self::FromMemory,
            Kind::MadeUp => Self::MadeUp,
        }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Published(name) => f.write_str(&say!("published: {name}", name)),
            Self::Computed(form) => f.write_str(&say!("computed: {form}", form)),
            Self::CommonPractice => f.write_str(tr("common practice, no source")),
            Self::YourSheet => f.write_str(tr("from your sheet")),
            Self::YourChoice => f.write_str(tr("your own reading or choice")),
            Self::Learned(what) => f.write_str(&say!("learned from your own work: {what}", what)),
            Self::FromMemory => f.write_str(tr("from memory, not looked up")),
            Self::MadeUp => f.write_str(tr("made up for the demo")),
        }
    }
}

/// A value and where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Marked<T> {
    /// The value.
    pub value: T,
    /// Its mark.
    pub source: Source,
}

impl<T> Marked<T> {
    /// Common practice, no source.
    pub const fn practice(value: T) -> Self {
        Self {
            value,
            source: Source::CommonPractice,
        }
    }

    /// Made up for the demo.
    pub const fn made_up(value: T) -> Self {
        Self {
            value,
            source: Source::MadeUp,
        }
    }

    /// From memory, not looked up.
    pub const fn memory(value: T) -> Self {
        Self {
            value,
            source: Source::FromMemory,
        }
    }
}
