//! The record of a job: what was found, decided and done, and its way into and out of a file.

mod backup;
pub mod bundle;
mod day;
mod derive;
mod flat;
mod heights;
mod id;
mod list;
mod memory;
mod model;
mod mould;
mod read;
mod same;
mod sample;
mod section;
pub mod sheet;
mod shot;
pub mod storage;
mod sweep;
pub mod table;
mod visit;

pub use backup::Backups;
pub use day::{DayWork, OnSite, Unplanned, WorkState};
pub use derive::Stage;
pub use flat::{Flat, Measured};
pub use heights::Modelled;
pub use id::{JobId, PhotoId, PieceId};
pub use list::{Line, Which, lines};
pub use memory::{Begun, HAND, Memory, learned_from};
pub use model::{Job, LogPicture, OwnItem, Permission, Piece, SCHEMA};
pub use mould::{Mould, OnShelf, moulds};
pub use read::ReadError;
pub use sample::{SAMPLE_JOB, SAMPLE_PHOTO, SAMPLE_PIECE, sample_job};
pub use shot::{Found, PhotoRef, Reading, Shot, Shows};
pub use sweep::ToSweep;
pub use visit::{Pin, Visit};
