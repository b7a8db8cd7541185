//! Clock times as the phone's owner reads them.

use chrono::{DateTime, Utc};
use js_sys::{Date, Object, Reflect};
use wasm_bindgen::JsValue;

/// The time of day, "16:40" or "4:40 PM" as the phone's language has it; with the weekday where
/// it is not the same day as `beside`.
pub fn clock(at: DateTime<Utc>, beside: DateTime<Utc>) -> String {
    let date = local(at);
    let mut wanted = vec![("hour", "numeric"), ("minute", "2-digit")];
    if date.to_date_string() != local(beside).to_date_string() {
        wanted.push(("weekday", "short"));
    }
    shown(&date, &wanted)
}

/// Day and time for the record: "25 Nov, 16:40" as the phone's language has it.
pub fn day_and_clock(at: DateTime<Utc>) -> String {
    let wanted = [
        ("day", "numeric"),
        ("month", "short"),
        ("hour", "numeric"),
        ("minute", "2-digit"),
    ];
    shown(&local(at), &wanted)
}

fn local(at: DateTime<Utc>) -> Date {
    Date::new(&JsValue::from_f64(at.timestamp_millis() as f64))
}

fn shown(date: &Date, wanted: &[(&str, &str)]) -> String {
    let options = Object::new();
    for (name, value) in wanted {
        // Setting a field of a fresh object can't fail.
        let _ = Reflect::set(&options, &(*name).into(), &(*value).into());
    }
    date.to_locale_string(&super::window::language(), &options)
        .into()
}
