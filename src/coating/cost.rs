//! What a mould costs, and a copy from it: from prices that the user gives, and none invented.

use super::packs::PackChoice;
use super::plan::Plan;
use crate::quantity::{Grams, Minutes};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// The user's own prices, all in one currency; what is not given is left out and said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prices {
    /// An hour of work.
    pub hour: Option<f64>,
    /// What one batch uses up: containers, stirrers, brush, gloves.
    pub batch: Option<f64>,
    /// A kilogram of what the shell is built of.
    pub shell_kg: Option<f64>,
    /// A kilogram of what is cast, its water not counted.
    pub medium_kg: Option<f64>,
    /// Everything else of this piece: travel, hire, release agent.
    pub other: Option<f64>,
    /// Hours beside the coats: on the way, for the shell, for peeling.
    pub other_hours: Option<f64>,
}

/// One line of the bill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CostLine {
    /// What it is for.
    pub what: String,
    /// How much; `None` while a price is missing.
    pub cost: Option<f64>,
}

/// What the mould costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cost {
    /// Line by line.
    pub lines: Vec<CostLine>,
    /// Hands-on time of all coats.
    pub hands_on: Minutes,
    /// All lines with a price.
    pub mould: f64,
    /// The mould's share in each copy.
    pub copy: f64,
    /// The paste of a poured block at the same price, to compare.
    pub block_paste: Option<f64>,
}

impl Cost {
    /// The bill of a plan whose sets are chosen, for so many copies.
    pub fn of(plan: &Plan, packs: Option<&PackChoice>, prices: &Prices, copies: u32) -> Self {
        let hands_on = plan.hands_on();
        let hours = hands_on.0 / 60.0 + prices.other_hours.unwrap_or(0.0);
        let shell = plan.shell.carried() / Grams(1000.0);
        let paste = packs.and_then(|packs| packs.cost);
        let line = |what: &str, cost: Option<f64>| CostLine {
            what: what.to_string(),
            cost,
        };
        let lines = vec![
            line(tr("Paste to buy"), paste),
            line(
                tr("Used up with each batch"),
                prices
                    .batch
                    .map(|each| each * f64::from(plan.batch_count())),
            ),
            line(tr("Shell"), prices.shell_kg.map(|each| each * shell)),
            line(tr("Work"), prices.hour.map(|each| each * hours)),
            line(tr("Everything else"), prices.other),
        ];
        // An empty sum of floating point is minus nothing.
        let mould = 0.0 + lines.iter().filter_map(|line| line.cost).sum::<f64>();
        Self {
            lines,
            hands_on,
            mould,
            copy: mould / f64::from(copies.max(1)),
            block_paste: block_paste(plan, packs),
        }
    }

    /// What has no price yet.
    pub fn missing(&self) -> impl Iterator<Item = &str> {
        let open = self.lines.iter().filter(|line| line.cost.is_none());
        open.map(|line| &*line.what)
    }
}

/// The paste of a poured block at the price of the sets; a price per gram is only known where sets
/// are bought.
pub fn block_paste(plan: &Plan, packs: Option<&PackChoice>) -> Option<f64> {
    let packs = packs.filter(|packs| !packs.buy.is_empty())?;
    Some(packs.cost? / packs.bought().0 * plan.block.value.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{PackSize, PlanInput, Relief, choose_packs, plan};
    use crate::quantity::{Estimate, Millimetres, SquareMillimetres};

    #[test]
    fn a_bill_adds_up_and_says_what_is_missing() {
        let plan = plan(&PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(6e4)),
            Estimate::exact(Millimetres(1000.0)),
            Relief::default(),
        ))
        .unwrap();
        let prices = Prices {
            hour: Some(30.0),
            batch: Some(2.0),
            other_hours: Some(1.5),
            ..Prices::default()
        };
        let packs = choose_packs(
            plan.bring,
            &[PackSize {
                name: "set".to_string(),
                size: Grams(900.0),
                price: Some(40.0),
            }],
            None,
        )
        .ok();
        let cost = Cost::of(&plan, packs.as_ref(), &prices, 4);
        let missing: Vec<_> = cost.missing().collect();
        assert_eq!(missing, ["Shell", "Everything else"]);
        let hours = plan.hands_on().0 / 60.0 + 1.5;
        let sets = (plan.bring.0 / 900.0).ceil();
        let wanted = sets * 40.0 + 2.0 * f64::from(plan.batch_count()) + 30.0 * hours;
        assert!((cost.mould - wanted).abs() < 1e-9, "{cost:?}");
        assert!((cost.copy - wanted / 4.0).abs() < 1e-9);
        let block = cost.block_paste.unwrap();
        assert!((block - 40.0 / 900.0 * plan.block.value.0).abs() < 1e-9);
    }
}
