//! How the time to leave came about.

use super::{OnSite, Visit, WorkState};
use crate::clock::minutes_between;
use crate::coating::{Explanation, Source, explain};
use crate::quantity::{Amount, Minutes};
use crate::words::tr;

impl OnSite {
    /// Why the last work ends when it does.
    pub fn why(&self, visit: &Visit) -> Explanation {
        let count = |n: usize| Amount::Count(u32::try_from(n).unwrap_or(u32::MAX));
        let begins = self.works.iter().map(|work| work.from).min();
        let begins = begins.unwrap_or(self.origin);
        let hands_on: Minutes = self
            .works
            .iter()
            .map(|work| minutes_between(work.from, work.to))
            .sum();
        let done = self
            .works
            .iter()
            .filter(|work| work.state == WorkState::Done);
        let pinned = self
            .works
            .iter()
            .filter(|work| work.state == WorkState::Pinned);
        explain(
            tr("From the first work to the last"),
            Amount::Duration(minutes_between(begins, self.leave)),
            vec![
                (tr("Works"), count(self.works.len())),
                (tr("Of them over"), count(done.count())),
                (tr("Of them at your own time"), count(pinned.count())),
                (tr("Hands on them, together"), Amount::Duration(hands_on)),
                (tr("Pairs of hands"), Amount::Count(visit.hands)),
                (
                    tr("Nights that may lie in between"),
                    Amount::Count(visit.nights),
                ),
                (
                    tr("The best order may end sooner by"),
                    Amount::Duration(self.from_best),
                ),
            ],
            tr(
                "Each work takes what mixing, standing and brushing its batches take by the plan of its piece. The next coat waits for the time of the card at the temperature of the site, and as touches have told. No more works run at once than there are hands, and none outside the hours of the site. Of the orders that keep to this the one is taken that ends first.",
            ),
            Source::Computed(
                tr("a search over the orders of the works, with a bound for what is left")
                    .to_owned(),
            ),
        )
    }
}
