//! The user's own additions, and the way to add one.

use super::pieces::{Pieces, Places};
use super::tick_box;
use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::shown::Shown;
use crate::job::OwnItem;
use crate::phone;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The longest note that fits a line of the list.
const LONGEST_ITEM: usize = 80;

/// One addition, however many of the pieces have it: which of those that the list is for, and
/// under which key.
#[derive(Clone, PartialEq)]
pub struct Own {
    what: String,
    keys: Vec<(usize, String)>,
}

impl Own {
    /// The additions to the lists of these pieces, each once.
    pub fn of(listed: &[Bench]) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        for (at, bench) in listed.iter().enumerate() {
            for OwnItem { key, what } in bench.read(|piece| piece.own_items.clone()) {
                let there = (at, key);
                match all.iter_mut().find(|own| own.what == what) {
                    Some(own) => own.keys.push(there),
                    None => all.push(Self {
                        what,
                        keys: vec![there],
                    }),
                }
            }
        }
        all
    }

    /// Where it is.
    pub fn places(&self, listed: &[Bench]) -> Places {
        let keys = self.keys.iter();
        keys.filter_map(|(at, key)| Some((*listed.get(*at)?, key.clone())))
            .collect()
    }
}

#[component]
pub fn OwnItems(pieces: Pieces, items: Memo<Vec<Own>>) -> impl IntoView {
    let bench = pieces.here;
    let typed = Blank::new(String::new());
    let put = move |what: String| {
        let key = format!("own-{}", phone::new_id());
        bench.change(tr("Added to the list"), move |piece| {
            piece.own_items.push(OwnItem { key, what });
        });
    };
    let before = Memo::new(move |_| items.with(|here| of_other_pieces(bench, here)));
    let again = move || {
        let all = before.get();
        let words =
            (!all.is_empty()).then(|| view! { <p class="soft">{tr("On your other lists:")}</p> });
        let buttons = all
            .into_iter()
            .enumerate()
            .map(|(i, what)| {
                let word = say!("Add: {what}", what);
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
            Some(tr("Type what else you want to take along."))
        } else if what.chars().count() > LONGEST_ITEM {
            Some(tr(
                "That is too long for the list. Keep it under 80 letters.",
            ))
        } else if twice {
            Some(tr("That is on the list already."))
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
    let line = move |item: Own| {
        let places = item.places(&pieces.listed());
        let key = item.keys.first().map_or("", |(_, key)| key).to_owned();
        let all = places.clone();
        let remove = move |_| {
            Bench::change_each(all.clone(), tr("Taken off the list"), true, |piece, key| {
                piece.own_items.retain(|other| other.key != key);
                piece.ticked.retain(|other| *other != key);
            });
        };
        let label = view! { <span class="what">{item.what.clone()}</span> }.into_any();
        view! {
            <li class="own">
                {tick_box(places, format!("kit-{key}"), label)}
                <button
                    id=format!("remove-{key}")
                    class="remove"
                    aria-label=say!("Remove from the list: {what}", what = item.what)
                    on:click=remove
                >
                    {tr("Remove")}
                </button>
            </li>
        }
    };
    let field = blank("own-item", tr("What else?"), "", "text", typed);
    view! {
        <h2>{tr("Your own")}</h2>
        <ul class="list ticks">
            {move || items.get().into_iter().map(line).shown()}
        </ul>
        <form on:submit=add>
            {field}
            <button id="add-own-item" type="submit">
                {tr("Add to the list")}
            </button>
        </form>
        {again}
    }
}

/// How many things of other lists are offered.
const MOST_AGAIN: usize = 8;

/// What the user added to the lists of other pieces, the newest job's first, without what is here.
fn of_other_pieces(bench: Bench, here: &[Own]) -> Vec<String> {
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
