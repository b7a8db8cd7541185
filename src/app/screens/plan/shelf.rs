//! The shelf: packs that the user has already. It belongs to the phone, not to a piece.
//!
//! Ids: `shelf`, `shelf-empty`, `shelf-first`, `shelf-remove-1` ..., `shelf-size`, `shelf-count`, `shelf-price`,
//! `shelf-lot`, `shelf-opened`, `shelf-expires`, `shelf-add`.

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::form::{Day, Tick};
use crate::app::parts::shown::Shown;
use crate::app::state::Desk;
use crate::coating::{OnShelf, ShelfField, Stock};
use crate::phone::local;
use crate::quantity::parse;
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use chrono::NaiveDate;
use leptos::prelude::*;

/// The shelf as it was kept on this phone.
pub fn kept() -> Stock {
    local::shelf().unwrap_or_default()
}

/// Changes the shelf and keeps it; shown only once it is kept.
fn change(desk: Desk, stock: RwSignal<Stock>, change: impl FnOnce(&mut Stock)) -> bool {
    // Another tab may have changed it.
    let mut changed = kept();
    change(&mut changed);
    let kept = local::keep_shelf(&changed);
    if kept {
        // The page may be gone when a change is taken back.
        stock.try_set(changed);
    } else {
        desk.warn(tr("This phone has no room to keep the shelf: nothing was changed. Export your jobs, then free some room."));
    }
    kept
}

/// What stands on the shelf of the paste in use, with a form to add to it.
#[component]
pub fn Shelf(bench: Bench, stock: RwSignal<Stock>, today: Memo<NaiveDate>) -> impl IntoView {
    let of_paste = move || bench.read(|piece| stock.with(|stock| stock.of(&piece.card)));
    let line = move |(i, item): (usize, OnShelf)| {
        let system = bench.system();
        let words = item.in_words(item.count, system);
        let price = item
            .price
            .map(|price| say!(", {price} each", price = show::number(price, 2)));
        let expired = item
            .has_expired(today.get())
            .then_some(tr(" Expired: not used."));
        let remove = move |_| {
            let mut place = None;
            let kept = change(bench.desk, stock, |stock| {
                place = stock.items.iter().position(|other| *other == item);
                place.map(|at| stock.items.remove(at));
            });
            let (Some(at), true) = (place, kept) else {
                return;
            };
            let (desk, item) = (bench.desk, item.clone());
            desk.tell_with_way_back(tr("Taken off the shelf"), move || {
                change(desk, stock, |stock| {
                    stock.items.insert(at.min(stock.items.len()), item);
                });
            });
        };
        view! {
            <li class="row wrap">
                <span class="grow">{words} {price} <strong>{expired}</strong></span>
                <button id=format!("shelf-remove-{}", i + 1) class="remove" on:click=remove>
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    let list = move || of_paste().into_iter().enumerate().map(line).shown();
    let count = move || match of_paste().iter().map(|item| item.count).sum::<u32>() {
        0 => tr("nothing").to_owned(),
        1 => tr("1 pack").to_owned(),
        count => say!("{count} packs", count),
    };
    let first = Signal::derive(move || stock.with(|stock| !stock.left_alone));
    let switch = move |on: bool| {
        change(bench.desk, stock, |stock| stock.left_alone = !on);
    };
    view! {
        <details id="shelf" class="explain">
            <summary>
                <span class="what">{tr("On your shelf of this paste")}</span>
                <span class="number">{count}</span>
            </summary>
            <Tick
                id="shelf-first"
                label=tr("Use what is on the shelf first")
                value=first
                store=switch
            />
            <p id="shelf-empty" class="soft" hidden=move || !of_paste().is_empty()>
                {tr("Nothing of this paste is here. Packs that you put on the shelf stand here, and the plan uses them before it has you buy.")}
            </p>
            <ul class="list">{list}</ul>
            <NewPack bench stock />
        </details>
    }
}

/// The form that puts packs on the shelf.
#[component]
fn NewPack(bench: Bench, stock: RwSignal<Stock>) -> impl IntoView {
    let empty = || Blank::new(String::new());
    let (size, price, lot) = (empty(), empty(), empty());
    let count = Blank::new("1".to_owned());
    let (opened, expires) = (RwSignal::new(None), RwSignal::new(None));
    let wrong_day = RwSignal::new(None::<String>);
    let typed = move || {
        wrong_day.set(None);
        let system = bench.desk.settings.get_untracked().system;
        let mass = size.read(|text| parse::mass(text, system));
        if mass.is_none() && !size.wrong() {
            let text = tr("Say what is in one pack, A and B together.");
            size.error.set(Some(text.to_owned()));
        }
        let number = count.read(parse::number);
        let whole = number.filter(|n| n.fract() == 0.0 && (1.0..=1e5).contains(n));
        if whole.is_none() && !count.wrong() {
            let text = tr("Say how many packs there are, as a whole number of 1 or more.");
            count.error.set(Some(text.to_owned()));
        }
        let paid = price.read(parse::number);
        let card = bench.piece.get_untracked()?.card;
        let item = OnShelf {
            name: card.name,
            card: card.id,
            size: mass?,
            count: whole? as u32,
            price: paid,
            lot: lot.text.get_untracked().trim().to_owned(),
            opened: opened.get_untracked(),
            expires: expires.get_untracked(),
        };
        for problem in item.problems() {
            let beside = match problem.field {
                ShelfField::Name | ShelfField::Size => size.error,
                ShelfField::Count => count.error,
                ShelfField::Price => price.error,
                ShelfField::Opened | ShelfField::Expires => wrong_day,
            };
            beside.set(Some(problem.text));
        }
        let good = [size, count, price].iter().all(|blank| !blank.wrong());
        (good && wrong_day.with_untracked(Option::is_none)).then_some(item)
    };
    let add = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let Some(item) = typed() else { return };
        if change(bench.desk, stock, |stock| stock.items.push(item)) {
            for blank in [size, price, lot] {
                blank.text.set(String::new());
            }
            count.text.set("1".to_owned());
            opened.set(None);
            expires.set(None);
        }
    };
    view! {
        <form class="card" novalidate on:submit=add>
            <h3>{tr("Put packs on the shelf")}</h3>
            <div class="pair">
                {blank("shelf-size", tr("In one pack now, A and B together"), "", "text", size)}
                {blank("shelf-count", tr("How many"), "", "numeric", count)}
            </div>
            <div class="pair">
                {blank("shelf-lot", tr("Lot number"), tr("May stay empty."), "text", lot)}
                {blank("shelf-price", tr("Price of one"), tr("May stay empty."), "decimal", price)}
            </div>
            <div class="pair">
                <Day
                    id="shelf-opened"
                    label=tr("Opened")
                    value=opened
                    store=move |day| opened.set(day)
                />
                <Day
                    id="shelf-expires"
                    label=tr("Use by")
                    value=expires
                    store=move |day| expires.set(day)
                />
            </div>
            <p class="error" role="alert" hidden=move || wrong_day.with(Option::is_none)>
                {wrong_day}
            </p>
            <button id="shelf-add" type="submit">
                {tr("Put on the shelf")}
            </button>
        </form>
    }
}
