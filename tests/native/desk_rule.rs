//! The program `desk` with a photo of a rule: two readings become all ticks between them.

use crate::run::desk;
use nalgebra::{Matrix3, Rotation3, Vector3};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

const SIZE: [u32; 2] = [1300, 360];
const FOCAL: f64 = 1200.0;
const CENTER: [f64; 2] = [649.5, 179.5];
/// Two places on the rule's edge that a thumb marks, and how far it is off, in pixels.
const MARKS: [(f64, [f64; 2]); 2] = [(10.0, [3.0, -4.0]), (190.0, [-4.0, 3.0])];
/// A panel beside the rule, on the wall.
const PANEL: [[f64; 2]; 4] = [[40.0, -35.0], [140.0, -35.0], [140.0, -5.0], [40.0, -5.0]];

/// The camera's turn before the wall: from the wall's frame (x right, y down, z into it).
fn turn() -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Vector3::x_axis(), 0.12)
        * Rotation3::from_axis_angle(&Vector3::y_axis(), 0.30)
}

/// From places on the wall, in millimetres, to pixels. Reading 0 is the wall's zero.
fn seen() -> Matrix3<f64> {
    let turn = turn();
    let away = turn * Vector3::new(-100.0, 15.0, 0.0) + Vector3::new(0.0, 0.0, 235.0);
    let lens = Matrix3::new(FOCAL, 0.0, CENTER[0], 0.0, FOCAL, CENTER[1], 0.0, 0.0, 1.0);
    let axes = turn.matrix();
    lens * Matrix3::from_columns(&[axes.column(0).into(), axes.column(1).into(), away])
}

fn mapped(map: &Matrix3<f64>, p: [f64; 2]) -> [f64; 2] {
    let v = map * Vector3::new(p[0], p[1], 1.0);
    [v[0] / v[2], v[1] / v[2]]
}

/// Brightness of the wall: a rule 20 mm wide with millimetre ticks along its upper edge.
fn bright(p: [f64; 2]) -> f64 {
    let on_rule = (-3.0..=203.0).contains(&p[0]) && (0.0..=20.0).contains(&p[1]);
    if !on_rule {
        return 0.15;
    }
    let number = p[0].round();
    let long = match number as i64 {
        n if n % 10 == 0 => 7.0,
        n if n % 5 == 0 => 5.5,
        _ => 4.0,
    };
    let tick = (p[0] - number).abs() < 0.12 && p[1] < long && (0.0..=200.0).contains(&number);
    if tick { 0.05 } else { 0.6 }
}

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("rule");
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    folder
}

fn draw(file: &Path) {
    const SAMPLES: u32 = 3;
    let back = seen().try_inverse().expect("the wall is seen");
    let light = |x: u32, y: u32| {
        let share = f64::from(SAMPLES);
        let place = |at: u32, i: u32| f64::from(at) + (f64::from(i) + 0.5) / share - 0.5;
        let sum: f64 = (0..SAMPLES * SAMPLES)
            .map(|i| {
                bright(mapped(
                    &back,
                    [place(x, i % SAMPLES), place(y, i / SAMPLES)],
                ))
            })
            .sum();
        ((sum / share.powi(2)).powf(1.0 / 2.2) * 255.0).round() as u8
    };
    let data: Vec<u8> = (0..SIZE[1])
        .flat_map(|y| (0..SIZE[0]).map(move |x| (x, y)))
        .map(|(x, y)| light(x, y))
        .collect();
    let out = std::fs::File::create(file).expect("the folder can be written");
    let mut encoder = png::Encoder::new(out, SIZE[0], SIZE[1]);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().expect("a sound header");
    writer.write_image_data(&data).expect("a whole picture");
}

fn request(claimed: [f64; 2]) -> Value {
    let map = seen();
    let down = turn() * Vector3::y();
    let ticks: Vec<Value> = MARKS
        .iter()
        .zip(claimed)
        .map(|((mm, off), claimed)| {
            let px = mapped(&map, [*mm, 0.0]);
            json!({"kind": "tick", "px": [px[0] + off[0], px[1] + off[1]], "at_mm": claimed, "rule": "a"})
        })
        .collect();
    json!({
        "image_size_px": SIZE,
        "lens": {
            "focal_px": FOCAL, "focal_sd_px": 6.0, "center_px": CENTER,
            "k1": 0.0, "k2": 0.0, "k_sd": 0.002,
        },
        "gravity": [down[0], down[1], down[2]],
        "evidence": ticks,
        "outline_px": PANEL.map(|p| mapped(&map, p)),
        "photo": "rule.png",
        "find": ["ticks"],
    })
}

/// Value and half width of the area's range.
fn area(answer: &Value) -> [f64; 2] {
    let number = |name: &str| {
        answer["footprint_mm2"][name]
            .as_f64()
            .unwrap_or_else(|| panic!("{answer}"))
    };
    [number("value"), (number("high95") - number("low95")) / 2.0]
}

#[test]
fn two_readings_become_all_ticks_between_them() {
    let folder = folder();
    draw(&folder.join("rule.png"));
    let sound = request([10.0, 190.0]);
    let answer = desk(&folder, &sound);
    let rule = &answer["found"]["rules"][0];
    assert_eq!(rule["division"], "millimetre", "{answer}");
    let ticks = rule["ticks"].as_array().unwrap();
    assert!(ticks.len() >= 150, "{}", ticks.len());
    for tick in ticks {
        let number = |v: &Value| v.as_f64().unwrap();
        let truth = mapped(&seen(), [number(&tick["at_mm"]), 0.0]);
        let off = (number(&tick["px"][0]) - truth[0]).hypot(number(&tick["px"][1]) - truth[1]);
        assert!(off < 0.4, "{tick} is {off} px off");
    }
    let truth = 100.0 * 30.0;
    let [value, half] = area(&answer);
    let mut plain = sound.clone();
    plain["find"] = json!([]);
    let [_, loose] = area(&desk(&folder, &plain));
    assert!((value - truth).abs() < half, "{value} +- {half}");
    assert!(
        half < 0.05 * truth && half < loose / 3.0,
        "{half}, {loose} without"
    );

    // A reading that is wrong by ten is not believed: the marks stay, with a note.
    let wrong = desk(&folder, &request([10.0, 200.0]));
    let notes = wrong["notes"].to_string();
    assert!(notes.contains("don't fit their readings"), "{wrong}");
    assert_eq!(wrong["found"]["rules"], json!([]));
}
