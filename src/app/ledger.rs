//! What is done with the records of the jobs: reading and storing them, and what follows from
//! them. It is a part of the program by itself (`later.rs`): the list of jobs, which is kept in
//! words, is on the screen before it is here.
//!
//! The first part of the program must reach all this through [`Ledger`] alone; one direct call from
//! there, and the build puts it into the first part.

use super::parts::standing;
use super::record::{self, Offer};
use super::state::{Change, Desk};
use super::watch::{self, Running};
use crate::job::{Begun, Job, JobId, Line, Memory, bring_up_to_date};
use crate::phone::database::Trouble;
use crate::phone::local;
use crate::phone::store::{self, Stored};
use leptos::prelude::*;
use std::pin::Pin;

/// What comes later.
type Soon<T> = Pin<Box<dyn Future<Output = T>>>;
/// A change that is being stored.
type Storing = Soon<Result<Stored, Trouble>>;

/// The functions of this part.
#[derive(Clone, Copy)]
pub struct Ledger {
    /// Opens the jobs, shows them and watches what runs; call once.
    pub begin: fn(Desk),
    /// Changes a job and stores it; see [`store::change`].
    pub change: fn(JobId, Option<Job>, String, Change) -> Storing,
    /// The job as it is stored.
    pub newest: fn(JobId) -> Soon<Option<Job>>,
    /// Brings the lines of the list up to date after a job has changed.
    pub list: fn(&mut Vec<Line>, &[Job], Option<&JobId>),
    /// What all jobs together teach.
    pub memory: fn(&[Job], &Begun) -> Memory,
    /// How far a job has come.
    pub standing: fn(Desk, &Job) -> AnyView,
    /// The ways to what runs.
    pub running_coats: fn(Desk, Memo<Vec<Running>>) -> AnyView,
    /// What runs next, in words.
    pub soonest: fn(Desk, Memo<Vec<Running>>) -> Option<String>,
    /// Reads a file and offers what is in it.
    pub read_file: fn(Desk, web_sys::File, RwSignal<Option<Offer>>) -> Soon<()>,
    /// Shows what is in a file, with the user's yes or no.
    pub offered: fn(Desk, RwSignal<Option<Offer>>, Offer) -> AnyView,
}

impl Ledger {
    /// All of it.
    pub fn here() -> Self {
        Self {
            begin,
            change: |id, shown, what, change| {
                Box::pin(async move { store::change(&id, shown, &what, change).await })
            },
            newest: |id| Box::pin(async move { store::newest(&id).await }),
            list: bring_up_to_date,
            memory: |jobs, begun| Memory::of(jobs, begun),
            standing: standing::of_job,
            running_coats: watch::running_coats,
            soonest: watch::soonest,
            read_file: |desk, file, offer| Box::pin(record::read_file(desk, file, offer)),
            offered: record::offered,
        }
    }
}

fn begin(desk: Desk) {
    let running = watch::running(desk);
    watch::watch(desk, running);
    desk.running.set(Some(running));
    store::on_other_tab(move |id| {
        if desk.rehearses(&id) {
            return;
        }
        leptos::task::spawn_local(async move {
            let job = store::newest(&id).await;
            desk.forget_steps(&id);
            desk.show(&id, job);
        });
    });
    leptos::task::spawn_local(async move {
        let opened = store::open().await;
        opened.said.into_iter().for_each(|said| desk.warn(said));
        desk.deleted.set(opened.deleted);
        desk.unread.set(opened.unread);
        desk.jobs.set(opened.jobs);
        watch::open_where_work_stands(desk, running);
        first_start(desk).await;
        desk.ready.set(true);
        desk.list_all().await;
        // Room for photos that no job names any more; what cannot be made today is made at the
        // next start.
        let _ = desk.clear_unused_photos().await;
        record::mind_room(desk).await;
    });
}

/// Puts the sample on a phone that has never seen a job; an address may lead right into it.
async fn first_start(desk: Desk) {
    let unused =
        desk.jobs.with_untracked(Vec::is_empty) && desk.deleted.with_untracked(Vec::is_empty);
    if !local::started() {
        local::keep_started();
        if unused {
            record::add_first_sample(desk).await;
        }
    }
}
