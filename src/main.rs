//! Starts the app in the browser.

#[cfg(target_arch = "wasm32")]
fn main() {
    peelcast::app::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!("The app runs in a browser: `cargo serve` builds and serves it.");
}
