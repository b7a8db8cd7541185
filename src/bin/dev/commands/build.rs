//! Builds the site into dist/.

use super::darkroom;
use super::parts;
use super::release;
use super::setup;
use super::tools::Tools;
use super::words;
use super::{Trouble, run_shown, share_out};
use std::cmp::Reverse;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;

/// Makes the standard library anew for the app, in which a panic ends the program at once: the
/// page that then says what is safe needs nothing of the program (public/boot.js), and all that
/// would word and place the panic is left out, a tenth of the whole download. The compiler has
/// this among its unstable options; the first variable opens them.
pub const LEAN: [(&str, &str); 4] = [
    ("RUSTC_BOOTSTRAP", "1"),
    ("CARGO_UNSTABLE_BUILD_STD", "std,panic_abort"),
    ("CARGO_UNSTABLE_BUILD_STD_FEATURES", "optimize_for_size"),
    (FLAGS, "-Zunstable-options -Cpanic=immediate-abort"),
];

/// The variable that carries the compiler's flags.
pub const FLAGS: &str = "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS";

/// The site as it is given to people: optimised, with its service worker. Returns its folder.
pub fn release(root: &Path, tools: &Tools) -> Result<PathBuf, Trouble> {
    let lean: &[_] = if setup::has_rust_source() { &LEAN } else { &[] };
    let site = trunk(root, tools, &["--release"], lean)?;
    parts::cut(root, &site, tools, "release")?;
    // An optimiser works on one core, and so does the compiler at the worker for the longest time.
    let (smaller, worker) = std::thread::scope(|scope| {
        let worker = scope.spawn(|| darkroom::build(root, tools, lean));
        (make_smaller(&site, tools), worker.join())
    });
    smaller?;
    let worker = worker.map_err(|_| "The picture worker's build broke off; see above.")??;
    darkroom::add(root, &worker, &site)?;
    println!("Making styles and scripts smaller");
    for path in [files_ending(&site, "css")?, files_ending(&site, "js")?].concat() {
        let how = ["--minify", "--log-level=warning", "--allow-overwrite"];
        let mut esbuild = tools.esbuild();
        let outfile = format!("--outfile={}", path.display());
        run_shown(esbuild.args(how).arg(&path).arg(outfile))?;
    }
    darkroom::name_by_content(&site)?;
    words::compile(root, &site)?;
    release::add_service_worker(root, &site)?;
    Ok(site)
}

/// Optimises what a site has of WebAssembly, the largest file first.
fn make_smaller(site: &Path, tools: &Tools) -> Result<(), Trouble> {
    println!("Making WebAssembly smaller");
    let mut paths = files_ending(site, "wasm")?;
    paths.sort_by_key(|path| Reverse(path.metadata().map_or(0, |file| file.len())));
    let trouble = Mutex::new(Ok(()));
    share_out(paths, |path| {
        // Any feature flag beyond what the module itself declares makes it unfit for browsers.
        // Below 1024 bytes lies the far end of the stack, which no running program reaches.
        let how = ["-Oz", "--low-memory-unused"];
        let outcome = run_shown(tools.wasm_opt().args(how).arg(&path).arg("-o").arg(&path));
        if let (Err(_), Ok(mut trouble)) = (&outcome, trouble.lock()) {
            *trouble = outcome;
        }
    });
    trouble
        .into_inner()
        .map_err(|_| "An optimiser was left alone; see above.")?
}

/// A debug build of the site, without service worker, for quick rounds. Returns its folder.
pub fn quick(root: &Path, tools: &Tools) -> Result<PathBuf, Trouble> {
    let site = trunk(root, tools, &[], &[])?;
    parts::cut(root, &site, tools, "debug")?;
    darkroom::add(root, &darkroom::build(root, tools, &[])?, &site)?;
    words::compile(root, &site)?;
    Ok(site)
}

/// Where the built site is.
pub fn folder(root: &Path) -> PathBuf {
    root.join("dist")
}

fn trunk(
    root: &Path,
    tools: &Tools,
    arguments: &[&str],
    environment: &[(&str, &str)],
) -> Result<PathBuf, Trouble> {
    println!("Building the app");
    run_shown(
        Command::new(tools.installed("trunk"))
            .arg("build")
            .args(arguments)
            .env("PATH", tools.search_path())
            .envs(environment.iter().copied())
            // Trunk reads NO_COLOR as a flag that wants `true` or `false`.
            .env_remove("NO_COLOR")
            .current_dir(root),
    )?;
    Ok(folder(root))
}

fn files_ending(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, Trouble> {
    let names = release::files(folder)?;
    let wanted = names.into_iter().map(|name| folder.join(name));
    Ok(wanted
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect())
}
