//! Every check of the project.

use super::report::{Job, Report};
use super::tools::{self, Tools, cargo, target_folder};
use super::{Trouble, budget, build, lighthouse, project_root, release, run_shown, setup, words};
use std::path::{Path, PathBuf};
use std::process::Command;

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
    let anew = long;
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
    report.step("Native tests", || {
        let what = ["test", "--workspace", "--exclude", BROWSER_TESTS];
        let mut tests = in_root(cargo(), root);
        run_shown(tests.args(what).arg("--no-fail-fast").envs(long))
    });
    // The site is compiled on one core, and a script is one program too.
    let mut jobs = vec![site_build(root, dev)];
    jobs.extend(lints(root));
    jobs.push(browser_tests_build(root));
    report.step("Programs of the outside checks", || {
        jobs.extend(outside_checks(root, tools)?);
        Ok(())
    });
    report.side_by_side(jobs, &target_folder(root).join("verify-known"), anew);
    let site = if report.has_passed(SITE_BUILD) {
        Ok(build::folder(root))
    } else {
        Err("There is no site to check: the web build failed.".to_owned())
    };
    report.step("Size budget", || {
        budget::check(&site.clone()?, setup::has_rust_source())
    });
    report.step("Lighthouse", || {
        lighthouse::judge(&site.clone()?, dev, tools, false)
    });
    // A test and its browser wait for each other: one more than there are cores keeps all busy.
    let at_once = 1 + std::thread::available_parallelism().map_or(1, usize::from);
    let at_once = format!("--test-threads={at_once}");
    for (name, which) in [
        ("Browser tests", &[at_once.as_str(), "--skip", ALONE][..]),
        ("Browser tests alone", &["--test-threads=1", ALONE]),
    ] {
        report.step(name, || {
            run_shown(
                browser_tests(root, &site.clone()?, dev)?
                    .arg("--")
                    .args(which)
                    .envs(long)
                    .env("PEELCAST_SCENES", scenes(root)?)
                    .env("PEELCAST_AXE", tools.axe()),
            )
        });
    }
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
/// Those of them that count how long the page is held up: nothing else may hold it up.
const ALONE: &str = "smooth::";
const SITE_BUILD: &str = "Web build";

fn in_root(mut command: Command, root: &Path) -> Command {
    command.current_dir(root);
    command
}

fn site_build(root: &Path, dev: &Path) -> Job {
    let mut command = in_root(Command::new(dev), root);
    command.arg("build");
    let mut paths: Vec<PathBuf> = SITE_SOURCES.iter().map(|name| root.join(name)).collect();
    paths.push(build::folder(root));
    let compiler = Command::new("rustc").arg("-vV").output();
    let compiler = compiler.map_or_else(|_| Vec::new(), |said| said.stdout);
    let lean = setup::has_rust_source();
    Job {
        name: SITE_BUILD.to_owned(),
        command,
        // The site itself counts too: where it is not what was made, it is made again.
        of: Some(Box::new(move || {
            format!("{}{lean}", release::digest_of(&paths, &compiler))
        })),
    }
}

/// All that the site is made of; the tools' versions stand among them.
const SITE_SOURCES: [&str; 7] = [
    "src",
    "public",
    "style",
    "Trunk.toml",
    "Cargo.toml",
    "Cargo.lock",
    ".cargo",
];

fn lints(root: &Path) -> [Job; 2] {
    let denied = ["--", "-D", "warnings"];
    let target = ["clippy", "--target", "wasm32-unknown-unknown"];
    let packages = ["--package", "peelcast", "--package", "peelcast-bench"];
    let parts = ["--lib", "--bin", "peelcast", "--bin", "darkroom"];
    let at_desk = ["clippy", "--workspace", "--all-targets"];
    [
        cargo_job(root, "Clippy at the desk", &[&at_desk, &denied]),
        cargo_job(
            root,
            "Clippy in the browser",
            &[&target, &packages, &parts, &denied],
        ),
    ]
}

fn browser_tests_build(root: &Path) -> Job {
    let what = ["test", "-p", BROWSER_TESTS, "--no-run"];
    cargo_job(root, "Build of the browser tests", &[&what])
}

/// A job of which cargo knows by itself whether there is anything to do.
fn cargo_job(root: &Path, name: &str, arguments: &[&[&str]]) -> Job {
    let mut command = in_root(cargo(), root);
    command.args(arguments.concat());
    Job {
        name: name.to_owned(),
        command,
        of: None,
    }
}

/// Builds the program that photographs reliefs of known shape.
pub fn scenes(root: &Path) -> Result<PathBuf, Trouble> {
    program(root, "peelcast-render", "relief_scene")
}

/// Builds a program, as the tests have it.
fn program(root: &Path, package: &str, name: &str) -> Result<PathBuf, Trouble> {
    let what = ["build", "--package", package, "--bin", name];
    run_shown(in_root(cargo(), root).args(what))?;
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    Ok(target_folder(root).join("debug").join(file))
}

/// Every tests/outside/check_*.py, with the programs that it asks.
fn outside_checks(root: &Path, tools: &Tools) -> Result<Vec<Job>, Trouble> {
    let desk = program(root, "peelcast", "desk")?;
    let scenes = scenes(root)?;
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
    // What the scripts ask and read; the versions of the libraries stand in this program's source.
    let read = [
        "tests/outside",
        "tests/desk",
        "tests/bundle",
        "tests/fixtures",
    ];
    let setup = root.join("src/bin/dev/commands/setup.rs");
    let mut paths = vec![desk.clone(), scenes.clone(), setup];
    paths.extend(read.map(|name| root.join(name)));
    let of = release::digest_of(&paths, b"");
    let check = |script: PathBuf| {
        let of = of.clone();
        let mut command = in_root(Command::new(tools.python()), root);
        command
            .arg(&script)
            .env("PEELCAST_DESK", &desk)
            .env("PEELCAST_SCENES", &scenes)
            .env("OPENCV_DOC", tools.opencv_doc())
            .env("CGAL_DEMO", tools.cgal_demo())
            .env("PYTHONDONTWRITEBYTECODE", "1");
        let name = script.strip_prefix(root).unwrap_or(&script).display();
        Job {
            name: name.to_string(),
            command,
            of: Some(Box::new(move || of.clone())),
        }
    };
    Ok(scripts.into_iter().map(check).collect())
}
