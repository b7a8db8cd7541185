//! Heights from photos as the app finds them: a piece with photos of a made-up relief, the
//! question to the picture worker, its answer in the record, and what follows from it there.

use peelcast::darkroom::{Photo, SweepAsk};
use peelcast::job::{PhotoRef, Piece, Shot};
use peelcast::quantity::{Estimate, Millimetres, Quantity};
use peelcast::survey::{ImageSize, Lens, Px, RectangleKind, Reference};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder of a relief in three photos, and what is true of it.
fn photographed(name: &str, size: [u32; 2]) -> (PathBuf, Value, Value) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let order = folder.with_extension("json");
    let wanted = json!({
        "into": folder, "field": name, "texture": "stone", "views": 3, "size_px": size, "seed": 7,
        "card_mm": 0.76,
    });
    std::fs::write(&order, wanted.to_string()).unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_relief_scene"))
        .arg(&order)
        .status();
    assert!(done.unwrap().success());
    let read = |file: &str| -> Value {
        serde_json::from_str(&std::fs::read_to_string(folder.join(file)).unwrap()).unwrap()
    };
    let (request, truth) = (read("request.json"), read("truth.json"));
    (folder, request, truth)
}

/// The piece as a user marks it: the card in each photo, the outline in the first.
fn piece(request: &Value) -> Piece {
    let mut piece = Piece::default();
    for (at, photo) in request["photos"].as_array().unwrap().iter().enumerate() {
        let corners: Vec<Px> = photo["evidence"]
            .as_array()
            .unwrap()
            .iter()
            .map(|mark| serde_json::from_value(mark["px"].clone()).unwrap())
            .collect();
        let size: ImageSize = serde_json::from_value(photo["image_size_px"].clone()).unwrap();
        let lens: Lens = serde_json::from_value(photo["lens"].clone()).unwrap();
        *piece.shot_mut(at) = Shot {
            photo: Some(PhotoRef {
                width: size.width,
                height: size.height,
                lens: Some(lens),
                ..PhotoRef::default()
            }),
            reference: Some(Reference::Rectangle {
                kind: RectangleKind::Card,
                corners,
            }),
            ..Shot::default()
        };
    }
    let outline = request["outline_px"].clone();
    piece.shot_mut(0).outline = serde_json::from_value(outline).unwrap();
    piece
}

fn opened(folder: &Path, ask: &SweepAsk) -> Vec<Photo> {
    let open = |n: usize| {
        let letter = (b'a' + n as u8) as char;
        let bytes = std::fs::read(folder.join(format!("{letter}.jpg"))).unwrap();
        let mut decoder = jpeg_decoder::Decoder::new(bytes.as_slice());
        let rgb = decoder.decode().unwrap();
        let full = ask.problems[n].image_size_px;
        let mut photo = Photo::of_light(full, full);
        let rgba: Vec<u8> = rgb
            .chunks_exact(3)
            .flat_map(|p| [p[0], p[1], p[2], 255])
            .collect();
        photo.push(&rgba);
        assert!(photo.is_whole());
        photo
    };
    (0..ask.problems.len()).map(open).collect()
}

fn check<Q: Quantity>(what: &str, found: &Estimate<Q>, truth: f64, within: f64) {
    let off = found.value.number() / truth - 1.0;
    println!(
        "{what}: {:.1} ({:.1} to {:.1}), true {truth:.1}, off {:+.2} %",
        found.value.number(),
        found.low95.number(),
        found.high95.number(),
        100.0 * off
    );
    assert!(off.abs() < within, "{what} is off by {off}");
    let inside = found.low95.number() <= truth && truth <= found.high95.number();
    assert!(inside, "{what} lies outside its range");
}

#[test]
fn three_photos_of_a_piece_tell_its_heights() {
    let (folder, request, truth) = photographed("cartouche", [2000, 1500]);
    let mut piece = piece(&request);
    assert_eq!(piece.swept_photos(), [0, 1, 2]);
    let asked = piece.to_sweep(Millimetres(50.0)).unwrap();
    // Question and answer travel as text.
    let text = serde_json::to_string(&asked.ask).unwrap();
    let ask: SweepAsk = serde_json::from_str(&text).unwrap();
    let mut told = Vec::new();
    let found = ask
        .answer(&opened(&folder, &ask), &mut |done| told.push(done))
        .unwrap();
    assert!(told.len() > 6 && told.is_sorted() && *told.last().unwrap() <= 1.0);
    assert!(found.matched > 0.8, "{}", found.matched);
    let text = serde_json::to_string(&found).unwrap();
    println!("the answer takes {} kB", text.len() / 1000);
    piece.keep_swept(&asked, serde_json::from_str(&text).unwrap());
    let text = serde_json::to_string(&piece).unwrap();
    let kept: Piece = serde_json::from_str(&text).unwrap();
    println!("the piece takes {} kB", text.len() / 1000);

    let heights = kept.heights().unwrap().unwrap();
    let measures = &heights.measures;
    let value = |name: &str| truth[name].as_f64().unwrap();
    check(
        "volume, ml",
        &measures.volume,
        value("volume_mm3") / 1000.0,
        0.04,
    );
    check(
        "surface, mm2",
        &measures.surface,
        value("surface_mm2"),
        0.05,
    );
    check("highest, mm", &measures.highest, value("highest_mm"), 0.08);
    // A range that is true of anything says nothing.
    let wide = measures.volume.sd / measures.volume.value.0;
    assert!(wide < 0.035, "{wide}");
    assert!(
        heights.sounded.notes.is_empty(),
        "{:?}",
        heights.sounded.notes
    );

    // Another outline is another place for the same heights.
    let mut moved = kept.clone();
    for px in &mut moved.shot_mut(0).outline {
        px[0] += 9.0;
    }
    let notes = moved.heights().unwrap().unwrap().sounded.notes.clone();
    assert!(
        notes
            .iter()
            .any(|note| note.contains("Compare the photos again"))
    );
}

#[test]
fn what_is_missing_for_it_is_said() {
    let (_, request, _) = photographed("cap", [800, 600]);
    let whole = piece(&request);
    let highest = Millimetres(40.0);
    assert!(whole.to_sweep(highest).is_ok());
    let mut one = whole.clone();
    one.shots.truncate(1);
    assert!(one.to_sweep(highest).unwrap_err().contains("second photo"));
    let mut unmarked = whole.clone();
    unmarked.shots[1].reference = None;
    assert_eq!(unmarked.swept_photos(), [0, 2]);
    assert!(
        unmarked
            .sweepable(1)
            .unwrap_err()
            .contains("Mark the reference")
    );
    let mut other = whole.clone();
    if let Some(Reference::Rectangle { kind, .. }) = &mut other.shots[2].reference {
        *kind = RectangleKind::A4;
    }
    assert!(
        other
            .sweepable(2)
            .unwrap_err()
            .contains("another reference")
    );
    let mut bare = whole;
    bare.shots[0].outline.clear();
    assert!(bare.to_sweep(highest).unwrap_err().contains("outline"));
}
