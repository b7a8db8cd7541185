//! What a job and its pieces hold.

use super::{JobId, PhotoId, PieceId};
use crate::quantity::Celsius;
use crate::survey::Reference;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

/// One place with ornament to copy, and everything known about the work there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Job {
    /// The version of this record's shape.
    pub schema: u32,
    /// The job's name inside the program.
    pub id: JobId,
    /// Counts the changes; the higher of two copies is the newer.
    pub rev: u64,
    /// The name that people gave.
    pub name: String,
    /// Where the ornament is.
    pub place: String,
    /// The day of the work.
    pub date: Option<NaiveDate>,
    /// Whom to call.
    pub contact: String,
    /// Leave to take a mould.
    pub permission: Permission,
    /// Anything else.
    pub note: String,
    /// True for the sample: its place and figures are made up.
    pub made_up: bool,
    /// The ornaments of this job.
    pub pieces: Vec<Piece>,
    /// When the job was made.
    pub created: DateTime<Utc>,
    /// When it was last changed.
    pub changed: DateTime<Utc>,
}

/// Leave to take a mould: who gave it and when.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Permission {
    /// Whether it was given.
    pub granted: bool,
    /// Who gave it.
    pub by: String,
    /// When.
    pub on: Option<NaiveDate>,
    /// Conditions.
    pub note: String,
}

/// How the surface of an ornament is finished.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finish {
    /// Not looked at yet.
    #[default]
    Unknown,
    /// No coating.
    Bare,
    /// Painted.
    Painted,
    /// Gilded.
    Gilded,
    /// Glazed.
    Glazed,
    /// Waxed or oiled.
    Waxed,
}

/// A photo in the phone's store.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct PhotoRef {
    /// Its name in the store.
    pub id: PhotoId,
    /// The file's own name.
    pub name: String,
    /// Width of the upright picture in pixels.
    pub width: u32,
    /// Height of the upright picture in pixels.
    pub height: u32,
    /// Size of the file.
    pub bytes: u64,
}

/// One ornament.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Piece {
    /// The piece's name inside the program.
    pub id: PieceId,
    /// The name that people gave.
    pub name: String,
    /// What it is made of.
    pub material: String,
    /// How its surface is finished.
    pub finish: Finish,
    /// Temperature on site.
    pub temperature: Celsius,
    /// Its photo.
    pub photo: Option<PhotoRef>,
    /// The thing of known size on the photo, as it was marked.
    pub reference: Option<Reference>,
    /// The outline traced on the photo, in pixels of the upright picture.
    pub outline: Vec<[f64; 2]>,
    /// Holes in the outline, the same way.
    pub holes: Vec<Vec<[f64; 2]>>,
    /// Keys of what is ticked on the packing list.
    pub ticked: Vec<String>,
}

impl Default for Piece {
    fn default() -> Self {
        Self {
            id: PieceId::default(),
            name: String::new(),
            material: String::new(),
            finish: Finish::default(),
            temperature: Celsius(20.0),
            photo: None,
            reference: None,
            outline: Vec::new(),
            holes: Vec::new(),
            ticked: Vec::new(),
        }
    }
}
