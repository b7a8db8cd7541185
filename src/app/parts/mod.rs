//! What several screens use.

pub mod toast;
