//! The day on site: when each coat of each piece goes on, and when the person can leave.
//!
//! Ids: `planning`, `leave-at`, `from-best`, `no-day`, `left-out`, `timeline` with `block-1` ..., `day-list`,
//! `move-1` ... (one a work that is still to come), `start-1` ..., `sooner-1` ..., `later-1` ..., `let-go-1` ...;
//! `let-all-go`; `hands-1` ..., `day-begins`, `hours-from`, `hours-to`, `nights-0` ...;
//! `to-calendar`, `calendar-old`, `rehearse-day`, `to-wall`.

pub mod calendar;
mod inputs;
mod list;
mod visit;

use crate::say;
use crate::words::tr;
pub use visit::Visit;

use crate::app::parts::explain::explain_as;
use crate::app::parts::missing::missing;
use crate::app::parts::shown::Shown;
use crate::app::parts::timeline::{Block, Picture, timeline};
use crate::app::route::{Page, Route};
use crate::coating::Explanation;
use crate::job::{DayWork, Job, JobId, OnSite, WorkState};
use crate::phone::time;
use crate::quantity::show;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;

/// The day of a job.
#[component]
pub fn DayPage(job: JobId) -> impl IntoView {
    let visit = Visit::new(job);
    let planned = visit.planned;
    let now = visit.desk.now;
    // It stays as it is, and open, while a plan only moves with the minutes that pass.
    let why = Memo::new(move |_| {
        planned.with(|planned| {
            let on_site = planned.as_ref()?.as_ref().ok()?;
            visit
                .job
                .with(|job| Some(on_site.why(&job.as_ref()?.visit)))
        })
    });
    let head = move || match why.get() {
        Some(why) => total(visit, &why),
        None => planned.with(|planned| match planned {
            Some(Err(why)) => no_day(visit, why.clone()),
            Some(Ok(_)) => ().into_any(),
            None => view! { <p id="planning" class="soft">{tr("Planning …")}</p> }.into_any(),
        }),
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
                {tr("To the wall")}
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
fn total(visit: Visit, why: &Explanation) -> AnyView {
    let (planned, now) = (visit.planned, visit.desk.now);
    let read = move |of: &dyn Fn(&OnSite) -> String| {
        planned.with(|planned| Some(of(planned.as_ref()?.as_ref().ok()?)))
    };
    let leave = move || read(&|on_site| time::clock(on_site.leave, now.get()));
    let sure = move || {
        read(&|on_site| match on_site.from_best.0 {
            0.0 => tr("No order of the work lets you leave earlier.").to_owned(),
            _ => say!(
                "At most {from_best} from the best.",
                from_best = show::duration(on_site.from_best)
            ),
        })
    };
    let leave = view! { <b id="leave-at" class="figure">{leave}</b> };
    let system = visit.desk.settings.get().system;
    view! {
        <section class="total">
            {explain_as(why, tr("You can leave at"), leave.into_any(), system)}
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
    let job = visit.id.get_value();
    let way = (!pinned).then(|| (Route::Job(job).to_string(), tr("See its pieces")));
    let let_go = move |_| {
        let what = tr("All starts left to the plan");
        let change = |job: &mut Job| job.visit.pins.clear();
        visit
            .desk
            .update_and_tell(&visit.id.get_value(), what, change);
    };
    let button = pinned.then(|| {
        view! {
            <button id="let-all-go" on:click=let_go>
                {tr("Leave all starts to the plan")}
            </button>
        }
    });
    view! {
        {missing("no-day", tr("No plan of the day."), why, way)}
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
        label: work
            .coat
            .map_or_else(|| work.name.clone(), |coat| coat.to_string()),
        from: minute(work.from),
        to: minute(work.to),
        dead: work.dead.iter().map(|dead| minute(*dead)).collect(),
        state: work.state,
    };
    Picture {
        pieces,
        blocks: on_site.works.iter().map(block).collect(),
        leave: minute(on_site.leave),
        words: say!(
            "The day as a picture: {works} works on {pieces} pieces. The list below says the same.",
            works = on_site.works.len(),
            pieces
        ),
    }
}
