//! What a browser really asked of the network, read from its own log.

use serde_json::Value;
use std::path::Path;

/// Every address that pages and workers of `origin` asked for, from Chromium's network log.
/// The browser's own errands (started by no page) are left out.
pub fn asked_by_pages(log: &Path, origin: &str) -> Vec<String> {
    let text = std::fs::read_to_string(log).expect("the network log");
    // A log whose browser was killed lacks its closing brackets.
    let whole: Value = serde_json::from_str(&text)
        .or_else(|_| {
            serde_json::from_str(&(text.trim_end().trim_end_matches(',').to_owned() + "]}"))
        })
        .expect("the network log is JSON");
    let events = whole["events"].as_array().expect("a list of events");
    events
        .iter()
        .filter_map(|event| {
            let parameters = &event["params"];
            let address = parameters["url"].as_str()?;
            let initiator = parameters["initiator"].as_str().unwrap_or("");
            initiator.starts_with(origin).then(|| address.to_owned())
        })
        .collect()
}
