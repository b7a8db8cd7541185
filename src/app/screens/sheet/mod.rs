//! The job's sheet: one page of paper a piece.
//!
//! Ids: `print-sheet`, `sheet-PIECE` (one a piece), `no-pieces`.

mod page;
mod pictures;

use crate::app::parts::shown::Shown;
use crate::app::screens::plan::shelf;
use crate::app::state::use_desk;
use crate::job::JobId;
use crate::job::sheet::{Style, sheet};
use crate::phone::{self, time, window};
use crate::words::tr;
use leptos::prelude::*;
use pictures::Pictures;

/// The job's sheet to print.
#[component]
pub fn Sheet(
    /// Whose.
    job: JobId,
) -> impl IntoView {
    let desk = use_desk();
    let job = desk.job(&job);
    let pictures = Pictures::new();
    let stock = shelf::kept();
    let pages = move || {
        let system = desk.settings.get().system;
        let memory = desk.memory.get();
        let style = Style {
            system,
            now: phone::now(),
            today: phone::today(),
            stock: &stock,
            memory: &memory,
            clock: &time::day_and_clock,
        };
        job.with(|job| {
            job.as_ref().map(|job| {
                let sheets = sheet(job, &style);
                pictures.show(sheets.iter().map(|sheet| sheet.flat.clone()).collect());
                let pages = sheets.iter().zip(&job.pieces).enumerate();
                let pages = pages.map(|(i, (sheet, piece))| {
                    page::page(sheet, piece, system, pictures.address(i))
                });
                pages.shown()
            })
        })
    };
    let empty = move || job.with(|job| job.as_ref().is_some_and(|job| job.pieces.is_empty()));
    let nothing = move || {
        empty().then(|| {
            view! {
                <p id="no-pieces" class="wait">
                    {tr("This job has no piece yet, so there is nothing to print. Add a piece first.")}
                </p>
            }
        })
    };
    let print = move |_| {
        if window::print().is_err() {
            desk.warn(
                tr("This browser can't print. Open Peelcast in the phone's main browser, or export the job and print it there."),
            );
        }
    };
    view! {
        {nothing}
        <p class="soft unprinted">{tr("One page of A4 or Letter paper for each piece.")}</p>
        {pages}
        <div class="bar">
            <button id="print-sheet" class="main" disabled=empty on:click=print>
                {tr("Print")}
            </button>
        </div>
    }
}
