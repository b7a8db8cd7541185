//! What is deleted comes back, also after the phone was off: a piece with its photo from its job's
//! page, a whole job from the settings.

use peelcast_browser::{Host, Phone, journey};

/// Ends the process; the next start clears away what no job needs.
async fn off_and_on(phone: &mut Phone, host: &Host) {
    phone.switch_off().await;
    phone.switch_on().await;
    phone.open(&host.url("")).await;
    phone.wait(journey::READ).await;
}

/// Waits until the piece's photo is laid flat.
async fn has_its_photo(phone: &Phone, piece: &str) {
    journey::go(phone, &format!("{piece}/measure")).await;
    phone.tap("#task-check").await;
    journey::laid_flat(phone).await;
}

#[tokio::test]
async fn a_piece_and_a_job_come_back() {
    let (mut phone, host, _folder) = journey::phone_with_sample("deleted").await;
    let piece = journey::sample_page(&phone, "").await;
    let job = piece.split("/piece/").next().expect("a job").to_owned();
    journey::go(&phone, &piece).await;
    phone.unfold("#delete-piece").await;
    phone.tap("#delete-piece").await;
    phone.wait("#toast-undo").await;
    phone.tap("#toast-close").await;

    off_and_on(&mut phone, &host).await;
    journey::go(&phone, &job).await;
    phone.unfold("#removed").await;
    journey::says(&phone, "#removed", &["30 days"]).await;
    phone.shot("removed").await;
    phone.tap("#removed button").await;
    phone.wait("#pieces a").await;
    let gone = "return !document.querySelector('#removed button')";
    phone
        .wait_until("nothing is left to bring back", gone, vec![])
        .await;
    has_its_photo(&phone, &piece).await;

    journey::go(&phone, "#/").await;
    journey::remove_sample(&phone).await;
    phone.wait("#no-jobs").await;
    off_and_on(&mut phone, &host).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#deleted button").await;
    has_its_photo(&phone, &piece).await;
}
