//! A batch of copies: how many pours, how long, what a copy costs.

use super::input::CastInput;
use super::life::Life;
use crate::coating::{CostLine, Marked};
use crate::quantity::{Grams, Minutes};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Mixing, filling and taking out one copy, hands on (made up for the demo).
pub const HANDLING: Marked<Minutes> = Marked::made_up(Minutes(15.0));

/// What things cost, all in one currency; what is not given is left out and said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CastPrices {
    /// A kilogram of the medium, its water not counted.
    pub medium_kg: Option<f64>,
    /// An hour of work.
    pub hour: Option<f64>,
    /// The mould.
    pub mould: Option<f64>,
}

/// All copies together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Batch {
    /// How many times a mould is filled.
    pub pours: u32,
    /// How many times all moulds are gone through; the last time perhaps not all of them.
    pub rounds: u32,
    /// Hands on one copy.
    pub handling: Minutes,
    /// From the first pour until the last copy is out, one pair of hands.
    pub time: Minutes,
    /// That time shared among the copies.
    pub time_each: Minutes,
    /// What is mixed in all.
    pub mixed: Grams,
    /// What one copy costs, line by line; `None` while a price is missing.
    pub cost: Vec<CostLine>,
    /// All lines with a price.
    pub cost_each: f64,
}

impl Batch {
    pub(super) fn of(input: &CastInput, parts: &[(String, Grams)], life: &Life) -> Self {
        let copies = input.copies;
        let time = time(
            copies,
            input.moulds,
            HANDLING.value,
            input.medium.set_time.value,
        );
        let mixed: Grams = parts.iter().map(|(_, grams)| *grams).sum();
        let bought = parts
            .iter()
            .filter(|(name, _)| !name.trim().eq_ignore_ascii_case("water"))
            .map(|(_, grams)| *grams)
            .sum::<Grams>();
        let prices = &input.prices;
        let share = |mould: f64| mould / life.in_all().0.max(1.0);
        let line = |what: &str, cost: Option<f64>| CostLine {
            what: what.to_string(),
            cost,
        };
        let cost = vec![
            line(
                tr("Medium"),
                prices.medium_kg.map(|each| each * bought.0 / 1000.0),
            ),
            line(
                tr("Work"),
                prices.hour.map(|each| each * HANDLING.value.0 / 60.0),
            ),
            line(tr("Share of the mould"), prices.mould.map(share)),
        ];
        // An empty sum of floating point is minus nothing.
        let cost_each = 0.0 + cost.iter().filter_map(|line| line.cost).sum::<f64>();
        Self {
            pours: copies,
            rounds: copies.div_ceil(input.moulds.max(1)),
            handling: HANDLING.value,
            time,
            time_each: time / f64::from(copies.max(1)),
            mixed: mixed * f64::from(copies),
            cost,
            cost_each,
        }
    }
}

/// One pair of hands goes round the moulds: each copy takes its handling, then sets, and its mould
/// is free again when it is out.
fn time(copies: u32, moulds: u32, handling: Minutes, set: Minutes) -> Minutes {
    let (moulds, last) = (moulds.max(1), copies.saturating_sub(1));
    let round = f64::max(handling.0 * f64::from(moulds), handling.0 + set.0);
    let begun = f64::from(last / moulds) * round + f64::from(last % moulds) * handling.0;
    Minutes(begun + handling.0 + set.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_is_that_of_hands_that_go_round() {
        for (copies, moulds, handling, set) in [
            (1, 1, 15.0, 50.0),
            (7, 1, 15.0, 50.0),
            (7, 3, 15.0, 50.0),
            (20, 6, 15.0, 50.0),
            (5, 9, 15.0, 50.0),
            (11, 4, 20.0, 5.0),
        ] {
            let mut begun: Vec<f64> = Vec::new();
            for copy in 0..copies {
                let hands = begun.last().map_or(0.0, |last| last + handling);
                let mould = match copy {
                    copy if copy < moulds => 0.0,
                    copy => begun[copy - moulds] + handling + set,
                };
                begun.push(f64::max(hands, mould));
            }
            let wanted = begun.last().unwrap() + handling + set;
            let found = time(
                copies as u32,
                moulds as u32,
                Minutes(handling),
                Minutes(set),
            );
            assert!(
                (found.0 - wanted).abs() < 1e-9,
                "{copies} {moulds}: {found:?} for {wanted}"
            );
        }
    }
}
