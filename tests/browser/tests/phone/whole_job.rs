//! The whole job once through in a phone's size: from an empty device to a printed sheet, with
//! the server stopped after the first visit, under a sub-path of a plain static host.

use peelcast_browser::{Host, Paper, Phone, Photo, Screen, journey, netlog, scratch_folder};
use serde_json::json;
use std::path::Path;

/// A patch test on the Pack page: called out when its time is over, whatever page is open; its
/// answer changes what the checks say and what is packed.
async fn patch_test(phone: &mut Phone) {
    for (check, is) in [
        ("cure", "take care"),
        ("patch", "take care"),
        ("finish", "test first"),
    ] {
        verdict(phone, check, is).await;
    }
    assert!(phone.has("#kit-release").await && !phone.has("#kit-sealer").await);
    // Without a test nothing is barred.
    assert!(phone.has("#to-coat").await);
    phone.fill("#patch-place", "behind the rim").await;
    phone.tap("#start-patch").await;
    phone.wait("#patch-countdown").await;
    let until = phone.text("#patch-until").await;
    assert!(until.starts_with("at "), "{until}");
    journey::says(phone, "#patch", &["behind the rim"]).await;
    phone.shot("patch-waits").await;
    phone.reload().await;
    phone.wait("#patch-countdown").await;
    assert_eq!(phone.text("#patch-until").await, until, "after a reload");

    phone.tap("#page-plan").await;
    journey::says(phone, "#running", &["patch test, look at the patch at"]).await;
    phone.pass_minutes(180.0).await;
    phone.wait_until_settled().await;
    journey::says(phone, "#running", &["patch test, was due"]).await;
    // A browser for tests never sleeps: this is what a phone says when it wakes up.
    let wake = "document.dispatchEvent(new Event('visibilitychange'))";
    phone.js(wake, vec![]).await;
    let called = "return Object.values(localStorage).some((text) => text.includes('/Patch/'))";
    phone.wait_until("it was called out", called, vec![]).await;
    phone.tap("#running a").await;
    phone.wait(".countdown.ready #patch-countdown").await;
    phone.shot("patch-due").await;

    phone.tap("#patch-sticky").await;
    journey::says(phone, "#patch-said", &["behind the rim", "stayed sticky"]).await;
    for _ in 0..2 {
        verdict(phone, "cure", "not as it is").await;
        phone.wait("#kit-sealer").await;
        assert!(!phone.has("#check-patch").await, "there was a test");
        phone.shot("patch-sticky").await;
        phone.reload().await;
    }

    // Once more over a sealer, which then stays in the bag.
    phone.tap("#patch-again").await;
    let sealed = "return document.querySelector('#patch-sealed').checked";
    phone
        .wait_until("it asks for a sealer", sealed, vec![])
        .await;
    phone.tap("#start-patch").await;
    phone.tap("#patch-cured").await;
    journey::says(phone, "#patch-said", &["over sealer", "cured clean"]).await;
    for check in ["cure", "finish"] {
        verdict(phone, check, "fine").await;
    }
    phone.wait("#kit-sealer").await;
    assert!(!phone.has("#running a").await, "nothing runs any more");
}

/// Waits until a check of the Pack page says this.
async fn verdict(phone: &Phone, check: &str, is: &str) {
    let said = "return document.querySelector(`#check-${arguments[0]} .verdict`)?.textContent === arguments[1]";
    let given = vec![json!(check), json!(is)];
    phone
        .wait_until(&format!("{check}: {is}"), said, given)
        .await;
}

#[tokio::test]
async fn from_an_empty_device_to_a_printed_sheet_without_a_network() {
    let folder = scratch_folder("whole-job-host");
    let mut host = Host::start("/works/peel/", &folder.join("requests.log"));
    let mut phone = Phone::new("whole-job", Screen::PHONE).await;
    let photo = Photo::sample();
    let origin = format!("http://localhost:{}", host.port);
    journey::first_start(&phone, &host).await;
    phone.shot("first-start").await;
    phone.grant(&origin, &["notifications"]).await;

    // From here on there is no server.
    host.stop();
    phone.reload().await;
    phone.wait(journey::READ).await;

    // Millimetres and grams from here on.
    phone.tap("#settings").await;
    phone.tap("#units-metric").await;
    phone.shot("settings").await;
    phone.tap("#back").await;
    phone.wait(journey::READ).await;

    // The sample can be removed, and the device is empty.
    journey::remove_sample(&phone).await;
    phone.wait("#no-jobs").await;
    phone.shot("nothing-yet").await;

    // A job and a piece of one's own.
    phone.tap("#new-job").await;
    phone
        .fill("#job-name", "Ceiling roses at the orangery")
        .await;
    phone.fill("#job-place", "The dry orangery (made up)").await;
    phone.fill("#job-contact", "the caretaker").await;
    phone.tap("#permission-granted").await;
    phone.fill("#permission-by", "the owner, in writing").await;
    phone.shot("job").await;
    phone.tap("#add-piece").await;
    phone.fill("#piece-name", "Rose above the door").await;
    phone.fill("#piece-material", "lime plaster").await;
    phone.choose("#piece-substrate", "gypsum plaster").await;
    phone.choose("#piece-finish", "painted").await;
    phone.fill("#piece-temperature", "18").await;
    phone.shot("piece").await;
    phone.tap("#go-measure").await;
    phone.wait("#photo-file").await;
    phone.shot("measure-empty").await;

    // Survey: photo, card, outline, footprint.
    journey::measure(&phone, &photo).await;
    phone.shot("outline").await;
    let area = journey::measured_area(&phone, photo.outline.len()).await;
    let off = area / photo.area_mm2 - 1.0;
    println!(
        "measured {area:.0} mm2, true {:.0} mm2: {:+.2} %",
        photo.area_mm2,
        100.0 * off
    );
    assert!(
        off.abs() < 0.02,
        "the footprint is {:.1} % off",
        100.0 * off
    );
    phone.tap("#task-check").await;
    phone
        .wait_until(
            "the picture lies flat",
            "const c = document.querySelector('#rectified'); return !!c && c.width > 100",
            vec![],
        )
        .await;
    tokio::time::sleep(std::time::Duration::from_millis(800)).await;
    phone.shot("check").await;

    // Plan: there is nothing to pack yet, and the way leads here.
    phone.tap("#page-pack").await;
    phone.tap("#to-plan").await;
    phone.tap("#relief-middle").await;
    phone.fill("#highest", "18 mm").await;
    phone.wait("#total-to-bring").await;
    let bring = phone.text("#total-to-bring").await;
    println!("to bring: {bring}");
    assert!(bring.contains('g'), "a mass, not {bring:?}");
    phone.shot("plan").await;
    let jobs = journey::stored_jobs(&phone).await;
    let piece = &jobs[0]["pieces"][0];
    assert_eq!(piece["relief"]["highest"], json!(18.0));
    // Surer than usual, another shell, and a price: each is kept and goes along with the job.
    phone.tap("#confidence-99").await;
    phone.wait_until_settled().await;
    phone.tap("#shell-gypsum").await;
    phone.wait_until_settled().await;
    phone.unfold("#price-hour").await;
    phone.fill("#price-hour", "40").await;
    phone.wait("#cost-copy").await;
    phone.shot("plan-priced").await;

    // Pack: the surface first, then every line ticked, and the ticks stay.
    phone.tap("#page-pack").await;
    phone.wait("#kit").await;
    phone.shot("pack").await;
    patch_test(&mut phone).await;
    let lines = journey::tick_everything(&phone).await;
    journey::ticks_stored(&phone, lines).await;
    phone.reload().await;
    phone.wait("#kit").await;
    let unticked =
        "return document.querySelectorAll('#kit input[type=checkbox]:not(:checked)').length";
    assert_eq!(
        phone.js(unticked, vec![]).await,
        json!(0),
        "ticks survive a reload"
    );
    phone.shot("packed").await;

    // Coats: three of them, each batch mixed in two containers.
    phone.tap("#page-coat").await;
    phone.wait("#coat-main").await;
    phone.shot("coat-weigh").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    phone.shot("coat-mixing").await;
    phone.pass_minutes(3.0).await;
    phone.wait_until_settled().await;

    // A reload in the middle of a coat.
    let before = phone.text("#coat-until").await;
    phone.reload().await;
    phone.wait("#coat-countdown").await;
    assert_eq!(
        phone.text("#coat-until").await,
        before,
        "the end of the working time stays"
    );

    // The phone dies in the middle of a coat and is switched on again: the app opens there.
    phone.kill().await;
    phone.switch_on().await;
    phone.open(&host.url("")).await;
    phone.wait("#coat-countdown").await;
    assert_eq!(
        phone.text("#coat-until").await,
        before,
        "and after a dead battery"
    );
    phone.shot("coat-after-restart").await;
    let mut touched_wet = false;
    for step in 0..80 {
        if phone.has("#to-cast").await {
            break;
        }
        assert!(step < 79, "the coats come to an end");
        if phone.has("#touch-tacky").await {
            phone.pass_minutes(80.0).await;
            phone.wait_until_settled().await;
            phone.shot("touch-test").await;
            if !touched_wet {
                touched_wet = true;
                journey::coat_tap(&phone, "#touch-wet").await;
                phone.pass_minutes(20.0).await;
            }
            journey::coat_tap(&phone, "#touch-tacky").await;
        } else if phone.has("#coat-main").await {
            journey::coat_on(&mut phone).await;
        } else {
            phone.shot("cure").await;
            phone.pass_minutes(200.0).await;
            phone.wait("#coat-main").await;
        }
    }
    phone.shot("peeled").await;

    // Cast.
    phone.tap("#page-cast").await;
    phone.wait("#medium").await;
    journey::choose_medium(&phone, "plaster").await;
    phone.fill("#copies", "3").await;
    phone.wait("#cast-mass").await;
    phone.shot("cast").await;
    assert!(!phone.text("#cast-heat").await.is_empty());

    // The record: one file, and the printed sheet.
    phone.tap("#back").await;
    phone.wait("#export-job").await;
    phone.tap("#export-job").await;
    let file = phone.downloaded().await;
    let size = |path: &Path| path.metadata().expect("a file").len();
    assert!(size(&file) > size(&photo.file), "the photo is in it");
    phone.tap("#open-sheet").await;
    phone.wait("#print-sheet").await;
    phone.shot("sheet").await;
    for paper in Paper::ALL {
        let pages = phone.print_to("sheet", paper).await;
        assert_eq!(pages, 1, "one page of {paper:?} a piece");
    }

    // Another device takes the file in.
    host.resume();
    let other_folder = scratch_folder("whole-job-other");
    let other_host = Host::start("/", &other_folder.join("requests.log"));
    let other = Phone::new("whole-job-other", Screen::NARROW).await;
    journey::first_start(&other, &other_host).await;
    other.give_file("#import-file", &file).await;
    other.wait("#import-yes").await;
    other.shot("import-plan").await;
    other.tap("#import-yes").await;
    let taken = journey::job_named(&other, "Ceiling roses at the orangery").await;
    other.shot("imported").await;
    let given = journey::job_named(&phone, "Ceiling roses at the orangery").await;
    assert_eq!(taken.pieces[0].confidence, 0.99);
    assert_eq!(taken.pieces[0].prices.hour, Some(40.0));
    // The count of changes is each phone's own; what was found, wanted and done is the same.
    assert!(taken.says_the_same(&given), "nothing changes on the way");

    // Nothing left the device: pages asked their own host for files and nobody for anything else.
    phone.switch_off().await;
    let asked = netlog::asked_by_pages(&phone.net_log(), &origin);
    let strangers: Vec<_> = asked
        .iter()
        .filter(|url| {
            !url.starts_with(&origin) && !url.starts_with("blob:") && !url.starts_with("data:")
        })
        .collect();
    assert!(strangers.is_empty(), "asked elsewhere: {strangers:?}");
    let posted = host
        .requests()
        .iter()
        .filter(|line| !line.contains("GET "))
        .count();
    assert_eq!(posted, 0, "nothing but GET was ever asked");
}
