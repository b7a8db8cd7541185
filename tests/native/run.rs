//! Runs the desk beside a photo.

use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Its answer to a request that lies in the photo's folder.
pub fn desk(folder: &Path, request: &Value) -> Value {
    let file = folder.join("request.json");
    std::fs::write(&file, request.to_string()).expect("the folder can be written");
    let done = Command::new(env!("CARGO_BIN_EXE_desk"))
        .arg("survey")
        .arg(&file)
        .output()
        .expect("the desk starts");
    serde_json::from_slice(&done.stdout).expect("the desk prints JSON")
}
