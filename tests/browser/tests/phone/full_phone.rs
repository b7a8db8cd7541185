//! A phone without room: each step that finds none says so, is not shown as done where nothing took
//! it, and costs nothing that was stored before.

use peelcast_browser::{Phone, Photo, journey, stored};
use serde_json::json;

/// Fills a field that may be folded away.
async fn write(phone: &Phone, css: &str, text: &str) {
    phone.wait(css).await;
    phone.unfold(css).await;
    phone.fill(css, text).await;
}

/// A choice that could not be stored goes back to what is kept. `measure` is the address of the
/// piece's Measure page.
async fn choices_go_back(phone: &Phone, measure: &str) {
    let job = phone.js("return location.hash", vec![]).await;
    // A choice is so little that it might just find room.
    let full =
        "Storage.prototype.setItem = () => { throw new DOMException('', 'QuotaExceededError') }";
    phone.js(full, vec![]).await;
    let piece = measure.split('#').nth(1).expect("a place");
    journey::go(phone, &format!("#{}", piece.trim_end_matches("/measure"))).await;
    let says = ["no room left", "not kept"];
    let back = "return document.querySelector('#posture-upright').checked \
        && !document.querySelector('#posture-overhead').checked \
        && document.querySelector('#piece-finish').selectedIndex === 0";
    phone.wait("#posture-upright").await;
    phone
        .wait_until("nothing is chosen yet", back, vec![])
        .await;
    phone.tap("#posture-overhead").await;
    journey::says(phone, "#alarms", &says).await;
    phone.wait_until("the choice goes back", back, vec![]).await;
    phone.shot("choice-back").await;
    phone.tap("#alarms button").await;
    phone.choose("#piece-finish", "painted").await;
    journey::says(phone, "#alarms", &says).await;
    phone.wait_until("the pick goes back", back, vec![]).await;
    phone.tap("#alarms button").await;
    journey::go(phone, job.as_str().expect("a place")).await;
}

#[tokio::test]
async fn a_full_phone_says_so_and_keeps_what_it_has() {
    let (mut phone, host, _folder) = journey::phone_with_sample("full-phone").await;
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
    journey::says(
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
    journey::says(
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
    journey::says(
        &phone,
        "#alarms",
        &[
            "no room left",
            "not kept, though its field may still show it",
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
    phone.tap("#alarms button").await;
    choices_go_back(&phone, place.as_str().expect("an address")).await;
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
