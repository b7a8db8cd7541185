//! The photo with its marks: what a tap sets, what a finger moves, what keys do.

use super::bench::Bench;
use super::hand::Act;
use super::ink::Ink;
use super::loupe::Loupe;
use super::marks::{Marks, Spot, Task};
use super::ring;
use super::stage::Stage;
use super::tools::{self, Way};
use super::view::{Place, View, distance};
use crate::app::parts::shown::keyed;
use crate::words::tr;
use leptos::ev::KeyboardEvent;
use leptos::html;
use leptos::prelude::*;
use std::fmt::Write;

/// A finger takes hold of a mark within this distance, in CSS pixels: the target is 48 px wide.
pub const GRASP: f64 = 24.0;
/// While more marks are to be set, a tap this near to a mark means the mark, and one further
/// away sets the next: corners of a small card and points of a fine outline lie close together.
/// For the same reason two taps must then be this near to each other to be a double tap.
const TOUCH: f64 = 7.0;
/// A tap this near to the first point closes the ring; nearer where the points lie close, since
/// there the next point may be meant.
const CLOSE: [f64; 2] = [6.0, 20.0];
/// Only edges this long show a middle to be pulled.
const LONG_EDGE: f64 = 64.0;
/// Points of an outline that lie closer than this on the stage are drawn as dots.
const DENSE: f64 = 22.0;
/// A double tap enlarges this many times, and shows the whole again from [`ENOUGH`] on.
const DOUBLE_TAP: f64 = 2.5;
const ENOUGH: f64 = 10.0;

/// What lies under a finger that comes down.
#[derive(Clone, Copy)]
enum Under {
    Spot(Spot),
    /// The middle of an edge, which becomes a point when it is pulled.
    Middle {
        ring: usize,
        index: usize,
        at: Place,
    },
}

/// The photo on its stage, with the marks of the task to be moved.
#[component]
pub fn Photo(bench: Bench, #[prop(into)] url: Signal<Option<String>>) -> impl IntoView {
    let size = Signal::derive(move || {
        bench.photo.get().map_or([1.0; 2], |photo| {
            [f64::from(photo.width), f64::from(photo.height)]
        })
    });
    let draws = Signal::derive(move || bench.tools.draws(bench.task.get()));
    let under = StoredValue::new(None::<Under>);
    let grip = move |at: Place| {
        let found = (!draws.get_untracked()).then(|| find(bench, at)).flatten();
        under.set_value(found);
        found.is_some()
    };
    // What is dragged, and where it was in the photo when it was taken up.
    let held = StoredValue::new(None::<(Spot, Place)>);
    // Whether the last tap changed something that a double tap has to take back.
    let tap_changed = StoredValue::new(false);
    let act = move |act: Act| match act {
        Act::Tap { at } if draws.get_untracked() => {
            tools::draw(bench, at);
            tools::drawn(bench);
        }
        Act::Draw { at } => tools::draw(bench, at),
        Act::Drawn => tools::drawn(bench),
        Act::Tap { at } => {
            let before = bench.marks.get_untracked();
            tap(bench, at);
            tap_changed.set_value(bench.marks.with_untracked(|after| *after != before));
        }
        Act::DoubleTap { at } => {
            if tap_changed.get_value() {
                bench.never_mind();
            }
            bench.view.update(|view| {
                *view = if view.magnification() > ENOUGH {
                    View::whole(view.photo, view.stage)
                } else {
                    view.zoomed(at, DOUBLE_TAP)
                };
            });
        }
        Act::Grip => held.set_value(under.get_value().and_then(|under| take_up(bench, under))),
        Act::Hold { at } => held.set_value(set_and_take_up(bench, at)),
        Act::Drag { by } => {
            if let Some((spot, from)) = held.get_value() {
                let by = bench.view.get_untracked().step(by);
                bench.shift(spot, [from[0] + by[0], from[1] + by[1]]);
            }
        }
        Act::Drop => {
            held.set_value(None);
            bench.finish();
        }
        Act::GiveUp => {
            bench.tools.drawn.update(Vec::clear);
            held.set_value(None);
            bench.give_up();
        }
        Act::Pan { .. } | Act::Pinch { .. } => {}
    };
    let double_reach = Signal::derive(move || {
        let task = bench.task.get();
        let wants_more = bench.marks.with(|m| m.wants_more(task));
        if wants_more { TOUCH } else { GRASP }
    });
    let enter = move || {
        let middle = bench.view.get_untracked().stage.map(|s| s / 2.0);
        set_and_take_up(bench, middle);
        bench.finish();
    };
    let view = bench.view;
    let shift = move || view.get().in_css();
    let spots = Memo::new(move |_| {
        let task = bench.task.get();
        bench.marks.with(|marks| marks.spots(task))
    });
    let dense = Memo::new(move |_| {
        let view = view.get();
        bench
            .marks
            .with(|marks| marks.rings.iter().any(|ring| is_dense(ring, view.scale)))
    });
    let middles = move || {
        let mut d = String::new();
        for (_, _, [x, y]) in open_middles(bench, view.get()) {
            // Writing to a string cannot fail.
            let _ = write!(d, "M{x:.1} {y:.1}h0");
        }
        d
    };
    view! {
        <Stage
            id="stage"
            label=tr("The photo. Tap to set a mark; with a keyboard press Enter, then the arrows.")
            size
            view
            finger=bench.finger
            grip
            draws
            double_reach
            act
            enter
        >
            <img
                id="photo"
                class="picture"
                alt=tr("The photo of this piece")
                draggable="false"
                src=url
                style:width=move || format!("{}px", size.get()[0])
                style:height=move || format!("{}px", size.get()[1])
                style:transform=shift
            />
            <svg class="overlay" aria-hidden="true">
                <Ink bench view />
                <path class="middles" d=middles />
            </svg>
            <div class="handles" class:dense=dense hidden=draws>
                {keyed(move || spots.get(), move |spot| handle(bench, spot))}
            </div>
            <Loupe bench url />
        </Stage>
    }
}

/// One mark as a button: small to see, large to touch; arrows move it.
fn handle(bench: Bench, spot: Spot) -> AnyView {
    let button = NodeRef::<html::Button>::new();
    let chosen = Memo::new(move |_| bench.chosen.get() == Some(spot));
    let at = move || {
        let place = bench.marks.with(|marks| marks.place(spot));
        let [x, y] = bench.view.get().to_stage(place.unwrap_or_default());
        format!("translate({x}px, {y}px)")
    };
    // Keys move without storing; the journal is written when the key is let go.
    let moved = StoredValue::new(false);
    let nudge = move |by: Place| {
        moved.set_value(true);
        bench.nudge(spot, by);
    };
    let leave = move || {
        if moved.get_value() {
            moved.set_value(false);
            bench.finish();
        }
    };
    let label = move || bench.marks.with(|marks| marks.label(spot));
    let first = Memo::new(move |_| {
        bench.marks.with(|marks| {
            marks.can_close()
                && !marks.is_section()
                && matches!(spot, Spot::Point { ring, index: 0 } if marks.open == Some(ring))
        })
    });
    let key = move |ev: KeyboardEvent| {
        let step = if ev.shift_key() { 10.0 } else { 1.0 };
        match ev.key().as_str() {
            "ArrowLeft" => nudge([-step, 0.0]),
            "ArrowRight" => nudge([step, 0.0]),
            "ArrowUp" => nudge([0.0, -step]),
            "ArrowDown" => nudge([0.0, step]),
            "Delete" | "Backspace" => bench.remove(spot),
            "Escape" => bench.chosen.set(None),
            _ => return,
        }
        ev.prevent_default();
    };
    // A mark that was taken up by a finger listens to the arrows as well.
    Effect::new(move |_| {
        if let (true, Some(button)) = (chosen.get(), button.get()) {
            let _ = button.focus();
        }
    });
    view! {
        <button
            class="handle"
            class:chosen=chosen
            class:first=first
            class:point=matches!(spot, Spot::Point { .. })
            node_ref=button
            aria-label=label
            style:transform=at
            on:focus=move |_| bench.chosen.set(Some(spot))
            on:keydown=key
            on:keyup=move |_| leave()
            on:blur=move |_| leave()
        ></button>
    }
    .into_any()
}

/// Whether the points of a ring lie close together at this scale.
fn is_dense(ring: &[Place], scale: f64) -> bool {
    let length: f64 = ring.windows(2).map(|w| distance(w[0], w[1])).sum();
    ring.len() > 8 && length * scale < DENSE * (ring.len() - 1) as f64
}

/// The middles of long edges of closed rings, on the stage: ring, index of insertion, place.
fn open_middles(bench: Bench, view: View) -> Vec<(usize, usize, Place)> {
    if bench.task.get() != Task::Outline {
        return Vec::new();
    }
    bench.marks.with(|marks| {
        let rings = marks.rings.iter().enumerate();
        rings
            .filter(|(ring, points)| marks.open != Some(*ring) && points.len() >= 3)
            .flat_map(|(ring, points)| {
                let places: Vec<Place> = points.iter().map(|p| view.to_stage(*p)).collect();
                let middles = ring::middles(&places, !marks.is_section(), LONG_EDGE).into_iter();
                middles.map(move |(index, at)| (ring, index, at))
            })
            .collect()
    })
}

fn find(bench: Bench, at: Place) -> Option<Under> {
    let view = bench.view.get_untracked();
    let middles = untrack(|| open_middles(bench, view));
    let middle = middles
        .into_iter()
        .map(|(ring, index, place)| (distance(place, at), ring, index, place))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|m| m.0 <= GRASP);
    let reach = middle.map_or(GRASP, |m| m.0);
    match (bench.spot_near(at, reach), middle) {
        (Some(spot), _) => Some(Under::Spot(spot)),
        (None, Some((_, ring, index, place))) => Some(Under::Middle {
            ring,
            index,
            at: view.to_photo(place),
        }),
        (None, None) => None,
    }
}

fn take_up(bench: Bench, under: Under) -> Option<(Spot, Place)> {
    match under {
        Under::Spot(spot) => {
            let at = bench.marks.with_untracked(|marks| marks.place(spot))?;
            bench.begin(spot);
            Some((spot, at))
        }
        Under::Middle { ring, index, at } => {
            bench.begin(Spot::Point { ring, index });
            let spot = bench
                .marks
                .try_update(|marks| marks.insert(ring, index, at));
            spot.flatten().map(|spot| (spot, at))
        }
    }
}

/// Sets the next mark and takes it up at once, as one step of undo.
fn set_and_take_up(bench: Bench, at: Place) -> Option<(Spot, Place)> {
    let view = bench.view.get_untracked();
    let at = view.on_picture(view.to_photo(at));
    let task = bench.task.get_untracked();
    if !bench.marks.with_untracked(|marks| marks.wants_more(task)) {
        return None;
    }
    bench.begin_new();
    let spot = bench
        .marks
        .try_update(|marks| marks.add(task, at))
        .flatten()?;
    bench.chosen.set(Some(spot));
    Some((spot, at))
}

/// Whether a tap means the first point of a ring that is being traced, rather than its next.
fn closes(ring: &[Place], at: Place) -> bool {
    let (Some(first), Some([before, last])) = (ring.first(), ring.last_chunk()) else {
        return false;
    };
    let spacing = distance(*before, *last).min(distance(*first, ring[1]));
    distance(*first, at) < (spacing / 2.0).clamp(CLOSE[0], CLOSE[1])
}

fn tap(bench: Bench, at: Place) {
    let view = bench.view.get_untracked();
    let task = bench.task.get_untracked();
    let marks = bench.marks.get_untracked();
    let wants_more = marks.wants_more(task);
    let along_edge = task == Task::Outline && bench.tools.way.get_untracked() == Way::Edge;
    if task == Task::Outline && marks.can_close() && !marks.is_section() {
        let points = marks.open.and_then(|ring| marks.rings.get(ring));
        let places: Vec<Place> = points
            .into_iter()
            .flatten()
            .map(|p| view.to_stage(*p))
            .collect();
        if closes(&places, at) {
            match points.and_then(|points| points.first()) {
                Some(first) if along_edge => tools::follow(bench, *first),
                _ => bench.change(tr("Outline closed"), Marks::close),
            }
            return;
        }
    }
    let px = view.on_picture(view.to_photo(at));
    if let Some(spot) = bench.spot_near(at, TOUCH) {
        bench.chosen.set(Some(spot));
    } else if wants_more && along_edge {
        bench.chosen.set(None);
        tools::follow(bench, px);
    } else if wants_more {
        bench.chosen.set(None);
        bench.change(tr("Mark set"), |marks| {
            marks.add(task, px);
        });
        if task == Task::Reference {
            tools::corners(bench);
        }
    } else {
        tap_on_done(bench, at);
    }
}

/// A tap where no more marks are to be set means a mark or, on an outline, an edge.
fn tap_on_done(bench: Bench, at: Place) {
    let view = bench.view.get_untracked();
    let marks = bench.marks.get_untracked();
    let near = bench.spot_near(at, GRASP);
    let edge = (bench.task.get_untracked() == Task::Outline)
        .then(|| edge_near(&marks, view, at, near.is_some()))
        .flatten();
    let Some((ring, index, foot)) = edge else {
        bench.chosen.set(near);
        return;
    };
    let px = view.to_photo(foot);
    bench.change(tr("Point added"), |marks| {
        marks.insert(ring, index, px);
    });
    bench.chosen.set(Some(Spot::Point { ring, index }));
}

/// The edge that a tap means: ring, index of insertion, foot on the stage. Beside a point it has
/// to be well inside the edge.
fn edge_near(
    marks: &Marks,
    view: View,
    at: Place,
    by_point: bool,
) -> Option<(usize, usize, Place)> {
    let rings = marks.rings.iter().enumerate();
    let edges = rings.filter_map(|(ring, points)| {
        let places: Vec<Place> = points.iter().map(|p| view.to_stage(*p)).collect();
        let (index, foot) = ring::nearest_edge(&places, !marks.is_section(), at, GRASP)?;
        let meant = !by_point || ring::is_mid_edge(&places, index, foot);
        meant.then_some((distance(foot, at), ring, index, foot))
    });
    let (_, ring, index, foot) = edges.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some((ring, index, foot))
}
