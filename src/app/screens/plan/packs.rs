//! Which sets to buy for what has to be brought.

use super::Planned;
use crate::app::parts::bench::Bench;
use crate::app::parts::shown::Shown;
use crate::coating::{PackChoice, packs_for};
use crate::quantity::show::{self, System};
use leptos::prelude::*;

/// The sets to buy; nothing where the card names none.
#[component]
pub fn Packs(bench: Bench, plan: Planned) -> impl IntoView {
    move || {
        let plan = plan.get().and_then(Result::ok)?;
        let choice = bench.read(|piece| packs_for(&plan, &piece.card))?;
        Some(shopping(&choice, bench.system()))
    }
}

fn shopping(choice: &PackChoice, system: System) -> AnyView {
    let sets = choice
        .buy
        .iter()
        .map(|line| {
            let price = line
                .pack
                .price
                .map(|price| format!(", {} each", show::number(price, 2)));
            view! {
                <li>
                    <strong>{format!("{} × ", line.count)}</strong>
                    {line.pack.name.clone()}
                    " ("
                    {show::mass(line.pack.size, system)}
                    {price}
                    ")"
                </li>
            }
        })
        .shown();
    let cost = choice
        .cost
        .map(|cost| format!("All together {}. ", show::number(cost, 2)));
    view! {
        <div id="buy">
            <h3>"Sets to buy"</h3>
            <ul class="list plain">{sets}</ul>
            <p class="soft">
                {cost} {show::mass(choice.left_over, system)} " of it stay over."
            </p>
        </div>
    }
    .into_any()
}
