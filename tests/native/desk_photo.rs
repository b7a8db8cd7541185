//! The program `desk` with a photo beside its request: marks are bettered by what it shows.

use crate::run::desk;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

const SIZE: [u32; 2] = [900, 700];
/// Where the card's corners are seen.
const CORNERS: [[f64; 2]; 4] = [
    [180.3, 150.8],
    [610.7, 171.2],
    [590.4, 449.6],
    [168.9, 420.1],
];
const CARD_MM: [[f64; 2]; 4] = [[0.0, 0.0], [85.60, 0.0], [85.60, 53.98], [0.0, 53.98]];
/// A thumb's marks, a few pixels off.
const THUMB: [[f64; 2]; 4] = [
    [184.0, 148.0],
    [607.0, 174.0],
    [594.0, 452.0],
    [166.0, 423.0],
];

/// How much of a pixel the card covers, from its distance to the four edges.
fn covered(px: [f64; 2]) -> f64 {
    let inside = (0..4)
        .map(|i| {
            let (a, b) = (CORNERS[i], CORNERS[(i + 1) % 4]);
            let d = [b[0] - a[0], b[1] - a[1]];
            (d[0] * (px[1] - a[1]) - d[1] * (px[0] - a[0])) / d[0].hypot(d[1])
        })
        .fold(f64::INFINITY, f64::min);
    (0.5 + inside / 2.0).clamp(0.0, 1.0)
}

/// Writes a picture of a bright card on a dark wall.
fn write(file: &Path, [width, height]: [u32; 2]) {
    let light = |px: [u32; 2]| {
        let linear = 0.15 + 0.55 * covered(px.map(f64::from));
        (linear.powf(1.0 / 2.2) * 255.0).round() as u8
    };
    let data: Vec<u8> = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| light([x, y]))
        .collect();
    let out = std::fs::File::create(file).expect("the folder can be written");
    let mut encoder = png::Encoder::new(out, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().expect("a sound header");
    writer.write_image_data(&data).expect("a whole picture");
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    folder
}

fn request() -> Value {
    let evidence: Vec<Value> = THUMB
        .iter()
        .zip(CARD_MM)
        .map(|(px, mm)| json!({"kind": "point", "px": px, "mm": mm}))
        .collect();
    json!({
        "image_size_px": SIZE,
        "evidence": evidence,
        // The card itself is measured: its area is known.
        "outline_px": CORNERS,
        "photo": "card.png",
        "find": ["corners"],
    })
}

fn area(answer: &Value) -> f64 {
    answer["footprint_mm2"]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("{answer}"))
}

#[test]
fn marks_go_to_the_corners_of_the_photo() {
    let folder = folder("corners");
    write(&folder.join("card.png"), SIZE);
    let answer = desk(&folder, &request());
    let found = answer["found"]["corners"].as_array().expect("corners");
    assert_eq!(found.len(), 4, "{answer}");
    for (i, (one, truth)) in found.iter().zip(CORNERS).enumerate() {
        assert_eq!(one["evidence"], i);
        let at = |k: usize| one["px"][k].as_f64().unwrap();
        let off = (at(0) - truth[0]).hypot(at(1) - truth[1]);
        assert!(off < 0.2, "corner {i} is {off} px off");
    }
    let truth = 85.60 * 53.98;
    let bettered = (area(&answer) / truth - 1.0).abs();
    let mut plain = request();
    plain["find"] = json!([]);
    let given = (area(&desk(&folder, &plain)) / truth - 1.0).abs();
    assert!(bettered < 0.001 && given > 0.002, "{bettered}, {given}");
}

#[test]
fn a_mark_far_from_any_corner_stays_and_is_told_of() {
    let folder = folder("stays");
    write(&folder.join("card.png"), SIZE);
    let mut request = request();
    request["evidence"][2] = json!({"kind": "point", "px": [277.0, 257.0], "mm": [20.0, 20.0]});
    let answer = desk(&folder, &request);
    assert_eq!(answer["found"]["corners"].as_array().unwrap().len(), 3);
    let notes = answer["notes"].to_string();
    assert!(
        notes.contains("evidence[2]: the photo shows no clear corner"),
        "{notes}"
    );
}

#[test]
fn a_photo_that_does_not_fit_is_told_of_at_its_field() {
    let folder = folder("misfit");
    write(&folder.join("small.png"), [500, 400]);
    std::fs::write(folder.join("none.png"), b"").unwrap();
    std::fs::write(folder.join("torn.png"), {
        let whole = folder.join("card.png");
        write(&whole, SIZE);
        let bytes = std::fs::read(whole).unwrap();
        bytes[..bytes.len() / 2].to_vec()
    })
    .unwrap();
    for (name, said) in [
        ("small.png", "500 x 400"),
        ("none.png", "0 bytes"),
        ("torn.png", "damaged"),
        ("nowhere.png", "can't be read"),
    ] {
        let mut request = request();
        request["photo"] = json!(name);
        let error = desk(&folder, &request)["error"].to_string();
        assert!(
            error.starts_with("\"photo: ") && error.contains(said),
            "{error}"
        );
    }
}

/// The request for the card's own outline, from a ring drawn round it.
fn ringed() -> Value {
    let mut request = request();
    request["find"] = json!(["outline"]);
    request["ring_px"] = json!([[150, 120], [640, 140], [630, 480], [380, 470], [140, 450]]);
    for (mark, px) in request["evidence"]
        .as_array_mut()
        .unwrap()
        .iter_mut()
        .zip(CORNERS)
    {
        mark["px"] = json!(px);
    }
    request.as_object_mut().unwrap().remove("outline_px");
    request
}

#[test]
fn the_outline_is_found_in_a_ring() {
    let folder = folder("ring");
    write(&folder.join("card.png"), SIZE);
    let answer = desk(&folder, &ringed());
    let error = area(&answer) / (85.60 * 53.98) - 1.0;
    assert!(error.abs() < 0.01, "{error}");
    assert!(answer["found"]["outline_px"].as_array().unwrap().len() >= 4);
    assert!(
        answer["notes"].to_string().contains("Look at it"),
        "{answer}"
    );
}

#[test]
fn a_stroke_is_obeyed_and_nonsense_named() {
    let folder = folder("strokes");
    write(&folder.join("card.png"), SIZE);
    let mut request = ringed();
    request["strokes"] = json!([
        {"says": "not this", "path_px": [[380, 200], [380, 400]], "radius_px": 10},
    ]);
    let less = area(&desk(&folder, &request)) / (85.60 * 53.98);
    assert!(less < 0.995, "{less}");
    request["strokes"][0]["says"] = json!("maybe");
    let error = desk(&folder, &request)["error"].to_string();
    assert!(error.starts_with("\"strokes[0].says: "), "{error}");
    request["strokes"] = json!([]);
    request["ring_px"] = json!([[1, 1], [2, 2]]);
    let error = desk(&folder, &request)["error"].to_string();
    assert!(error.starts_with("\"ring_px: "), "{error}");
    request.as_object_mut().unwrap().remove("ring_px");
    let error = desk(&folder, &request)["error"].to_string();
    assert!(error.starts_with("\"ring_px: "), "{error}");
}

/// The request for the card's own outline, from a thumb's taps beside its edge.
fn tapped() -> Value {
    let mut request = ringed();
    let taps: Vec<[f64; 2]> = (0..4)
        .flat_map(|i| {
            let (a, b) = (CORNERS[i], CORNERS[(i + 1) % 4]);
            [0.08, 0.36, 0.64, 0.92].map(|t| [0, 1].map(|k| a[k] + t * (b[k] - a[k])))
        })
        .zip([3.0, -2.0, -3.0, 1.0, 2.0].into_iter().cycle())
        .map(|(px, off)| [px[0] + off, px[1] + 0.5 * off])
        .collect();
    request["outline_px"] = json!(taps);
    request
}

#[test]
fn taps_go_to_the_edge_and_the_edge_is_followed_between_them() {
    let folder = folder("edge");
    write(&folder.join("card.png"), SIZE);
    let off = |found: &[Value], most: f64| {
        for px in found {
            let px = [px[0].as_f64().unwrap(), px[1].as_f64().unwrap()];
            let off = (covered(px) - 0.5) * 2.0;
            assert!(off.abs() < most, "{px:?} is {off} px off");
        }
    };
    let mut request = tapped();
    request["find"] = json!([]);
    request["outline_px"] = json!(CORNERS);
    let truth = area(&desk(&folder, &request));
    request = tapped();
    request["find"] = json!(["settle"]);
    request["settle_reach_px"] = json!(9);
    let answer = desk(&folder, &request);
    let settled = answer["found"]["settled"].as_array().expect("settled");
    assert!(settled.len() == 16 && settled.iter().all(|s| s["sd_px"].is_number()));
    off(answer["found"]["outline_px"].as_array().unwrap(), 0.3);
    // Without the corners, which no tap marks, some area is missing; the path goes round them.
    let cut = area(&answer) / truth - 1.0;
    request["find"] = json!(["settle", "trace"]);
    let answer = desk(&folder, &request);
    off(answer["found"]["outline_px"].as_array().unwrap(), 0.8);
    let whole = area(&answer) / truth - 1.0;
    assert!(cut < -0.01 && whole.abs() < 0.003, "{cut}, {whole}");
    assert!(answer["notes"].to_string().contains("Look at it"));
}

#[test]
fn taps_on_the_bare_wall_stay_and_are_told_of() {
    let folder = folder("bare");
    write(&folder.join("card.png"), SIZE);
    let mut request = tapped();
    let bare = [[700.0, 520.0], [850.0, 520.0], [850.0, 640.0]];
    request["outline_px"] = json!(bare);
    request["find"] = json!(["settle", "trace"]);
    let answer = desk(&folder, &request);
    assert_eq!(answer["found"]["settled"], json!([null, null, null]));
    assert_eq!(answer["found"]["outline_px"], json!(bare));
    let notes = answer["notes"].to_string();
    assert!(
        notes.contains("outline_px[2]: the photo shows no clear edge"),
        "{notes}"
    );
    assert!(
        notes.contains("outline_px[1]: from here on the outline goes straight"),
        "{notes}"
    );
    request["settle_reach_px"] = json!(0);
    let error = desk(&folder, &request)["error"].to_string();
    assert!(error.starts_with("\"settle_reach_px: "), "{error}");
    request["find"] = json!(["settle", "outline"]);
    let error = desk(&folder, &request)["error"].to_string();
    assert!(error.starts_with("\"find: "), "{error}");
}
