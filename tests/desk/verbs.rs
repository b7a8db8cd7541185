//! The verbs of the desk whose questions and answers are JSON, each with its example here.

/// Their names.
pub const VERBS: [&str; 10] = [
    "survey",
    "homography",
    "lens",
    "packs",
    "coating",
    "pace",
    "relief",
    "calendar",
    "clock",
    "casting",
];
