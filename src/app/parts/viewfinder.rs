//! The viewfinder: the live camera with a level; the shutter waits for a still hand and keeps
//! where down is with the photo.

use crate::job::PhotoRef;
use crate::phone::now;
use crate::phone::photo;
use crate::phone::viewfinder::{Camera, LevelWatch, frame, watch_level};
use crate::quantity::show;
use crate::say;
use crate::survey::{Rest, pitch, roll};
use crate::words::tr;
use leptos::html;
use leptos::prelude::*;
use std::time::Duration;

/// Within this the bars say that the phone is held straight, in degrees.
const STRAIGHT: f64 = 1.0;
/// The bars' picture moves by so many pixels a degree of pitch.
const PER_DEGREE: f64 = 4.0;
/// After this long the shutter goes off though the hand still moves, in milliseconds.
const PATIENCE_MS: u64 = 3000;

/// The viewfinder over the whole screen.
#[component]
pub fn Viewfinder(
    /// What is done with the photo.
    taken: Callback<PhotoRef>,
    /// Ends the viewfinder.
    close: Callback<()>,
) -> impl IntoView {
    let video = NodeRef::<html::Video>::new();
    let camera = StoredValue::new_local(None::<Camera>);
    let watch = StoredValue::new_local(None::<LevelWatch>);
    let wrong = RwSignal::new(None::<String>);
    // Whether the camera shows something: before that there is nothing to take.
    let running = RwSignal::new(false);
    let held = RwSignal::new(None::<[f64; 3]>);
    // Whether the shutter was pressed and waits for a still hand.
    let waiting = RwSignal::new(false);
    let taking = StoredValue::new(false);
    let take = move || {
        let Some(video) = video.get_untracked() else {
            return;
        };
        if taking.try_update_value(|taking| std::mem::replace(taking, true)) != Some(false) {
            return;
        }
        let gravity = held.get_untracked();
        leptos::task::spawn_local(async move {
            let kept = match frame(&video).await {
                Ok(picture) => photo::take_in_frame(&picture, gravity).await,
                Err(_) => Err(photo::PhotoError::Unreadable),
            };
            taking.try_set_value(false);
            match kept {
                Ok(photo) => {
                    close.run(());
                    taken.run(photo);
                }
                Err(why) => {
                    waiting.try_set(false);
                    wrong.try_set(Some(why.to_string()));
                }
            }
        });
    };
    let press = move |_| {
        wrong.set(None);
        if held.with_untracked(Option::is_none) {
            return take();
        }
        waiting.set(true);
        let go = move || {
            if waiting.try_get_untracked() == Some(true) {
                take();
            }
        };
        set_timeout(go, Duration::from_millis(PATIENCE_MS));
    };
    Effect::new(move |_| {
        let Some(video) = video.get() else { return };
        leptos::task::spawn_local(async move {
            match Camera::start(&video).await {
                Ok(started) => {
                    camera.try_set_value(Some(started));
                    running.try_set(true);
                }
                Err(why) => drop(wrong.try_set(Some(why))),
            }
        });
        leptos::task::spawn_local(async move {
            let mut rest = Rest::default();
            let level = watch_level(move |gravity| {
                held.try_set(Some(gravity));
                let at_rest = rest.feels(gravity, now().timestamp_millis() as f64);
                if at_rest && waiting.try_get_untracked() == Some(true) {
                    take();
                }
            });
            watch.try_set_value(Some(level.await));
        });
    });
    let turn = move || {
        let gravity = held.get()?;
        let roll = roll(gravity)?;
        Some((roll, pitch(gravity)))
    };
    let bar = move || {
        let (roll, pitch) = turn().unwrap_or_default();
        format!("rotate({roll:.1}) translate(0 {:.1})", pitch * PER_DEGREE)
    };
    let straight = move || turn().is_some_and(|(roll, pitch)| roll.hypot(pitch) < STRAIGHT);
    let words = move || match (held.get(), turn()) {
        // What stopped it is said beside this.
        _ if !running.get() && wrong.with(Option::is_some) => String::new(),
        _ if !running.get() => tr("The camera is starting …").into(),
        (None, _) => {
            tr("This phone doesn’t say how it is held; the photo works all the same.").into()
        }
        (_, None) => tr("The camera looks straight up or down.").into(),
        (_, Some((roll, pitch))) => say!(
            "Turned {roll}°, {up} {pitch}°",
            roll = show::fixed(roll.abs(), 0),
            up = if pitch < 0.0 { tr("down") } else { tr("up") },
            pitch = show::fixed(pitch.abs(), 0)
        ),
    };
    view! {
        <section id="viewfinder" class="viewfinder" aria-label=tr("Viewfinder")>
            <video node_ref=video playsinline muted></video>
            <svg class="level" class:straight=straight viewBox="-100 -100 200 200" aria-hidden="true">
                <path class="casing" d="M-90 0h55M35 0h55" />
                <path class="line" d="M-90 0h55M35 0h55" />
                <g transform=bar hidden=move || turn().is_none()>
                    <path class="casing" d="M-30 0h60M0 -5v10" />
                    <path class="line" d="M-30 0h60M0 -5v10" />
                </g>
            </svg>
            <p id="level" class="words" role="status">
                {move || if waiting.get() { tr("Hold still …").into() } else { words() }}
            </p>
            <p class="stop" role="alert" hidden=move || wrong.with(Option::is_none)>
                {wrong}
            </p>
            <div class="row fill">
                <button id="viewfinder-close" on:click=move |_| close.run(())>
                    {tr("Back")}
                </button>
                <button id="shutter" class="main" disabled=move || waiting.get() || !running.get() on:click=press>
                    {tr("Take the photo")}
                </button>
            </div>
        </section>
    }
}
