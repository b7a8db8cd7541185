//! What stands on the Coat page: a title, one instruction, and the buttons.

use super::moment::{Feel, Tap};
use super::progress::Action;
use super::step::{Step, batches, stands};
use crate::coating::{CoatRole, Plan, Tool};
use crate::say;
use crate::words::tr;

/// Which coat and batch.
pub(super) fn title(step: Step, plan: &Plan) -> String {
    let coats = plan.coats.len() as u32;
    let of = |number: u32, all: u32| {
        // More than were planned is told as it is.
        if number > all {
            number.to_string()
        } else {
            say!("{number} of {all}", number, all)
        }
    };
    match step {
        Step::Weigh { coat, batch }
        | Step::MixFirst { coat, batch }
        | Step::MixSecond { coat, batch }
        | Step::Stand { coat, batch }
        | Step::Apply { coat, batch } => say!(
            "Coat {coats}, batch {coat}",
            coats = of(coat, coats),
            coat = of(batch, batches(plan, coat))
        ),
        Step::Wait { coat } | Step::TouchTest { coat } => {
            say!("Coat {coats}", coats = of(coat, coats))
        }
        Step::Cure | Step::Peel => tr("All coats are on").into(),
        Step::Finished => tr("The skin is off").into(),
    }
}

/// The one thing to do now.
pub(super) fn instruction(step: Step, plan: &Plan) -> String {
    let coat_of = |number: u32| plan.coats.get(number.saturating_sub(1) as usize);
    match step {
        Step::Weigh { coat: 1, batch: 1 } => tr(
            "Is the surface dry, released where it needs it, and the wall \
            around it covered? Then weigh out A and B into one container.",
        )
        .into(),
        Step::Weigh { .. } => tr("Weigh out A and B into one container.").into(),
        Step::MixFirst { .. } => tr(
            "Mix. Scrape the sides and the bottom, then scrape everything \
            over into the second container.",
        )
        .into(),
        Step::MixSecond { .. } => {
            tr("Mix again until it is one even colour, without streaks.").into()
        }
        Step::Stand { .. } => {
            tr("Let it stand to thicken, so that it holds on the wall. The working time goes on.")
                .into()
        }
        Step::Apply { coat, .. } => match coat_of(coat).map(|c| (c.role, c.tool)) {
            Some((CoatRole::Skim, _)) => {
                tr("Work a thin coat into the detail. Leave no trapped air.").into()
            }
            Some((_, Tool::Spatula)) => tr("Lay it on with the spatula and smooth it. \
                Cover the high spots once more.")
            .into(),
            _ => tr("Put the coat on evenly, and give the high spots more.").into(),
        },
        Step::Wait { coat } => say!("Let coat {coat} go tacky.", coat),
        Step::TouchTest { .. } => {
            tr("Touch the border with a gloved fingertip. Does anything come off?").into()
        }
        Step::Cure => tr("Let it cure. Put the support shell on before you peel.").into(),
        Step::Peel => tr("Peel slowly from one edge.").into(),
        Step::Finished => tr("Peeled. Go on to Cast.").into(),
    }
}

fn action(tap: Tap, label: &str) -> Action {
    Action {
        tap,
        label: label.into(),
    }
}

/// The big button. Once `dead`, paste that is not on the piece yet is thrown away.
pub(super) fn main_action(step: Step, plan: &Plan, dead: bool) -> Option<Action> {
    let main = match step {
        Step::MixFirst { coat, batch }
        | Step::MixSecond { coat, batch }
        | Step::Stand { coat, batch }
            if dead =>
        {
            action(
                Tap::BatchLost { coat, batch },
                tr("Thrown away: mix a new batch"),
            )
        }
        Step::Weigh { coat, batch } => {
            action(Tap::StartMix { coat, batch }, tr("A and B are together"))
        }
        Step::MixFirst { coat, batch } => {
            action(Tap::SecondContainer { coat, batch }, tr("Scraped over"))
        }
        Step::MixSecond { coat, batch } if stands(plan, coat) => action(
            Tap::LetStand { coat, batch },
            tr("One colour: let it stand"),
        ),
        Step::MixSecond { coat, batch } => {
            action(Tap::StartBrush { coat, batch }, tr("One colour: put it on"))
        }
        Step::Stand { coat, batch } => action(
            Tap::StartBrush { coat, batch },
            tr("Thick enough: put it on"),
        ),
        Step::Apply { coat, batch } => {
            let last = batch >= batches(plan, coat);
            let label = if last {
                tr("The coat is on")
            } else {
                tr("This batch is on")
            };
            action(Tap::BatchDone { coat, batch, last }, label)
        }
        Step::Peel => action(Tap::Demoulded, tr("The skin is off")),
        Step::Wait { .. } | Step::TouchTest { .. } | Step::Cure | Step::Finished => return None,
    };
    Some(main)
}

/// What else the user may say, of paste that is `dead`, or whose big button still has to wait.
/// `coat` is the last complete one.
pub(super) fn others(
    step: Step,
    plan: &Plan,
    (dead, held): (bool, bool),
    coat: Option<u32>,
) -> Vec<Action> {
    let lost = |coat, batch| {
        action(
            Tap::BatchLost { coat, batch },
            tr("Batch lost: mix a new one"),
        )
    };
    match step {
        Step::MixFirst { coat, batch } if dead => vec![action(
            Tap::SecondContainer { coat, batch },
            tr("It still flows: scraped over"),
        )],
        Step::MixSecond { coat, batch } | Step::Stand { coat, batch } if dead => vec![action(
            Tap::StartBrush { coat, batch },
            tr("It still flows: put it on"),
        )],
        Step::MixFirst { coat, batch }
        | Step::MixSecond { coat, batch }
        | Step::Stand { coat, batch } => {
            let sooner = held.then(|| match step {
                Step::MixFirst { .. } => action(
                    Tap::SecondContainer { coat, batch },
                    tr("Well mixed already: scraped over"),
                ),
                Step::MixSecond { .. } if stands(plan, coat) => action(
                    Tap::LetStand { coat, batch },
                    tr("One colour already: let it stand"),
                ),
                Step::MixSecond { .. } => action(
                    Tap::StartBrush { coat, batch },
                    tr("One colour already: put it on"),
                ),
                _ => action(
                    Tap::StartBrush { coat, batch },
                    tr("A dab of it holds already: put it on"),
                ),
            });
            std::iter::once(lost(coat, batch)).chain(sooner).collect()
        }
        Step::Apply { coat, batch } => {
            let last = batch < batches(plan, coat);
            let label = if last {
                tr("The whole coat is on already")
            } else {
                tr("It is on, and the coat needs one more batch")
            };
            vec![
                lost(coat, batch),
                action(Tap::BatchDone { coat, batch, last }, label),
            ]
        }
        Step::Cure => vec![action(Tap::Demoulded, tr("It was firm, the skin is off"))],
        Step::Peel => {
            let feel = Feel::Tacky;
            let clings = coat.map(|coat| Tap::Touch { coat, feel });
            clings
                .map(|tap| action(tap, tr("It still clings: wait on")))
                .into_iter()
                .collect()
        }
        Step::Weigh { .. } | Step::Wait { .. } | Step::TouchTest { .. } | Step::Finished => vec![],
    }
}
