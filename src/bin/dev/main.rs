//! The project's own commands: `cargo serve`, `cargo verify` and `cargo dev ...`.

// The program runs at a desk; built for the browser it is empty.
#[cfg(not(target_arch = "wasm32"))]
mod commands;

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    commands::run(std::env::args().skip(1).collect())
}

#[cfg(target_arch = "wasm32")]
fn main() {}
