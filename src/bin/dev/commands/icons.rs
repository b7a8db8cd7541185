//! Draws the PNG icons from their SVG with the headless browser.

use super::tools::chromium;
use super::{Trouble, output_of, project_root, setup};
use std::process::Command;

/// The drawing, and the pictures made of it: name, width and height in pixels.
const DRAWING: &str = "icon.svg";
const PICTURES: [(&str, u32); 3] = [
    ("icon-192.png", 192),
    ("icon-512.png", 512),
    ("apple-touch-icon.png", 180),
];

/// Draws them all into public/icons/.
pub fn draw() -> Result<(), Trouble> {
    setup::ready(&setup::FOR_DRAWING)?;
    let folder = project_root()?.join("public/icons");
    let browser = chromium().ok_or("There is no Chromium.")?;
    for (name, size) in PICTURES {
        // A browser without a desktop complains at length: what counts is the picture.
        output_of(
            Command::new(&browser)
                .args(["--headless=new", "--no-sandbox", "--disable-gpu"])
                .args(["--hide-scrollbars", "--default-background-color=00000000"])
                .arg(format!("--window-size={size},{size}"))
                .arg(format!("--screenshot={}", folder.join(name).display()))
                .arg(format!("file://{}", folder.join(DRAWING).display())),
        )
        .ok_or_else(|| format!("The browser did not draw {name}."))?;
    }
    Ok(())
}
