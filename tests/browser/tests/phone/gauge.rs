//! A section off a photo of a contour gauge: the photo comes in beside the piece's own, the card
//! and the edge of the pins are tapped, and the section is placed on the picture laid flat.

use peelcast::job::{Flat, Piece, Shows};
use peelcast::quantity::show::System;
use peelcast::survey::Px;
use peelcast_browser::journey::sample_piece as piece;
use peelcast_browser::photo::drawn;
use peelcast_browser::{Host, Phone, Screen, journey, scratch_folder};
use serde_json::json;
use std::f64::consts::PI;

/// Pixels a millimetre on the drawn photo.
const SCALE: f64 = 5.0;
/// Where the section's line begins there, and how high the section is in millimetres.
const FROM: Px = [240.0, 560.0];
const HIGH: f64 = 24.0;
const CARD: [Px; 4] = [
    [300.0, 760.0],
    [728.0, 760.0],
    [728.0, 1029.9],
    [300.0, 1029.9],
];

/// Pins hang from a bar down to the edge that the piece gave them; a card lies below.
const DRAW: &str = "
    const [card, edge, scale] = given;
    const paper = new OffscreenCanvas(1600, 1200);
    const c = paper.getContext('2d');
    c.fillStyle = '#5d5248';
    c.fillRect(0, 0, 1600, 1200);
    const [first, last] = [edge[0], edge[edge.length - 1]];
    for (let n = 0; n < edge.length; n += 1) {
        const [x, y] = edge[n];
        c.fillStyle = n % 2 ? '#c9ccd0' : '#aeb3b8';
        c.fillRect(x - scale / 2 + 0.5, 180, scale, y + 0.5 - 180);
    }
    c.fillStyle = '#23272b';
    c.fillRect(first[0] - 40, 240, last[0] - first[0] + 80, 90);
    c.fillStyle = '#ece9e2';
    c.beginPath();
    for (const [x, y] of card) c.lineTo(x + 0.5, y + 0.5);
    c.fill();
    c.fillStyle = '#b9b2a2';
    c.fillRect(card[0][0] + 40, card[0][1] + 60, 60, 46);";

/// The section in closed form: millimetres along and over the line.
fn height(along: f64, long: f64) -> f64 {
    HIGH * (PI * along / long).sin().powi(2)
}

fn on_photo(along: f64, long: f64) -> Px {
    [
        FROM[0] + SCALE * along,
        FROM[1] - SCALE * height(along, long),
    ]
}

/// Where places of the wall lie in the window, on the picture of heights.
async fn on_screen(phone: &Phone, flat: &Flat, place: [f64; 2]) -> (f64, f64) {
    let [x, y] = flat.frame.to_frame(place);
    let share = [
        (x + 0.5) / f64::from(flat.frame.width),
        (y + 0.5) / f64::from(flat.frame.height),
    ];
    let script = "const e = document.querySelector('#heights-picture'); \
        e.scrollIntoView({ block: 'start' }); const r = e.getBoundingClientRect(); \
        return [r.left + arguments[0] * r.width, r.top + arguments[1] * r.height]";
    let at = phone.js(script, share.map(|s| json!(s)).to_vec()).await;
    (at[0].as_f64().expect("x"), at[1].as_f64().expect("y"))
}

async fn line(phone: &Phone, flat: &Flat, ends: [[f64; 2]; 2]) {
    let from = on_screen(phone, flat, ends[0]).await;
    let to = on_screen(phone, flat, ends[1]).await;
    let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    phone.drag(&[from, middle, to]).await;
}

async fn sound(phone: &Phone) {
    let wide = journey::too_wide(phone).await;
    let small = journey::small_targets(phone).await;
    let covered = journey::covered_actions(phone).await;
    let none = wide.is_empty() && small.is_empty() && covered.is_empty();
    assert!(none, "{wide:?} {small:?} {covered:?}");
}

#[tokio::test]
async fn a_photo_of_a_gauge_becomes_a_section_on_the_piece() {
    let folder = scratch_folder("gauge-files");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("gauge", Screen::PHONE).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let plain = piece(&phone, "the sample", |p| p.footprint().is_ok()).await;
    let found = plain.footprint().expect("a footprint");
    let xs = || found.outline_mm.iter().map(|at| at[0]);
    let (low, high) = (
        xs().fold(f64::INFINITY, f64::min),
        xs().fold(f64::NEG_INFINITY, f64::max),
    );
    let level =
        found.outline_mm.iter().map(|at| at[1]).sum::<f64>() / found.outline_mm.len() as f64;
    // The gauge met the wall on both sides of the piece.
    let long = (high - low).round() + 10.0;
    let pins: Vec<Px> = (0..=long as u32)
        .map(|n| on_photo(f64::from(n), long))
        .collect();
    let given = vec![json!(CARD), json!(pins), json!(SCALE)];
    let file = drawn(&phone, DRAW, given, &folder.join("gauge.jpg")).await;

    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#photo").await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-section").await;
    phone.shot("photo-of-a-section").await;
    sound(&phone).await;
    phone.give_file("#photo-file", &file).await;
    let two = |p: &Piece| p.shots.len() == 2 && p.shot(1).shows == Shows::Section;
    piece(&phone, "two photos", two).await;
    phone.wait("#task-reference[aria-current]").await;
    for corner in CARD {
        journey::touch_photo(&phone, corner).await;
    }
    phone.wait("#tool-said").await;
    phone.shot("card").await;
    phone.tap("#to-outline").await;
    journey::says(&phone, "#advice", &["one end met the wall"]).await;
    assert!(!phone.has("#way-ring").await && !phone.has("#task-check:not([hidden])").await);
    phone.shot("begin").await;
    const TAPS: u32 = 14;
    for n in 0..=TAPS {
        let along = long * f64::from(n) / f64::from(TAPS);
        let [x, y] = on_photo(along, long);
        // A thumb is off by two pixels of the photo, now up, now down.
        let off = if n % 2 == 0 { 2.0 } else { -2.0 };
        journey::touch_photo(&phone, [x, y + off]).await;
        // Two taps at once would enlarge.
        tokio::time::sleep(std::time::Duration::from_millis(350)).await;
    }
    phone.shot("tapped").await;
    phone.tap("#close-outline").await;
    journey::says(&phone, "#advice", &["A section", "long", "give or take"]).await;
    phone.shot("section").await;
    sound(&phone).await;
    let tapped = piece(&phone, "the edge", |p| {
        p.shot(1).outline.len() as u32 == TAPS + 1
    })
    .await;
    let section = tapped.section_of(1).expect("a section");
    let off = |section: &peelcast::survey::Section| {
        let all = section.points.iter();
        all.map(|p| (p[1] - height(p[0], long)).abs())
            .fold(0.0, f64::max)
    };
    println!(
        "{:.1} mm long, off by {:.2} mm at most, told {:.2} mm",
        section.length().0,
        off(&section),
        section.sd.0
    );
    assert!((section.length().0 - long).abs() < 1.5);
    assert!(off(&section) < 4.0 * section.sd.0 && section.sd.0 < 1.5);
    // What is measured of the piece stands as it was.
    let same = tapped.footprint().expect("a footprint").area == found.area;
    assert!(same);

    // Pulled to the edge it is no worse, and what was tapped can be put back.
    phone.tap("#settle").await;
    let settled = piece(&phone, "settled", |p| p.shot(1).found.len() > 4).await;
    journey::says(&phone, "#tool-said", &["on the edge"]).await;
    let settled = settled.section_of(1).expect("a section");
    println!("pulled to the edge: off by {:.2} mm at most", off(&settled));
    assert!(off(&settled) <= off(&section) + 0.2);
    phone.shot("settled").await;
    let away = |p: &Piece| p.section_of(1).is_ok_and(|s| s == section);
    phone.tap("#tool-back").await;
    piece(&phone, "the taps again", away).await;

    // A point that doubles back says so; the mark is moved back.
    phone.tap("#add-hole").await;
    let [x, y] = on_photo(long - 30.0, long);
    journey::touch_photo(&phone, [x, y + 100.0]).await;
    phone.tap("#close-outline").await;
    journey::says(&phone, "#advice .error", &["point"]).await;
    phone.shot("no-section").await;
    for _ in 0..3 {
        phone.tap("#undo-mark").await;
    }
    piece(&phone, "the taps again", away).await;

    // The list tells photos of the piece from those of sections.
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    let length = peelcast::quantity::show::length(
        peelcast::quantity::Millimetres(section.length().0.round()),
        System::Metric,
    );
    journey::says(&phone, "#photo-1", &["Photo 2: a section", &length]).await;
    phone.shot("list").await;
    sound(&phone).await;
    phone.tap("#task-outline").await;
    phone.tap("#section-to-heights").await;

    // It waits on the page of heights, and a short line is told of.
    phone.wait("#profile-photo-1").await;
    let laid = "return document.querySelector('#heights-picture img')?.naturalWidth > 0";
    phone
        .wait_until("the picture lies flat", laid, vec![])
        .await;
    phone.tap("#profile-photo-1").await;
    phone.shot("points").await;
    sound(&phone).await;
    let wall = tapped.wall(0).expect("a wall");
    let flat = Flat::of(tapped.shot(0), &wall, &found, 512 * 512).expect("a picture");
    let ends = [[low - 4.0, level], [high + 3.0, level]];
    line(&phone, &flat, [ends[0], [(low + high) / 2.0, level]]).await;
    phone.tap("#profile-keep").await;
    journey::says(&phone, "#profile-wrong", &["Draw the line again"]).await;
    line(&phone, &flat, ends).await;
    phone.shot("line").await;
    phone.tap("#profile-keep").await;
    let kept = piece(&phone, "the section", |p| {
        p.relief_record.profiles.len() == 1
    })
    .await;
    let profile = &kept.relief_record.profiles[0];
    let line_long = (profile.to[0] - profile.from[0]).hypot(profile.to[1] - profile.from[1]);
    assert!((line_long - section.length().0).abs() < 1e-6);
    assert!((profile.from[0] + profile.to[0] - ends[0][0] - ends[1][0]).abs() < 8.0);
    assert!((profile.sd.0 - section.sd.0).abs() < 1e-9);
    // The page's arithmetic rounds otherwise than the desk's.
    let pairs = profile.section.iter().zip(&section.points);
    assert_eq!(profile.section.len(), section.points.len());
    assert!(
        pairs
            .flat_map(|(a, b)| a.iter().zip(b))
            .all(|(a, b)| (a - b).abs() < 1e-6)
    );
    let heights = kept.heights().expect("heights").expect("a map");
    let highest = heights.measures.highest.value.0;
    println!("the map's highest point: {highest:.1} mm");
    assert!((highest - HIGH).abs() < 5.0);
    phone.wait("#height-numbers .range").await;
    phone.shot("kept").await;
    phone.tap("#look-heights").await;
    phone.shot("map").await;
    sound(&phone).await;

    // From the other end, and the points can be cleared.
    phone.tap("#profile-photo-1").await;
    phone.tap("#profile-turn").await;
    phone.tap("#profile-clear").await;
    assert!(!phone.has("#profile table:not([hidden])").await);
}
