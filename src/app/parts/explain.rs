//! A number that opens: its inputs, its formula in words, and whose word it is.

use crate::app::parts::shown::Shown;
use crate::app::state::use_desk;
use crate::coating::Explanation;
use crate::quantity::Amount;
use crate::quantity::show::System;
use crate::words::tr;
use leptos::prelude::*;

use super::range::range_mark;

/// The range mark of an amount that has a range.
pub fn amount_mark(amount: &Amount) -> Option<AnyView> {
    match amount {
        Amount::LengthRange(q) => Some(range_mark(q)),
        Amount::AreaRange(q) => Some(range_mark(q)),
        Amount::VolumeRange(q) => Some(range_mark(q)),
        Amount::MassRange(q) => Some(range_mark(q)),
        _ => None,
    }
}

/// One computed number as a line to tap.
pub fn explain(explanation: &Explanation, system: System) -> AnyView {
    let number = view! { {explanation.result.show(system)} " " {amount_mark(&explanation.result)} };
    explain_as(explanation, &explanation.what, number.into_any(), system)
}

/// The same under a name and with a number of the page's own making.
pub fn explain_as(
    explanation: &Explanation,
    what: &str,
    number: AnyView,
    system: System,
) -> AnyView {
    view! {
        <details class="explain">
            <summary>
                <span class="what">{what.to_owned()}</span>
                <span class="number">{number}</span>
            </summary>
            {opened(explanation, system)}
        </details>
    }
    .into_any()
}

/// What an opened number shows: its inputs, its formula and its source.
pub fn opened(explanation: &Explanation, system: System) -> AnyView {
    let inputs = explanation
        .input_texts(system)
        .into_iter()
        .map(|(name, text)| view! { <div><dt>{name}</dt><dd>{text}</dd></div> }.into_any())
        .shown();
    view! {
        <dl class="pairs">{inputs}</dl>
        <p>{explanation.formula.clone()}</p>
        <p class="source">{tr("Source: ")}{explanation.source.to_string()}</p>
    }
    .into_any()
}

/// Several of them, in the reader's units.
#[component]
pub fn Explanations(
    /// The numbers, in the order of the work.
    #[prop(into)]
    all: Signal<Vec<Explanation>>,
) -> impl IntoView {
    let settings = use_desk().settings;
    move || {
        let system = settings.get().system;
        all.with(|all| all.iter().map(|one| explain(one, system)).shown())
    }
}
