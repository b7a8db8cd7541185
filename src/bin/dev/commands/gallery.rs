//! All screens as pictures, to look at them side by side.

use super::tools::target_folder;
use super::{Trouble, build, project_root, run_shown, setup, verify};

/// Builds the site, walks through it and says where the pictures are.
pub fn run() -> Result<(), Trouble> {
    let root = project_root()?;
    let dev = std::env::current_exe().map_err(|e| format!("This program has no path: {e}."))?;
    let tools = setup::ready(setup::FOR_LOOKING)?;
    let site = build::release(&root, &tools)?;
    run_shown(
        verify::browser_tests(&root, &site, &dev)?
            .args(["--quiet", "--", "gallery::"])
            .args(["--include-ignored", "--nocapture"]),
    )?;
    let folder = target_folder(&root).join("screens");
    println!(
        "The pictures are in {}, in folders named gallery-*.",
        folder.display()
    );
    Ok(())
}
