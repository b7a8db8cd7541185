//! Which sets to buy for what has to be brought.

use crate::app::parts::bench::Bench;
use crate::app::parts::shown::Shown;
use crate::coating::PackChoice;
use crate::quantity::show::{self, System};
use leptos::prelude::*;

/// The sets to buy; nothing where the card names none.
#[component]
pub fn Packs(bench: Bench, packs: Memo<Option<PackChoice>>) -> impl IntoView {
    move || packs.with(|packs| Some(shopping(packs.as_ref()?, bench.system())))
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
