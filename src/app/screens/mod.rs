//! One file a screen.

pub mod backup;
pub mod cast;
pub mod coat;
pub mod day;
pub mod details;
pub mod handed;
pub mod heights;
pub mod job;
pub mod jobs;
pub mod lens;
pub mod measure;
pub mod moulds;
pub mod pack;
pub mod plan;
pub mod settings;
pub mod sheet;
