//! Files given out and chosen: the way of an export to another phone, and back.

use super::photo::PhotoUrl;
use super::window::{document, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, Event, File, FilePropertyBag, HtmlInputElement, ShareData};

/// Bytes to give out as a file.
#[derive(Clone, Debug)]
pub struct Outgoing {
    /// The file's name.
    pub name: String,
    /// Its kind, such as `application/zip`.
    pub kind: &'static str,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// How giving a file away ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shared {
    /// Another app took it.
    Taken,
    /// The user closed the list of apps.
    Cancelled,
    /// Too much time has passed since the tap.
    TooLate,
    /// This phone cannot share this file; download it instead.
    CannotShare,
}

/// Puts a file among the phone's downloads.
pub fn download(file: &Outgoing) -> Result<(), JsValue> {
    let bag = BlobPropertyBag::new();
    bag.set_type(file.kind);
    let blob = Blob::new_with_u8_array_sequence_and_options(&parts(&file.bytes), &bag)?;
    let url = PhotoUrl::of_blob(&blob).map_err(|why| JsValue::from(why.to_string()))?;
    let link: web_sys::HtmlAnchorElement = document().create_element("a")?.unchecked_into();
    link.set_href(url.as_str());
    link.set_download(&file.name);
    link.click();
    // The browser reads the address after the tap is over; a minute later it has.
    let later = Closure::once_into_js(move || drop(url));
    window()
        .set_timeout_with_callback_and_timeout_and_arguments_0(later.unchecked_ref(), 60_000)?;
    Ok(())
}

/// Whether this phone can hand files to another app.
pub fn can_share() -> bool {
    has_method("share") && has_method("canShare")
}

fn has_method(name: &str) -> bool {
    let navigator = JsValue::from(window().navigator());
    js_sys::Reflect::get(&navigator, &name.into()).is_ok_and(|method| method.is_function())
}

/// Hands a file to another app of the user's choice. Must follow a tap at once.
pub async fn share(file: &Outgoing) -> Shared {
    if !can_share() {
        return Shared::CannotShare;
    }
    let Ok(data) = share_data(file) else {
        return Shared::CannotShare;
    };
    let navigator = window().navigator();
    if !navigator.can_share_with_data(&data) {
        return Shared::CannotShare;
    }
    match JsFuture::from(navigator.share_with_data(&data)).await {
        Ok(_) => Shared::Taken,
        Err(error) => match error.dyn_ref::<web_sys::DomException>() {
            Some(error) if error.name() == "AbortError" => Shared::Cancelled,
            Some(error) if error.name() == "NotAllowedError" => Shared::TooLate,
            _ => Shared::CannotShare,
        },
    }
}

fn share_data(file: &Outgoing) -> Result<ShareData, JsValue> {
    let bag = FilePropertyBag::new();
    bag.set_type(file.kind);
    let file = File::new_with_u8_array_sequence_and_options(&parts(&file.bytes), &file.name, &bag)?;
    let data = ShareData::new();
    data.set_files(&js_sys::Array::of1(&file));
    Ok(data)
}

fn parts(bytes: &[u8]) -> JsValue {
    js_sys::Array::of1(&js_sys::Uint8Array::from(bytes)).into()
}

/// Bytes as the browser stores them.
pub fn blob(bytes: &[u8]) -> Result<Blob, JsValue> {
    Blob::new_with_u8_array_sequence(&parts(bytes))
}

/// One of the app's own files, which the service worker has on the phone.
pub async fn own(path: &str) -> Result<Blob, JsValue> {
    let response: web_sys::Response = JsFuture::from(window().fetch_with_str(path))
        .await?
        .unchecked_into();
    if !response.ok() {
        return Err(response.status_text().into());
    }
    Ok(JsFuture::from(response.blob()?).await?.unchecked_into())
}

/// The file that the user chose in a file input. The input is emptied, so that the same file can
/// be chosen again.
pub fn chosen(event: &Event) -> Option<File> {
    let input: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = input.files().and_then(|files| files.get(0));
    input.set_value("");
    file
}

/// All bytes of a file.
pub async fn bytes(blob: &Blob) -> Result<Vec<u8>, JsValue> {
    let buffer = JsFuture::from(blob.array_buffer()).await?;
    Ok(js_sys::Uint8Array::new(&buffer).to_vec())
}
