//! All screens as pictures, to look at them side by side.

use super::tools::{self, cargo, target_folder};
use super::{Trouble, build, project_root, run_shown, setup};

/// Builds the site, walks through it and says where the pictures are.
pub fn run() -> Result<(), Trouble> {
    let root = project_root()?;
    let dev = std::env::current_exe().map_err(|e| format!("This program has no path: {e}."))?;
    let tools = setup::ready(&setup::FOR_LOOKING)?;
    let site = build::release(&root, &tools)?;
    run_shown(
        cargo()
            .args([
                "test",
                "--quiet",
                "-p",
                "peelcast-browser",
                "--test",
                "gallery",
            ])
            .args(["--", "--include-ignored", "--nocapture"])
            .env("PEELCAST_DIST", site)
            .env("PEELCAST_DEV", dev)
            .env("CHROMIUM", tools::chromium().unwrap_or_default())
            .env("CHROMEDRIVER", tools::chromedriver().unwrap_or_default())
            .current_dir(&root),
    )?;
    let folder = target_folder(&root).join("screens");
    println!(
        "The pictures are in {}, in folders named gallery-*.",
        folder.display()
    );
    Ok(())
}
