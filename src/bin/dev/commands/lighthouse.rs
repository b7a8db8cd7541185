//! What Lighthouse says of the built site: speed of the very first start on a slow phone with a slow
//! network, accessibility, good habits.
//!
//! Its own settings for phones hold: a network of 1.6 Mbit/s with 150 ms of delay and a processor
//! four times slower than this one, both reckoned from an undisturbed run ("simulated throttling").

use super::tools::{self, Tools};
use super::{Trouble, output_of};
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// What is judged, with the least score out of 100.
const WANTED: [(&str, f64); 3] = [
    ("accessibility", 100.0),
    ("best-practices", 100.0),
    (SPEED, 95.0),
];
const SPEED: &str = "performance";
/// The parts of the performance that are printed beside it.
const TIMES: [&str; 4] = [
    "first-contentful-paint",
    "largest-contentful-paint",
    "total-blocking-time",
    "cumulative-layout-shift",
];
/// A machine that is busy with something else makes a page look slow, never fast: the best of so
/// many runs counts.
const RUNS: usize = 3;

/// Serves the site compressed, has it judged, and fails where a score is too low. Speed is always
/// told, but it fails nothing unless it `counts`: on a busy machine it says more of the machine.
pub fn judge(site: &Path, dev: &Path, tools: &Tools, counts: bool) -> Result<(), Trouble> {
    let host = Compressed::start(site, dev)?;
    let mut lacking = Vec::new();
    for _ in 0..RUNS {
        let report = report_of(&host.address, tools)?;
        lacking = WANTED
            .iter()
            .filter_map(|(what, least)| {
                let score = 100.0 * report["categories"][what]["score"].as_f64().unwrap_or(0.0);
                println!("{what}: {score:.0} ({least:.0} wanted)");
                (score < *least && (counts || *what != SPEED)).then_some(*what)
            })
            .collect();
        for time in TIMES {
            let shown = &report["audits"][time]["displayValue"];
            println!("    {time}: {}", shown.as_str().unwrap_or("not measured"));
        }
        if lacking.is_empty() {
            return Ok(());
        }
    }
    Err(format!(
        "Lighthouse wants more, after {RUNS} runs: {}.",
        lacking.join(", ")
    ))
}

fn report_of(address: &str, tools: &Tools) -> Result<serde_json::Value, Trouble> {
    let chromium = tools::chromium().ok_or("There is no Chromium.")?;
    let categories: Vec<&str> = WANTED.iter().map(|(what, _)| *what).collect();
    let text = output_of(
        Command::new("node")
            .arg(tools.lighthouse())
            .arg(address)
            .args(["--quiet", "--output=json", "--no-enable-error-reporting"])
            .arg(format!("--only-categories={}", categories.join(",")))
            .arg("--chrome-flags=--headless=new --no-sandbox")
            .env("CHROME_PATH", chromium),
    )
    .ok_or("Lighthouse came to no judgement: run it by hand to see why.")?;
    serde_json::from_str(&text).map_err(|e| format!("Lighthouse's report cannot be read: {e}."))
}

/// The site on a host of its own, gone when it is dropped.
struct Compressed {
    child: Child,
    address: String,
}

impl Compressed {
    fn start(site: &Path, dev: &Path) -> Result<Self, Trouble> {
        let child = Command::new(dev)
            .arg("host")
            .arg(site)
            .arg("--compressed")
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|e| format!("The host did not start: {e}."))?;
        let mut host = Self {
            child,
            address: String::new(),
        };
        // It goes on talking, so its output stays open.
        let said = host.child.stdout.as_mut().map(BufReader::new);
        let line = said.and_then(|said| said.lines().next()?.ok());
        host.address = line
            .and_then(|line| Some(line.rsplit_once(' ')?.1.to_owned()))
            .ok_or("The host did not say its address.")?;
        Ok(host)
    }
}

impl Drop for Compressed {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
