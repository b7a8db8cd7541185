//! The steps of a coating, in their order.

use crate::coating::Plan;
use crate::say;
use crate::words::tr;

/// Where the work stands. Coats and batches count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Weigh out A and B.
    Weigh {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Mix in the first container.
    MixFirst {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Mix again in the second container.
    MixSecond {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Let the batch stand until it is thick enough to hold.
    Stand {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Put the batch on.
    Apply {
        /// Which coat.
        coat: u32,
        /// Which batch of it.
        batch: u32,
    },
    /// Wait until the coat may be touched.
    Wait {
        /// Which coat.
        coat: u32,
    },
    /// Touch the coat.
    TouchTest {
        /// Which coat.
        coat: u32,
    },
    /// Wait until the last coat has cured.
    Cure,
    /// Peel the skin.
    Peel,
    /// The skin is off.
    Finished,
}

impl Step {
    /// Whether hands are on the paste: nothing may disturb the user now.
    pub fn hands_on(self) -> bool {
        matches!(
            self,
            Self::MixFirst { .. }
                | Self::MixSecond { .. }
                | Self::Stand { .. }
                | Self::Apply { .. }
        )
    }

    /// The step in a few words.
    pub fn name(self) -> String {
        match self {
            Self::Weigh { coat, batch } => {
                say!("Weigh out coat {coat}, batch {batch}", coat, batch)
            }
            Self::MixFirst { coat, batch } => say!("Mix coat {coat}, batch {batch}", coat, batch),
            Self::MixSecond { coat, batch } => {
                say!(
                    "Mix coat {coat}, batch {batch} again in the second container",
                    coat,
                    batch
                )
            }
            Self::Stand { coat, batch } => {
                say!("Let coat {coat}, batch {batch} stand", coat, batch)
            }
            Self::Apply { coat, batch } => say!("Put on coat {coat}, batch {batch}", coat, batch),
            Self::Wait { coat } => say!("Wait for coat {coat}", coat),
            Self::TouchTest { coat } => say!("Touch coat {coat}", coat),
            Self::Cure => tr("Wait for the cure").into(),
            Self::Peel => tr("Peel the skin").into(),
            Self::Finished => tr("Done").into(),
        }
    }
}

/// Number of batches of a coat in the plan; 1 for a coat that the plan no longer has.
pub(super) fn batches(plan: &Plan, coat: u32) -> u32 {
    let coat = plan.coats.get(coat.saturating_sub(1) as usize);
    coat.map_or(1, |c| c.batches.len().max(1) as u32)
}

/// Whether a coat's paste stands to thicken before it goes on.
pub(super) fn stands(plan: &Plan, coat: u32) -> bool {
    let coat = plan.coats.get(coat.saturating_sub(1) as usize);
    coat.is_some_and(|coat| coat.stand.0 > 0.0)
}

/// The step that follows when everything goes well.
pub fn step_after(step: Step, plan: &Plan) -> Step {
    let last_coat = plan.coats.len() as u32;
    match step {
        Step::Weigh { coat, batch } => Step::MixFirst { coat, batch },
        Step::MixFirst { coat, batch } => Step::MixSecond { coat, batch },
        Step::MixSecond { coat, batch } if stands(plan, coat) => Step::Stand { coat, batch },
        Step::MixSecond { coat, batch } | Step::Stand { coat, batch } => {
            Step::Apply { coat, batch }
        }
        Step::Apply { coat, batch } if batch < batches(plan, coat) => Step::Weigh {
            coat,
            batch: batch.saturating_add(1),
        },
        Step::Apply { coat, .. } if coat < last_coat => Step::Wait { coat },
        Step::Apply { .. } => Step::Cure,
        Step::Wait { coat } => Step::TouchTest { coat },
        Step::TouchTest { coat } => Step::Weigh {
            coat: coat.saturating_add(1),
            batch: 1,
        },
        Step::Cure => Step::Peel,
        Step::Peel | Step::Finished => Step::Finished,
    }
}
