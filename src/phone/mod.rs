//! The only room that knows the browser.
//!
//! - [`window`]: addresses, the page's title and theme, visibility.
//! - [`darkroom`]: the worker beside the page that looks into photos.
//! - [`database`]: the phone's database, flushed to disk before it says "done".
//! - [`handed`]: files that other apps hand over.
//! - [`language`]: the app's language on this phone.
//! - [`local`]: local storage, the second copy of the jobs, and the settings.
//! - [`store`]: the jobs in both, journalled, mended at start-up, followed across tabs.
//! - [`room`]: how much room there is, and whether it lasts.
//! - [`photos`]: the photos' own bytes in the database.
//! - [`photo`]: photos coming in, and as addresses for images.
//! - [`file`]: files given out, shared, and chosen.
//! - [`canvas`]: canvases that nobody sees, and pictures made from them.
//! - [`size`]: the size of an element, followed as it changes.
//! - [`alert`]: notification, sound, vibration, badge, and a screen that stays on.
//! - [`update`]: the service worker, and new versions of the app.
//! - [`viewfinder`]: the live camera, and how the phone is held.
//! - [`writer`]: which of several windows of the app writes.

pub mod alert;
pub mod canvas;
pub mod darkroom;
pub mod database;
pub mod file;
pub mod handed;
pub mod language;
pub mod local;
pub mod photo;
pub mod photos;
pub mod room;
pub mod size;
pub mod store;
pub mod time;
pub mod update;
pub mod viewfinder;
pub mod window;
pub mod writer;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

/// The phone's clock, to the millisecond.
pub fn now() -> DateTime<Utc> {
    DateTime::from_timestamp_millis(js_sys::Date::now() as i64).unwrap_or_default()
}

/// By how much the phone's clock is ahead of the time that has run since the page was opened. It
/// changes when someone sets the clock, and on some phones while they sleep; a change of the time
/// zone or to summer time leaves it as it is.
pub fn clock_ahead() -> Option<TimeDelta> {
    let run = window::window().performance()?.now();
    Some(TimeDelta::milliseconds((js_sys::Date::now() - run) as i64))
}

/// Today by the phone's calendar.
pub fn today() -> NaiveDate {
    let date = js_sys::Date::new_0();
    let year = date.get_full_year() as i32;
    NaiveDate::from_ymd_opt(year, date.get_month() + 1, date.get_date()).unwrap_or_default()
}

/// A new name that no other job, piece or photo has: ten characters without look-alikes.
pub fn new_id() -> String {
    const LETTERS: &[u8; 32] = b"abcdefghjkmnpqrstuvwxyz023456789";
    (0..10)
        .map(|_| LETTERS[(js_sys::Math::random() * 32.0) as usize % 32] as char)
        .collect()
}
