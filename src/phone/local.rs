//! Local storage: the newest version of each job and the one before, and the settings.
//!
//! It is small (about 5 MB), some windows refuse it, and what was written in the last seconds
//! before a sudden end can be lost: the journal in the database stands behind it.

use crate::job::storage::Version;
use crate::job::{Begun, JobId};
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

/// All stored texts of all jobs.
pub fn copies() -> BTreeMap<JobId, Vec<String>> {
    let mut copies: BTreeMap<JobId, Vec<String>> = BTreeMap::new();
    if !there() {
        return copies;
    }
    let storage = LocalStorage::raw();
    let keys = (0..LocalStorage::length()).filter_map(|i| storage.key(i).ok().flatten());
    for key in keys {
        let id = key
            .strip_prefix(NEWEST)
            .or_else(|| key.strip_prefix(BEFORE));
        if let Some(id) = id {
            // A text that is not even JSON counts as a damaged copy.
            let text = get(&key).unwrap_or_default();
            copies.entry(JobId::new(id)).or_default().push(text);
        }
    }
    copies
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
