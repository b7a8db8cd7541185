//! The next release of the site, as a host gets it: the same app with a mark of its own.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::path::Path;

const MARK: &str = "\ndocument.documentElement.dataset.release = \"next\";\n";

/// Whether the page is of the next release.
pub const IS_NEXT: &str = "return document.documentElement.dataset.release === 'next'";

/// What happens when a person comes back to the app.
pub const COME_BACK: &str = "document.dispatchEvent(new Event('visibilitychange'))";

/// Whether a release is kept ready beside the running one; asked again and again.
pub const WAITS: &str = "navigator.serviceWorker.getRegistration() \
    .then((r) => { window.releaseWaits = !!r && !!r.waiting }); return window.releaseWaits === true";

/// Writes the next release of `site` to the folder `to`.
pub fn next(site: &Path, to: &Path) {
    copy(site, to);
    let script = to.join("boot.js");
    let old = std::fs::read_to_string(&script).expect("the start script");
    let new = old.clone() + MARK;
    std::fs::write(&script, &new).expect("it is written");
    let worker = to.join("service-worker.js");
    let text = std::fs::read_to_string(&worker).expect("the service worker");
    let digest = text
        .split("digest: \"")
        .nth(1)
        .and_then(|rest| rest.split('"').next());
    let digest = digest.expect("the release's digest");
    let integrity = |text: &str| STANDARD.encode(Sha256::digest(text));
    let filled = text
        .replace(digest, &digest.chars().rev().collect::<String>())
        .replace(&integrity(&old), &integrity(&new));
    assert!(
        filled.contains(&integrity(&new)),
        "the script's digest is listed"
    );
    std::fs::write(&worker, filled).expect("it is written");
}

/// Copies a site with all its folders.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("the site") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("a copy");
        }
    }
}
