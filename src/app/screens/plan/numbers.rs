//! The numbers of the plan: what to bring, each coat, and the rest; each opens.

use crate::app::parts::bench::Bench;
use crate::app::parts::explain::explain;
use crate::app::parts::portion::{part_letter, portion};
use crate::app::parts::range::range_mark;
use crate::coating::{CoatPlan, Explanation, Plan};
use crate::quantity::show;
use leptos::prelude::*;

/// The explanation of that name, as the plan calls it.
fn reason<'a>(plan: &'a Plan, what: &str) -> Option<&'a Explanation> {
    plan.why.iter().find(|reason| reason.what == what)
}

/// What the plan calls a coat's mass.
fn mass_name(coat: &CoatPlan) -> String {
    format!("Coat {}, {}", coat.number, coat.role.name())
}

/// What the plan calls a coat's batches.
fn batches_name(coat: &CoatPlan) -> String {
    format!("Batches of coat {}", coat.number)
}

/// Total to bring, A and B, the expected need with its range, and what would narrow it.
pub fn numbers(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let narrow = plan.uncertainties.first().map(|worst| {
        view! {
            <p id="narrow" class="soft">
                "Most of this range comes from: "
                {worst.what.to_lowercase()}
                ". "
                {worst.advice.clone()}
            </p>
        }
    });
    let opened =
        ["Bring", "Expected need"].map(|what| reason(plan, what).map(|r| explain(r, system)));
    view! {
        <section class="total">
            <p class="label">"Bring"</p>
            <p id="total-to-bring" class="figure">
                {show::mass(plan.bring, system)}
            </p>
            <p class="row">
                <span class="portion">
                    {part_letter('A')} " " {show::mass(plan.bring_a, system)}
                </span>
                <span class="portion">
                    {part_letter('B')} " " {show::mass(plan.bring_b, system)}
                </span>
            </p>
            <p id="expected-need">
                "You will likely use "
                {show::mass_range(&plan.total, system)}
                " "
                {range_mark(&plan.total)}
                ". The spare is "
                {show::mass(plan.spare, system)}
                "."
            </p>
            {narrow}
            {opened.into_iter().collect_view()}
        </section>
    }
    .into_any()
}

/// Mass and batches of one coat.
pub fn coat(bench: Bench, plan: &Plan, index: usize) -> Option<AnyView> {
    let system = bench.system();
    let coat = plan.coats.get(index)?;
    let first = coat.batches.first()?;
    let step = bench.read(|piece| Some(piece.scale_step))?;
    let count = coat.batches.len();
    let each = if count == 1 {
        "One batch:".to_owned()
    } else {
        format!("{count} batches, each:")
    };
    let spots = (coat.high_spots.0 > 0.0).then(|| {
        format!(
            "With {} for the high spots.",
            show::mass(coat.high_spots, system)
        )
    });
    Some(
        view! {
            <div id=format!("coat-{}-mass", coat.number)>
                {reason(plan, &mass_name(coat)).map(|r| explain(r, system))}
            </div>
            <p>{each} " " {portion(first, step, system)}</p>
            <p class="soft">
                "Mix "
                {show::duration(coat.mix)}
                ", then brush "
                {show::duration(coat.brush)}
                ". The paste sets "
                {show::duration_range(&plan.working)}
                " after you start to mix. "
                {spots}
            </p>
            {reason(plan, &batches_name(coat)).map(|r| explain(r, system))}
        }
        .into_any(),
    )
}

/// All other numbers of the plan.
pub fn rest(bench: Bench, plan: &Plan) -> AnyView {
    let system = bench.system();
    let shown: Vec<String> = ["Bring".to_owned(), "Expected need".to_owned()]
        .into_iter()
        .chain(plan.coats.iter().map(mass_name))
        .chain(plan.coats.iter().map(batches_name))
        .collect();
    let others = plan
        .why
        .iter()
        .filter(|reason| !shown.contains(&reason.what))
        .map(|reason| explain(reason, system))
        .collect_view();
    view! {
        <h2>"What it rests on"</h2>
        {others}
    }
    .into_any()
}
