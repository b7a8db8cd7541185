//! First-order propagation (JCGM 100:2008, 5.1 and 5.2) of every input's error to the masses.

use super::input::PlanInput;
use super::practice;
use super::relief::Developed;
use super::source::Source;
use crate::quantity::{Grams, SquareMillimetres};

/// One independent source of error: what one standard deviation of it does to each mass.
/// Within a line the masses err together (they are summed); lines are independent of each
/// other (they are added as squares).
pub(crate) struct ErrorLine {
    pub what: String,
    pub advice: &'static str,
    /// Grams per coat.
    pub coats: Vec<f64>,
    /// Grams in high spots and residue.
    pub rest: f64,
}

impl ErrorLine {
    /// Standard deviation of the total from this line alone, in grams.
    pub fn total(&self) -> f64 {
        self.coats.iter().sum::<f64>() + self.rest
    }
}

/// The root of the sum of squares.
pub(crate) fn root_sum(parts: impl Iterator<Item = f64>) -> f64 {
    parts.fold(0.0, f64::hypot)
}

/// All error lines of a plan. The growth of later coats is too small to be given its own.
pub(crate) fn lines(
    input: &PlanInput,
    developed: &Developed,
    masses: &[Grams],
    spots: Grams,
    residue: Grams,
) -> Vec<ErrorLine> {
    let none = || vec![0.0; masses.len()];
    // An error of the surface lies under every coat.
    let surface_line = |what: &str, advice, sd: SquareMillimetres| ErrorLine {
        what: what.to_string(),
        advice,
        coats: input
            .coats
            .iter()
            .map(|coat| (sd * coat.thickness * input.card.density).0)
            .collect(),
        rest: spots.0 * (sd / developed.surface.value),
    };
    let mut lines = vec![
        surface_line(
            "Outline",
            "Mark one more known length on the photo, or trace the outline closer.",
            developed.sd_outline,
        ),
        surface_line(
            "Modelling of the front",
            "Compare your piece with the pictures of low, middle and high relief again.",
            developed.sd_front,
        ),
        surface_line(
            "Shape of the edges",
            "Measure how high the sides stand in three places.",
            developed.sd_side,
        ),
        surface_line(
            "Highest point",
            "Read it with a straight edge and a rule.",
            developed.sd_highest,
        ),
    ];

    let density_spread = match input.card.marks.density {
        Source::YourSheet => practice::DENSITY_SPREAD_SHEET.value,
        _ => practice::DENSITY_SPREAD_GENERAL.value,
    };
    lines.push(ErrorLine {
        what: "Density of the paste".to_string(),
        advice: "Take it from the paste's sheet.",
        coats: masses.iter().map(|m| m.0 * density_spread).collect(),
        rest: spots.0 * density_spread,
    });
    for (i, choice) in input.coats.iter().enumerate() {
        let mut coats = none();
        coats[i] = masses[i].0 * choice.role.thickness_spread();
        lines.push(ErrorLine {
            what: format!("Thickness brushed, coat {}", i + 1),
            advice: "Spread each batch over its own share of the surface, and check with a pin.",
            coats,
            rest: 0.0,
        });
    }
    lines.push(ErrorLine {
        what: "Extra on high spots".to_string(),
        advice: "Mark the high spots before you start.",
        coats: none(),
        rest: spots.0 * practice::HIGH_SPOT_SPREAD.value,
    });
    lines.push(ErrorLine {
        what: "Left in containers and tools".to_string(),
        advice: "Weigh an emptied container once.",
        coats: none(),
        rest: residue.0 * practice::RESIDUE_SPREAD.value,
    });
    lines
}
