//! What can hurt someone or something, said beside the work.

use crate::app::parts::shown::Shown;
use crate::app::route::Route;
use crate::app::state::use_desk;
use crate::coating::{Caution, permission};
use crate::job::JobId;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// One caution: what can happen, what to do, on whose word, and who goes before all of it.
pub fn caution(caution: &Caution) -> AnyView {
    view! {
        <div class="caution">
            <p>
                <strong>{caution.text.clone()}</strong>
                " "
                {caution.advice.clone()}
            </p>
            <p class="source">
                {say!(
                    "Source: {source}. The last word: {whose}.",
                    source = caution.source,
                    whose = caution.topic.last_word()
                )}
            </p>
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

/// That the owner's permission is still to be got, with the way to where it is written down;
/// nothing once it was given.
pub fn permission_first(job: &JobId) -> AnyView {
    let record = use_desk().job(job);
    let way = StoredValue::new(Route::Job(job.clone()).to_string());
    let given = Memo::new(move |_| {
        record.with(|job| job.as_ref().is_none_or(|job| job.permission.granted))
    });
    let shown = move || {
        (!given.get()).then(|| {
            view! {
                {cautions(&[permission()])}
                <p>
                    <a id="to-permission" class="button" href=way.get_value()>
                        {tr("Write the permission down")}
                    </a>
                </p>
            }
        })
    };
    shown.into_any()
}
