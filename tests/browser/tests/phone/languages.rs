//! German on every screen: nothing is left in English, nothing is wider than the screen, axe-core
//! finds nothing, numbers and days are written the German way, and the way back to English is short.

use peelcast_browser::{Host, Phone, Screen, axe, journey, scratch_folder};
use serde_json::Value;
use std::collections::BTreeSet;

/// Words that are the same in both languages.
const SAME: [&str; 14] = [
    "Peelcast",
    "Deutsch",
    "English",
    "Version",
    "Letter",
    "Name",
    "Material",
    "Paste",
    "Ring",
    "Relief",
    "Thermometer",
    "Isomalt",
    "min",
    "Export",
];

/// All texts that can be read or heard on the page, in their pieces.
const TEXTS: &str = "const texts = new Set(); \
    const all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); \
    while (all.nextNode()) { \
        const said = all.currentNode; \
        if (!said.parentElement.closest('script, style, noscript')) texts.add(said.data.trim()); \
    } \
    for (const e of document.querySelectorAll('[aria-label], [alt], [title], [placeholder]')) \
        for (const name of ['aria-label', 'alt', 'title', 'placeholder']) \
            if (e.getAttribute(name)) texts.add(e.getAttribute(name)); \
    texts.add(document.title); \
    return [...texts]";

/// Each screen's texts, in the order of the walk.
async fn walk(phone: &Phone, kind: &str, piece: &str) -> Vec<(String, BTreeSet<String>)> {
    let mut screens = Vec::new();
    for (name, place, there) in journey::places(piece) {
        journey::go(phone, &place).await;
        phone.wait(there).await;
        tokio::time::sleep(std::time::Duration::from_millis(700)).await;
        let unfold = "document.querySelectorAll('details').forEach((e) => e.open = true)";
        phone.js(unfold, vec![]).await;
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
        phone.shot(&format!("{kind}-{name}")).await;
        let wide = journey::too_wide(phone).await;
        assert!(wide.is_empty(), "{kind} {name} is too wide: {wide:?}");
        let covered = journey::covered_actions(phone).await;
        assert!(covered.is_empty(), "{kind} {name} covers: {covered:?}");
        if kind == "de" {
            let found = axe::findings(phone).await;
            assert!(found.is_empty(), "{name}: {found:?}");
        }
        let texts = phone.js(TEXTS, vec![]).await;
        let texts = texts.as_array().expect("texts").iter();
        let texts = texts.filter_map(Value::as_str).map(str::to_owned);
        screens.push((name, texts.collect()));
    }
    screens
}

/// The words of more than two letters.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let words = text.split(|c: char| !c.is_alphabetic());
    words.filter(|word| word.chars().count() > 2)
}

/// The words of all texts in a record but its keywords, which are one word in small letters.
fn free_words(value: &Value, into: &mut BTreeSet<String>) {
    match value {
        Value::Array(all) => all.iter().for_each(|one| free_words(one, into)),
        Value::Object(all) => all.values().for_each(|one| free_words(one, into)),
        Value::String(text) if text.contains(char::is_uppercase) => {
            into.extend(words(text).map(str::to_owned));
        }
        _ => (),
    }
}

#[tokio::test]
async fn everything_is_said_in_german() {
    let (phone, _host, _folder) = journey::phone_with_sample("languages").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let piece = journey::sample_page(&phone, "").await;
    let piece = piece.trim_end_matches('/').to_owned();
    let english = walk(&phone, "en", &piece).await;
    journey::speak(&phone, "de").await;
    let german = walk(&phone, "de", &piece).await;

    // What people wrote, and the cards in the record, stay as they are.
    let mut given = BTreeSet::new();
    free_words(&Value::from(journey::stored_jobs(&phone).await), &mut given);
    let mut left = Vec::new();
    for ((screen, before), (_, after)) in english.iter().zip(&german) {
        for text in before.intersection(after) {
            let known = |word: &str| SAME.contains(&word) || given.contains(word);
            if words(text).any(|word| !known(word)) {
                left.push(format!("{screen}: {text}"));
            }
        }
    }
    assert!(left.is_empty(), "left in English:\n{}", left.join("\n"));

    journey::go(&phone, &format!("{piece}/plan")).await;
    journey::says(&phone, "main", &["25,4 mm"]).await;
    journey::speak(&phone, "en").await;
    journey::says(&phone, "main", &["Units"]).await;
}

#[tokio::test]
async fn german_has_room_at_double_size() {
    let folder = scratch_folder("languages-large-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::with_text("languages-large", Screen::NARROW, 200).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    let piece = journey::sample_page(&phone, "").await;
    journey::speak(&phone, "de").await;
    walk(&phone, "de", &piece).await;
}
