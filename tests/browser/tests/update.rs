//! A new version of the app comes to the host while a coat runs: nothing is forced and nothing is
//! disturbed; between the coats it is on offer, and taking it keeps the job as it is.

use peelcast_browser::{Host, Phone, Screen, journey, release, scratch_folder, stored};
use serde_json::json;

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
    phone.wait("#jobs a").await;
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
