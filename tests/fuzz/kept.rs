//! What a phone keeps beside the records, and the file of a language: JSON of unknown state.

use crate::change::{bytes, value};
use crate::record::{now, records};
use crate::run::{Limits, many, target};
use peelcast::clock::Calendar;
use peelcast::coating::{Stock, starter_cards};
use peelcast::job::{Backups, Begun, Job, JobId, Line, Which};
use peelcast::quantity::show::System;
use peelcast::survey::ImageSize;
use peelcast::survey::calibrate::LensCard;
use peelcast::words::{Catalogue, Language, fill};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

fn read<T: DeserializeOwned>(text: &str) -> Option<T> {
    // As the phone reads it: text to a value, value to a type.
    let value: Value = serde_json::from_str(text).ok()?;
    T::deserialize(&value).ok()
}

fn written(value: &impl Serialize) -> Value {
    serde_json::to_value(value).expect("it is written")
}

#[test]
fn kept_beside_the_records() {
    let jobs = records().into_iter().map(Job::from_value);
    let jobs: Vec<Job> = jobs.map(|job| job.expect("a sound record")).collect();
    let lines: Vec<Line> = jobs.iter().map(Line::without_plan).collect();
    let mut backups = Backups::default();
    backups.add([(JobId::new("a"), 3)], now());
    let lens = json!([{"model": "Made-up 1", "focal_mm": 5.4, "size": {"width": 4000, "height": 3000},
        "lens": {"focal_px": 3000.0, "focal_sd_px": 6.0, "center_px": [2010.0, 1490.0], "k1": 0.01, "k2": 0.0, "k_sd": 0.002},
        "views": 5, "rms_px": 0.2}]);
    assert!(read::<Vec<LensCard>>(&lens.to_string()).is_some());
    let begun = Begun::from([(starter_cards()[0].id.clone(), now())]);
    let shelf = json!({"items": [{"card": "a", "mass": 1000.0, "expires": "2027-03-01"}], "left_alone": false});
    let sound = [
        written(&lines),
        written(&backups),
        lens,
        written(&begun),
        shelf,
        written(&jobs[1].calendar),
        json!(["a", "b"]),
        json!("us_customary"),
    ];
    let texts: Vec<Vec<u8>> = sound
        .iter()
        .map(|value| value.to_string().into_bytes())
        .collect();
    let limits = Limits {
        seconds: 0.5,
        megabytes: 20.0,
    };
    let make = |rng: &mut fastrand::Rng| match rng.u8(0..3) {
        0 => bytes(rng, &texts),
        _ => value(rng, &sound).to_string().into_bytes(),
    };
    target("kept beside the records", many(), &limits, make, |input| {
        let text = String::from_utf8_lossy(input);
        let listed = read::<Vec<Line>>(&text).unwrap_or_default();
        for line in &listed {
            let _ = line.is_sought("oval é", Which::ToCoat);
        }
        if let Some(backups) = read::<Backups>(&text) {
            let _ = (
                backups.is_due(&listed, now()),
                backups.sentence(&listed, now()),
            );
        }
        for card in read::<Vec<LensCard>>(&text).unwrap_or_default() {
            let size = ImageSize {
                width: 2000,
                height: 1500,
            };
            let _ = card.fits("Made-up 1", Some(5.4), size);
        }
        if let Some(stock) = read::<Stock>(&text) {
            let _ = stock.of(&starter_cards()[0]);
        }
        if let Some(calendar) = read::<Calendar>(&text) {
            let _ = calendar.next(Vec::new(), now()).text(now());
        }
        let _ = (read::<Begun>(&text), read::<Vec<String>>(&text));
        let _ = (read::<System>(&text), read::<Language>(&text));
        serde_json::from_str::<Value>(&text).is_ok()
    });
}

#[test]
fn files_of_a_language() {
    let sound = Catalogue::of([
        ("{mass} to bring", vec!["{mass} mitbringen"]),
        ("{jobs} job", vec!["{jobs} Auftrag", "{jobs} Aufträge"]),
        ("Plan", vec!["Plan"]),
    ]);
    let texts = [sound.written().into_bytes(), b"{mass} of {b} {".to_vec()];
    let limits = Limits {
        seconds: 0.5,
        megabytes: 20.0,
    };
    let make = |rng: &mut fastrand::Rng| bytes(rng, &texts);
    target("files of a language", many(), &limits, make, |input| {
        let text = String::from_utf8_lossy(input);
        assert!(fill(&text, &[("mass", &"m")]).len() <= text.len());
        let read = Catalogue::read(&text);
        if let Some(read) = &read {
            assert_eq!(Catalogue::read(&read.written()).as_ref(), Some(read));
        }
        read.is_some()
    });
}
