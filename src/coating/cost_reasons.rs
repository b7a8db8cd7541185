//! Why the mould costs what it does.

use super::cost::{Cost, Prices, block_paste};
use super::explain::{Explanation, explain};
use super::packs::PackChoice;
use super::plan::Plan;
use super::source::Source;
use crate::quantity::{Amount, show};
use crate::words::tr;

/// What the paste of a poured block would cost at the price of the sets; `None` where that is not
/// known.
pub fn of_block(plan: &Plan, packs: &PackChoice) -> Option<Explanation> {
    let cost = block_paste(plan, Some(packs))?;
    let money = |cost: f64| Amount::Text(show::number(cost, 2));
    Some(explain(
        tr("The block’s paste would cost"),
        Amount::Text(show::number(cost, 0)),
        vec![
            (
                tr("The same as a poured block"),
                Amount::MassRange(plan.block),
            ),
            (tr("Bought, in whole sets"), Amount::Mass(packs.bought())),
            (tr("To pay for these"), money(packs.cost?)),
        ],
        tr("The block’s paste, times what is paid for the skin’s sets over their mass."),
        Source::YourChoice,
    ))
}

/// Why each line of a bill is what it is, in the order of its lines; then the whole, and a copy's
/// share.
pub fn of_cost(
    cost: &Cost,
    plan: &Plan,
    packs: Option<&PackChoice>,
    prices: &Prices,
    copies: u32,
) -> Vec<Explanation> {
    let money = |cost: Option<f64>| match cost {
        Some(cost) => Amount::Text(show::number(cost, 2)),
        None => Amount::Text(tr("no price yet").to_string()),
    };
    let bought = packs.map_or(Amount::Mass(plan.bring), |packs| {
        Amount::Mass(packs.bought())
    });
    let lines: [(Vec<(&str, Amount)>, &str); 5] = [
        (
            vec![
                (tr("Brought"), Amount::Mass(plan.bring)),
                (tr("Bought, in whole sets"), bought),
            ],
            tr("The sets to buy, times the price that you typed to each on the paste's card."),
        ),
        (
            vec![
                (tr("Batches"), Amount::Count(plan.batch_count())),
                (tr("One batch uses up"), money(prices.batch)),
            ],
            tr("Batches times what one uses up."),
        ),
        (
            vec![
                (
                    tr("Carried for the shell"),
                    Amount::Mass(plan.shell.carried()),
                ),
                (tr("A kilogram"), money(prices.shell_kg)),
            ],
            tr("What the shell is built of, without its water, times the price of a kilogram."),
        ),
        (
            vec![
                (
                    tr("Mixing, standing, brushing"),
                    Amount::Duration(cost.hands_on),
                ),
                (
                    tr("Other hours"),
                    Amount::Number(prices.other_hours.unwrap_or(0.0)),
                ),
                (tr("An hour"), money(prices.hour)),
            ],
            tr(
                "The hands-on time of all batches and the other hours, times the price of an hour. Waiting between coats is not counted.",
            ),
        ),
        (
            vec![(tr("Everything else"), money(prices.other))],
            tr("As you typed it."),
        ),
    ];
    let mut all: Vec<Explanation> = cost
        .lines
        .iter()
        .zip(lines)
        .map(|(line, (inputs, formula))| {
            explain(
                &line.what,
                money(line.cost),
                inputs,
                formula,
                Source::YourChoice,
            )
        })
        .collect();
    let mould = money(Some(cost.mould));
    all.push(explain(
        tr("The mould"),
        mould.clone(),
        cost.lines
            .iter()
            .map(|line| (&*line.what, money(line.cost)))
            .collect(),
        tr("All lines that have a price."),
        Source::YourChoice,
    ));
    all.push(explain(
        tr("In each copy"),
        money(Some(cost.copy)),
        vec![
            (tr("The mould"), mould),
            (tr("Copies"), Amount::Count(copies.max(1))),
        ],
        tr("The mould's price shared among the copies; what is cast comes on top."),
        Source::YourChoice,
    ));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{PlanInput, Relief, ShellKind, plan};
    use crate::quantity::{Estimate, Millimetres, SquareMillimetres};

    #[test]
    fn each_line_of_the_bill_has_its_reason_in_its_place() {
        let mut input = PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(6e4)),
            Estimate::exact(Millimetres(1000.0)),
            Relief::default(),
        );
        for kind in ShellKind::ALL {
            input.shell = kind;
            let plan = plan(&input).unwrap();
            let named = |name| plan.why.iter().find(|why| why.what == name).unwrap();
            let carried = named("Shell to carry");
            assert_eq!(carried.result, Amount::Mass(plan.shell.carried()));
            assert_eq!(
                named("Finished shell").result,
                Amount::Mass(plan.shell.mass)
            );
            let prices = Prices {
                hour: Some(30.0),
                ..Prices::default()
            };
            let cost = Cost::of(&plan, None, &prices, 4);
            let why = of_cost(&cost, &plan, None, &prices, 4);
            assert_eq!(why.len(), cost.lines.len() + 2);
            for (why, line) in why.iter().zip(&cost.lines) {
                assert_eq!(why.what, line.what);
            }
            assert_eq!(why[0].result, Amount::Text("no price yet".to_string()));
            let each = show::number(cost.mould / 4.0, 2);
            assert_eq!(why[6].result, Amount::Text(each));
        }
    }
}
