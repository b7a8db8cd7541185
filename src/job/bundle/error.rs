//! Why a file can't be imported.

use crate::job::read::ReadError;
use crate::say;
use crate::words::tr;
use std::fmt;

/// Why a file can't be imported. Its text says what is wrong, what is safe and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ImportError {
    /// No bytes at all.
    Empty,
    /// More than a phone can read at once.
    TooBig,
    /// Not a ZIP file.
    NotAnExport,
    /// A ZIP file that stops too early or whose parts don't fit together.
    Broken,
    /// A part of the file isn't what was written.
    Damaged(String),
    /// A ZIP file of another program.
    Foreign,
    /// Packed again by another program, in a way that is not read here.
    Repacked,
    /// Names that no export of this program has.
    Names(String),
    /// Written by a newer version of this program.
    Newer,
    /// A record in it can't be read.
    Record(String),
}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str(tr("This file is empty (0 bytes).")),
            Self::TooBig => f.write_str(tr(
                "This file holds more than a phone can read at once. Export fewer jobs into one \
                 file.",
            )),
            Self::NotAnExport => f.write_str(tr(
                "This file is no export of Peelcast. The name of an export ends in .peelcast.zip.",
            )),
            Self::Broken => f.write_str(tr(
                "This file is cut short or damaged. Copy it again from where it came, or export \
                 it once more.",
            )),
            Self::Damaged(part) => f.write_str(&say!(
                "This file is damaged: {part} in it isn't what was written. Copy the file again \
                 from where it came, or export it once more.",
                part
            )),
            Self::Foreign => f.write_str(tr(
                "This ZIP file holds no job.json, so it is no export of Peelcast. The name of an \
                 export ends in .peelcast.zip.",
            )),
            Self::Repacked => f.write_str(tr(
                "This file was packed again by another program, in a way that Peelcast can't read. \
                 Import the file as Peelcast exported it; or pack it without compression (“store”) \
                 and without a password.",
            )),
            Self::Names(name) => f.write_str(&say!(
                "This file holds a part that no export of Peelcast holds ({name}). Don't use it.",
                name
            )),
            Self::Newer => f.write_str(tr(
                "This file was written by a newer version of Peelcast. Open Peelcast while you \
                 are online, take the new version, and import the file again.",
            )),
            Self::Record(why) => {
                f.write_str(&say!("The record in this file can't be read. {why}", why))
            }
        }?;
        f.write_str(tr(" Nothing on this phone was changed."))
    }
}

impl std::error::Error for ImportError {}

impl From<ReadError> for ImportError {
    fn from(why: ReadError) -> Self {
        match why {
            ReadError::Newer(_) => Self::Newer,
            other => Self::Record(other.to_string()),
        }
    }
}
