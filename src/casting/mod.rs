//! The finished mould becomes copies: how much of what, and does the mould stand it.
//!
//! ```
//! use peelcast::casting::{self, CastInput, HeatVerdict};
//! use peelcast::coating::{Relief, ReliefKind, starter_cards};
//! use peelcast::quantity::{Estimate, Millimetres, SquareMillimetres};
//!
//! let media = casting::starter_media();
//! let plaster = media.iter().find(|m| m.id == "gypsum-70").cloned().unwrap();
//! let plan = casting::cast(&CastInput::of_piece(
//!     Estimate::positive(SquareMillimetres(60_000.0), 600.0),
//!     Relief { kind: ReliefKind::Low, highest: Millimetres(18.0) },
//!     plaster,
//!     starter_cards().swap_remove(0),
//! ))?;
//! assert_eq!(plan.parts.len(), 2);
//! assert!(matches!(plan.heat, HeatVerdict::Stands { .. }));
//! # Ok::<(), casting::CastingError>(())
//! ```

mod batch;
mod copies;
mod error;
mod filling;
mod fitness;
mod hazard;
mod input;
mod life;
mod log;
mod media;
mod medium;
mod own;
mod reasons;
mod release;
mod shell;
mod size;
mod volume;

pub use crate::coating::Gypsum;
pub use batch::{Batch, CastPrices, HANDLING};
pub use copies::{CastPlan, cast};
pub use error::CastingError;
pub use filling::Filling;
pub use fitness::{FoodVerdict, HeatVerdict};
pub use hazard::Hazard;
pub use input::{CastInput, check_backing, check_copies, check_moulds};
pub use life::{Life, life};
pub use log::{CastEntry, Defect};
pub use media::starter_media;
pub use medium::{MediumCard, MediumFamily, MixPart};
pub use own::{OwnMedium, own_medium};
pub use reasons::{ALL_COPIES, HAVE_READY};
pub use release::ReleaseAdvice;
pub use size::{Generation, generation};
