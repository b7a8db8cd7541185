//! Which typed numbers a plan can be made from: asked by the plan, and by the fields they are
//! typed into, so that a slip is told where it is made.

use super::error::{CoatingError, within};
use super::sag::Dab;
use crate::quantity::Millimetres;
use crate::say;
use crate::words::tr;

/// Accepts the highest point of a relief, or says what it has to be.
pub fn check_highest(highest: Millimetres) -> Result<(), CoatingError> {
    within(
        highest.0,
        0.0..=1000.0,
        tr("The highest point"),
        tr("between 0 and 1000 mm (39 in) over the wall"),
    )
}

/// Accepts the width of a border, or says what it has to be.
pub fn check_border(border: Millimetres) -> Result<(), CoatingError> {
    within(
        border.0,
        0.0..=300.0,
        tr("The border"),
        tr("between 0 and 300 mm (12 in)"),
    )
}

/// Accepts the mean thickness of a coat, counted from 1, or says what it has to be.
pub fn check_thickness(coat: usize, thickness: Millimetres) -> Result<(), CoatingError> {
    within(
        thickness.0,
        0.1..=30.0,
        &say!("The thickness of coat {coat}", coat),
        tr("between 0.1 and 30 mm (1 3/16 in)"),
    )
}

/// Accepts a dab that was watched, or says what it has to be.
pub fn check_dab(dab: &Dab) -> Result<(), CoatingError> {
    within(
        dab.thickness.0,
        0.1..=100.0,
        tr("The thickness of a dab"),
        tr("between 0.1 and 100 mm (4 in)"),
    )?;
    within(
        dab.stood.0,
        0.0..=120.0,
        tr("The time the paste stood before a dab"),
        tr("between 0 and 120 minutes"),
    )
}

/// Accepts a price in the user's own currency, or says what it has to be.
pub fn check_price(price: f64) -> Result<(), CoatingError> {
    within(
        price,
        0.0..=1e7,
        tr("A price"),
        tr("between 0 and 10 million"),
    )
}

/// Accepts hours of work beside the coats, or says what they have to be.
pub fn check_hours(hours: f64) -> Result<(), CoatingError> {
    within(
        hours,
        0.0..=1000.0,
        tr("The hours beside the coats"),
        tr("between 0 and 1000"),
    )
}

/// Accepts a confidence, or says what it has to be.
pub fn check_confidence(share: f64) -> Result<(), CoatingError> {
    within(
        share,
        0.5..=0.999,
        tr("How sure it shall be that the paste suffices"),
        tr("between 50 and 99.9 %"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Minutes;

    #[test]
    fn a_slip_is_told_with_what_the_number_has_to_be() {
        assert!(check_highest(Millimetres(18.0)).is_ok() && check_border(Millimetres(0.0)).is_ok());
        let said = check_thickness(2, Millimetres(0.0))
            .unwrap_err()
            .to_string();
        assert!(
            said.starts_with("The thickness of coat 2 has to be between 0.1"),
            "{said}"
        );
        assert!(check_border(Millimetres(301.0)).is_err());
        assert!(check_highest(Millimetres(f64::NAN)).is_err());
        assert!(check_price(0.0).is_ok() && check_price(-1.0).is_err());
        assert!(check_hours(1.5).is_ok() && check_hours(f64::INFINITY).is_err());
        let dab = |thickness, stood| Dab {
            thickness: Millimetres(thickness),
            stood: Minutes(stood),
            held: true,
        };
        assert!(check_dab(&dab(2.0, 5.0)).is_ok());
        assert!(check_dab(&dab(0.0, 5.0)).is_err() && check_dab(&dab(2.0, 121.0)).is_err());
    }
}
