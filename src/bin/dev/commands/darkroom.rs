//! The picture worker, built beside the app: a program of its own, for speed where the app is
//! built for size.

use super::build::FLAGS;
use super::release::{digest_of, file_digest};
use super::tools::{Tools, cargo, target_folder};
use super::{Trouble, read_text, run_shown, write_text};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The worker's script, in public/ as the part that starts it and in the built site as a whole.
const SCRIPT: &str = "darkroom.js";
/// The worker's program.
const PROGRAM: &str = "darkroom_bg.wasm";
/// Where it stands how the compiled program is made ready, and by which versions of the tools.
const MADE_BY: [&str; 3] = [
    "Cargo.lock",
    "src/bin/dev/commands/darkroom.rs",
    "src/bin/dev/commands/setup.rs",
];
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

/// Builds the worker; `environment` is that of the app's build. Returns the folder with its script
/// and its program.
pub fn build(root: &Path, tools: &Tools, environment: &[(&str, &str)]) -> Result<PathBuf, Trouble> {
    println!("Building the picture worker");
    let compiled = WORKER.compile(root, environment)?;
    let made = target_folder(root).join("darkroom/made");
    // The optimiser takes a minute and more: what was made of the same, by the same tools, stays.
    let mut sources = MADE_BY.map(|name| root.join(name)).to_vec();
    sources.push(compiled.clone());
    let (of, note) = (digest_of(&sources, b""), made.join("of"));
    if std::fs::read_to_string(&note).is_ok_and(|before| before == of) {
        return Ok(made);
    }
    // A note without what it tells of would be believed.
    let _ = std::fs::remove_file(&note);
    WORKER.join(tools, &compiled, &made)?;
    write_text(&note, &of)?;
    Ok(made)
}

/// Puts the worker that was made into the site.
pub fn add(root: &Path, made: &Path, site: &Path) -> Result<(), Trouble> {
    let start = read_text(&root.join("public").join(SCRIPT))?;
    let whole = read_text(&made.join(SCRIPT))? + &start;
    write_text(&site.join(SCRIPT), &whole)?;
    let program = made.join(PROGRAM);
    match std::fs::copy(&program, site.join(PROGRAM)) {
        Ok(_) => Ok(()),
        Err(e) => Err(format!("{} cannot be copied: {e}.", program.display())),
    }
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
        let compiled = self.compile(root, environment)?;
        self.join(tools, &compiled, folder)
    }

    /// Compiles it, and says where it lies.
    fn compile(&self, root: &Path, environment: &[(&str, &str)]) -> Result<PathBuf, Trouble> {
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
        Ok(built.join(format!("{}.wasm", self.name)))
    }

    /// Joins what was compiled with the script that loads it, in `folder`, and optimises it.
    fn join(&self, tools: &Tools, compiled: &Path, folder: &Path) -> Result<(), Trouble> {
        run_shown(
            Command::new(tools.installed("wasm-bindgen"))
                .args(["--target", "no-modules", "--no-typescript", "--out-dir"])
                .arg(folder)
                .arg(compiled),
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
