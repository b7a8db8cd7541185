//! Clock times as the phone's owner reads them.

use chrono::{DateTime, Utc};
use js_sys::{Array, Date, Function, Intl, Object, Reflect};
use std::cell::RefCell;
use std::collections::BTreeMap;
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

/// A moment as a field for a local day and time holds it: "2027-03-14T07:30".
pub fn to_field(at: DateTime<Utc>) -> String {
    let date = local(at);
    format!(
        "{:04}-{:02}-{:02}T{:02}:{:02}",
        date.get_full_year(),
        date.get_month() + 1,
        date.get_date(),
        date.get_hours(),
        date.get_minutes()
    )
}

/// The moment that such a field names; `None` while it is empty or half typed.
pub fn of_field(text: &str) -> Option<DateTime<Utc>> {
    // Without a zone JavaScript takes day and time as local ones.
    let ms = Date::new(&JsValue::from_str(text)).get_time();
    (text.len() >= 16 && ms.is_finite()).then(|| DateTime::from_timestamp_millis(ms as i64))?
}

/// So many minutes after midnight, so many days after the local day of `at`.
pub fn on_day(at: DateTime<Utc>, days: i32, minutes: u32) -> DateTime<Utc> {
    let date = local(at);
    let day = date.get_date() as i32 + days;
    // JavaScript counts on from the end of a month, and knows when summer time begins.
    let day = Date::new_with_year_month_day_hr_min(
        date.get_full_year(),
        date.get_month() as i32,
        day,
        (minutes / 60) as i32,
        (minutes % 60) as i32,
    );
    DateTime::from_timestamp_millis(day.get_time() as i64).unwrap_or(at)
}

fn local(at: DateTime<Utc>) -> Date {
    Date::new(&JsValue::from_f64(at.timestamp_millis() as f64))
}

/// Asks for the first clock time, which takes the browser a while, before one is wanted.
pub fn make_ready() {
    clock(super::now(), super::now());
}

thread_local! {
    /// What writes days and times, by language and by what is wanted. To make one takes a browser
    /// many times as long as to use it.
    static WRITERS: RefCell<BTreeMap<String, Function>> = const { RefCell::new(BTreeMap::new()) };
}

fn shown(date: &Date, wanted: &[(&str, &str)]) -> String {
    let locale = super::language::locale();
    let mut key = locale.clone();
    wanted.iter().for_each(|(name, _)| key.push_str(name));
    let writer = || {
        let options = Object::new();
        for (name, value) in wanted {
            // Setting a field of a fresh object can't fail.
            let _ = Reflect::set(&options, &(*name).into(), &(*value).into());
        }
        Intl::DateTimeFormat::new(&Array::of1(&locale.into()), &options).format()
    };
    let writer = WRITERS.with_borrow_mut(|all| all.entry(key).or_insert_with(writer).clone());
    let text = writer.call1(&JsValue::UNDEFINED, date);
    text.ok()
        .and_then(|text| text.as_string())
        .unwrap_or_default()
}
