//! Lets the linker leave its notes in the app, by which `cargo dev build` cuts it into parts.

fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    if std::env::var("CARGO_CFG_TARGET_ARCH").is_ok_and(|machine| machine == "wasm32") {
        println!("cargo::rustc-link-arg-bin=peelcast=--emit-relocs");
    }
}
