//! The jobs as they lie in the phone.

use crate::job::{Job, JobId};
use gloo_storage::{LocalStorage, Storage};
use serde::Serialize;
use serde::de::DeserializeOwned;

const JOB: &str = "peelcast.job.";
const SETTINGS: &str = "peelcast.settings";

/// Reads the settings, if any were kept.
pub fn settings<T: DeserializeOwned>() -> Option<T> {
    LocalStorage::get(SETTINGS).ok()
}

/// Keeps the settings; whether that worked.
pub fn keep_settings<T: Serialize>(settings: &T) -> bool {
    LocalStorage::set(SETTINGS, settings).is_ok()
}

/// All jobs.
pub async fn jobs() -> Vec<Job> {
    let storage = LocalStorage::raw();
    (0..LocalStorage::length())
        .filter_map(|i| storage.key(i).ok().flatten())
        .filter(|key| key.starts_with(JOB))
        .filter_map(|key| LocalStorage::get(key).ok())
        .collect()
}

/// Keeps a job, or takes it away.
pub async fn keep(id: &JobId, job: Option<&Job>) -> Result<(), String> {
    let key = format!("{JOB}{id}");
    match job {
        Some(job) => LocalStorage::set(key, job).map_err(|e| e.to_string()),
        None => {
            LocalStorage::delete(key);
            Ok(())
        }
    }
}
