//! The Measure page: a photo and a thing of known size in it become the footprint.
//!
//! Ids for tests and links:
//!
//! - `photo-camera`, `photo-file`: the two file inputs, while there is no photo and in `photo-other`, which
//!   opens `photo-0` and so on, `photo-0-remove`, `photo-more`, `photo-replace`, `photos-to-heights`,
//!   `photo-section`.
//! - `photo-level` opens the `viewfinder`: `level`, `shutter`, `viewfinder-close`.
//! - `stage`: the photo's stage; `photo`: its image; `stage-whole`: back to the whole picture;
//!   `loupe`. Marks are buttons `.handle` with labels such as "Corner 1 of 4".
//! - `task-reference`, `task-outline`, `task-check`: the switch.
//! - `reference-kind` (a select: card, a4, letter, own, square, rule, edge), `own-width`, `own-height`,
//!   `rule-width`; `held-first`, `held-second`; `reference-height`, `outline-height`; `reading-at`, `reading-side-0` and `-1`, `reading-set`, `reading-cancel` for a
//!   new mark on a square or rule; `readings` folds open to `reading-0-at` and so on.
//! - `way-points`, `way-edge`, `way-ring`, `settle`, `pen-add`, `pen-take`; `tool-said`, `tool-back`, `tool-stop`.
//! - `twin-stage`: the photo before, while a shared place is to be tapped there.
//! - `undo-mark`, `redo-mark`; `nudge-left`, `nudge-up`, `nudge-down`, `nudge-right`,
//!   `remove-mark` while a mark is chosen.
//! - `to-outline`, `close-outline`, `add-hole`, `to-check`, `to-plan`, `section-to-heights`: the main
//!   actions.
//! - `advice`: what is missing or wrong; `footprint`: the folded figures, opened by
//!   `footprint-area`; `footprint-edge`, `footprint-tilt`.
//! - `check-stage`, `rectified` (the canvas), `check-progress`; `distances`,
//!   `distance-0-remove` and so on.

mod bench;
mod check;
mod choose;
mod distances;
mod explained;
mod hand;
mod heights;
mod history;
mod ink;
mod kind;
mod loupe;
mod marks;
mod panel;
mod photo;
mod photos;
mod reference;
mod ring;
mod stage;
mod strip;
mod tools;
mod twin;
mod view;
mod ways;

use crate::job::{JobId, PieceId};
use crate::phone::darkroom;
use crate::phone::photo::PhotoUrl;
use bench::Bench;
use leptos::prelude::*;
use marks::Task;

/// The Measure page of a piece.
#[component]
pub fn Measure(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    on_cleanup(darkroom::close);
    let url = RwSignal::new(None::<Result<String, String>>);
    let held = StoredValue::new_local(None::<PhotoUrl>);
    Effect::new(move |_| {
        let photo = bench.photo.get();
        url.set(None);
        let Some(photo) = photo else { return };
        leptos::task::spawn_local(async move {
            let found = PhotoUrl::of(&photo.id).await;
            // The page may have gone, or have been given another photo, while the phone read.
            let current = bench.photo.try_get_untracked().flatten();
            if current.is_none_or(|current| current.id != photo.id) {
                return;
            }
            let address = match found {
                Ok(found) => {
                    let address = found.as_str().to_owned();
                    held.try_set_value(Some(found));
                    Ok(address)
                }
                Err(why) => Err(why.to_string()),
            };
            url.try_set(Some(address));
        });
    });
    let address = Signal::derive(move || url.get().and_then(Result::ok));
    let missing = Memo::new(move |_| url.get().and_then(Result::err));
    let has_photo = Memo::new(move |_| bench.photo.with(Option::is_some));
    let checking = Memo::new(move |_| bench.task.get() == Task::Check);
    let stage = move || {
        if checking.get() {
            view! {
                <div class="over">
                    <check::Check bench />
                </div>
            }
            .into_any()
        } else {
            view! {
                <div class="over">
                    <photo::Photo bench url=address />
                    <panel::PhotoTools bench />
                    <ways::Report bench />
                    {move || twin::is_wanted(bench).then(|| view! { <twin::Twin bench /> }.into_any())}
                </div>
            }
            .into_any()
        }
    };
    move || {
        if !has_photo.get() {
            return view! { <choose::NoPhoto bench /> }.into_any();
        }
        if let Some(why) = missing.get() {
            return view! { <choose::LostPhoto bench why /> }.into_any();
        }
        view! {
            <section class="measure">
                {stage}
                <panel::Panel bench />
            </section>
        }
        .into_any()
    }
}
