//! The job's sheet: one page of paper a piece.
//!
//! Ids: `print-sheet`, `sheet-PIECE` (one a piece), `no-pieces`.

mod page;

use crate::app::parts::standing::job_name;
use crate::app::state::use_desk;
use crate::job::{Job, JobId};
use crate::phone::window;
use leptos::prelude::*;

/// The job's sheet to print.
#[component]
pub fn Sheet(
    /// Whose.
    job: JobId,
) -> impl IntoView {
    let desk = use_desk();
    let job = desk.job(&job);
    let pages = move || {
        let system = desk.settings.get().system;
        job.with(|job| {
            job.as_ref().map(|job| {
                let pages = job.pieces.iter().map(|piece| {
                    view! {
                        <article class="sheet" id=format!("sheet-{}", piece.id)>
                            {head(job)}
                            {page::page(piece, system)}
                        </article>
                    }
                });
                pages.collect_view()
            })
        })
    };
    let empty = move || job.with(|job| job.as_ref().is_some_and(|job| job.pieces.is_empty()));
    let nothing = move || {
        empty().then(|| {
            view! {
                <p id="no-pieces" class="wait">
                    "This job has no piece yet, so there is nothing to print. Add a piece first."
                </p>
            }
        })
    };
    let print = move |_| {
        if window::print().is_err() {
            desk.warn(
                "This browser can't print. Open Peelcast in the phone's main browser, or export the job and print it there.",
            );
        }
    };
    view! {
        {nothing}
        <p class="soft unprinted">"One page of A4 or Letter paper for each piece."</p>
        {pages}
        <div class="bar">
            <button id="print-sheet" class="main" disabled=empty on:click=print>
                "Print"
            </button>
        </div>
    }
}

/// What stands at the head of every page: the job, and whose leave was given.
fn head(job: &Job) -> AnyView {
    let permission = &job.permission;
    let mut leave = if permission.granted {
        let by = permission.by.trim();
        match by {
            "" => "given".to_owned(),
            by => format!("given by {by}"),
        }
    } else {
        "not written down".to_owned()
    };
    if let Some(on) = permission.on {
        leave += &format!(", {on}");
    }
    let conditions = permission.note.trim();
    if !conditions.is_empty() {
        leave += &format!(". {conditions}");
    }
    let day = job.date.map_or(String::new(), |date| date.to_string());
    let facts: Vec<&str> = [job.place.trim(), day.as_str(), job.contact.trim()]
        .into_iter()
        .filter(|fact| !fact.is_empty())
        .collect();
    let made_up = job
        .made_up
        .then(|| view! { <p class="made-up">"Made up: a sample, no real place or work"</p> });
    let note = job.note.trim().to_owned();
    view! {
        <header>
            {made_up}
            <p class="sheet-job">
                <b>{job_name(job)}</b>
                {facts.iter().map(|fact| format!(" · {fact}")).collect::<String>()}
            </p>
            <p>"Permission to mould: " {leave} ". " {note}</p>
        </header>
    }
    .into_any()
}
