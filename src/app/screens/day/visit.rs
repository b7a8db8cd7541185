//! The day as a page holds it, planned anew as things change.

use crate::app::parts::bench::plan_of;
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::clock::day::{Ask, DayPlan};
use crate::coating::Plan;
use crate::job::{DayWork, Job, JobId, OnSite, Piece, Pin, Unplanned, WorkState};
use crate::phone::{darkroom, time};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The day as a page holds it. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Visit {
    pub(super) desk: Desk,
    pub(super) id: StoredValue<JobId>,
    pub(super) job: Memo<Option<Job>>,
    /// The last plan that was found, until a newer one is; `None` before the first.
    pub(super) planned: RwSignal<Option<Result<OnSite, String>>>,
    plans: Memo<Vec<Result<Plan, String>>>,
    minute: Memo<DateTime<Utc>>,
    work: StoredValue<Work>,
}

/// How far the planning is.
#[derive(Clone, Copy, Default)]
struct Work {
    /// Something has changed that is not planned yet.
    due: bool,
    /// A plan is being looked for.
    runs: bool,
    /// The worker could not answer.
    by_page: bool,
}

impl Visit {
    /// Plans the day of a job, and anew as it changes and minutes pass.
    pub fn new(id: JobId) -> Self {
        let desk = use_desk();
        let job = desk.job(&id);
        let inputs = Memo::new(move |_| {
            let of = |job: &Job| job.pieces.iter().map(Piece::plan_input).collect::<Vec<_>>();
            job.with(|job| job.as_ref().map(of)).unwrap_or_default()
        });
        // A tick or a tap makes no plan of a piece anew.
        let plans = Memo::new(move |_| inputs.with(|all| all.iter().map(plan_of).collect()));
        let minute = Memo::new(move |_| {
            let now = desk.now.get();
            now - TimeDelta::seconds(now.timestamp().rem_euclid(60))
        });
        let visit = Self {
            desk,
            id: StoredValue::new(id),
            job,
            planned: RwSignal::new(None),
            plans,
            minute,
            work: StoredValue::default(),
        };
        Effect::new(move |_| {
            visit.asked();
            let runs = visit.work.get_value().runs;
            visit
                .work
                .update_value(|work| (work.due, work.runs) = (true, true));
            if !runs {
                spawn_local(visit.plan_while_due());
            }
        });
        on_cleanup(darkroom::close);
        visit
    }

    /// The day as it is to be planned now, changed as little as possible from the plan that is
    /// shown, and the job that it is of.
    fn asked(self) -> Option<(Job, Result<Unplanned, String>)> {
        let (job, now) = (self.job.get()?, self.minute.get());
        let hours = open_hours(&job, now);
        let memory = self.desk.memory.get();
        let asked = self.plans.with(|plans| {
            self.planned.with_untracked(|before| {
                let before = before.as_ref().and_then(|before| before.as_ref().ok());
                job.unplanned(plans, &memory, &hours, now, before)
            })
        });
        Some((job, asked))
    }

    /// Plans until nothing is due. One question is asked at a time, always the newest; what is due
    /// in the meantime waits for the answer. The page may go at any `await`, and its signals with
    /// it.
    async fn plan_while_due(self) {
        let set = |change: fn(&mut Work)| self.work.try_update_value(change).is_some();
        while self.work.try_get_value().is_some_and(|work| work.due) {
            set(|work| work.due = false);
            let (job, asked) = match untrack(|| self.asked()) {
                Some((job, Ok(asked))) => (job, asked),
                other => {
                    self.show(other.and_then(|(_, asked)| Some(Err(asked.err()?))));
                    continue;
                }
            };
            let Some(plan) = self.answer(&asked.ask).await else {
                return;
            };
            // What was changed in the meantime makes the answer void. A minute that has passed does
            // not, or else a rehearsal, whose minutes are seconds, might never see one.
            if self.job.with_untracked(|now| now.as_ref() == Some(&job)) {
                let plans = self.plans.get_untracked();
                self.show(Some(plan.map(|plan| job.on_site(&plans, asked, plan))));
            }
        }
        set(|work| work.runs = false);
    }

    /// Asks the worker, or plans here where it can't; `None` once the page is gone.
    async fn answer(self, ask: &Ask) -> Option<Result<DayPlan, String>> {
        if !self.work.try_get_value()?.by_page {
            let answer = darkroom::plan(ask).await;
            self.work.try_get_value()?;
            if let Ok(plan) = answer {
                return Some(plan);
            }
            self.work.update_value(|work| work.by_page = true);
        }
        Some(ask.answer().map_err(|clash| clash.to_string()))
    }

    fn show(self, planned: Option<Result<OnSite, String>>) {
        if self.planned.with_untracked(|shown| *shown != planned) {
            self.planned.set(planned);
        }
    }

    /// Changes the job and stores it.
    pub(super) fn change(self, what: &str, change: impl FnOnce(&mut Job) + 'static) {
        self.desk.update(&self.id.get_value(), what, change);
    }

    /// Lets a work start at a time of the user's own, or again where the plan has it.
    pub(super) fn pin(self, work: &DayWork, at: Option<DateTime<Utc>>) {
        let (piece, work) = (work.piece, work.work);
        let what = match at {
            Some(_) => tr("Start moved"),
            None => tr("Start left to the plan"),
        };
        self.change(what, move |job| {
            let Some(id) = job.pieces.get(piece).map(|piece| piece.id.clone()) else {
                return;
            };
            let pins = &mut job.visit.pins;
            pins.retain(|pin| pin.piece != id || pin.work != work);
            pins.extend(at.map(|at| Pin {
                piece: id,
                work,
                at,
            }));
        });
    }

    /// The next work that is still to come: its page, and what and when it is in words.
    pub fn next(self) -> Option<(Route, String)> {
        let now = self.desk.now.get();
        let job = self.job.get()?;
        self.planned.with(|planned| {
            let works = &planned.as_ref()?.as_ref().ok()?.works;
            let to_come = |w: &&DayWork| matches!(w.state, WorkState::Planned | WorkState::Pinned);
            let next = works.iter().find(to_come)?;
            let piece = job.pieces.get(next.piece)?;
            let place = Route::Piece(job.id.clone(), piece.id.clone(), Page::Coat);
            let when = time::clock(next.from, now);
            Some((
                place,
                say!(
                    "{piece}: {name} at {when}",
                    piece = piece.title(),
                    name = next.name,
                    when
                ),
            ))
        })
    }

    /// A piece's name, by its place in the job.
    pub(super) fn piece_name(self, piece: usize) -> String {
        self.job.with(|job| {
            let piece = job.as_ref().and_then(|job| job.pieces.get(piece));
            piece.map_or(String::new(), |piece| piece.title().to_owned())
        })
    }
}

/// When hands may work on site: each day's hours, for the nights that may lie in between.
fn open_hours(job: &Job, now: DateTime<Utc>) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
    let Some((open, close)) = job.visit.hours else {
        return Vec::new();
    };
    let begins = job.visit.begins.map_or(now, |begins| begins.max(now));
    // Who comes after closing begins on the next day.
    let days = 0..=job.visit.nights as i32 + 1;
    let day = |day| {
        (
            time::on_day(begins, day, open),
            time::on_day(begins, day, close),
        )
    };
    days.map(day)
        .filter(|(_, close)| *close > begins)
        .take(job.visit.nights as usize + 1)
        .collect()
}
