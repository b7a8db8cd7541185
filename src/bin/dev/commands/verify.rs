//! Every check of the project, one after the other.

use super::tools::{self, Tools, cargo, target_folder};
use super::{Trouble, budget, build, lighthouse, project_root, run_shown, setup, words};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

/// Runs all checks; an error if one fails. `long`: those that can take longer do.
pub fn run(long: bool) -> Result<(), Trouble> {
    let root = project_root()?;
    // Asked now: a later build may put a new file in the place of this program.
    let dev = std::env::current_exe().map_err(|e| format!("This program has no path: {e}."))?;
    let mut report = Report::default();
    let mut tools = None;
    report.step("Set-up", || {
        tools = Some(setup::ready(setup::FOR_CHECKING)?);
        Ok(())
    });
    if let Some(tools) = tools {
        check(&mut report, &root, &dev, &tools, long);
    }
    report.end()
}

fn check(report: &mut Report, root: &Path, dev: &Path, tools: &Tools, long: bool) {
    // What the tests look at.
    let long = long.then_some(("PEELCAST_LONG", "1"));
    report.step("Format", || {
        run_shown(in_root(cargo(), root).args(["fmt", "--all", "--check"]))
    });
    report.step("Words", || words::run(true));
    report.step("What others wrote", || {
        let deny = Command::new(tools.installed("cargo-deny"));
        let what = ["--workspace", "check", "bans", "licenses", "sources"];
        run_shown(in_root(deny, root).args(what))
    });
    report.step("Clippy at the desk", || {
        let what = ["clippy", "--workspace", "--all-targets", "--"];
        run_shown(in_root(cargo(), root).args(what).args(["-D", "warnings"]))
    });
    report.step("Clippy in the browser", || {
        let what = ["clippy", "--target", "wasm32-unknown-unknown"];
        let packages = ["--package", "peelcast", "--package", "peelcast-bench"];
        let parts = ["--lib", "--bin", "peelcast", "--bin", "darkroom"];
        let mut clippy = in_root(cargo(), root);
        clippy.args(what).args(packages).args(parts);
        run_shown(clippy.args(["--", "-D", "warnings"]))
    });
    report.step("Native tests", || {
        let what = ["test", "--workspace", "--exclude", BROWSER_TESTS];
        run_shown(in_root(cargo(), root).args(what).envs(long))
    });
    let mut site = None;
    report.step("Web build", || {
        site = Some(build::release(root, tools)?);
        Ok(())
    });
    report.step("Size budget", || {
        budget::check(built(&site)?, setup::has_rust_source())
    });
    report.step("Lighthouse", || {
        lighthouse::judge(built(&site)?, dev, tools, false)
    });
    report.step("Outside checks", || outside_checks(root, tools));
    report.step("Browser tests", || {
        run_shown(
            browser_tests(root, built(&site)?, dev)?
                .envs(long)
                .env("PEELCAST_SCENES", scenes(root)?)
                .env("PEELCAST_AXE", tools.axe()),
        )
    });
}

/// The tests in the browser, of a built site, ready for more arguments.
pub fn browser_tests(root: &Path, site: &Path, dev: &Path) -> Result<Command, Trouble> {
    let chromium = tools::chromium().ok_or("There is no Chromium.")?;
    let chromedriver = tools::chromedriver().ok_or("There is no ChromeDriver.")?;
    let mut tests = in_root(cargo(), root);
    tests
        .args(["test", "-p", BROWSER_TESTS])
        .env("PEELCAST_DIST", site)
        .env("PEELCAST_DEV", dev)
        .env("CHROMIUM", chromium)
        .env("CHROMEDRIVER", chromedriver);
    Ok(tests)
}

const BROWSER_TESTS: &str = "peelcast-browser";

fn in_root(mut command: Command, root: &Path) -> Command {
    command.current_dir(root);
    command
}

fn built(site: &Option<PathBuf>) -> Result<&Path, Trouble> {
    site.as_deref()
        .ok_or_else(|| "There is no site to check: the web build failed.".to_owned())
}

/// Builds the program that photographs reliefs of known shape.
pub fn scenes(root: &Path) -> Result<PathBuf, Trouble> {
    let what = ["build", "--package", "peelcast-render", "--bin"];
    run_shown(in_root(cargo(), root).args(what).arg("relief_scene"))?;
    Ok(program(root, "debug", "relief_scene"))
}

/// Where cargo puts a program.
fn program(root: &Path, profile: &str, name: &str) -> PathBuf {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    target_folder(root).join(profile).join(file)
}

/// Runs every tests/outside/check_*.py against the program `desk`.
fn outside_checks(root: &Path, tools: &Tools) -> Result<(), Trouble> {
    run_shown(in_root(cargo(), root).args(["build", "--release", "--bin", "desk"]))?;
    let scenes = scenes(root)?;
    let desk = program(root, "release", "desk");
    let folder = root.join("tests/outside");
    let mut scripts: Vec<PathBuf> = std::fs::read_dir(&folder)
        .map_err(|e| format!("{} cannot be read: {e}.", folder.display()))?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            name.starts_with("check_") && name.ends_with(".py")
        })
        .collect();
    scripts.sort();
    if scripts.is_empty() {
        return Err(format!("{} holds no check_*.py.", folder.display()));
    }
    let check = |script: &Path| {
        let output = in_root(Command::new(tools.python()), root)
            .arg(script)
            .env("PEELCAST_DESK", &desk)
            .env("PEELCAST_SCENES", &scenes)
            .env("OPENCV_DOC", tools.opencv_doc())
            .env("CGAL_DEMO", tools.cgal_demo())
            .env("PYTHONDONTWRITEBYTECODE", "1")
            .output();
        output.map_err(|e| format!("Python did not start: {e}."))
    };
    // Each takes one core for most of its time; what one says is printed in one piece.
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let left = Mutex::new(scripts.iter());
    let failed = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                while let Some(script) = left.lock().ok().and_then(|mut left| left.next()) {
                    let name = script.strip_prefix(root).unwrap_or(script).display();
                    let (good, said) = match check(script) {
                        Ok(output) => (
                            output.status.success(),
                            [output.stdout, output.stderr].concat(),
                        ),
                        Err(trouble) => (false, trouble.into_bytes()),
                    };
                    let end = if good { "" } else { "FAILED\n" };
                    println!("-- {name}\n{}{end}", String::from_utf8_lossy(&said));
                    failed.fetch_add(usize::from(!good), Ordering::Relaxed);
                }
            });
        }
    });
    let failed = failed.into_inner();
    match failed {
        0 => Ok(()),
        _ => Err(format!(
            "{failed} of {} outside checks failed.",
            scripts.len()
        )),
    }
}

/// What passed, what failed.
#[derive(Default)]
struct Report {
    passed: usize,
    failed: Vec<String>,
}

impl Report {
    fn step(&mut self, name: &str, work: impl FnOnce() -> Result<(), Trouble>) {
        println!("\n== {name}");
        let begun = Instant::now();
        let outcome = work();
        let seconds = begun.elapsed().as_secs_f64();
        match outcome {
            Ok(()) => {
                println!("== {name}: passed in {seconds:.1} s");
                self.passed += 1;
            }
            Err(trouble) => {
                println!("{trouble}");
                println!("== {name}: FAILED after {seconds:.1} s");
                self.failed.push(name.to_owned());
            }
        }
    }

    /// Prints the sum as the last line.
    fn end(self) -> Result<(), Trouble> {
        println!();
        if !self.failed.is_empty() {
            println!("Failed: {}", self.failed.join(", "));
        }
        println!(
            "Steps: {} passed, {} failed",
            self.passed,
            self.failed.len()
        );
        if self.failed.is_empty() {
            Ok(())
        } else {
            Err(String::new())
        }
    }
}
