//! A record may come from anywhere. Whatever it holds, nothing that follows from it panics or
//! hangs: there is an answer or a sentence.

use chrono::{DateTime, TimeZone, Utc};
use peelcast::clock::alerts;
use peelcast::coating::Stock;
use peelcast::job::sheet::{Style, sheet};
use peelcast::job::{Job, Memory};
use peelcast::quantity::show::System;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};
use std::sync::LazyLock;

static FIXTURE: LazyLock<Value> = LazyLock::new(|| {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/jobs/v1.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
});

fn strange() -> impl Strategy<Value = Value> {
    let numbers = [
        0.0,
        -0.0,
        1e-300,
        -1.0,
        0.5,
        1e9,
        1e15,
        1e300,
        -1e300,
        4_294_967_295.0,
    ];
    prop_oneof![
        select(numbers.to_vec()).prop_map(Value::from),
        select(vec![0_u64, 1, 7, 4_294_967_295, u64::MAX]).prop_map(Value::from),
        Just(Value::Null),
        Just(json!([])),
        Just(json!("")),
        Just(json!([[1.0, 2.0], [1.0, 2.0], [1.0, 2.0], [1.0, 2.0]])),
        Just(json!("+262142-12-31T23:59:59.999999999Z")),
        Just(json!("-262143-01-01T00:00:00Z")),
        Just(json!("1970-01-01T00:00:00Z")),
        ".{0,6}".prop_map(Value::from),
    ]
}

/// All places in a record, outermost first.
fn places(value: &Value, path: String, all: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                places(value, format!("{path}/{key}"), all);
            }
        }
        Value::Array(items) => {
            for (i, value) in items.iter().enumerate() {
                places(value, format!("{path}/{i}"), all);
            }
        }
        _ => {}
    }
    all.push(path);
}

fn use_all(job: &Job, system: System) {
    let now = Utc.with_ymd_and_hms(2026, 11, 25, 12, 0, 0).unwrap();
    let clock = |at: DateTime<Utc>| at.to_rfc3339();
    let style = Style {
        system,
        now,
        today: now.date_naive(),
        stock: &Stock::default(),
        memory: &Memory::default(),
        clock: &clock,
    };
    assert_eq!(sheet(job, &style).len(), job.pieces.len());
    for piece in &job.pieces {
        let _ = piece.stage();
        if let Ok(progress) = piece.progress(now) {
            let _ = alerts(&progress, ("id", "name"));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn strange_values_give_answers_or_sentences(
        changes in vec((any::<Index>(), strange()), 1..4),
        system in select(vec![System::Metric, System::UsCustomary]),
    ) {
        let mut record = FIXTURE.clone();
        for (at, value) in changes {
            let mut all = Vec::new();
            places(&record, String::new(), &mut all);
            let place = &all[at.index(all.len() - 1)];
            if let Some(here) = record.pointer_mut(place) {
                *here = value;
            }
        }
        if let Ok(job) = Job::from_value(record) {
            use_all(&job, system);
        }
    }
}
