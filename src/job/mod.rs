//! The record of a job: what was found, decided and done, and its way into and out of a file.

mod id;
mod model;
pub mod storage;

pub use id::{JobId, PhotoId, PieceId};
pub use model::{Finish, Job, Permission, PhotoRef, Piece};
