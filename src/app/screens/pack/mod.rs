//! The Pack page: what goes into the bag, to tick with a gloved finger.
//!
//! Ids: `pack-for-piece`, `pack-for-all` and `left-out` where a job has several pieces; `weight`,
//! `packed`, `buy`, `kit`, `kit-KEY` (the tick box of each item; own ones too; `kit-KEY-2` where
//! two pastes or brushes have one key), `own-item`, `add-own-item`, `again-1` ... (what stood on other lists), `remove-KEY`,
//! `tick-all`, `untick-all`, `kit-why`, `no-kit`, `to-coat`, or `to-measure` and `to-plan` while there is no list. Before
//! the list `lead` and `fitness` with `check-KEY` (one each), `fine-checks` and `to-details`; in it the patch
//! test: `patch`, `patch-place`, `patch-sealed`, `start-patch`, `patch-countdown`, `patch-until`,
//! `patch-alarm`, `patch-cured`, `patch-sticky`, `patch-stained`, `patch-back`, `patch-said`,
//! `patch-again`.

mod fitness;
mod own;
mod patch;
mod pieces;

use crate::app::parts::bench::Bench;
use crate::app::parts::drawings::{self, Drawing, Drawn};
use crate::app::parts::explain::{explain, explain_as};
use crate::app::parts::form::tick;
use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::route::Page;
use crate::app::screens::plan::packs::numbered;
use crate::coating::{KitGroup, KitItem, weight_why};
use crate::job::{JobId, PieceId};
use crate::quantity::{Amount, show};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;
use own::{Own, OwnItems};
use pieces::{Packed, Pieces, Places};

/// The Pack page of a piece.
#[component]
pub fn Pack(job: JobId, piece: PieceId) -> impl IntoView {
    let pieces = Pieces::new(job, piece);
    let bench = pieces.here;
    let packed = pieces.packed();
    let own = Memo::new(move |_| Own::of(&pieces.listed()));
    let progress = move || {
        let listed = pieces.listed();
        let own = own.get();
        let own = own.iter().map(|own| own.places(&listed));
        let all: Vec<Places> = packed.with(|packed| {
            let items = packed.iter().flatten().flat_map(|packed| &packed.items);
            items.map(|item| places(item, &listed)).chain(own).collect()
        });
        let done = all.iter().filter(|places| is_packed(places)).count();
        say!("{done} of {all} packed", done, all = all.len())
    };
    let head = move || match packed.get() {
        Some(Ok(Packed { items, .. })) => {
            let system = bench.system();
            let why = weight_why(&items);
            let weight = view! { <b id="weight" class="figure">{why.result.show(system)}</b> };
            view! {
                <section class="total">
                    {explain_as(&why, &why.what, weight.into_any(), system)}
                    <p id="packed" role="status">
                        {progress}
                    </p>
                </section>
            }
            .into_any()
        }
        Some(Err(why)) => missing("no-kit", tr("No list yet."), why, None),
        None => ().into_any(),
    };
    // Rebuilt when the list changes, not when something is ticked: the finger stays where it is.
    let groups = move || {
        let packed = packed.get()?.ok()?;
        let items = packed.items.iter().enumerate().map(|(at, item)| {
            let before = &packed.items[..at];
            let before = before.iter().filter(|other| other.key == item.key).count();
            (numbered(&format!("kit-{}", item.key), before), item)
        });
        let items: Vec<_> = items.collect();
        let groups = items.chunk_by(|one, next| one.1.group == next.1.group);
        Some(groups.map(|group| group_of(pieces, group)).shown())
    };
    let buy = move || {
        let sets = packed.get()?.ok()?.sets;
        let each = sets.iter().enumerate().map(|(before, one)| {
            view! {
                <h3>{one.paste.clone()}</h3>
                {one.view(before, bench.system())}
            }
        });
        (!sets.is_empty()).then(|| {
            view! {
                <div id="buy">
                    <h2>{tr("Sets to buy")}</h2>
                    {each.shown()}
                </div>
            }
        })
    };
    let checks = move || (!pieces.whole()).then(|| view! { <fitness::Fitness bench /> });
    // Without a list there is nothing to coat with: the next step is what the list still lacks.
    let next = move || {
        let (id, word, page) = match packed.get() {
            Some(Err(_)) if bench.read(|piece| piece.footprint().is_err()) => {
                ("to-measure", tr("Measure the piece"), Page::Measure)
            }
            Some(Err(_)) => ("to-plan", tr("Go to the plan"), Page::Plan),
            _ => ("to-coat", tr("Start coating"), Page::Coat),
        };
        view! {
            <a id=id class="button main" href=bench.address(page)>
                {word}
            </a>
        }
        .into_any()
    };
    let amounts = move || {
        let packed = packed.get()?.ok()?;
        let system = bench.system();
        let all = packed.items.iter().filter_map(KitItem::explanation);
        Some(all.map(|why| explain(&why, system)).shown())
    };
    let listed = move || matches!(packed.get(), Some(Ok(_)));
    let tick_all = move |_| {
        let Some(Ok(packed)) = packed.get_untracked() else {
            return;
        };
        let listed = pieces.listed();
        let all = packed.items.iter().flat_map(|item| places(item, &listed));
        Bench::change_each(
            all.collect(),
            tr("All of it ticked"),
            false,
            |piece, key| {
                if !piece.ticked.contains(&key) {
                    piece.ticked.push(key);
                }
            },
        );
    };
    let untick = move |_| {
        let listed = pieces.listed().into_iter();
        let all = listed.map(|bench| (bench, String::new())).collect();
        Bench::change_each(all, tr("All ticks taken off"), true, |piece, _| {
            piece.ticked.clear();
        });
    };
    view! {
        {pieces.question()}
        {head}
        {checks}
        {buy}
        <div id="kit">{groups}</div>
        <button id="tick-all" hidden=move || !listed() on:click=tick_all>
            {tr("Tick all of these")}
        </button>
        <details id="kit-why" hidden=move || !listed()>
            <summary>{tr("How the amounts come about")}</summary>
            {amounts}
        </details>
        <OwnItems pieces items=own />
        <button id="untick-all" on:click=untick>
            {tr("Take all ticks off")}
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

/// The pieces that an item is for.
fn places(item: &KitItem, listed: &[Bench]) -> Places {
    let pieces = item.pieces.iter().filter_map(|at| listed.get(*at));
    pieces.map(|bench| (*bench, item.key.clone())).collect()
}

/// Whether it is ticked on each list that it stands on.
fn is_packed(places: &Places) -> bool {
    let ticked = |(bench, key): &(Bench, String)| bench.read(|piece| piece.ticked.contains(key));
    places.iter().all(ticked)
}

/// One group of the list, each item with the id of its tick box.
fn group_of(pieces: Pieces, items: &[(String, &KitItem)]) -> AnyView {
    let heading = items.first().map(|(_, item)| {
        view! {
            <h2 class="row">
                <Drawn what=drawing(item.group) />
                {item.group.name()}
            </h2>
        }
    });
    let system = pieces.here.system();
    let listed = pieces.listed();
    let lines = items
        .iter()
        .map(|(id, item)| {
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
            view! { <li>{tick_box(places(item, &listed), id.clone(), label)}</li> }
        })
        .shown();
    view! {
        {heading}
        <ul class="list ticks">{lines}</ul>
    }
    .into_any()
}

/// A line to tick; the whole line is the target. It is ticked on every list that it stands on.
fn tick_box(places: Places, id: String, label: AnyView) -> AnyView {
    let held = places.clone();
    let packed = Signal::derive(move || is_packed(&held));
    let store = move |on| {
        let what = if on { tr("Packed") } else { tr("Taken out") };
        Bench::change_each(places.clone(), what, false, move |piece, key| {
            piece.ticked.retain(|other| *other != key);
            if on {
                piece.ticked.push(key);
            }
        });
    };
    tick(id, label, packed, store)
}
