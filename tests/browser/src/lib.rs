//! A phone in a test: the built site on its own server, a headless Chromium of a phone's size
//! with a touch screen, and the few gestures that a thumb makes.
//!
//! The environment says what to test: `PEELCAST_DIST` (the built site), `PEELCAST_DEV` (the
//! project's own `dev` program, which serves it) and, where they are not on the path,
//! `CHROMIUM` and `CHROMEDRIVER`. `cargo verify` sets them all.

pub mod axe;
mod host;
pub mod journey;
pub mod netlog;
mod phone;
pub mod photo;
pub mod release;
pub mod stored;

pub use host::Host;
pub use phone::{Paper, Phone, Screen};
pub use photo::Photo;

use std::net::TcpListener;
use std::path::PathBuf;

/// A port that is free now.
pub fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("its address").port()
}

/// Where the screenshots go: `target/screens` of this checkout (or of `CARGO_TARGET_DIR`).
pub fn screens_folder() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../target"),
        PathBuf::from,
    );
    target.join("screens")
}

/// A fresh folder for one test's files.
pub fn scratch_folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("peelcast-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}
