//! How fast the app is on an old phone, and whether its memory stays what it is through a long day.
//!
//! The times are printed and not judged, since they are the machine's as much as the app's: run them
//! with `cargo dev bench`, with nothing beside it. Chromium makes itself four times slower for them.

use peelcast_browser::{Phone, journey};
use serde_json::{Value, json};

/// Notes when the first job is on the screen and when it can be gone on with, in milliseconds after
/// the page was asked for; and how long each touch and key took until the next frame was painted.
const WATCH: &str = "
    window.seen = {}; window.slow = [];
    const look = () => {
        if (document.querySelector('#jobs a')) window.seen.listed ??= performance.now();
        if (document.querySelector('#jobs[data-read] ~ .bar #new-job')) window.seen.ready ??= performance.now();
        if (!window.seen.ready) requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
    new PerformanceObserver((list) => list.getEntries().forEach(({ name, duration, target, interactionId }) =>
        interactionId && window.slow.push([duration, name, target?.id || target?.className || target?.tagName || 'gone'])))
        .observe({ type: 'event', durationThreshold: 16, buffered: true });";

async fn slow(phone: &Phone) {
    let rate = json!({ "rate": 4 });
    phone.cdp("Emulation.setCPUThrottlingRate", rate).await;
}

#[tokio::test]
#[ignore = "times mean nothing beside other tests"]
async fn a_warm_start_four_times_slower() {
    let (phone, _host, _folder) = journey::phone_with_sample("warm-start").await;
    journey::rest_kept(&phone, "").await;
    let watch = json!({ "source": WATCH });
    phone
        .cdp("Page.addScriptToEvaluateOnNewDocument", watch)
        .await;
    let mut times = Vec::new();
    for _ in 0..7 {
        slow(&phone).await;
        phone.reload().await;
        let ready = "return !!window.seen?.ready";
        phone.wait_until("all is read", ready, vec![]).await;
        let seen = phone.js("return window.seen", vec![]).await;
        let at = |name: &str| seen[name].as_f64().expect("a moment");
        times.push((at("listed"), at("ready")));
    }
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (listed, ready) = times[times.len() / 2];
    println!(
        "warm start, four times slower: listed after {listed:.0} ms, all read after {ready:.0} ms \
         (median of {})",
        times.len()
    );
}

#[tokio::test]
#[ignore = "times mean nothing beside other tests"]
async fn each_touch_of_a_job_four_times_slower() {
    let (phone, _host, _folder) = journey::phone_with_sample("touches").await;
    journey::rest_kept(&phone, "").await;
    let sample = journey::sample_page(&phone, "").await;
    let watch = json!({ "source": WATCH });
    phone
        .cdp("Page.addScriptToEvaluateOnNewDocument", watch)
        .await;
    phone.reload().await;
    phone.wait(journey::READ).await;
    slow(&phone).await;
    let mut all: Vec<(f64, String)> = Vec::new();
    let mut note = async |what: &str| {
        tokio::time::sleep(std::time::Duration::from_millis(1500)).await;
        let slow = phone.js("return window.slow.splice(0)", vec![]).await;
        for entry in slow.as_array().expect("entries") {
            let [long, name, target] = [0, 1, 2].map(|n| entry[n].clone());
            let name = name.as_str().unwrap_or_default();
            let target = target.as_str().unwrap_or_default();
            let long = long.as_f64().expect("a time");
            all.push((long, format!("{what}: {name} on {target}")));
        }
    };
    phone.tap("#jobs a").await;
    note("the job opens").await;
    journey::go(&phone, &format!("{sample}/measure")).await;
    phone.wait("#task-outline").await;
    note("measure opens").await;
    phone.tap("#task-outline").await;
    phone.wait(".handle").await;
    phone.tap(".handle").await;
    note("a mark is chosen").await;
    for way in ["left", "up", "right", "down"] {
        phone.tap(&format!("#nudge-{way}")).await;
    }
    note("a mark is moved").await;
    phone.tap("#page-plan").await;
    phone.wait("#confidence-80").await;
    note("the plan opens").await;
    phone.tap("#confidence-80").await;
    note("the confidence changes").await;
    phone.fill("#border", "30").await;
    phone.tap("#confidence-95").await;
    note("the border changes").await;
    phone.tap("#page-pack").await;
    phone.wait("#kit input").await;
    note("the bag opens").await;
    for _ in 0..3 {
        phone.tap("#kit input:not(:checked)").await;
    }
    note("a thing is ticked").await;
    phone.tap("#page-coat").await;
    phone.wait("#coat-main").await;
    note("the coats open").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    note("mixing begins").await;
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!(
        "{} touches and keys of 16 ms and more, the slowest:",
        all.len()
    );
    for (long, what) in all.iter().take(12) {
        println!("{long:>6.0} ms  {what}");
    }
}

/// Lets the page's timers run through `hours` without waiting for them.
async fn run_through(phone: &Phone, hours: f64) {
    let budget = json!({
        "policy": "pauseIfNetworkFetchesPending",
        "budget": hours * 3_600_000.0,
        "maxVirtualTimeTaskStarvationCount": 100_000,
    });
    let begun = "return (window.hours = Date.now())";
    let begun = phone.js(begun, vec![]).await.as_f64().expect("a moment");
    phone.cdp("Emulation.setVirtualTimePolicy", budget).await;
    for _ in 0..600 {
        tokio::time::sleep(std::time::Duration::from_millis(500)).await;
        let now = phone.js("return Date.now()", vec![]).await;
        if now.as_f64().expect("a moment") - begun >= 0.999 * hours * 3_600_000.0 {
            return;
        }
    }
    panic!("the hours did not pass");
}

async fn heap(phone: &Phone) -> f64 {
    phone.cdp("HeapProfiler.collectGarbage", json!({})).await;
    let used: Value = phone.cdp("Runtime.getHeapUsage", json!({})).await;
    used["usedSize"].as_f64().expect("bytes") / 1e6
}

#[tokio::test]
#[ignore = "twelve hours of ticks take minutes"]
async fn twelve_hours_of_a_timer_take_no_memory() {
    let (phone, _host, _folder) = journey::phone_with_sample("hours").await;
    journey::go(&phone, &journey::sample_page(&phone, "coat").await).await;
    phone.wait("#coat-main").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    run_through(&phone, 1.0).await;
    let before = (heap(&phone).await, phone.memory().iter().map(|m| m.1).max());
    run_through(&phone, 12.0).await;
    let after = (heap(&phone).await, phone.memory().iter().map(|m| m.1).max());
    let megabytes = |bytes: Option<u64>| bytes.unwrap_or(0) as f64 / 1e6;
    println!(
        "after one hour {:.1} MB of heap, {:.0} MB in all; after thirteen {:.1} MB and {:.0} MB",
        before.0,
        megabytes(before.1),
        after.0,
        megabytes(after.1)
    );
    assert!(after.0 < before.0 + 5.0, "the heap grows");
}
