//! A file of unknown origin back into jobs and photos. Nothing is written anywhere here.

use super::crc::crc32;
use super::inflate::inflate;
use super::pack::MOST_BYTES;
use super::{Bundle, FORMAT, ImportError, PHOTOS, Photo, RECORD};
use crate::job::read::map_places;
use crate::job::{Job, PhotoId, SCHEMA};
use crate::quantity::iso;
use crate::say;
use crate::survey::picture;
use crate::words::tr;
use rawzip::{CompressionMethod, ZipArchive, ZipSliceArchive};
use serde_json::Value;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// The largest record: far more than any number of jobs that a phone holds.
const MOST_JSON: usize = 64 << 20;
/// The most memory that a record may take while it is read, in bytes: a thousand jobs take half
/// of it.
const MOST_READ: usize = 1 << 29;
/// What the start of an object takes at most once it is read (its first fields lie in one block),
/// and what each further item does.
const OBJECT: usize = 700;
const ITEM: usize = 64;
/// The most places that all height maps have together: a hundred maps of photos. Each takes a letter
/// or two in the record and eight bytes once it is read.
const MOST_PLACES: u64 = 1 << 25;
/// The most parts of a file.
const MOST_PARTS: usize = 20_000;

/// Reads an export, or says in a sentence why it can't be read.
pub fn unpack(bytes: &[u8]) -> Result<Bundle, ImportError> {
    if bytes.is_empty() {
        return Err(ImportError::Empty);
    }
    if bytes.len() > MOST_BYTES {
        return Err(ImportError::TooBig);
    }
    let archive = ZipArchive::from_slice(bytes).map_err(|_| {
        if bytes.starts_with(b"PK\x03\x04") {
            ImportError::Broken
        } else {
            ImportError::NotAnExport
        }
    })?;
    let parts = parts(&archive)?;
    let record = parts.get(RECORD).ok_or(ImportError::Foreign)?;
    let (exported, jobs) = read_record(record)?;
    let photos = photos(&parts)?;
    let (photos, notes) = named_photos(&jobs, photos);
    Ok(Bundle {
        exported,
        jobs,
        photos,
        notes,
    })
}

/// The record and the photos by their names. Parts can't be more than the file, and unpacked not
/// more than a phone can read, so that parts laid over each other are refused too.
fn parts<'a>(
    archive: &'a ZipSliceArchive<&'a [u8]>,
) -> Result<BTreeMap<String, Cow<'a, [u8]>>, ImportError> {
    let folder = folder(archive)?;
    let mut parts = BTreeMap::new();
    let mut room = archive.get_ref().len();
    let mut room_unpacked = MOST_BYTES;
    let mut count = 0;
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().map_err(|_| ImportError::Broken)? {
        count += 1;
        let path = entry.file_path();
        let name = String::from_utf8_lossy(path.as_bytes()).into_owned();
        let climbs = name.split(['/', '\\']).any(|part| part == "..");
        if climbs || name.starts_with(['/', '\\']) || count > MOST_PARTS {
            return Err(ImportError::Names(name));
        }
        let part = archive
            .get_entry(entry.wayfinder())
            .map_err(|_| ImportError::Broken)?;
        // The name stands before the part and in the directory. It has no checksum of its own.
        if part.local_header().file_path().as_bytes() != path.as_bytes() {
            return Err(ImportError::Broken);
        }
        let Some(inside) = name.strip_prefix(&folder) else {
            continue;
        };
        if entry.is_dir() || !(inside == RECORD || inside.starts_with(PHOTOS)) {
            continue;
        }
        let data = part.data();
        room = room.checked_sub(data.len()).ok_or(ImportError::Broken)?;
        let size = usize::try_from(entry.uncompressed_size_hint()).unwrap_or(usize::MAX);
        room_unpacked = room_unpacked.checked_sub(size).ok_or(ImportError::TooBig)?;
        let data = match entry.compression_method() {
            CompressionMethod::STORE => Some(Cow::Borrowed(data)),
            CompressionMethod::DEFLATE => inflate(data, size).map(Cow::Owned),
            _ => return Err(ImportError::Repacked),
        };
        let sound = |data: &Cow<[u8]>| data.len() == size && crc32(data) == entry.crc32();
        let Some(data) = data.filter(sound) else {
            return Err(ImportError::Damaged(inside.into()));
        };
        if parts.insert(inside.to_owned(), data).is_some() {
            return Err(ImportError::Names(name));
        }
    }
    if count as u64 != archive.entries_hint() {
        return Err(ImportError::Broken);
    }
    Ok(parts)
}

/// The folder in which the record lies: none as it was exported; who unpacks an export and packs
/// the folder again has everything one folder down.
fn folder(archive: &ZipSliceArchive<&[u8]>) -> Result<String, ImportError> {
    let mut folder = None;
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().map_err(|_| ImportError::Broken)? {
        let path = entry.file_path();
        let name = String::from_utf8_lossy(path.as_bytes());
        match name.strip_suffix(RECORD) {
            Some("") => return Ok(String::new()),
            Some(above) if above.find('/') == Some(above.len() - 1) && folder.is_none() => {
                folder = Some(above.to_owned());
            }
            _ => {}
        }
    }
    Ok(folder.unwrap_or_default())
}

/// Whether a record's text takes no more memory than a phone has while it is read.
pub(super) fn fits(json: &[u8]) -> bool {
    let takes = |byte: &u8| match byte {
        b'{' => OBJECT,
        b',' | b'[' => ITEM,
        _ => 1,
    };
    json.len() <= MOST_JSON && json.iter().map(takes).sum::<usize>() <= MOST_READ
}

/// The same of the height maps in it, which unfold as they are read.
pub(super) fn maps_fit(jobs: &[Value]) -> bool {
    jobs.iter().map(map_places).fold(0, u64::saturating_add) <= MOST_PLACES
}

fn read_record(json: &[u8]) -> Result<(chrono::DateTime<chrono::Utc>, Vec<Job>), ImportError> {
    if !fits(json) {
        return Err(ImportError::TooBig);
    }
    let wrong = |why: &dyn fmt::Display| {
        ImportError::Record(say!("It isn't one that Peelcast wrote ({why}).", why))
    };
    let text = std::str::from_utf8(json).map_err(|why| wrong(&why))?;
    let mut record: Value = serde_json::from_str(text).map_err(|why| wrong(&why))?;
    if record.get("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(ImportError::Foreign);
    }
    let schema = record.get("schema").and_then(Value::as_u64);
    if schema.is_some_and(|schema| schema > u64::from(SCHEMA)) {
        return Err(ImportError::Newer);
    }
    let exported = record.get("exported").and_then(Value::as_str);
    let exported = exported
        .and_then(iso::read_moment)
        .ok_or_else(|| wrong(&tr("it does not say when it was made")))?;
    let Some(Value::Array(jobs)) = record.get_mut("jobs").map(Value::take) else {
        return Err(wrong(&tr("its jobs are missing")));
    };
    if !maps_fit(&jobs) {
        return Err(ImportError::TooBig);
    }
    let jobs = jobs.into_iter().map(Job::from_value);
    let jobs = jobs.collect::<Result<Vec<Job>, _>>()?;
    let mut ids = BTreeSet::new();
    for job in &jobs {
        job.check()?;
        let mut pieces = BTreeSet::new();
        let unlike = job
            .pieces
            .iter()
            .all(|piece| !piece.id.as_str().is_empty() && pieces.insert(&piece.id));
        if job.id.as_str().is_empty() || !ids.insert(&job.id) || !unlike {
            return Err(ImportError::Record(
                tr("Two of its jobs or pieces have the same id, or one has none.").into(),
            ));
        }
    }
    Ok((exported, jobs))
}

fn photos<'a>(
    parts: &'a BTreeMap<String, Cow<'a, [u8]>>,
) -> Result<BTreeMap<PhotoId, &'a [u8]>, ImportError> {
    let mut photos = BTreeMap::new();
    for (name, data) in parts {
        let Some(file) = name.strip_prefix(PHOTOS) else {
            continue;
        };
        let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
        let id = PhotoId::new(stem);
        if id.as_str() != stem || stem.is_empty() || photos.insert(id, &**data).is_some() {
            return Err(ImportError::Names(name.clone()));
        }
    }
    Ok(photos)
}

/// The photos that jobs name, and what is to be said about those that are not there.
fn named_photos(jobs: &[Job], mut photos: BTreeMap<PhotoId, &[u8]>) -> (Vec<Photo>, Vec<String>) {
    let mut found = Vec::new();
    let mut notes = Vec::new();
    let mut seen = BTreeSet::new();
    let pieces = jobs
        .iter()
        .flat_map(|job| job.pieces.iter().map(move |piece| (job, piece)));
    for (job, piece) in pieces {
        for photo in piece.photos() {
            if !seen.insert(photo.id.clone()) {
                continue;
            }
            let bytes = photos.remove(&photo.id);
            match bytes.map(|bytes| (bytes, picture::probe(bytes))) {
                Some((bytes, Ok(_))) => found.push(Photo {
                    id: photo.id.clone(),
                    bytes: bytes.to_vec(),
                }),
                Some((_, Err(_))) => notes.push(say!(
                    "{job}, {piece}: its photo in the file is no picture and is left out.",
                    job = job.title(),
                    piece = piece.title()
                )),
                None => notes.push(say!(
                    "{job}, {piece}: its photo is not in the file.",
                    job = job.title(),
                    piece = piece.title()
                )),
            }
        }
    }
    (found, notes)
}
