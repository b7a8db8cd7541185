//! The marks drawn over the photo: lines that keep their strength at every zoom.

use super::bench::Bench;
use super::marks::{Marks, Task};
use super::view::{Place, View};
use leptos::prelude::*;
use std::fmt::Write;

/// The lines of all marks. `view` says where the photo lies in the drawing.
#[component]
pub fn Ink(bench: Bench, #[prop(into)] view: Signal<View>) -> impl IntoView {
    let marks = bench.marks;
    let place = move || {
        let View { scale, offset, .. } = view.get();
        let [x, y] = offset.map(|o| o + scale / 2.0);
        format!("translate({x} {y}) scale({scale})")
    };
    let reference = move || marks.with(|m| m.rectangle().map_or(String::new(), |r| path(&r, true)));
    // What is closed: the outline with its holes, or what stands beside it.
    let closed = move |beside: bool| {
        marks.with(|m| {
            let closed = m.rings.iter().enumerate();
            closed
                .filter(|(i, ring)| m.open != Some(*i) && ring.len() >= 3)
                .filter(|(i, _)| m.is_neighbour(*i) == beside)
                .map(|(_, ring)| path(ring, true))
                .collect::<String>()
        })
    };
    let area = move || closed(false);
    // A section's edge has two ends, and what lies between it and the wall is the piece.
    let edge = move || {
        marks.with(|m| match m.is_section() && m.open.is_none() {
            true => path(m.outline(), false),
            false => closed(false),
        })
    };
    let neighbours = move || closed(true);
    let tracing = move || {
        marks.with(|m| {
            m.open
                .and_then(|i| m.rings.get(i))
                .map_or(String::new(), |ring| path(ring, false))
        })
    };
    let closing = move || {
        marks.with(|m| match m.open.and_then(|i| m.rings.get(i)) {
            Some(ring) if ring.len() >= 3 => path(&[ring[ring.len() - 1], ring[0]], false),
            None if m.is_section() => match m.outline() {
                [first, .., last] => path(&[*last, *first], false),
                _ => String::new(),
            },
            _ => String::new(),
        })
    };
    let found = move || {
        marks
            .with(Marks::found_places)
            .iter()
            .fold(String::new(), |mut d, [x, y]| {
                // Writing to a string cannot fail.
                let _ = write!(d, "M{x:.2} {y:.2}h0");
                d
            })
    };
    let drawn = move || bench.tools.drawn.with(|drawn| path(drawn, false));
    let quiet = move |task: Task| bench.task.get() != task;
    view! {
        <g class="ink" transform=place>
            <g class="reference" class:quiet=move || quiet(Task::Reference)>
                <path class="casing" d=reference />
                <path class="line" d=reference />
                <path class="found" d=found />
            </g>
            <g class="outline" class:quiet=move || quiet(Task::Outline)>
                <path class="area" d=area />
                <path class="casing" d=edge />
                <path class="line" d=edge />
                <path class="casing" d=neighbours />
                <path class="line beside" d=neighbours />
                <path class="casing" d=tracing />
                <path class="line" d=tracing />
                <path class="line closing" d=closing />
                <path class="casing" d=drawn />
                <path class="line" d=drawn />
            </g>
        </g>
    }
}

/// The path through the points.
pub fn path(points: &[Place], closed: bool) -> String {
    let mut d = String::new();
    for (i, [x, y]) in points.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _ = write!(d, "{letter}{x:.2} {y:.2}");
    }
    if closed && !points.is_empty() {
        d.push('Z');
    }
    d
}
