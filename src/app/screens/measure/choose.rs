//! Taking and choosing a photo.

use super::bench::Bench;
use super::photos::For;
use crate::app::parts::caution::permission_first;
use crate::app::parts::drawings::{CARD, Drawn, WALL};
use crate::app::parts::photo_ways::PhotoWays;
use crate::app::purpose::MEASURE;
use crate::job::PhotoRef;
use crate::words::tr;
use leptos::prelude::*;

/// The page of a piece without a photo: how to take a good one.
#[component]
pub fn NoPhoto(bench: Bench) -> impl IntoView {
    view! {
        <section class="no-photo">
            <p class="purpose">{tr(MEASURE)}</p>
            <div class="row">
                <Drawn what=&WALL />
                <Drawn what=&CARD />
            </div>
            <p>
                {tr("Hold a bank card, a sheet of A4 or Letter, a carpenter’s square or a rule flat against the same surface as the ornament, close beside it, and take both into the picture.")}
            </p>
            <ul>
                <li>{tr("Stand as square on as you can, and far enough back that nothing is cut off.")}</li>
                <li>
                    {tr("The reference lies on the ground of the ornament, not on its high points.")}
                </li>
                <li>
                    {tr("Don’t tape anything to gilding, flaking paint or soft stone: let someone hold it.")}
                </li>
            </ul>
            <p class="soft">{tr("The photo stays on this phone.")}</p>
            {permission_first(&bench.names().0)}
            <Choose bench what=For::Place first=true />
        </section>
    }
}

/// The page of a piece whose photo is not on this phone.
#[component]
pub fn LostPhoto(bench: Bench, why: String) -> impl IntoView {
    view! {
        <section class="no-photo">
            <p class="purpose">{tr(MEASURE)}</p>
            <p class="stop" role="alert">
                {why}
            </p>
            <Choose bench what=For::Place first=true />
        </section>
    }
}

/// The ways to a photo for the bench.
#[component]
pub fn Choose(
    /// The page's state.
    bench: Bench,
    /// What the photo is for.
    what: For,
    /// Whether this is the page's one main action.
    first: bool,
) -> impl IntoView {
    let lenses = bench.desk.lenses;
    let taken = move |photo: PhotoRef| {
        let photo = lenses.with_untracked(|cards| photo.through(cards));
        bench.take_photo(photo, what);
    };
    view! { <PhotoWays first taken /> }
}
