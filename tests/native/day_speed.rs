//! How long the planner takes for six pieces of three coats, and how often it proves its plan.
//!
//! `CARGO_PROFILE_RELEASE_OPT_LEVEL=3 cargo test --release --test native day_speed -- --ignored
//! --nocapture` prints both; nothing else should run beside it. The browser test `day` prints the
//! same for the worker.

use crate::days::{HEAD, day, print, rows};
use peelcast::clock::day::plan;
use std::time::Instant;

const DAYS: u64 = 100;

#[test]
#[ignore = "measures; run it by itself"]
fn six_pieces_of_three_coats() {
    println!("{HEAD}");
    for row in rows() {
        let took = (0..DAYS).map(|seed| {
            let day = day(&row, seed);
            let begun = Instant::now();
            let plan = plan(&day).expect("each of these days has a plan");
            (begun.elapsed().as_secs_f64() * 1e3, plan.proven)
        });
        let proven = print(&row, took.collect());
        assert!(proven >= 0.9);
    }
}
