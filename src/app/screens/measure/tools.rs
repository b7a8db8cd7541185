//! Tools that look into the photo, so that a thumb need not be exact: marks go to the corners and
//! ticks they mean, and a ring drawn round the ornament becomes its outline.
//!
//! What was found is stored and drawn like any mark, and can be put back with one tap.

use super::bench::Bench;
use super::marks::Task;
use super::view::{Place, distance};
use crate::darkroom::{Answer, Ask};
use crate::job::Reading;
use crate::phone::darkroom::{self, Unanswered};
use crate::quantity::Millimetres;
use crate::survey::{Reference, RuleMark, Side, Stroke};
use leptos::prelude::*;

/// How the outline is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Point by point.
    Points,
    /// With a ring drawn loosely round the ornament, and strokes that better what it found.
    Ring,
}

/// What a finger draws in a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pen {
    /// The ring itself.
    Ring,
    /// "This too".
    Add,
    /// "Not this".
    Take,
}

/// What a tool has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    text: String,
    /// Whether its last step can be put back.
    put_back: bool,
}

/// The state of the tools. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Tools {
    /// How the outline is set.
    pub way: RwSignal<Way>,
    /// What a finger draws.
    pub pen: RwSignal<Pen>,
    /// What the finger has drawn so far, in photo pixels.
    pub drawn: RwSignal<Vec<Place>>,
    /// The share that is done of what is being looked for.
    busy: RwSignal<Option<f64>>,
    said: RwSignal<Option<Said>>,
}

impl Default for Tools {
    fn default() -> Self {
        Self {
            way: RwSignal::new(Way::Points),
            pen: RwSignal::new(Pen::Ring),
            drawn: RwSignal::new(Vec::new()),
            busy: RwSignal::new(None),
            said: RwSignal::new(None),
        }
    }
}

/// A thumb is off by this on the screen at most, in CSS pixels.
const THUMB: f64 = 24.0;
/// Half the width of a stroke on the screen, in CSS pixels.
const STROKE: f64 = 9.0;

impl Tools {
    /// Whether a finger draws now.
    pub fn draws(self, task: Task) -> bool {
        task == Task::Outline && self.way.get() == Way::Ring
    }

    /// Says nothing more.
    pub fn hush(self) {
        self.said.set(None);
    }

    fn say(self, text: impl Into<String>, put_back: bool) {
        let text = text.into();
        self.said.set(Some(Said { text, put_back }));
    }
}

/// Asks the darkroom; what it answers is handed on if the page still shows the same photo.
fn ask(bench: Bench, ask: Ask, then: impl FnOnce(Answer) + 'static) {
    let tools = bench.tools;
    let Some(photo) = bench.photo.get_untracked() else {
        return;
    };
    tools.hush();
    tools.busy.set(Some(0.0));
    leptos::task::spawn_local(async move {
        let progress = move |share| {
            tools.busy.try_set(Some(share));
        };
        let answer = darkroom::ask(&photo, &ask, progress).await;
        tools.busy.try_set(None);
        let here = bench.photo.try_get_untracked().flatten();
        if here.is_none_or(|here| here.id != photo.id) {
            return;
        }
        match answer {
            Ok(answer) => then(answer),
            Err(Unanswered::Cancelled) => {}
            Err(Unanswered::Because(why)) => tools.say(why, false),
        }
    });
}

/// Looks for the corners that were tapped, once all four are.
pub fn corners(bench: Bench) {
    let near = bench.marks.with_untracked(|m| match &m.reference {
        Some(Reference::Rectangle { corners, .. }) if corners.len() == 4 => m.rectangle(),
        _ => None,
    });
    let Some(near) = near else { return };
    let shortest = (0..4)
        .map(|i| distance(near[i], near[(i + 1) % 4]))
        .fold(f64::INFINITY, f64::min);
    let question = Ask::Corners {
        near: near.clone(),
        // So far the edges of a card are surely straight and alone.
        reach_px: shortest / 4.0,
    };
    ask(bench, question, move |answer| {
        let Answer::Corners(found) = answer else {
            return;
        };
        let count = found.iter().flatten().count();
        bench.change("Corners found", |m| {
            for (tapped, corner) in near.iter().zip(found) {
                if let Some(corner) = corner {
                    m.settle(*tapped, corner.px, corner.sd_px);
                }
            }
        });
        let text = match count {
            0 => "No clear corner was found: zoom in and set each mark by hand.".to_owned(),
            4 => "All four corners were found in the picture.".to_owned(),
            _ => format!("{count} of 4 corners were found: set the others by hand."),
        };
        bench.tools.say(text, count > 0);
    });
}

/// Looks for the ticks between the two outermost readings on this edge of a tool.
pub fn ticks(bench: Bench, side: Side) {
    let ends = bench.marks.with_untracked(|m| {
        let Some(Reference::Marks { marks, .. }) = &m.reference else {
            return None;
        };
        let on = || marks.iter().filter(|mark| mark.side == side);
        let low = on().min_by(|a, b| a.at.0.total_cmp(&b.at.0))?;
        let high = on().max_by(|a, b| a.at.0.total_cmp(&b.at.0))?;
        (low.at.0 < high.at.0).then_some([(low.px, low.at.0), (high.px, high.at.0)])
    });
    let Some(readings) = ends else { return };
    let reach_px = THUMB / bench.view.get_untracked().scale / 2.0;
    ask(bench, Ask::Ticks { readings, reach_px }, move |answer| {
        let Answer::Ticks(found) = answer else {
            return;
        };
        let count = found.ticks.len();
        bench.change("Ticks found", |m| {
            m.readings.retain(|reading| reading.mark.side != side);
            m.readings.extend(found.ticks.iter().map(|tick| Reading {
                mark: RuleMark {
                    px: tick.px,
                    at: Millimetres(tick.at_mm),
                    side,
                },
                sd_px: tick.sd_px,
            }));
        });
        let text = format!("{count} ticks were found between the readings; all of them count now.");
        bench.tools.say(text, true);
    });
}

/// The finger that draws has come to a place on the stage.
pub fn draw(bench: Bench, at: Place) {
    let view = bench.view.get_untracked();
    let px = view.on_picture(view.to_photo(at));
    bench.tools.hush();
    bench.tools.drawn.update(|drawn| drawn.push(px));
}

/// What was drawn is done: a ring, or a stroke in it.
pub fn drawn(bench: Bench) {
    let tools = bench.tools;
    let path = tools.drawn.try_update(std::mem::take).unwrap_or_default();
    let question = match tools.pen.get_untracked() {
        Pen::Ring => Ask::Ring { ring_px: path },
        pen => Ask::Stroke(Stroke {
            ornament: pen == Pen::Add,
            path,
            radius_px: STROKE / bench.view.get_untracked().scale,
        }),
    };
    ask(bench, question, move |answer| {
        let Answer::Outline(found) = answer else {
            return;
        };
        bench.change("Outline found", |m| {
            m.rings = std::iter::once(found.outline).chain(found.holes).collect();
            m.open = None;
        });
        if tools.pen.get_untracked() == Pen::Ring {
            tools.pen.set(Pen::Add);
        }
    });
}

/// The choice of the way, over the head of the photo, and what a finger then draws.
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
        <div class="ways" hidden=move || !tracing.get() class:busy=move || bench.finger.get().is_some()>
            <div class="row fill" role="group" aria-label="How the outline is set">
                {way(Way::Points, "way-points", "Points")} {way(Way::Ring, "way-ring", "Ring")}
            </div>
            <div class="row fill" role="group" aria-label="What you draw" hidden=move || !ringed()>
                {pen(Pen::Add, "pen-add", "This too")} {pen(Pen::Take, "pen-take", "Not this")}
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
                    <p>{format!("Looking into the picture … {:.0} %", share * 100.0)}</p>
                    <button id="tool-stop" on:click=stop>
                        "Stop"
                    </button>
                }
                .into_any(),
            );
        }
        let said = tools.said.get()?;
        let back = said.put_back.then(|| {
            view! {
                <button id="tool-back" on:click=put_back>
                    "Put back"
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
