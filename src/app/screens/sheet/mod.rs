//! The job's sheet: one page of paper a piece.
//!
//! Ids: `print-sheet`, `sheet-PIECE` (one a piece), `no-pieces`.

mod page;
mod pictures;

use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::route::Route;
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
    let of_job = StoredValue::new(Route::Job(job.clone()).to_string());
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
            missing(
                "no-pieces",
                tr("This job has no piece yet."),
                tr("Each piece gets a page here, with what is known of it so far.").into(),
                Some((of_job.get_value(), tr("Add a piece"))),
            )
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
        {pages}
        <div class="bar">
            <button id="print-sheet" class="main" disabled=empty on:click=print>
                {tr("Print")}
            </button>
        </div>
    }
}
