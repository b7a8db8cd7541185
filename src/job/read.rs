//! From stored JSON of any version to today's record, and the limits within which a record is
//! taken for one.
//!
//! A version of the shape is never changed once it was released. A new one gets the next number,
//! a step in [`to_today`] and a file in tests/fixtures/jobs that is read for ever.

use super::{Job, SCHEMA};
use crate::clock::{Entry, LogNote};
use crate::say;
use crate::words::tr;
use serde::Deserialize;
use serde_json::{Map, Value};
use std::fmt;

/// Why a record can't be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadError {
    /// It was written by a newer version of this program, with this version of the shape.
    Newer(u64),
    /// It is no record of a job; the text says where it stops being one.
    Shape(String),
    /// More of something than any job has.
    TooMuch(&'static str),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Newer(_) => f.write_str(tr(
                "It was written by a newer version of Peelcast. Open Peelcast while you are \
                 online, take the new version, and try again.",
            )),
            Self::Shape(why) => {
                f.write_str(&say!("It isn't a job as Peelcast writes it ({why}).", why))
            }
            Self::TooMuch(what) => {
                f.write_str(&say!("It holds {what}, more than any real job.", what))
            }
        }
    }
}

impl std::error::Error for ReadError {}

impl Job {
    /// Reads a job of any version of the shape up to today's.
    pub fn from_value(value: Value) -> Result<Self, ReadError> {
        // From a borrowed value: the code that gives an owned one back at each field is large.
        Self::deserialize(&to_today(value)?).map_err(shape)
    }

    /// Refuses a record from elsewhere that would keep a phone busy for ever.
    pub(super) fn check(&self) -> Result<(), ReadError> {
        let many = |count: usize, most: usize, what| {
            if count > most {
                Err(ReadError::TooMuch(what))
            } else {
                Ok(())
            }
        };
        many(self.pieces.len(), 500, tr("more than 500 pieces"))?;
        let texts = [&self.name, &self.place, &self.contact, &self.note];
        let longest = texts.iter().map(|text| text.len()).max().unwrap_or(0);
        many(longest, 20_000, tr("a text of over 20,000 letters"))?;
        many(
            self.visit.pins.len(),
            5000,
            tr("over 5,000 starts of the user's own"),
        )?;
        many(
            self.calendar.events.len(),
            5000,
            tr("a calendar of over 5,000 events"),
        )?;
        for piece in &self.pieces {
            many(piece.shots.len(), 50, tr("a piece with over 50 photos"))?;
            for shot in &piece.shots {
                many(
                    shot.outline.len(),
                    2000,
                    tr("an outline of over 2,000 points"),
                )?;
                many(shot.holes.len(), 200, tr("an outline with over 200 holes"))?;
                let points = shot.holes.iter().map(Vec::len).sum();
                many(points, 5000, tr("holes of over 5,000 points"))?;
                many(shot.distances.len(), 500, tr("over 500 measured distances"))?;
            }
            let relief = &piece.relief_record;
            many(relief.readings.len(), 5000, tr("over 5,000 heights"))?;
            // One without points takes room, too.
            let room = |points: usize| points + 1;
            let sections = relief.profiles.iter().map(|p| room(p.section.len()));
            many(sections.sum(), 5000, tr("sections of over 5,000 points"))?;
            let strokes = relief.overhangs.iter().map(|o| room(o.path.len()));
            many(strokes.sum(), 20_000, tr("strokes of over 20,000 points"))?;
            many(piece.coats.len(), 12, tr("a piece of over 12 coats"))?;
            many(piece.coat_log.len(), 5000, tr("a log of over 5,000 taps"))?;
            many(piece.notes.len(), 5000, tr("a log of over 5,000 notes"))?;
            many(piece.pictures.len(), 500, tr("a log of over 500 photos"))?;
            many(piece.casts.len(), 5000, tr("a log of over 5,000 pours"))?;
            let letters = |note: &LogNote| match &note.entry {
                Entry::Note { text } | Entry::Lot { text } => text.len(),
                _ => 0,
            };
            let longest = piece.notes.iter().map(letters).max().unwrap_or(0);
            many(longest, 20_000, tr("a note of over 20,000 letters"))?;
            many(piece.ticked.len(), 2000, tr("over 2,000 ticks"))?;
            many(
                piece.own_items.len(),
                2000,
                tr("over 2,000 things of one's own to pack"),
            )?;
        }
        Ok(())
    }
}

/// How many places the height maps of a record hold together, before any of them is unpacked.
pub(super) fn map_places(record: &Value) -> u64 {
    let pieces = record.get("pieces").and_then(Value::as_array);
    let places = |piece: &Value| {
        let frame = piece.pointer("/relief_record/swept/frame")?;
        let side = |name: &str| frame.get(name)?.as_u64();
        Some(side("columns")?.saturating_mul(side("rows")?))
    };
    let all = pieces.into_iter().flatten().filter_map(places);
    all.fold(0, u64::saturating_add)
}

/// Takes a record of any older version to today's shape, one version at a time.
fn to_today(mut value: Value) -> Result<Value, ReadError> {
    let Some(record) = value.as_object_mut() else {
        return Err(ReadError::Shape(tr("it has no fields").into()));
    };
    match record.get("schema").and_then(Value::as_u64) {
        None | Some(0) => return Err(ReadError::Shape(tr("its field schema is missing").into())),
        Some(newer) if newer > u64::from(SCHEMA) => return Err(ReadError::Newer(newer)),
        Some(1) => several_photos(record),
        Some(_) => {}
    }
    Ok(value)
}

/// From version 1 to 2: what was marked on a piece's one photo goes to the first of its shots.
fn several_photos(record: &mut Map<String, Value>) {
    record.insert("schema".into(), 2.into());
    let pieces = record.get_mut("pieces").and_then(Value::as_array_mut);
    for piece in pieces.into_iter().flatten() {
        let Some(piece) = piece.as_object_mut() else {
            continue;
        };
        let mut shot = Map::new();
        for name in ["photo", "reference", "outline", "holes"] {
            if let Some(part) = piece.remove(name) {
                shot.insert(name.into(), part);
            }
        }
        // Without a photo and without marks there is nothing to keep.
        let empty = |part: &Value| part.is_null() || part.as_array().is_some_and(Vec::is_empty);
        if !shot.values().all(empty) {
            piece.insert("shots".into(), vec![Value::Object(shot)].into());
        }
    }
}

/// What serde says, as part of a sentence.
pub(super) fn shape(why: serde_json::Error) -> ReadError {
    ReadError::Shape(why.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_job_of_tomorrow_is_not_half_read_today() {
        let value = json!({"schema": SCHEMA + 1, "id": "a", "pieces": "another shape"});
        let why = Job::from_value(value).unwrap_err();
        assert_eq!(why, ReadError::Newer(u64::from(SCHEMA) + 1));
        assert!(why.to_string().contains("newer version"));
    }

    #[test]
    fn fields_of_tomorrow_are_passed_over_and_missing_ones_are_as_usual() {
        let value = json!({"schema": 1, "id": "a", "name": "Frieze", "weather": "fair"});
        let job = Job::from_value(value).unwrap();
        assert_eq!((job.name.as_str(), job.pieces.len()), ("Frieze", 0));
    }

    #[test]
    fn what_is_no_job_says_where() {
        for (value, part) in [
            (json!(3), "no fields"),
            (json!({}), "schema"),
            (
                json!({"schema": 1, "pieces": [{"outline": "round"}]}),
                "expected a sequence",
            ),
        ] {
            let why = Job::from_value(value).unwrap_err().to_string();
            assert!(why.contains(part), "{why}");
        }
    }

    #[test]
    fn the_places_of_maps_are_counted_before_they_are_read() {
        let map = |columns: u64| json!({"swept": {"frame": {"columns": columns, "rows": 100}}});
        let piece = |columns: u64| json!({"relief_record": map(columns)});
        let job = |pieces: Vec<Value>| json!({"pieces": pieces});
        let pieces = vec![piece(3), json!({}), json!(2), piece(40)];
        assert_eq!(map_places(&job(pieces)), 4300);
        assert_eq!(map_places(&job(vec![piece(u64::MAX); 3])), u64::MAX);
        assert_eq!(map_places(&json!({"pieces": "none"})), 0);
    }

    #[test]
    fn an_outline_without_end_is_refused() {
        let value = json!({"schema": 1, "pieces": [{"outline": vec![[1.0, 2.0]; 2001]}]});
        let job = Job::from_value(value).unwrap();
        assert!(matches!(job.check(), Err(ReadError::TooMuch(_))));
    }
}
