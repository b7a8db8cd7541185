//! Local storage: the newest version of each job and the one before, and the settings.
//!
//! It is small (about 5 MB), some windows refuse it, and what was written in the last seconds
//! before a sudden end can be lost: the journal in the database stands behind it.

use crate::job::storage::Version;
use crate::job::{Backups, Begun, JobId, Line};
use crate::survey::calibrate::LensCard;
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

const NEWEST: &str = "peelcast.job.";
const BEFORE: &str = "peelcast.job-before.";
const SETTINGS: &str = "peelcast.settings";
const LENSES: &str = "peelcast.lens-cards";
const BEGUN: &str = "peelcast.learned-from";
const LIST: &str = "peelcast.list";
const BACKUPS: &str = "peelcast.backups";
const SHELF: &str = "peelcast.shelf";
const CALLS: &str = "peelcast.calls-made";
const STARTED: &str = "peelcast.started";

/// Whether this window has local storage at all; asked first, because the crate takes it for
/// granted.
fn there() -> bool {
    matches!(super::window::window().local_storage(), Ok(Some(_)))
}

fn get<T: for<'a> Deserialize<'a>>(key: &str) -> Option<T> {
    // By way of a value both ways, as all records: one way of reading, one of writing.
    let value: Value = there().then(|| LocalStorage::get(key).ok()).flatten()?;
    T::deserialize(&value).ok()
}

fn set<T: Serialize>(key: &str, value: T) -> bool {
    there() && serde_json::to_value(value).is_ok_and(|value| LocalStorage::set(key, value).is_ok())
}

/// The stored texts of one job.
#[derive(Default)]
pub struct Copies {
    /// The newest version.
    pub newest: Option<String>,
    /// The one before.
    pub before: Option<String>,
}

/// The stored texts of all jobs.
pub fn copies() -> BTreeMap<JobId, Copies> {
    let mut copies: BTreeMap<JobId, Copies> = BTreeMap::new();
    for key in keys() {
        // A text that is not even JSON counts as a damaged copy.
        let text = || Some(get(&key).unwrap_or_default());
        if let Some(id) = key.strip_prefix(NEWEST) {
            copies.entry(JobId::new(id)).or_default().newest = text();
        } else if let Some(id) = key.strip_prefix(BEFORE) {
            copies.entry(JobId::new(id)).or_default().before = text();
        }
    }
    copies
}

fn keys() -> Vec<String> {
    if !there() {
        return Vec::new();
    }
    let storage = LocalStorage::raw();
    let keys = (0..LocalStorage::length()).filter_map(|i| storage.key(i).ok().flatten());
    keys.collect()
}

/// Keeps a version of a job at the cost of copies of other jobs, which have to lie in the journal
/// too; whether there was room.
pub fn keep_before_others(id: &JobId, version: &Version) -> bool {
    let keys = keys();
    for kind in [BEFORE, NEWEST] {
        let others = keys.iter().filter(|key| {
            let other = key.strip_prefix(kind);
            other.is_some_and(|other| other != id.as_str())
        });
        for key in others {
            LocalStorage::delete(key);
            if keep(id, version) {
                return true;
            }
        }
    }
    false
}

/// The newest version of one job.
pub fn newest(id: &JobId) -> Option<Version> {
    let text: String = get(&format!("{NEWEST}{id}"))?;
    Version::decode(&text).ok()
}

/// Keeps a version of a job and the one before it; whether there was room.
pub fn keep(id: &JobId, version: &Version) -> bool {
    let Ok(text) = version.encode() else {
        return false;
    };
    let (newest, before) = (format!("{NEWEST}{id}"), format!("{BEFORE}{id}"));
    if let Some(last) = get::<String>(&newest)
        && let Ok(there) = Version::decode(&last)
    {
        // Read and written again, the same version may differ in a number's last digit.
        if (there.rev, there.at) == (version.rev, version.at) {
            return true;
        }
        if !set(&before, last) {
            LocalStorage::delete(&before);
        }
    }
    if set(&newest, &text) {
        return true;
    }
    // The newest version matters more than the one before it.
    if there() {
        LocalStorage::delete(&before);
    }
    set(&newest, &text)
}

/// Forgets a job.
pub fn forget(id: &JobId) {
    if there() {
        LocalStorage::delete(format!("{NEWEST}{id}"));
        LocalStorage::delete(format!("{BEFORE}{id}"));
    }
}

/// Reads the settings, if any were kept.
pub fn settings<T: for<'a> Deserialize<'a>>() -> Option<T> {
    get(SETTINGS)
}

/// Keeps the settings; whether that worked.
pub fn keep_settings<T: Serialize>(settings: &T) -> bool {
    set(SETTINGS, settings)
}

/// The lens cards of this phone.
pub fn lens_cards() -> Vec<LensCard> {
    get(LENSES).unwrap_or_default()
}

/// Keeps the lens cards; whether that worked.
pub fn keep_lens_cards(cards: &[LensCard]) -> bool {
    set(LENSES, cards)
}

/// The lines of the list of jobs.
pub fn lines() -> Vec<Line> {
    get(LIST).unwrap_or_default()
}

/// Keeps these; without room for them the list waits for the records.
pub fn keep_lines(lines: &[Line]) {
    set(LIST, lines);
}

/// The exports that were made.
pub fn backups() -> Backups {
    get(BACKUPS).unwrap_or_default()
}

/// Keeps these; whether that worked.
pub fn keep_backups(backups: &Backups) -> bool {
    set(BACKUPS, backups)
}

/// From when on each paste is learned anew.
pub fn begun() -> Begun {
    get(BEGUN).unwrap_or_default()
}

/// Keeps that; whether it worked.
pub fn keep_begun(begun: &Begun) -> bool {
    set(BEGUN, begun)
}

/// What stands on the shelf, if anything was ever kept.
pub fn shelf<T: for<'a> Deserialize<'a>>() -> Option<T> {
    get(SHELF)
}

/// Keeps what stands on the shelf; whether that worked.
pub fn keep_shelf<T: Serialize>(shelf: &T) -> bool {
    set(SHELF, shelf)
}

/// Whether the app has been started here before.
pub fn started() -> bool {
    get(STARTED).unwrap_or(false)
}

/// Remembers that the app has been started here.
pub fn keep_started() {
    set(STARTED, true);
}

/// The ids of the calls that were made, oldest first.
pub fn calls_made() -> Vec<String> {
    get(CALLS).unwrap_or_default()
}

/// Remembers the calls that were made. Without room for it a call may come twice, never not.
pub fn keep_calls_made(ids: &[String]) {
    set(CALLS, ids);
}
