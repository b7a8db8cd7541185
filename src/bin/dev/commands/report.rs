//! What passed and what failed, step by step.

use super::{Trouble, run_beside};
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;
use std::time::Instant;

/// The steps so far, printed as each ends.
#[derive(Default)]
pub struct Report {
    passed: Vec<String>,
    failed: Vec<String>,
}

/// A step that is a program of its own.
pub struct Job {
    pub name: String,
    pub command: Command,
}

impl Report {
    /// Does the work, which prints as it goes on.
    pub fn step(&mut self, name: &str, work: impl FnOnce() -> Result<(), Trouble>) {
        println!("\n== {name}");
        let begun = Instant::now();
        let outcome = work();
        self.note(name, begun, outcome);
    }

    /// Runs each job as a step, as many at once as there are cores; what one says is printed in one
    /// piece. The order in which they took their time is kept in a file: the next time the longest
    /// begin, so that none of them is left alone at the end.
    pub fn side_by_side(&mut self, mut jobs: Vec<Job>, longest_first: &Path) {
        let known = std::fs::read_to_string(longest_first).unwrap_or_default();
        // One that is not known comes before all.
        jobs.sort_by_key(|job| known.lines().position(|name| name == job.name));
        let workers = std::thread::available_parallelism().map_or(1, usize::from);
        let left = Mutex::new(jobs.into_iter());
        let ended = Mutex::new((self, Vec::new()));
        std::thread::scope(|scope| {
            for _ in 0..workers {
                scope.spawn(|| {
                    let next = || left.lock().ok()?.next();
                    while let Some(Job { name, mut command }) = next() {
                        let begun = Instant::now();
                        let (said, outcome) = run_beside(&mut command);
                        let Ok(mut ended) = ended.lock() else { return };
                        print!("\n== {name}\n{said}");
                        ended.0.note(&name, begun, outcome);
                        ended.1.push((begun.elapsed(), name));
                    }
                });
            }
        });
        if let Ok((_, mut took)) = ended.into_inner() {
            took.sort();
            let names: Vec<_> = took.into_iter().rev().map(|(_, name)| name).collect();
            // Without it the next run only takes longer.
            let _ = std::fs::write(longest_first, names.join("\n"));
        }
    }

    fn note(&mut self, name: &str, begun: Instant, outcome: Result<(), Trouble>) {
        let seconds = begun.elapsed().as_secs_f64();
        match outcome {
            Ok(()) => {
                println!("== {name}: passed in {seconds:.1} s");
                self.passed.push(name.to_owned());
            }
            Err(trouble) => {
                println!("{trouble}");
                println!("== {name}: FAILED after {seconds:.1} s");
                self.failed.push(name.to_owned());
            }
        }
    }

    /// Whether the step of that name was done and passed.
    pub fn has_passed(&self, name: &str) -> bool {
        self.passed.iter().any(|passed| passed == name)
    }

    /// Prints the sum as the last line.
    pub fn end(self) -> Result<(), Trouble> {
        println!();
        if !self.failed.is_empty() {
            println!("Failed: {}", self.failed.join(", "));
        }
        println!(
            "Steps: {} passed, {} failed",
            self.passed.len(),
            self.failed.len()
        );
        if self.failed.is_empty() {
            Ok(())
        } else {
            Err(String::new())
        }
    }
}
