//! The list of jobs. Ids: `new-job`, `jobs`.

use crate::app::route::Route;
use crate::app::state::use_desk;
use crate::job::{Job, JobId};
use crate::phone;
use leptos::prelude::*;

/// The list of jobs.
#[component]
pub fn Jobs() -> impl IntoView {
    let desk = use_desk();
    let add = move |_| {
        let job = Job {
            id: JobId::new(&phone::new_id()),
            created: phone::now(),
            ..Job::default()
        };
        let place = Route::Job(job.id.clone());
        desk.add_job(job);
        desk.go(&place);
    };
    view! {
        <ul id="jobs" class="list">
            <For
                each=move || desk.jobs.get()
                key=|job| (job.id.clone(), job.rev)
                children=|job| {
                    view! {
                        <li>
                            <a href=Route::Job(job.id.clone()).to_string()>{job.name}</a>
                        </li>
                    }
                }
            />
        </ul>
        <div class="bar">
            <button id="new-job" class="main" on:click=add>
                "New job"
            </button>
        </div>
    }
}
