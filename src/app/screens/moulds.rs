//! The finished moulds of all jobs, on one shelf.
//!
//! Ids: `moulds` (the list), `no-moulds`; of each mould `mould-N` with `stored-N`, `food-only-N`,
//! `retired-N`, counted from 0.

use crate::app::parts::form::{said, tick};
use crate::app::parts::missing::missing;
use crate::app::parts::shown::{Shown, keyed};
use crate::app::parts::standing;
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::clock::lots;
use crate::job::{JobId, Mould, OnShelf, Piece, PieceId, moulds};
use crate::phone::photo::PhotoUrl;
use crate::phone::time;
use crate::quantity::{Millimetres, show};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// So many moulds are drawn at first, and with each wish for more.
const A_SCREENFUL: usize = 20;

/// The shelf of moulds.
#[component]
pub fn Moulds() -> impl IntoView {
    let desk = use_desk();
    let all = Memo::new(move |_| desk.jobs.with(|jobs| moulds(jobs)));
    let most = RwSignal::new(A_SCREENFUL);
    let keys = Memo::new(move |_| {
        let key = |mould: &OnShelf| (mould.job.clone(), mould.piece.clone());
        all.with(|all| all.iter().take(most.get()).map(key).collect::<Vec<_>>())
    });
    let none = Memo::new(move |_| all.with(Vec::is_empty));
    let numbered = move || keys.get().into_iter().enumerate().collect();
    let way = || (Route::Jobs.to_string(), tr("See all jobs"));
    view! {
        <Show when=move || none.get()>
            {missing(
                "no-moulds",
                tr("No mould is finished yet."),
                tr("When the last coat of a piece has cured and its skin is off, the mould stands here.").into(),
                Some(way()),
            )}
        </Show>
        <ul id="moulds" class="list" hidden=none>
            {keyed(numbered, move |(n, (job, piece))| one(desk, n, job, piece))}
        </ul>
        <button
            class="wide"
            hidden=move || all.with(Vec::len) <= most.get()
            on:click=move |_| most.update(|most| *most += A_SCREENFUL)
        >
            {tr("Show more moulds")}
        </button>
    }
}

/// A mould, drawn anew when its piece changes.
fn one(desk: Desk, n: usize, job: JobId, id: PieceId) -> AnyView {
    let piece = desk.piece(&job, &id);
    let photo = Memo::new(move |_| {
        let photo = |piece: &Piece| Some(piece.shot(0).photo.as_ref()?.id.clone());
        piece.with(|piece| photo(piece.as_ref()?))
    });
    let url = StoredValue::new_local(None::<PhotoUrl>);
    let address = RwSignal::new(String::new());
    Effect::new(move |_| {
        if let Some(photo) = photo.get() {
            leptos::task::spawn_local(async move {
                if let Ok(found) = PhotoUrl::of(&photo).await {
                    address.try_set(found.as_str().to_owned());
                    url.try_set_value(Some(found));
                }
            });
        }
    });
    let of_job = Memo::new({
        let job = job.clone();
        move |_| {
            let name = |job: &crate::job::Job| job.title().to_owned();
            let found = |jobs: &Vec<crate::job::Job>| {
                jobs.iter()
                    .find(|one| one.id == job)
                    .map(name)
                    .unwrap_or_default()
            };
            desk.jobs.with(found)
        }
    });
    let cast = Route::Piece(job.clone(), id.clone(), Page::Cast).to_string();
    let names = StoredValue::new((job, id));
    // No page of one job, so no button stands here that takes its last change back.
    let tell = move |what: &str, change: Box<dyn FnOnce(&mut Mould)>| {
        let (job, id) = names.get_value();
        desk.update_and_tell(&job, what, move |job| {
            if let Some(piece) = job.pieces.iter_mut().find(|piece| piece.id == id) {
                change(&mut piece.mould);
            }
        });
    };
    let change = move |change: fn(&mut Mould, bool), on: bool| {
        let change = Box::new(move |mould: &mut Mould| change(mould, on));
        tell(tr("Mould’s use changed"), change);
    };
    let store = move |event: web_sys::Event| {
        let place = event_target_value(&event).trim().to_owned();
        let change = Box::new(move |mould: &mut Mould| mould.stored = place);
        tell(tr("Place of the mould changed"), change);
    };
    let noted = move |of: fn(&Mould) -> bool| {
        let is = move |piece: &Option<Piece>| piece.as_ref().is_some_and(|piece| of(&piece.mould));
        Signal::derive(move || piece.with(is))
    };
    // What held plaster or resin is no question any more.
    let spoiled = Memo::new(move |_| {
        piece.with(|piece| {
            let casts = piece.as_ref().map_or(&[][..], |piece| &piece.casts);
            casts.iter().any(|entry| !entry.food)
        })
    });
    let stored = move || {
        let stored = |piece: &Piece| piece.mould.stored.clone();
        piece.with(|piece| piece.as_ref().map(stored).unwrap_or_default())
    };
    let title = move || {
        let name = piece.with(|piece| piece.as_ref().map(standing::piece_name));
        format!("{}, {}", name.unwrap_or_default(), of_job.get())
    };
    view! {
        <li id=format!("mould-{n}") class="mould">
            <img
                alt=""
                src=address
                loading="lazy"
                hidden=move || address.with(String::is_empty)
            />
            <div class="grow">
                <h2>{title}</h2>
                {move || piece.with(|piece| piece.as_ref().map(|piece| facts(desk, piece)))}
                <div class="field">
                    <label for=format!("stored-{n}")>{tr("Stored where")}</label>
                    <input
                        id=format!("stored-{n}")
                        type="text"
                        autocomplete="off"
                        prop:value=stored
                        on:change=store
                    />
                </div>
                <div class="row fill">
                    <div hidden=spoiled>
                        {tick(
                            format!("food-only-{n}"),
                            said(tr("For food only")),
                            noted(|mould| mould.food_only),
                            move |on| change(|mould, on| mould.food_only = on, on),
                        )}
                    </div>
                    {tick(
                        format!("retired-{n}"),
                        said(tr("No longer cast from")),
                        noted(|mould| mould.retired),
                        move |on| change(|mould, on| mould.retired = on, on),
                    )}
                </div>
                <p class="soft" hidden=move || !spoiled.get()>
                    {tr("It has held what is not food, and never holds food again.")}
                </p>
                <a class="button" href=cast>
                    {tr("Cast from it")}
                </a>
            </div>
        </li>
    }
    .into_any()
}

/// How many copies it gave, and whether it was done for after them.
fn cast_so_far(piece: &Piece) -> String {
    let copies = piece.casts.iter().map(|entry| entry.copies);
    let copies = copies.fold(0_u32, u32::saturating_add);
    let done = piece.casts.iter().any(|entry| entry.worn_out);
    let count = match copies {
        0 => tr("nothing").to_owned(),
        1 => tr("1 copy").to_owned(),
        many => say!("{many} copies", many),
    };
    if done {
        say!("{count}; done for", count)
    } else {
        count
    }
}

/// What the mould is.
fn facts(desk: Desk, piece: &Piece) -> AnyView {
    let system = desk.settings.get().system;
    let length = |side: Millimetres| show::length(Millimetres(side.0.round()), system);
    let size = piece.sides().map(|[long, short]| {
        say!(
            "{long} by {short}",
            long = length(long),
            short = length(short)
        )
    });
    let born = piece.born().map(time::day_and_clock);
    let lots = lots(&piece.notes).join(", ");
    let all = [
        (tr("Size"), size),
        (tr("Peeled"), born),
        (tr("Coats"), Some(piece.coats.len().to_string())),
        (tr("Paste"), Some(piece.card.name.clone())),
        (tr("Lot"), (!lots.is_empty()).then_some(lots)),
        (tr("Cast so far"), Some(cast_so_far(piece))),
    ];
    let line = |(what, value): (&'static str, Option<String>)| {
        value.map(|value| {
            view! {
                <div>
                    <dt>{what}</dt>
                    <dd>{value}</dd>
                </div>
            }
        })
    };
    view! { <dl class="pairs">{all.into_iter().map(line).shown()}</dl> }.into_any()
}
