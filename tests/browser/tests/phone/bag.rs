//! The bag of a whole job: one list for all its pieces, whose ticks stand on each piece's own list.

use peelcast::job::{Job, Piece, PieceId};
use peelcast::quantity::{Grams, parse, show::System};
use peelcast_browser::{Phone, journey};
use serde_json::json;

const NAME: &str = "Three of a kind";

/// The sample's piece twice under one roof, and one that is not planned.
fn job() -> Job {
    let pieces = [("left", "Left rose"), ("right", "Right rose")];
    let mut job = journey::job_of_copies("bag", NAME, &pieces);
    job.pieces.push(Piece {
        id: PieceId::new("bare"),
        name: "Not measured yet".into(),
        ..Piece::default()
    });
    job
}

async fn weight(phone: &Phone) -> Grams {
    let text = phone.text("#weight").await;
    parse::mass(&text, System::Metric).unwrap_or_else(|why| panic!("{text}: {why}"))
}

#[tokio::test]
async fn one_list_serves_all_pieces() {
    let (phone, _host, folder) = journey::phone_with_sample("bag").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    journey::import(&phone, &folder, job()).await;

    journey::go(&phone, "#/job/bag/piece/left/pack").await;
    phone.wait("#pack-for-all").await;
    let one = weight(&phone).await;
    phone.shot("one-piece").await;
    phone.tap("#pack-for-all").await;
    journey::says(&phone, "#left-out", &["Not measured yet"]).await;
    phone.wait("#buy").await;
    let all = weight(&phone).await;
    println!("one piece {} g, both {} g", one.0, all.0);
    // Paste doubles, scale and lamp don't.
    assert!(all.0 > 1.3 * one.0 && all.0 < 1.9 * one.0);
    phone.shot("all-pieces").await;
    let script = "document.querySelector('#buy').scrollIntoView()";
    phone.js(script, vec![]).await;
    phone.shot("sets").await;

    // One tick stands on both lists, and an untick on one of them takes it off the whole one.
    phone.tap("#kit-gloves").await;
    let ticks = |job: &Job| -> Vec<bool> {
        let on = |piece: &Piece| piece.ticked.iter().any(|key| key == "gloves");
        job.pieces.iter().map(on).collect()
    };
    let stored = async |wanted: [bool; 3]| {
        for _ in 0..100 {
            if ticks(&journey::job_named(&phone, NAME).await) == wanted {
                return;
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        phone.shot("ticks").await;
        let found = ticks(&journey::job_named(&phone, NAME).await);
        panic!("the ticks are never {wanted:?} but {found:?}");
    };
    stored([true, true, false]).await;
    phone.tap("#pack-for-piece").await;
    let gone = "return document.querySelector('#left-out') === null";
    phone.wait_until("one piece's list", gone, vec![]).await;
    phone.tap("#kit-gloves").await;
    stored([false, true, false]).await;
    phone.tap("#pack-for-all").await;
    let ticked = "return document.querySelector('#kit-gloves').checked";
    phone
        .wait_until("it is not ticked", &format!("{ticked} === false"), vec![])
        .await;
    phone.tap("#kit-gloves").await;
    stored([true, true, false]).await;
    assert_eq!(phone.js(ticked, vec![]).await, json!(true));
}
