//! Whatever comes in from outside gets an answer or a sentence: no panic, no hang, and no more
//! memory than its target's limit. Each target makes its inputs from sound ones, changed by a
//! chance that is the same in every run; an input's number is its seed.
//!
//! A run of a few seconds a target is part of all tests. The long one, a million inputs for each
//! that is cheap: `PEELCAST_LONG=1 cargo test --test fuzz -- --nocapture --test-threads=1`.

mod asked;
mod bundle;
mod change;
mod desk;
mod kept;
mod picture;
mod record;
mod run;
mod seed;
mod typed;
#[path = "../desk/verbs.rs"]
mod verbs;
mod written;
