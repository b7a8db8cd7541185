//! The tools that look into the photo, by touch: ring, edge, strokes, distances, heights, more
//! photos and the viewfinder. What they store is compared with the truth of the drawn photo.

use peelcast::app::route::Route;
use peelcast::darkroom::MOST_FLAT_PX;
use peelcast::job::{Flat, JobId, Piece, SAMPLE_JOB};
use peelcast::survey::{Px, Reference};
use peelcast_browser::journey::sample_piece as piece;
use peelcast_browser::photo::drawn;
use peelcast_browser::{Host, Phone, Photo, Screen, journey, scratch_folder};
use serde_json::json;
use std::time::Duration;

fn corners(piece: &Piece) -> &[Px] {
    match &piece.shot(0).reference {
        Some(Reference::Rectangle { corners, .. }) => corners,
        other => panic!("{other:?}"),
    }
}

fn area(piece: &Piece) -> f64 {
    let found = piece.footprint_of(0);
    found.expect("a footprint").area.value.0
}

/// The sample's Measure page.
async fn opened(name: &str) -> (Host, Phone) {
    let phone = Phone::new(name, Screen::PHONE).await;
    opened_on(name, phone).await
}

async fn opened_on(name: &str, phone: Phone) -> (Host, Phone) {
    let folder = scratch_folder(&format!("{name}-host"));
    let host = Host::start("/", &folder.join("requests.log"));
    phone.open(&host.url("")).await;
    phone.wait(journey::READ).await;
    piece(&phone, "the sample", |_| true).await;
    let measure = journey::sample_page(&phone, "measure").await;
    journey::go(&phone, &measure).await;
    phone.wait("#photo").await;
    (host, phone)
}

/// Takes the sample's photo once more, beside the first.
async fn once_more(phone: &Phone) {
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-more").await;
    phone.shot("more").await;
    phone.give_file("#photo-file", &Photo::sample().file).await;
    piece(phone, "two photos", |p| p.photos().count() == 2).await;
    phone.wait("#task-reference[aria-current]").await;
}

/// A bank card on a dark wall, seen square on and turned by four degrees: 6.5 pixels a millimetre.
const CARD: [Px; 4] = [
    [434.72, 345.59],
    [989.76, 384.4],
    [965.28, 734.41],
    [410.24, 695.6],
];

const DRAW_CARD: &str = "
    const paper = new OffscreenCanvas(1600, 1200);
    const c = paper.getContext('2d');
    c.fillStyle = '#8a7d66';
    c.fillRect(0, 0, 1600, 1200);
    c.fillStyle = '#e8e6df';
    c.beginPath();
    // A pixel's middle is half a pixel from its corner.
    for (const [x, y] of given[0]) c.lineTo(x + 0.5, y + 0.5);
    c.fill();";

#[tokio::test]
async fn a_thumb_beside_the_corners_still_means_them() {
    let (_host, phone) = opened("corners").await;
    let folder = scratch_folder("corners-files");
    let file = drawn(
        &phone,
        DRAW_CARD,
        vec![json!(CARD)],
        &folder.join("card.jpg"),
    )
    .await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-replace").await;
    phone.give_file("#photo-file", &file).await;
    let other = |p: &Piece| p.photos().next().is_some_and(|photo| photo.width == 1600);
    piece(&phone, "another photo", other).await;
    // A thumb at the whole picture, where a pixel of the screen is four of the photo.
    let off = [[6.0, -5.0], [-8.0, -4.0], [-5.0, 7.0], [7.0, 6.0]];
    for (corner, off) in CARD.iter().zip(off) {
        journey::touch_photo(&phone, [corner[0] + off[0], corner[1] + off[1]]).await;
    }
    let found = piece(&phone, "corners", |p| p.shot(0).found.len() == 4).await;
    phone.wait("#tool-said").await;
    phone.shot("found").await;
    for (corner, truth) in corners(&found).iter().zip(CARD) {
        let away = (corner[0] - truth[0]).hypot(corner[1] - truth[1]);
        println!("{away:.2} px from its corner");
        assert!(away < 1.0, "{away} px from its corner");
    }
    phone.tap("#tool-back").await;
    let back = piece(&phone, "put back", |p| p.shot(0).found.is_empty()).await;
    let away = corners(&back)[0][0] - CARD[0][0];
    assert!((away - 6.0).abs() < 3.0, "as it was tapped: {away}");
}

#[tokio::test]
async fn a_loose_ring_becomes_the_outline_and_strokes_better_it() {
    let (_host, phone) = opened("ring").await;
    let photo = Photo::sample();
    let before = piece(&phone, "the sample", |p| !p.shot(0).outline.is_empty()).await;
    phone.tap("#task-outline").await;
    phone.tap("#way-ring").await;
    let middle = photo.middle();
    phone.drag(&journey::loose_ring(&phone, &photo).await).await;
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
    let mut path = Vec::new();
    for along in (-60..=60).step_by(8) {
        let place = [middle[0] + f64::from(along), middle[1]];
        path.push(phone.photo_place("#photo", place).await);
    }
    // A finger comes to rest before it is lifted: what is flung swallows the next tap.
    path.extend([path[path.len() - 1]; 4]);
    phone.drag(&path).await;
    let less = piece(&phone, "less", |p| area(p) < 0.99 * area(&ringed)).await;
    // At once after a stroke a tap would count to it.
    tokio::time::sleep(Duration::from_millis(600)).await;
    phone.tap("#pen-add").await;
    phone.wait("#pen-add[aria-pressed=true]").await;
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
    let wall = before.wall(0).expect("a wall");
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
    let sheet = Route::Sheet(JobId::new(SAMPLE_JOB)).to_string();
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
    once_more(&phone).await;
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
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    let held = json!({"alpha": 0, "beta": 87.0, "gamma": 2.0});
    phone.tap("#photo-more").await;
    // A camera that takes its time: until it shows something there is nothing to take.
    let late = "const devices = navigator.mediaDevices; \
        const ask = devices.getUserMedia.bind(devices); \
        devices.getUserMedia = async (wish) => { \
            await new Promise((go) => { window.letGo = go }); \
            return ask(wish); \
        }";
    phone.js(late, vec![]).await;
    phone.tap("#photo-level").await;
    phone.wait("#shutter:disabled").await;
    journey::says(&phone, "#level", &["The camera is starting"]).await;
    phone.shot("starting").await;
    phone.tap("#shutter").await;
    assert!(!phone.has("#viewfinder [role=alert]:not([hidden])").await);
    phone.js("window.letGo()", vec![]).await;
    phone.wait("#shutter:enabled").await;
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
    let shown = "return document.querySelector('#photo')?.naturalWidth === arguments[0]";
    phone
        .wait_until("it is on the bench", shown, vec![json!(photo.width)])
        .await;
    let brightness = "const p = await createImageBitmap(document.querySelector('#photo')); \
        const c = new OffscreenCanvas(p.width, p.height).getContext('2d'); \
        c.drawImage(p, 0, 0); \
        const d = c.getImageData(0, 0, p.width, p.height).data; \
        return d.reduce((sum, v, i) => sum + (i % 4 === 3 ? 0 : v), 0) / d.length";
    let brightness = phone.js_later(brightness, vec![]).await;
    assert!(
        brightness.as_f64().expect("a number") > 10.0,
        "{brightness}"
    );
}

#[tokio::test]
async fn two_photos_that_share_places_show_one_piece_together() {
    let (_host, phone) = opened("shared").await;
    let photo = Photo::sample();
    once_more(&phone).await;
    phone.choose("#reference-kind", "shared").await;
    // The same picture twice: a place lies where it lay.
    for place in [
        [120.0, 120.0],
        [900.0, 110.0],
        [880.0, 690.0],
        [130.0, 700.0],
    ] {
        journey::touch_photo(&phone, place).await;
        phone.wait("#twin").await;
        phone
            .wait_until(
                "the photo before is shown",
                "return document.querySelector('#twin').naturalWidth > 0",
                vec![],
            )
            .await;
        let (x, y) = phone.photo_place("#twin", place).await;
        phone.shot("twin").await;
        phone.touch(x, y).await;
        phone
            .wait_until(
                "it is tied",
                "return !document.querySelector('#twin')",
                vec![],
            )
            .await;
    }
    let tied = piece(&phone, "four ties", |p| {
        p.shot(1).ties().is_some_and(|ties| ties.len() == 4)
    })
    .await;
    let alone = area(&tied);
    phone.tap("#to-outline").await;
    // A strip to the right of the plaque's middle and beyond its edge.
    let high = [0, 1].map(|k| {
        let along = photo.outline.iter().map(|p| p[k]);
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
            (low.min(x), high.max(x))
        });
        [low, high]
    });
    let ([left, right], [top, bottom]) = (high[0], high[1]);
    let (x, y) = ((left + right) / 2.0, (top + bottom) / 2.0);
    for corner in [
        [x, y - 60.0],
        [right + 60.0, y - 60.0],
        [right + 60.0, y + 60.0],
        [x, y + 60.0],
    ] {
        journey::touch_photo(&phone, corner).await;
        // The figures come with the third point, and the photo makes room for them.
        tokio::time::sleep(Duration::from_millis(400)).await;
    }
    phone.tap("#close-outline").await;
    let both = piece(&phone, "an outline", |p| p.shot(1).outline.len() == 4).await;
    let together = both.footprint().expect("a footprint").area;
    println!("alone {alone:.0} mm2, together {together:?}");
    assert!(together.value.0 > 1.03 * alone && together.value.0 < 1.3 * alone);
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.wait("#photos-together").await;
    phone.shot("together").await;
}

#[tokio::test]
async fn the_edge_is_followed_and_points_settle_on_it() {
    let (_host, phone) = opened("edge").await;
    let photo = Photo::sample();
    phone.tap("#task-outline").await;
    phone.tap("#way-points").await;
    let before = piece(&phone, "the sample", |_| true).await;
    phone.tap("#settle").await;
    phone.wait("#tool-said").await;
    phone.shot("settled").await;
    let settled = piece(&phone, "settled", |p| p != &before).await;
    let off = area(&settled) / photo.area_mm2 - 1.0;
    println!("settled: the area is off by {:.2} %", 100.0 * off);
    assert!(off.abs() < 0.03, "{off}");

    // A new photo of the same, traced along the edge from tap to tap.
    once_more(&phone).await;
    for corner in &photo.card {
        journey::touch_photo(&phone, *corner).await;
    }
    phone.tap("#to-outline").await;
    phone.tap("#way-edge").await;
    let count = photo.outline.len();
    for i in 0..12 {
        journey::touch_photo(&phone, photo.outline[i * count / 12]).await;
        let asked = "return !document.querySelector('#tool-stop')";
        phone
            .wait_until("the edge is followed", asked, vec![])
            .await;
        tokio::time::sleep(Duration::from_millis(350)).await;
    }
    phone.shot("followed").await;
    phone.tap("#close-outline").await;
    let traced = piece(&phone, "traced", |p| p.shot(1).outline.len() > 15).await;
    let found = traced.footprint_of(1).expect("a footprint").area.value.0;
    println!(
        "followed in {} points: the area is off by {:.2} %",
        traced.shot(1).outline.len(),
        100.0 * (found / photo.area_mm2 - 1.0)
    );
    // The plaque's foot has no clear edge on the side away from the lamp.
    assert!((found / photo.area_mm2 - 1.0).abs() < 0.07);
}

/// What of the photo or the main action a message lies over, and where the photo's stage is.
const NEWS: &str = "const rect = (e) => e.getBoundingClientRect(); \
    const stage = rect(document.querySelector('#stage')); \
    const toast = document.querySelector('.toast'); \
    const meets = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom; \
    const under = ['#stage', '.actions .main', '#photo-other'] \
        .filter((css) => toast && meets(rect(toast), rect(document.querySelector(css)))); \
    return [under, [stage.left, stage.top + scrollY, stage.width, stage.height]]";

#[tokio::test]
async fn news_lies_beside_the_photo_and_moves_nothing() {
    for percent in [100, 200] {
        let name = format!("news-{percent}");
        let phone = Phone::with_text(&name, Screen::NARROW, percent).await;
        let (_host, phone) = opened_on(&name, phone).await;
        let before = piece(&phone, "the sample", |_| true).await;
        let replace = async || {
            phone.tap("#task-reference").await;
            phone.tap("#photo-other").await;
            phone.tap("#photo-replace").await;
            phone.give_file("#photo-file", &Photo::sample().file).await;
            phone.wait("#toast-undo").await;
            let bare = |p: &Piece| p.shot(0).outline.is_empty();
            piece(&phone, "another photo", bare).await;
            let shown = "return document.querySelector('#photo')?.naturalWidth > 0";
            phone.wait_until("it is shown", shown, vec![]).await;
        };
        // A tap on the photo means a mark while the message is there, and its way back works.
        replace().await;
        journey::touch_photo(&phone, Photo::sample().card[0]).await;
        let marked = |p: &Piece| p.shot(0).reference.is_some() && corners(p).len() == 1;
        piece(&phone, "a mark", marked).await;
        phone.tap("#toast-undo").await;
        piece(&phone, "as before", |p| p.shots == before.shots).await;

        replace().await;
        phone.shot("replaced").await;
        let with = phone.js(NEWS, vec![]).await;
        assert_eq!(
            with[0],
            json!([]),
            "{percent} %: the message lies over these"
        );
        assert_eq!(journey::covered_actions(&phone).await, [""; 0]);
        assert_eq!(journey::small_targets(&phone).await, [""; 0]);
        let gone = "return !document.querySelector('.toast')";
        phone.wait_until("it is gone", gone, vec![]).await;
        phone.shot("gone").await;
        let without = phone.js(NEWS, vec![]).await;
        assert_eq!(with[1], without[1], "{percent} %: the photo keeps still");
    }
}
