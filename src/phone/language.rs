//! The app's language on this phone.

use super::{file, window};
use crate::words::{self, Catalogue, Language};
use js_sys::Reflect;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, spawn_local};

/// The language that fits the phone's own.
pub fn of_phone() -> Language {
    Language::of_phone(&window::language())
}

/// Days and times as the phone has them, if it speaks the app's language; else as that language
/// has them.
pub fn locale() -> String {
    let language = words::language();
    match language == of_phone() {
        true => window::language(),
        false => language.tag().to_owned(),
    }
}

/// Sets the language, with its texts from the kept release, then goes on: with false if they can't
/// be had, and the app speaks English. Nothing of the app need run yet.
pub fn set(language: Language, then: impl FnOnce(bool) + 'static) {
    if language == Language::English {
        return then(true);
    }
    spawn_local(async move {
        let texts = texts(language).await;
        let there = texts.is_some();
        if there {
            words::set(language, texts);
            window::set_language(language.tag());
        }
        then(there);
    });
}

async fn texts(language: Language) -> Option<Catalogue> {
    let file = file::own(&format!("words/{}.json", language.tag())).await;
    let text = JsFuture::from(file.ok()?.text()).await.ok()?;
    Catalogue::read(&text.as_string()?)
}

/// Puts language and texts into a message for the picture worker; nothing in English.
pub fn tell(message: &JsValue) -> bool {
    let Some(texts) = words::written() else {
        return false;
    };
    let tag = words::language().tag();
    Reflect::set(message, &"language".into(), &tag.into()).is_ok()
        && Reflect::set(message, &"texts".into(), &texts.into()).is_ok()
}
