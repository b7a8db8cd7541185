//! The tools that look into the photo, by touch: corners, ring, strokes, distances, heights, more
//! photos and the viewfinder. What they store is compared with the truth of the drawn photo.

use peelcast::darkroom::MOST_FLAT_PX;
use peelcast::job::{Flat, Job, Piece};
use peelcast::survey::{Px, Reference};
use peelcast_browser::{Host, Phone, Photo, Screen, journey, scratch_folder};
use serde_json::json;
use std::time::Duration;

const SAMPLE: &str = "Plaque in the orangery (sample)";

async fn sample(phone: &Phone) -> Job {
    journey::job_named(phone, SAMPLE).await
}

/// The sample's piece, once it is as `is` wants it.
async fn piece(phone: &Phone, what: &str, is: impl Fn(&Piece) -> bool) -> Piece {
    for _ in 0..200 {
        let piece = sample(phone).await.pieces.remove(0);
        if is(&piece) {
            return piece;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    phone.shot("not-so").await;
    panic!("{what}: never stored");
}

fn corners(piece: &Piece) -> &[Px] {
    match &piece.shot(0).reference {
        Some(Reference::Rectangle { corners, .. }) => corners,
        other => panic!("{other:?}"),
    }
}

fn area(piece: &Piece) -> f64 {
    let found = piece.shot(0).footprint(piece.posture);
    found.expect("a footprint").area.value.0
}

async fn opened(name: &str) -> (Host, Phone) {
    let folder = scratch_folder(&format!("{name}-host"));
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new(name, Screen::PHONE).await;
    phone.open(&host.url("")).await;
    phone.wait("#new-job").await;
    sample(&phone).await;
    let measure = journey::sample_page(&phone, "measure").await;
    journey::go(&phone, &measure).await;
    phone.wait("#photo").await;
    (host, phone)
}

#[tokio::test]
async fn a_thumb_beside_the_corners_still_means_them() {
    let (_host, phone) = opened("corners").await;
    let photo = Photo::sample();
    phone.tap("#task-reference").await;
    for _ in 0..4 {
        let first = ".handle";
        phone.tap(first).await;
        phone.tap("#remove-mark").await;
    }
    piece(&phone, "no corners", |p| corners(p).is_empty()).await;
    phone.choose("#reference-kind", "card").await;
    let off = [[7.0, -6.0], [-8.0, -4.0], [-5.0, 8.0], [6.0, 5.0]];
    for (corner, off) in photo.card.iter().zip(off) {
        journey::touch_photo(&phone, [corner[0] + off[0], corner[1] + off[1]]).await;
    }
    phone.wait("#tool-said").await;
    phone.shot("found").await;
    let found = piece(&phone, "corners", |p| !p.shot(0).found.is_empty()).await;
    assert_eq!(found.shot(0).found.len(), 4, "{:?}", found.shot(0).found);
    for (corner, truth) in corners(&found).iter().zip(&photo.card) {
        let away = (corner[0] - truth[0]).hypot(corner[1] - truth[1]);
        assert!(away < 1.0, "{away} px from its corner");
    }
    phone.tap("#tool-back").await;
    let back = piece(&phone, "put back", |p| p.shot(0).found.is_empty()).await;
    let away = corners(&back)[0][0] - photo.card[0][0];
    assert!((away - 7.0).abs() < 2.0, "as it was tapped: {away}");
}

#[tokio::test]
async fn a_loose_ring_becomes_the_outline_and_strokes_better_it() {
    let (_host, phone) = opened("ring").await;
    let photo = Photo::sample();
    let before = piece(&phone, "the sample", |p| !p.shot(0).outline.is_empty()).await;
    phone.tap("#task-outline").await;
    phone.tap("#way-ring").await;
    let count = photo.outline.len() as f64;
    let middle = [0, 1].map(|k| photo.outline.iter().map(|p| p[k]).sum::<f64>() / count);
    let mut ring = Vec::new();
    for point in photo.outline.iter().chain(&photo.outline[..1]) {
        let wide = [0, 1].map(|k| middle[k] + 1.13 * (point[k] - middle[k]));
        ring.push(phone.photo_place("#photo", wide).await);
    }
    phone.drag(&ring).await;
    let ringed = piece(&phone, "an outline", |p| {
        p.shot(0).outline != before.shot(0).outline
    })
    .await;
    phone.shot("ringed").await;
    let off = area(&ringed) / photo.area_mm2 - 1.0;
    println!("the ring's area is off by {:.2} %", 100.0 * off);
    assert!(off.abs() < 0.05, "{off}");
    // Part of the plaque is taken away and given back.
    phone.tap("#pen-take").await;
    let stroke = |y: f64| [[middle[0] - 60.0, y], [middle[0] + 60.0, y]];
    let mut path = Vec::new();
    for place in stroke(middle[1]) {
        path.push(phone.photo_place("#photo", place).await);
    }
    phone.drag(&path).await;
    let less = piece(&phone, "less", |p| area(p) < 0.99 * area(&ringed)).await;
    phone.tap("#pen-add").await;
    phone.drag(&path).await;
    piece(&phone, "more again", |p| area(p) > 1.005 * area(&less)).await;
    phone.shot("stroked").await;
}

#[tokio::test]
async fn a_distance_on_the_flat_picture_is_true_and_printed() {
    let (_host, phone) = opened("distance").await;
    phone.tap("#task-check").await;
    let flat = "const p = document.querySelector('#check-progress'); return !!p && p.hidden";
    phone
        .wait_until("the picture lies flat", flat, vec![])
        .await;
    let before = piece(&phone, "the sample", |_| true).await;
    let shot = before.shot(0);
    let wall = shot.wall(before.posture).expect("a wall");
    let found = shot.footprint_on(&wall).expect("a footprint");
    let frame = Flat::of(shot, &wall, &found, MOST_FLAT_PX)
        .expect("a photo")
        .frame;
    // The card's long side.
    for corner in &corners(&before)[..2] {
        let at = frame.to_frame(wall.to_wall(*corner).expect("on the wall"));
        let place = phone.photo_place("#rectified", at).await;
        phone.touch(place.0, place.1).await;
        tokio::time::sleep(Duration::from_millis(500)).await;
    }
    let after = piece(&phone, "a distance", |p| p.shot(0).distances.len() == 1).await;
    phone.unfold("#distance-0-remove").await;
    phone.shot("measured").await;
    let measured = &after.shot(0).measured(&wall, &frame)[0].length;
    println!("a card of 85.60 mm is measured as {measured:?}");
    assert!((measured.value.0 - 85.6).abs() < 1.5, "{measured:?}");
    let sheet = format!("#/job/{}/sheet", sample(&phone).await.id);
    journey::go(&phone, &sheet).await;
    phone.wait(".outline image").await;
    phone.wait_text("Distance 1").await;
    phone.shot("sheet").await;
}

#[tokio::test]
async fn an_edge_before_the_wall_covers_less_and_other_references_are_asked_for() {
    let (_host, phone) = opened("heights").await;
    let before = piece(&phone, "the sample", |_| true).await;
    phone.tap("#task-outline").await;
    phone.unfold("#outline-height").await;
    phone.fill("#outline-height", "12 mm").await;
    let after = piece(&phone, "a height", |p| p.shot(0).outline_height.0 == 12.0).await;
    assert!(area(&after) < 0.99 * area(&before));
    phone.shot("edge-height").await;
    phone.tap("#task-reference").await;
    phone.unfold("#reference-height").await;
    phone.fill("#reference-height", "-3 mm").await;
    piece(&phone, "a height", |p| p.shot(0).reference_height.0 == -3.0).await;
    phone.fill("#reference-height", "5 m").await;
    phone.wait_text("too far to measure").await;
    phone.choose("#reference-kind", "edge").await;
    phone.wait("#held-first").await;
    phone.choose("#held-first", "level").await;
    journey::touch_photo(&phone, [200.0, 700.0]).await;
    phone.fill("#reading-at", "100").await;
    phone.tap("#reading-set").await;
    phone.shot("one-edge").await;
    phone.wait_text("two different readings").await;
}

#[tokio::test]
async fn more_photos_and_the_viewfinder() {
    let (host, phone) = opened("photos").await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-more").await;
    phone.shot("more").await;
    phone.give_file("#photo-file", &Photo::sample().file).await;
    let two = piece(&phone, "two photos", |p| p.photos().count() == 2).await;
    assert!(two.shot(1).reference.is_some() && two.shot(1).outline.is_empty());
    phone.wait("#photo").await;
    phone.shot("second").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-1-remove").await;
    piece(&phone, "one photo", |p| p.photos().count() == 1).await;

    phone
        .grant(&host.url(""), &["videoCapture", "sensors"])
        .await;
    let held = json!({"alpha": 0, "beta": 87.0, "gamma": 2.0});
    phone.tap("#photo-more").await;
    phone.tap("#photo-level").await;
    phone
        .cdp("DeviceOrientation.setDeviceOrientationOverride", held)
        .await;
    phone.wait_text("down 3°").await;
    phone.shot("viewfinder").await;
    phone.tap("#shutter").await;
    let seen = piece(&phone, "a photo", |p| p.photos().count() == 2).await;
    let photo = seen.photos().nth(1).expect("a photo");
    let down = photo.gravity.expect("gravity");
    assert!(down[1] > 0.99 && down[2] > 0.04, "{down:?}");
}
