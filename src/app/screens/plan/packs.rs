//! Which sets to buy for what has to be brought, and what to take from the shelf.

use super::shelf::{Chosen, Shelf, Stock, in_words};
use crate::app::parts::bench::Bench;
use crate::app::parts::shown::Shown;
use crate::coating::{OnShelf, PackChoice};
use crate::quantity::show::{self, System};
use chrono::NaiveDate;
use leptos::prelude::*;

/// The sets to buy and the shelf; without sets on the card and packs on the shelf only the latter.
#[component]
pub fn Packs(
    bench: Bench,
    choice: Memo<Option<Chosen>>,
    stock: RwSignal<Stock>,
    today: Memo<NaiveDate>,
) -> impl IntoView {
    let buy = move || {
        let choice = choice.get()?;
        let items = bench.read(|piece| stock.with(|stock| stock.of(&piece.card)));
        let expired: Vec<_> = items
            .iter()
            .filter(|item| item.has_expired(today.get()))
            .map(|item| in_words(item, item.count, bench.system()))
            .collect();
        let expired = (!expired.is_empty()).then(|| {
            let text = format!("Expired, so not used: {}.", expired.join("; "));
            view! { <p id="shelf-expired">{text}</p> }
        });
        let chosen = match choice {
            Ok(choice) => bought(&choice, &items, bench.system()),
            Err(why) => view! { <p>{why.to_string()}</p> }.into_any(),
        };
        Some(view! {
            <div id="buy">
                <h3>"Sets to buy"</h3>
                {chosen}
                {expired}
            </div>
        })
    };
    view! {
        {buy}
        <Shelf bench stock today />
    }
}

fn bought(choice: &PackChoice, items: &[OnShelf], system: System) -> AnyView {
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
    let none = choice
        .buy
        .is_empty()
        .then(|| view! { <p>"None: the shelf holds enough."</p> });
    let taken = choice
        .from_shelf
        .iter()
        .map(|line| in_words(&items[line.item], line.count, system))
        .map(|words| view! { <li>{words}</li> })
        .shown();
    let from_shelf = (!choice.from_shelf.is_empty()).then(|| {
        view! {
            <h3>"From your shelf"</h3>
            <ul id="from-shelf" class="list plain">{taken}</ul>
        }
    });
    let cost = choice
        .cost
        .filter(|_| !choice.buy.is_empty())
        .map(|cost| format!("To pay: {}. ", show::number(cost, 2)));
    view! {
        {none}
        <ul class="list plain">{sets}</ul>
        {from_shelf}
        <p class="soft">{cost} {show::mass(choice.left_over, system)} " of it stay over."</p>
    }
    .into_any()
}
