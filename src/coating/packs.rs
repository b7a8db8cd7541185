//! Which sets to buy.

use super::card::MaterialCard;
use super::plan::Plan;
use crate::quantity::Grams;
use serde::{Deserialize, Serialize};

/// A set as it is sold: A and B together, in the card's ratio.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackSize {
    /// Its name.
    pub name: String,
    /// Its mass, A and B together.
    pub size: Grams,
    /// Its price in the user's own currency, if known.
    #[serde(default)]
    pub price: Option<f64>,
}

/// So many of one set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackCount {
    /// The set.
    pub pack: PackSize,
    /// How many; at least one.
    pub count: u32,
}

/// What to buy, and what stays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackChoice {
    /// The sets, largest first; those not needed are left out.
    pub buy: Vec<PackCount>,
    /// Mass of all sets together.
    pub mass: Grams,
    /// What is left over.
    pub left_over: Grams,
    /// Their price, if every set has one.
    pub cost: Option<f64>,
}

/// The greatest need that is solved, in grams: more is never brushed by hand.
const GREATEST_NEED: usize = 200_000;

/// The sets to buy for a plan: both parts are covered.
pub fn packs_for(plan: &Plan, card: &MaterialCard) -> Option<PackChoice> {
    let [a, b] = card.shares();
    let by_a = plan.bring_a / a;
    let by_b = plan.bring_b / b;
    choose_packs(if by_a > by_b { by_a } else { by_b }, &card.packs)
}

/// The cheapest sets that cover the need, if every set has a price; otherwise the sets that
/// leave least over. With equal cost less left over, then fewer sets, is better. Exact to the
/// gram, by dynamic programming over the grams still needed. `None` without sets or need, and
/// for a need beyond 200 kg.
pub fn choose_packs(need: Grams, packs: &[PackSize]) -> Option<PackChoice> {
    // Sets are rounded down and the need up to whole grams, so that the need is covered.
    let sizes: Vec<usize> = packs.iter().map(|p| p.size.0.floor() as usize).collect();
    let needed = (need.0 - 1e-9).ceil();
    if !(needed >= 1.0 && needed <= GREATEST_NEED as f64) || sizes.iter().all(|s| *s == 0) {
        return None;
    }
    let needed = needed as usize;
    let priced = packs.iter().all(|p| p.price.is_some());

    // best[n]: the best way to cover n grams, as (cost, mass, sets) and the set taken last.
    let mut best: Vec<((f64, usize, u32), usize)> = Vec::with_capacity(needed + 1);
    best.push(((0.0, 0, 0), usize::MAX));
    for n in 1..=needed {
        let mut here = ((f64::INFINITY, usize::MAX, u32::MAX), usize::MAX);
        for (i, (pack, size)) in packs.iter().zip(&sizes).enumerate() {
            if *size == 0 {
                continue;
            }
            let ((cost, mass, sets), _) = best[n.saturating_sub(*size)];
            let price = if priced {
                pack.price.unwrap_or(0.0)
            } else {
                0.0
            };
            let candidate = (cost + price, mass + size, sets + 1);
            if better(candidate, here.0) {
                here = (candidate, i);
            }
        }
        best.push(here);
    }

    let mut counts = vec![0u32; packs.len()];
    let mut n = needed;
    while n > 0 {
        let taken = best[n].1;
        counts[taken] += 1;
        n = n.saturating_sub(sizes[taken]);
    }
    let mut buy: Vec<PackCount> = packs
        .iter()
        .zip(counts)
        .filter(|(_, count)| *count > 0)
        .map(|(pack, count)| PackCount {
            pack: pack.clone(),
            count,
        })
        .collect();
    buy.sort_by(|x, y| y.pack.size.0.total_cmp(&x.pack.size.0));
    let mass: Grams = buy.iter().map(|b| b.pack.size * f64::from(b.count)).sum();
    let cost = buy
        .iter()
        .map(|b| b.pack.price.map(|p| p * f64::from(b.count)))
        .sum();
    Some(PackChoice {
        buy,
        mass,
        left_over: mass - need,
        cost,
    })
}

fn better(one: (f64, usize, u32), other: (f64, usize, u32)) -> bool {
    // Costs are sums in different orders: equal to the thousandth is equal.
    if (one.0 - other.0).abs() > 1e-3 {
        return one.0 < other.0;
    }
    (one.1, one.2) < (other.1, other.2)
}
