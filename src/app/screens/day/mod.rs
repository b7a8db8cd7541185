//! The day on site: when each coat of each piece goes on, and when the person can leave.
//!
//! Ids: `leave-at`, `from-best`, `no-day`, `left-out`, `timeline` with `block-1` ..., `day-list`,
//! `move-1` ... (one a work that is still to come), `start-1` ..., `sooner-1` ..., `later-1` ..., `let-go-1` ...;
//! `let-all-go`; `hands-1` ..., `day-begins`, `hours-from`, `hours-to`, `nights-0` ...;
//! `to-calendar`, `calendar-old`, `rehearse-day`, `to-wall`.

pub mod calendar;
mod inputs;
mod list;

use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::parts::timeline::{Block, Picture, timeline};
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::coating::plan;
use crate::job::{DayWork, Job, JobId, OnSite, Piece, Pin, WorkState};
use crate::phone::time;
use crate::quantity::show;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;

/// The day as a page holds it. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Visit {
    desk: Desk,
    id: StoredValue<JobId>,
    job: Memo<Option<Job>>,
    planned: Memo<Option<Result<OnSite, String>>>,
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
        // A tick or a tap makes no plan anew.
        let plans = Memo::new(move |_| {
            inputs.with(|inputs| {
                let one = |input: &Result<_, String>| match input {
                    Ok(input) => plan(input).map_err(|why| why.to_string()),
                    Err(why) => Err(why.clone()),
                };
                inputs.iter().map(one).collect::<Vec<_>>()
            })
        });
        let minute = Memo::new(move |_| {
            let now = desk.now.get();
            now - TimeDelta::seconds(now.timestamp().rem_euclid(60))
        });
        let planned = Memo::new(move |before: Option<&Option<Result<OnSite, String>>>| {
            let now = minute.get();
            let before = before.and_then(|before| before.as_ref()?.as_ref().ok());
            job.with(|job| {
                let job = job.as_ref()?;
                let hours = open_hours(job, now);
                let memory = desk.memory.get();
                plans.with(|plans| Some(job.on_site(plans, &memory, &hours, now, before)))
            })
        });
        Self {
            desk,
            id: StoredValue::new(id),
            job,
            planned,
        }
    }

    /// Changes the job and stores it.
    fn change(self, what: &str, change: impl FnOnce(&mut Job) + 'static) {
        self.desk.update(&self.id.get_value(), what, change);
    }

    /// Lets a work start at a time of the user's own, or again where the plan has it.
    fn pin(self, work: &DayWork, at: Option<DateTime<Utc>>) {
        let (piece, work) = (work.piece, work.work);
        let what = match at {
            Some(_) => "Start moved",
            None => "Start left to the plan",
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
            Some((place, format!("{}: {} at {when}", piece.title(), next.name)))
        })
    }

    /// A piece's name, by its place in the job.
    fn piece_name(self, piece: usize) -> String {
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

/// The day of a job.
#[component]
pub fn DayPage(job: JobId) -> impl IntoView {
    let visit = Visit::new(job);
    let planned = visit.planned;
    let now = visit.desk.now;
    let head = move || {
        planned.with(|planned| match planned.as_ref()? {
            Ok(on_site) => Some(total(on_site, now.get())),
            Err(why) => Some(no_day(visit, why.clone())),
        })
    };
    let picture = Memo::new(move |_| {
        planned.with(|planned| Some(picture(visit, planned.as_ref()?.as_ref().ok()?)))
    });
    let origin =
        Memo::new(move |_| planned.with(|planned| Some(planned.as_ref()?.as_ref().ok()?.origin)));
    let drawn = move || {
        let (picture, origin) = (picture.get()?, origin.get()?);
        let at = move |minute: f64| origin + TimeDelta::seconds((minute * 60.0).round() as i64);
        let minutes = move || (now.get() - origin).num_seconds() as f64 / 60.0;
        let moved = move |(block, minute): (usize, f64)| {
            let work = planned.with_untracked(|planned| {
                planned.as_ref()?.as_ref().ok()?.works.get(block).cloned()
            });
            if let Some(work) = work {
                visit.pin(&work, Some(at(minute).max(now.get_untracked())));
            }
        };
        let clock = move |minute| time::clock(at(minute), now.get_untracked());
        Some(timeline(
            picture,
            Signal::derive(minutes),
            clock,
            Callback::new(moved),
        ))
    };
    let columns = move || {
        let count = picture.with(|p| p.as_ref().map_or(0, |p| p.pieces));
        let names = (0..count).map(|piece| {
            let name = visit.piece_name(piece);
            view! { <span><b>{piece + 1}</b>" "{name}</span> }
        });
        (count > 0).then(|| view! { <p class="columns">{names.shown()}</p> })
    };
    let first = move || {
        let piece = planned.with(|planned| {
            let on_site = planned.as_ref()?.as_ref().ok()?;
            let open = on_site
                .works
                .iter()
                .find(|work| work.state != WorkState::Done)?;
            Some(open.piece)
        })?;
        let job = visit.job.get()?;
        let piece = job.pieces.get(piece)?.id.clone();
        let place = Route::Piece(job.id, piece, Page::Coat);
        Some(view! {
            <a id="to-wall" class="button main" href=place.to_string()>
                "To the wall"
            </a>
        })
    };
    view! {
        {head}
        {columns}
        {drawn}
        <list::Works visit />
        <inputs::Inputs visit />
        <calendar::ToCalendar visit />
        <div class="bar">{first}</div>
    }
}

/// The time to leave, and how good the plan is.
fn total(on_site: &OnSite, now: DateTime<Utc>) -> AnyView {
    let sure = match on_site.from_best.0 {
        0.0 => "No order of the work lets you leave earlier.".to_owned(),
        _ => format!(
            "At most {} from the best.",
            show::duration(on_site.from_best)
        ),
    };
    view! {
        <section class="total">
            <p class="label">"You can leave at"</p>
            <p id="leave-at" class="figure">
                {time::clock(on_site.leave, now)}
            </p>
            <p id="from-best" class="soft">
                {sure}
            </p>
        </section>
    }
    .into_any()
}

/// Why there is no plan, and the way out where a time that the user set may be in the way.
fn no_day(visit: Visit, why: String) -> AnyView {
    let pinned = visit
        .job
        .with(|job| job.as_ref().is_some_and(|job| !job.visit.pins.is_empty()));
    let let_go = move |_| visit.change("All starts left to the plan", |job| job.visit.pins.clear());
    let button = pinned.then(|| {
        view! {
            <button id="let-all-go" on:click=let_go>
                "Leave all starts to the plan"
            </button>
        }
    });
    view! {
        {missing("no-day", "No plan of the day.", why, None)}
        {button}
    }
    .into_any()
}

/// What is drawn, in minutes.
fn picture(visit: Visit, on_site: &OnSite) -> Picture {
    let minute = |at: DateTime<Utc>| (at - on_site.origin).num_seconds() as f64 / 60.0;
    let pieces = visit
        .job
        .with(|job| job.as_ref().map_or(0, |job| job.pieces.len()));
    let block = |work: &DayWork| Block {
        piece: work.piece,
        label: work.name.trim_start_matches("coat ").to_owned(),
        from: minute(work.from),
        to: minute(work.to),
        dead: work.dead.iter().map(|dead| minute(*dead)).collect(),
        state: work.state,
    };
    Picture {
        pieces,
        blocks: on_site.works.iter().map(block).collect(),
        leave: minute(on_site.leave),
        words: format!(
            "The day as a picture: {} works on {pieces} pieces. The list below says the same.",
            on_site.works.len()
        ),
    }
}
