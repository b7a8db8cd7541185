//! Questions between the page and its worker: JSON text, and a small photo to ask about.

use crate::change::{bytes, value};
use crate::record::{now, records};
use crate::run::{Limits, alone, count, target};
use fastrand::Rng;
use peelcast::clock::day;
use peelcast::darkroom::{Answer, Ask, Darkroom, Photo, SweepAnswer, SweepAsk};
use peelcast::job::{Job, Memory};
use peelcast::survey::ImageSize;
use serde_json::{Value, json};
use std::cell::RefCell;

const SIZE: ImageSize = ImageSize {
    width: 200,
    height: 200,
};

/// A white card on a dark wall.
fn darkroom() -> Darkroom {
    let light = |x: u32, y: u32| {
        if (60..160).contains(&x) && (80..150).contains(&y) {
            220
        } else {
            60
        }
    };
    let row = |y| (0..200).flat_map(move |x| [light(x, y), light(x, y), light(x, y), 255]);
    let mut photo = Photo::new(SIZE, SIZE);
    photo.push(&(0..200).flat_map(row).collect::<Vec<u8>>());
    Darkroom::new(photo)
}

fn sound() -> Vec<Value> {
    let job = Job::from_value(records().remove(1)).expect("a sound record");
    let piece = job
        .pieces
        .iter()
        .find(|piece| piece.footprint().is_ok())
        .expect("a measured one");
    let wall = piece.wall(0).expect("it is measured");
    let mut sight = wall.sight();
    sight.image_size_px = SIZE;
    let ring = json!([[50.0, 70.0], [170.0, 70.0], [170.0, 160.0], [50.0, 160.0]]);
    let corners: Vec<Value> = (0..12_u32)
        .map(|i| json!({"column": i % 4, "row": i / 4, "px": [40.0 + 30.0 * f64::from(i % 4), 50.0 + 31.0 * f64::from(i / 4)]}))
        .collect();
    let view = json!({"size": {"width": 200, "height": 200}, "corners": corners});
    vec![
        json!({"corners": {"near": [[63.0, 77.0], [158.0, 151.0]], "reach_px": 40.0}}),
        json!({"ticks": {"readings": [[[60.0, 80.0], 0.0], [[160.0, 80.0], 100.0]], "reach_px": 9.0}}),
        json!({"ring": {"ring_px": ring}}),
        json!({"trace": {"from": [60.0, 80.0], "to": [160.0, 150.0]}}),
        json!({"settle": {"ring": ring, "closed": true, "reach_px": 12.0}}),
        json!({"flat": {"sight": sight, "frame": {"width": 90, "height": 60, "mm_per_px": 1.0, "origin": [0.0, 0.0], "right": [1.0, 0.0], "down": [0.0, 1.0]}}}),
        json!("grid"),
        json!({"lens": {"views": [view, view, view]}}),
        json!({"stroke": {"ornament": true, "path": [[70.0, 90.0], [90.0, 95.0]], "radius_px": 9.0}}),
    ]
}

#[test]
fn questions_about_a_photo() {
    let sound = sound();
    let known = |ask: &&Value| serde_json::from_value::<Ask>((**ask).clone()).is_ok();
    let unknown: Vec<&Value> = sound.iter().filter(|ask| !known(ask)).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
    let texts: Vec<Vec<u8>> = sound
        .iter()
        .map(|ask| ask.to_string().into_bytes())
        .collect();
    let limits = Limits {
        seconds: 8.0,
        megabytes: 100.0,
    };
    let make = |rng: &mut Rng| match rng.u8(0..5) {
        0 => bytes(rng, &texts),
        _ => value(rng, &sound).to_string().into_bytes(),
    };
    let darkroom = RefCell::new(darkroom());
    target(
        "questions about a photo",
        count(3000, 1_000_000),
        &limits,
        make,
        |input| {
            let _ = serde_json::from_slice::<Answer>(input);
            let _ = serde_json::from_slice::<SweepAsk>(input);
            let _ = serde_json::from_slice::<SweepAnswer>(input);
            let Ok(ask) = serde_json::from_slice::<Ask>(input) else {
                return false;
            };
            match darkroom.borrow_mut().answer(ask, &mut |_| ()) {
                Ok(answer) => assert!(serde_json::to_string(&answer).is_ok()),
                Err(why) => assert!(!why.is_empty()),
            }
            true
        },
    );
}

#[test]
fn a_reach_beyond_the_photo_ends_with_it() {
    let _alone = alone();
    let near = vec![[63.0, 77.0]];
    let ask = Ask::Corners {
        near,
        reach_px: u64::MAX as f64,
    };
    let answer = darkroom().answer(ask, &mut |_| ());
    assert!(matches!(answer, Ok(Answer::Corners(found)) if found.len() == 1));
}

#[test]
fn what_is_out_of_all_scale_costs_no_more() {
    let _alone = alone();
    // A ring far smaller than a pixel, and a corner in the millionth row: both were found by chance.
    let ring = vec![[50.0, 70.0], [50.0, 70.00007], [50.0, 70.0]];
    let settle = Ask::Settle {
        ring,
        closed: true,
        reach_px: 12.0,
    };
    let mut lens = sound().remove(7);
    lens["lens"]["views"][0]["corners"][0]["row"] = json!(1_000_000);
    let lens: Ask = serde_json::from_value(lens).expect("it is known");
    for (ask, sound) in [(settle, true), (lens, false)] {
        let began = std::time::Instant::now();
        let answer = darkroom().answer(ask, &mut |_| ());
        assert_eq!(answer.is_ok(), sound, "{answer:?}");
        assert!(began.elapsed().as_secs_f64() < 2.0, "{:?}", began.elapsed());
    }
}

#[test]
fn questions_for_a_day() {
    let sound: Vec<Value> = records()
        .into_iter()
        .filter_map(|job| {
            let job = Job::from_value(job).ok()?;
            let plans: Vec<_> = job.pieces.iter().map(|piece| piece.plan()).collect();
            let unplanned = job
                .unplanned(&plans, &Memory::default(), &[], now(), None)
                .ok()?;
            let mut ask = unplanned.ask;
            if let Ok(plan) = ask.answer() {
                ask.before = Some(plan.steps);
            }
            serde_json::to_value(ask).ok()
        })
        .collect();
    assert!(!sound.is_empty());
    let limits = Limits {
        seconds: 20.0,
        megabytes: 300.0,
    };
    let make = |rng: &mut Rng| value(rng, &sound).to_string().into_bytes();
    target(
        "questions for a day",
        count(1000, 1_000_000),
        &limits,
        make,
        |input| {
            let Ok(ask) = serde_json::from_slice::<day::Ask>(input) else {
                return false;
            };
            match ask.answer() {
                Ok(plan) => assert!(serde_json::to_string(&plan).is_ok()),
                Err(clash) => assert!(!clash.to_string().is_empty()),
            }
            true
        },
    );
}
