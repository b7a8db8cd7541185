//! A new version of the app comes to the host while a coat runs: nothing is forced and nothing is
//! disturbed; between the coats it is on offer, and taking it keeps the job as it is.

use peelcast_browser::{Host, Phone, Screen, journey, release, scratch_folder, stored};
use serde_json::json;
use std::path::Path;

/// How many scripts of the picture worker each kept release has.
const TOOLS_KEPT: &str = "const names = await caches.keys(); \
    return Promise.all(names.map(async (name) => { \
        const requests = await (await caches.open(name)).keys(); \
        return requests.filter(({ url }) => /darkroom[^/]*\\.js$/.test(url)).length; \
    }))";

#[tokio::test]
async fn a_new_version_waits_for_the_coat_and_keeps_the_job() {
    let folder = scratch_folder("update-host");
    let mut host = Host::start("/", &folder.join("requests.log"));
    let mut phone = Phone::new("update", Screen::PHONE).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    journey::go(&phone, &journey::sample_page(&phone, "coat").await).await;
    journey::coat_tap(&phone, "#coat-main").await;
    phone.wait("#coat-countdown").await;
    let until = phone.text("#coat-until").await;
    let running = stored::read(&phone).await;

    // The release arrives in the middle of the coat.
    release::next(host.site(), &folder.join("next"));
    host.serve_instead(&folder.join("next"));
    phone.js(release::COME_BACK, vec![]).await;
    phone
        .wait_until("the new version is kept ready", release::WAITS, vec![])
        .await;
    journey::rest_kept(&phone, "").await;
    let kept = phone.js_later(TOOLS_KEPT, vec![]).await;
    assert_eq!(kept, json!([1, 1]), "each release has its picture tools");
    for reloaded in [false, true] {
        if reloaded {
            phone.reload().await;
            phone.wait("#coat-countdown").await;
        }
        phone.wait_until_settled().await;
        assert!(
            !phone.has("#use-new-version").await,
            "no question with hands on the paste"
        );
        assert_eq!(
            phone.js(release::IS_NEXT, vec![]).await,
            json!(false),
            "the old version runs on"
        );
        assert_eq!(phone.text("#coat-until").await, until, "the coat runs on");
    }
    assert_eq!(
        stored::read(&phone).await,
        running,
        "nothing stored has changed"
    );
    phone.shot("in-the-middle").await;

    // The coat is on the wall and cures: now there is time for the question.
    for _ in 0..40 {
        if phone.has("#touch-tacky").await {
            break;
        }
        assert!(
            !phone.has("#use-new-version").await,
            "not before the coat is done"
        );
        journey::coat_on(&mut phone).await;
    }
    phone.wait("#use-new-version").await;
    phone.shot("on-offer").await;
    let coated = stored::read(&phone).await;
    phone.tap("#use-new-version").await;
    phone
        .wait_until("the new version runs", release::IS_NEXT, vec![])
        .await;
    phone.wait("#touch-tacky").await;
    phone.shot("taken").await;
    assert_eq!(stored::read(&phone).await, coated, "the job is as it was");
    assert!(
        !phone.has("#use-new-version").await,
        "nothing more is on offer"
    );

    // It is the new version that starts without a network.
    host.stop();
    phone.reload().await;
    phone.wait("#touch-tacky").await;
    phone
        .wait_until("the new version starts", release::IS_NEXT, vec![])
        .await;
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.tap("#task-check").await;
    journey::laid_flat(&phone).await;
}

/// Jobs at every step of the work, those of earlier versions of the record among them, over a new
/// release and back again: nothing stored changes, and every page of every piece opens.
#[tokio::test]
async fn an_update_and_its_rollback_keep_jobs_of_every_step() {
    let (phone, mut host, folder) = journey::phone_with_sample("rollback").await;
    let old = host.site().to_owned();
    for version in [1, 2] {
        let file = format!("../fixtures/jobs/v{version}.peelcast.zip");
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        journey::go(&phone, "#/").await;
        phone.give_file("#import-file", &file).await;
        phone.tap("#import-yes").await;
        phone.wait("#toast-close").await;
        phone.tap("#toast-close").await;
    }
    journey::go(&phone, "#/").await;
    journey::own_piece(&phone, "Nothing yet").await;
    journey::go(&phone, "#/").await;
    let before = stored::read(&phone).await;
    let next = folder.join("next");
    release::next(&old, &next);
    for (site, is_next) in [(&next, true), (&old, false)] {
        host.serve_instead(site);
        phone.js(release::COME_BACK, vec![]).await;
        phone
            .wait_until("the other release is kept ready", release::WAITS, vec![])
            .await;
        phone.tap("#use-new-version").await;
        let runs = format!("return ({}) === arguments[0]", &release::IS_NEXT[7..]);
        phone
            .wait_until("the other release runs", &runs, vec![json!(is_next)])
            .await;
        phone.wait(journey::READ).await;
        assert_eq!(stored::read(&phone).await, before, "next: {is_next}");
        let mut opened = 0;
        for job in journey::stored_jobs(&phone).await {
            let name = |of: &serde_json::Value| of["id"].as_str().expect("an id").to_owned();
            for piece in job["pieces"].as_array().expect("pieces") {
                let piece = format!("#/job/{}/piece/{}", name(&job), name(piece));
                for page in [
                    "", "/measure", "/plan", "/pack", "/coat", "/cast", "/heights",
                ] {
                    journey::go(&phone, &format!("{piece}{page}")).await;
                    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
                    let trapped = "return !document.querySelector('#page h2, #page p, #page button') \
                        || !!document.querySelector('#start-again')";
                    let trapped = phone.js(trapped, vec![]).await;
                    assert_eq!(trapped, json!(false), "{piece}{page}, next: {is_next}");
                    opened += 1;
                }
            }
        }
        println!("{opened} pages opened, next: {is_next}");
        journey::go(&phone, "#/").await;
    }
}
