//! Where the paste to bring goes.

use super::plan::{CoatPlan, Plan};
use crate::quantity::Grams;
use crate::say;
use crate::words::tr;

/// What a share of the paste is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goes {
    /// Onto the piece and its border, with this coat, counted from 1.
    Coat(u32),
    /// Onto the high spots, beyond the coats.
    HighSpots,
    /// It stays in containers and tools.
    Left,
    /// Beyond the expected need.
    Spare,
}

/// A share of the paste to bring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassShare {
    /// What it is for.
    pub goes: Goes,
    /// How much.
    pub mass: Grams,
}

impl Goes {
    /// The sign that tells it apart in a picture: a coat's number, or a letter.
    pub fn sign(self) -> String {
        match self {
            Self::Coat(number) => number.to_string(),
            Self::HighSpots => "H".to_string(),
            Self::Left => "L".to_string(),
            Self::Spare => "S".to_string(),
        }
    }
}

impl CoatPlan {
    /// Its number and what it is for: what its mass is called.
    pub fn name(&self) -> String {
        say!(
            "Coat {number}, {name}",
            number = self.number,
            name = self.role.name()
        )
    }
}

impl Plan {
    /// Where the paste to bring goes, in the order of the work; together they are
    /// [`bring`](Plan::bring).
    pub fn mass_shares(&self) -> Vec<MassShare> {
        let share = |goes, mass| MassShare { goes, mass };
        let coats = self
            .coats
            .iter()
            .map(|coat| share(Goes::Coat(coat.number), coat.mass.value));
        let spots = self
            .high_spots
            .iter()
            .map(|spots| share(Goes::HighSpots, spots.mass.value));
        coats
            .chain(spots)
            .chain([
                share(Goes::Left, self.residue.value),
                share(Goes::Spare, self.spare),
            ])
            .collect()
    }

    /// What a share is called among the reasons of the plan.
    pub fn share_name(&self, goes: Goes) -> String {
        match goes {
            Goes::Coat(number) => match self.coats.get(number as usize - 1) {
                Some(coat) => coat.name(),
                None => say!("Coat {number}", number),
            },
            Goes::HighSpots => tr("Extra on high spots").to_string(),
            Goes::Left => tr("Left in containers and tools").to_string(),
            Goes::Spare => tr("Spare").to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{PlanInput, Relief, ReliefKind, plan};
    use crate::quantity::{Estimate, Millimetres, SquareMillimetres};

    #[test]
    fn the_shares_are_all_that_is_brought_and_each_has_its_reason() {
        let mut input = PlanInput::of_piece(
            Estimate::positive(SquareMillimetres(6e4), 600.0),
            Estimate::positive(Millimetres(1000.0), 5.0),
            Relief {
                kind: ReliefKind::Middle,
                highest: Millimetres(18.0),
            },
        );
        for confidence in [0.5, 0.95, 0.999] {
            input.confidence = confidence;
            let plan = plan(&input).unwrap();
            let shares = plan.mass_shares();
            let all: Grams = shares.iter().map(|share| share.mass).sum();
            assert!((all - plan.bring).0.abs() < 1e-6, "{shares:?}");
            assert!(shares.iter().all(|share| share.mass.0 >= 0.0), "{shares:?}");
            for MassShare { goes, .. } in shares.into_iter().filter(|s| s.goes != Goes::Spare) {
                let name = plan.share_name(goes);
                assert!(plan.why.iter().any(|why| why.what == name), "{name}");
            }
        }
    }
}
