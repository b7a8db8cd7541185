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
    let run = "window.words = []; \
        const worker = new Worker('bench.js'); \
        worker.onerror = ({ message }) => window.words.push({ why: message }); \
        worker.onmessage = ({ data }) => window.words.push(data); \
        worker.postMessage(arguments[0])";
    phone.js(run, vec![json!([plaque, animal])]).await;
    println!(
        "the shortest of some runs                     darkroom      OpenCV    times  overlap with the truth"
    );
    loop {
        let words = phone.js("return window.words.splice(0)", vec![]).await;
        for word in words.as_array().expect("words") {
            assert!(word.get("why").is_none(), "{word}");
            if word.get("done").is_some() {
                return;
            }
            print(&word["row"]);
        }
        // OpenCV takes its time over the larger pictures, longer than one script may.
        tokio::time::sleep(Duration::from_millis(500)).await;
    }
}

fn print(row: &Value) {
    let what = row["what"].as_str().unwrap_or_default();
    let ours = row["ours"].as_f64().expect("milliseconds");
    let beside = row["theirs"].as_f64().map_or(String::new(), |theirs| {
        format!("{theirs:>8.1} ms {:>8.1}", theirs / ours)
    });
    let overlaps = row["overlaps"].as_array().map_or(String::new(), |of| {
        let of = of.iter().filter_map(Value::as_f64);
        let of: Vec<String> = of.map(|o| format!("{o:.3}")).collect();
        of.join(" and ")
    });
    println!("{what:<42} {ours:>8.1} ms {beside}  {overlaps}");
}
