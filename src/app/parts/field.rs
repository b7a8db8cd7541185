//! A field that is typed into: its label, its help, and what is wrong with it right beside it.

use crate::app::state::{Desk, use_desk};
use crate::quantity::show::System;
use leptos::prelude::*;

/// The keyboard for lengths: inches come with fractions, which a number pad has no sign for.
pub fn length_keyboard(desk: Desk) -> Signal<String> {
    let system = move || desk.settings.get().system;
    Signal::derive(move || match system() {
        System::Metric => "decimal".to_owned(),
        System::UsCustomary => "text".to_owned(),
    })
}

/// One line of text. What is typed is handed to `read` when the user leaves the field; a sentence
/// that comes back stands beside the field until the text is good, nothing is stored, and what was
/// typed stays as it is, even if the units change meanwhile.
#[component]
pub fn Field(
    /// Its `id`, stable for tests and for the label.
    #[prop(into)]
    id: String,
    /// What is asked for.
    #[prop(into)]
    label: Signal<String>,
    /// What helps to answer; may be left out.
    #[prop(into, optional)]
    hint: Signal<String>,
    /// What is stored, as text.
    #[prop(into)]
    value: Signal<String>,
    /// The phone's keyboard: "decimal" for numbers, "text" for words and fractions.
    #[prop(into, default = Signal::stored("decimal".to_owned()))]
    keyboard: Signal<String>,
    /// Stores what was typed, or says in a sentence why it can't be.
    read: impl Fn(&str) -> Result<(), String> + 'static,
) -> impl IntoView {
    typed(id, label, hint, value, keyboard, Box::new(read))
}

type Read = Box<dyn Fn(&str) -> Result<(), String>>;

/// Boxed, so that all fields share their code.
fn typed(
    id: String,
    label: Signal<String>,
    hint: Signal<String>,
    value: Signal<String>,
    keyboard: Signal<String>,
    read: Read,
) -> AnyView {
    let error = RwSignal::new(None::<String>);
    let typed = StoredValue::new(String::new());
    let leave = move |event| {
        let text = event_target_value(&event);
        typed.set_value(text.clone());
        error.set(read(&text).err());
    };
    let shown = move || match error.with(Option::is_some) {
        true => typed.get_value(),
        false => value.get(),
    };
    // Once something else is asked for, or was set in another way, the answer before is none; other
    // units alone don't change it.
    let settings = use_desk().settings;
    Effect::new(move |before: Option<(String, String, System)>| {
        let now = (label.get(), value.get(), settings.get().system);
        if before.is_some_and(|before| before.2 == now.2 && before != now) {
            error.set(None);
        }
        now
    });
    field_shell(id.clone(), label, hint, error.into(), move |described| {
        view! {
            <input
                id=id
                type="text"
                inputmode=keyboard
                autocomplete="off"
                prop:value=shown
                aria-describedby=described
                aria-invalid=move || error.with(|e| e.is_some().then_some("true"))
                on:change=leave
            />
        }
        .into_any()
    })
}

/// The frame of a field: label, help, the control that `control` builds (it gets the ids of what
/// describes it), and the error.
pub fn field_shell(
    id: String,
    label: Signal<String>,
    hint: Signal<String>,
    error: Signal<Option<String>>,
    control: impl FnOnce(String) -> AnyView,
) -> AnyView {
    let (hint_id, error_id) = (format!("{id}-hint"), format!("{id}-error"));
    let described = format!("{hint_id} {error_id}");
    view! {
        <div class="field">
            <label for=id>{label}</label>
            <p id=hint_id class="hint" hidden=move || hint.with(String::is_empty)>
                {hint}
            </p>
            {control(described)}
            <p id=error_id class="error" role="alert" hidden=move || error.with(Option::is_none)>
                {error}
            </p>
        </div>
    }
    .into_any()
}
