//! What is to be beaten, and whether a part of a way may still lead there.

use super::worth::{OPENED, Worth};
use super::{Kind, Slack};

/// The need, and the best way known.
#[derive(Clone, Debug)]
pub(super) struct Goal {
    /// What has to be covered.
    pub need: i64,
    /// The kind with the lowest price per mass, of which there is no end; `None` if nothing is
    /// bought.
    pub base: Option<Kind>,
    /// The largest size of all.
    pub largest: i64,
    /// What masses to buy cost at least in steps.
    pub steps: Option<Steps>,
    /// What isn't worth looking for.
    pub slack: Slack,
    /// The best way known.
    pub best: Worth,
}

/// What may still be added to a part of a way, besides base packs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Outside {
    /// Mass on the shelf.
    pub free: i64,
    /// The lowest price per mass; infinite if there is nothing to buy.
    pub ratio: f64,
    /// Mass of the kind that is being added, and its price per mass.
    pub at_hand: (i64, f64),
}

/// A bound in steps: a pack stands for as many steps as its size is at most, and each step costs at
/// least so much. Packs that are all but multiples of one size leave much over, or nothing; here,
/// not in the price per mass, it shows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Steps {
    /// So many steps
    count: i64,
    /// are this mass.
    mass: i64,
    /// The least that a step costs.
    cost: f64,
}

impl Steps {
    /// Those that say most about a mass: steps are tried that go so many times into one of the
    /// kinds of best value. The kinds are all that are bought.
    pub fn best(missing: i64, bought: &[&Kind]) -> Option<Self> {
        let tried = bought.iter().take(50);
        let tried = tried.flat_map(|kind| (1..=8).map(|count| (count, kind.size)));
        let all = tried.map(|(count, mass)| {
            let one = Self {
                count,
                mass,
                cost: 0.0,
            };
            let costs = bought
                .iter()
                .map(|k| k.price as f64 / one.number(k.size) as f64);
            Self {
                cost: costs.fold(f64::INFINITY, f64::min),
                ..one
            }
        });
        all.max_by(|a, b| a.of(missing).total_cmp(&b.of(missing)))
    }

    fn number(&self, mass: i64) -> i64 {
        (mass * self.count + self.mass - 1) / self.mass
    }

    fn of(&self, mass: i64) -> f64 {
        self.number(mass) as f64 * self.cost
    }
}

impl Goal {
    /// Whether a way that goes on from here might be better than the best one known; by fewer
    /// packs alone only if these are asked for, too.
    pub fn promises(&self, so_far: &Worth, outside: &Outside, fewer_packs: bool) -> bool {
        let missing = self.need - so_far.mass;
        let Some(cost) = self.least_cost(missing - outside.free, outside) else {
            return false;
        };
        let cost = so_far.cost + cost;
        if cost < self.best.cost - self.slack.cost || cost > self.best.cost {
            return cost < self.best.cost;
        }
        let mass = so_far.mass.max(self.need);
        if mass != self.best.mass {
            return mass < self.best.mass - self.slack.mass;
        }
        let packs = (missing.max(0) + self.largest - 1) / self.largest;
        fewer_packs && so_far.packs + packs * OPENED < self.best.packs
    }

    /// A mass to buy can't cost less than this: whole base packs, and what then is missing as a
    /// part of the best pack there is, or as one more base pack; nor less than its steps.
    fn least_cost(&self, missing: i64, outside: &Outside) -> Option<i64> {
        if missing <= 0 {
            return Some(0);
        }
        let base = self.base?;
        let (whole, part) = (missing / base.size, missing % base.size);
        let (most, ratio) = outside.at_hand;
        let at_hand = if ratio < outside.ratio {
            part.min(most)
        } else {
            0
        };
        let mut filled = at_hand as f64 * ratio;
        if part > at_hand {
            filled += (part - at_hand) as f64 * outside.ratio;
        }
        // Rounded up, since costs are whole, but not for what a floating sum may be off.
        let rounded_up = |cost: f64| (cost * (1.0 - 1e-14)).ceil() as i64;
        let filled = whole * base.price + rounded_up(filled.min(base.price as f64));
        Some(match self.steps {
            Some(steps) => filled.max(rounded_up(steps.of(missing))),
            None => filled,
        })
    }

    /// Whether the best way known is so close to what can't be undercut that nobody minds: within
    /// a hundred times the slack in cost.
    pub fn is_close(&self, on_shelf: i64) -> bool {
        let missing = self.need - on_shelf;
        let ratio = self.base.map_or(0.0, |base| base.ratio());
        let outside = Outside {
            free: 0,
            ratio,
            at_hand: (0, 0.0),
        };
        let least = self.least_cost(missing, &outside);
        let nothing_over = self.best.mass - self.need <= 1000 * self.slack.mass;
        // Where something is paid, less over would cost less.
        least.is_some_and(|least| self.best.cost - least <= 100 * self.slack.cost)
            && (nothing_over || ratio > 0.0)
    }
}
