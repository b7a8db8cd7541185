//! The ways to an outline, to be chosen under the photo, and what the tools have to say.

use super::bench::Bench;
use super::marks::Task;
use super::tools::{Pen, Way};
use crate::phone::darkroom;
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The choice of the way, and what a finger then draws.
#[component]
pub fn Ways(bench: Bench) -> impl IntoView {
    let tools = bench.tools;
    let tracing = Memo::new(move |_| bench.task.get() == Task::Outline);
    let way = move |one: Way, id: &'static str, word: &'static str| {
        let choose = move |_| {
            bench.finish();
            bench.chosen.set(None);
            tools.hush();
            tools.pen.set(Pen::Ring);
            tools.way.set(one);
        };
        button(id, word, move || tools.way.get() == one, choose)
    };
    let pen = move |one: Pen, id: &'static str, word: &'static str| {
        button(
            id,
            word,
            move || tools.pen.get() == one,
            move |_| {
                tools.pen.set(one);
            },
        )
    };
    let ringed = move || tools.way.get() == Way::Ring && tools.pen.get() != Pen::Ring;
    view! {
        <div class="ways" hidden=move || !tracing.get()>
            <div class="row fill" role="group" aria-label=tr("How the outline is set")>
                {way(Way::Points, "way-points", tr("Points"))} {way(Way::Edge, "way-edge", tr("Edge"))}
                {move || (!bench.section.get()).then(|| way(Way::Ring, "way-ring", tr("Ring")))}
            </div>
            <div class="row fill" role="group" aria-label=tr("What you draw") hidden=move || !ringed()>
                {pen(Pen::Add, "pen-add", tr("This too"))} {pen(Pen::Take, "pen-take", tr("Not this"))}
            </div>
        </div>
    }
}

fn button(
    id: &'static str,
    word: &'static str,
    pressed: impl Fn() -> bool + Send + 'static,
    press: impl Fn(leptos::ev::MouseEvent) + 'static,
) -> AnyView {
    view! {
        <button id=id aria-pressed=move || pressed().to_string() on:click=press>
            {word}
        </button>
    }
    .into_any()
}

/// What the tools are doing, and what they found or did not find.
#[component]
pub fn Report(bench: Bench) -> impl IntoView {
    let tools = bench.tools;
    let stop = move |_| darkroom::close();
    let put_back = move |_| {
        bench.undo();
        tools.hush();
    };
    let report = move || {
        if let Some(share) = tools.busy.get() {
            return Some(
                view! {
                    <p>{say!("Looking into the picture … {share} %", share = show::fixed(share * 100.0, 0))}</p>
                    <button id="tool-stop" on:click=stop>
                        {tr("Stop")}
                    </button>
                }
                .into_any(),
            );
        }
        let said = tools.said.get()?;
        let back = said.put_back.then(|| {
            view! {
                <button id="tool-back" on:click=put_back>
                    {tr("Put back")}
                </button>
            }
            .into_any()
        });
        Some(view! { <p id="tool-said">{said.text}</p> {back} }.into_any())
    };
    let quiet = move || tools.busy.get().is_none() && tools.said.get().is_none();
    view! {
        <div class="report" role="status" hidden=quiet>
            {report}
        </div>
    }
}
