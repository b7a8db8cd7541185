//! Watches the running coats and patch tests for as long as the app lives, whatever page is open:
//! calls out what is due, keeps the screen on, and shows the way back to the wall.

use super::parts::standing;
use super::route::{Page, Route};
use super::state::Desk;
use crate::app::parts::shown::Shown;
use crate::clock::{self, Due, Progress, Tempo, alerts, finished};
use crate::coating::Plan;
use crate::job::{JobId, Piece};
use crate::phone::alert::{self, Alert};
use crate::phone::{local, time, window};
use crate::quantity::{Minutes, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;
use std::time::Duration;

/// What became due longer ago than this is said on its page, but no longer called out.
const STALE: TimeDelta = TimeDelta::hours(24);
/// The screen stays on for waits up to this long; longer ones would cost too much battery.
const SHORT_WAIT: TimeDelta = TimeDelta::minutes(15);
/// How many calls are remembered as made.
const REMEMBERED: usize = 200;

/// A coating or a patch test that has begun and is not over.
#[derive(Clone, PartialEq)]
pub struct Running {
    /// The page it runs on.
    pub place: Route,
    job: JobId,
    /// Tells its piece from all others.
    key: String,
    name: String,
    work: Work,
}

#[derive(Clone, PartialEq)]
enum Work {
    Coats(Box<(Piece, Plan, Tempo)>),
    /// A wait with what it is for.
    Wait(&'static str, Due),
}

impl Running {
    /// Where the coats stand, if it is a coating.
    fn coats(&self, now: DateTime<Utc>) -> Option<Progress> {
        let Work::Coats(coats) = &self.work else {
            return None;
        };
        let (piece, plan, tempo) = &**coats;
        Some(piece.progress_of(plan, tempo, now))
    }

    /// What it waits for first.
    fn waits_for(&self, now: DateTime<Utc>) -> Option<Due> {
        match self.work {
            Work::Wait(_, due) => still(due, now),
            Work::Coats(_) => self.coats(now)?.timers.first().copied(),
        }
    }

    /// The calls that it still needs.
    fn calls(&self, now: DateTime<Utc>) -> Vec<clock::Alert> {
        let piece = (self.key.as_str(), self.name.as_str());
        match self.work {
            Work::Wait(_, due) => vec![clock::alert(&due, piece)],
            Work::Coats(_) => self
                .coats(now)
                .map_or_else(Vec::new, |progress| alerts(&progress, piece)),
        }
    }

    /// What it is at and when the next thing is due, in a line; nothing if no one waits any more.
    fn line(&self, now: DateTime<Utc>) -> Option<String> {
        let (step, due) = match self.work {
            Work::Wait(what, due) => (what.to_owned(), Some(still(due, now)?)),
            Work::Coats(_) => {
                let progress = self.coats(now)?;
                (progress.step.name(), progress.timers.first().copied())
            }
        };
        let when = due.map(|due| {
            due.overdue(now).unwrap_or_else(|| {
                say!(
                    "{name} at {now}",
                    name = due.kind.name(),
                    now = time::clock(due.at, now)
                )
            })
        });
        let name = &self.name;
        Some(match when {
            Some(when) => format!("{name}: {step}, {when}"),
            None => format!("{name}: {step}"),
        })
    }
}

/// What no one looked at for a day is no longer waited for: it is a help, no duty.
fn still(due: Due, now: DateTime<Utc>) -> Option<Due> {
    (now - due.at < STALE).then_some(due)
}

/// All that runs; changes only when a job does.
pub fn running(desk: Desk) -> Memo<Vec<Running>> {
    Memo::new(move |_| {
        desk.jobs.with(|jobs| {
            let pieces = jobs
                .iter()
                .flat_map(|job| job.pieces.iter().map(move |piece| (job, piece)));
            let running = pieces.flat_map(|(job, piece)| {
                let one = |page, work| Running {
                    place: Route::Piece(job.id.clone(), piece.id.clone(), page),
                    job: job.id.clone(),
                    key: format!("{}/{}", job.id, piece.id),
                    name: standing::piece_name(piece),
                    work,
                };
                let begun = !piece.coat_log.is_empty() && !finished(&piece.coat_log);
                let plan = begun.then(|| piece.plan().ok()).flatten();
                let coats = plan.map(|plan| {
                    let tempo = desk.tempo(&job.id, piece);
                    Work::Coats(Box::new((piece.clone(), plan, tempo)))
                });
                let coats = coats.map(|work| one(Page::Coat, work));
                let patch = piece
                    .patch_due()
                    .map(|due| Work::Wait(tr("patch test"), due));
                let patch = patch.map(|work| one(Page::Pack, work));
                let copy = piece.copy_due().map(|due| Work::Wait("copy", due));
                let copy = copy.map(|work| one(Page::Cast, work));
                [coats, patch, copy].into_iter().flatten()
            });
            running.collect()
        })
    })
}

/// Starts watching; call once, at the root.
pub fn watch(desk: Desk, running: Memo<Vec<Running>>) {
    let wake = RwSignal::new(0_u32);
    let next: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    Effect::new(move |_| {
        wake.track();
        let wait = running.with(|running| call_out(desk, running));
        if let Some(handle) = next.get_value() {
            handle.clear();
        }
        let call = move || {
            wake.try_update(|count| *count += 1);
        };
        next.set_value(wait.and_then(|wait| set_timeout_with_handle(call, wait).ok()));
    });
    // A sleeping phone stops the timer above: look again at every return.
    window::listen_on(&window::document(), "visibilitychange", move |_| {
        wake.try_update(|count| *count += 1);
    });
    Effect::new(move |_| {
        let hands_on = running.with(|running| {
            let coats = running.iter().filter_map(|r| r.coats(desk.time_of(&r.job)));
            coats.into_iter().any(|progress| progress.step.hands_on())
        });
        desk.hands_on.set(hands_on);
    });
    let awake = Memo::new(move |_| running.with(|running| wants_light(desk, running)));
    Effect::new(move |before: Option<bool>| {
        let wanted = awake.get();
        if wanted || before == Some(true) {
            alert::keep_awake(wanted);
        }
        desk.stays_awake.set(wanted && alert::can_keep_awake());
        wanted
    });
    let overdue = Memo::new(move |_| {
        desk.now.track();
        running.with(|running| {
            let over = |running: &&Running| {
                let now = desk.time_of(&running.job);
                running.waits_for(now).is_some_and(|due| due.at <= now)
            };
            running.iter().filter(over).count() as u32
        })
    });
    Effect::new(move |before: Option<u32>| {
        let count = overdue.get();
        if count > 0 || before.is_some_and(|before| before > 0) {
            alert::badge(count);
        }
        count
    });
}

/// Makes the calls that are due and were not made before; returns how long to wait for the next.
fn call_out(desk: Desk, running: &[Running]) -> Option<Duration> {
    let mut made = local::calls_made();
    let mut coming = None;
    for running in running {
        let now = desk.time_of(&running.job);
        for call in running.calls(now) {
            if call.at > now {
                let wait = desk.wait(&running.job, call.at);
                coming = [coming, wait].into_iter().flatten().min();
            } else if now - call.at < STALE && !made.contains(&call.id) {
                made.push(call.id.clone());
                let spare = made.len().saturating_sub(REMEMBERED);
                made.drain(..spare);
                // Remembered first: another tab must not make the same call.
                local::keep_calls_made(&made);
                let rehearsed = desk.rehearses(&running.job);
                alert::raise(&Alert {
                    tag: call.id,
                    title: match rehearsed {
                        true => say!("Rehearsal: {call}", call = call.title),
                        false => call.title,
                    },
                    body: format!("{} ({})", call.body, time::clock(call.at, now)),
                    hash: running.place.to_string(),
                });
            }
        }
    }
    coming
}

/// Whether the screen should stay on: on the Coat page with hands on the paste or a short wait.
fn wants_light(desk: Desk, running: &[Running]) -> bool {
    desk.now.track();
    let open = desk.route.get();
    running.iter().any(|running| {
        let now = desk.time_of(&running.job);
        let Some(progress) = running.coats(now) else {
            return false;
        };
        let short = |at: DateTime<Utc>| at - now <= SHORT_WAIT;
        progress.step.hands_on()
            || open.as_ref() == Some(&running.place)
                && progress.timers.first().is_some_and(|due| short(due.at))
    })
}

/// What is due next, for the window's title: in how many minutes while someone looks, and at which
/// time of the clock while the page is hidden, where a countdown would stand still.
pub fn soonest(desk: Desk, running: Memo<Vec<Running>>) -> Option<String> {
    desk.now.track();
    let now = desk.time();
    let dues = running.with(|running| {
        let waits = |r: &Running| r.waits_for(desk.time_of(&r.job));
        running.iter().filter_map(waits).min_by_key(|due| due.at)
    });
    dues.map(|due| {
        let left = due.left(now).num_seconds();
        let when = match window::visible() && left > 0 {
            true => show::duration(Minutes((left as f64 / 60.0).ceil())),
            false => time::clock(due.at, now),
        };
        format!("{when} {}", due.kind.name())
    })
}

/// Opens the page of a running coat, whatever was looked at last; a page that was merely loaded
/// again stays where it is.
pub fn open_where_work_stands(desk: Desk, running: Memo<Vec<Running>>) {
    let keep = matches!(
        desk.route.get_untracked(),
        Some(Route::Piece(_, _, Page::Coat) | Route::Sheet(_))
    );
    if keep || window::was_reloaded() {
        return;
    }
    let first = running.with_untracked(|running| {
        let mut coats = running.iter().filter(|r| matches!(r.work, Work::Coats(_)));
        coats.next().map(|r| r.place.clone())
    });
    if let Some(place) = first {
        window::go(&place.to_string(), true);
    }
}

/// One line for each running coat and patch test, on every page but its own: what it waits for,
/// and the way there.
pub fn running_coats(desk: Desk, running: Memo<Vec<Running>>) -> AnyView {
    let one = move |running: Running| {
        let place = running.place.clone();
        let here = Memo::new(move |_| desk.route.get().as_ref() == Some(&place));
        let address = running.place.to_string();
        let line = Memo::new(move |_| {
            desk.now.track();
            running.line(desk.time_of(&running.job))
        });
        let hidden = move || here.get() || line.with(Option::is_none);
        view! {
            <a class="running" href=address hidden=hidden>
                {line}
            </a>
        }
        .into_any()
    };
    view! {
        <nav id="running" aria-label=tr("What runs")>
            {move || running.get().into_iter().map(one).shown()}
        </nav>
    }
    .into_any()
}
