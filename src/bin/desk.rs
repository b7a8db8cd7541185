//! The same core on files: `desk -- survey request.json` prints JSON.

fn main() {}
