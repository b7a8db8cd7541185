//! The record of a job: what was found, decided and done, and its way into and out of a file.

mod derive;
mod id;
mod model;
pub mod storage;

pub use derive::Stage;
pub use id::{JobId, PhotoId, PieceId};
pub use model::{Job, OwnItem, Permission, PhotoRef, Piece};
