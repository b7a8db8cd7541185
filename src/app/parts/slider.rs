//! A slider under a field: what follows from the number is seen while a finger moves it.

use leptos::prelude::*;

/// From where to where a slider goes, and in which steps.
#[derive(Clone, Copy)]
pub struct Reach {
    /// The least.
    pub from: f64,
    /// The greatest; a number beyond it can still be typed.
    pub to: f64,
    /// The step.
    pub step: f64,
}

/// A slider. `look` is told each place the finger passes, `store` the one where it lets go.
#[component]
pub fn Slider(
    /// Its `id`, stable for tests.
    id: String,
    /// What it changes.
    #[prop(into)]
    label: Signal<String>,
    /// How far it goes.
    reach: Reach,
    /// Where it stands.
    #[prop(into)]
    value: Signal<f64>,
    /// The same in words.
    #[prop(into)]
    words: Signal<String>,
    /// Shows what would follow.
    look: Callback<f64>,
    /// Stores it.
    store: Callback<f64>,
) -> impl IntoView {
    let number = |event| event_target_value(&event).parse::<f64>().ok();
    let pass = move |event| {
        if let Some(number) = number(event) {
            look.run(number);
        }
    };
    let leave = move |event| {
        if let Some(number) = number(event) {
            store.run(number);
        }
    };
    view! {
        <input
            id=id
            type="range"
            min=reach.from
            max=reach.to
            step=reach.step
            aria-label=label
            aria-valuetext=words
            prop:value=value
            on:input=pass
            on:change=leave
        />
    }
    .into_any()
}
