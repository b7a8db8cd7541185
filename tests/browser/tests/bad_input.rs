//! Bad input at the built app: each kind gets a clear sentence that says what to do, and what was
//! stored before is there byte for byte, also after a reload.

use chrono::DateTime;
use peelcast::job::{bundle, sample_job};
use peelcast_browser::journey::{self, Photo};
use peelcast_browser::{Host, Phone, Screen, scratch_folder, stored};
use serde_json::json;
use std::path::PathBuf;

/// A phone on which the app has started once; `name` names its files.
async fn phone_with_sample(name: &str) -> (Phone, Host, PathBuf) {
    let folder = scratch_folder(&format!("{name}-files"));
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new(name, Screen::NARROW).await;
    journey::first_start(&phone, &host).await;
    phone.wait("#jobs a").await;
    (phone, host, folder)
}

/// Waits until the app says all of `parts`, and gives the whole of what stands at `css`.
async fn says(phone: &Phone, css: &str, parts: &[&str]) {
    let said = "const said = [...document.querySelectorAll(arguments[0])] \
        .filter((e) => e.checkVisibility()).map((e) => e.innerText).join(' ').replaceAll('’', \"'\"); \
        return arguments[1].every((part) => said.includes(part))";
    let what = format!("{css} says {parts:?}");
    phone
        .wait_until(&what, said, vec![json!(css), json!(parts)])
        .await;
}

/// What is typed, and what the app has to say to it.
type Slip = (&'static str, &'static str);

/// Fills a field that may be folded away.
async fn write(phone: &Phone, css: &str, text: &str) {
    phone.wait(css).await;
    phone.unfold(css).await;
    phone.fill(css, text).await;
}

/// A PNG's first bytes that declare a size.
fn png_header(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    bytes.extend(width.to_be_bytes());
    bytes.extend(height.to_be_bytes());
    bytes.extend([8, 2, 0, 0, 0, 0, 0, 0, 0]);
    bytes
}

#[tokio::test]
async fn files_that_are_no_photo_are_refused_with_advice() {
    let (phone, _host, folder) = phone_with_sample("bad-photos").await;
    let heic = [
        b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(),
        vec![0; 4000],
    ]
    .concat();
    let cases: [(&str, Vec<u8>, &[&str]); 5] = [
        (
            "list.jpg",
            b"brushes, cups, paste".to_vec(),
            &["isn't a picture", "Choose a photo"],
        ),
        (
            "empty.jpg",
            vec![],
            &["empty (0 bytes)", "Take the photo again"],
        ),
        (
            "huge.png",
            png_header(11_648, 8_736),
            &["102 megapixels", "save a smaller copy"],
        ),
        ("phone.heic", heic, &["HEIC", "camera settings", "JPEG"]),
        (
            "cut.jpg",
            b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01".to_vec(),
            &["damaged", "Take the photo again"],
        ),
    ];
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#photo").await;
    let before = stored::read(&phone).await;
    for (name, bytes, parts) in cases {
        phone.tap("#task-reference").await;
        if !phone.has("#photo-file").await {
            phone.tap("#photo-other").await;
        }
        let file = folder.join(name);
        std::fs::write(&file, bytes).expect("the file is written");
        phone.give_file("#photo-file", &file).await;
        says(
            &phone,
            ".choose [role=alert]",
            &[parts, &["Nothing was changed"]].concat(),
        )
        .await;
        phone.shot(name).await;
        stored::assert_unchanged(&phone, &before, &format!("after {name}")).await;
        phone.wait("#photo").await;
    }
}

#[tokio::test]
async fn marks_that_fix_nothing_are_told_and_lose_nothing() {
    let (phone, _host, _folder) = phone_with_sample("bad-marks").await;
    let sample = stored::read(&phone).await;
    journey::own_piece(&phone, "Rose").await;
    let photo = Photo::sample();
    phone.give_file("#photo-file", &photo.file).await;
    phone.wait("#photo").await;

    // Four corners in one line, then one of them on another one.
    phone.tap("#task-reference").await;
    phone.choose("#reference-kind", "card").await;
    for x in [200.0, 450.0, 700.0, 950.0] {
        journey::touch_photo(&phone, [x, 500.0]).await;
    }
    says(
        &phone,
        "#advice .error",
        &["aren't the corners of a rectangle", "Move each mark"],
    )
    .await;
    phone.shot("corners-in-a-line").await;
    let from = phone.photo_place("#photo", [950.0, 500.0]).await;
    let to = phone.photo_place("#photo", [700.0, 500.0]).await;
    phone
        .drag(&[from, ((from.0 + to.0) / 2.0, from.1 - 30.0), to])
        .await;
    says(&phone, "#advice .error", &["Move"]).await;
    phone.shot("corners-repeated").await;
    assert_eq!(
        phone
            .js(
                "return document.querySelector('#to-outline').disabled",
                vec![]
            )
            .await,
        json!(true)
    );

    // A size of one's own that nobody means.
    phone.choose("#reference-kind", "own").await;
    for (typed, wanted) in [
        ("0", "between 5 mm and 20 m"),
        ("-3", "below zero"),
        ("900 m", "between 5 mm"),
    ] {
        phone.fill("#own-width", typed).await;
        says(&phone, "#own-width-error", &[wanted]).await;
    }

    // Sound corners, and an outline like a bow tie.
    while phone
        .js(
            "return !document.querySelector('#undo-mark').disabled",
            vec![],
        )
        .await
        == json!(true)
    {
        phone.tap("#undo-mark").await;
    }
    phone.choose("#reference-kind", "card").await;
    for corner in &photo.card {
        journey::touch_photo(&phone, *corner).await;
    }
    phone.tap("#to-outline").await;
    for point in [
        [500.0, 300.0],
        [900.0, 700.0],
        [900.0, 300.0],
        [500.0, 700.0],
    ] {
        journey::touch_photo(&phone, point).await;
    }
    phone.tap("#close-outline").await;
    says(
        &phone,
        "#advice .error",
        &["crosses itself", "Move or take away"],
    )
    .await;
    phone.shot("crossed-outline").await;
    assert_eq!(
        phone
            .js(
                "return document.querySelector('#to-check').disabled",
                vec![]
            )
            .await,
        json!(true)
    );

    // The marks, bad as they are, and everything stored before are there after a reload.
    let job = journey::job_named(&phone, "Job for Rose").await;
    let before = stored::read(&phone).await;
    stored::assert_kept(&sample, &before, "after bad marks");
    stored::assert_unchanged(&phone, &before, "after bad marks").await;
    assert_eq!(job.pieces[0].outline.len(), 4);
    phone.tap("#task-outline").await;
    says(&phone, "#advice .error", &["crosses itself"]).await;
}

#[tokio::test]
async fn numbers_out_of_range_are_told_at_their_field_and_not_stored() {
    let (phone, _host, _folder) = phone_with_sample("bad-numbers").await;
    phone.tap("#settings").await;
    phone.tap("#units-metric").await;
    let before = stored::read(&phone).await;
    let fields: [(&str, &str, &[Slip]); 6] = [
        (
            "",
            "piece-temperature",
            &[
                ("500", "No one coats at"),
                ("-300", "absolute zero"),
                ("warm", "can't be read"),
            ],
        ),
        (
            "plan",
            "highest",
            &[
                ("2000", "between 0 and 1000 mm"),
                ("-3", "below zero"),
                ("", "Nothing is typed"),
            ],
        ),
        (
            "plan",
            "border",
            &[
                ("40 cm", "between 0 and 300 mm"),
                ("1e400", "Use mm, cm"),
                ("1/0", "divides by zero"),
            ],
        ),
        (
            "plan",
            "thickness-1",
            &[
                ("0", "between 0.1 and 30 mm"),
                ("31", "between 0.1"),
                ("99999999999", "far too large"),
            ],
        ),
        (
            "cast",
            "copies",
            &[
                ("0", "whole number from 1"),
                ("2.5", "whole number"),
                ("100000", "to 10000"),
                ("NaN", "can't be read"),
            ],
        ),
        (
            "cast",
            "backing",
            &[
                ("600", "between 0 and 500 mm"),
                ("3 kg", "not a unit of length"),
            ],
        ),
    ];
    for (page, id, cases) in fields {
        journey::go(&phone, &journey::sample_page(&phone, page).await).await;
        let field = format!("#{id}");
        phone.wait(&field).await;
        phone.unfold(&field).await;
        for (typed, wanted) in cases {
            phone.fill(&field, typed).await;
            says(&phone, &format!("{field}-error"), &[wanted]).await;
        }
        phone.shot(id).await;
        stored::assert_unchanged(&phone, &before, &format!("after bad numbers in {id}")).await;
    }
}

#[tokio::test]
async fn a_full_phone_says_so_and_keeps_what_it_has() {
    let (mut phone, host, _folder) = phone_with_sample("full-phone").await;
    let origin = format!("http://localhost:{}", host.port);
    journey::own_piece(&phone, "Rose").await;
    let mut before = stored::read(&phone).await;
    let place = phone.js("return location.href", vec![]).await;
    phone.switch_off().await;
    phone.switch_on().await;
    stored::give_room(&phone, &origin, Some(1)).await;
    phone.open(place.as_str().expect("an address")).await;

    // No room for a photo in the database.
    phone.give_file("#photo-file", &Photo::sample().file).await;
    says(
        &phone,
        ".choose [role=alert]",
        &[
            "no room",
            "It was not stored",
            "Free some room",
            "choose the photo again",
        ],
    )
    .await;
    phone.shot("no-room-for-a-photo").await;
    stored::assert_unchanged(&phone, &before, "after a photo without room").await;

    // A step that only local storage takes is said to be stored once.
    phone.tap("#back").await;
    write(&phone, "#job-note", "Scaffold from Monday").await;
    says(
        &phone,
        "#alarms",
        &["stored, but only once", "Export your jobs"],
    )
    .await;
    phone.tap("#alarms button").await;

    // A step that nothing takes is not shown as done.
    stored::fill_local(&phone).await;
    let long = "A longer name than any that was stored before. ".repeat(100);
    write(&phone, "#job-contact", &long).await;
    says(
        &phone,
        "#alarms",
        &[
            "no room left",
            "Nothing stored before is lost",
            "export a job",
        ],
    )
    .await;
    phone.shot("no-room-at-all").await;
    let now = stored::read(&phone).await;
    let newest = |stored: &stored::Stored| -> Vec<String> {
        let sound = stored
            .iter()
            .filter(|(place, _)| !place.contains("job-before"));
        sound.map(|(_, text)| text.clone()).collect()
    };
    let contact = journey::job_named(&phone, "Job for Rose").await.contact;
    assert_eq!(contact, "", "what was not stored is not there");
    phone.reload().await;
    phone.wait("#job-contact").await;
    assert_eq!(
        phone
            .js(
                "return document.querySelector('#job-contact').value",
                vec![]
            )
            .await,
        json!("")
    );
    assert_eq!(
        newest(&stored::read(&phone).await),
        newest(&now),
        "a reload loses nothing"
    );
    assert_eq!(
        journey::job_named(&phone, "Job for Rose").await.note,
        "Scaffold from Monday"
    );

    // With room again, the step can be done again.
    stored::free_local(&phone).await;
    stored::give_room(&phone, &origin, None).await;
    write(&phone, "#job-contact", "the caretaker").await;
    phone.reload().await;
    phone.wait("#job-contact").await;
    let kept = journey::job_named(&phone, "Job for Rose").await;
    assert_eq!(
        (kept.contact.as_str(), kept.note.as_str()),
        ("the caretaker", "Scaffold from Monday")
    );
    // Local storage holds the newest versions; everything older is in the journal.
    before.retain(|place, _| !place.starts_with("local"));
    stored::assert_kept(&before, &stored::read(&phone).await, "at the end");
}

#[tokio::test]
async fn broken_files_are_not_imported() {
    let (phone, _host, folder) = phone_with_sample("bad-imports").await;
    let job = sample_job(DateTime::UNIX_EPOCH);
    let id = job.pieces[0].photo.as_ref().expect("a photo").id.clone();
    let photo = std::fs::read(Photo::sample().file).expect("the sample's photo");
    let photos = [bundle::Photo {
        id,
        bytes: photo.clone(),
    }];
    let sound = bundle::pack(&[job], &photos, DateTime::UNIX_EPOCH).expect("an export");
    let find = |what: &[u8]| {
        sound
            .windows(what.len())
            .position(|part| part == what)
            .expect("it is in there")
    };
    let mut changed = sound.clone();
    changed[find(&photo) + 20_000] ^= 1;
    // The shortest ZIP file: nothing in it but its end.
    let without_job = [b"PK\x05\x06".to_vec(), vec![0; 18]].concat();
    let cases: [(&str, Vec<u8>, &[&str]); 5] = [
        (
            "letter.zip",
            b"Dear customer, here is the job.".to_vec(),
            &["no export of Peelcast", ".peelcast.zip"],
        ),
        ("empty.zip", vec![], &["empty (0 bytes)"]),
        (
            "cut.zip",
            sound[..sound.len() / 2].to_vec(),
            &["cut short or damaged", "Copy it again"],
        ),
        (
            "foreign.zip",
            without_job,
            &["no job.json", "no export of Peelcast"],
        ),
        (
            "changed.zip",
            changed,
            &["damaged", "isn't what was written", "Copy the file again"],
        ),
    ];
    let before = stored::read(&phone).await;
    for (name, bytes, parts) in cases {
        let file = folder.join(name);
        std::fs::write(&file, bytes).expect("the file is written");
        phone.give_file("#import-file", &file).await;
        says(
            &phone,
            "#alarms .wrong",
            &[parts, &["Nothing on this phone was changed"]].concat(),
        )
        .await;
        phone.shot(name).await;
        assert!(!phone.has("#import-yes").await, "{name} is not on offer");
        phone.tap("#alarms button").await;
        phone.reload().await;
        phone.wait("#jobs a").await;
        assert_eq!(stored::read(&phone).await, before, "after {name}");
    }
}
