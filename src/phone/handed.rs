//! Files that other apps hand over: a photo shared from the gallery, a job file that is opened. They
//! wait in a cache of their own, where the service worker puts what is shared, until they are taken.

use super::window::{self, window};
use crate::words::verbatim;
use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{Blob, Cache, File, FilePropertyBag, Response};

/// The cache's name (public/service-worker.js has the same).
const CACHE: &str = verbatim("handed to peelcast");
/// The address under which the file waits there.
const PLACE: &str = "./handed";
/// The header that keeps its name.
const NAME: &str = "x-name";

/// The file that waits, if there is one.
pub async fn waiting() -> Option<File> {
    let found = JsFuture::from(cache().await?.match_with_str(PLACE)).await;
    let response: Response = found.ok()?.dyn_into().ok()?;
    let name = response.headers().get(NAME).ok().flatten();
    let name =
        name.map(|name| String::from(js_sys::decode_uri_component(&name).unwrap_or_default()));
    let bytes: Blob = JsFuture::from(response.blob().ok()?).await.ok()?.into();
    let kind = FilePropertyBag::new();
    kind.set_type(&bytes.type_());
    let parts = Array::of1(&bytes);
    File::new_with_blob_sequence_and_options(&parts, &name.unwrap_or_default(), &kind).ok()
}

/// Clears away the file that waited.
pub async fn taken() {
    if let Some(cache) = cache().await {
        // What can't be cleared away is replaced by the next one.
        let _ = JsFuture::from(cache.delete_with_str(PLACE)).await;
    }
}

/// Puts files that the phone opens with the app where shared ones wait, then goes to `place`.
pub fn follow_opened(place: String) {
    let queue = Reflect::get(&window(), &"launchQueue".into()).unwrap_or_default();
    let Ok(set) = Reflect::get(&queue, &"setConsumer".into()) else {
        return;
    };
    let Ok(set) = set.dyn_into::<Function>() else {
        return;
    };
    let opened = Closure::<dyn Fn(JsValue)>::new(move |launch: JsValue| {
        let files = Reflect::get(&launch, &"files".into()).unwrap_or_default();
        let first = Array::from(&files).get(0);
        let place = place.clone();
        if first.is_object() {
            spawn_local(async move {
                if keep(&first).await.is_some() {
                    window::go(&place, false);
                }
            });
        }
    });
    let _ = set.call1(&queue, opened.as_ref());
    // It is called as long as the page lives.
    opened.forget();
}

async fn keep(handle: &JsValue) -> Option<()> {
    let get = Reflect::get(handle, &"getFile".into()).ok()?;
    let file: Promise = get.dyn_into::<Function>().ok()?.call0(handle).ok()?.into();
    let file: File = JsFuture::from(file).await.ok()?.dyn_into().ok()?;
    let response = Response::new_with_opt_blob(Some(&file)).ok()?;
    let name = String::from(js_sys::encode_uri_component(&file.name()));
    response.headers().set(NAME, &name).ok()?;
    let kept = cache().await?.put_with_str(PLACE, &response);
    JsFuture::from(kept).await.ok().map(drop)
}

async fn cache() -> Option<Cache> {
    let caches = window().caches().ok()?;
    JsFuture::from(caches.open(CACHE))
        .await
        .ok()?
        .dyn_into()
        .ok()
}
