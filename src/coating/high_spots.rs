//! The extra paste on high spots, where the brush leaves least.

use super::coat::{CoatChoice, CoatRole};
use super::input::PlanInput;
use super::practice;
use super::relief::Developed;
use crate::quantity::{Estimate, Grams, Millimetres};
use serde::{Deserialize, Serialize};

/// The extra paste on high spots.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HighSpots {
    /// The number of the coat it is brushed with.
    pub with_coat: u32,
    /// Share of the piece's surface.
    pub share: f64,
    /// Its thickness.
    pub thickness: Millimetres,
    /// Its mass.
    pub mass: Estimate<Grams>,
}

impl HighSpots {
    /// One layer more, as thick as the coat it goes with: the last build coat, or the last coat
    /// of all if none builds. A flat piece has no high spots.
    pub(crate) fn of(input: &PlanInput, developed: &Developed) -> Option<Self> {
        if input.relief.highest.0 <= 0.0 {
            return None;
        }
        let builds = |(_, coat): &(usize, &CoatChoice)| coat.role == CoatRole::Build;
        let all = || input.coats.iter().enumerate();
        let (with, coat) = all().rfind(builds).or_else(|| all().next_back())?;
        let thickness = coat.thickness * practice::HIGH_SPOT_LAYERS.value;
        let share = practice::HIGH_SPOT_SHARE.value;
        let mass: Grams = developed.surface.value * share * thickness * input.card.density;
        Some(Self {
            with_coat: with as u32 + 1,
            share,
            thickness,
            mass: Estimate::positive(mass, mass.0 * practice::HIGH_SPOT_SPREAD.value),
        })
    }
}
