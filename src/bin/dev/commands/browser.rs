//! The browser of the person at the desk.

use std::process::{Command, Stdio};

/// Opens an address in the desktop's browser. Where there is no desktop nothing happens: the
/// address has been printed.
pub fn open(address: &str) {
    let Some(mut opener) = opener() else { return };
    let _ = opener
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}

fn opener() -> Option<Command> {
    if cfg!(target_os = "macos") {
        return Some(Command::new("open"));
    }
    if cfg!(windows) {
        // The first word in quotes after `start` would be a window's title.
        let mut start = Command::new("cmd");
        start.args(["/C", "start", ""]);
        return Some(start);
    }
    // Without a desktop xdg-open would start a browser in this very terminal.
    let desktop = ["DISPLAY", "WAYLAND_DISPLAY"];
    let there = desktop
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()));
    there.then(|| Command::new("xdg-open"))
}
