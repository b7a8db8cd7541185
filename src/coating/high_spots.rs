//! The extra paste on high spots, where the brush leaves least.

use super::coat::CoatRole;
use super::input::PlanInput;
use super::passes::Pass;
use super::practice;
use super::skin::starved_share;
use crate::quantity::{Estimate, Grams, Millimetres, SquareMillimetres};
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
    /// of all if none builds. Where heights are known they tell the share that starves
    /// (`skin.rs`), otherwise it is a usual one. A flat piece has no high spots.
    pub(super) fn of(
        input: &PlanInput,
        passes: &[Pass],
        surface: SquareMillimetres,
    ) -> Option<Self> {
        if input.highest().0 <= 0.0 {
            return None;
        }
        let builds = |(_, pass): &(usize, &Pass)| pass.choice.role == CoatRole::Build;
        let all = || passes.iter().enumerate();
        let (with, pass) = all().rfind(builds).or_else(|| all().next_back())?;
        let thickness = pass.choice.thickness * practice::HIGH_SPOT_LAYERS.value;
        let usual = practice::HIGH_SPOT_SHARE.value;
        let share = starved_share(input, passes).unwrap_or(usual);
        if share <= 0.0 {
            return None;
        }
        let mass: Grams = surface * share * thickness * input.card.density;
        Some(Self {
            with_coat: with as u32 + 1,
            share,
            thickness,
            mass: Estimate::positive(mass, mass.0 * practice::HIGH_SPOT_SPREAD.value),
        })
    }
}
