//! The picture worker, built beside the app: a program of its own, for speed where the app is
//! built for size.

use super::build::FLAGS;
use super::release::file_digest;
use super::tools::{Tools, cargo, target_folder};
use super::{Trouble, read_text, run_shown, write_text};
use std::path::Path;
use std::process::Command;

/// The worker's script, in public/ as the part that starts it and in the built site as a whole.
const SCRIPT: &str = "darkroom.js";
/// The worker's program.
const PROGRAM: &str = "darkroom_bg.wasm";
/// How the files of the worker begin in the built site.
pub const PREFIX: &str = "darkroom";
/// Vectors of 128 bits, which every browser has that runs the app.
const VECTORS: &str = "-Ctarget-feature=+simd128";

/// A program that is built for speed.
pub struct Program {
    /// How cargo is told which one.
    pub chosen: [&'static str; 2],
    /// Its name among what cargo builds.
    pub name: &'static str,
}

const WORKER: Program = Program {
    chosen: ["--bin", "darkroom"],
    name: "darkroom",
};

/// Builds the worker's script and program into the site; `environment` is that of the app's
/// build.
pub fn add(
    root: &Path,
    tools: &Tools,
    site: &Path,
    environment: &[(&str, &str)],
) -> Result<(), Trouble> {
    println!("Building the picture worker");
    WORKER.build(root, tools, site, environment)?;
    let script = site.join(SCRIPT);
    let start = read_text(&root.join("public").join(SCRIPT))?;
    let whole = read_text(&script)? + &start;
    write_text(&script, &whole)
}

impl Program {
    /// Builds it with the script that a browser loads it by into `folder`.
    pub fn build(
        &self,
        root: &Path,
        tools: &Tools,
        folder: &Path,
        environment: &[(&str, &str)],
    ) -> Result<(), Trouble> {
        let target = target_folder(root).join("darkroom");
        let flags = environment.iter().find(|(name, _)| *name == FLAGS);
        let flags = flags.map_or(VECTORS.to_owned(), |(_, flags)| {
            format!("{flags} {VECTORS}")
        });
        run_shown(
            cargo()
                .arg("build")
                .args(self.chosen)
                .arg("--no-default-features")
                .args([
                    "--profile",
                    "darkroom",
                    "--target",
                    "wasm32-unknown-unknown",
                ])
                .envs(environment.iter().copied())
                .env(FLAGS, flags)
                // The app's flags differ: in one folder each would throw the other's work away.
                .env("CARGO_TARGET_DIR", &target)
                .current_dir(root),
        )?;
        let built = target.join("wasm32-unknown-unknown/darkroom");
        run_shown(
            Command::new(tools.installed("wasm-bindgen"))
                .args(["--target", "no-modules", "--no-typescript", "--out-dir"])
                .arg(folder)
                .arg(built.join(format!("{}.wasm", self.name))),
        )?;
        let program = folder.join(format!("{}_bg.wasm", self.name));
        run_shown(
            tools
                .wasm_opt()
                .arg("-O3")
                .arg(&program)
                .arg("-o")
                .arg(&program),
        )
    }
}

/// Names the worker's files by what is in them, so that no cache on the way mixes two releases.
pub fn name_by_content(site: &Path) -> Result<(), Trouble> {
    let program = site.join(PROGRAM);
    let named = format!("{PREFIX}-{}_bg.wasm", file_digest(&program)?);
    rename(&program, &site.join(&named))?;
    let script = site.join(SCRIPT);
    write_text(&script, &replaced(&read_text(&script)?, PROGRAM, &named)?)?;
    let named = format!("{PREFIX}-{}.js", file_digest(&script)?);
    rename(&script, &site.join(&named))?;
    let page = site.join("index.html");
    write_text(&page, &replaced(&read_text(&page)?, SCRIPT, &named)?)
}

/// The text with the one name in it exchanged for the other.
fn replaced(text: &str, old: &str, new: &str) -> Result<String, Trouble> {
    if text.matches(old).count() == 1 {
        Ok(text.replace(old, new))
    } else {
        Err(format!(
            "{old} should be named once where the worker is started."
        ))
    }
}

fn rename(from: &Path, to: &Path) -> Result<(), Trouble> {
    std::fs::rename(from, to).map_err(|e| format!("{} cannot be renamed: {e}.", from.display()))
}
