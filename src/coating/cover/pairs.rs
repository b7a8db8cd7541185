//! The best way made of an entry of one list, an entry of the other, and base packs.

use super::goal::Goal;
use super::way::{Way, round};
use super::worth::Worth;

/// Two parts and the base packs that fill them up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub parts: [Way; 2],
    pub filled: i64,
    pub worth: Worth,
}

/// The best pair of two lists, if it is better than what the goal knows; and about how many steps
/// it took.
pub(super) fn best_pair(one: &[Way], other: &[Way], goal: &Goal) -> (Option<Pair>, usize) {
    let mut pairs = Pairs {
        goal,
        packs: goal.base.map_or(Worth::default(), |base| base.worth()),
        best: None,
        least: goal.best,
    };
    let together = one.len() + other.len();
    if one.is_empty() || other.is_empty() || pairs.by_rest(one, other) {
        return (pairs.best, together);
    }
    let fills = goal.need / round(goal.base) + 2;
    let by_fill = together.saturating_mul(fills as usize);
    let by_pair = one.len().saturating_mul(other.len());
    if by_fill < by_pair {
        let other = ByMass::new(other);
        pairs.by_fill(&ByMass::new(one).ways, &other, fills);
    } else {
        one.iter().for_each(|a| pairs.with_each(a, other));
    }
    (pairs.best, together + by_fill.min(by_pair))
}

/// A list by mass, and the place of the best from each place on.
struct ByMass {
    ways: Vec<Way>,
    onward: Vec<usize>,
}

impl ByMass {
    fn new(list: &[Way]) -> Self {
        let mut ways = list.to_vec();
        ways.sort_unstable_by_key(|way| way.worth.mass);
        let mut onward = vec![0; ways.len()];
        let mut best = ways.len() - 1;
        for at in (0..ways.len()).rev() {
            if ways[at].worth < ways[best].worth {
                best = at;
            }
            onward[at] = best;
        }
        Self { ways, onward }
    }
}

/// How often a way's partner may be looked for by itself, before all are looked for together.
const MOST_BY_THEMSELVES: usize = 50;

struct Pairs<'a> {
    goal: &'a Goal,
    /// A base pack.
    packs: Worth,
    best: Option<Pair>,
    least: Worth,
}

impl Pairs<'_> {
    fn try_one(&mut self, a: &Way, b: &Way, filled: i64) {
        let worth = a.worth.plus(b.worth).plus(self.packs.times(filled));
        if worth < self.least {
            self.least = worth;
            self.best = Some(Pair {
                parts: [*a, *b],
                filled,
                worth,
            });
        }
    }

    /// The lists are in the order of what is above whole base packs, and that of both parts
    /// together says how many base packs are in a pair, those within the parts included. So for
    /// each entry of the one list the best partner is found by the way, once all base packs are
    /// taken out. Where more would have to be taken out than there are, all partners are tried;
    /// gives up (false) if that happens often.
    fn by_rest(&mut self, one: &[Way], other: &[Way]) -> bool {
        let round = round(self.goal.base);
        let (whole, above) = (self.goal.need / round, self.goal.need % round);
        let packs = self.packs;
        let bare = |way: &Way| way.worth.plus(packs.times(-way.whole));

        // The best of the other list from each of its places on.
        let mut onward: Vec<(Worth, usize)> = Vec::with_capacity(other.len());
        for (at, way) in other.iter().enumerate().rev() {
            let this = (bare(way), at);
            onward.push(onward.last().map_or(this, |best| this.min(*best)));
        }
        onward.reverse();

        let mut by_themselves = 0;
        let (mut enough, mut plenty) = (other.len(), other.len());
        for a in one {
            // Together they are above the need's rest; above it by a base pack; or below it.
            while enough > 0 && other[enough - 1].above + a.above >= above {
                enough -= 1;
            }
            while plenty > 0 && other[plenty - 1].above + a.above >= above + round {
                plenty -= 1;
            }
            let bare = bare(a);
            for (from, in_all) in [(plenty, whole - 1), (enough, whole), (0, whole + 1)] {
                let Some((partner, at)) = onward.get(from) else {
                    continue;
                };
                let worth = bare.plus(*partner).plus(packs.times(in_all));
                if worth >= self.least || (self.goal.base.is_none() && in_all > 0) {
                    continue;
                }
                let filled = in_all - a.whole - other[*at].whole;
                if filled >= 0 {
                    self.try_one(a, &other[*at], filled);
                    continue;
                }
                by_themselves += 1;
                if by_themselves > MOST_BY_THEMSELVES {
                    return false;
                }
                self.with_each(a, other);
                break;
            }
        }
        true
    }

    /// For each number of base packs, both lists are gone through by mass, from the two ends.
    fn by_fill(&mut self, one: &[Way], other: &ByMass, fills: i64) {
        for filled in 0..=fills {
            let base = self.packs.times(filled);
            if base.cost > self.least.cost || (filled > 0 && self.goal.base.is_none()) {
                return;
            }
            let mut from = other.ways.len();
            for a in one {
                let missing = self.goal.need - base.mass - a.worth.mass;
                while from > 0 && other.ways[from - 1].worth.mass >= missing {
                    from -= 1;
                }
                if let Some(at) = other.onward.get(from) {
                    self.try_one(a, &other.ways[*at], filled);
                }
            }
        }
    }

    /// A way with every partner.
    fn with_each(&mut self, a: &Way, other: &[Way]) {
        let size = round(self.goal.base);
        for b in other {
            let missing = self.goal.need - a.worth.mass - b.worth.mass;
            if missing <= 0 {
                self.try_one(a, b, 0);
            } else if self.goal.base.is_some() {
                self.try_one(a, b, (missing + size - 1) / size);
            }
        }
    }
}
