//! What a job and its pieces hold.

use super::visit::Visit;
use super::{JobId, Mould, PhotoRef, PieceId, Removed, Shot};
use crate::casting::{CastEntry, Filling, MediumCard};
use crate::clock::{Calendar, LogNote, Moment};
use crate::coating::{
    CoatChoice, Dab, Finish, Hand, MaterialCard, PatchTest, Posture, Prices, Relief, ShellKind,
    Substrate, default_coats, practice, starter_cards,
};
use crate::quantity::{Celsius, Degrees, Grams, Millimetres, iso};
use crate::relief::ReliefRecord;
use crate::words::tr;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

/// The version of the record's shape that this program writes.
pub const SCHEMA: u32 = 2;

/// One place with ornament to copy, and everything known about the work there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Job {
    /// The version of this record's shape; see [`SCHEMA`].
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
    #[serde(with = "iso::day")]
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
    /// Those that were taken out and can be brought back; none in an export.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub removed: Vec<Removed>,
    /// The time on site as the user wants it.
    pub visit: Visit,
    /// What was given to the phone's own calendar.
    pub calendar: Calendar,
    /// When the job was made.
    #[serde(with = "iso::moment")]
    pub created: DateTime<Utc>,
    /// When it was last changed.
    #[serde(with = "iso::moment")]
    pub changed: DateTime<Utc>,
}

impl Default for Job {
    fn default() -> Self {
        Self {
            schema: SCHEMA,
            id: JobId::default(),
            rev: 0,
            name: String::new(),
            place: String::new(),
            date: None,
            contact: String::new(),
            permission: Permission::default(),
            note: String::new(),
            made_up: false,
            pieces: Vec::new(),
            removed: Vec::new(),
            visit: Visit::default(),
            calendar: Calendar::default(),
            created: DateTime::UNIX_EPOCH,
            changed: DateTime::UNIX_EPOCH,
        }
    }
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
    #[serde(with = "iso::day")]
    pub on: Option<NaiveDate>,
    /// Conditions.
    pub note: String,
}

/// Something of one's own on the packing list.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnItem {
    /// Its name among the ticks.
    pub key: String,
    /// What it is.
    pub what: String,
}

/// A photo for the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LogPicture {
    /// When it was put into the log.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// The photo.
    pub photo: PhotoRef,
}

/// One ornament: what was found, wanted and done. What follows from that is computed when it is
/// asked for and never stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Piece {
    /// The piece's name inside the program.
    pub id: PieceId,
    /// The name that people gave.
    pub name: String,
    /// What it is made of.
    pub material: String,
    /// Which kind of material that is, as far as it matters to a silicone.
    pub substrate: Substrate,
    /// How its surface is finished.
    pub finish: Finish,
    /// Old, listed, valuable, or something rests on it.
    pub heritage: bool,
    /// Somewhere it closes behind its own forms.
    pub undercut: bool,
    /// The patch test, if one was started.
    pub patch_test: Option<PatchTest>,
    /// How it stands.
    pub posture: Posture,
    /// How far an upright wall leans back; forward, if less than nothing. It counts where the
    /// photo tells which way is down.
    pub lean: Degrees,
    /// Temperature on site.
    pub temperature: Celsius,
    /// Its photos with what was marked on each, the first one first.
    pub shots: Vec<Shot>,
    /// How it stands out from the wall; `None` until someone looked.
    pub relief: Option<Relief>,
    /// What was read, drawn, marked and swept of its heights.
    pub relief_record: ReliefRecord,
    /// Width of the border strip.
    pub border: Millimetres,
    /// The paste: a copy of its card, so that an old job keeps its numbers.
    pub card: MaterialCard,
    /// The coats, first to last.
    pub coats: Vec<CoatChoice>,
    /// How the one who brushes works.
    pub hand: Hand,
    /// What the support shell is built of.
    pub shell: ShellKind,
    /// What things cost here.
    pub prices: Prices,
    /// Dabs of the paste that were watched on an upright place.
    pub dabs: Vec<Dab>,
    /// How sure it shall be that the paste suffices, as a share of such pieces.
    pub confidence: f64,
    /// What the scale reads to.
    pub scale_step: Grams,
    /// Keys of what is ticked on the packing list.
    pub ticked: Vec<String>,
    /// The user's own additions to the packing list.
    pub own_items: Vec<OwnItem>,
    /// What happened while coating, in order.
    pub coat_log: Vec<Moment>,
    /// What was noted meanwhile: words, weighings, lots, temperatures.
    pub notes: Vec<LogNote>,
    /// Photos taken while coating, in order.
    pub pictures: Vec<LogPicture>,
    /// What is cast: a copy of its card; `None` until someone chose.
    pub medium: Option<MediumCard>,
    /// How many copies.
    pub copies: u32,
    /// How many moulds are worked side by side.
    pub moulds: u32,
    /// How the mould is filled.
    pub filling: Filling,
    /// Thickness of a flat back behind the whole copy.
    pub backing: Millimetres,
    /// Whether the user has read on the paste's sheet that it is declared for food.
    pub confirmed_for_food: bool,
    /// What was cast in the mould so far, in order.
    pub casts: Vec<CastEntry>,
    /// The finished mould.
    pub mould: Mould,
}

impl Default for Piece {
    fn default() -> Self {
        let card = starter_cards().swap_remove(0);
        Self {
            id: PieceId::default(),
            name: String::new(),
            material: String::new(),
            substrate: Substrate::default(),
            finish: Finish::default(),
            heritage: false,
            undercut: false,
            patch_test: None,
            posture: Posture::default(),
            lean: Degrees(0.0),
            temperature: Celsius(20.0),
            shots: Vec::new(),
            relief: None,
            relief_record: ReliefRecord::default(),
            border: practice::BORDER.value,
            card,
            coats: default_coats(),
            hand: Hand::default(),
            shell: ShellKind::default(),
            prices: Prices::default(),
            dabs: Vec::new(),
            confidence: practice::CONFIDENCE.value,
            scale_step: Grams(1.0),
            ticked: Vec::new(),
            own_items: Vec::new(),
            coat_log: Vec::new(),
            notes: Vec::new(),
            pictures: Vec::new(),
            medium: None,
            copies: 1,
            moulds: 1,
            filling: Filling::Solid,
            backing: Millimetres(0.0),
            confirmed_for_food: false,
            casts: Vec::new(),
            mould: Mould::default(),
        }
    }
}

impl Job {
    /// Its name, or what stands in for it.
    pub fn title(&self) -> &str {
        or(&self.name, tr("Job without a name"))
    }
}

impl Piece {
    /// Its name, or what stands in for it.
    pub fn title(&self) -> &str {
        or(&self.name, tr("Piece without a name"))
    }
}

fn or<'a>(name: &'a str, stand_in: &'a str) -> &'a str {
    let name = name.trim();
    if name.is_empty() { stand_in } else { name }
}
