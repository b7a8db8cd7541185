//! One target: many inputs, one after the other, each watched for its time and its memory.

use peak_alloc::PeakAlloc;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, Instant};

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// Memory is counted for the whole program, so one target runs at a time.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

/// Nothing else runs until this is dropped.
pub fn alone() -> MutexGuard<'static, ()> {
    ONE_AT_A_TIME
        .lock()
        .unwrap_or_else(|broken| broken.into_inner())
}

/// What one input may take; beyond it the target fails.
pub struct Limits {
    /// Time. It is generous: other programs may run beside the tests.
    pub seconds: f64,
    /// Memory above what was taken before the input, in megabytes.
    pub megabytes: f64,
}

/// A long run says how it stands after so many inputs.
const BETWEEN_WORDS: u64 = 100_000;

/// A machine under load may stand still for so many seconds: that is no hang.
const STALLED: f64 = 30.0;

/// A target stops after so many inputs that fail.
const MOST_FAILURES: usize = 8;

/// How many inputs a target gets: `short`, or `long` where `PEELCAST_LONG` is set.
pub fn count(short: u64, long: u64) -> u64 {
    let is_long = std::env::var_os("PEELCAST_LONG").is_some();
    if is_long { long } else { short }
}

/// The inputs of a target that costs little.
pub fn many() -> u64 {
    count(20_000, 1_000_000)
}

/// The inputs of a target that costs a millisecond each.
pub fn fewer() -> u64 {
    count(4000, 1_000_000)
}

/// Gives so many inputs to `take`, each made from its own seed by `make`, and prints what they
/// cost and how many were taken for sound: too few, and nothing but the first check is tried. An
/// input that panics, takes too long or too much memory is written to a file whose name is said;
/// its number is its seed.
pub fn target(
    name: &str,
    inputs: u64,
    limits: &Limits,
    make: impl Fn(&mut fastrand::Rng) -> Vec<u8>,
    take: impl Fn(&[u8]) -> bool,
) {
    let _alone = alone();
    let began = Instant::now();
    let watch = Watch::begin(name, limits.seconds);
    let (mut slowest, mut largest) = ((0.0_f64, 0), (0, 0));
    // What runs out of memory ends the program without a word: then each input is kept beforehand.
    let keeps_each = std::env::var_os("PEELCAST_KEEP").is_some();
    let (mut failed, mut passed) = (0, 0);
    let tell = |inputs: u64, passed: u64, slowest: (f64, u64), largest: (usize, u64)| {
        println!(
            "{name}: {inputs} inputs in {:.1} s, {:.0} % taken; slowest {:.1} ms ({}), largest {:.1} MB ({})",
            began.elapsed().as_secs_f64(),
            100.0 * passed as f64 / inputs as f64,
            slowest.0 * 1e3,
            slowest.1,
            largest.0 as f64 / 1e6,
            largest.1,
        );
    };
    for seed in 0..inputs {
        let input = make(&mut fastrand::Rng::with_seed(seed));
        let input = watch.starts(seed, input);
        if keeps_each {
            keep(name, u64::MAX, &input);
        }
        let before = MEMORY.current_usage();
        MEMORY.reset_peak_usage();
        let start = Instant::now();
        let taken = catch_unwind(AssertUnwindSafe(|| take(&input)));
        let seconds = start.elapsed().as_secs_f64();
        let bytes = MEMORY.peak_usage().saturating_sub(before);
        watch.ends();
        let sound = taken.is_ok();
        passed += u64::from(taken.unwrap_or(false));
        if seconds > slowest.0 {
            slowest = (seconds, seed);
        }
        if bytes > largest.0 {
            largest = (bytes, seed);
        }
        if (seed + 1) % BETWEEN_WORDS == 0 && seed + 1 < inputs {
            tell(seed + 1, passed, slowest, largest);
        }
        let megabytes = bytes as f64 / 1e6;
        let fits = seconds <= limits.seconds && megabytes <= limits.megabytes;
        if !sound || !fits {
            let kept = keep(name, seed, &input);
            let how = if sound { "takes too much" } else { "panics" };
            println!(
                "{name}: input {seed} {how}: {seconds:.2} s, {megabytes:.1} MB; it is in {}",
                kept.display()
            );
            failed += 1;
            if failed == MOST_FAILURES {
                break;
            }
        }
    }
    tell(inputs, passed, slowest, largest);
    assert_eq!(failed, 0, "{name}: so many inputs failed");
}

/// Writes an input where it can be looked at.
fn keep(name: &str, seed: u64, input: &[u8]) -> PathBuf {
    let name = name.replace(' ', "-");
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{seed}"));
    std::fs::write(&path, input).expect("the target's folder can be written");
    path
}

/// Ends the whole program when an input hangs: a thread can't be stopped.
struct Watch {
    now: Arc<Mutex<State>>,
}

enum State {
    Between,
    Since(Instant, u64, Arc<Vec<u8>>),
    Done,
}

impl Watch {
    fn begin(name: &str, seconds: f64) -> Self {
        let now = Arc::new(Mutex::new(State::Between));
        let (seen, name) = (now.clone(), name.to_owned());
        std::thread::spawn(move || {
            loop {
                std::thread::sleep(Duration::from_millis(500));
                match &*seen.lock().expect("nothing panics while it is held") {
                    State::Since(since, seed, input)
                        if since.elapsed().as_secs_f64() > 4.0 * seconds + STALLED =>
                    {
                        let kept = keep(&name, *seed, input);
                        eprintln!("{name}: input {seed} hangs; it is in {}", kept.display());
                        std::process::exit(1);
                    }
                    State::Done => return,
                    _ => {}
                }
            }
        });
        Self { now }
    }

    fn set(&self, state: State) {
        *self.now.lock().expect("nothing panics while it is held") = state;
    }

    fn starts(&self, seed: u64, input: Vec<u8>) -> Arc<Vec<u8>> {
        let input = Arc::new(input);
        self.set(State::Since(Instant::now(), seed, input.clone()));
        input
    }

    fn ends(&self) {
        self.set(State::Between);
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.set(State::Done);
    }
}
