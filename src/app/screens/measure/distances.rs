//! Distances between two taps on the picture laid flat, each with its range.

use super::bench::Bench;
use super::explained::of_distance;
use super::view::{Place, View};
use crate::app::parts::explain::explain;
use crate::app::parts::shown::{Shown, keyed};
use crate::job::{Measured, Shot};
use crate::quantity::show;
use crate::say;
use crate::survey::{RectifiedFrame, Wall, distance};
use crate::words::tr;
use leptos::prelude::*;

/// What a tap on the flat picture means.
#[derive(Clone, Copy)]
pub struct Tap {
    pub bench: Bench,
    pub wall: StoredValue<Wall>,
    pub frame: StoredValue<RectifiedFrame>,
    /// Where a distance begins whose end is still to be tapped, in pixels of the frame.
    pub begun: RwSignal<Option<Place>>,
}

impl Tap {
    /// Begins a distance, or ends the one that was begun.
    pub fn at(self, at: Place) {
        let Some(from) = self.begun.get_untracked() else {
            self.begun.set(Some(at));
            return;
        };
        self.begun.set(None);
        let to_photo = |at: Place| {
            let mm = self.frame.with_value(|frame| frame.to_wall(at));
            self.wall.with_value(|wall| wall.to_photo(mm))
        };
        if let (Some(from), Some(to)) = (to_photo(from), to_photo(at))
            && from != to
        {
            let ends = [from, to];
            self.bench
                .change(tr("Distance measured"), |m| m.distances.push(ends));
        }
    }

    /// The tap was the first half of a double tap, which means something else.
    pub fn take_back(self) {
        self.begun.set(None);
    }
}

/// The distances as lines with their lengths, and the place where one was begun.
pub fn lines(tap: Tap, view: RwSignal<View>) -> impl Fn() -> AnyView {
    let all = Memo::new(move |_| {
        let distances = tap.bench.marks.with(|m| m.distances.clone());
        let shot = Shot {
            photo: tap.bench.photo.get(),
            distances,
            ..Shot::default()
        };
        tap.wall
            .with_value(|wall| tap.frame.with_value(|frame| shot.measured(wall, frame)))
    });
    move || {
        let view = view.get();
        let system = tap.bench.desk.settings.get().system;
        let line = |measured: &Measured| {
            let [a, b] = measured.ends.map(|end| view.to_stage(end));
            let d = format!("M{:.1} {:.1}L{:.1} {:.1}", a[0], a[1], b[0], b[1]);
            view! {
                <path class="casing" d=d.clone() />
                <path class="line" d=d />
                <text
                    x=format!("{:.1}", (a[0] + b[0]) / 2.0)
                    y=format!("{:.1}", (a[1] + b[1]) / 2.0 - 6.0)
                >
                    {show::length(measured.length.value, system)}
                </text>
            }
        };
        let begun = tap.begun.get().map(|at| {
            let [x, y] = view.to_stage(at);
            let d = format!("M{:.1} {y:.1}h16M{x:.1} {:.1}v16", x - 8.0, y - 8.0);
            view! {
                <path class="casing" d=d.clone() />
                <path class="line" d=d />
            }
        });
        let lines = all.with(|all| all.iter().map(line).shown());
        view! { <g class="ink distances">{lines} {begun}</g> }.into_any()
    }
}

/// The distances in words, each to be taken out.
#[component]
pub fn Distances(bench: Bench) -> impl IntoView {
    let count = Memo::new(move |_| bench.marks.with(|m| m.distances.len()));
    let one = move |index: usize| {
        let words = move || {
            let ends = bench.marks.with(|m| m.distances.get(index).copied())?;
            let system = bench.desk.settings.get().system;
            bench.findings.with(|found| {
                let found = found.as_ref()?;
                let wall = found.wall.as_ref().ok()?;
                let length = distance(wall, ends, found.marking_sd_px).ok()?;
                let why = bench.marks.with(|marks| of_distance(length, found, marks));
                Some(explain(&why, system))
            })
        };
        view! {
            <li class="row signed">
                {words}
                <button
                    id=format!("distance-{index}-remove")
                    class="remove"
                    on:click=move |_| {
                        bench.change(tr("Distance removed"), |m| {
                            m.distances.remove(index);
                        });
                    }
                >
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    view! {
        <details id="distances" hidden=move || count.get() == 0>
            <summary>{move || say!("Distances ({count})", count = count.get())}</summary>
            <ul class="list">{keyed(move || (0..count.get()).collect(), one)}</ul>
        </details>
    }
}
