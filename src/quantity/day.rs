//! Days and times of day as people read them, in the one language the app speaks: what a general
//! formatter of dates needs would be a hundredth of the whole download.

use chrono::{DateTime, Datelike, NaiveDate, Timelike, Utc};

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day with its month spelled out.
///
/// ```
/// let day = chrono::NaiveDate::from_ymd_opt(2026, 5, 3).unwrap();
/// assert_eq!(peelcast::quantity::show::day(day), "3 May 2026");
/// ```
pub fn day(date: NaiveDate) -> String {
    let month = MONTHS[date.month0() as usize];
    format!("{} {month} {}", date.day(), date.year())
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
