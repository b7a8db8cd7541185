//! Days and moments as ISO 8601 writes them, for forms and for records.
//!
//! A general reader of dates would be a hundredth of the whole download; what the records hold is
//! always of the one form of RFC 3339.

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};

/// Reads a day, year-month-day.
///
/// ```
/// use peelcast::quantity::iso;
/// let day = iso::read_day("2027-03-14").unwrap();
/// assert_eq!(day.to_string(), "2027-03-14");
/// assert_eq!(iso::read_day("2027-02-29"), None);
/// ```
pub fn read_day(text: &str) -> Option<NaiveDate> {
    let mut parts = text.splitn(3, '-');
    let year = digits(parts.next()?, 4)?;
    let (month, day) = (digits(parts.next()?, 2)?, digits(parts.next()?, 2)?);
    NaiveDate::from_ymd_opt(year.try_into().ok()?, month, day)
}

/// Reads a moment with its day, its time and its distance from Coordinated Universal Time.
///
/// ```
/// use peelcast::quantity::iso;
/// let noon = iso::read_moment("2026-05-03T12:00:00.250Z").unwrap();
/// assert_eq!(iso::read_moment("2026-05-03T14:30:00.25+02:30"), Some(noon));
/// assert_eq!(iso::read_moment("2026-05-03 12:00"), None);
/// ```
pub fn read_moment(text: &str) -> Option<DateTime<Utc>> {
    let (day, rest) = text.split_once('T')?;
    let (time, behind) = rest.split_at_checked(8)?;
    let mut parts = time.splitn(3, ':').map(|part| digits(part, 2));
    let [hour, minute, second] = [parts.next()??, parts.next()??, parts.next()??];
    let length = behind.strip_prefix('.').map_or(0, |more| {
        1 + more.bytes().take_while(u8::is_ascii_digit).count()
    });
    let (fraction, zone) = behind.split_at_checked(length)?;
    let nanoseconds = match fraction.strip_prefix('.') {
        None => 0,
        Some("") => return None,
        Some(fraction) => digits(&format!("{fraction:0<9}"), 9)?,
    };
    let ahead = match zone.split_at_checked(1)? {
        ("Z", "") => 0,
        ("+", ahead) => minutes(ahead)?,
        ("-", behind) => -minutes(behind)?,
        _ => return None,
    };
    let local = read_day(day)?.and_hms_nano_opt(hour, minute, second, nanoseconds)?;
    let universal = local.checked_sub_signed(TimeDelta::minutes(ahead))?;
    // What lies in another year there, the form can't write again.
    (0..=9999)
        .contains(&universal.year())
        .then(|| universal.and_utc())
}

fn minutes(text: &str) -> Option<i64> {
    let (hours, minutes) = text.split_once(':')?;
    let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
    (hours < 24 && minutes < 60).then(|| i64::from(60 * hours + minutes))
}

/// A whole number of exactly so many digits.
fn digits(text: &str, count: usize) -> Option<u32> {
    let all = text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit());
    all.then(|| text.parse().ok()).flatten()
}

/// For serde: a moment.
pub mod moment {
    use super::read_moment;
    use chrono::{DateTime, Utc};
    use serde::de::{Deserialize, Deserializer, Error};

    /// Writes as RFC 3339.
    pub fn serialize<S: serde::Serializer>(at: &DateTime<Utc>, to: S) -> Result<S::Ok, S::Error> {
        serde::Serialize::serialize(at, to)
    }

    /// Reads what [`serialize`] wrote.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<DateTime<Utc>, D::Error> {
        let text = String::deserialize(from)?;
        read_moment(&text).ok_or_else(|| Error::custom(format_args!("{text} is no moment")))
    }
}

/// For serde: a moment, or none.
pub mod maybe_moment {
    use super::read_moment;
    use chrono::{DateTime, Utc};
    use serde::de::{Deserialize, Deserializer, Error};

    /// Writes as RFC 3339.
    pub fn serialize<S: serde::Serializer>(
        at: &Option<DateTime<Utc>>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        serde::Serialize::serialize(at, to)
    }

    /// Reads what [`serialize`] wrote.
    pub fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<DateTime<Utc>>, D::Error> {
        let read = |text: String| {
            read_moment(&text).ok_or_else(|| Error::custom(format_args!("{text} is no moment")))
        };
        Option::<String>::deserialize(from)?.map(read).transpose()
    }
}

/// For serde: a day, or none.
pub mod day {
    use super::read_day;
    use chrono::NaiveDate;
    use serde::de::{Deserialize, Deserializer, Error};

    /// Writes year-month-day.
    pub fn serialize<S: serde::Serializer>(
        day: &Option<NaiveDate>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        serde::Serialize::serialize(day, to)
    }

    /// Reads what [`serialize`] wrote.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<NaiveDate>, D::Error> {
        let read = |text: String| {
            read_day(&text).ok_or_else(|| Error::custom(format_args!("{text} is no day")))
        };
        Option::<String>::deserialize(from)?.map(read).transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_day_or_moment_is_refused() {
        for text in [
            "",
            "2027",
            "2027-13-01",
            "2027-1-01",
            "+027-01-01",
            "2027-01-01x",
            "äöü-é-è",
        ] {
            assert_eq!(read_day(text), None, "{text}");
        }
        for text in [
            "2026-05-03T24:00:00Z",
            "2026-05-03T12:00:00",
            "2026-05-03T12:00:00.Z",
            "2026-05-03T12:00:00.1234567890Z",
            "2026-05-03T12:00:00+2:00",
            "2026-05-03T12:00:00zé",
            "2026-05-03Té2:00:00Z",
            "0000-01-01T00:00:00+00:01",
            "9999-12-31T23:59:59-00:01",
        ] {
            assert_eq!(read_moment(text), None, "{text}");
        }
    }

    proptest! {
        /// chrono's own writer and reader are the reference.
        #[test]
        fn every_moment_is_read_as_chrono_wrote_it(
            seconds in -62_000_000_000_i64..250_000_000_000,
            nanoseconds in prop_oneof![Just(0), 0_u32..1_000_000_000, (0_u32..1000).prop_map(|ms| ms * 1_000_000)],
            ahead in -1439_i32..=1439,
        ) {
            let at = DateTime::from_timestamp(seconds, nanoseconds).unwrap();
            let zone = chrono::FixedOffset::east_opt(60 * ahead).unwrap();
            prop_assert_eq!(read_moment(&at.with_timezone(&zone).to_rfc3339()), Some(at));
            let json = serde_json::to_value(at).unwrap();
            prop_assert_eq!(read_moment(json.as_str().unwrap()), Some(at));
            let day = at.date_naive();
            prop_assert_eq!(read_day(&day.to_string()), Some(day));
        }
    }
}
