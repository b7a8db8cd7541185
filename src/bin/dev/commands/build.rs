//! Builds the site into dist/.

use super::release;
use super::tools::Tools;
use super::{Trouble, run_shown};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The site as it is given to people: optimised, with its service worker. Returns its folder.
pub fn release(root: &Path, tools: &Tools) -> Result<PathBuf, Trouble> {
    let site = trunk(root, tools, &["--release"])?;
    println!("Making the WebAssembly smaller");
    for path in files_ending(&site, "wasm")? {
        // Any feature flag beyond what the module itself declares makes it unfit for browsers.
        run_shown(tools.wasm_opt().arg("-Oz").arg(&path).arg("-o").arg(&path))?;
    }
    release::add_service_worker(root, &site)?;
    Ok(site)
}

/// A debug build of the site, without service worker, for quick rounds. Returns its folder.
pub fn quick(root: &Path, tools: &Tools) -> Result<PathBuf, Trouble> {
    trunk(root, tools, &[])
}

fn trunk(root: &Path, tools: &Tools, arguments: &[&str]) -> Result<PathBuf, Trouble> {
    println!("Building the app");
    run_shown(
        Command::new(tools.installed("trunk"))
            .arg("build")
            .args(arguments)
            .env("PATH", tools.search_path())
            // Trunk reads NO_COLOR as a flag that wants `true` or `false`.
            .env_remove("NO_COLOR")
            .current_dir(root),
    )?;
    Ok(root.join("dist"))
}

fn files_ending(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, Trouble> {
    let names = release::files(folder)?;
    let wanted = names.into_iter().map(|name| folder.join(name));
    Ok(wanted
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect())
}
