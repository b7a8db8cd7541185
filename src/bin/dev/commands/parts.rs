//! Cuts the app at the screens that come later (src/app/later.rs), so that the first screen waits
//! for no more than it needs.
//!
//! Trunk builds the site with the app in one piece. What cargo linked for it still holds the
//! linker's notes on what uses what (src/build.rs): by these the program is cut, and its first
//! part goes through wasm-bindgen anew and takes the place of Trunk's.

use super::tools::{Tools, target_folder};
use super::{Trouble, read_text, release, run_shown, write_text};
use std::path::Path;
use std::process::Command;

/// The folder of the site for what the first screen does not need.
pub const LATER: &str = "later/";
/// The script that the cutter writes: the first part loads the others through it.
const LOADER: &str = "__wasm_split.js";

/// Cuts the app in the built site; `profile` names cargo's folder of the build.
pub fn cut(root: &Path, site: &Path, tools: &Tools, profile: &str) -> Result<(), Trouble> {
    println!("Cutting the app into parts");
    let name = app_of(&release::files(site)?)
        .ok_or_else(|| format!("{} should hold one app.", site.display()))?;
    let target = target_folder(root);
    let linked = target.join("wasm32-unknown-unknown").join(profile);
    let folder = target.join("parts");
    // A part of an earlier build would be taken for one of this build.
    if folder.exists() {
        std::fs::remove_dir_all(&folder)
            .map_err(|e| format!("{} cannot be emptied: {e}.", folder.display()))?;
    }
    run_shown(
        Command::new(tools.installed("wasm-split-cli"))
            .args(["--target", "web", "--out-name", &name])
            .arg(linked.join("peelcast.wasm"))
            .arg(&folder),
    )?;
    let whole = format!("{name}.wasm");
    let mut loader = read_text(&folder.join(LOADER))?;
    std::fs::create_dir_all(site.join(LATER))
        .map_err(|e| format!("{LATER} cannot be made: {e}."))?;
    for part in release::files(&folder)? {
        if part.ends_with(".wasm") && part != whole {
            let address = address_of(&name, &part);
            copy(&folder.join(&part), &site.join(&address))?;
            loader = loader.replace(&format!("./{part}"), &format!("./{address}"));
        }
    }
    write_text(&folder.join(LOADER), &loader)?;
    run_shown(
        Command::new(tools.installed("wasm-bindgen"))
            .args(["--target", "web", "--no-typescript", "--keep-lld-exports"])
            .args(["--out-name", &name, "--out-dir"])
            .arg(&folder)
            .arg(folder.join(&whole)),
    )?;
    let program = format!("{name}_bg.wasm");
    copy(&folder.join(&program), &site.join(&program))?;
    let script = format!("{name}.js");
    run_shown(
        tools
            .esbuild()
            .args(["--bundle", "--format=esm", "--log-level=warning"])
            .arg("--allow-overwrite")
            .arg(format!("--outfile={}", site.join(&script).display()))
            .arg(folder.join(&script)),
    )
}

/// What Trunk called the app: its name and the digest of what cargo linked.
fn app_of(files: &[String]) -> Option<String> {
    let mut scripts = files
        .iter()
        .filter_map(|file| file.strip_suffix(".js"))
        .filter(|name| name.starts_with("peelcast-"));
    let name = scripts.next()?;
    scripts.next().is_none().then(|| name.to_owned())
}

/// Where a part lies in the site. Its name tells its release, so that no cache on the way mixes
/// the parts of two.
fn address_of(app: &str, part: &str) -> String {
    let part = part.strip_prefix("split_").unwrap_or(part);
    format!("{LATER}{app}-{part}")
}

fn copy(from: &Path, to: &Path) -> Result<(), Trouble> {
    let copied = std::fs::copy(from, to);
    copied.map_err(|e| format!("{} cannot be copied: {e}.", from.display()))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{address_of, app_of};

    #[test]
    fn the_app_is_found_among_the_site_s_files() {
        let files = ["boot.js", "peelcast-12ab.js", "peelcast-12ab_bg.wasm"].map(str::to_owned);
        assert_eq!(app_of(&files).as_deref(), Some("peelcast-12ab"));
        assert_eq!(app_of(&files[..1]), None);
        let two = ["peelcast-12ab.js", "peelcast-34cd.js"].map(str::to_owned);
        assert_eq!(app_of(&two), None);
    }

    #[test]
    fn a_part_is_named_after_its_release_and_its_screens() {
        let address = |part| address_of("peelcast-12ab", part);
        let measure = address("split_measure.wasm");
        assert_eq!(measure, "later/peelcast-12ab-measure.wasm");
        assert_eq!(address("chunk_3.wasm"), "later/peelcast-12ab-chunk_3.wasm");
    }
}
