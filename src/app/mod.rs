//! The screens (built for the browser; only [`route`] and the like are tested natively).
//!
//! A screen is one file under `screens`, gets the names of its job and piece as properties, and
//! shares everything else through the desk (`state::Desk`). What several screens use stands in
//! `parts`. Long-lived things (the clock, alerts, the queue of changes) belong to the root.
//!
//! Elements that tests and links find by their `id` are listed at the head of each screen's file.
//! Those of the shell: `page` (the main area), `title` (the page's heading), `back`, `settings`,
//! `pages` (the five pages of a piece, each `page-measure` ... `page-cast`), `running` (links
//! to running coats and patch tests), and what stands at the head of parts/toast.rs.

pub mod axis;
pub mod purpose;
pub mod route;

#[cfg(target_arch = "wasm32")]
mod later;
#[cfg(target_arch = "wasm32")]
mod ledger;
#[cfg(target_arch = "wasm32")]
pub mod parts;
#[cfg(target_arch = "wasm32")]
mod record;
#[cfg(target_arch = "wasm32")]
pub mod rehearsal;
#[cfg(target_arch = "wasm32")]
pub mod screens;
#[cfg(target_arch = "wasm32")]
pub mod settings;
#[cfg(target_arch = "wasm32")]
mod shell;
#[cfg(target_arch = "wasm32")]
pub mod state;
#[cfg(target_arch = "wasm32")]
mod watch;

#[cfg(target_arch = "wasm32")]
pub use shell::start;
