//! Bad input at the built app: each kind gets a clear sentence that says what to do, and what was
//! stored before is there byte for byte, also after a reload.

use peelcast::survey::Reference;
use peelcast_browser::{Photo, journey, stored};
use serde_json::json;

/// What is typed, and what the app has to say to it.
type Slip = (&'static str, &'static str);

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
    let (phone, _host, folder) = journey::phone_with_sample("bad-photos").await;
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
            phone.tap("#photo-replace").await;
        }
        let file = folder.join(name);
        std::fs::write(&file, bytes).expect("the file is written");
        phone.give_file("#photo-file", &file).await;
        journey::says(
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
    let (phone, _host, _folder) = journey::phone_with_sample("bad-marks").await;
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
    journey::says(
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
    let mut repeated = false;
    for _ in 0..60 {
        let job = journey::job_named(&phone, "Job for Rose").await;
        if let Some(Reference::Rectangle { corners, .. }) = &job.pieces[0].shots[0].reference {
            repeated = corners.len() == 4
                && (corners[3][0] - corners[2][0]).hypot(corners[3][1] - corners[2][1]) < 3.0;
        }
        if repeated {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    assert!(repeated, "one corner is stored where another one is");
    journey::says(&phone, "#advice .error", &["Move each mark"]).await;
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
        journey::says(&phone, "#own-width-error", &[wanted]).await;
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
    journey::says(
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
    assert_eq!(job.pieces[0].shots[0].outline.len(), 4);
    phone.tap("#task-outline").await;
    journey::says(&phone, "#advice .error", &["crosses itself"]).await;
}

#[tokio::test]
async fn numbers_out_of_range_are_told_at_their_field_and_not_stored() {
    let (phone, _host, _folder) = journey::phone_with_sample("bad-numbers").await;
    phone.tap("#settings").await;
    phone.tap("#units-metric").await;
    let before = stored::read(&phone).await;
    let fields: [(&str, &str, &[Slip]); 8] = [
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
            "plan",
            "price-hour",
            &[
                ("-10", "between 0 and 10 million"),
                ("ten", "can't be read"),
            ],
        ),
        ("plan", "other-hours", &[("1001", "between 0 and 1000")]),
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
            journey::says(&phone, &format!("{field}-error"), &[wanted]).await;
        }
        phone.shot(id).await;
        stored::assert_unchanged(&phone, &before, &format!("after bad numbers in {id}")).await;
    }
}
