//! Taking and choosing a photo.

use super::bench::Bench;
use super::photos::For;
use super::viewfinder::Viewfinder;
use crate::app::parts::drawings::{CARD, Drawn, WALL};
use crate::phone::{file, photo};
use leptos::ev::Event;
use leptos::prelude::*;

/// The page of a piece without a photo: how to take a good one.
#[component]
pub fn NoPhoto(bench: Bench) -> impl IntoView {
    view! {
        <section class="no-photo">
            <div class="row">
                <Drawn what=&WALL />
                <Drawn what=&CARD />
            </div>
            <p>
                "Measure from one photo. Hold a bank card, a sheet of A4 or Letter, a carpenter’s square or a rule flat against the same surface as the ornament, close beside it, and take both into the picture."
            </p>
            <ul>
                <li>"Stand as square on as you can, and far enough back that nothing is cut off."</li>
                <li>
                    "The reference lies on the ground of the ornament, not on its high points."
                </li>
                <li>
                    "Don’t tape anything to gilding, flaking paint or soft stone: let someone hold it."
                </li>
            </ul>
            <p class="soft">"The photo stays on this phone."</p>
            <Choose bench what=For::Place first=true />
        </section>
    }
}

/// The page of a piece whose photo is not on this phone.
#[component]
pub fn LostPhoto(bench: Bench, why: String) -> impl IntoView {
    view! {
        <section class="no-photo">
            <p class="stop" role="alert">
                {why}
            </p>
            <Choose bench what=For::Place first=true />
        </section>
    }
}

/// The two ways to a photo, and what went wrong with the last one.
#[component]
pub fn Choose(
    /// The page's state.
    bench: Bench,
    /// What the photo is for.
    what: For,
    /// Whether this is the page's one main action.
    first: bool,
) -> impl IntoView {
    let busy = RwSignal::new(false);
    let wrong = RwSignal::new(None::<String>);
    let take = move |event: Event| {
        let Some(file) = file::chosen(&event) else {
            return;
        };
        busy.set(true);
        wrong.set(None);
        leptos::task::spawn_local(async move {
            let taken = photo::take_in(&file).await;
            busy.try_set(false);
            match taken {
                Ok(photo) => bench.take_photo(photo, what),
                Err(why) => drop(wrong.try_set(Some(why.to_string()))),
            }
        });
    };
    let busy = move || busy.get();
    let looking = RwSignal::new(false);
    let finder = move || {
        let close = Callback::new(move |()| {
            looking.try_set(false);
        });
        looking
            .get()
            .then(|| view! { <Viewfinder bench what close /> }.into_any())
    };
    view! {
        <div class="choose">
            <p class="stop" role="alert" hidden=move || wrong.with(Option::is_none)>
                {move || wrong.get()}
            </p>
            <p class="note" role="status" hidden=move || !busy()>
                "Opening the photo …"
            </p>
            {finder}
            <div class=if first { "bar" } else { "row fill" }>
                <button id="photo-level" class:main=first on:click=move |_| looking.set(true)>
                    "Photo with a level"
                </button>
                <label class="button file">
                    "Camera app"
                    <input
                        id="photo-camera"
                        type="file"
                        accept="image/*"
                        capture="environment"
                        disabled=busy
                        on:change=take
                    />
                </label>
                <label class="button file">
                    "Choose a photo"
                    <input
                        id="photo-file"
                        type="file"
                        accept="image/*"
                        disabled=busy
                        on:change=take
                    />
                </label>
            </div>
        </div>
    }
}
