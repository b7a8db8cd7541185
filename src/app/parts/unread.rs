//! The jobs that are stored here and can't be read, each to be saved to a file as it is.
//!
//! Ids: `unread` (the list), `save-` and the job's name in the stores.

use crate::app::parts::shown::Shown;
use crate::app::state::{Desk, use_desk};
use crate::phone::file::{self, Outgoing};
use crate::phone::store::Unread;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The list, under a heading; nothing where all can be read.
#[component]
pub fn UnreadJobs() -> impl IntoView {
    let desk = use_desk();
    move || {
        let all = desk.unread.get();
        (!all.is_empty()).then(|| {
            view! {
                <section>
                    <h2>{tr("Jobs that can’t be read")}</h2>
                    <p class="hint">
                        {tr("They are left on this phone as they are. A file of one keeps what is stored, byte for byte, for whoever can still make something of it.")}
                    </p>
                    <ul id="unread" class="list plain">
                        {all.into_iter().map(|job| one(desk, job)).shown()}
                    </ul>
                </section>
            }
        })
    }
}

fn one(desk: Desk, job: Unread) -> AnyView {
    let id = format!("save-{}", job.id);
    let name = say!("Job {id}", id = job.id);
    let save = move |_| {
        let outgoing = Outgoing {
            name: format!("peelcast-{}.json", job.id),
            kind: "application/json",
            bytes: serde_json::to_vec(&job).unwrap_or_default(),
        };
        if file::download(&outgoing).is_err() {
            desk.warn(tr(
                "The file could not be saved. Nothing was changed; try again.",
            ));
        }
    };
    view! {
        <li class="row">
            <span class="grow">{name}</span>
            <button id=id on:click=save>
                {tr("Save as it is")}
            </button>
        </li>
    }
    .into_any()
}
