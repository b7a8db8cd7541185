//! Days and times of day as people read them, in the language that is set: what a general
//! formatter of dates needs would be a hundredth of the whole download.

use crate::say;
use crate::words::{mark, tr};
use chrono::{DateTime, Datelike, NaiveDate, Timelike, Utc};

const MONTHS: [&str; 12] = [
    mark("January"),
    mark("February"),
    mark("March"),
    mark("April"),
    mark("May"),
    mark("June"),
    mark("July"),
    mark("August"),
    mark("September"),
    mark("October"),
    mark("November"),
    mark("December"),
];

/// A day with its month spelled out.
///
/// ```
/// let day = chrono::NaiveDate::from_ymd_opt(2026, 5, 3).unwrap();
/// assert_eq!(peelcast::quantity::show::day(day), "3 May 2026");
/// ```
pub fn day(date: NaiveDate) -> String {
    let (day, year) = (date.day(), date.year());
    let month = tr(MONTHS[date.month0() as usize]);
    say!("{day} {month} {year}", day, month, year)
}

/// A moment with its day and its time, in Coordinated Universal Time.
///
/// ```
/// let moment = "2026-05-03T08:07:00Z".parse().unwrap();
/// assert_eq!(peelcast::quantity::show::moment_utc(moment), "3 May 2026, 08:07 UTC");
/// ```
pub fn moment_utc(at: DateTime<Utc>) -> String {
    let (hour, minute) = (at.hour(), at.minute());
    format!("{}, {hour:02}:{minute:02} UTC", day(at.date_naive()))
}
