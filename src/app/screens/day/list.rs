//! The works of the day as a list, each with the way to move it.

use super::Visit;
use super::inputs::HALF;
use crate::app::parts::shown::Shown;
use crate::job::{DayWork, OnSite, WorkState};
use crate::phone::time;
use crate::say;
use crate::words::tr;
use chrono::TimeDelta;
use leptos::prelude::*;

/// How far a tap moves a start.
const STEP: TimeDelta = TimeDelta::minutes(15);

#[component]
pub fn Works(visit: Visit) -> impl IntoView {
    // Which work's start is being moved, by its piece and its number there.
    let open = RwSignal::new(None::<(usize, usize)>);
    let all = Memo::new(move |_| {
        visit.planned.with(|planned| match planned {
            Some(Ok(OnSite { works, .. })) => works.clone(),
            _ => Vec::new(),
        })
    });
    let lines = move || {
        let works = all.get();
        let lines = works.into_iter().enumerate();
        lines
            .map(|(n, work)| line(visit, open, n + 1, work))
            .shown()
    };
    let left_out = move || {
        let names = visit.planned.with(|planned| match planned {
            Some(Ok(on_site)) => on_site.left_out.clone(),
            _ => Vec::new(),
        });
        let names: Vec<_> = names.into_iter().map(|n| visit.piece_name(n)).collect();
        (!names.is_empty()).then(|| {
            view! {
                <p id="left-out" class="soft">
                    {say!("Not planned yet, so not in here: {names}.", names = names.join(", "))}
                </p>
            }
        })
    };
    view! {
        {left_out}
        <ol id="day-list" class="list">
            {lines}
        </ol>
    }
}

fn line(visit: Visit, open: RwSignal<Option<(usize, usize)>>, n: usize, work: DayWork) -> AnyView {
    let now = visit.desk.now.get_untracked();
    let key = (work.piece, work.work);
    let said = format!("{}: {}", visit.piece_name(work.piece), work.name);
    let (word, free) = match work.state {
        WorkState::Done => ("done", false),
        WorkState::Now => (tr("hands on it now"), false),
        WorkState::Planned => ("", true),
        WorkState::Pinned => (tr("your time"), true),
    };
    let times = format!(
        "{} – {}",
        time::clock(work.from, now),
        time::clock(work.to, now)
    );
    let turn = move |_| {
        open.update(|open| *open = if *open == Some(key) { None } else { Some(key) });
    };
    let button = free.then(|| {
        view! {
            <button
                id=format!("move-{n}")
                aria-expanded=move || (open.get() == Some(key)).to_string()
                aria-label=say!("Move {said}", said)
                on:click=turn
            >
                {tr("Move")}
            </button>
        }
    });
    let pinned = work.state == WorkState::Pinned;
    let form = move || {
        let work = work.clone();
        (open.get() == Some(key)).then(|| mover(visit, open, n, work, pinned))
    };
    view! {
        <li>
            <div class="row work">
                <span class="grow">
                    <b>{times}</b>
                    " "
                    {said.clone()}
                    " "
                    <small>{word}</small>
                </span>
                {button}
            </div>
            {form}
        </li>
    }
    .into_any()
}

/// What moves a start.
fn mover(
    visit: Visit,
    open: RwSignal<Option<(usize, usize)>>,
    n: usize,
    work: DayWork,
    pinned: bool,
) -> AnyView {
    let work = StoredValue::new(work);
    let set = move |at| work.with_value(|work| visit.pin(work, at));
    let by = move |step: TimeDelta| {
        let at = work.with_value(|work| work.from) + step;
        set(Some(at.max(visit.desk.now.get_untracked())));
    };
    let wrong = RwSignal::new(None::<&str>);
    let typed = move |event: web_sys::Event| {
        let at = time::of_field(&event_target_value(&event));
        wrong.set(at.is_none().then(|| tr(HALF)));
        if at.is_some() {
            set(at);
        }
    };
    let let_go = pinned.then(|| {
        let go = move |_| {
            set(None);
            open.set(None);
        };
        view! {
            <button id=format!("let-go-{n}") on:click=go>
                {tr("Leave it to the plan")}
            </button>
        }
    });
    view! {
        <div class="row fill">
            <label class="grow">
                {tr("Starts at ")}
                <input
                    id=format!("start-{n}")
                    type="datetime-local"
                    value=work.with_value(|work| time::to_field(work.from))
                    aria-describedby=format!("start-{n}-error")
                    on:change=typed
                />
            </label>
            <p
                id=format!("start-{n}-error")
                class="error"
                role="alert"
                hidden=move || wrong.with(Option::is_none)
            >
                {wrong}
            </p>
            <button id=format!("sooner-{n}") on:click=move |_| by(-STEP)>
                {tr("15 min sooner")}
            </button>
            <button id=format!("later-{n}") on:click=move |_| by(STEP)>
                {tr("15 min later")}
            </button>
            {let_go}
        </div>
    }
    .into_any()
}
