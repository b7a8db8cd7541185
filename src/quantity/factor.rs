//! Factors between units, each exact, as listed in NIST Special Publication 811 (2008),
//! appendix B. They stand here once.

/// Millimetres in an inch.
pub const MM_PER_INCH: f64 = 25.4;
/// Millimetres in a foot.
pub const MM_PER_FOOT: f64 = 304.8;
/// Square millimetres in a square inch.
pub const MM2_PER_SQUARE_INCH: f64 = 645.16;
/// Square millimetres in a square foot.
pub const MM2_PER_SQUARE_FOOT: f64 = 92_903.04;
/// Grams in an avoirdupois ounce.
pub const GRAMS_PER_OUNCE: f64 = 28.349_523_125;
/// Grams in an avoirdupois pound.
pub const GRAMS_PER_POUND: f64 = 453.592_37;
/// Millilitres in a US fluid ounce.
pub const ML_PER_FLUID_OUNCE: f64 = 29.573_529_562_5;
/// Millilitres in a US gallon.
pub const ML_PER_GALLON: f64 = 3_785.411_784;
/// Degrees Fahrenheit in one degree Celsius of difference.
pub const FAHRENHEIT_PER_CELSIUS: f64 = 1.8;
/// The reading in Fahrenheit at zero Celsius.
pub const FAHRENHEIT_AT_ZERO_CELSIUS: f64 = 32.0;
