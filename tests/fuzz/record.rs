//! Records of jobs: stored texts, values of any version, and all that follows from them.

use crate::change::{bytes, value};
use crate::run::{Limits, count, fewer, target};
use chrono::{DateTime, TimeZone, Utc};
use peelcast::clock::{alert, alerts, said};
use peelcast::coating::{Ground, Stock};
use peelcast::job::sheet::{Style, sheet};
use peelcast::job::storage::{Version, recover};
use peelcast::job::{Job, Line, Memory, Which, learned_from, moulds, sample_job, table};
use peelcast::quantity::show::System;
use serde_json::{Value, json};

/// The records of all versions that were ever released, and the sample.
pub fn records() -> Vec<Value> {
    let read = |name: &str| -> Value {
        let path = format!("{}/tests/fixtures/jobs/{name}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path).expect("the fixture is there");
        serde_json::from_str(&text).expect("the fixture is JSON")
    };
    let sample = sample_job(DateTime::UNIX_EPOCH);
    let sample = serde_json::to_value(sample).expect("the sample is written");
    vec![read("v1.json"), read("v2.json"), sample]
}

/// The moment at which records are looked at.
pub fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 11, 25, 12, 0, 0).unwrap()
}

/// FNV-1a, the checksum before a stored text.
fn checksum(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3)
    })
}

fn stored(rng: &mut fastrand::Rng, sound: &[Value], texts: &[Vec<u8>]) -> Vec<u8> {
    let json = match rng.u8(0..4) {
        0 => {
            let changed = bytes(rng, texts);
            String::from_utf8_lossy(&changed).into_owned()
        }
        1 => ["[", "{\"a\":"][rng.usize(..2)].repeat(rng.usize(1..100_000)),
        _ => {
            let job = value(rng, sound);
            let version = json!({"rev": 3, "at": "2026-05-03T12:00:00Z", "what": "a", "job": job});
            version.to_string()
        }
    };
    // One in fifty is told from its checksum; all others get to what is read behind it.
    let sum = if rng.u8(0..50) == 0 {
        1
    } else {
        checksum(&json)
    };
    format!("{sum:016x} {json}").into_bytes()
}

#[test]
fn stored_texts() {
    let sound = records();
    let texts: Vec<Vec<u8>> = sound
        .iter()
        .map(|job| job.to_string().into_bytes())
        .collect();
    let limits = Limits {
        seconds: 0.5,
        megabytes: 40.0,
    };
    let make = |rng: &mut fastrand::Rng| stored(rng, &sound, &texts);
    target("stored texts", fewer(), &limits, make, |input| {
        let text = String::from_utf8_lossy(input);
        let recovered = recover([&*text]);
        if let Some(version) = &recovered.version {
            // What can be read can be stored and read again.
            let again = version.encode().expect("it is stored");
            assert!(Version::decode(&again).is_ok());
        }
        assert!(
            recovered
                .sentence("a job")
                .is_none_or(|said| !said.is_empty())
        );
        recovered.version.is_some()
    });
}

#[test]
fn record_values() {
    let sound = records();
    let limits = Limits {
        seconds: 0.5,
        megabytes: 20.0,
    };
    let make = |rng: &mut fastrand::Rng| value(rng, &sound).to_string().into_bytes();
    target("record values", fewer(), &limits, make, |input| {
        let value = serde_json::from_slice(input).expect("it was made as JSON");
        match Job::from_value(value) {
            Ok(job) => {
                let line = Line::of(&job);
                assert!(line.is_sought("", Which::All));
                true
            }
            Err(why) => why.to_string().is_empty(),
        }
    });
}

/// All that the screens, the sheet, the tables and the calendar make of a record.
pub fn use_all(job: &Job, system: System) {
    let now = now();
    let clock = |at: DateTime<Utc>| at.to_rfc3339();
    let memory = Memory::of([job], &Default::default());
    let style = Style {
        system,
        now,
        today: now.date_naive(),
        stock: &Stock::default(),
        memory: &memory,
        clock: &clock,
    };
    assert_eq!(sheet(job, &style).len(), job.pieces.len());
    let _ = (
        table::kit_csv(job),
        table::log_csv(job),
        job.calendar.text(now),
    );
    let _ = (Line::of(job), moulds(std::slice::from_ref(job)));
    let _ = learned_from(std::slice::from_ref(job), &Default::default()).said(system);
    let plans: Vec<_> = job.pieces.iter().map(|piece| piece.plan()).collect();
    if let Ok(unplanned) = job.unplanned(&plans, &memory, &[], now, None) {
        let text = serde_json::to_string(&unplanned.ask).expect("a question is written");
        assert!(!text.is_empty());
    }
    for (piece, plan) in job.pieces.iter().zip(&plans) {
        let _ = (
            piece.stage(),
            piece.cast(),
            piece.patch_due(),
            piece.copy_due(),
        );
        let ground: Ground<'_> = piece.ground();
        let _ = ground.checks();
        let _ = said(&piece.coat_log, &piece.notes, system);
        for at in 0..piece.shots.len() {
            let _ = (piece.wall(at), piece.section_of(at), piece.sweepable(at));
        }
        if let Ok(plan) = plan {
            let tempo = memory.tempo(&job.id, piece);
            let progress = piece.progress_of(plan, &tempo, now);
            let _ = alerts(&progress, ("id", "name"));
            for due in &progress.timers {
                let _ = (due.left(now), due.overdue(now), alert(due, ("id", "name")));
            }
        }
    }
}

#[test]
fn all_that_follows_from_a_record() {
    let sound = records();
    let limits = Limits {
        seconds: 10.0,
        megabytes: 300.0,
    };
    let make = |rng: &mut fastrand::Rng| value(rng, &sound).to_string().into_bytes();
    let inputs = count(400, 100_000);
    target(
        "all that follows from a record",
        inputs,
        &limits,
        make,
        |input| {
            let value = serde_json::from_slice(input).expect("it was made as JSON");
            let job = Job::from_value(value);
            if let Ok(job) = &job {
                use_all(job, System::Metric);
            }
            job.is_ok()
        },
    );
}
