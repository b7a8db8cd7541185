//! A plain rule held level is enough: two readings are typed, its ticks are found in the photo
//! between them, and the footprint follows. The photo is drawn on a canvas with known sizes. And a
//! photo that is large, and a camera that is refused.

use peelcast_browser::journey::sample_piece as piece;
use peelcast_browser::photo::drawn;
use peelcast_browser::{Host, Phone, Photo, Screen, journey, scratch_folder};
use serde_json::json;
use std::time::Duration;

/// Pixels a millimetre; the camera stands square before the wall.
const SCALE: f64 = 6.0;

/// A wall, a steel rule along the foot of the picture with millimetre ticks on its upper edge, and
/// a dark disc.
const DRAW: &str = "
    const [scale] = given;
    const paper = new OffscreenCanvas(2000, 1500);
    const c = paper.getContext('2d');
    c.fillStyle = '#7d705a';
    c.fillRect(0, 0, 2000, 1500);
    c.fillStyle = '#6b4f3a';
    c.beginPath();
    c.arc(1000, 560, 60 * scale, 0, 2 * Math.PI);
    c.fill();
    c.fillStyle = '#dcdcd8';
    c.fillRect(90, 1200, 1820, 180);
    c.fillStyle = '#111';
    for (let mm = 0; mm <= 290; mm++) {
        const long = mm % 10 === 0 ? 60 : mm % 5 === 0 ? 45 : 30;
        c.fillRect(120 + mm * scale - 0.5, 1200, 1, long);
    }";

#[tokio::test]
async fn a_plain_rule_held_level_is_enough() {
    let (phone, _host, folder) = journey::phone_with_sample("rule").await;
    let file = drawn(&phone, DRAW, vec![json!(SCALE)], &folder.join("rule.jpg")).await;
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#photo").await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-replace").await;
    phone.give_file("#photo-file", &file).await;
    piece(&phone, "another photo", |p| {
        p.photos().next().is_some_and(|p| p.width == 2000)
    })
    .await;
    phone.choose("#reference-kind", "edge").await;
    phone.choose("#held-first", "level").await;
    for (mm, reading) in [(20.0, "20 mm"), (270.0, "270 mm")] {
        journey::touch_photo(&phone, [120.0 + mm * SCALE, 1200.0]).await;
        phone.fill("#reading-at", reading).await;
        phone.tap("#reading-set").await;
    }
    let read = piece(&phone, "ticks", |p| p.shot(0).readings.len() > 20).await;
    phone.shot("ticks").await;
    println!("{} ticks were found", read.shot(0).readings.len());
    phone.tap("#to-outline").await;
    for i in 0..24 {
        let (s, c) = (f64::from(i) / 24.0 * std::f64::consts::TAU).sin_cos();
        let at = [1000.0 + 60.0 * SCALE * c, 560.0 + 60.0 * SCALE * s];
        journey::touch_photo(&phone, at).await;
        tokio::time::sleep(Duration::from_millis(60)).await;
    }
    // A last touch near the first point has closed it already.
    if phone.has("#close-outline").await {
        phone.tap("#close-outline").await;
    }
    let traced = piece(&phone, "an outline", |p| p.shot(0).outline.len() > 20).await;
    let area = traced.footprint().expect("a footprint").area;
    let truth = std::f64::consts::PI * 60.0 * 60.0;
    println!("{area:?}, true {truth:.0}");
    assert!(area.low95.0 < truth && truth < area.high95.0, "{area:?}");
    phone.shot("measured").await;
}

#[tokio::test]
async fn a_photo_of_48_megapixels_is_laid_flat() {
    let (phone, _host, folder) = journey::phone_with_sample("large").await;
    let photo = Photo::sample()
        .enlarged(&phone, [8000, 6000], &folder)
        .await;
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#photo").await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-replace").await;
    phone.give_file("#photo-file", &photo.file).await;
    piece(&phone, "another photo", |p| {
        p.photos().next().is_some_and(|p| p.width == 8000)
    })
    .await;
    for corner in &photo.card {
        journey::touch_photo(&phone, *corner).await;
    }
    phone.tap("#to-outline").await;
    for point in photo.outline.iter().step_by(2) {
        journey::touch_photo(&phone, *point).await;
        tokio::time::sleep(Duration::from_millis(60)).await;
    }
    // A last touch near the first point has closed it already.
    if phone.has("#close-outline").await {
        phone.tap("#close-outline").await;
    }
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
    phone.shot("flat").await;
    let large = piece(&phone, "an outline", |p| p.shot(0).outline.len() > 10).await;
    let area = large.footprint().expect("a footprint").area;
    println!("{area:?}, true {}", photo.area_mm2);
    assert!((area.value.0 / photo.area_mm2 - 1.0).abs() < 0.1);
}

#[tokio::test]
async fn a_camera_that_is_refused_is_explained() {
    let folder = scratch_folder("refused-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("refused", Screen::PHONE).await;
    phone.open(&host.url("")).await;
    phone.wait(journey::READ).await;
    let measure = journey::sample_page(&phone, "measure").await;
    journey::go(&phone, &measure).await;
    phone.wait("#photo").await;
    // What the browser answers where the person says no.
    let refuse = "navigator.mediaDevices.getUserMedia = () => \
        Promise.reject(new DOMException('no', 'NotAllowedError'))";
    phone.js(refuse, vec![]).await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-more").await;
    phone.tap("#photo-level").await;
    phone.wait_text("was not allowed to use the camera").await;
    phone.wait("#shutter:disabled").await;
    phone.shot("refused").await;
    phone.tap("#viewfinder-close").await;
    phone.wait("#photo-file").await;
}
