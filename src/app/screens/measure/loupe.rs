//! The loupe: what lies under the mark that is being moved, away from the finger.

use super::bench::Bench;
use super::ink::Ink;
use super::view::{LOUPE, View, loupe_place};
use leptos::prelude::*;

/// How much the loupe enlarges beyond the photo on the stage.
const TIMES: f64 = 3.0;
/// At least so many CSS pixels for one photo pixel, so that the pixel itself can be judged.
const AT_LEAST: f64 = 1.0;

/// A round glass over the chosen mark, with a cross-hair through it.
#[component]
pub fn Loupe(bench: Bench, #[prop(into)] url: Signal<Option<String>>) -> impl IntoView {
    let place = Memo::new(move |_| {
        let spot = bench.chosen.get()?;
        bench.marks.with(|marks| marks.place(spot))
    });
    let glass = Signal::derive(move || {
        let stage = bench.view.get();
        let scale = (TIMES * stage.scale).max(AT_LEAST);
        let middle = place.get().unwrap_or_default();
        View {
            scale,
            offset: middle.map(|m| LOUPE / 2.0 - (m + 0.5) * scale),
            ..stage
        }
    });
    // Whatever hides the photo is to be avoided: the finger, or the mark itself.
    let corner = Memo::new(move |_| {
        let view = bench.view.get();
        let shown = place.get().map(|px| view.to_stage(px));
        loupe_place(bench.finger.get().or(shown).unwrap_or_default(), view.stage)
    });
    let shift = move || glass.get().in_css();
    let size = move |i: usize| format!("{}px", bench.view.get().photo[i]);
    view! {
        <div
            id="loupe"
            class="loupe"
            hidden=move || place.with(Option::is_none)
            style:left=move || format!("{}px", corner.get()[0])
            style:top=move || format!("{}px", corner.get()[1])
            aria-hidden="true"
        >
            <img
                alt=""
                draggable="false"
                src=url
                style:width=move || size(0)
                style:height=move || size(1)
                style:transform=shift
            />
            <svg>
                <Ink bench view=glass />
            </svg>
            <svg class="cross" viewBox="-72 -72 144 144">
                <path class="casing" d="M-72 0H-5M5 0H72M0-72V-5M0 5V72" />
                <path class="line" d="M-72 0H-5M5 0H72M0-72V-5M0 5V72" />
            </svg>
        </div>
    }
}
