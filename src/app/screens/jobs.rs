//! The list of jobs. Ids: `new-job`, `import-file` (a file input), `jobs` (the list), `no-jobs`
//! (what stands there instead).

use crate::app::parts::drawings::{self, Drawing, Drawn};
use crate::app::parts::shown::Shown;
use crate::app::parts::standing;
use crate::app::record::{self, ImportOffer};
use crate::app::route::Route;
use crate::app::state::{Desk, use_desk};
use crate::job::{Job, JobId};
use crate::phone;
use crate::quantity::show;
use leptos::prelude::*;

/// The list of jobs.
#[component]
pub fn Jobs() -> impl IntoView {
    let desk = use_desk();
    let empty = Memo::new(move |_| desk.jobs.with(Vec::is_empty));
    let newest_first = move || {
        let lines = |jobs: &Vec<Job>| jobs.iter().rev().map(|job| one(desk, job)).shown();
        desk.jobs.with(lines)
    };
    let offer = RwSignal::new(None);
    view! {
        <ImportOffer desk offer />
        <Show when=move || empty.get()>
            <Empty />
        </Show>
        <ul id="jobs" class="list" hidden=empty>
            {newest_first}
        </ul>
        <div class="bar">
            <label class="button file">
                <input
                    id="import-file"
                    type="file"
                    accept=".zip,application/zip"
                    on:change=move |event| record::read(desk, &event, offer)
                />
                "Import a job"
            </label>
            <button id="new-job" class="main" on:click=move |_| add(desk)>
                "New job"
            </button>
        </div>
    }
}

/// Adds a job that is ready for its first piece, and opens it.
fn add(desk: Desk) {
    let today = phone::today();
    let job = Job {
        id: JobId::new(&phone::new_id()),
        name: format!("Job of {}", show::day(today)),
        date: Some(today),
        created: phone::now(),
        ..Job::default()
    };
    desk.add_job(job);
    // The first own job is worth keeping: ask the phone not to clear it by itself.
    leptos::task::spawn_local(async {
        phone::room::ask_lasting().await;
    });
}

fn one(desk: Desk, job: &Job) -> AnyView {
    let address = Route::Job(job.id.clone()).to_string();
    let made_up = job
        .made_up
        .then(|| view! { <span class="tag">"Sample, made up"</span> }.into_any());
    let place = (!job.place.is_empty())
        .then(|| view! { <span class="soft">{job.place.clone()}</span> }.into_any());
    let state = standing::of_job(desk, job);
    view! {
        <li>
            <a href=address>
                <span class="lines">
                    <strong>{standing::job_name(job)}</strong>
                    {place}
                    <span>{state}</span>
                    {made_up}
                </span>
            </a>
        </li>
    }
    .into_any()
}

/// What stands there before the first job: what the app does, in the order of the work.
#[component]
fn Empty() -> impl IntoView {
    let steps: [(&Drawing, &str, &str); 5] = [
        (
            &drawings::CARD,
            "Measure",
            "Photograph the ornament with a bank card, a sheet of paper, a square or a rule on the same wall, and trace it.",
        ),
        (
            &drawings::COATS,
            "Plan",
            "See how much paste each coat takes, and how sure that is.",
        ),
        (&drawings::BAG, "Pack", "Tick off what to bring."),
        (
            &drawings::BRUSH,
            "Coat",
            "Let the app time mixing, brushing and waiting, at the wall's own temperature.",
        ),
        (
            &drawings::CAST,
            "Cast",
            "See how much to mix for each copy, and whether the skin stands its heat.",
        ),
    ];
    let one = |(what, verb, sentence)| {
        view! {
            <li class="row">
                <Drawn what />
                <span class="lines">
                    <strong>{verb}</strong>
                    <span>{sentence}</span>
                </span>
            </li>
        }
    };
    view! {
        <section id="no-jobs">
            <p>
                "A job is one place with ornament fixed in it. It holds the pieces you want to copy, each with its photo, its plan and its coats. Everything stays on this phone."
            </p>
            <ol class="list steps">{steps.map(one).into_iter().shown()}</ol>
            <p>"Tap “New job” to begin. The sample job can be brought back in the settings."</p>
        </section>
    }
}
