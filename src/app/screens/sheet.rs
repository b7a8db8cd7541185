//! The job's sheet to print.

use crate::app::state::use_desk;
use crate::job::JobId;
use leptos::prelude::*;

/// The job's sheet to print.
#[component]
pub fn Sheet(job: JobId) -> impl IntoView {
    let job = use_desk().job(&job);
    view! { <p>{move || job.get().map(|j| j.name)}</p> }
}
