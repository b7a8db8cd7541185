//! Footprint, relief and material card become coats, batches, paste to bring and the bag.
//!
//! ```
//! use peelcast::coating::{self, PlanInput, Relief, ReliefKind};
//! use peelcast::quantity::{Estimate, Millimetres, SquareMillimetres};
//!
//! let input = PlanInput::of_piece(
//!     Estimate::positive(SquareMillimetres(60_000.0), 600.0),
//!     Estimate::positive(Millimetres(1_000.0), 5.0),
//!     Relief { kind: ReliefKind::Middle, highest: Millimetres(18.0) },
//! );
//! let plan = coating::plan(&input)?;
//! assert_eq!(plan.coats.len(), 3);
//! assert!(plan.bring.0 > plan.total.value.0 && plan.bring.0 < 2.0 * plan.total.value.0);
//! # Ok::<(), coating::CoatingError>(())
//! ```

mod bag;
mod batch;
mod block;
mod bounds;
mod card;
mod caution;
mod coat;
mod cost;
mod cost_reasons;
mod cover;
pub mod cure;
mod error;
mod explain;
mod fitness;
mod gypsum;
mod hand;
mod high_spots;
mod input;
mod kit;
mod mass_share;
mod mix;
mod need;
mod packs;
mod passes;
mod paste;
mod patch;
mod plan;
pub mod practice;
mod reasons;
mod relief;
mod rim;
mod sag;
mod sheet;
mod shelf;
mod shell;
mod skin;
#[cfg(test)]
mod skin_tests;
mod source;
mod spread;
mod standing;
mod starter;
mod stock;
mod substrate;
mod surface;

pub use batch::{Batch, weigh_out};
pub use bounds::{
    check_border, check_confidence, check_dab, check_highest, check_hours, check_price,
    check_thickness,
};
pub use card::{CardMarks, CardNumber, CardProblem, Cure, FoodStatement, Hold, MaterialCard, Part};
pub use caution::{Caution, Finish, Topic};
pub use coat::{CoatChoice, CoatRole, Tool, default_coats};
pub use cost::{Cost, CostLine, Prices, block_paste};
pub use cost_reasons::{of_block, of_cost};
pub use error::CoatingError;
pub use explain::Explanation;
pub(crate) use explain::explain;
pub use fitness::{Check, Ground, Release, Verdict, Whom};
pub use gypsum::Gypsum;
pub use hand::Hand;
pub use high_spots::HighSpots;
pub use input::PlanInput;
pub use kit::{KitGroup, KitItem, kit, kit_of_all, weight_to_carry, weight_why};
pub use mass_share::{Goes, MassShare};
pub use packs::{
    PackChoice, PackCount, PackError, PackPlace, PackSize, Shelf, ShelfCount, choose_packs,
    packs_for,
};
pub use paste::Paste;
pub use patch::{PatchResult, PatchTest};
pub use plan::{CoatPlan, Plan, Uncertainty, plan};
pub use relief::{Between, Posture, Relief, ReliefKind};
pub use rim::Rings;
pub use sag::{Dab, holds};
pub use sheet::{SheetNumbers, own_card};
pub use shelf::{OnShelf, ShelfField, ShelfProblem};
pub use shell::{Shell, ShellKind, ShellPart};
pub use skin::{SkinMap, ThinSpot, skin_map};
pub use source::{Marked, Source};
pub use spread::DRAWS;
pub use standing::{lead_paint, permission};
pub use starter::starter_cards;
pub use stock::Stock;
pub use substrate::Substrate;
pub use surface::Surface;
