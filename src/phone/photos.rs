//! The photos as they lie in the phone: the files' own bytes, full size, never sent anywhere.

use super::database::{self, PHOTOS, Trouble};
use super::store;
use crate::job::{Job, PhotoId};
use js_sys::Reflect;
use std::collections::BTreeSet;
use wasm_bindgen::prelude::*;
use web_sys::Blob;

/// How long a photo that no job names is kept at least: its job may be about to be stored.
const GRACE_MS: f64 = 10.0 * 60.0 * 1000.0;

/// Keeps the bytes of a photo.
pub async fn keep(id: &PhotoId, bytes: &Blob) -> Result<(), Trouble> {
    let entry = js_sys::Object::new();
    Reflect::set(&entry, &"bytes".into(), bytes)?;
    Reflect::set(&entry, &"kept_at".into(), &js_sys::Date::now().into())?;
    let work = database::write(PHOTOS).await?;
    work.put(id.as_str(), &entry).await?;
    work.finish().await
}

/// The bytes of a photo; `None` where it is not on this phone.
pub async fn bytes(id: &PhotoId) -> Result<Option<Blob>, Trouble> {
    let work = database::read(PHOTOS).await?;
    let entry = work.get(id.as_str()).await?;
    if entry.is_undefined() {
        return Ok(None);
    }
    Ok(Reflect::get(&entry, &"bytes".into())?.dyn_into().ok())
}

/// Whether a photo is on this phone.
pub async fn has(id: &PhotoId) -> bool {
    bytes(id).await.is_ok_and(|bytes| bytes.is_some())
}

/// Takes away the photos that neither a job nor the journal names any more.
pub async fn clear_unused(jobs: &[Job]) -> Result<(), Trouble> {
    let photos = jobs.iter().flat_map(Job::photos);
    let used: BTreeSet<&str> = photos.map(|photo| photo.id.as_str()).collect();
    let stored = database::read(PHOTOS).await?.keys("").await?;
    for id in stored.iter().filter(|id| !used.contains(id.as_str())) {
        let entry = database::read(PHOTOS).await?.get(id).await?;
        let kept_at = Reflect::get(&entry, &"kept_at".into())?.as_f64();
        let fresh = kept_at.is_none_or(|at| js_sys::Date::now() - at < GRACE_MS);
        if fresh || store::journal_names(id).await? {
            continue;
        }
        let work = database::write(PHOTOS).await?;
        work.delete(id).await?;
        work.finish().await?;
    }
    Ok(())
}
