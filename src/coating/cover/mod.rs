//! How many of each kind of pack cover a need, cheapest: exactly.
//!
//! Masses and prices are whole numbers here, so that ways are compared without rounding. One kind,
//! the one with the lowest price per mass, is the base: any way is so many base packs and
//! something else. What else there may be is listed in two halves, each made of some of the other
//! kinds; the pairs of the halves, filled up with base packs, are all the ways there are. A list
//! is about as long as the root of their number, and three rules keep it shorter:
//!
//! - Of two entries that differ by whole base packs, the heavier one goes unless it is better than
//!   the lighter one with these packs.
//! - An entry goes if filling it up in the cheapest way conceivable (base packs, then a part of
//!   the best pack outside of its half) gives nothing better than the best way known.
//! - Pairs are tried while the lists grow, and first with lists that are thinned out: so the best
//!   way known is good early.
//!
//! Common practice, no source: meeting in the middle, dominance, the linear bound and its
//! rounding, as textbooks of integer programming have them. `tests/outside/check_packs.py` holds it to a general solver.

mod goal;
mod pairs;
mod search;
mod way;
mod worth;

use search::Search;
use worth::Worth;

/// A kind of pack, in whole units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    /// Its mass; above zero.
    pub size: i64,
    /// Its price; zero or more.
    pub price: i64,
    /// How many stand on the shelf, where they cost nothing. `None` if it is bought.
    pub on_shelf: Option<u32>,
}

/// Differences that nobody sees: a way that is better by no more than these isn't looked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slack {
    /// In units of the price.
    pub cost: i64,
    /// In units of the mass.
    pub mass: i64,
}

/// The best way.
#[derive(Clone, Debug)]
pub(super) struct Cover {
    /// How many of each kind.
    pub counts: Vec<u32>,
    /// Whether it is proven that none costs less, or as much and leaves less over; otherwise it is
    /// the best of very many.
    pub proven: bool,
}

/// The way to cover the need (above zero) that costs least; among these the one that leaves least
/// over; among these one with few packs. `None` if nothing covers it.
///
/// Masses times prices and sums of masses have to stay well within 64 bits.
pub(super) fn cheapest(need: i64, kinds: &[Kind], slack: Slack) -> Option<Cover> {
    Some(Search::new(need, kinds, slack)?.solve())
}

impl Kind {
    fn worth(&self) -> Worth {
        Worth::of_pack(self.size, self.price, self.on_shelf.is_some())
    }

    /// Price per mass.
    fn ratio(&self) -> f64 {
        self.price as f64 / self.size as f64
    }

    /// How many cover a mass, if there are that many; otherwise all.
    fn most_for(&self, mass: i64) -> i64 {
        let count = (mass.max(0) + self.size - 1) / self.size;
        self.on_shelf
            .map_or(count, |there| count.min(i64::from(there)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The best of all ways by going through every mass: cost, mass, packs.
    fn by_counting(need: usize, kinds: &[Kind]) -> Option<(i64, i64, i64)> {
        let top = need + kinds.iter().map(|k| k.size as usize).max()?;
        let mut best: Vec<Option<(i64, i64)>> = vec![None; top + 1];
        best[0] = Some((0, 0));
        for kind in kinds {
            let size = kind.size as usize;
            let mut take = |mass: usize| {
                let more = best[mass - size].map(|(cost, packs)| (cost + kind.price, packs + 1));
                if let Some(more) = more
                    && best[mass].is_none_or(|now| more < now)
                {
                    best[mass] = Some(more);
                }
            };
            match kind.on_shelf {
                None => (size..=top).for_each(&mut take),
                Some(there) => (0..there).for_each(|_| (size..=top).rev().for_each(&mut take)),
            }
        }
        let ways = (need..=top).filter_map(|m| Some((best[m]?.0, m as i64, best[m]?.1)));
        ways.min()
    }

    fn kind(price: impl Strategy<Value = i64>) -> impl Strategy<Value = Kind> {
        let there = prop_oneof![3 => Just(None), 1 => (0u32..6).prop_map(Some)];
        (2i64..300, price, there).prop_map(|(size, price, on_shelf)| Kind {
            size,
            price: if on_shelf.is_some() { 0 } else { price },
            on_shelf,
        })
    }

    /// Prices in proportion to the size, nearly so, or any.
    fn kinds() -> impl Strategy<Value = Vec<Kind>> {
        let near = prop::collection::vec((kind(Just(0)), 0i64..4), 1..7).prop_map(|kinds| {
            let priced = kinds.into_iter().map(|(kind, more)| Kind {
                price: if kind.on_shelf.is_some() {
                    0
                } else {
                    7 * kind.size + more
                },
                ..kind
            });
            priced.collect()
        });
        prop_oneof![near, prop::collection::vec(kind(0i64..60), 1..7)]
    }

    const NONE: Slack = Slack { cost: 0, mass: 0 };

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn no_way_is_better(need in 1i64..1500, kinds in kinds()) {
            let found = cheapest(need, &kinds, NONE);
            let sums = found.map(|cover| {
                assert!(cover.proven);
                let mut sums = (0, 0, 0);
                for (kind, count) in kinds.iter().zip(cover.counts) {
                    assert!(kind.on_shelf.is_none_or(|there| count <= there));
                    let count = i64::from(count);
                    sums = (sums.0 + count * kind.price, sums.1 + count * kind.size, sums.2 + count);
                }
                sums
            });
            prop_assert_eq!(sums, by_counting(need as usize, &kinds));
        }
    }
}
