//! The plan as a file for the phone's own calendar (iCalendar, RFC 5545): a phone rings for its
//! calendar when the app is closed.
//!
//! An event starts at each due moment and rings there. What was given out is kept as a
//! [`Calendar`]; the next one is made from it, so that an event keeps its name (UID) in every file
//! and a changed plan comes with a higher SEQUENCE: a calendar then moves the event that it has.
//!
//! The file has no METHOD. RFC 5545 (3.7.2) takes a file without one for a plain copy of calendar
//! data, which is what it is. PUBLISH and CANCEL belong to scheduling by mail, and RFC 5546 (3.2)
//! wants an ORGANIZER with an address for both (from memory); the app knows nobody's address, and
//! one file cannot both publish and cancel. An event that vanished from the plan comes once more
//! with STATUS:CANCELLED instead. Calendars differ in what they make of that on import: some take
//! the event out, some strike it through, and some pass over a UID that they know already (read in
//! the public bug reports of several). So a cancelled event says so in its title too and rings no
//! more; and the app should say that a calendar which does not update wants the old events deleted
//! by hand.
//!
//! The writer is our own: the part of the standard that is used here is a page of code, less than
//! any library for all of it would add to the download.

use crate::quantity::iso;
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Datelike, TimeDelta, Timelike, Utc};
use serde::{Deserialize, Serialize};

/// Who made the file, for the reader of the file.
const PRODID: &str = "-//Peelcast//Peelcast//EN";
/// A line holds so many octets, its end not counted (RFC 5545, 3.1).
const LONGEST: usize = 75;
/// How long an event lasts: it is a call, not a stretch of work.
const LASTS: TimeDelta = TimeDelta::minutes(5);

/// What an event of a piece calls for. Coats count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Call {
    /// Begin a coat.
    Begin {
        /// Which coat.
        coat: u32,
    },
    /// Touch a coat.
    Touch {
        /// Which coat.
        coat: u32,
    },
    /// The card's latest time for a coat.
    Latest {
        /// Which coat is to go on.
        coat: u32,
    },
    /// Peel the skin.
    Peel,
    /// Look at the patch test.
    Patch,
}

impl Call {
    /// Its name within the piece.
    fn key(self) -> String {
        match self {
            Self::Begin { coat } => format!("begin-{coat}"),
            Self::Touch { coat } => format!("touch-{coat}"),
            Self::Latest { coat } => format!("latest-{coat}"),
            Self::Peel => "peel".into(),
            Self::Patch => "patch".into(),
        }
    }

    /// What to do, in a few words.
    pub fn name(self) -> String {
        match self {
            Self::Begin { coat } => say!("begin coat {coat}", coat),
            Self::Touch { coat } => say!("touch coat {coat}", coat),
            Self::Latest { coat } => say!("latest time for coat {coat}", coat),
            Self::Peel => tr("peel the skin").into(),
            Self::Patch => tr("look at the patch").into(),
        }
    }

    /// What to do, in sentences.
    pub fn instruction(self) -> String {
        match self {
            Self::Begin { coat } => say!(
                "Weigh out, mix and put on coat {coat}. Have everything at hand before A and B \
                 come together.",
                coat
            ),
            Self::Touch { coat } => say!(
                "Touch the border of coat {coat} with a gloved fingertip. Wet: wait on. Tacky: the \
                 next coat can go on. Say in the app what you found: it plans the rest anew.",
                coat
            ),
            Self::Latest { coat } => say!(
                "Coat {coat} should be on by now. If it is not, look up on the paste's sheet how \
                 to go on: the coats may not bond.",
                coat
            ),
            Self::Peel => tr(
                "Press a fingernail into the border first: if it leaves a mark or \
                 clings, wait on. Then peel slowly from one edge.",
            )
            .into(),
            Self::Patch => tr(
                "Is the dab firm all through, and the surface under it as it was? Say in the app \
                 what you found.",
            )
            .into(),
        }
    }
}

/// One event.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Event {
    /// Names the event in every file it comes in; made from the piece and the step.
    pub uid: String,
    /// When it starts and rings.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// A title that explains itself.
    pub title: String,
    /// What to do.
    pub text: String,
    /// Whether the plan no longer has it.
    #[serde(default)]
    pub cancelled: bool,
}

impl Event {
    /// An event of a piece, which is given with its id (unique among all pieces of this phone, so
    /// with its job's) and its name. `more` is said below what to do, such as the range of the
    /// time; it may be empty.
    pub fn new(call: Call, at: DateTime<Utc>, (id, name): (&str, &str), more: &str) -> Self {
        let text = match more.trim() {
            "" => call.instruction(),
            more => format!("{}\n{more}", call.instruction()),
        };
        Self {
            uid: format!("{id}-{}-peelcast", call.key()),
            // A calendar counts whole seconds.
            at: at.with_nanosecond(0).unwrap_or(at),
            title: format!("{name}: {}", call.name()),
            text,
            cancelled: false,
        }
    }
}

/// What was given out, to be kept until the plan changes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Calendar {
    /// Counts the changes of the plan that were given out.
    pub sequence: u32,
    /// The events, cancelled ones included.
    pub events: Vec<Event>,
}

impl Calendar {
    /// The calendar that follows once the plan has these events: the same if nothing changed, else
    /// the next in sequence. What vanished is cancelled; what rang before `now` needs no cancelling
    /// and is left out.
    pub fn next(&self, events: Vec<Event>, now: DateTime<Utc>) -> Self {
        let planned = |old: &Event| events.iter().any(|event| event.uid == old.uid);
        let mut kept = self.events.clone();
        kept.retain(|old| planned(old) || old.at > now);
        let gone = kept.iter().filter(|old| !planned(old)).map(|old| Event {
            cancelled: true,
            ..old.clone()
        });
        let mut events: Vec<Event> = gone.chain(events.iter().cloned()).collect();
        events.sort_by(|a, b| (a.at, &a.uid).cmp(&(b.at, &b.uid)));
        let changed = events != kept && *self != Self::default();
        Self {
            sequence: self.sequence.saturating_add(changed.into()),
            events,
        }
    }

    /// The file. `now` is the phone's clock.
    pub fn text(&self, now: DateTime<Utc>) -> String {
        let mut file = File::default();
        file.line("BEGIN:VCALENDAR");
        file.line("VERSION:2.0");
        file.line(&format!("PRODID:{PRODID}"));
        file.line("CALSCALE:GREGORIAN");
        for event in &self.events {
            self.event(event, now, &mut file);
        }
        file.line("END:VCALENDAR");
        file.0
    }

    fn event(&self, event: &Event, now: DateTime<Utc>, file: &mut File) {
        // The form has four digits for the year: a clock that is further off has no event.
        let ends = event.at.checked_add_signed(LASTS);
        let (Some(stamp), Some(start), Some(end)) =
            (moment(now), moment(event.at), ends.and_then(moment))
        else {
            return;
        };
        let title = if event.cancelled {
            say!("No longer planned: {event}", event = event.title)
        } else {
            event.title.clone()
        };
        file.line("BEGIN:VEVENT");
        file.text("UID", &event.uid);
        file.line(&format!("DTSTAMP:{stamp}"));
        file.line(&format!("DTSTART:{start}"));
        file.line(&format!("DTEND:{end}"));
        file.line(&format!("SEQUENCE:{}", self.sequence));
        file.line(if event.cancelled {
            "STATUS:CANCELLED"
        } else {
            "STATUS:CONFIRMED"
        });
        file.line("TRANSP:TRANSPARENT");
        file.text("SUMMARY", &title);
        file.text("DESCRIPTION", &event.text);
        if !event.cancelled {
            file.line("BEGIN:VALARM");
            file.line("ACTION:DISPLAY");
            file.line("TRIGGER:PT0S");
            file.text("DESCRIPTION", &title);
            file.line("END:VALARM");
        }
        file.line("END:VEVENT");
    }
}

/// A file of content lines (RFC 5545, 3.1).
#[derive(Default)]
struct File(String);

impl File {
    /// A line, folded: what is too long goes on in the next line behind a space, and no character
    /// is cut.
    fn line(&mut self, line: &str) {
        let mut room = LONGEST;
        for letter in line.chars() {
            if letter.len_utf8() > room {
                self.0.push_str("\r\n ");
                room = LONGEST - 1;
            }
            self.0.push(letter);
            room -= letter.len_utf8();
        }
        self.0.push_str("\r\n");
    }

    fn text(&mut self, name: &str, text: &str) {
        self.line(&format!("{name}:{}", escaped(text)));
    }
}

/// A value of the type TEXT (RFC 5545, 3.3.11). Other control characters than a new line have no
/// place in one.
fn escaped(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => safe.extend(['\\', letter]),
            '\n' => safe.push_str("\\n"),
            '\t' => safe.push(letter),
            _ if letter.is_control() => {}
            _ => safe.push(letter),
        }
    }
    safe
}

/// A moment in Coordinated Universal Time (RFC 5545, 3.3.5); `None` where the year has not four
/// digits.
fn moment(at: DateTime<Utc>) -> Option<String> {
    let (year, month, day) = (at.year(), at.month(), at.day());
    let (hour, minute, second) = (at.hour(), at.minute(), at.second());
    (0..=9999)
        .contains(&year)
        .then(|| format!("{year:04}{month:02}{day:02}T{hour:02}{minute:02}{second:02}Z"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;
    use proptest::prelude::*;

    fn start() -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2027, 3, 14, 8, 0, 0).unwrap()
    }

    fn event(call: Call, minute: i64) -> Event {
        let piece = ("job-1-piece-1", "Rosette");
        Event::new(call, start() + TimeDelta::minutes(minute), piece, "")
    }

    fn folded(line: &str) -> String {
        let mut file = File::default();
        file.line(line);
        file.0
    }

    fn unfolded(text: &str) -> String {
        text.replace("\r\n ", "")
    }

    #[test]
    fn a_file_as_the_standard_has_it() {
        let calendar = Calendar::default().next(vec![event(Call::Touch { coat: 1 }, 60)], start());
        let text = unfolded(&calendar.text(start()));
        let wanted = "BEGIN:VCALENDAR\r\n\
             VERSION:2.0\r\n\
             PRODID:-//Peelcast//Peelcast//EN\r\n\
             CALSCALE:GREGORIAN\r\n\
             BEGIN:VEVENT\r\n\
             UID:job-1-piece-1-touch-1-peelcast\r\n\
             DTSTAMP:20270314T080000Z\r\n\
             DTSTART:20270314T090000Z\r\n\
             DTEND:20270314T090500Z\r\n\
             SEQUENCE:0\r\n\
             STATUS:CONFIRMED\r\n\
             TRANSP:TRANSPARENT\r\n\
             SUMMARY:Rosette: touch coat 1\r\n\
             DESCRIPTION:Touch the border of coat 1 with a gloved fingertip. Wet: wait on. Tacky: \
             the next coat can go on. Say in the app what you found: it plans the rest anew.\r\n\
             BEGIN:VALARM\r\n\
             ACTION:DISPLAY\r\n\
             TRIGGER:PT0S\r\n\
             DESCRIPTION:Rosette: touch coat 1\r\n\
             END:VALARM\r\n\
             END:VEVENT\r\n\
             END:VCALENDAR\r\n";
        assert_eq!(text, wanted);
    }

    #[test]
    fn a_changed_plan_moves_its_events_and_cancels_what_vanished() {
        let touch = |minute| event(Call::Touch { coat: 1 }, minute);
        let peel = |minute| event(Call::Peel, minute);
        let first = Calendar::default().next(vec![touch(60), peel(300)], start());
        assert_eq!(first.sequence, 0);
        // Asked again, and asked in another order: nothing changed.
        assert_eq!(first.next(vec![peel(300), touch(60)], start()), first);

        let second = first.next(vec![peel(320)], start());
        assert_eq!(second.sequence, 1);
        let [gone, moved] = second.events.as_slice() else {
            panic!("{second:?}")
        };
        assert_eq!(
            (gone.uid.as_str(), gone.cancelled),
            (touch(60).uid.as_str(), true)
        );
        assert_eq!(moved, &peel(320));
        let text = second.text(start());
        assert_eq!(text.matches("SEQUENCE:1\r\n").count(), 2);
        assert_eq!(text.matches("STATUS:CANCELLED").count(), 1);
        assert_eq!(text.matches("BEGIN:VALARM").count(), 1);
        assert!(text.contains("SUMMARY:No longer planned: Rosette: touch coat 1"));

        // What is cancelled stays so, and a step that comes back rings again.
        let third = second.next(vec![peel(330)], start());
        assert_eq!((third.sequence, third.events[0].cancelled), (2, true));
        let fourth = third.next(vec![touch(70), peel(330)], start());
        assert_eq!(fourth.sequence, 3);
        assert_eq!(fourth.events, [touch(70), peel(330)]);

        // What rang already is not cancelled, and no reason for a new file.
        let later = start() + TimeDelta::minutes(90);
        let fifth = fourth.next(vec![peel(330)], later);
        assert_eq!(
            (fifth.sequence, fifth.events.as_slice()),
            (3, &[peel(330)][..])
        );
        let sixth = fifth.next(vec![], later).next(vec![peel(400)], later);
        assert_eq!(
            (sixth.sequence, sixth.events.as_slice()),
            (5, &[peel(400)][..])
        );

        let stored = serde_json::to_string(&third).unwrap();
        assert_eq!(serde_json::from_str::<Calendar>(&stored).unwrap(), third);
    }

    #[test]
    fn long_lines_are_folded_at_75_octets_and_no_letter_is_cut() {
        assert_eq!(folded(&"x".repeat(75)), format!("{}\r\n", "x".repeat(75)));
        // 112 octets: 75, and 37 behind a space.
        let line = folded(&"x".repeat(112));
        let lengths: Vec<usize> = line.split_terminator("\r\n").map(str::len).collect();
        assert_eq!(lengths, [75, 38]);
        let line = folded(&("x".repeat(74) + "é€𝄞"));
        assert_eq!(line, "x".repeat(74) + "\r\n é€𝄞\r\n");
    }

    #[test]
    fn what_the_standard_keeps_for_itself_is_escaped() {
        assert_eq!(escaped("a,b;c\\d:e\"f"), "a\\,b\\;c\\\\d:e\"f");
        assert_eq!(escaped("a\r\nb\nc\rd\u{7}\te"), "a\\nb\\nc\\nd\te");
    }

    #[test]
    fn a_clock_beyond_the_form_has_no_event() {
        let mut late = event(Call::Patch, 0);
        late.at = DateTime::<Utc>::MAX_UTC;
        let text = Calendar::default()
            .next(vec![late, event(Call::Peel, 9)], start())
            .text(start());
        assert_eq!(text.matches("BEGIN:VEVENT").count(), 1);
        assert_eq!(moment(DateTime::<Utc>::MIN_UTC), None);
    }

    proptest! {
        #[test]
        fn every_line_is_short_and_every_text_comes_back(text in "(?s).{0,300}", name in ".{0,90}") {
            let event = Event::new(Call::Peel, start(), ("id", &name), &text);
            let file = Calendar::default().next(vec![event.clone()], start()).text(start());
            prop_assert!(file.split_terminator("\r\n").all(|line| line.len() <= LONGEST));
            prop_assert!(!file.replace("\r\n", "").contains(['\r', '\n']));
            let whole = unfolded(&file);
            let line = whole.lines().find_map(|line| line.strip_prefix("DESCRIPTION:")).unwrap();
            let mut back = String::new();
            let mut letters = line.chars();
            while let Some(letter) = letters.next() {
                back.push(match letter {
                    '\\' => match letters.next().unwrap() {
                        'n' => '\n',
                        other => other,
                    },
                    letter => letter,
                });
            }
            let plain: String = event.text.replace("\r\n", "\n").replace('\r', "\n")
                .chars().filter(|c| !c.is_control() || matches!(c, '\n' | '\t')).collect();
            prop_assert_eq!(back, plain);
        }
    }
}
