//! German on every screen: nothing is left in English, nothing is wider than the screen, numbers
//! and days are written the German way, and the way back to English is short.

use peelcast_browser::{Phone, journey};
use serde_json::Value;
use std::collections::BTreeSet;

/// What is the same in both languages, beside names that people gave and units.
const SAME: &[&str] = &[];

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
        let texts = phone.js(TEXTS, vec![]).await;
        let texts = texts.as_array().expect("texts").iter();
        let texts = texts.filter_map(Value::as_str).map(str::to_owned);
        screens.push((name, texts.collect()));
    }
    screens
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
    let given = Value::from(journey::stored_jobs(&phone).await).to_string();
    let mut left = Vec::new();
    for ((screen, before), (_, after)) in english.iter().zip(&german) {
        for text in before.intersection(after) {
            let words = text.split(|c: char| !c.is_alphabetic());
            let wordy = words.filter(|word| word.chars().count() > 2).count() > 0;
            let known = SAME.contains(&text.as_str()) || given.contains(text.as_str());
            if wordy && !known {
                left.push(format!("{screen}: {text}"));
            }
        }
    }
    assert!(left.is_empty(), "left in English:\n{}", left.join("\n"));

    journey::go(&phone, &format!("{piece}/plan")).await;
    journey::says(&phone, "main", &["kg"]).await;
    journey::speak(&phone, "en").await;
    journey::says(&phone, "main", &["Units"]).await;
}
