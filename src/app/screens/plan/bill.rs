//! What the mould costs, from the user's own prices; none is invented, and no currency.

use super::Planned;
use crate::app::parts::bench::Bench;
use crate::app::parts::explain::{explain, explain_as};
use crate::app::parts::form;
use crate::app::parts::shown::Shown;
use crate::coating::{
    CoatingError, Cost, PackChoice, Plan, Prices, check_hours, check_price, of_cost,
};
use crate::say;
use crate::words::{mark, tr};
use leptos::prelude::*;

/// One price: which it is, how it is checked.
#[derive(Clone, Copy)]
struct Asked {
    id: &'static str,
    label: &'static str,
    hint: &'static str,
    place: fn(&mut Prices) -> &mut Option<f64>,
    check: fn(f64) -> Result<(), CoatingError>,
}

const ASKED: [Asked; 5] = [
    Asked {
        id: "price-hour",
        label: mark("An hour of work"),
        hint: "",
        place: |prices| &mut prices.hour,
        check: check_price,
    },
    Asked {
        id: "other-hours",
        label: mark("Other hours"),
        hint: mark("On the way, for the shell, for peeling."),
        place: |prices| &mut prices.other_hours,
        check: check_hours,
    },
    Asked {
        id: "price-batch",
        label: mark("Each batch"),
        hint: mark("Cups, stirrers, brush and gloves it uses up."),
        place: |prices| &mut prices.batch,
        check: check_price,
    },
    Asked {
        id: "price-shell",
        label: mark("Shell, a kilogram"),
        hint: mark("Of what you carry for it."),
        place: |prices| &mut prices.shell_kg,
        check: check_price,
    },
    Asked {
        id: "price-other",
        label: mark("Everything else"),
        hint: mark("Travel, hire, release agent."),
        place: |prices| &mut prices.other,
        check: check_price,
    },
];

/// The prices to type, folded, and the bill that follows.
#[component]
pub fn Bill(bench: Bench, plan: Planned, packs: Memo<Option<PackChoice>>) -> impl IntoView {
    let field = |asked: Asked| {
        let Asked {
            id,
            label,
            hint,
            place,
            check,
        } = asked;
        let value = move || {
            bench.read(|piece| {
                let mut prices = piece.prices;
                *place(&mut prices)
            })
        };
        let store = move |price: Option<f64>| {
            check(price.unwrap_or_default()).map_err(|why| why.to_string())?;
            bench.change(tr("Price changed"), move |piece| {
                *place(&mut piece.prices) = price;
            });
            Ok(())
        };
        form::price(id, tr(label), tr(hint), value, store)
    };
    let bill = move || {
        let plan = plan.get()?.ok()?;
        packs.with(|packs| bill(bench, &plan, packs.as_ref()))
    };
    view! {
        <h2>{tr("Cost")}</h2>
        <details id="prices" class="explain">
            <summary>
                <span class="what">{tr("Your prices")}</span>
                <span class="number">{tr("in your currency")}</span>
            </summary>
            <p class="soft">{tr("Plain numbers, all in one currency. What you leave empty is left out.")}</p>
            <div class="pair">{ASKED.into_iter().map(field).shown()}</div>
        </details>
        {bill}
    }
}

/// The bill; nothing while no price is known.
fn bill(bench: Bench, plan: &Plan, packs: Option<&PackChoice>) -> Option<AnyView> {
    let system = bench.system();
    let (prices, copies) = bench.read(|piece| (piece.prices, piece.copies));
    let cost = Cost::of(plan, packs, &prices, copies);
    if cost.lines.iter().all(|line| line.cost.is_none()) {
        return None;
    }
    let why = of_cost(&cost, plan, packs, &prices, copies);
    let (lines, totals) = why.split_at(cost.lines.len());
    let lines = cost.lines.iter().zip(lines);
    let lines = lines.filter(|(line, _)| line.cost.is_some());
    let lines = lines.map(|(_, why)| explain(why, system));
    let missing: Vec<&str> = cost.missing().collect();
    let missing = (!missing.is_empty()).then(|| {
        let sets = match missing.contains(&tr("Paste to buy")) {
            true => tr(" The paste's prices stand with its sets: type in your own paste."),
            false => "",
        };
        view! {
            <p id="no-price" class="soft">
                {say!("No price yet: {missing}.{sets}", missing = missing.join(", "), sets)}
            </p>
        }
    });
    let names = [
        ("cost-mould", tr("The mould").to_owned()),
        (
            "cost-copy",
            match copies {
                1 => tr("In the one copy").to_owned(),
                copies => say!("In each of {copies} copies", copies),
            },
        ),
    ];
    let totals = totals.iter().zip(names).map(|(why, (id, name))| {
        let number = view! { <b id=id>{why.result.show(system)}</b> };
        explain_as(why, &name, number.into_any(), system)
    });
    Some(
        view! {
            <div id="bill">
                {lines.shown()} <div class="sum">{totals.shown()}</div> {missing}
            </div>
        }
        .into_any(),
    )
}
