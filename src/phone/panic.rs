//! The page that stands when the program has failed: what is safe, and the way on.

use super::local;
use super::window::document;
use wasm_bindgen::prelude::*;
use web_sys::{Blob, BlobPropertyBag, Element, Url};

/// Puts up that page at the first failure. It must work without the program: plain links only.
pub fn catch() {
    std::panic::set_hook(Box::new(|info| {
        web_sys::console::error_1(&info.to_string().into());
        // A failure while failing would hide the first one; the console has it.
        let _ = show(&info.to_string());
    }));
}

fn show(what: &str) -> Result<(), JsValue> {
    let document = document();
    let Some(body) = document.body() else {
        return Ok(());
    };
    body.set_text_content(None);
    let main = add(&body, "main", "")?;
    add(&main, "h1", "Peelcast has stopped")?;
    add(
        &main,
        "p",
        "An error in the program, not in your work. Your jobs and photos are saved on this phone, with every step that was shown as done. Running coats go on counting: their times are stored.",
    )?;
    let again = add(&main, "a", "Start again")?;
    again.set_attribute("id", "start-again")?;
    again.set_attribute("class", "button main")?;
    // The bare address loads the page anew; one with a "#" would not.
    again.set_attribute("href", "./")?;
    add(
        &main,
        "p",
        "If it stops again at the same place, save the stored jobs to a file first, then update the browser.",
    )?;
    let save = add(&main, "a", "Save the stored jobs to a file")?;
    save.set_attribute("id", "save-stored")?;
    save.set_attribute("class", "button")?;
    save.set_attribute("download", "peelcast-stored.json")?;
    save.set_attribute("href", &stored()?)?;
    let details = add(&main, "details", "")?;
    add(&details, "summary", "What failed")?;
    add(&details, "p", what)?;
    Ok(())
}

fn add(parent: &Element, kind: &str, text: &str) -> Result<Element, JsValue> {
    let element = document().create_element(kind)?;
    element.set_text_content(Some(text));
    parent.append_child(&element)?;
    Ok(element)
}

/// An address for everything that lies in local storage, as it lies there.
fn stored() -> Result<String, JsValue> {
    let bag = BlobPropertyBag::new();
    bag.set_type("application/json");
    let parts = js_sys::Array::of1(&local::raw().into());
    let blob = Blob::new_with_str_sequence_and_options(&parts, &bag)?;
    Url::create_object_url_with_blob(&blob)
}
