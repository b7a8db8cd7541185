//! The countdown: how long still, and the clock time that it ends, which holds with the app
//! closed.

use super::{Stand, of};
use crate::app::parts::bench::Bench;
use crate::app::parts::explain::explain_as;
use crate::app::parts::shown::Shown;
use crate::clock::{Due, DueKind, why_due};
use crate::job::Piece;
use crate::phone::time;
use crate::say;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;

/// What is being waited for. All is said in words too: colour is never the only sign.
#[component]
pub fn Countdown(bench: Bench, progress: Stand) -> impl IntoView {
    let now = bench.desk.now;
    let timers = of(progress, |p| p.timers.clone());
    let first = move || timers.with(|timers| timers.first().copied());
    let big = move || first().map(|due| face(due, now.into(), "coat"));
    let others = move || {
        let lines = timers.get().into_iter().skip(1).map(move |due| {
            view! {
                <p class="soft">
                    {format!("{}: {}.", capital(due.kind.name()), time::clock(due.at, now.get_untracked()))}
                </p>
            }
        });
        lines.shown()
    };
    let alarm = move || first().and_then(|due| alarm(&due, now.get_untracked(), "coat"));
    let reason = move || first().and_then(|due| bench.read(|piece| why(bench, piece, &due)));
    view! {
        {big}
        {others}
        {alarm}
        {reason}
    }
}

/// How a moment came about, to be opened.
pub fn why(bench: Bench, piece: &Piece, due: &Due) -> Option<AnyView> {
    let why = why_due(due, &bench.desk.tempo(&bench.job(), piece))?;
    let system = bench.system();
    let number = view! { {why.result.show(system)} };
    let what = tr("How this time comes about");
    Some(explain_as(&why, what, number.into_any(), system))
}

/// The countdown of one moment; its ids are `NAME-countdown` and `NAME-until`.
pub fn face(due: Due, now: Signal<DateTime<Utc>>, name: &str) -> AnyView {
    let long = move || due.left(now.get()).num_seconds().abs() >= 3600;
    let over = Memo::new(move |_| due.left(now.get()).num_seconds() <= 0);
    let harm = harmful(due.kind);
    let late = move || harm && over.get();
    let ready = move || !harm && over.get();
    let soon = move || {
        let left = due.left(now.get()).num_seconds();
        harm && (1..=SOON_SECONDS).contains(&left)
    };
    view! {
        <div class="countdown" class:late=late class:ready=ready class:soon=soon>
            <p class="label">{move || heading(due.kind, over.get())}</p>
            <p
                id=format!("{name}-countdown")
                class="seconds"
                class:long=long
                role="timer"
                aria-live="off"
            >
                {move || clockwork(due.left(now.get()))}
            </p>
            <TimeLine due now />
            <p id=format!("{name}-until") class="until">
                {move || ends(&due, now.get())}
            </p>
            <p class="soft">{sureness(&due)}</p>
        </div>
    }
    .into_any()
}

/// What rings when the app can't: nothing for what is too short or over. Its id is `NAME-alarm`.
pub fn alarm(due: &Due, now: DateTime<Utc>, name: &str) -> Option<AnyView> {
    let worth =
        !matches!(due.kind, DueKind::Mixed | DueKind::Stood) && due.left(now).num_seconds() > 0;
    worth.then(|| {
        view! {
            <p id=format!("{name}-alarm")>
                {say!("This app can't ring once it is closed or the phone is locked. Set your phone's alarm for {at}.", at = time::clock(due.at, now))}
            </p>
        }
        .into_any()
    })
}

/// The last stretch, in which a working time is marked as ending.
const SOON_SECONDS: i64 = 120;

/// Whether being late spoils something; a touch test or a peeling can wait.
fn harmful(kind: DueKind) -> bool {
    matches!(kind, DueKind::WorkingEnds | DueKind::RecoatLatest)
}

fn heading(kind: DueKind, over: bool) -> &'static str {
    match (kind, over) {
        (DueKind::Mixed, false) => tr("Mix on for"),
        (DueKind::Mixed, true) => tr("Mixed long enough since"),
        (DueKind::Stood, false) => tr("Let it stand for"),
        (DueKind::Stood, true) => tr("Thick enough since"),
        (DueKind::WorkingEnds, false) => tr("Working time left"),
        (DueKind::WorkingEnds, true) => tr("Working time is over by"),
        (DueKind::Recoat, false) => tr("Touch it in"),
        (DueKind::Recoat, true) => tr("Ready to touch since"),
        (DueKind::RecoatLatest, false) => tr("Next coat within"),
        (DueKind::RecoatLatest, true) => tr("Next coat is late by"),
        (DueKind::Patch, false) => tr("Look at it in"),
        (DueKind::Patch, true) => tr("Ready to look at since"),
        (DueKind::Copy, false) => tr("Take it out in"),
        (DueKind::Copy, true) => tr("Ready to come out since"),
        (DueKind::Demould, false) => tr("Peel in"),
        (DueKind::Demould, true) => tr("Ready to peel since"),
    }
}

/// The clock time in words, and how long it is past.
fn ends(due: &Due, now: DateTime<Utc>) -> String {
    let at = time::clock(due.at, now);
    match due.late_by(now) {
        Some(None) => say!("It is due now, {at}.", at),
        Some(Some(late)) => say!("It was due {late} ago, at {at}.", late, at),
        None if harmful(due.kind) => say!("until {at}", at),
        None => say!("at {at}", at),
    }
}

/// How sure the time is.
fn sureness(due: &Due) -> Option<String> {
    let (earliest, likely) = (
        time::clock(due.earliest, due.likely),
        time::clock(due.likely, due.likely),
    );
    if earliest == likely {
        return None;
    }
    Some(match due.kind {
        DueKind::WorkingEnds | DueKind::RecoatLatest => {
            say!(
                "The careful end of the range; it likely lasts until {likely}.",
                likely
            )
        }
        _ => {
            say!(
                "At the earliest {earliest}, likely {likely}.",
                earliest,
                likely
            )
        }
    })
}

/// "11:32" under an hour, "1:05:09" under ten, "14 h 20" beyond; with a plus once it is over.
pub fn clockwork(left: TimeDelta) -> String {
    let left = left.num_seconds();
    let sign = if left < 0 { "+" } else { "" };
    let seconds = left.abs();
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    match hours {
        0 => format!("{sign}{minutes}:{rest:02}"),
        1..=9 => format!("{sign}{hours}:{minutes:02}:{rest:02}"),
        _ => format!("{sign}{hours} h {minutes:02}"),
    }
}

/// With a capital first letter, to stand at the head of a line.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| {
            std::iter::once(first.to_ascii_uppercase())
                .chain(letters)
                .collect()
        })
        .unwrap_or_default()
}

/// The span as a line, with a dot for now and the range at its end: the same mark as beside
/// every other number.
#[component]
fn TimeLine(due: Due, now: Signal<DateTime<Utc>>) -> impl IntoView {
    let end = due.likely.max(due.at);
    let whole = (end - due.from).num_seconds().max(1) as f64;
    let place = move |at: DateTime<Utc>| {
        ((at - due.from).num_seconds() as f64 / whole).clamp(0.0, 1.0) * 300.0
    };
    let early = place(due.earliest);
    view! {
        <svg class="range line" viewBox="-10 -10 320 20" aria-hidden="true">
            <path d="M0 0H300" />
            <path class="sure" d=format!("M{early:.1} -7v14M{early:.1} 0H300v-7v14") />
            <circle r="7" cx=move || format!("{:.1}", place(now.get())) />
        </svg>
    }
}
