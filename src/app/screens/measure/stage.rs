//! The stage: a picture that two fingers zoom and one finger pans, and whatever lies on it.

use super::hand::{Act, HOLD_MS, Hand};
use super::view::{Place, View};
use crate::phone::size::{SizeWatch, watch_size};
use crate::words::tr;
use leptos::ev::{KeyboardEvent, PointerEvent, TouchEvent, WheelEvent};
use leptos::html;
use leptos::prelude::*;
use std::time::Duration;
use wasm_bindgen::JsCast;

/// One press of a zoom button, and a double tap.
const ZOOM_STEP: f64 = 1.6;
/// One press of an arrow on the stage itself, in CSS pixels.
const PAN_STEP: f64 = 40.0;

/// A stage for a picture of `size` pixels. Zooming and panning change `view`; every other act is
/// handed to `act`. `grip` says whether something movable lies at a place.
#[component]
pub fn Stage(
    /// Its `id`.
    id: &'static str,
    /// What a screen reader calls it.
    #[prop(into)]
    label: Signal<String>,
    /// Size of the picture in its own pixels.
    #[prop(into)]
    size: Signal<Place>,
    /// Where the picture lies on the stage.
    view: RwSignal<View>,
    /// Where the finger is that drags something.
    finger: RwSignal<Option<Place>>,
    /// Whether something movable lies at a place on the stage.
    #[prop(into)]
    grip: Callback<Place, bool>,
    /// Whether a finger on bare picture draws, rather than moving the picture.
    #[prop(optional)]
    draws: Option<Signal<bool>>,
    /// How near to each other two taps are a double tap, in CSS pixels.
    double_reach: Signal<f64>,
    /// What to do when the hand did something other than zoom and pan.
    #[prop(into)]
    act: Callback<Act>,
    /// What Enter does on the stage, for those who work without a pointer.
    #[prop(into)]
    enter: Callback<()>,
    /// The picture and what lies on it.
    children: Children,
) -> impl IntoView {
    let frame = NodeRef::<html::Div>::new();
    follow_size(frame, size, view);
    let hand = StoredValue::new(Hand::default());
    let perform = move |what: Act| match what {
        Act::Pan { by } => view.update(|v| *v = v.panned(by)),
        Act::Pinch { centres, factor } => view.update(|v| *v = v.pinched(centres, factor)),
        other => act.run(other),
    };
    // Movements are gathered and done once a frame: a screen cannot show more.
    let waiting = StoredValue::new(Vec::<(i32, Place)>::new());
    let flush = move || {
        let moves = waiting.try_update_value(std::mem::take).unwrap_or_default();
        for (id, at) in moves {
            let acts = hand.try_update_value(|hand| hand.moved(id, at));
            acts.into_iter().flatten().for_each(perform);
        }
        let at = hand.try_with_value(Hand::dragging_at).flatten();
        if finger.try_get_untracked().is_some_and(|was| was != at) {
            finger.set(at);
        }
    };
    let place = move |ev: &PointerEvent| {
        let corner = frame.get_untracked().map_or([0.0; 2], |frame| {
            let edge = frame.get_bounding_client_rect();
            [edge.left(), edge.top()]
        });
        [
            fine(ev, "clientX") - corner[0],
            fine(ev, "clientY") - corner[1],
        ]
    };
    let down = move |ev: PointerEvent| {
        if ev.button() != 0 {
            return;
        }
        flush();
        leave_field();
        if let Some(frame) = frame.get_untracked() {
            // Without capture a finger that leaves the stage is only lost.
            let _ = frame.set_pointer_capture(ev.pointer_id());
        }
        let (at, now) = (place(&ev), ev.time_stamp());
        let grip = grip.run(at);
        let draws = draws.is_some_and(|draws| draws.get_untracked());
        let what = hand.try_update_value(|hand| {
            hand.draws = draws;
            hand.down(ev.pointer_id(), at, now, grip)
        });
        what.flatten().into_iter().for_each(perform);
        let rest = move || {
            let what = hand.try_update_value(|hand| hand.rest(now + HOLD_MS));
            what.flatten().into_iter().for_each(perform);
            flush();
        };
        set_timeout(rest, Duration::from_millis(HOLD_MS as u64));
    };
    let moved = move |ev: PointerEvent| {
        let (id, at) = (ev.pointer_id(), place(&ev));
        let first = waiting.try_update_value(|waiting| {
            let first = waiting.is_empty();
            waiting.retain(|w| w.0 != id);
            waiting.push((id, at));
            first
        });
        if first == Some(true) {
            request_animation_frame(flush);
        }
    };
    let up = move |ev: PointerEvent| {
        flush();
        let what = hand.try_update_value(|hand| {
            hand.up(
                ev.pointer_id(),
                ev.time_stamp(),
                double_reach.get_untracked(),
            )
        });
        what.flatten().into_iter().for_each(perform);
        flush();
    };
    let cancelled = move |ev: PointerEvent| {
        flush();
        let what = hand.try_update_value(|hand| hand.cancelled(ev.pointer_id()));
        what.flatten().into_iter().for_each(perform);
        flush();
    };
    let wheel = move |ev: WheelEvent| {
        ev.prevent_default();
        let corner = frame.get_untracked().map(|f| f.get_bounding_client_rect());
        let Some(corner) = corner else { return };
        let about = [
            f64::from(ev.client_x()) - corner.left(),
            f64::from(ev.client_y()) - corner.top(),
        ];
        // Some wheels count lines, not pixels; a pinch on a pad comes as a wheel with Ctrl.
        let lines = if ev.delta_mode() == WheelEvent::DOM_DELTA_LINE {
            16.0
        } else {
            1.0
        };
        let speed = if ev.ctrl_key() { 0.01 } else { 0.002 };
        let factor = (-ev.delta_y() * lines * speed).exp();
        view.update(|v| *v = v.zoomed(about, factor));
    };
    let middle = move || view.get_untracked().stage.map(|s| s / 2.0);
    let zoom = move |factor: f64| view.update(|v| *v = v.zoomed(middle(), factor));
    let key = move |ev: KeyboardEvent| {
        // Keys on a mark belong to the mark.
        if ev.target() != ev.current_target() {
            return;
        }
        match ev.key().as_str() {
            "ArrowLeft" => view.update(|v| *v = v.panned([PAN_STEP, 0.0])),
            "ArrowRight" => view.update(|v| *v = v.panned([-PAN_STEP, 0.0])),
            "ArrowUp" => view.update(|v| *v = v.panned([0.0, PAN_STEP])),
            "ArrowDown" => view.update(|v| *v = v.panned([0.0, -PAN_STEP])),
            "+" | "=" => zoom(ZOOM_STEP),
            "-" => zoom(1.0 / ZOOM_STEP),
            "Enter" => enter.run(()),
            _ => return,
        }
        ev.prevent_default();
    };
    let whole = move |_| view.update(|v| *v = View::whole(v.photo, v.stage));
    let enlarged = Memo::new(move |_| !view.get().is_whole());
    view! {
        <div
            id=id
            class="stage"
            node_ref=frame
            role="group"
            aria-label=label
            tabindex="0"
            on:pointerdown=down
            on:pointermove=moved
            on:pointerup=up
            on:pointercancel=cancelled
            on:touchend=no_click
            on:wheel=wheel
            on:keydown=key
        >
            {children()}
            <div
                class="zoom"
                class:busy=move || finger.get().is_some()
                on:pointerdown=|ev| ev.stop_propagation()
                on:touchend=|ev| ev.stop_propagation()
            >
                <button
                    class="step"
                    aria-label=tr("Zoom in")
                    on:click=move |_| zoom(ZOOM_STEP)
                >
                    "+"
                </button>
                <button
                    class="step"
                    aria-label=tr("Zoom out")
                    on:click=move |_| zoom(1.0 / ZOOM_STEP)
                >
                    "−"
                </button>
                <button
                    id=format!("{id}-whole")
                    aria-label=tr("Whole picture")
                    hidden=move || !enlarged.get()
                    on:click=whole
                >
                    {tr("Whole")}
                </button>
            </div>
        </div>
    }
}

/// Fits the view to the picture and the stage, whichever changes.
fn follow_size(frame: NodeRef<html::Div>, size: Signal<Place>, view: RwSignal<View>) {
    let stage = RwSignal::new([0.0; 2]);
    let watch = StoredValue::new_local(None::<SizeWatch>);
    Effect::new(move |_| {
        if let Some(frame) = frame.get() {
            watch.set_value(watch_size(&frame, move |width, height| {
                stage.try_set([width, height]);
            }));
        }
    });
    Effect::new(move |_| {
        let (size, stage) = (size.get(), stage.get());
        view.update(|view| {
            *view = if view.photo == size {
                view.restaged(stage)
            } else {
                View::whole(size, stage)
            };
        });
    });
}

/// A touch on the stage ends without the browser's click, which would hit whatever has meanwhile
/// appeared under the finger.
fn no_click(ev: TouchEvent) {
    // After a drag the browser sends no click, and takes a refusal amiss.
    if ev.cancelable() {
        ev.prevent_default();
    }
}

/// Leaves the field that is being typed in, so that what was typed counts: without the click the
/// browser does not.
fn leave_field() {
    let field = document()
        .active_element()
        .and_then(|active| active.dyn_into::<web_sys::HtmlInputElement>().ok());
    if let Some(field) = field {
        // A field that cannot be left keeps what was typed.
        let _ = field.blur();
    }
}

/// A coordinate of a pointer with its fraction of a pixel, which the typed getter cuts off: on a
/// photo of 4000 pixels a CSS pixel is ten of the photo's.
fn fine(ev: &PointerEvent, name: &str) -> f64 {
    js_sys::Reflect::get(ev, &name.into())
        .ok()
        .and_then(|value| value.as_f64())
        .unwrap_or_default()
}
