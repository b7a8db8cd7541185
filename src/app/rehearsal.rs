//! A rehearsal: a job run through at sixty times the speed, on a copy that is never stored. The
//! clock runs fast for that job alone; what runs elsewhere keeps its own time.
//!
//! Ids: `rehearsal` (the band that says so on every page), `end-rehearsal`.

use super::state::{Desk, use_desk};
use crate::job::JobId;
use crate::phone;
use crate::words::tr;
use chrono::{DateTime, Utc};
use leptos::prelude::*;
use std::time::Duration;

/// How many times as fast.
const SPEED: i32 = 60;

/// What is rehearsed, and since when.
#[derive(Clone, PartialEq, Eq)]
pub struct Rehearsal {
    job: JobId,
    from: DateTime<Utc>,
}

impl Desk {
    /// The time of day for a job: the phone's clock, or the fast one while it is rehearsed.
    pub fn time_of(self, job: &JobId) -> DateTime<Utc> {
        let now = phone::now();
        self.rehearsal.with_untracked(|rehearsal| {
            match rehearsal.as_ref().filter(|r| r.job == *job) {
                Some(rehearsal) => rehearsal.from + (now - rehearsal.from) * SPEED,
                None => now,
            }
        })
    }

    /// The time of day for what is on the screen.
    pub fn time(self) -> DateTime<Utc> {
        let job = self
            .rehearsal
            .with_untracked(|r| r.as_ref().map(|r| r.job.clone()));
        job.map_or_else(phone::now, |job| self.time_of(&job))
    }

    /// How long to wait until it is `at` for a job.
    pub fn wait(self, job: &JobId, at: DateTime<Utc>) -> Option<Duration> {
        let left = (at - self.time_of(job)).to_std().ok()?;
        Some(if self.rehearses(job) {
            left / SPEED as u32
        } else {
            left
        })
    }

    /// Whether this job is being rehearsed: nothing of it is stored then.
    pub fn rehearses(self, job: &JobId) -> bool {
        self.rehearsal
            .with_untracked(|rehearsal| rehearsal.as_ref().is_some_and(|r| r.job == *job))
    }

    /// Begins a rehearsal of a job, with no coat on any of its pieces.
    pub fn rehearse(self, job: &JobId) {
        let Some(mut copy) = self.job_now(job) else {
            return;
        };
        copy.pieces
            .iter_mut()
            .for_each(|piece| piece.coat_log.clear());
        self.rehearsal.set(Some(Rehearsal {
            job: job.clone(),
            from: phone::now(),
        }));
        self.show(job, Some(copy));
    }

    /// Ends it: the job is shown again as it is stored.
    pub fn end_rehearsal(self) {
        let (Some(rehearsal), Some(ledger)) = (self.rehearsal.get_untracked(), self.ledger())
        else {
            return;
        };
        leptos::task::spawn_local(async move {
            let stored = (ledger.newest)(rehearsal.job.clone()).await;
            self.rehearsal.set(None);
            self.show(&rehearsal.job, stored);
        });
    }
}

/// Ends a rehearsal once its job is left.
pub fn end_when_left(desk: Desk) {
    Effect::new(move |_| {
        let place = desk.route.get();
        let there = place.as_ref().and_then(|place| place.job());
        if there.is_none_or(|job| !desk.rehearses(job)) {
            desk.end_rehearsal();
        }
    });
}

/// Says on every page that this is a rehearsal.
#[component]
pub fn Band() -> impl IntoView {
    let desk = use_desk();
    move || {
        desk.rehearsal.with(Option::is_some).then(|| {
            view! {
                <div id="rehearsal" class="band" role="status">
                    <p>
                        <b>{tr("Rehearsal")}</b>
                        {tr(" at 60 times the speed. Nothing is kept.")}
                    </p>
                    <button id="end-rehearsal" on:click=move |_| desk.end_rehearsal()>
                        {tr("End")}
                    </button>
                </div>
            }
        })
    }
}
