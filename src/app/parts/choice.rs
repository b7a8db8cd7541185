//! One of a few: radio buttons whose whole face is the target.

use crate::app::parts::shown::Shown;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::HtmlInputElement;

use super::drawings::{Drawing, Drawn};

/// One answer of a [`Choice`].
#[derive(Clone)]
pub struct Answer {
    /// Its value in the form, and the end of its `id`.
    pub key: String,
    /// Its word.
    pub word: String,
    /// What helps to choose it; may be empty.
    pub help: String,
    /// What it looks like.
    pub drawing: Option<&'static Drawing>,
}

impl Answer {
    /// An answer of a word alone.
    pub fn new(key: impl Into<String>, word: impl Into<String>) -> Self {
        Self {
            key: key.into(),
            word: word.into(),
            help: String::new(),
            drawing: None,
        }
    }

    /// The same with a line of help.
    pub fn help(self, help: impl Into<String>) -> Self {
        Self {
            help: help.into(),
            ..self
        }
    }

    /// The same with its drawing.
    pub fn drawn(self, drawing: &'static Drawing) -> Self {
        Self {
            drawing: Some(drawing),
            ..self
        }
    }
}

/// A question with a few answers. Each answer's `id` is `NAME-KEY`.
#[component]
pub fn Choice(
    /// Its name in the form, stable for tests.
    name: &'static str,
    /// The question.
    #[prop(into)]
    legend: String,
    /// The answers.
    #[prop(into)]
    answers: Signal<Vec<Answer>>,
    /// The key of the answer that holds.
    #[prop(into)]
    chosen: Signal<String>,
    /// One answer a line, for long ones.
    #[prop(optional)]
    lines: bool,
    /// Called with the key that was tapped.
    #[prop(into)]
    choose: Callback<String>,
) -> impl IntoView {
    let one = move |answer: Answer| {
        let (key, held) = (answer.key.clone(), answer.key.clone());
        let choose = move |event: web_sys::Event| {
            choose.run(key.clone());
            show_kept(&event, name, &chosen.get_untracked());
        };
        let help = (!answer.help.is_empty())
            .then(|| view! { <small>{answer.help.clone()}</small> }.into_any());
        view! {
            <label>
                <input
                    type="radio"
                    id=format!("{name}-{}", answer.key)
                    name=name
                    prop:checked=move || chosen.with(|c| *c == held)
                    on:change=choose
                />
                {answer.drawing.map(|what| view! { <Drawn what /> }.into_any())}
                <span>{answer.word} {help}</span>
            </label>
        }
        .into_any()
    };
    let drawn = move || answers.with(|all| all.iter().any(|answer| answer.drawing.is_some()));
    view! {
        <fieldset>
            <legend>{legend}</legend>
            <div class="choice" class:lines=lines class:drawn=drawn>
                {move || answers.get().into_iter().map(one).shown()}
            </div>
        </fieldset>
    }
}

/// Puts the answer that holds back in sight; the one that was tapped follows once it is stored.
fn show_kept(event: &web_sys::Event, name: &str, kept: &str) {
    let held = document().get_element_by_id(&format!("{name}-{kept}"));
    match held.and_then(|held| held.dyn_into::<HtmlInputElement>().ok()) {
        Some(held) => held.set_checked(true),
        None => event_target::<HtmlInputElement>(event).set_checked(false),
    }
}
