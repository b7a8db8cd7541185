//! A field of a form: what was typed, and what is wrong with it.

use crate::app::parts::field::field_shell;
use crate::quantity::parse::ParseError;
use leptos::prelude::*;

/// One field of a form.
#[derive(Clone, Copy)]
pub struct Blank {
    /// What was typed.
    pub text: RwSignal<String>,
    /// What is wrong with it.
    pub error: RwSignal<Option<String>>,
}

impl Blank {
    /// A field with that text in it.
    pub fn new(text: String) -> Self {
        Self {
            text: RwSignal::new(text),
            error: RwSignal::new(None),
        }
    }

    /// Reads what was typed; `None` if nothing was, or if it can't be read (which is then said).
    pub fn read<T>(self, read: impl FnOnce(&str) -> Result<T, ParseError>) -> Option<T> {
        let text = self.text.get_untracked();
        self.error.set(None);
        if text.trim().is_empty() {
            return None;
        }
        read(&text)
            .map_err(|why| self.error.set(Some(why.to_string())))
            .ok()
    }

    /// Whether something is wrong with it.
    pub fn wrong(self) -> bool {
        self.error.with_untracked(Option::is_some)
    }
}

/// Shows a field; `keyboard` is the one a phone offers.
pub fn blank(id: &str, label: &str, hint: &str, keyboard: &'static str, blank: Blank) -> AnyView {
    let id = id.to_owned();
    field_shell(
        id.clone(),
        Signal::stored(label.to_owned()),
        Signal::stored(hint.to_owned()),
        blank.error.into(),
        move |described| {
            view! {
                <input
                    id=id
                    type="text"
                    inputmode=keyboard
                    autocomplete="off"
                    enterkeyhint="done"
                    prop:value=blank.text
                    aria-describedby=described
                    aria-invalid=move || blank.error.with(|e| e.is_some().then_some("true"))
                    on:input=move |event| blank.text.set(event_target_value(&event))
                />
            }
            .into_any()
        },
    )
}
