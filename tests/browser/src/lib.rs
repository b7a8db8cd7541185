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
use std::sync::atomic::{AtomicU32, Ordering};

/// A port that is free now, and that this process hands out once. It lies below those that a system
/// takes for connections of its own accord: one of these could be gone before a server has it.
pub fn free_port() -> u16 {
    static TAKEN: AtomicU32 = AtomicU32::new(0);
    // Browsers refuse some lower ones.
    const LOWEST: u32 = 11_000;
    const COUNT: u32 = 20_000;
    let begin = std::process::id().wrapping_mul(61);
    (0..COUNT)
        .map(|_| begin.wrapping_add(TAKEN.fetch_add(1, Ordering::Relaxed)))
        .map(|n| (LOWEST + n % COUNT) as u16)
        .find(|port| TcpListener::bind(("127.0.0.1", *port)).is_ok())
        .expect("a free port")
}

/// Whether there is time for what takes long (`cargo verify --long`).
pub fn is_long() -> bool {
    std::env::var_os("PEELCAST_LONG").is_some()
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
