//! One type per quantity; the number inside is always in the unit of the type's name.

use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// A number whose unit is its type.
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// Wraps a number that is already in this type's unit.
    fn of(number: f64) -> Self;
    /// The number in this type's unit.
    fn number(self) -> f64;
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl Quantity for $name {
            fn of(number: f64) -> Self {
                Self(number)
            }
            fn number(self) -> f64 {
                self.0
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        /// The plain ratio of two like quantities.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                Self(all.map(|q| q.0).sum())
            }
        }
    };
}

quantity!(
    /// A length in millimetres.
    Millimetres
);
quantity!(
    /// An area in square millimetres.
    SquareMillimetres
);
quantity!(
    /// A volume in millilitres (cubic centimetres).
    Millilitres
);
quantity!(
    /// A mass in grams.
    Grams
);
quantity!(
    /// A density in grams per millilitre (the number is also the specific gravity).
    GramsPerMillilitre
);
quantity!(
    /// A span of time in minutes.
    Minutes
);
quantity!(
    /// A temperature in degrees Celsius.
    Celsius
);
quantity!(
    /// An angle in degrees.
    Degrees
);
quantity!(
    /// The area a hand covers, in square millimetres a minute.
    SquareMillimetresPerMinute
);
quantity!(
    /// A stress in pascals.
    Pascals
);
quantity!(
    /// A number of copies; a mean need not be whole.
    Copies
);
quantity!(
    /// A plain ratio of two like quantities.
    Ratio
);
quantity!(
    /// A molar energy in kilojoules per mole.
    KilojoulesPerMole
);

impl Mul for Millimetres {
    type Output = SquareMillimetres;
    fn mul(self, other: Self) -> SquareMillimetres {
        SquareMillimetres(self.0 * other.0)
    }
}

/// Area times thickness: 1 ml is 1000 mm3.
impl Mul<Millimetres> for SquareMillimetres {
    type Output = Millilitres;
    fn mul(self, thickness: Millimetres) -> Millilitres {
        Millilitres(self.0 * thickness.0 / 1000.0)
    }
}

impl Mul<GramsPerMillilitre> for Millilitres {
    type Output = Grams;
    fn mul(self, density: GramsPerMillilitre) -> Grams {
        Grams(self.0 * density.0)
    }
}

impl Div<GramsPerMillilitre> for Grams {
    type Output = Millilitres;
    fn div(self, density: GramsPerMillilitre) -> Millilitres {
        Millilitres(self.0 / density.0)
    }
}

/// Area covered at a steady speed in a span of time.
impl Mul<Minutes> for SquareMillimetresPerMinute {
    type Output = SquareMillimetres;
    fn mul(self, span: Minutes) -> SquareMillimetres {
        SquareMillimetres(self.0 * span.0)
    }
}

/// The time an area takes at a steady speed.
impl Div<SquareMillimetresPerMinute> for SquareMillimetres {
    type Output = Minutes;
    fn div(self, speed: SquareMillimetresPerMinute) -> Minutes {
        Minutes(self.0 / speed.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn area_times_thickness_times_density_is_mass() {
        // 1 ft2 x 1/4 in at specific gravity 1.2 is 707.9 g (computed from the exact inch).
        let area = SquareMillimetres(304.8 * 304.8);
        let mass = area * Millimetres(6.35) * GramsPerMillilitre(1.2);
        assert!((mass.0 - 707.9).abs() < 0.05, "{mass:?}");
    }
}
