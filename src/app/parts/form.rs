//! Fields for words, dates and yes or no; numbers have [`super::field::Field`].

use super::field::{Field, field_shell};
use super::shown::Shown;
use crate::quantity::{iso, parse, show};
use crate::words::{mark, tr};
use chrono::NaiveDate;
use leptos::prelude::*;

/// Words: one line of them, or several.
#[component]
pub fn Words(
    /// Its `id`, stable for tests and for the label.
    id: &'static str,
    /// What is asked for.
    label: &'static str,
    /// What helps to answer.
    #[prop(optional)]
    hint: &'static str,
    /// Whether there is room for several lines.
    #[prop(optional)]
    long: bool,
    /// What is stored.
    #[prop(into)]
    value: Signal<String>,
    /// Stores what was typed.
    store: impl Fn(String) + 'static,
) -> impl IntoView {
    let leave = move |event| store(event_target_value(&event).trim().to_owned());
    let control = move |described: String| {
        if long {
            view! {
                <textarea
                    id=id
                    rows="3"
                    prop:value=value
                    aria-describedby=described
                    on:change=leave
                ></textarea>
            }
            .into_any()
        } else {
            view! {
                <input
                    id=id
                    type="text"
                    autocomplete="off"
                    prop:value=value
                    aria-describedby=described
                    on:change=leave
                />
            }
            .into_any()
        }
    };
    // A field that takes any answer has no error.
    field_shell(
        id.into(),
        Signal::stored(label.into()),
        Signal::stored(hint.into()),
        Signal::stored(None),
        control,
    )
}

/// A day, or none.
#[component]
pub fn Day(
    /// Its `id`, stable for tests and for the label.
    id: &'static str,
    /// What is asked for.
    label: &'static str,
    /// What is stored.
    #[prop(into)]
    value: Signal<Option<NaiveDate>>,
    /// Stores what was chosen.
    store: impl Fn(Option<NaiveDate>) + 'static,
) -> impl IntoView {
    let error = RwSignal::new(None::<String>);
    let text = move || value.get().map(|day| day.to_string()).unwrap_or_default();
    let leave = move |event: web_sys::Event| {
        let typed = event_target_value(&event);
        match typed.trim() {
            _ if half_typed(&event) => error.set(Some(tr(HALF_A_DAY).into())),
            "" => {
                error.set(None);
                store(None);
            }
            typed => match iso::read_day(typed) {
                Some(day) => {
                    error.set(None);
                    store(Some(day));
                }
                None => error.set(Some(
                    tr("This is no day of the calendar. Write it as year-month-day, such as 2027-03-14.")
                        .into(),
                )),
            },
        }
    };
    field_shell(
        id.into(),
        Signal::stored(label.into()),
        Signal::stored(String::new()),
        error.into(),
        move |described| {
            view! {
                <input
                    id=id
                    type="date"
                    prop:value=text
                    aria-describedby=described
                    aria-invalid=move || error.with(|e| e.is_some().then_some("true"))
                    on:change=leave
                />
            }
            .into_any()
        },
    )
}

/// What is said of a day that was begun and not ended.
const HALF_A_DAY: &str =
    mark("The day is not complete. Type day, month and year, or take all of it away.");

/// Whether a field for days or times holds something that is not complete: it then gives none, as
/// if it was empty.
pub fn half_typed(event: &web_sys::Event) -> bool {
    let field = event_target::<web_sys::HtmlInputElement>(event);
    field.value().is_empty() && !field.check_validity()
}

/// Yes or no.
#[component]
pub fn Tick(
    /// Its `id`, stable for tests.
    id: &'static str,
    /// What is true when it is ticked.
    label: &'static str,
    /// What is stored.
    #[prop(into)]
    value: Signal<bool>,
    /// Stores the tick.
    store: impl Fn(bool) + 'static,
) -> impl IntoView {
    view! { <div class="field">{tick(id, said(label), value, store)}</div> }
}

/// A box to tick beside its words, all of which is the target. The box itself goes back to what is
/// stored, and follows once the change is.
pub fn tick(
    id: impl Into<String>,
    words: AnyView,
    value: Signal<bool>,
    store: impl Fn(bool) + 'static,
) -> AnyView {
    boxed_tick(id.into(), words, value, Box::new(store))
}

/// Words as a tick box shows them.
pub fn said(words: impl Into<String>) -> AnyView {
    view! { <span>{words.into()}</span> }.into_any()
}

/// Boxed, so that all tick boxes share their code.
fn boxed_tick(
    id: String,
    words: AnyView,
    value: Signal<bool>,
    store: Box<dyn Fn(bool)>,
) -> AnyView {
    let change = move |event: web_sys::Event| {
        let on = event_target_checked(&event);
        event_target::<web_sys::HtmlInputElement>(&event).set_checked(!on);
        store(on);
    };
    view! {
        <label class="tick">
            <input id=id type="checkbox" prop:checked=value on:change=change />
            {words}
        </label>
    }
    .into_any()
}

/// A price in a currency of the user's own, or none. `store` is asked to take it, or to say why not.
pub fn price(
    id: &'static str,
    label: &'static str,
    hint: &'static str,
    value: impl Fn() -> Option<f64> + Send + Sync + 'static,
    store: impl Fn(Option<f64>) -> Result<(), String> + 'static,
) -> AnyView {
    let shown = move || value().map_or(String::new(), |price| show::number(price, 2));
    let read = move |text: &str| {
        store(match text.trim() {
            "" => None,
            text => Some(parse::number(text).map_err(|why| why.to_string())?),
        })
    };
    view! { <Field id=id label=label hint=hint value=Signal::derive(shown) read /> }.into_any()
}

/// A list to pick one from: what each is called, and whether it holds now. `choose` gets the place
/// of the one picked.
pub fn pick_list(
    id: &'static str,
    label: &'static str,
    hint: &'static str,
    names: Vec<String>,
    now: Signal<Option<usize>>,
    choose: impl Fn(usize) + 'static,
) -> AnyView {
    let options = names.into_iter().enumerate().map(|(n, name)| {
        view! {
            <option value=n.to_string() prop:selected=move || now.get() == Some(n)>
                {name}
            </option>
        }
    });
    let options = options.shown();
    let change = move |event: web_sys::Event| {
        let kept = now.get_untracked().map_or(String::new(), |n| n.to_string());
        if let Ok(n) = picked(&event, &kept).parse() {
            choose(n);
        }
    };
    // A list of things that there are has no error.
    field_shell(
        id.into(),
        Signal::stored(label.into()),
        Signal::stored(hint.into()),
        Signal::stored(None),
        move |described| {
            view! {
                <select id=id aria-describedby=described on:change=change>
                    {options}
                </select>
            }
            .into_any()
        },
    )
}

/// What a pick from a list asks for. The list itself goes back to what is stored, and follows once
/// the change is; its options say with `prop:selected` whether they hold.
pub fn picked(event: &web_sys::Event, kept: &str) -> String {
    let asked = event_target_value(event);
    event_target::<web_sys::HtmlSelectElement>(event).set_value(kept);
    asked
}
