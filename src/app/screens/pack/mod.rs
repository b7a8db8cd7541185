//! The Pack page: what goes into the bag, to tick with a gloved finger.
//!
//! Ids: `weight`, `packed`, `kit`, `kit-KEY` (the tick box of each item; own ones too),
//! `own-item`, `add-own-item`, `again-1` ... (what stood on other lists), `remove-KEY`,
//! `untick-all`, `no-kit`, `to-coat`, or `to-measure` and `to-plan` while there is no list. Before
//! the list `fitness` with `check-KEY` (one each), `fine-checks` and `to-details`; in it the patch
//! test: `patch`, `patch-place`, `patch-sealed`, `start-patch`, `patch-countdown`, `patch-until`,
//! `patch-alarm`, `patch-cured`, `patch-sticky`, `patch-stained`, `patch-back`, `patch-said`,
//! `patch-again`.

mod fitness;
mod patch;

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::drawings::{self, Drawing, Drawn};
use crate::app::parts::form::ticked;
use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::route::Page;
use crate::coating::{self, KitGroup, KitItem, weight_to_carry};
use crate::job::{JobId, OwnItem, PieceId};
use crate::phone;
use crate::quantity::{Amount, show};
use leptos::prelude::*;

/// The longest note that fits a line of the list.
const LONGEST_ITEM: usize = 80;

/// The Pack page of a piece.
#[component]
pub fn Pack(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    let (input, plan) = bench.planned();
    let kit = Memo::new(move |_| {
        plan.with(|plan| match plan.as_ref()? {
            Ok(plan) => {
                input.with(|input| Some(Ok(coating::kit(plan, input.as_ref()?.as_ref().ok()?))))
            }
            Err(why) => Some(Err(why.clone())),
        })
    });
    let items = move || kit.get().and_then(Result::ok).unwrap_or_default();
    let progress = move || {
        let items = items();
        let (done, all) = bench.read(|piece| {
            let own = piece.own_items.iter().map(|item| &item.key);
            let keys: Vec<_> = items.iter().map(|item| &item.key).chain(own).collect();
            let done = keys.iter().filter(|key| piece.ticked.contains(key)).count();
            (done, keys.len())
        });
        format!("{done} of {all} packed")
    };
    let head = move || match kit.get() {
        Some(Ok(items)) => view! {
            <section class="total">
                <p class="label">"Weight to carry"</p>
                <p id="weight" class="figure">
                    {show::mass(weight_to_carry(&items), bench.system())}
                </p>
                <p id="packed" role="status">
                    {progress}
                </p>
            </section>
        }
        .into_any(),
        Some(Err(why)) => missing("no-kit", "No list yet.", why, None),
        None => ().into_any(),
    };
    // Rebuilt when the list changes, not when something is ticked: the finger stays where it is.
    let groups = move || {
        let items = items();
        let groups = items.chunk_by(|one, next| one.group == next.group);
        groups.map(|group| group_of(bench, group)).shown()
    };
    // Without a list there is nothing to coat with: the next step is what the list still lacks.
    let next = move || {
        let (id, word, page) = match kit.get() {
            Some(Err(_)) if bench.read(|piece| piece.footprint().is_err()) => {
                ("to-measure", "Measure the piece", Page::Measure)
            }
            Some(Err(_)) => ("to-plan", "Go to the plan", Page::Plan),
            _ => ("to-coat", "Start coating", Page::Coat),
        };
        view! {
            <a id=id class="button main" href=bench.address(page)>
                {word}
            </a>
        }
        .into_any()
    };
    let untick = move |_| bench.change("All ticks taken off", |piece| piece.ticked.clear());
    view! {
        {head}
        <fitness::Fitness bench />
        <div id="kit">{groups}</div>
        <OwnItems bench />
        <button id="untick-all" on:click=untick>
            "Take all ticks off"
        </button>
        <div class="bar">{next}</div>
    }
}

/// What stands beside a group's name.
fn drawing(group: KitGroup) -> &'static Drawing {
    match group {
        KitGroup::Paste => &drawings::CUPS,
        KitGroup::Mixing => &drawings::SPATULA,
        KitGroup::Brushing => &drawings::BRUSH,
        KitGroup::Surface => &drawings::WALL,
        KitGroup::Measuring => &drawings::CARD,
        KitGroup::Shell => &drawings::SHELL,
        KitGroup::Care => &drawings::BAG,
    }
}

fn group_of(bench: Bench, items: &[KitItem]) -> AnyView {
    let heading = items.first().map(|item| {
        view! {
            <h2 class="row">
                <Drawn what=drawing(item.group) />
                {item.group.name()}
            </h2>
        }
    });
    let system = bench.system();
    let lines = items
        .iter()
        .map(|item| {
            // An amount that is a weight says it already.
            let weighed = item.weight.0 > 0.0 && !matches!(item.amount, Amount::Mass(_));
            let weight = weighed.then(|| show::mass(item.weight, system));
            let label = view! {
                <span class="what">
                    <b>{item.amount.show(system)}</b>
                    " "
                    {item.what.clone()}
                    <small>{item.why.clone()}</small>
                </span>
                <span class="weight">{weight}</span>
            }
            .into_any();
            view! { <li>{tick_box(bench, item.key.clone(), label)}</li> }
        })
        .shown();
    view! {
        {heading}
        <ul class="list ticks">{lines}</ul>
    }
    .into_any()
}

/// A line to tick; the whole line is the target.
fn tick_box(bench: Bench, key: String, label: AnyView) -> AnyView {
    let id = format!("kit-{key}");
    let (held, box_key) = (key.clone(), key);
    let packed = move || bench.read(|piece| piece.ticked.contains(&held));
    let tick = move |event| {
        let (key, on) = (box_key.clone(), ticked(&event));
        let what = if on { "Packed" } else { "Taken out" };
        bench.change(what, move |piece| {
            piece.ticked.retain(|other| *other != key);
            if on {
                piece.ticked.push(key);
            }
        });
    };
    view! {
        <label class="tick">
            <input type="checkbox" id=id prop:checked=packed on:change=tick />
            {label}
        </label>
    }
    .into_any()
}

/// The user's own additions, and the way to add one.
#[component]
fn OwnItems(bench: Bench) -> impl IntoView {
    let typed = Blank::new(String::new());
    let items = Memo::new(move |_| bench.read(|piece| piece.own_items.clone()));
    let put = move |what: String| {
        let key = format!("own-{}", phone::new_id());
        bench.change("Added to the list", move |piece| {
            piece.own_items.push(OwnItem { key, what });
        });
    };
    let before = Memo::new(move |_| items.with(|here| of_other_pieces(bench, here)));
    let again = move || {
        let all = before.get();
        let words = (!all.is_empty()).then(|| view! { <p class="soft">"On your other lists:"</p> });
        let buttons = all
            .into_iter()
            .enumerate()
            .map(|(i, what)| {
                let word = format!("Add: {what}");
                view! {
                    <button id=format!("again-{}", i + 1) on:click=move |_| put(what.clone())>
                        {word}
                    </button>
                }
            })
            .shown();
        view! { {words} <div class="row">{buttons}</div> }
    };
    let add = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let what = typed.text.get_untracked().trim().to_owned();
        let twice = items.with_untracked(|all| all.iter().any(|item| item.what == what));
        let wrong = if what.is_empty() {
            Some("Type what else you want to take along.")
        } else if what.chars().count() > LONGEST_ITEM {
            Some("That is too long for the list. Keep it under 80 letters.")
        } else if twice {
            Some("That is on the list already.")
        } else {
            None
        };
        typed.error.set(wrong.map(str::to_owned));
        if wrong.is_some() {
            return;
        }
        put(what);
        typed.text.set(String::new());
    };
    let line = move |item: OwnItem| {
        let key = item.key.clone();
        let remove = move |_| {
            let key = key.clone();
            bench.change("Taken off the list", move |piece| {
                piece.own_items.retain(|other| other.key != key);
                piece.ticked.retain(|other| *other != key);
            });
        };
        let label = view! { <span class="what">{item.what.clone()}</span> }.into_any();
        view! {
            <li class="own">
                {tick_box(bench, item.key.clone(), label)}
                <button
                    id=format!("remove-{}", item.key)
                    class="remove"
                    aria-label=format!("Take {} off the list", item.what)
                    on:click=remove
                >
                    "Remove"
                </button>
            </li>
        }
    };
    let field = blank("own-item", "What else?", "", "text", typed);
    view! {
        <h2>"Your own"</h2>
        <ul class="list ticks">
            {move || items.get().into_iter().map(line).shown()}
        </ul>
        <form on:submit=add>
            {field}
            <button id="add-own-item" type="submit">
                "Add to the list"
            </button>
        </form>
        {again}
    }
}

/// How many things of other lists are offered.
const MOST_AGAIN: usize = 8;

/// What the user added to the lists of other pieces, the newest job's first, without what is here.
fn of_other_pieces(bench: Bench, here: &[OwnItem]) -> Vec<String> {
    bench.desk.jobs.with(|jobs| {
        let mut jobs: Vec<_> = jobs.iter().collect();
        jobs.sort_by_key(|job| std::cmp::Reverse(job.changed));
        let mut all: Vec<String> = Vec::new();
        let items = jobs
            .iter()
            .flat_map(|job| &job.pieces)
            .flat_map(|piece| &piece.own_items);
        for item in items {
            let known = here.iter().any(|own| own.what == item.what) || all.contains(&item.what);
            if !known && all.len() < MOST_AGAIN {
                all.push(item.what.clone());
            }
        }
        all
    })
}
