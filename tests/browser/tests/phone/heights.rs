//! Heights by touch: pins on the picture laid flat, the numbers that follow with their ranges, the
//! pictures, the plan that goes by them, and all of it after a reload.

use peelcast::quantity::{parse, show::System};
use peelcast_browser::{Host, Phone, Screen, journey, scratch_folder};
use serde_json::json;
use std::time::Duration;

/// Where a share of the picture's width and height lies in the window.
async fn place(phone: &Phone, share: [f64; 2]) -> (f64, f64) {
    let script = "const e = document.querySelector('#heights-picture'); \
        e.scrollIntoView({ block: 'center' }); const r = e.getBoundingClientRect(); \
        return [r.left + arguments[0] * r.width, r.top + arguments[1] * r.height]";
    let at = phone
        .js(script, vec![json!(share[0]), json!(share[1])])
        .await;
    (at[0].as_f64().expect("x"), at[1].as_f64().expect("y"))
}

async fn pin(phone: &Phone, share: [f64; 2], height: &str) {
    let (x, y) = place(phone, share).await;
    phone.touch(x, y).await;
    phone.wait("#pin-form:not([hidden])").await;
    phone.fill("#pin-height", height).await;
}

async fn pins(phone: &Phone, count: usize) -> peelcast::job::Piece {
    let stored = move |piece: &peelcast::job::Piece| piece.relief_record.readings.len() == count;
    journey::sample_piece(phone, &format!("{count} pins"), stored).await
}

async fn at_top(phone: &Phone, css: &str) {
    let script = "document.querySelector(arguments[0]).scrollIntoView({ block: 'start' })";
    phone.js(script, vec![json!(css)]).await;
    tokio::time::sleep(Duration::from_millis(250)).await;
}

#[tokio::test]
async fn three_pins_become_a_map_that_the_plan_goes_by() {
    let folder = scratch_folder("heights-files");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("height-map", Screen::PHONE).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    journey::go(&phone, &journey::sample_page(&phone, "plan").await).await;
    phone.wait("#total-to-bring").await;
    let before = phone.text("#total-to-bring").await;
    phone.tap("#to-heights").await;
    let laid = "return document.querySelector('#heights-picture img')?.naturalWidth > 0";
    phone
        .wait_until("the picture lies flat", laid, vec![])
        .await;
    journey::says(&phone, "#next-probe", &["highest point"]).await;
    assert!(!phone.has("#height-numbers").await && !phone.has("#look-heights").await);
    at_top(&phone, "#heights-picture").await;
    phone.shot("begin").await;

    // Beside the piece there is nothing to read.
    let (x, y) = place(&phone, [0.01, 0.01]).await;
    phone.touch(x, y).await;
    phone.wait_text("That is the wall").await;
    assert!(!phone.has("#pin-form:not([hidden])").await);

    let (x, y) = place(&phone, [0.5, 0.5]).await;
    phone.touch(x, y).await;
    phone.wait("#pin-form:not([hidden])").await;
    phone.fill("#pin-height", "much").await;
    journey::says(&phone, "#pin-height-error", &["much"]).await;
    phone.fill("#pin-height", "22").await;
    pins(&phone, 1).await;
    phone.wait("#height-numbers .range").await;
    journey::says(&phone, "#next-probe", &["open ring"]).await;
    let first = phone.text("#height-numbers").await;
    pin(&phone, [0.38, 0.45], "14").await;
    pins(&phone, 2).await;
    phone.tap("#how-skewer").await;
    pin(&phone, [0.6, 0.6], "9 mm").await;
    let piece = pins(&phone, 3).await;
    let read = &piece.relief_record.readings;
    let spreads: Vec<f64> = read.iter().map(|reading| reading.sd.0).collect();
    assert_eq!(spreads, [0.5, 1.0, 1.0]);
    let found = piece.heights().expect("heights").expect("a map");
    journey::says(&phone, "#evidence", &["3 readings", "kind of relief"]).await;
    let now = phone.text("#height-numbers").await;
    assert_ne!(first, now);
    let surface = peelcast::quantity::show::area_range(&found.measures.surface, System::Metric);
    journey::says(&phone, "#height-numbers", &[&surface]).await;

    // A pin is changed, taken out, and brought back.
    phone.tap("#pin-3").await;
    phone.fill("#pin-height", "10").await;
    let changed = |piece: &peelcast::job::Piece| {
        piece.relief_record.readings.last().unwrap().height.0 == 10.0
    };
    journey::sample_piece(&phone, "ten", changed).await;
    phone.tap("#pin-remove").await;
    pins(&phone, 2).await;
    phone.tap("#toast-undo").await;
    pins(&phone, 3).await;

    // The section's line follows a finger.
    let across = phone.text("#height-section figcaption").await;
    phone.tap("#finger-section").await;
    let from = place(&phone, [0.5, 0.2]).await;
    let to = place(&phone, [0.5, 0.8]).await;
    let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    phone.drag(&[from, middle, to]).await;
    let other =
        "return document.querySelector('#height-section figcaption').innerText !== arguments[0]";
    phone
        .wait_until("another section", other, vec![json!(across)])
        .await;
    phone.tap("#finger-pin").await;

    // Each picture in the three themes.
    for theme in ["light", "dark", "sun"] {
        let set = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(set, vec![json!(theme)]).await;
        for look in ["photo", "heights", "shaded", "spread", "skin"] {
            phone.tap(&format!("#look-{look}")).await;
            at_top(&phone, "#heights-picture").await;
            phone.shot(&format!("{theme}-{look}")).await;
        }
        at_top(&phone, "#height-numbers").await;
        phone.shot(&format!("{theme}-numbers")).await;
        at_top(&phone, "#skin-said").await;
        phone.shot(&format!("{theme}-skin-said")).await;
    }
    let painted = "const c = document.querySelector('#heights-picture canvas'); \
        const p = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; \
        const seen = new Set(); for (let i = 0; i < p.length; i += 4) \
        if (p[i + 3]) seen.add(p[i] << 16 | p[i + 1] << 8 | p[i + 2]); \
        return [Math.max(c.width, c.height), seen.size]";
    phone.tap("#look-heights").await;
    let painted = phone.js(painted, vec![]).await;
    assert!(painted[0].as_u64() <= Some(512) && painted[1].as_u64() > Some(50));

    // The plan goes by the map, and says so.
    phone.tap("#heights-to-plan").await;
    journey::says(&phone, "#relief-by", &["height map"]).await;
    let after = phone.text("#total-to-bring").await;
    assert_ne!(after, before);
    assert!(parse::mass(&after, System::Metric).is_ok());
    at_top(&phone, "#relief-by").await;
    phone.shot("plan").await;

    phone.reload().await;
    journey::says(&phone, "#relief-by", &["height map"]).await;
    assert_eq!(phone.text("#total-to-bring").await, after);
    phone.tap("#to-heights").await;
    phone.wait("#pin-3").await;
    assert_eq!(phone.text("#pins").await.matches("Pin ").count(), 3);
    let wide = journey::too_wide(&phone).await;
    let small = journey::small_targets(&phone).await;
    assert!(wide.is_empty() && small.is_empty(), "{wide:?} {small:?}");
}
