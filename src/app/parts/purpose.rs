//! The line at the head of a page: what it is for and what comes next; and on the pages of a job
//! the way back from the last change.
//!
//! Ids: `purpose`, `undo-change`.

use crate::app::purpose::purpose;
use crate::app::route::Route;
use crate::app::state::use_desk;
use crate::words::tr;
use leptos::prelude::*;

/// The head of a page.
pub fn head(place: &Route) -> AnyView {
    let undo = match place {
        // Paper changes nothing.
        Route::Sheet(_) => None,
        place => place.job().map(|_| undo(place.clone())),
    };
    view! {
        <div class="purpose unprinted">
            <p id="purpose">{tr(purpose(place))}</p>
            {undo}
        </div>
    }
    .into_any()
}

/// Takes back the last change of the job. It is always there, so that nothing moves under the
/// finger when there is a first change to take back.
fn undo(place: Route) -> AnyView {
    let desk = use_desk();
    let held = place.clone();
    let none = move || held.job().is_none_or(|job| !desk.can_undo(job));
    let back = move |_| {
        if let Some(job) = place.job() {
            desk.undo(job);
        }
    };
    view! {
        <button id="undo-change" disabled=none on:click=back>
            {tr("Undo")}
        </button>
    }
    .into_any()
}
