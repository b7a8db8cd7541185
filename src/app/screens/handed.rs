//! A file that another app handed over: a photo becomes a new piece's, jobs are offered for import.
//!
//! Ids: `handed-photo`, `handed-new-job`, `handed-jobs` (the list), `handed-nothing`; record.rs has
//! those of an import.

use crate::app::parts::caution::cautions;
use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::record::{self, ImportOffer};
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::coating::permission;
use crate::job::{JobId, Line, Shot};
use crate::phone::handed;
use crate::phone::photo::{self, PhotoUrl};
use crate::words::tr;
use leptos::prelude::*;
use web_sys::File;

/// What waits.
#[derive(Clone)]
enum Waits {
    Looking,
    Nothing,
    Jobs,
    Photo(File, StoredValue<Option<PhotoUrl>>),
}

/// The page of what was handed over.
#[component]
pub fn HandedPage() -> impl IntoView {
    let desk = use_desk();
    let waits = RwSignal::new_local(Waits::Looking);
    let offer = RwSignal::new(None);
    leptos::task::spawn_local(async move {
        let Some(file) = handed::waiting().await else {
            waits.try_set(Waits::Nothing);
            return;
        };
        if file.name().ends_with(".zip") || file.type_() == "application/zip" {
            record::read_file(desk, file, offer).await;
            handed::taken().await;
            waits.try_set(Waits::Jobs);
        } else {
            let url = StoredValue::new(PhotoUrl::of_blob(&file).ok());
            waits.try_set(Waits::Photo(file, url));
        }
    });
    let found = move || match waits.get() {
        Waits::Looking => view! { <p class="soft">{tr("Opening …")}</p> }.into_any(),
        Waits::Jobs => ().into_any(),
        Waits::Photo(file, url) => photo_for(desk, file, url),
        Waits::Nothing => missing(
            "handed-nothing",
            tr("Nothing waits here."),
            tr("Share a photo from the gallery with Peelcast, or open a job file with it.").into(),
            Some((Route::Jobs.to_string(), tr("See all jobs"))),
        ),
    };
    view! {
        {found}
        <ImportOffer desk offer />
    }
}

/// The photo, and the jobs that it may belong to.
fn photo_for(desk: Desk, file: File, url: StoredValue<Option<PhotoUrl>>) -> AnyView {
    let file = StoredValue::new_local(file);
    let address = url.with_value(|url| url.as_ref().map(|url| url.as_str().to_owned()));
    let put = move |job: Option<JobId>| {
        let file = file.get_value();
        leptos::task::spawn_local(async move {
            match photo::take_in(&file).await {
                Ok(photo) => {
                    let shot = Shot {
                        photo: Some(photo),
                        ..Shot::default()
                    };
                    new_piece(desk, job, shot);
                    handed::taken().await;
                    record::mind_room(desk).await;
                }
                Err(why) => desk.warn(why.to_string()),
            }
        });
    };
    let named = |line: &Line| (line.id.clone(), line.name.clone());
    let names: Memo<Vec<_>> =
        Memo::new(move |_| desk.lines.with(|lines| lines.iter().map(named).collect()));
    let one = move |(id, name): (JobId, String)| {
        view! {
            <li>
                <button class="wide" on:click=move |_| put(Some(id.clone()))>
                    {name}
                </button>
            </li>
        }
    };
    let jobs = move || names.get().into_iter().map(one).shown();
    view! {
        <img id="handed-photo" class="handed" src=address alt=tr("The photo that was handed over") />
        <p>{tr("It becomes the photo of a new piece. Which job is it for?")}</p>
        {cautions(&[permission()])}
        <ul id="handed-jobs" class="list plain">{jobs}</ul>
        <button id="handed-new-job" class="main wide" on:click=move |_| put(None)>
            {tr("New job")}
        </button>
    }
    .into_any()
}

/// Adds a piece with that photo, to that job or to a new one, and opens it where it is measured.
fn new_piece(desk: Desk, job: Option<JobId>, shot: Shot) {
    let count = job.as_ref().and_then(|job| desk.job_now(job));
    let mut piece = desk.new_piece(count.map_or(0, |job| job.pieces.len()));
    piece.shots = vec![shot];
    let page = |job: &JobId| Route::Piece(job.clone(), piece.id.clone(), Page::Measure);
    match job {
        Some(job) => {
            let place = page(&job);
            desk.update_and_open(&job, tr("Piece added"), place, move |job| {
                job.pieces.push(piece);
            });
        }
        None => {
            let mut job = desk.new_job();
            let place = page(&job.id);
            job.pieces.push(piece);
            desk.add_job_and_open(job, place);
        }
    }
}
