//! The picture worker: it lays the photo flat without a network, is ended when its page is left,
//! and says so where it is not on the phone yet.

use peelcast_browser::{Host, Phone, Screen, journey, scratch_folder};
use serde_json::{Value, json};

/// Counts the page's workers, and how many of them were ended.
const WATCH: &str = "window.workers = []; \
    window.Worker = class extends Worker { \
        constructor(...given) { super(...given); window.workers.push(this); } \
        terminate() { this.ended = true; super.terminate(); } \
    }";

/// Workers that were started, and those that were ended.
async fn workers(phone: &Phone) -> [u64; 2] {
    let count = "return [window.workers.length, window.workers.filter((w) => w.ended).length]";
    let counted = phone.js(count, vec![]).await;
    [0, 1].map(|i| counted[i].as_u64().expect("a count"))
}

#[tokio::test]
async fn the_photo_is_laid_flat_without_a_network_and_leaving_gives_up() {
    let (phone, mut host, _folder) = journey::phone_with_sample("darkroom").await;
    host.stop();
    phone.reload().await;
    phone.wait(journey::READ).await;
    phone.js(WATCH, vec![]).await;
    let measure = journey::sample_page(&phone, "measure").await;
    let plan = journey::sample_page(&phone, "plan").await;

    journey::go(&phone, &measure).await;
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
    phone.shot("flat").await;
    assert_eq!(workers(&phone).await, [1, 0], "one worker, at work");
    // To another task and back: the photo is still open.
    phone.tap("#task-outline").await;
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
    assert_eq!(workers(&phone).await, [1, 0], "the same worker");
    journey::go(&phone, &plan).await;
    phone.wait("#total-to-bring").await;
    assert_eq!(workers(&phone).await, [1, 1], "ended with its page");

    // Left in the middle: the worker is ended before it has answered.
    journey::go(&phone, &measure).await;
    phone.wait("#task-check").await;
    let leave = "return new Promise((left) => { \
        const progress = new MutationObserver(() => { \
            if (window.workers.length < 2) return; \
            progress.disconnect(); \
            location.hash = given[0]; \
            setTimeout(() => left(window.workers[1].ended === true), 1000); \
        }); \
        progress.observe(document.body, { subtree: true, childList: true, characterData: true }); \
        document.querySelector('#task-check').click(); \
    })";
    let ended = phone.js_later(leave, vec![json!(plan)]).await;
    assert_eq!(ended, Value::Bool(true), "given up in the middle");
    phone.wait("#total-to-bring").await;

    // And once more, from the beginning.
    journey::go(&phone, &measure).await;
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
    assert_eq!(workers(&phone).await, [3, 2], "a new worker");
}

#[tokio::test]
async fn without_its_second_part_the_app_says_so_and_gets_it_at_the_next_start() {
    let folder = scratch_folder("darkroom-later-host");
    let mut host = Host::start("/", &folder.join("requests.log"));
    let whole = host.site().to_owned();
    let half = folder.join("half");
    peelcast_browser::release::copy(&whole, &half);
    for entry in std::fs::read_dir(&half).expect("the site") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.starts_with("darkroom") {
            std::fs::remove_file(&path).expect("it is taken away");
        }
    }
    host.serve_instead(&half);
    let phone = Phone::new("darkroom-later", Screen::PHONE).await;
    journey::first_start_alone(&phone, &host).await;
    phone.wait(journey::READ).await;
    journey::rest_kept(&phone, "later/").await;
    host.stop();
    phone.reload().await;
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.tap("#task-check").await;
    phone
        .wait_text("The picture tools are not on this phone yet")
        .await;
    phone.shot("not-yet").await;
    // What was marked by hand counts all the same.
    phone.tap("#task-outline").await;
    phone.wait("#footprint-area").await;

    host.serve_instead(&whole);
    phone.reload().await;
    journey::rest_kept(&phone, "").await;
    host.stop();
    phone.reload().await;
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
}
