//! Jobs and photos into one ZIP file.
//!
//! Everything is stored as it is: photos don't get smaller by packing, and what is stored plainly
//! can be saved from a damaged file. Each part is written with its size before it, which every
//! program can read; the library that reads exports writes sizes behind the parts only, and some
//! programs refuse that.

use super::crc::crc32;
use super::traces::{Traces, nameless, without_traces};
use super::unpack::{fits, maps_fit};
use super::{FILE_END, FORMAT, PHOTOS, Photo, RECORD, Record};
use crate::job::{Job, SCHEMA};
use crate::say;
use crate::survey::picture::{self, PictureFormat};
use crate::words::tr;
use chrono::{DateTime, Datelike, NaiveDate, Timelike, Utc};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// Why jobs can't be packed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PackError {
    /// A job can't be written as a record; the text says why.
    Record(String),
    /// More than a ZIP file of the plain kind holds.
    TooBig,
}

impl fmt::Display for PackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Record(why) => f.write_str(&say!(
                "The jobs can't be written: {why}. They are safe.",
                why
            )),
            Self::TooBig => f.write_str(tr(
                "These jobs and photos are too much for one file. Export fewer jobs at once. All \
                 jobs are safe.",
            )),
        }
    }
}

impl std::error::Error for PackError {}

/// The largest export that can be imported again.
pub const MOST_BYTES: usize = 500 << 20;

/// An export.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    /// The file.
    pub bytes: Vec<u8>,
    /// Which photos are not in it, and why: sentences for the user.
    pub notes: Vec<String>,
}

/// Packs jobs and the photos that they name, without or with what photos tell of place, time and
/// device. The same jobs give the same bytes.
///
/// A photo from which traces can't be taken is left out and told of. With the traces the names of
/// the cameras are taken out of the record.
pub fn pack(
    jobs: &[Job],
    photos: &[Photo],
    traces: Traces,
    exported: DateTime<Utc>,
) -> Result<Packed, PackError> {
    let leaving: fn(&Job) -> Job = match traces {
        Traces::Removed => nameless,
        Traces::Kept => Job::without_removed,
    };
    let leaving: Vec<Job> = jobs.iter().map(leaving).collect();
    let record = Record {
        format: FORMAT.to_owned(),
        schema: SCHEMA,
        app: env!("CARGO_PKG_VERSION").to_owned(),
        exported,
        jobs: &leaving,
    };
    let wrong = |why: serde_json::Error| PackError::Record(why.to_string());
    let record = serde_json::to_value(&record).map_err(wrong)?;
    let json = serde_json::to_vec_pretty(&record).map_err(wrong)?;
    // What could not be imported again is no backup.
    let jobs_in_it = record["jobs"].as_array().map_or(&[][..], Vec::as_slice);
    if !fits(&json) || !maps_fit(jobs_in_it) {
        return Err(PackError::TooBig);
    }
    // Which piece first names a photo, for the notes.
    let mut named = BTreeMap::new();
    for job in jobs {
        for piece in &job.pieces {
            for photo in piece.photos() {
                named.entry(&photo.id).or_insert((job, piece));
            }
        }
    }
    let mut taken = BTreeSet::new();
    let photos: Vec<&Photo> = photos
        .iter()
        .filter(|photo| named.contains_key(&photo.id) && taken.insert(&photo.id))
        .collect();
    let bytes: usize = photos.iter().map(|photo| photo.bytes.len()).sum();
    if bytes + json.len() > MOST_BYTES / 100 * 99 {
        return Err(PackError::TooBig);
    }
    let mut zip = Zip::new(exported, bytes + json.len());
    let mut notes = Vec::new();
    zip.add(RECORD, &json)?;
    for photo in photos {
        let clean = match traces {
            Traces::Removed => without_traces(&photo.bytes).map(Cow::Owned),
            Traces::Kept => Ok(Cow::Borrowed(&photo.bytes)),
        };
        match clean {
            Ok(bytes) => {
                let name = format!("{PHOTOS}{}.{}", photo.id, extension(&bytes));
                zip.add(&name, &bytes)?;
            }
            Err(why) => {
                let (job, piece) = named[&photo.id];
                notes.push(say!("{job}, {piece}: a photo is left out, since {why}. To have it in the file, export again \
                     and let photos keep place and camera.", job = job.title(), piece = piece.title(), why = why.why()));
            }
        }
    }
    let bytes = zip.finish()?;
    Ok(Packed { bytes, notes })
}

/// The end of a photo's file name, by what is in it.
fn extension(bytes: &[u8]) -> &'static str {
    match picture::probe(bytes).map(|info| info.format) {
        Ok(PictureFormat::Jpeg) => "jpg",
        Ok(PictureFormat::Png) => "png",
        Ok(PictureFormat::WebP) => "webp",
        Ok(PictureFormat::Gif) => "gif",
        Ok(PictureFormat::Bmp) => "bmp",
        Ok(PictureFormat::Heic) => "heic",
        Ok(PictureFormat::Avif) => "avif",
        Err(_) => "photo",
    }
}

/// A file name for an export: what it holds, and the day.
///
/// ```
/// use peelcast::job::{Job, bundle};
/// let job = Job { name: "Mill House: frieze".into(), ..Job::default() };
/// let day = chrono::NaiveDate::from_ymd_opt(2026, 5, 3).unwrap();
/// assert_eq!(bundle::file_name(&[job], day), "mill-house-frieze-2026-05-03.peelcast.zip");
/// ```
pub fn file_name(jobs: &[Job], day: NaiveDate) -> String {
    let title = match jobs {
        [job] => slug(&job.name),
        _ => format!("{}-jobs", jobs.len()),
    };
    let title = if title.is_empty() { "job" } else { &title };
    format!("{title}-{day}{FILE_END}")
}

/// Letters and digits that every file system takes, in words joined by hyphens.
fn slug(text: &str) -> String {
    let words = text.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).take(6).collect();
    words.join("-").to_ascii_lowercase()
}

/// A ZIP file in the making (PKWARE's APPNOTE 6.3: sections 4.3.7, 4.3.12 and 4.3.16).
struct Zip {
    bytes: Vec<u8>,
    directory: Vec<u8>,
    count: u16,
    time: u16,
    day: u16,
}

/// Version 2.0 of the format: folders in names.
const VERSION: u16 = 20;
/// Names are UTF-8.
const UTF8: u16 = 1 << 11;
/// Stored as it is.
const STORED: u16 = 0;

impl Zip {
    fn new(at: DateTime<Utc>, room: usize) -> Self {
        // MS-DOS time: two-second steps from 1980 on.
        let year = at.year().clamp(1980, 2107) - 1980;
        Self {
            bytes: Vec::with_capacity(room + (16 << 10)),
            directory: Vec::new(),
            count: 0,
            time: ((at.hour() << 11) | (at.minute() << 5) | (at.second() / 2)) as u16,
            day: (year as u32 * 512 + at.month() * 32 + at.day()) as u16,
        }
    }

    fn add(&mut self, name: &str, data: &[u8]) -> Result<(), PackError> {
        let start = u32::try_from(self.bytes.len()).map_err(|_| PackError::TooBig)?;
        let size = u32::try_from(data.len()).map_err(|_| PackError::TooBig)?;
        let length = u16::try_from(name.len()).map_err(|_| PackError::TooBig)?;
        self.count = self.count.checked_add(1).ok_or(PackError::TooBig)?;
        let mut common = Vec::with_capacity(26);
        for number in [VERSION, UTF8, STORED, self.time, self.day] {
            common.extend(number.to_le_bytes());
        }
        for number in [crc32(data), size, size] {
            common.extend(number.to_le_bytes());
        }
        common.extend(length.to_le_bytes());
        common.extend([0; 2]); // no extra field

        self.bytes.extend(b"PK\x03\x04");
        self.bytes.extend(&common);
        self.bytes.extend(name.as_bytes());
        self.bytes.extend(data);

        self.directory.extend(b"PK\x01\x02");
        self.directory.extend(VERSION.to_le_bytes());
        self.directory.extend(&common);
        self.directory.extend([0; 10]); // comment, disk, attributes: none
        self.directory.extend(start.to_le_bytes());
        self.directory.extend(name.as_bytes());
        Ok(())
    }

    fn finish(mut self) -> Result<Vec<u8>, PackError> {
        let start = u32::try_from(self.bytes.len()).map_err(|_| PackError::TooBig)?;
        let size = u32::try_from(self.directory.len()).map_err(|_| PackError::TooBig)?;
        self.bytes.append(&mut self.directory);
        self.bytes.extend(b"PK\x05\x06");
        self.bytes.extend([0; 4]); // one disk
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(size.to_le_bytes());
        self.bytes.extend(start.to_le_bytes());
        self.bytes.extend([0; 2]); // no comment
        Ok(self.bytes)
    }
}
