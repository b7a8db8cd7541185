//! A wait of hours is spared the battery: while someone looks, the page wakes once a second, and
//! not at all while it is hidden.

use peelcast_browser::{Phone, journey};
use serde_json::json;
use std::time::Duration;

/// Counts whatever wakes the page by itself.
const COUNT: &str = "
    window.woken = 0;
    for (const name of ['setTimeout', 'setInterval', 'requestAnimationFrame', 'requestIdleCallback']) {
        const real = window[name].bind(window);
        window[name] = (wake, ...rest) => real((...with_) => { window.woken += 1; wake(...with_); }, ...rest);
    }";

/// Shows or hides the page, as a phone does that is laid aside.
const TURN: &str = "
    const [state] = arguments;
    Object.defineProperty(document, 'visibilityState', { configurable: true, get: () => state });
    Object.defineProperty(document, 'hidden', { configurable: true, get: () => state === 'hidden' });
    document.dispatchEvent(new Event('visibilitychange'));";

/// How often the page wakes while nobody touches it, and in how many seconds.
async fn wakes(phone: &Phone) -> (f64, f64) {
    let begin = "window.woken = 0; window.since = performance.now()";
    phone.js(begin, vec![]).await;
    tokio::time::sleep(Duration::from_secs(6)).await;
    let end = "return [window.woken, (performance.now() - window.since) / 1000]";
    let both = phone.js(end, vec![]).await;
    let number = |at: usize| both[at].as_f64().expect("a number");
    (number(0), number(1))
}

#[tokio::test]
async fn the_page_wakes_once_a_second_and_never_while_it_is_hidden() {
    let (phone, _host, _folder) = journey::phone_with_sample("battery").await;
    let coat = journey::sample_page(&phone, "coat").await;
    let source = json!({ "source": COUNT });
    phone
        .cdp("Page.addScriptToEvaluateOnNewDocument", source)
        .await;
    phone.reload().await;
    phone.wait(journey::READ).await;
    journey::go(&phone, &coat).await;
    phone.wait("#coat-main").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    // What the tap itself set going has ended by then.
    tokio::time::sleep(Duration::from_secs(10)).await;

    let (times, seconds) = wakes(&phone).await;
    assert!(times <= seconds + 1.0, "{times} times in {seconds:.1} s");
    assert!(times >= 3.0, "the countdown goes on: {times} times");

    phone.js(TURN, vec![json!("hidden")]).await;
    let (times, seconds) = wakes(&phone).await;
    assert!(times == 0.0, "hidden: {times} times in {seconds:.1} s");

    phone.js(TURN, vec![json!("visible")]).await;
    let (times, _) = wakes(&phone).await;
    assert!(times >= 3.0, "the countdown goes on: {times} times");
}
