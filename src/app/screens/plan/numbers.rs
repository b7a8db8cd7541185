//! The numbers of the plan: what to bring, each coat, and the rest; each opens.

use crate::app::parts::bench::Bench;
use crate::app::parts::explain::{amount_mark, explain, explain_as};
use crate::app::parts::masses::{masses, sign};
use crate::app::parts::portion::{by_volume, part_letter, portion};
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::coating::{CoatPlan, Explanation, Goes, MassShare, PackChoice, Plan, of_block};
use crate::quantity::show;
use crate::say;
use crate::words::{lower, mark, tr};
use leptos::prelude::*;

/// The explanation of that name, as the plan calls it.
pub fn reason<'a>(plan: &'a Plan, what: &str) -> Option<&'a Explanation> {
    plan.why.iter().find(|reason| reason.what == what)
}

/// What the plan calls a coat's batches.
pub fn batches_name(coat: &CoatPlan) -> String {
    say!("Batches of coat {number}", number = coat.number)
}

/// Total to bring, and A and B of it.
pub fn total(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let bring = reason(plan, tr("Bring")).map(|reason| {
        let total =
            view! { <b id="total-to-bring" class="figure">{show::mass(plan.bring, system)}</b> };
        explain_as(reason, tr("Bring"), total.into_any(), system)
    });
    view! {
        {bring}
        <p class="row">
            <span class="portion">{part_letter('A')} " " {show::mass(plan.bring_a, system)}</span>
            <span class="portion">{part_letter('B')} " " {show::mass(plan.bring_b, system)}</span>
            <span class="soft">{tr("spare: ")} {show::mass(plan.spare, system)}</span>
        </p>
    }
    .into_any()
}

/// The expected need with its range, and what would narrow it.
pub fn expected(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let narrow = plan.uncertainties.first().map(|worst| {
        view! {
            <p id="narrow" class="soft">
                {tr("Most of this range comes from the ")}
                {lower(&worst.what)}
                ". "
                {worst.advice.clone()}
            </p>
        }
    });
    view! {
        <div id="expected-need">
            {reason(plan, tr("Expected need")).map(|reason| explain(reason, system))}
        </div>
        {narrow}
    }
    .into_any()
}

/// Mass and batches of a coat that was wanted, counted from 1: of each of its passes, if the wall
/// would not hold it at once.
pub fn coat(bench: Bench, plan: &Plan, wanted: u32) -> AnyView {
    let passes: Vec<_> = plan.coats.iter().filter(|c| c.wanted == wanted).collect();
    let split = passes.len() > 1;
    let heading = |coat: &CoatPlan| {
        let text = say!(
            "Coat {number}: {bench}",
            number = coat.number,
            bench = show::length(coat.thickness, bench.system())
        );
        split.then(|| view! { <h3>{text}</h3> })
    };
    passes
        .into_iter()
        .map(|coat| view! { {heading(coat)} {pass(bench, plan, coat)} })
        .shown()
        .into_any()
}

fn pass(bench: Bench, plan: &Plan, coat: &CoatPlan) -> Option<AnyView> {
    let system = bench.system();
    let first = coat.batches.first()?;
    let step = bench.piece.with(|p| p.as_ref().map(|p| p.scale_step))?;
    let mass = reason(plan, &coat.name()).map(|reason| {
        let number = view! { {reason.result.show(system)} " " {amount_mark(&reason.result)} };
        explain_as(reason, tr("Mass"), number.into_any(), system)
    });
    let batches = reason(plan, &batches_name(coat)).map(|reason| {
        let what = match coat.batches.len() {
            1 => tr("One batch").to_owned(),
            count => say!("{count} batches, each", count),
        };
        explain_as(reason, &what, portion(first, step, system), system)
    });
    let cups = bench
        .read(|piece| by_volume(&piece.card, first, system))
        .map(|text| view! { <p id=format!("coat-{}-cups", coat.number) class="soft">{text}</p> });
    let stand = (coat.stand.0 > 0.0)
        .then(|| say!(" let it stand {stand},", stand = show::duration(coat.stand)));
    let spots = (coat.high_spots.0 > 0.0).then(|| {
        say!(
            " That holds {high_spots} more for the high spots.",
            high_spots = show::mass(coat.high_spots, system)
        )
    });
    Some(
        view! {
            <div id=format!("coat-{}-mass", coat.number)>{mass}</div>
            <div id=format!("coat-{}-batches", coat.number)>{batches}</div>
            {cups}
            <p class="soft">
                {say!("Each: mix {mix},{stand_first} brush {brush}. It sets in {working}.", mix = show::duration(coat.mix), stand_first = stand.unwrap_or_default(), brush = show::duration(coat.brush), working = show::duration_range(&plan.working))} {spots}
            </p>
        }
        .into_any(),
    )
}

/// Where the paste to bring goes: the bar, and each of its parts, to be opened.
pub fn shares(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let lines = plan
        .mass_shares()
        .into_iter()
        .map(|MassShare { goes, mass }| {
            let name = plan.share_name(goes);
            // What is spare follows from what is brought.
            let why = match goes {
                Goes::Spare => tr("Bring"),
                _ => &*name,
            };
            let number = view! { <span>{show::mass(mass, system)}</span> };
            let opens =
                reason(plan, why).map(|why| explain_as(why, &name, number.into_any(), system));
            view! { <li class="row signed">{sign(goes)} {opens}</li> }
        });
    view! {
        <figure id="masses" class="picture">
            {masses(plan, system)}
            <ul class="list">{lines.shown()}</ul>
        </figure>
    }
    .into_any()
}

/// What the same piece would take as a poured block, to compare.
pub fn block(bench: Bench, plan: &Plan, packs: Option<&PackChoice>) -> AnyView {
    let system = bench.system();
    let times = show::number(plan.block.value / plan.total.value, 1);
    let number = view! {
        {show::mass_range(&plan.block, system)}
        " "
        {range_mark(&plan.block)}
        {say!(" {times} times the skin", times)}
    };
    let why = reason(plan, tr(BLOCK));
    let row =
        why.map(|why| explain_as(why, tr("The other way: a block"), number.into_any(), system));
    let prices = packs.and_then(|packs| of_block(plan, packs));
    let prices = prices.map(|why| explain(&why, system));
    view! { <div id="block">{row} {prices}</div> }.into_any()
}

/// What the plan calls the poured block.
const BLOCK: &str = mark("The same as a poured block");

/// All other numbers of the plan.
pub fn rest(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let elsewhere = [
        tr("Bring"),
        tr("Expected need"),
        tr(BLOCK),
        tr("Shell to carry"),
        tr("Finished shell"),
    ];
    let shown: Vec<String> = elsewhere
        .into_iter()
        .map(str::to_owned)
        .chain(
            plan.mass_shares()
                .iter()
                .map(|share| plan.share_name(share.goes)),
        )
        .chain(plan.coats.iter().map(batches_name))
        .collect();
    let others = plan
        .why
        .iter()
        .filter(|reason| !shown.contains(&reason.what))
        .map(|reason| explain(reason, system))
        .shown();
    view! {
        <h2>{tr("What it rests on")}</h2>
        {others}
    }
    .into_any()
}
