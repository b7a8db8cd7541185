//! What stands under the picture, in reach of the thumb: figures, advice, tools, the main action
//! and the switch between the three tasks.

use super::bench::Bench;
use super::distances::Distances;
use super::explained::of_section;
use super::heights;
use super::marks::{Marks, Spot, Task};
use super::reference::ReferenceTools;
use super::strip::{Advice, Figures};
use super::tools;
use super::ways::Ways;
use crate::app::parts::explain::explain;
use crate::app::parts::toast::Toasts;
use crate::app::purpose::MEASURE;
use crate::app::route::{Page, Route};
use crate::words::tr;
use leptos::prelude::*;

/// The panel.
#[component]
pub fn Panel(bench: Bench) -> impl IntoView {
    let task = bench.task;
    let tracing = Memo::new(move |_| bench.marks.with(|m| m.wants_more(Task::Outline)));
    let tools = move || match task.get() {
        Task::Reference => view! { <ReferenceTools bench /> }.into_any(),
        // While points are set the photo has the room.
        Task::Outline => view! {
            <div hidden=move || tracing.get()>
                {move || match bench.section.get() {
                    true => view! {
                        {heights::field(bench, &heights::GAUGE)}
                        {move || section_why(bench)}
                    }
                    .into_any(),
                    false => view! {
                        <Figures bench />
                        {heights::field(bench, &heights::OUTLINE)}
                    }
                    .into_any(),
                }}
            </div>
        }
        .into_any(),
        Task::Check => view! {
            <Figures bench />
            <Distances bench />
            {to_heights(bench)}
        }
        .into_any(),
    };
    let action = move || match task.get() {
        Task::Reference => to_outline(bench),
        Task::Outline => outline_action(bench),
        Task::Check => to_plan(bench),
    };
    view! {
        <div class="panel">
            <Ways bench />
            <div class="known">
                {tools}
                <div class="said">
                    <Advice bench />
                    <News bench />
                </div>
                // While marks are set the advice says what comes next, and the photo has the room.
                <p class="purpose" hidden=move || task.get() != Task::Check>
                    {tr(MEASURE)}
                </p>
            </div>
            <div class="actions">
                <button
                    id="undo-mark"
                    disabled=move || !bench.can_undo.get()
                    on:click=move |_| bench.undo()
                >
                    {tr("Undo")}
                </button>
                <button
                    id="redo-mark"
                    disabled=move || !bench.can_redo.get()
                    on:click=move |_| bench.redo()
                >
                    {tr("Redo")}
                </button>
                {action}
            </div>
            <nav class="tasks" aria-label=tr("Steps of measuring")>
                {task_button(bench, Task::Reference)} {task_button(bench, Task::Outline)}
                {task_button(bench, Task::Check)}
            </nav>
        </div>
    }
}

/// How the length and the heights of a section came about.
fn section_why(bench: Bench) -> Option<AnyView> {
    let system = bench.desk.settings.get().system;
    bench.findings.with(|findings| {
        let findings = findings.as_ref()?;
        let why = bench.marks.with(|marks| of_section(findings, marks))?;
        Some(explain(&why, system))
    })
}

fn task_button(bench: Bench, task: Task) -> impl IntoView {
    let (id, word) = match task {
        Task::Reference => ("task-reference", tr("Reference")),
        Task::Outline => ("task-outline", tr("Outline")),
        Task::Check => ("task-check", tr("Check")),
    };
    let current = move || (bench.task.get() == task).then_some("step");
    let section = bench.section;
    let word = move || match task {
        Task::Outline if section.get() => tr("Section"),
        _ => word,
    };
    view! {
        <button
            id=id
            aria-current=current
            hidden=move || task == Task::Check && section.get()
            on:click=move |_| go(bench, task)
        >
            {word}
        </button>
    }
}

fn go(bench: Bench, task: Task) {
    bench.finish();
    bench.chosen.set(None);
    bench.tools.hush();
    bench.task.set(task);
}

fn to_outline(bench: Bench) -> AnyView {
    let ready = move || {
        bench
            .findings
            .with(|f| f.as_ref().is_some_and(|f| f.wall.is_ok()))
    };
    main_button(
        "to-outline",
        move || match bench.section.get() {
            true => tr("Tap along the edge"),
            false => tr("Trace the outline"),
        },
        ready,
        move || go(bench, Task::Outline),
    )
}

/// The one main action, to be pressed once it is `ready`.
fn main_button(
    id: &'static str,
    words: impl Fn() -> &'static str + Send + 'static,
    ready: impl Fn() -> bool + Send + 'static,
    press: impl Fn() + 'static,
) -> AnyView {
    view! {
        <button id=id class="main" disabled=move || !ready() on:click=move |_| press()>
            {words}
        </button>
    }
    .into_any()
}

fn outline_action(bench: Bench) -> AnyView {
    let tracing = Memo::new(move |_| bench.marks.with(|m| m.wants_more(Task::Outline)));
    let hole = Memo::new(move |_| bench.marks.with(|m| m.open.is_some_and(|ring| ring > 0)));
    let can_close = move || bench.marks.with(Marks::can_close);
    let measured = move || {
        bench
            .findings
            .with(|f| matches!(f, Some(f) if matches!(f.footprint, Some(Ok(_)))))
    };
    (move || {
        if tracing.get() {
            main_button(
                "close-outline",
                move || {
                    if hole.get() {
                        tr("Close it")
                    } else if bench.section.get() {
                        tr("This was the end")
                    } else {
                        tr("Close outline")
                    }
                },
                can_close,
                move || bench.change(tr("Outline closed"), Marks::close),
            )
        } else if bench.section.get() {
            section_to_heights(bench)
        } else {
            main_button(
                "to-check",
                || tr("Check the picture"),
                measured,
                move || go(bench, Task::Check),
            )
        }
    })
    .into_any()
}

/// The address of the page where a section is placed and heights are read.
pub fn heights_page(bench: Bench) -> String {
    let (job, piece) = bench.names();
    Route::Heights(job, piece).to_string()
}

fn section_to_heights(bench: Bench) -> AnyView {
    view! {
        <a id="section-to-heights" class="button main" href=move || heights_page(bench)>
            {tr("Place it on the piece")}
        </a>
    }
    .into_any()
}

fn to_heights(bench: Bench) -> AnyView {
    view! {
        <p>
            <a id="to-heights" class="button" href=move || heights_page(bench)>
                {tr("Read heights on it")}
            </a>
        </p>
    }
    .into_any()
}

fn to_plan(bench: Bench) -> AnyView {
    let address = move || {
        let (job, piece) = bench.names();
        Route::Piece(job, piece, Page::Plan).to_string()
    };
    view! {
        <a id="to-plan" class="button main" href=address>
            {tr("Plan the coats")}
        </a>
    }
    .into_any()
}

/// News takes the place of the advice for a while: over the photo it would take taps that mean a
/// mark, and nothing may move when it comes and goes.
#[component]
fn News(bench: Bench) -> impl IntoView {
    let here = bench.desk.places_news;
    here.set(true);
    on_cleanup(move || here.set(false));
    view! { <Toasts /> }
}

/// What lies over the foot of the photo: steps of one photo pixel for the chosen mark and its
/// removal, or the way to a hole or a neighbour.
#[component]
pub fn PhotoTools(bench: Bench) -> impl IntoView {
    let can_add_hole = Memo::new(move |_| {
        bench.task.get() == Task::Outline
            && bench.chosen.get().is_none()
            && bench
                .marks
                .with(|m| m.open.is_none() && m.outline().len() >= 3)
    });
    let begin_hole = move |_| match bench.section.get_untracked() {
        true => bench.change(tr("Section gone on with"), Marks::go_on),
        false => bench.change(tr("Hole or neighbour begun"), Marks::open_hole),
    };
    let shown = Memo::new(move |_| bench.task.get() != Task::Check && bench.chosen.get().is_some());
    let step = move |by: [f64; 2]| {
        move |_| {
            if let Some(spot) = bench.chosen.get_untracked() {
                bench.nudge(spot, by);
                bench.finish();
            }
        }
    };
    let button = move |id: &'static str, label: &'static str, sign: &'static str, by: [f64; 2]| {
        view! {
            <button id=id aria-label=label on:click=step(by)>
                {sign}
            </button>
        }
    };
    let remove = move |_| {
        if let Some(spot) = bench.chosen.get_untracked() {
            bench.remove(spot);
        }
    };
    let name = move || {
        bench.chosen.get().map_or(String::new(), |spot: Spot| {
            bench.marks.with(|marks| marks.label(spot))
        })
    };
    view! {
        <div class="corner row" hidden=move || !can_add_hole.get()>
            <button id="settle" on:click=move |_| tools::settle(bench)>
                {tr("Pull to the edge")}
            </button>
            <button id="add-hole" on:click=begin_hole>
                {move || if bench.section.get() { tr("Go on at its end") } else { tr("Hole or neighbour") }}
            </button>
        </div>
        <div
            class="nudge"
            role="group"
            aria-label=name
            hidden=move || !shown.get()
            class:busy=move || bench.finger.get().is_some()
        >
            {button("nudge-left", tr("One pixel left"), "◀", [-1.0, 0.0])}
            {button("nudge-up", tr("One pixel up"), "▲", [0.0, -1.0])}
            {button("nudge-down", tr("One pixel down"), "▼", [0.0, 1.0])}
            {button("nudge-right", tr("One pixel right"), "▶", [1.0, 0.0])}
            <button id="remove-mark" class="remove" on:click=remove>
                {tr("Remove")}
            </button>
        </div>
    }
}
