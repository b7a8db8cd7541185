//! Jobs and their photos in one file, to hand on or to keep: a ZIP file that any program opens,
//! with the record in `job.json` and the photos in `photos/`, by default without what they tell of
//! place, time and device.

mod crc;
mod error;
mod inflate;
mod pack;
mod plan;
mod traces;
mod unpack;

pub use error::ImportError;
pub use pack::{MOST_BYTES, PackError, Packed, file_name, pack};
pub use plan::{ImportEntry, ImportPlan, Verdict};
pub use traces::{Traces, Untraceable, without_traces};
pub use unpack::unpack;

use super::{Job, PhotoId};
use crate::quantity::iso;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// The end of an export's file name.
pub const FILE_END: &str = ".peelcast.zip";

/// The name of the record inside the file.
const RECORD: &str = "job.json";
/// The folder of the photos inside the file.
const PHOTOS: &str = "photos/";
/// The word by which a record of this program is known.
const FORMAT: &str = crate::words::verbatim("peelcast jobs");

/// A photo's own bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// Its name in the store.
    pub id: PhotoId,
    /// The file as it was taken.
    pub bytes: Vec<u8>,
}

/// What an export holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Bundle {
    /// When it was made.
    pub exported: DateTime<Utc>,
    /// The jobs.
    pub jobs: Vec<Job>,
    /// Their photos.
    pub photos: Vec<Photo>,
    /// What is missing in it: sentences for the user.
    pub notes: Vec<String>,
}

/// The record inside the file.
#[derive(Serialize)]
struct Record<'a> {
    format: String,
    schema: u32,
    /// The version of the program that wrote it.
    app: String,
    #[serde(with = "iso::moment")]
    exported: DateTime<Utc>,
    jobs: &'a [Job],
}
