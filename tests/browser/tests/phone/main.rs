//! The built app in a browser of a phone's size. All tests are one program, so that they run side by
//! side over all files and one that fails hides no other.
//!
//! What measures is `#[ignore]`d: `cargo dev bench` and `cargo gallery` run it.

mod bad_input;
mod bag;
mod battery;
mod bench;
mod broken_import;
mod cast;
mod confirmed;
mod darkroom;
mod day;
mod deleted;
mod every_screen;
mod faults;
mod first_minutes;
mod full_phone;
mod gallery;
mod gauge;
mod handed;
mod heights;
mod languages;
mod later_parts;
mod lens;
mod log;
mod many_jobs;
mod memory;
mod numbers;
mod own_paste;
mod plan;
mod rule;
mod sample;
mod sheet;
mod smooth;
mod speed;
mod storage;
mod sweep;
mod tools;
mod undo;
mod update;
mod whole_job;
