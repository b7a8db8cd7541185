//! Which sets to buy for what has to be brought, and what to take from the shelf.

use super::shelf::Shelf;
use crate::app::parts::bench::Bench;
use crate::app::parts::explain::explain;
use crate::app::parts::shown::Shown;
use crate::coating::{Explanation, OnShelf, PackChoice, PackError, Paste, Stock};
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use chrono::NaiveDate;
use leptos::prelude::*;

/// What to buy of one paste and what to take of its packs on the shelf, or why neither is known.
#[derive(Clone, PartialEq)]
pub struct Sets {
    /// The paste's name.
    pub paste: String,
    /// Its packs on the shelf.
    items: Vec<OnShelf>,
    /// Those that have expired.
    expired: Vec<OnShelf>,
    /// The packs that were chosen.
    pub choice: Result<PackChoice, PackError>,
    /// Why they were.
    why: Option<Explanation>,
}

impl Sets {
    /// The sets for so much of a paste; nothing where there is neither a set nor a pack.
    pub fn of(paste: &Paste<'_>, stock: &Stock, today: NaiveDate) -> Option<Self> {
        let items = stock.of(paste.card);
        let expired = items.iter().filter(|item| item.has_expired(today));
        let choice = stock.choose(paste, today)?;
        Some(Self {
            why: choice.as_ref().ok().map(|choice| paste.why(choice)),
            choice,
            paste: paste.card.name.clone(),
            expired: expired.cloned().collect(),
            items,
        })
    }

    /// The same to read. Ids end in a number from the second on.
    pub fn view(&self, before: usize, system: System) -> AnyView {
        let expired = self.expired.iter();
        let expired: Vec<_> = expired
            .map(|item| item.in_words(item.count, system))
            .collect();
        let expired = (!expired.is_empty()).then(|| {
            let text = say!(
                "Expired, so not used: {expired}.",
                expired = expired.join("; ")
            );
            view! { <p id=numbered("shelf-expired", before)>{text}</p> }
        });
        let chosen = match &self.choice {
            Ok(choice) => bought(choice, &self.items, before, system),
            Err(why) => view! { <p>{why.to_string()}</p> }.into_any(),
        };
        let why = self.why.as_ref().map(|why| explain(why, system));
        view! { {chosen} {why} {expired} }.into_any()
    }
}

/// An id that may be needed once more: "name", then "name-2" and so on.
pub fn numbered(id: &str, before: usize) -> String {
    match before {
        0 => id.to_owned(),
        some => format!("{id}-{}", some + 1),
    }
}

/// The sets to buy and the shelf; without sets on the card and packs on the shelf only the latter.
#[component]
pub fn Packs(
    bench: Bench,
    sets: Memo<Option<Sets>>,
    stock: RwSignal<Stock>,
    today: Memo<NaiveDate>,
) -> impl IntoView {
    let buy = move || {
        sets.get().map(|sets| {
            view! {
                <div id="buy">
                    <h3>{tr("Sets to buy")}</h3>
                    {sets.view(0, bench.system())}
                </div>
            }
        })
    };
    view! {
        {buy}
        <Shelf bench stock today />
    }
}

fn bought(choice: &PackChoice, items: &[OnShelf], before: usize, system: System) -> AnyView {
    let sets = choice
        .buy
        .iter()
        .map(|line| {
            let price = line
                .pack
                .price
                .map(|price| say!(", {price} each", price = show::number(price, 2)));
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
        .then(|| view! { <p>{tr("None: the shelf holds enough.")}</p> });
    let taken = choice
        .from_shelf
        .iter()
        .map(|line| items[line.item].in_words(line.count, system))
        .map(|words| view! { <li>{words}</li> })
        .shown();
    let from_shelf = (!choice.from_shelf.is_empty()).then(|| {
        view! {
            <h3>{tr("From your shelf")}</h3>
            <ul id=numbered("from-shelf", before) class="list plain">{taken}</ul>
        }
    });
    let cost = choice
        .cost
        .filter(|_| !choice.buy.is_empty())
        .map(|cost| say!("To pay: {cost}. ", cost = show::number(cost, 2)));
    let unproven = (!choice.proven).then_some(tr(" A slightly cheaper choice may exist."));
    view! {
        {none}
        <ul class="list plain">{sets}</ul>
        {from_shelf}
        <p class="soft">{cost} {show::mass(choice.left_over, system)} {tr(" of it stay over.")} {unproven}</p>
    }
    .into_any()
}
