//! What is changed can be taken back: on each page of a job by one button, and what belongs to the
//! phone by the message that tells of it. Only what nothing brings back is asked about.

use peelcast_browser::{Phone, journey};
use serde_json::json;

/// The pack that is on the shelf, as the page tells it.
const SHELF: &str =
    "return [...document.querySelectorAll('#shelf li')].map((e) => e.innerText).join()";

async fn none_to_take_back(phone: &Phone) -> bool {
    let none = "return document.querySelector('#undo-change').disabled";
    phone.js(none, vec![]).await == json!(true)
}

#[tokio::test]
async fn every_change_has_its_way_back() {
    let (phone, _host, _folder) = journey::phone_with_sample("undo").await;
    let piece = journey::sample_page(&phone, "").await;

    // A number that was typed over.
    journey::go(&phone, &format!("{piece}/plan")).await;
    phone.wait("#thickness-1").await;
    // The heading of a new page takes the focus first.
    phone.wait_until_settled().await;
    assert!(none_to_take_back(&phone).await, "nothing was changed yet");
    let before = journey::sample_piece(&phone, "the sample", |_| true).await;
    phone.fill("#thickness-1", "1.3 mm").await;
    let thicker = |p: &peelcast::job::Piece| p.coats[0].thickness.0 == 1.3;
    journey::sample_piece(&phone, "thicker", thicker).await;
    phone.tap("#undo-change").await;
    journey::sample_piece(&phone, "as before", |p| p.coats == before.coats).await;
    journey::says(&phone, "#toasts", &["Undone: Thickness changed"]).await;
    phone.shot("undone").await;
    assert!(none_to_take_back(&phone).await, "it is taken back");
    phone.tap("#toast-close").await;

    // A pack of the shelf, which is no part of a job.
    phone.unfold("#shelf-add").await;
    phone.fill("#shelf-size", "450 g").await;
    phone.tap("#shelf-add").await;
    phone.wait("#shelf-remove-1").await;
    let there = phone.js(SHELF, vec![]).await;
    phone.tap("#shelf-remove-1").await;
    let gone = "return !document.querySelector('#shelf-remove-1')";
    phone.wait_until("the pack is gone", gone, vec![]).await;
    journey::says(&phone, "#shelf-empty", &["Nothing of this paste"]).await;
    phone.tap("#toast-undo").await;
    phone.wait("#shelf-remove-1").await;
    assert_eq!(phone.js(SHELF, vec![]).await, there);

    // A message's way back is closed by the next change: it would take that along.
    journey::go(&phone, &format!("{piece}/pack")).await;
    phone.wait("#kit input").await;
    phone.wait_until_settled().await;
    phone.tap("#untick-all").await;
    phone.wait("#toast-undo").await;
    // The message may lie over the first box.
    let tick = "document.querySelector('#kit input:not(:checked)').click()";
    phone.js(tick, vec![]).await;
    let closed = "return !document.querySelector('#toast-undo') \
        && document.querySelectorAll('#kit input:checked').length === 1";
    phone
        .wait_until("the offer is closed", closed, vec![])
        .await;

    // A job that is deleted comes back; for good it goes only when that is said twice.
    journey::go(&phone, "#/").await;
    journey::remove_sample(&phone).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#deleted .remove").await;
    journey::says(&phone, "#deleted", &["Nothing brings it", "Keep it"]).await;
    phone.shot("for-good").await;
    phone.wait("#deleted li").await;
    phone.tap("#deleted .remove").await;
    journey::says(&phone, "#no-deleted", &["No job is deleted"]).await;
}

#[tokio::test]
async fn each_page_says_what_it_is_for_and_cautions_come_first() {
    let (phone, _host, _folder) = journey::phone_with_sample("purpose").await;
    let piece = journey::sample_page(&phone, "").await;
    for (name, place, there) in journey::places(&piece) {
        if name == "nowhere" {
            continue;
        }
        journey::go(&phone, &place).await;
        phone.wait(there).await;
        if name == "measure" {
            // While marks are set the advice has the line's place.
            phone.tap("#task-check").await;
        }
        let line = "return [...document.querySelectorAll('.purpose')]\
            .filter((e) => e.checkVisibility() && e.innerText.length > 20).length";
        let one = format!("{line} === 1");
        phone
            .wait_until(&format!("{name} has its line"), &one, vec![])
            .await;
    }
    // Before the first tap at the wall, and never beside a step that runs.
    journey::go(&phone, &format!("{piece}/coat")).await;
    journey::says(&phone, "#cautions", &["ladder", "gloves", "solvent"]).await;
    phone.shot("before-the-first-coat").await;
    journey::coat_tap(&phone, "#coat-main").await;
    phone.wait("#leave-steps").await;
    assert!(!phone.has("#cautions").await);
    // What is poured is warned of before the button that starts its time.
    journey::go(&phone, &format!("{piece}/cast")).await;
    phone.choose("#medium", "isomalt").await;
    journey::says(&phone, "#cautions", &["sugar", "burns"]).await;
    let order = "const [a, b] = ['#cautions', '#pour'].map((css) => document.querySelector(css)); \
        return !!(a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING)";
    assert_eq!(phone.js(order, vec![]).await, json!(true));
    phone.shot("before-the-pour").await;
}
