//! The picture laid flat: if the measure is right, it looks true and agrees with the grid.

use super::bench::Bench;
use super::distances::{self, Tap};
use super::hand::Act;
use super::ink::path;
use super::marks::Marks;
use super::photo::GRASP;
use super::stage::Stage;
use super::view::{Place, View};
use crate::darkroom::MOST_FLAT_PX;
use crate::job::{Flat, Shot};
use crate::phone::darkroom::{self, Unanswered};
use crate::quantity::show::{self, System};
use crate::quantity::{Millimetres, factor::MM_PER_INCH};
use crate::say;
use crate::survey::{RectifiedFrame, Wall, grid_step};
use crate::words::tr;
use leptos::html;
use leptos::prelude::*;
use std::fmt::Write;

/// Lines of the grid across the picture.
const LINES: u32 = 8;

/// What is drawn: found once when the task begins, since marks don't move here.
#[derive(Clone, PartialEq)]
struct Sheet {
    wall: Wall,
    flat: Flat,
}

/// The rectified picture with its grid and the outline, on a stage of its own.
#[component]
pub fn Check(bench: Bench) -> impl IntoView {
    let sheet = Memo::new(move |_| {
        let photo = bench.photo.get();
        bench.findings.with(|findings| {
            let findings = findings.as_ref()?;
            let wall = findings.wall.as_ref().ok()?;
            let footprint = findings.footprint.as_ref()?.as_ref().ok()?;
            let shot = Shot {
                photo,
                ..Shot::default()
            };
            Some(Sheet {
                flat: Flat::of(&shot, wall, footprint, MOST_FLAT_PX)?,
                wall: wall.clone(),
            })
        })
    });
    move || match sheet.get() {
        Some(sheet) => drawn(bench, sheet),
        None => view! { <div class="stage empty"></div> }.into_any(),
    }
}

fn drawn(bench: Bench, sheet: Sheet) -> AnyView {
    let Sheet { wall, flat } = sheet;
    let size = [f64::from(flat.frame.width), f64::from(flat.frame.height)];
    let view = RwSignal::new(View::whole(size, [0.0, 0.0]));
    let finger = RwSignal::new(None::<Place>);
    let paper = NodeRef::<html::Canvas>::new();
    let done = RwSignal::new(0.0);
    let wrong = RwSignal::new(None::<String>);
    let outline = flat
        .rings
        .iter()
        .map(|ring| path(ring, true))
        .collect::<String>();
    let reference = reference_path(&wall, &flat.frame, bench);
    let begun = RwSignal::new(None::<Place>);
    let tap = Tap {
        bench,
        wall: StoredValue::new(wall.clone()),
        frame: StoredValue::new(flat.frame.clone()),
        begun,
    };
    let lines = distances::lines(tap, view);
    let system = move || bench.desk.settings.get().system;
    let grid = Memo::new(move |_| tap.frame.with_value(|frame| grid_path(frame, system())));
    let bar = Memo::new(move |_| tap.frame.with_value(|frame| scale_bar(frame, system())));
    Effect::new(move |_| {
        let Some(paper) = paper.get() else {
            return;
        };
        let flat = flat.clone();
        leptos::task::spawn_local(async move {
            // The page may have gone: then there is nobody to tell.
            let progress = move |share| {
                done.try_set(share);
            };
            match darkroom::lay_flat(&flat.photo, flat.sight, &flat.frame, &paper, progress).await {
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
    let shift = move || view.get().in_css();
    view! {
        <Stage
            id="check-stage"
            label=tr("The picture laid flat, with a grid in true units")
            size=Signal::stored(size)
            view
            finger
            grip=|_: Place| false
            double_reach=Signal::stored(GRASP)
            act=move |act: Act| match act {
                Act::Tap { at } => tap.at(view.get_untracked().to_photo(at)),
                Act::DoubleTap { at } => {
                    tap.take_back();
                    view.update(|v| {
                        *v = if v.is_whole() { v.zoomed(at, 2.5) } else { View::whole(v.photo, v.stage) };
                    });
                }
                _ => {}
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
                    <path class="grid casing" d=grid />
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
                {lines}
            </svg>
            <div class="scale-bar">
                <span style:width=move || format!("{}px", bar.with(|(px, _)| *px) * view.get().scale)></span>
                {move || bar.with(|(_, words)| words.clone())}
            </div>
            <p
                id="check-progress"
                class="progress"
                role="status"
                hidden=move || { done.get() >= 1.0 || wrong.with(Option::is_some) }
            >
                {move || say!(
                    "Laying the picture flat … {done} %", done = show::fixed(done.get() * 100.0, 0)
                )}
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

/// The edges of a rectangle as it was marked, laid flat; nothing for square and rule.
fn reference_path(wall: &Wall, frame: &RectifiedFrame, bench: Bench) -> String {
    let corners = bench.marks.with_untracked(Marks::rectangle);
    let places: Option<Vec<Place>> = corners
        .into_iter()
        .flatten()
        .map(|px| Some(frame.to_frame(wall.to_wall(px)?)))
        .collect();
    places.map_or(String::new(), |places| path(&places, true))
}

/// One step of the grid as a bar: its length in pixels of the frame, and its words.
fn scale_bar(frame: &RectifiedFrame, system: System) -> (f64, String) {
    let step = frame_step(frame, system);
    (step.0 / frame.mm_per_px, show::length(step, system))
}
