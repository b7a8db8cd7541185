//! The kit and the log as tables for a spreadsheet: CSV as RFC 4180 has it.
//!
//! Lines end in CR LF, commas part the fields, numbers are metric with a point. The text is UTF-8
//! and begins with the mark of its byte order: common spreadsheets take it for the system's own
//! letters otherwise (common practice, no source). Words that a spreadsheet could take for a
//! formula get an apostrophe before them.

use super::{Job, Piece};
use crate::casting::CastEntry;
use crate::coating::kit_of_all;
use crate::quantity::Amount;
use crate::quantity::show::System;
use crate::words::tr;
use chrono::{DateTime, SecondsFormat, Utc};
use serde::Serialize;
use serde_json::Value;

/// A field of a table.
enum Field {
    Text(String),
    Number(f64),
    Nothing,
}

/// Everything to pack for a job, one line a thing: all pieces with a plan have one bag, and what
/// the user added stands below. A thing is packed where it is ticked for each of its pieces.
///
/// ```
/// use peelcast::job::{Job, table};
/// let csv = table::kit_csv(&Job::default());
/// assert!(csv.starts_with("\u{feff}Group,What,Pieces,Packed,Count,Mass (g),"));
/// ```
pub fn kit_csv(job: &Job) -> String {
    let head = [
        tr("Group"),
        tr("What"),
        tr("Pieces"),
        tr("Packed"),
        tr("Count"),
        tr("Mass (g)"),
        tr("Volume (ml)"),
        tr("Length (mm)"),
        tr("Area (mm²)"),
        tr("In words"),
        tr("Weight (g)"),
        tr("Why"),
    ];
    let planned: Vec<_> = job
        .pieces
        .iter()
        .filter_map(|piece| Some((piece, piece.planned().ok()?)))
        .collect();
    let plans: Vec<_> = planned
        .iter()
        .map(|(_, (input, plan))| (plan, input))
        .collect();
    let mut rows = Vec::new();
    for item in kit_of_all(&plans) {
        let pieces: Vec<&Piece> = item.pieces.iter().map(|at| planned[*at].0).collect();
        let mut row = vec![
            text(item.group.name()),
            text(&item.what),
            text(&titles(&pieces)),
            text(packed(
                pieces.iter().all(|piece| piece.ticked.contains(&item.key)),
            )),
        ];
        row.extend(amount(&item.amount));
        row.extend([Field::Number(item.weight.0), text(&item.why)]);
        rows.push(row);
    }
    for piece in &job.pieces {
        for item in &piece.own_items {
            let mut row = vec![
                text(tr("Of your own")),
                text(&item.what),
                text(piece.title()),
                text(packed(piece.ticked.contains(&item.key))),
            ];
            row.resize_with(head.len(), || Field::Nothing);
            rows.push(row);
        }
    }
    csv(&head, &rows)
}

/// All that happened on a job, one line a tap, a note, a photo or a pour of copies, piece by piece
/// in the order of time.
pub fn log_csv(job: &Job) -> String {
    let head = [
        tr("Piece"),
        tr("Time (UTC)"),
        tr("Kind"),
        tr("Coat"),
        tr("Batch"),
        tr("Mass (g)"),
        tr("Temperature (°C)"),
        tr("Copies"),
        tr("In words"),
    ];
    let mut rows = Vec::new();
    for piece in &job.pieces {
        let taps = piece.coat_log.iter();
        let taps = taps.map(|moment| (moment.at, told(&moment.tap), moment.tap.said()));
        let notes = piece.notes.iter();
        let notes = notes.map(|note| (note.at, told(&note.entry), note.entry.said(System::Metric)));
        let photos = piece.pictures.iter();
        let photos = photos.map(|one| (one.at, Value::Null, one.photo.name.clone()));
        let casts = piece.casts.iter();
        let casts = casts.map(|cast| (cast.at, told(cast), cast_in_words(cast)));
        let mut lines: Vec<(DateTime<Utc>, Value, String)> =
            notes.chain(taps).chain(photos).chain(casts).collect();
        lines.sort_by_key(|line| line.0);
        for (at, told, words) in lines {
            let kind = match told.get("kind").and_then(Value::as_str) {
                Some(kind) => kind,
                None if told.is_null() => tr("photo"),
                None => tr("cast"),
            };
            let number = |name| match told.get(name).and_then(Value::as_f64) {
                Some(number) => Field::Number(number),
                None => Field::Nothing,
            };
            rows.push(vec![
                text(piece.title()),
                text(&at.to_rfc3339_opts(SecondsFormat::Secs, true)),
                text(kind),
                number("coat"),
                number("batch"),
                number("mass"),
                number("temperature"),
                number("copies"),
                text(&words),
            ]);
        }
    }
    csv(&head, &rows)
}

/// What was cast, and what was wrong with it.
fn cast_in_words(cast: &CastEntry) -> String {
    let defects = cast.defects.iter().map(|defect| defect.name());
    let worn_out = cast.worn_out.then_some(tr("the mould was done for"));
    let note = Some(cast.note.trim()).filter(|note| !note.is_empty());
    let parts: Vec<&str> = std::iter::once(cast.medium.as_str())
        .chain(defects)
        .chain(worn_out)
        .chain(note)
        .collect();
    parts.join("; ")
}

/// What an entry of the log holds, by the names that it has in the record.
fn told(entry: &impl Serialize) -> Value {
    serde_json::to_value(entry).unwrap_or_default()
}

fn titles(pieces: &[&Piece]) -> String {
    let titles: Vec<&str> = pieces.iter().map(|piece| piece.title()).collect();
    titles.join("; ")
}

fn packed(ticked: bool) -> &'static str {
    if ticked { tr("yes") } else { tr("no") }
}

/// An amount in the column of its unit; what is no plain number stands in words.
fn amount(amount: &Amount) -> [Field; 6] {
    let mut fields = [const { Field::Nothing }; 6];
    let (at, field) = match amount {
        Amount::Count(n) => (0, Field::Number(f64::from(*n))),
        Amount::Mass(q) => (1, Field::Number(q.0)),
        Amount::Volume(q) => (2, Field::Number(q.0)),
        Amount::Length(q) => (3, Field::Number(q.0)),
        Amount::Area(q) => (4, Field::Number(q.0)),
        other => (5, text(&other.show(System::Metric))),
    };
    fields[at] = field;
    fields
}

fn text(words: &str) -> Field {
    Field::Text(words.to_owned())
}

fn csv(head: &[&str], rows: &[Vec<Field>]) -> String {
    let mut out = String::from("\u{feff}");
    let mut line = |fields: &mut dyn Iterator<Item = String>| {
        out += &fields.collect::<Vec<_>>().join(",");
        out += "\r\n";
    };
    line(&mut head.iter().map(|name| quoted(name)));
    for row in rows {
        line(&mut row.iter().map(written));
    }
    out
}

fn written(field: &Field) -> String {
    match field {
        Field::Number(number) if number.is_finite() => {
            // Thousandths are finer than anything here is known.
            let rounded = (number * 1000.0).round() / 1000.0;
            format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
        }
        Field::Nothing | Field::Number(_) => String::new(),
        Field::Text(words) => quoted(&harmless(words)),
    }
}

/// Words that no spreadsheet takes for a formula: those that begin like one get an apostrophe
/// before them (common practice, no source). Blanks and marks that can't be seen don't hide it from
/// all programs.
fn harmless(words: &str) -> String {
    let unseen = |c: char| {
        let blank = c.is_whitespace() || c.is_control();
        let mark = matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}' | '\u{feff}');
        (blank || mark) && !matches!(c, '\t' | '\r' | '\n')
    };
    let begins = words.trim_start_matches(unseen).chars().next();
    match begins {
        Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠') => {
            format!("'{words}")
        }
        _ => words.to_owned(),
    }
}

/// Quoted where the words hold what parts fields or lines, here or where semicolons do.
fn quoted(words: &str) -> String {
    if words.contains(['"', ',', ';', '\t', '\r', '\n', '\'']) || words.trim() != words {
        return format!("\"{}\"", words.replace('"', "\"\""));
    }
    words.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{Entry, LogNote, Moment, Tap};
    use crate::job::{OwnItem, sample_job};
    use crate::quantity::Grams;
    use chrono::TimeDelta;

    #[test]
    fn the_kit_says_what_the_bag_says() {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        job.pieces[0].own_items.push(OwnItem {
            key: "own".into(),
            what: "Thermos, \"big\"".into(),
        });
        let csv = kit_csv(&job);
        let lines: Vec<&str> = csv.split("\r\n").collect();
        let kit = job.pieces[0].kit().unwrap();
        assert_eq!(lines.len(), 1 + kit.len() + 1 + 1);
        assert!(
            csv.contains("\r\nOf your own,\"Thermos, \"\"big\"\"\",Oval plaque,no,,"),
            "{csv}"
        );
        let yes = csv.matches(",yes,").count();
        assert_eq!(yes, job.pieces[0].ticked.len());
        let mass = kit.iter().find_map(|item| match item.amount {
            Amount::Mass(mass) => Some(mass.0),
            _ => None,
        });
        assert!(csv.contains(&format!(
            ",no,,{},",
            (mass.unwrap() * 1000.0).round() / 1000.0
        )));
    }

    #[test]
    fn the_log_stands_in_order_with_its_numbers() {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        let piece = &mut job.pieces[0];
        let (coat, batch) = (1, 2);
        piece.coat_log.push(Moment {
            at: DateTime::UNIX_EPOCH + TimeDelta::minutes(1),
            tap: Tap::StartMix { coat, batch },
        });
        piece.notes = vec![
            LogNote {
                at: DateTime::UNIX_EPOCH + TimeDelta::minutes(2),
                entry: Entry::Note {
                    text: "=1+1".into(),
                },
            },
            LogNote {
                at: DateTime::UNIX_EPOCH,
                entry: Entry::Weighed {
                    coat,
                    batch,
                    mass: Grams(61.25),
                },
            },
        ];
        let csv = log_csv(&job);
        let lines: Vec<&str> = csv.split("\r\n").skip(1).collect();
        assert!(lines[0].starts_with("Oval plaque,1970-01-01T00:00:00Z,weighed,1,2,61.25,,,"));
        assert!(lines[1].starts_with("Oval plaque,1970-01-01T00:01:00Z,start_mix,1,2,,,,"));
        assert_eq!(
            lines[2],
            "Oval plaque,1970-01-01T00:02:00Z,note,,,,,,\"'=1+1\""
        );
    }

    #[test]
    fn no_words_are_a_formula_and_numbers_stay_numbers() {
        for words in [
            "=A1",
            "+1",
            "-1",
            "@sum",
            "\tx",
            "\rx",
            " =A1",
            "＝A1",
            "\n=A1",
            "\u{feff}=1",
            "\u{200b}\u{3000}-1",
            "\u{1}@a",
        ] {
            let field = written(&text(words));
            assert!(field.starts_with("\"'"), "{field}");
        }
        assert_eq!(written(&text("a-b = c")), "a-b = c");
        assert_eq!(written(&Field::Number(-1.5)), "-1.5");
        assert_eq!(written(&Field::Number(-0.0001)), "0");
        assert_eq!(written(&Field::Number(1e7 / 3.0)), "3333333.333");
    }
}
