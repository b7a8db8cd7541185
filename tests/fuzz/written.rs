//! Files that other programs open: calendars and tables with whatever people call their things.

use crate::change::{one, words};
use crate::record::now;
use crate::run::{Limits, many, target};
use chrono::{DateTime, TimeDelta, Utc};
use fastrand::Rng;
use peelcast::clock::{Calendar, Call, Entry, Event, LogNote};
use peelcast::job::{Job, OwnItem, Piece, table};

const LIMITS: Limits = Limits {
    seconds: 0.5,
    megabytes: 4.0,
};

const NAMES: [&str; 16] = [
    "Rosette",
    "=1+1",
    "+A1",
    "-2",
    "@sum",
    "\t=x",
    "\r\nBEGIN:VALARM",
    "a\nSUMMARY:b",
    "\u{2028}END:VEVENT",
    "a;b,c\\d:e",
    "\"quoted\"",
    "=cmd|' /C calc'!A0",
    "\u{feff}=1",
    "𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞",
    "\u{85}x\u{b}y\u{c}z",
    "é\u{301}\u{202e}",
];

fn name(rng: &mut Rng) -> Vec<u8> {
    let sound = *one(rng, &NAMES);
    let name = match rng.u8(0..3) {
        0 => sound.to_owned() + *one(rng, &NAMES),
        _ => words(rng, sound),
    };
    name.into_bytes()
}

#[test]
fn calendars() {
    target("calendars", many(), &LIMITS, name, |input| {
        let name = std::str::from_utf8(input).expect("it was made as text");
        let moments = [now(), DateTime::<Utc>::MAX_UTC, DateTime::<Utc>::MIN_UTC];
        let days = TimeDelta::days(input.len() as i64 * 900);
        let events = moments.into_iter().chain(now().checked_add_signed(days));
        let events = events.map(|at| Event::new(Call::Touch { coat: 2 }, at, (name, name), name));
        let calendar = Calendar::default().next(events.collect(), now());
        let file = calendar.next(Vec::new(), now()).text(now()) + &calendar.text(now());
        // RFC 5545, 3.1: lines of at most 75 octets, each ended by CR LF, no other control.
        assert!(file.ends_with("\r\n"));
        for line in file.split_terminator("\r\n") {
            assert!(line.len() <= 75, "{line:?}");
            assert!(
                !line.contains(|c: char| c.is_control() && c != '\t'),
                "{line:?}"
            );
        }
        // Unfolded, each line is one of those that the writer has.
        let known = [
            "BEGIN:VCALENDAR",
            "BEGIN:VEVENT",
            "BEGIN:VALARM",
            "END:VCALENDAR",
            "END:VEVENT",
            "END:VALARM",
            "VERSION:",
            "PRODID:",
            "CALSCALE:",
            "UID:",
            "DTSTAMP:",
            "DTSTART:",
            "DTEND:",
            "SEQUENCE:",
            "STATUS:",
            "TRANSP:",
            "SUMMARY:",
            "DESCRIPTION:",
            "ACTION:DISPLAY",
            "TRIGGER:PT0S",
        ];
        let whole = file.replace("\r\n ", "");
        let count = |what: &str| whole.lines().filter(|line| line.starts_with(what)).count();
        assert!(
            whole
                .lines()
                .all(|line| known.iter().any(|start| line.starts_with(start)))
        );
        for what in ["VEVENT", "VALARM", "VCALENDAR"] {
            assert_eq!(
                count(&format!("BEGIN:{what}")),
                count(&format!("END:{what}"))
            );
        }
        assert!(count("BEGIN:VEVENT") <= 6 && count("SUMMARY:") == count("BEGIN:VEVENT"));
        true
    });
}

/// The cells of a table as RFC 4180 reads it.
fn cells(csv: &str) -> Vec<Vec<String>> {
    let mut rows = vec![vec![String::new()]];
    let mut letters = csv.chars().peekable();
    let mut quoted = false;
    while let Some(letter) = letters.next() {
        let row = rows.last_mut().expect("there is one");
        let cell = row.last_mut().expect("there is one");
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(String::new()),
            '\r' if !quoted && letters.peek() == Some(&'\n') => {
                letters.next();
                rows.push(vec![String::new()]);
            }
            letter => cell.push(letter),
        }
    }
    assert!(!quoted, "a quote is left open");
    rows
}

#[test]
fn tables() {
    target("tables", many(), &LIMITS, name, |input| {
        let name = std::str::from_utf8(input).expect("it was made as text");
        let note = Entry::Note { text: name.into() };
        let piece = Piece {
            name: name.into(),
            own_items: vec![OwnItem {
                key: "own".into(),
                what: name.into(),
            }],
            notes: vec![LogNote {
                at: now(),
                entry: note,
            }],
            ..Piece::default()
        };
        let job = Job {
            name: name.into(),
            pieces: vec![piece],
            ..Job::default()
        };
        for csv in [table::kit_csv(&job), table::log_csv(&job)] {
            let rows = cells(csv.strip_prefix('\u{feff}').expect("the mark stands first"));
            assert_eq!(rows.len(), 3, "a head, one line, the end: {csv:?}");
            assert_eq!(rows[0].len(), rows[1].len(), "{csv:?}");
            for cell in rows.iter().flatten() {
                // Programs pass over blanks and marks that can't be seen.
                let seen = cell.trim_start_matches(|c: char| {
                    c.is_whitespace() && !matches!(c, '\t' | '\r' | '\n') || c.is_control() && !matches!(c, '\t' | '\r' | '\n')
                        || matches!(c, '\u{feff}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}')
                });
                let first = seen.chars().next().unwrap_or('x');
                let formula = matches!(first, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n');
                assert!(!formula, "{cell:?}");
            }
        }
        true
    });
}
