//! What is written down at the wall, and what it changes: a colder wall puts the next coat off, a
//! wet touch teaches that this paste is slow, a hand's speed goes into the next piece, and all of it
//! can be forgotten.

use peelcast::clock::Entry;
use peelcast::coating::Source;
use peelcast::job::Piece;
use peelcast_browser::{Phone, Photo, journey};
use serde_json::json;

async fn write_down(phone: &Phone, kind: &str, what: &str) {
    phone.unfold("#note-add").await;
    phone.tap(&format!("#note-kind-{kind}")).await;
    phone.fill("#note-value", what).await;
    phone.tap("#note-add").await;
    let empty = "return document.querySelector('#note-value').value === ''";
    phone.wait_until("it is written down", empty, vec![]).await;
    // What is written down can be taken back for a while, and lies over the page for so long.
    phone.tap("#toast-close").await;
}

#[tokio::test]
async fn what_is_written_down_counts() {
    let (mut phone, _host, _folder) = journey::phone_with_sample("log").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let piece = journey::sample_page(&phone, "").await;
    let piece = piece.trim_end_matches('/').to_owned();
    journey::go(&phone, &format!("{piece}/coat")).await;
    phone.wait("#coat-main").await;
    while !phone.has("#touch-tacky").await {
        journey::coat_on(&mut phone).await;
    }

    // A slip is told beside its field, and nothing is written down.
    phone.unfold("#note-add").await;
    phone.tap("#note-kind-warmth").await;
    phone.fill("#note-value", "200 °C").await;
    phone.tap("#note-add").await;
    journey::says(&phone, "#note-value-error", &["No one coats at 200"]).await;
    let until = phone.text("#coat-until").await;
    write_down(&phone, "warmth", "8 °C").await;
    let later = "return document.querySelector('#coat-until').innerText !== arguments[0]";
    phone
        .wait_until("the cold puts it off", later, vec![json!(until)])
        .await;
    write_down(&phone, "lot", "L 2041").await;
    write_down(&phone, "weighed", "61 g").await;
    write_down(&phone, "left", "7 g").await;
    write_down(&phone, "words", "Drip at the left volute, wiped off.").await;
    phone.give_file("#log-photo", &Photo::sample().file).await;
    phone.wait(".log-pictures img[src^=blob]").await;
    journey::says(
        &phone,
        "#coat-log",
        &[
            "Coat 1 took ",
            "8 °C on site",
            "Lot L 2041",
            "61 g mixed",
            "7 g left",
            "Drip at the left",
        ],
    )
    .await;
    phone.shot("log").await;
    let kept = |piece: &Piece| piece.notes.len() == 5 && piece.pictures.len() == 1;
    let stored = journey::sample_piece(&phone, "five notes and a photo", kept).await;
    let weighed = stored
        .notes
        .iter()
        .any(|note| matches!(note.entry, Entry::Weighed { coat: 1, mass, .. } if mass.0 == 61.0));
    assert!(weighed, "of the coat that is on: {:?}", stored.notes);
    phone.reload().await;
    phone.wait("#touch-wet").await;
    journey::says(&phone, "#coat-log", &[]).await;

    // Long past its time and still wet: this paste is slower than its card says.
    phone.pass_minutes(400.0).await;
    phone.wait_until_settled().await;
    journey::coat_tap(&phone, "#touch-wet").await;
    phone.tap("#leave-steps").await;
    phone.tap("#page-plan").await;
    phone.wait("#taught").await;
    phone.unfold("#forget-pace").await;
    journey::says(
        &phone,
        "#taught",
        &["By 1 touch this paste goes 0.", "Brushing a skim coat"],
    )
    .await;
    phone.shot("taught").await;

    // The next piece is planned by this hand; forgotten, the one after it by the program's guess.
    let speeds = async |count: usize| {
        for _ in 0..100 {
            let jobs = journey::stored_jobs(&phone).await;
            let job = jobs.into_iter().find(|job| job["made_up"] == true);
            let job = peelcast::job::Job::from_value(job.expect("the sample")).expect("a job");
            if let Some(piece) = job.pieces.get(count - 1) {
                return piece.coats[0].speed_source.clone();
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        panic!("no piece {count}");
    };
    let job = piece.split("/piece/").next().expect("a job").to_owned();
    journey::go(&phone, &job).await;
    phone.tap("#add-piece").await;
    phone.wait("#piece-name").await;
    assert!(matches!(speeds(2).await, Source::Learned(_)));
    journey::go(&phone, &format!("{piece}/plan")).await;
    phone.wait("#taught").await;
    phone.unfold("#forget-pace").await;
    phone.tap("#forget-hand").await;
    phone.tap("#forget-pace").await;
    journey::says(&phone, "#taught", &["Nothing yet"]).await;
    journey::go(&phone, &job).await;
    phone.tap("#add-piece").await;
    phone.wait("#piece-name").await;
    assert_eq!(speeds(3).await, Source::MadeUp);
}
