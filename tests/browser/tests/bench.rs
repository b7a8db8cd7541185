//! The darkroom's work timed beside OpenCV's in one browser, one run: `cargo dev bench`.

use peelcast_browser::{Host, Phone, Photo, Screen, scratch_folder};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::time::Duration;

/// Times are of the machine at hand, so nothing is judged: both columns are printed.
#[tokio::test]
#[ignore = "`cargo dev bench` prepares what it times"]
async fn the_darkroom_beside_opencv() {
    let folder = scratch_folder("bench-host");
    let mut host = Host::start("/", &folder.join("requests.log"));
    let bench = std::env::var_os("PEELCAST_BENCH").map(PathBuf::from);
    let bench = bench.expect("PEELCAST_BENCH names what is timed: run `cargo dev bench`");
    host.serve_instead(&bench);
    let phone = Phone::new("bench", Screen::PHONE).await;
    phone.open(&host.url("")).await;

    let sample = Photo::sample();
    let plaque = json!({
        "name": "plaque", "picture": "plaque.webp", "size": [1024, 768],
        "card": sample.card, "outline": sample.outline,
    });
    let animal = std::fs::read_to_string(bench.join("animal.json"));
    let animal: Value = serde_json::from_str(&animal.expect("the animal's outline")).expect("JSON");
    // OpenCV takes its time over the larger pictures.
    let patience = phone.driver().set_script_timeout(Duration::from_secs(900));
    patience.await.expect("the driver waits");
    let run = "const worker = new Worker('bench.js'); \
        return new Promise((done, failed) => { \
            worker.onerror = (e) => failed(e.message); \
            worker.onmessage = ({ data }) => data.why ? failed(data.why) : done(data.rows); \
            worker.postMessage(given[0]); \
        })";
    let rows = phone.js_later(run, vec![json!([plaque, animal])]).await;
    println!(
        "{:<30} {:>10} {:>10} {:>8}   overlap with the truth",
        "", "darkroom", "OpenCV", "times"
    );
    for row in rows.as_array().expect("rows") {
        let ours = row["ours"].as_f64().expect("milliseconds");
        let what = row["what"].as_str().unwrap_or_default();
        let Some(theirs) = row["theirs"].as_f64() else {
            println!("{what:<30} {ours:>7.1} ms");
            continue;
        };
        let overlaps = row["overlaps"].as_array().map_or(String::new(), |of| {
            let of: Vec<String> = of
                .iter()
                .map(|o| format!("{:.3}", o.as_f64().unwrap_or(0.0)))
                .collect();
            of.join(" and ")
        });
        println!(
            "{what:<30} {ours:>7.1} ms {theirs:>7.1} ms {:>8.1}   {overlaps}",
            theirs / ours
        );
    }
}
