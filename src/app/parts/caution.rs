//! What can hurt someone or something, said beside the work.

use crate::app::parts::shown::Shown;
use crate::coating::Caution;
use crate::words::tr;
use leptos::prelude::*;

/// One caution: what can happen, what to do, and on whose word.
pub fn caution(caution: &Caution) -> AnyView {
    view! {
        <div class="caution">
            <p>
                <strong>{caution.text.clone()}</strong>
                " "
                {caution.advice.clone()}
            </p>
            <p class="source">{tr("Source: ")}{caution.source.to_string()}</p>
        </div>
    }
    .into_any()
}

/// All cautions of a page under one heading; nothing where there is none.
pub fn cautions(all: &[Caution]) -> Option<AnyView> {
    if all.is_empty() {
        return None;
    }
    Some(
        view! {
            <section id="cautions" class="cautions">
                <h2>{tr("Mind")}</h2>
                {all.iter().map(caution).shown()}
            </section>
        }
        .into_any(),
    )
}
