//! The ways to a photo: the viewfinder, the phone's own camera app, a file.

use super::viewfinder::Viewfinder;
use crate::app::record;
use crate::app::state::use_desk;
use crate::job::PhotoRef;
use crate::phone::room::Room;
use crate::phone::{file, photo};
use crate::words::tr;
use leptos::ev::Event;
use leptos::prelude::*;

/// The ways to a photo, and what went wrong with the last one.
#[component]
pub fn PhotoWays(
    /// Whether this is the page's one main action.
    first: bool,
    /// What is done with the photo.
    #[prop(into)]
    taken: Callback<PhotoRef>,
) -> impl IntoView {
    let busy = RwSignal::new(false);
    let wrong = RwSignal::new(None::<String>);
    let desk = use_desk();
    let take = move |event: Event| {
        let Some(file) = file::chosen(&event) else {
            return;
        };
        busy.set(true);
        wrong.set(None);
        leptos::task::spawn_local(async move {
            let kept = photo::take_in(&file).await;
            busy.try_set(false);
            match kept {
                Ok(photo) => {
                    taken.run(photo);
                    record::mind_room(desk).await;
                    if let Some(short) = desk.room.with_untracked(Room::sentence) {
                        desk.tell(short);
                    }
                }
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
            .then(|| view! { <Viewfinder taken close /> }.into_any())
    };
    view! {
        <div class="choose">
            <p class="stop" role="alert" hidden=move || wrong.with(Option::is_none)>
                {move || wrong.get()}
            </p>
            <p class="note" role="status" hidden=move || !busy()>
                {tr("Opening the photo …")}
            </p>
            {finder}
            <div class=if first { "bar" } else { "row fill" }>
                <button id="photo-level" class:main=first on:click=move |_| looking.set(true)>
                    {tr("Photo with a level")}
                </button>
                <label class="button file">
                    {tr("Camera app")}
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
                    {tr("Choose a photo")}
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
