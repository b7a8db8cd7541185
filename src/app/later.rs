//! What the list of jobs does not need to be on the screen: most of the program, and not in the
//! way of a first start.
//!
//! The functions marked `wasm_split` are where the build cuts (src/bin/dev/commands/parts.rs):
//! what only they use becomes a part of the program. The part that works on records
//! ([`Ledger`]) is loaded as soon as the app has begun; one with screens when such a screen is
//! first opened. Both stay.
//!
//! Ids: `part-missing`, what is said where a part cannot be loaded; `part-again`.

use super::ledger::Ledger;
use super::parts::purpose::head;
use super::route::{Page, Route};
use super::screens::*;
use super::state::use_desk;
use crate::phone::{update, window};
use crate::words::tr;
use leptos::prelude::*;
use leptos::wasm_split::{SplitLoaderError, wasm_split};

/// Makes a screen of a part.
type Show = fn(Route) -> AnyView;

/// How far a part is.
#[derive(Clone, Copy)]
enum Part<T> {
    NotAsked,
    Coming,
    Missing,
    Here(T),
}

/// The parts of the program that come later. The root owns them.
#[derive(Clone, Copy)]
pub struct Later {
    ledger: RwSignal<Part<Ledger>>,
    measure: RwSignal<Part<Show>>,
    pages: RwSignal<Part<Show>>,
}

impl Later {
    /// Nothing is loaded yet.
    pub fn new() -> Self {
        Self {
            ledger: RwSignal::new(Part::NotAsked),
            measure: RwSignal::new(Part::NotAsked),
            pages: RwSignal::new(Part::NotAsked),
        }
    }

    /// Loads what the place needs, if it is not here or on its way.
    pub fn want(self, place: &Route) {
        match place {
            Route::Jobs => (),
            Route::Lens | Route::Piece(_, _, Page::Measure) => load(self.measure, load_measure()),
            _ => load(self.pages, load_pages()),
        }
    }

    /// Loads what all work on records needs, if it is not here or on its way.
    pub fn want_ledger(self) {
        load(self.ledger, load_ledger());
    }

    /// That part, once it is here.
    pub fn ledger(self) -> Option<Ledger> {
        match self.ledger.get() {
            Part::Here(ledger) => Some(ledger),
            _ => None,
        }
    }

    /// Whether it could not be loaded.
    pub fn lacks_ledger(self) -> bool {
        matches!(self.ledger.get(), Part::Missing)
    }

    /// The screen of a place, or what there is to say while it is not here.
    pub fn screen(self, place: Route) -> AnyView {
        let part = match place {
            Route::Lens | Route::Piece(_, _, Page::Measure) => self.measure,
            _ => self.pages,
        };
        match part.get() {
            Part::Here(show) => show(place),
            Part::Missing => self.missing(Some(place)),
            Part::NotAsked | Part::Coming => {
                view! { <p class="soft">{tr("Opening …")}</p> }.into_any()
            }
        }
    }

    /// That the part for a place is not here, or the one that all places need.
    pub fn missing(self, place: Option<Route>) -> AnyView {
        let desk = use_desk();
        // Once another tab has let a new version take over, the parts of this one are gone.
        let outdated = desk.new_version.get();
        let (why, word) = if outdated {
            (
                tr("There is a new version of Peelcast, and this page belongs to the old one."),
                tr("Load the new version"),
            )
        } else {
            (
                tr(
                    "This phone has not kept it yet, and it could not be loaded now. Look for a network, then try again.",
                ),
                tr("Try again"),
            )
        };
        let what = match &place {
            Some(_) => tr("This page is not here."),
            None => tr("The part of Peelcast that opens your jobs is not here."),
        };
        let again = move |_| {
            if outdated {
                update::take_over();
            } else {
                match &place {
                    Some(place) => self.want(place),
                    None => self.want_ledger(),
                }
            }
        };
        view! {
            <div id="part-missing" class="wait" role="alert">
                <p>
                    <strong>{what}</strong>
                    " "
                    {why}
                    {tr(" Your jobs are safe.")}
                </p>
                <button id="part-again" on:click=again>
                    {word}
                </button>
            </div>
        }
        .into_any()
    }
}

/// Loads a part unless it is here or on its way; a failed one is tried anew.
fn load<T: Copy + Send + Sync + 'static>(
    part: RwSignal<Part<T>>,
    coming: impl Future<Output = Result<T, SplitLoaderError>> + 'static,
) {
    if matches!(part.get_untracked(), Part::Coming | Part::Here(_)) {
        return;
    }
    part.set(Part::Coming);
    leptos::task::spawn_local(async move {
        let come = coming.await;
        // The browser has been busy with it: what it does begins with a task of its own.
        window::pause(0).await;
        part.set(come.map_or(Part::Missing, Part::Here));
    });
}

#[wasm_split(ledger, wasm_split_path = leptos::wasm_split, fallible)]
fn load_ledger() -> Result<Ledger, SplitLoaderError> {
    Ok(Ledger::here())
}

#[wasm_split(measure, wasm_split_path = leptos::wasm_split, fallible)]
fn load_measure() -> Result<Show, SplitLoaderError> {
    Ok(|place| match place {
        Route::Piece(job, piece, _) => view! { <measure::Measure job piece /> }.into_any(),
        Route::Lens => view! { {head(&place)} <lens::LensPage /> }.into_any(),
        // The others are of the other part.
        _ => ().into_any(),
    })
}

#[wasm_split(pages, wasm_split_path = leptos::wasm_split, fallible)]
fn load_pages() -> Result<Show, SplitLoaderError> {
    Ok(|place| {
        let head = head(&place);
        view! { {head} {page(place)} }.into_any()
    })
}

/// A page of the part that has most of them.
fn page(place: Route) -> AnyView {
    match place {
        Route::Settings => view! { <settings::SettingsPage /> }.into_any(),
        Route::Moulds => view! { <moulds::Moulds /> }.into_any(),
        Route::Handed => view! { <handed::HandedPage /> }.into_any(),
        Route::Backup => view! { <backup::BackupPage /> }.into_any(),
        Route::Job(job) => view! { <job::JobPage job /> }.into_any(),
        Route::Day(job) => view! { <day::DayPage job /> }.into_any(),
        Route::Sheet(job) => view! { <sheet::Sheet job /> }.into_any(),
        Route::Details(job, piece) => view! { <details::Details job piece /> }.into_any(),
        Route::Heights(job, piece) => view! { <heights::Heights job piece /> }.into_any(),
        Route::Piece(job, piece, Page::Plan) => view! { <plan::Plan job piece /> }.into_any(),
        Route::Piece(job, piece, Page::Pack) => view! { <pack::Pack job piece /> }.into_any(),
        Route::Piece(job, piece, Page::Coat) => view! { <coat::Coat job piece /> }.into_any(),
        Route::Piece(job, piece, Page::Cast) => view! { <cast::Cast job piece /> }.into_any(),
        // These are of the other part, or of the first one.
        Route::Lens | Route::Jobs | Route::Piece(_, _, Page::Measure) => ().into_any(),
    }
}
