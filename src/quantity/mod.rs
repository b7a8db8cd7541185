//! Units in the type, and estimates that carry their spread.
//!
//! Each physical quantity has one type and one unit inside the program; people see
//! metric or US customary units, made by [`show`] alone and read by [`parse`] alone.
//!
//! ```
//! use peelcast::quantity::{Estimate, Millimetres, SquareMillimetres};
//!
//! let side = Millimetres(200.0);
//! let area: SquareMillimetres = side * Millimetres(125.0);
//! assert_eq!(area, SquareMillimetres(25_000.0));
//!
//! let measured = Estimate::normal(area, 250.0);
//! assert!(measured.low95 < area && area < measured.high95);
//! ```

mod amount;
mod day;
mod dice;
mod estimate;
pub mod factor;
pub mod iso;
mod kind;
pub mod parse;
pub mod show;
mod unit;

pub use amount::Amount;
pub(crate) use dice::Dice;
pub use estimate::{Estimate, Z95, Z95_ONE_SIDED, log_sd};
pub use unit::{
    Celsius, Copies, Degrees, Grams, GramsPerMillilitre, KilojoulesPerMole, Millilitres,
    Millimetres, Minutes, Pascals, Quantity, Ratio, SquareMillimetres, SquareMillimetresPerMinute,
};
