//! The picture laid flat: if the measure is right, it looks true and agrees with the grid.

use super::bench::Bench;
use super::hand::Act;
use super::ink::path;
use super::marks::Marks;
use super::photo::GRASP;
use super::stage::Stage;
use super::view::{Place, View};
use crate::darkroom::MOST_FLAT_PX;
use crate::phone::darkroom::{self, Unanswered};
use crate::quantity::show::{self, System};
use crate::quantity::{Millimetres, factor::MM_PER_INCH};
use crate::survey::{Footprint, RectifiedFrame, Wall, grid_step};
use leptos::html;
use leptos::prelude::*;
use std::fmt::Write;

/// The wall shown around outline and reference, as a share of their width.
const MARGIN: f64 = 0.06;
/// Lines of the grid across the picture.
const LINES: u32 = 8;

/// What is drawn: found once when the task begins, since marks don't move here.
#[derive(Clone, PartialEq)]
struct Sheet {
    wall: Wall,
    footprint: Footprint,
    frame: RectifiedFrame,
}

/// The rectified picture with its grid and the outline, on a stage of its own.
#[component]
pub fn Check(bench: Bench) -> impl IntoView {
    let sheet = Memo::new(move |_| {
        bench.findings.with(|findings| {
            let findings = findings.as_ref()?;
            let wall = findings.wall.as_ref().ok()?;
            let footprint = findings.footprint.as_ref()?.as_ref().ok()?;
            Some(sheet(wall, footprint))
        })
    });
    move || match sheet.get() {
        Some(sheet) => drawn(bench, sheet),
        None => view! { <div class="stage empty"></div> }.into_any(),
    }
}

/// The frame holds the outline and the reference: a card that looks like a card is the best
/// sign that all is right.
fn sheet(wall: &Wall, footprint: &Footprint) -> Sheet {
    let mut shown = footprint.clone();
    shown.outline_mm.extend(wall.marks());
    let spread = |axis: usize| {
        let (low, high) = shown
            .outline_mm
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                (low.min(p[axis]), high.max(p[axis]))
            });
        high - low
    };
    let margin = Millimetres(spread(0).max(spread(1)) * MARGIN);
    Sheet {
        wall: wall.clone(),
        footprint: footprint.clone(),
        frame: RectifiedFrame::around(wall, &shown, margin, MOST_FLAT_PX),
    }
}

fn drawn(bench: Bench, sheet: Sheet) -> AnyView {
    let size = [f64::from(sheet.frame.width), f64::from(sheet.frame.height)];
    let view = RwSignal::new(View::whole(size, [0.0, 0.0]));
    let finger = RwSignal::new(None::<Place>);
    let paper = NodeRef::<html::Canvas>::new();
    let done = RwSignal::new(0.0);
    let wrong = RwSignal::new(None::<String>);
    let system = bench.desk.settings.get_untracked().system;
    let grid = grid_path(&sheet.frame, system);
    let outline = outline_path(&sheet);
    let reference = reference_path(&sheet, bench);
    let (bar_px, bar_text) = scale_bar(&sheet.frame, system);
    Effect::new(move |_| {
        let (Some(paper), Some(photo)) = (paper.get(), bench.photo.get_untracked()) else {
            return;
        };
        let sheet = sheet.clone();
        leptos::task::spawn_local(async move {
            // The page may have gone: then there is nobody to tell.
            let progress = move |share| {
                done.try_set(share);
            };
            let sight = sheet.wall.sight();
            match darkroom::lay_flat(&photo, sight, &sheet.frame, &paper, progress).await {
                Ok(()) => progress(1.0),
                Err(Unanswered::Because(why)) => drop(wrong.try_set(Some(why))),
                Err(Unanswered::Cancelled) => (),
            }
        });
    });
    let place = move || {
        let View { scale, offset, .. } = view.get();
        format!(
            "translate({} {}) scale({scale})",
            offset[0] + scale / 2.0,
            offset[1] + scale / 2.0
        )
    };
    let shift = move || {
        let View { scale, offset, .. } = view.get();
        format!("translate({}px, {}px) scale({scale})", offset[0], offset[1])
    };
    view! {
        <Stage
            id="check-stage"
            label="The picture laid flat, with a grid in true units"
            size=Signal::stored(size)
            view
            finger
            grip=|_: Place| false
            double_reach=Signal::stored(GRASP)
            act=move |act: Act| {
                if let Act::DoubleTap { at } = act {
                    view.update(|v| {
                        *v = if v.is_whole() { v.zoomed(at, 2.5) } else { View::whole(v.photo, v.stage) };
                    });
                }
            }
            enter=|| {}
        >
            <canvas
                id="rectified"
                class="picture"
                width=size[0]
                height=size[1]
                node_ref=paper
                style:transform=shift
                style:width=format!("{}px", size[0])
                style:height=format!("{}px", size[1])
            ></canvas>
            <svg class="overlay" aria-hidden="true">
                <g class="ink" transform=place>
                    <path class="grid casing" d=grid.clone() />
                    <path class="grid" d=grid />
                    <g class="reference">
                        <path class="casing" d=reference.clone() />
                        <path class="line" d=reference />
                    </g>
                    <g class="outline">
                        <path class="area" d=outline.clone() />
                        <path class="casing" d=outline.clone() />
                        <path class="line" d=outline />
                    </g>
                </g>
            </svg>
            <div class="scale-bar">
                <span style:width=move || format!("{}px", bar_px * view.get().scale)></span>
                {bar_text}
            </div>
            <p
                id="check-progress"
                class="progress"
                role="status"
                hidden=move || { done.get() >= 1.0 || wrong.with(Option::is_some) }
            >
                {move || format!("Laying the picture flat … {:.0} %", done.get() * 100.0)}
            </p>
            <p class="stop" role="alert" hidden=move || wrong.with(Option::is_none)>
                {wrong}
            </p>
        </Stage>
    }
    .into_any()
}

/// A round step of the grid in the user's units.
fn step(span: Millimetres, system: System) -> Millimetres {
    match system {
        System::Metric => grid_step(span, LINES),
        System::UsCustomary => grid_step(span / MM_PER_INCH, LINES) * MM_PER_INCH,
    }
}

fn frame_step(frame: &RectifiedFrame, system: System) -> Millimetres {
    let wide = f64::from(frame.width.max(frame.height)) * frame.mm_per_px;
    step(Millimetres(wide), system)
}

fn grid_path(frame: &RectifiedFrame, system: System) -> String {
    let lines = frame.grid(frame_step(frame, system));
    let mut d = String::new();
    // Writing to a string cannot fail.
    for x in lines.upright {
        let _ = write!(d, "M{x:.2} -0.5V{}", f64::from(frame.height) - 0.5);
    }
    for y in lines.level {
        let _ = write!(d, "M-0.5 {y:.2}H{}", f64::from(frame.width) - 0.5);
    }
    d
}

fn outline_path(sheet: &Sheet) -> String {
    let rings = std::iter::once(&sheet.footprint.outline_mm).chain(&sheet.footprint.holes_mm);
    rings
        .map(|ring| {
            let places: Vec<Place> = ring.iter().map(|mm| sheet.frame.to_frame(*mm)).collect();
            path(&places, true)
        })
        .collect()
}

/// The edges of a rectangle as it was marked, laid flat; nothing for square and rule.
fn reference_path(sheet: &Sheet, bench: Bench) -> String {
    let corners = bench.marks.with_untracked(Marks::rectangle);
    let places: Option<Vec<Place>> = corners
        .into_iter()
        .flatten()
        .map(|px| Some(sheet.frame.to_frame(sheet.wall.to_wall(px)?)))
        .collect();
    places.map_or(String::new(), |places| path(&places, true))
}

/// One step of the grid as a bar: its length in pixels of the frame, and its words.
fn scale_bar(frame: &RectifiedFrame, system: System) -> (f64, String) {
    let step = frame_step(frame, system);
    (step.0 / frame.mm_per_px, show::length(step, system))
}
