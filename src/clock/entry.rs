//! What was noted beside the taps, and when: the log's other half.

use super::moment::Moment;
use crate::quantity::show::{self, System};
use crate::quantity::{Celsius, Grams, iso};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What was noted. Coats and batches count from 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", try_from = "Written")]
pub enum Entry {
    /// Words.
    Note {
        /// The words.
        text: String,
    },
    /// What the scale showed for a batch, A and B together.
    Weighed {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
        /// A and B together.
        mass: Grams,
    },
    /// What stayed behind in the containers and on the tool once the batch was on, weighed.
    Leftover {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
        /// How much it was.
        mass: Grams,
    },
    /// The lot number of the paste in use.
    Lot {
        /// As the pack says it.
        text: String,
    },
    /// A reading of the temperature on site, which holds until the next one.
    Reading {
        /// What the thermometer showed.
        temperature: Celsius,
    },
}

impl Entry {
    /// Temperatures outside of this, in degrees Celsius, are slips of the finger: no paste is
    /// brushed there.
    pub const ON_SITE: std::ops::RangeInclusive<f64> = -30.0..=70.0;

    /// What was noted, for the log that people read.
    pub fn said(&self, system: System) -> String {
        match self {
            Self::Note { text } => text.trim().to_owned(),
            Self::Weighed { coat, batch, mass } => say!(
                "Coat {coat}, batch {batch}: {mass} mixed",
                coat,
                batch,
                mass = show::mass(*mass, system)
            ),
            Self::Leftover { coat, batch, mass } => say!(
                "Coat {coat}, batch {batch}: {mass} left in the containers and on the tool",
                coat,
                batch,
                mass = show::mass(*mass, system)
            ),
            Self::Lot { text } => say!("Lot {lot}", lot = text.trim()),
            Self::Reading { temperature } => {
                say!(
                    "{temperature} on site",
                    temperature = show::temperature(*temperature, system)
                )
            }
        }
    }
}

/// An entry as it is written, all fields side by side: a quarter of the code that reading a
/// tagged enum takes.
#[derive(Deserialize)]
struct Written {
    kind: Kind,
    #[serde(default)]
    text: String,
    #[serde(default)]
    coat: u32,
    #[serde(default)]
    batch: u32,
    mass: Option<Grams>,
    temperature: Option<Celsius>,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    Note,
    Weighed,
    Leftover,
    Lot,
    Reading,
}

impl TryFrom<Written> for Entry {
    type Error = &'static str;

    fn try_from(written: Written) -> Result<Self, Self::Error> {
        let Written {
            text, coat, batch, ..
        } = written;
        let mass = written
            .mass
            .ok_or(tr("a batch that was weighed has its mass"));
        let temperature = written
            .temperature
            .ok_or(tr("a reading has its temperature"));
        Ok(match written.kind {
            Kind::Note => Self::Note { text },
            Kind::Weighed => Self::Weighed {
                coat,
                batch,
                mass: mass?,
            },
            Kind::Leftover => Self::Leftover {
                coat,
                batch,
                mass: mass?,
            },
            Kind::Lot => Self::Lot { text },
            Kind::Reading => Self::Reading {
                temperature: temperature?,
            },
        })
    }
}

/// An entry with its time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LogNote {
    /// When it was so, by the phone's clock.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// What was noted.
    pub entry: Entry,
}

/// The temperatures on site, in the order of their times; each holds until the next one. What no
/// thermometer on a site shows is passed over.
pub fn readings(notes: &[LogNote]) -> Vec<(DateTime<Utc>, Celsius)> {
    let reading = |note: &LogNote| match note.entry {
        Entry::Reading { temperature } if Entry::ON_SITE.contains(&temperature.0) => {
            Some((note.at, temperature))
        }
        _ => None,
    };
    let mut all: Vec<_> = notes.iter().filter_map(reading).collect();
    all.sort_by_key(|(at, _)| *at);
    all
}

/// The lot numbers, each once, in the order in which they were noted.
pub fn lots(notes: &[LogNote]) -> Vec<&str> {
    let mut all = Vec::new();
    for note in notes {
        if let Entry::Lot { text } = &note.entry {
            let lot = text.trim();
            if !lot.is_empty() && !all.contains(&lot) {
                all.push(lot);
            }
        }
    }
    all
}

/// What was weighed for a batch and what of it stayed behind, as it was noted last before `until`:
/// a batch that was lost and mixed anew is weighed anew.
pub fn masses(
    notes: &[LogNote],
    (coat, batch): (u32, u32),
    until: DateTime<Utc>,
) -> (Option<Grams>, Option<Grams>) {
    let (mut weighed, mut left) = (None, None);
    for note in notes.iter().filter(|note| note.at < until) {
        match note.entry {
            Entry::Weighed {
                coat: c,
                batch: b,
                mass,
            } if (c, b) == (coat, batch) => weighed = Some(mass),
            Entry::Leftover {
                coat: c,
                batch: b,
                mass,
            } if (c, b) == (coat, batch) => left = Some(mass),
            _ => {}
        }
    }
    (weighed, left)
}

/// All that happened, for the log that people read: the taps in the order in which they were made,
/// and each note before the first tap that came after it.
pub fn said(log: &[Moment], notes: &[LogNote], system: System) -> Vec<(DateTime<Utc>, String)> {
    let mut notes: Vec<&LogNote> = notes.iter().collect();
    notes.sort_by_key(|note| note.at);
    let mut notes = notes.into_iter().peekable();
    let mut all = Vec::new();
    let told = |note: &LogNote| (note.at, note.entry.said(system));
    for moment in log {
        while let Some(note) = notes.next_if(|note| note.at < moment.at) {
            all.push(told(note));
        }
        all.push((moment.at, moment.tap.said()));
    }
    all.extend(notes.map(told));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Tap;
    use chrono::TimeDelta;
    use serde_json::json;

    fn at(minute: i64) -> DateTime<Utc> {
        DateTime::UNIX_EPOCH + TimeDelta::minutes(minute)
    }

    fn note(minute: i64, entry: Entry) -> LogNote {
        LogNote {
            at: at(minute),
            entry,
        }
    }

    fn reading(minute: i64, celsius: f64) -> LogNote {
        let temperature = Celsius(celsius);
        note(minute, Entry::Reading { temperature })
    }

    fn lot(minute: i64, text: &str) -> LogNote {
        note(minute, Entry::Lot { text: text.into() })
    }

    #[test]
    fn every_entry_is_read_as_it_was_written() {
        let (coat, batch, mass) = (2, 1, Grams(61.5));
        let all = vec![
            note(
                0,
                Entry::Note {
                    text: "Sun on the wall.".into(),
                },
            ),
            note(1, Entry::Weighed { coat, batch, mass }),
            note(2, Entry::Leftover { coat, batch, mass }),
            lot(3, "A 17"),
            reading(4, 17.5),
        ];
        let written = serde_json::to_value(&all).unwrap();
        assert_eq!(
            written[1],
            json!({
                "at": "1970-01-01T00:01:00Z",
                "entry": {"kind": "weighed", "coat": 2, "batch": 1, "mass": 61.5}
            })
        );
        assert_eq!(
            serde_json::from_value::<Vec<LogNote>>(written).unwrap(),
            all
        );
        for (half, why) in [
            (json!({"kind": "weighed", "coat": 1, "batch": 1}), "mass"),
            (json!({"kind": "reading"}), "temperature"),
            (json!({"kind": "weather"}), "unknown variant"),
        ] {
            let said = serde_json::from_value::<Entry>(half).unwrap_err();
            assert!(said.to_string().contains(why), "{said}");
        }
    }

    #[test]
    fn readings_stand_in_the_order_of_their_times_and_slips_are_passed_over() {
        let notes = [
            reading(60, 21.0),
            lot(1, "B"),
            reading(0, 12.0),
            reading(30, 2100.0),
        ];
        let found = readings(&notes);
        assert_eq!(found, [(at(0), Celsius(12.0)), (at(60), Celsius(21.0))]);
    }

    #[test]
    fn a_lot_is_named_once() {
        let notes = [lot(0, " A 17 "), lot(1, "B 3"), lot(2, "A 17"), lot(3, " ")];
        assert_eq!(lots(&notes), ["A 17", "B 3"]);
    }

    #[test]
    fn a_batch_mixed_anew_is_weighed_anew() {
        let (coat, batch) = (1, 2);
        let weighed = |minute, grams| {
            let mass = Grams(grams);
            note(minute, Entry::Weighed { coat, batch, mass })
        };
        let mass = Grams(9.0);
        let notes = [
            weighed(0, 60.0),
            weighed(20, 58.0),
            note(30, Entry::Leftover { coat, batch, mass }),
        ];
        let by = |minute| masses(&notes, (coat, batch), at(minute));
        assert_eq!(by(0), (None, None));
        assert_eq!(by(20), (Some(Grams(60.0)), None));
        assert_eq!(by(99), (Some(Grams(58.0)), Some(Grams(9.0))));
        assert_eq!(masses(&notes, (2, 2), at(99)), (None, None));
    }

    #[test]
    fn notes_stand_between_the_taps_by_their_times() {
        let tap = |minute, tap| Moment {
            at: at(minute),
            tap,
        };
        let (coat, batch) = (1, 1);
        // The phone's clock was set back by ten minutes after the first tap.
        let log = [
            tap(10, Tap::StartMix { coat, batch }),
            tap(3, Tap::StartBrush { coat, batch }),
        ];
        let notes = [reading(12, 17.6), lot(0, "A 17"), lot(10, "B 3")];
        let all = said(&log, &notes, System::Metric);
        let lines: Vec<&str> = all.iter().map(|(_, line)| line.as_str()).collect();
        assert_eq!(
            lines,
            [
                "Lot A 17",
                "Coat 1, batch 1: A and B together",
                "Coat 1, batch 1: brushing",
                "Lot B 3",
                "18 °C on site",
            ]
        );
        assert_eq!(all[1].0, at(10));
        let american = said(&[], &notes[..1], System::UsCustomary);
        assert_eq!(american[0].1, "64 °F on site");
    }
}
