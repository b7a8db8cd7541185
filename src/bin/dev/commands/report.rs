//! What passed and what failed, step by step.

use super::{Trouble, run_beside, share_out};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;
use std::time::Instant;

/// What earlier runs have shown of the jobs: the seconds that each took, and the digest with which
/// it passed last.
#[derive(Default)]
struct Known(BTreeMap<String, (u64, String)>);

impl Known {
    /// A line a job: seconds, digest, name.
    fn read(file: &Path) -> Self {
        let text = std::fs::read_to_string(file).unwrap_or_default();
        let line = |line: &str| {
            let mut words = line.splitn(3, ' ');
            let seconds = words.next()?.parse().ok()?;
            let of = words.next()?.to_owned();
            Some((words.next()?.to_owned(), (seconds, of)))
        };
        Self(text.lines().filter_map(line).collect())
    }

    fn written(&self) -> String {
        let line =
            |(name, (seconds, of)): (&String, &(u64, String))| format!("{seconds} {of} {name}\n");
        self.0.iter().map(line).collect()
    }

    /// The longest come first, and before them what is not known.
    fn place(&self, name: &str) -> Reverse<u64> {
        Reverse(self.0.get(name).map_or(u64::MAX, |(seconds, _)| *seconds))
    }

    fn has_passed(&self, job: &Job) -> bool {
        let before = self.0.get(&job.name).map(|(_, of)| of);
        job.of.as_ref().is_some_and(|of| before == Some(&of()))
    }

    fn note(&mut self, name: &str, seconds: u64, of: Option<String>) {
        let of = of.unwrap_or_else(|| "-".to_owned());
        self.0.insert(name.to_owned(), (seconds, of));
    }
}

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
    /// The digest of all that its outcome depends on and of what it makes. Where it has passed with
    /// the same before, it is not run again.
    pub of: Option<Box<dyn Fn() -> String + Send>>,
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
    /// piece. How long they took and with what they passed is kept in a file: the next time the
    /// longest begin, so that none of them is left alone at the end, and what has passed with the
    /// same is left out, unless all are to be run `anew`.
    pub fn side_by_side(&mut self, mut jobs: Vec<Job>, kept: &Path, anew: bool) {
        let mut known = Known::read(kept);
        jobs.sort_by_key(|job| known.place(&job.name));
        if !anew {
            jobs.retain(|job| {
                let passed = known.has_passed(job);
                if passed {
                    println!("\n== {}: passed before, with the same", job.name);
                    self.passed.push(job.name.clone());
                }
                !passed
            });
        }
        let ended = Mutex::new((self, &mut known));
        share_out(jobs, |mut job: Job| {
            let begun = Instant::now();
            let (said, outcome) = run_beside(&mut job.command);
            let of = job.of.filter(|_| outcome.is_ok()).map(|of| of());
            let Ok(mut ended) = ended.lock() else { return };
            print!("\n== {}\n{said}", job.name);
            ended.1.note(&job.name, begun.elapsed().as_secs(), of);
            ended.0.note(&job.name, begun, outcome);
        });
        // Without it the next run only takes longer.
        let _ = std::fs::write(kept, known.written());
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

#[cfg(test)]
mod tests {
    use super::{Job, Known};
    use std::process::Command;

    fn job(of: Option<&'static str>) -> Job {
        Job {
            name: "a check".to_owned(),
            command: Command::new("true"),
            of: of.map(|of| Box::new(move || of.to_owned()) as _),
        }
    }

    #[test]
    fn only_what_passed_with_the_same_counts_as_passed() {
        let mut known = Known::default();
        assert!(!known.has_passed(&job(Some("1"))));
        known.note("a check", 3, Some("1".to_owned()));
        assert!(known.has_passed(&job(Some("1"))));
        assert!(!known.has_passed(&job(Some("2"))));
        // What does not say what it depends on is always run.
        assert!(!known.has_passed(&job(None)));
        known.note("a check", 3, None);
        assert!(!known.has_passed(&job(Some("1"))), "it has failed since");
    }

    #[test]
    fn what_is_kept_is_read_again() {
        let mut known = Known::default();
        known.note("a check", 3, Some("1".to_owned()));
        known.note("a longer one", 40, None);
        let file = std::env::temp_dir().join(format!("peelcast-known-{}", std::process::id()));
        std::fs::write(&file, known.written()).unwrap();
        let again = Known::read(&file);
        std::fs::remove_file(&file).unwrap();
        assert_eq!(again.0, known.0);
        assert!(again.place("a longer one") < again.place("a check"));
        assert!(again.place("a new one") < again.place("a longer one"));
    }
}
