//! The project's own commands: `cargo serve`, `cargo verify`.

fn main() {}
