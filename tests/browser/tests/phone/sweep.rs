//! Heights from two photos: taken and marked by touch, compared in the picture worker, stopped,
//! kept, checked by a reading, taken away and brought back.

use peelcast::job::{Flat, Piece};
use peelcast::quantity::Quantity;
use peelcast_browser::journey::piece_of_own as piece;
use peelcast_browser::{Host, Phone, Photo, Screen, journey, scratch_folder};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

/// A made-up relief in two photos from different places, and what is true of it.
struct Scene {
    photos: Vec<Photo>,
    truth: Value,
}

fn photographed(folder: &Path, field: &str, size: [u32; 2]) -> Scene {
    let program = std::env::var_os("PEELCAST_SCENES").map(PathBuf::from);
    let program = program.expect("PEELCAST_SCENES names relief_scene of tests/render");
    let order = folder.join("order.json");
    let wanted = json!({
        "into": folder, "field": field, "texture": "stone", "views": 2, "size_px": size, "seed": 5,
        "card_mm": 0.76, "mark_sd_px": 0.3,
    });
    std::fs::write(&order, wanted.to_string()).expect("the order is written");
    let done = Command::new(program).arg(&order).status();
    assert!(done.expect("relief_scene starts").success());
    let read = |file: &str| -> Value {
        let text = std::fs::read_to_string(folder.join(file)).expect("what was written");
        serde_json::from_str(&text).expect("JSON")
    };
    let request = read("request.json");
    let outline: Vec<[f64; 2]> =
        serde_json::from_value(request["outline_px"].clone()).expect("an outline");
    // As many points as a patient thumb sets.
    let every = outline.len().div_ceil(28);
    let outline: Vec<_> = outline.into_iter().step_by(every).collect();
    let photos = request["photos"].as_array().expect("photos").iter();
    let photos = photos.map(|photo| {
        let marks = photo["evidence"].as_array().expect("marks").iter();
        Photo {
            file: folder.join(photo["photo"].as_str().expect("a name")),
            card: marks
                .map(|mark| serde_json::from_value(mark["px"].clone()).expect("a place"))
                .collect(),
            outline: outline.clone(),
            area_mm2: 0.0,
            width: f64::from(size[0]),
        }
    });
    Scene {
        photos: photos.collect(),
        truth: read("truth.json"),
    }
}

/// A piece of one's own with both photos marked; ends on its page of heights.
async fn measured(phone: &Phone, scene: &Scene, name: &str) {
    journey::own_piece(phone, name).await;
    journey::measure(phone, &scene.photos[0]).await;
    phone.tap("#task-reference").await;
    phone.tap("#photo-other").await;
    phone.tap("#photo-more").await;
    phone.give_file("#photo-file", &scene.photos[1].file).await;
    piece(phone, "two photos", |piece| piece.photos().count() == 2).await;
    phone.wait("#task-reference[aria-current]").await;
    phone.choose("#reference-kind", "card").await;
    for corner in &scene.photos[1].card {
        journey::touch_photo(phone, *corner).await;
    }
    phone.shot("second-card").await;
    piece(phone, "both ready", |piece| piece.swept_photos().len() == 2).await;
    if !phone.has("#photos-to-heights").await {
        phone.tap("#photo-other").await;
    }
    phone.shot("second-ready").await;
    phone.tap("#photos-to-heights").await;
    let laid = "return document.querySelector('#heights-picture img')?.naturalWidth > 0";
    phone.wait_until("it lies flat", laid, vec![]).await;
    phone.tap("#from-photos > summary").await;
    journey::says(phone, "#swept-0", &["ready"]).await;
    journey::says(phone, "#swept-1", &["ready"]).await;
}

/// Pins a height in the middle of the outline, wherever the card lies on the picture.
async fn pin(phone: &Phone, scene: &Scene, piece: &Piece, height: &str) {
    let wall = piece.wall(0).expect("a wall");
    let middle = wall.to_wall(scene.photos[0].middle()).expect("a place");
    let found = piece.footprint().expect("a footprint");
    let flat = Flat::of(piece.shot(0), &wall, &found, 512 * 512);
    let frame = flat.expect("it lies flat").frame;
    let [x, y] = frame.to_frame(middle);
    let place = "const e = document.querySelector('#heights-picture'); \
        e.scrollIntoView({ block: 'center' }); const r = e.getBoundingClientRect(); \
        return [r.left + arguments[0] * r.width, r.top + arguments[1] * r.height]";
    let shares = vec![
        json!(x / f64::from(frame.width)),
        json!(y / f64::from(frame.height)),
    ];
    let at = phone.js(place, shares).await;
    let number = |n: usize| at[n].as_f64().expect("a place");
    phone.touch(number(0), number(1)).await;
    phone.wait("#pin-form:not([hidden])").await;
    phone.fill("#pin-height", height).await;
}

async fn at_top(phone: &Phone, css: &str) {
    let script = "document.querySelector(arguments[0]).scrollIntoView({ block: 'start' })";
    phone.js(script, vec![json!(css)]).await;
    tokio::time::sleep(Duration::from_millis(250)).await;
}

#[tokio::test]
async fn two_photos_become_a_map() {
    let folder = scratch_folder("sweep-files");
    let scene = photographed(&folder, "cartouche", [2000, 1500]);
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("sweep", Screen::PHONE).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    journey::go(&phone, "#/").await;
    measured(&phone, &scene, "A frame of leaves (made up)").await;
    at_top(&phone, "#from-photos").await;
    phone.shot("before").await;

    phone.fill("#sweep-highest", "2 km").await;
    phone.wait("#sweep-highest-error").await;
    phone.fill("#sweep-highest", "30 mm").await;
    // Stopped in the middle, nothing has changed.
    phone.tap("#sweep").await;
    phone.wait("#sweep-progress").await;
    phone.shot("comparing").await;
    phone.tap("#sweep-stop").await;
    phone.wait("#sweep:enabled").await;
    assert!(!phone.has("#sweep-error:not([hidden])").await);
    assert!(!phone.has("#height-numbers").await);

    phone.tap("#sweep").await;
    let swept = piece(&phone, "a map", |piece| piece.relief_record.swept.is_some()).await;
    journey::says(&phone, "#swept-said", &["2 photos"]).await;
    journey::says(&phone, "#evidence", &["2 photos"]).await;
    let found = swept.heights().expect("heights").expect("a map");
    let value = |name: &str| scene.truth[name].as_f64().expect("a number");
    for (what, off) in [
        (
            "volume",
            found.measures.volume.value.number() / (value("volume_mm3") / 1000.0),
        ),
        (
            "surface",
            found.measures.surface.value.number() / value("surface_mm2"),
        ),
    ] {
        println!("{what}: {:+.1} %", 100.0 * (off - 1.0));
        assert!((off - 1.0).abs() < 0.06, "{what}: {off}");
    }
    at_top(&phone, "#from-photos").await;
    phone.shot("found").await;
    for theme in ["light", "dark", "sun"] {
        let set = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(set, vec![json!(theme)]).await;
        for look in ["heights", "shaded", "spread", "draft"] {
            phone.tap(&format!("#look-{look}")).await;
            at_top(&phone, "#heights-picture").await;
            phone.shot(&format!("{theme}-{look}")).await;
        }
    }
    // What grips a stiff shell, along two ways.
    phone.tap("#pull > summary").await;
    journey::says(&phone, "#draft-said", &["of the surface", "3°"]).await;
    let straight = phone.text("#draft-said").await;
    phone.tap("#pull-up").await;
    let other = "return document.querySelector('#draft-said').innerText !== arguments[0]";
    phone
        .wait_until("another way", other, vec![json!(straight)])
        .await;
    at_top(&phone, "#pull").await;
    phone.shot("pull").await;

    // A reading stands beside the map, and taking the map away leaves it.
    let before = phone.text("#height-numbers").await;
    pin(&phone, &scene, &swept, "5 mm").await;
    piece(&phone, "a reading", |piece| {
        piece.relief_record.readings.len() == 1
    })
    .await;
    journey::says(&phone, "#evidence", &["2 photos", "one reading"]).await;
    assert_ne!(phone.text("#height-numbers").await, before);
    phone.tap("#swept-remove").await;
    piece(&phone, "no map", |piece| {
        piece.relief_record.swept.is_none()
    })
    .await;
    phone.tap("#toast-undo").await;
    piece(&phone, "the map again", |piece| {
        piece.relief_record.swept.is_some()
    })
    .await;
    phone.reload().await;
    journey::says(&phone, "#evidence", &["2 photos", "one reading"]).await;
    let wide = journey::too_wide(&phone).await;
    let small = journey::small_targets(&phone).await;
    assert!(wide.is_empty() && small.is_empty(), "{wide:?} {small:?}");
}

/// Two photos of 12 megapixels become 512 by 512 places at 64 heights. It judges nothing: times
/// are of the machine at hand.
#[tokio::test]
#[ignore = "run it with nothing beside it"]
async fn how_long_two_large_photos_take() {
    let folder = scratch_folder("sweep-large-files");
    let mut scene = photographed(&folder, "rosette", [4000, 3000]);
    // On so large a photo neighbouring points lie under one fingertip.
    for photo in &mut scene.photos {
        photo.outline = photo.outline.iter().copied().step_by(2).collect();
    }
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("sweep-large", Screen::PHONE).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    measured(&phone, &scene, "A rosette (made up)").await;
    phone.fill("#sweep-highest", "46 mm").await;
    let listen = "window.heard = []; \
        const post = Worker.prototype.postMessage; \
        Worker.prototype.postMessage = function (question, ...rest) { \
            if (question.sweep) { \
                window.heard.push(['asked', performance.now()]); \
                this.addEventListener('message', ({ data }) => window.heard.push( \
                    [data.progress ?? (data.answer ? 'answer' : data.error), performance.now()])); \
            } \
            return post.call(this, question, ...rest); \
        }";
    phone.js(listen, vec![]).await;
    phone.wait_until_settled().await;
    phone.forget_peaks();
    let before = phone.memory();
    phone.tap("#sweep").await;
    let swept = piece(&phone, "a map", |piece| piece.relief_record.swept.is_some()).await;
    let heard = phone.js("return window.heard", vec![]).await;
    let heard = heard.as_array().expect("words");
    let time = |of: &dyn Fn(&Value) -> bool| {
        let word = heard.iter().find(|word| of(&word[0]));
        word.and_then(|word| word[1].as_f64()).expect("a moment")
    };
    let asked = time(&|word| word == "asked");
    let opened = time(&|word| word.as_f64().is_some_and(|share| share >= 0.4));
    let answered = time(&|word| word == "answer");
    for word in heard {
        let since = word[1].as_f64().unwrap_or(f64::NAN) - asked;
        println!("{:>7.0} ms: {:.40}", since, word[0].to_string());
    }
    let map = swept.relief_record.swept.as_ref().expect("a map");
    println!(
        "{:?} places: opened in {:.0} ms, compared in {:.0} ms",
        map.size(),
        opened - asked,
        answered - opened
    );
    let after = phone.memory();
    for (id, _, most) in &after {
        if let Some((_, had, _)) = before.iter().find(|(other, ..)| other == id) {
            println!(
                "process {id}: at most {} MB more",
                most.saturating_sub(*had) / 1_000_000
            );
        }
    }
    // A reading on it: how long the page is held up.
    let watch = "window.tasks = []; new PerformanceObserver((list) => list.getEntries() \
        .forEach((task) => window.tasks.push(task.duration))).observe({ type: 'longtask' })";
    phone.js(watch, vec![]).await;
    for (n, height) in ["36 mm", "37 mm"].into_iter().enumerate() {
        pin(&phone, &scene, &swept, height).await;
        piece(&phone, "a reading", |piece| {
            let read = &piece.relief_record.readings;
            read.first()
                .is_some_and(|read| read.height.0 == 36.0 + n as f64)
        })
        .await;
        phone.wait_until_settled().await;
        let tasks = "return window.tasks.splice(0, window.tasks.length).map(Math.round).join()";
        println!(
            "a reading: tasks of {} ms, first the map, then the skin",
            phone.js(tasks, vec![]).await
        );
    }
}
