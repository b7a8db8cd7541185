//! The coats as they are brushed: one that the wall would not hold goes on after a wait, or in
//! several passes.

use super::coat::CoatChoice;
use super::error::CoatingError;
use super::input::PlanInput;
use super::relief::Posture;
use super::sag::{holds, wait_for};
use crate::quantity::{Millimetres, Minutes};

/// One coat as it is brushed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pass {
    /// What is brushed, at this pass' own thickness.
    pub choice: CoatChoice,
    /// The coat that was wanted, counted from 1.
    pub wanted: u32,
    /// How long the mixed paste stands first.
    pub stand: Minutes,
}

/// More passes than this are no plan.
const MOST: usize = 24;

/// All passes, first to last. `time` is what the paste gives for standing and brushing, and
/// `least` what brushing needs of it.
pub(super) fn passes(
    input: &PlanInput,
    time: Minutes,
    least: Minutes,
) -> Result<Vec<Pass>, CoatingError> {
    let mut all = Vec::new();
    for (i, choice) in input.coats.iter().enumerate() {
        let limit = holds(&input.card, &input.dabs, Minutes(0.0))
            .filter(|_| input.posture != Posture::Flat)
            .filter(|limit| choice.thickness > *limit);
        let wait = limit
            .and_then(|_| wait_for(&input.card, &input.dabs, choice.thickness))
            .filter(|wait| time - *wait >= least);
        let count = match (limit, wait) {
            (Some(limit), None) => (choice.thickness / limit - 1e-9).ceil(),
            _ => 1.0,
        };
        if all.len() as f64 + count > MOST as f64 {
            return Err(CoatingError::RunsOff {
                holds: limit.unwrap_or(Millimetres(0.0)),
            });
        }
        let pass = Pass {
            choice: CoatChoice {
                thickness: choice.thickness / count,
                ..choice.clone()
            },
            wanted: i as u32 + 1,
            stand: wait.unwrap_or(Minutes(0.0)),
        };
        all.extend(std::iter::repeat_n(pass, count as usize));
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::sag::Dab;
    use crate::coating::{Relief, default_coats};
    use crate::quantity::{Estimate, SquareMillimetres};

    fn input(dabs: &[(f64, f64, bool)]) -> PlanInput {
        let mut input = PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(6e4)),
            Estimate::exact(Millimetres(1000.0)),
            Relief::default(),
        );
        input.dabs = dabs
            .iter()
            .map(|(thickness, stood, held)| Dab {
                thickness: Millimetres(*thickness),
                stood: Minutes(*stood),
                held: *held,
            })
            .collect();
        input
    }

    fn planned(input: &PlanInput) -> Vec<(u32, f64, f64)> {
        let all = passes(input, Minutes(8.0), Minutes(1.0)).unwrap();
        all.iter()
            .map(|pass| (pass.wanted, pass.choice.thickness.0, pass.stand.0))
            .collect()
    }

    #[test]
    fn a_coat_that_would_run_waits_or_goes_on_in_passes() {
        let [skim, build, last] = [0, 1, 2].map(|i| default_coats()[i].thickness.0);
        let unknown = planned(&input(&[]));
        assert_eq!(unknown, [(1, skim, 0.0), (2, build, 0.0), (3, last, 0.0)]);
        let split = planned(&input(&[(1.5, 0.0, true)]));
        let halves = [(2, build / 2.0, 0.0), (3, last / 2.0, 0.0)];
        assert_eq!(
            split,
            [(1, skim, 0.0), halves[0], halves[0], halves[1], halves[1]]
        );
        let waits = planned(&input(&[(1.5, 0.0, true), (3.0, 5.0, true)]));
        assert_eq!(waits, [(1, skim, 0.0), (2, build, 5.0), (3, last, 5.0)]);
        // A wait that leaves no time to brush is none.
        let late = planned(&input(&[(1.5, 0.0, true), (3.0, 7.5, true)]));
        assert_eq!(late.len(), 5);
        // Lying flat nothing runs.
        let mut flat = input(&[(1.5, 0.0, true)]);
        flat.posture = Posture::Flat;
        assert_eq!(planned(&flat).len(), 3);
        let water = passes(&input(&[(0.1, 0.0, true)]), Minutes(8.0), Minutes(1.0));
        assert!(matches!(water, Err(CoatingError::RunsOff { .. })));
    }
}
