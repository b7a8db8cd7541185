//! The picture laid flat, with pins, and what a finger does on it.

use super::layer::{self, Look};
use super::{Chosen, Finger, Table};
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::shown::Shown;
use crate::job::Flat;
use crate::phone::darkroom::{self, Unanswered};
use crate::phone::photo::PhotoUrl;
use crate::phone::{canvas, window};
use crate::quantity::Millimetres;
use crate::relief::{Overhang, contains};
use crate::say;
use crate::survey::Mm;
use crate::words::tr;
use leptos::ev::{KeyboardEvent, MouseEvent, PointerEvent};
use leptos::html;
use leptos::prelude::*;
use std::fmt::Write;

/// The longer side of what is painted over the photo, in pixels.
const LONGEST: f64 = 512.0;
/// A tap so near to a pin takes it up, in CSS pixels.
const NEAR: f64 = 22.0;
/// Half the width of the brush, in CSS pixels.
const BRUSH: f64 = 14.0;
/// The width that marks are drawn for, in CSS pixels.
const WIDE: f64 = 358.0;

/// The picture with its layers and marks.
pub fn picture(table: Table, flat: Flat) -> AnyView {
    let url = photo(table, flat.clone());
    let [wide, tall] = [flat.frame.width, flat.frame.height].map(f64::from);
    let shrink = (LONGEST / wide.max(tall)).min(1.0);
    let size = [wide, tall].map(|n| ((n * shrink).round() as u32).max(1));
    let paper = NodeRef::<html::Canvas>::new();
    let ground = NodeRef::<html::Div>::new();
    let flat = StoredValue::new(flat);
    let layer = Memo::new(move |_| flat.with_value(|flat| layer::layer(table, flat)));
    Effect::new(move |_| {
        let (Some(paper), true) = (paper.get(), layer.with(Option::is_some)) else {
            return;
        };
        let pixels = layer.with(|layer| {
            flat.with_value(|flat| layer.as_ref().map(|layer| layer.pixels(flat, size)))
        });
        // A canvas that can't be painted stays clear, and the photo is seen.
        let _ = canvas::paint(&paper, size[0], size[1], &pixels.unwrap_or_default());
    });
    let drawn = RwSignal::new(Vec::<[f64; 2]>::new());
    // Pixels of the frame, and how many of them a CSS pixel takes.
    let place = move |event: &MouseEvent| {
        let shown = ground.get_untracked().map_or(0, |e| e.client_width());
        let scale = wide / f64::from(shown.max(1));
        let at = [event.offset_x(), event.offset_y()].map(|x| f64::from(x) * scale - 0.5);
        (at, scale)
    };
    let to_wall = move |at: [f64; 2]| flat.with_value(|flat| flat.frame.to_wall(at));
    let click = move |event: MouseEvent| {
        if table.finger.get_untracked() == Finger::Pin {
            let (at, scale) = place(&event);
            let near = flat.with_value(|flat| NEAR * scale * flat.frame.mm_per_px);
            tap(table, to_wall(at), near);
        }
    };
    let down = move |event: PointerEvent| {
        if table.finger.get_untracked() != Finger::Pin {
            if let Some(ground) = ground.get_untracked() {
                // Without it a finger that leaves the picture ends there.
                let _ = ground.set_pointer_capture(event.pointer_id());
            }
            drawn.set(vec![place(&event).0]);
        }
    };
    let moved = move |event: PointerEvent| {
        if drawn.with_untracked(Vec::is_empty) {
            return;
        }
        let (at, scale) = place(&event);
        let far = drawn.with_untracked(|d| {
            d.last()
                .is_some_and(|last| (last[0] - at[0]).hypot(last[1] - at[1]) > 4.0 * scale)
        });
        if far {
            drawn.update(|drawn| drawn.push(at));
        }
    };
    let up = move |event: PointerEvent| {
        let path: Vec<Mm> = drawn.with_untracked(|d| d.iter().map(|at| to_wall(*at)).collect());
        drawn.set(Vec::new());
        let (_, scale) = place(&event);
        let brush = flat.with_value(|flat| BRUSH * scale * flat.frame.mm_per_px);
        done(table, path, brush);
    };
    let key = move |event: KeyboardEvent| {
        let step = if event.shift_key() { 10.0 } else { 1.0 };
        let by = match event.key().as_str() {
            "ArrowLeft" => [-step, 0.0],
            "ArrowRight" => [step, 0.0],
            "ArrowUp" => [0.0, -step],
            "ArrowDown" => [0.0, step],
            "Enter" => return window::focus("pin-height"),
            _ => return,
        };
        event.prevent_default();
        flat.with_value(|flat| nudge(table, flat, by));
    };
    let marks = move || flat.with_value(|flat| marks(table, flat, wide / WIDE));
    let line = move || {
        let (width, class) = match table.finger.get() {
            Finger::Overhang => (2.0 * BRUSH, "brush"),
            _ => (2.5, "cut"),
        };
        let places = drawn.get();
        let ends: Vec<_> = match table.finger.get() {
            Finger::Section => places
                .first()
                .into_iter()
                .chain(places.last())
                .copied()
                .collect(),
            _ => places,
        };
        let d = way(&ends, false);
        view! { <path class=class d=d stroke-width=width * wide / WIDE /> }
    };
    let legend = move || layer.with(|layer| layer.as_ref().map(|l| layer::legend(table, l)));
    view! {
        <div
            id="heights-picture"
            class="relief-picture"
            class:draws=move || table.finger.get() != Finger::Pin
            tabindex="0"
            role="application"
            aria-label=tr("The piece laid flat. Tap a place to pin a height there; arrow keys move the cross, Enter types its height.")
            style:aspect-ratio=format!("{wide} / {tall}")
            node_ref=ground
            on:click=click
            on:pointerdown=down
            on:pointermove=moved
            on:pointerup=up
            on:pointercancel=move |_| drawn.set(Vec::new())
            on:keydown=key
        >
            <img src=url alt="" draggable="false" />
            <canvas node_ref=paper hidden=move || layer.with(Option::is_none)></canvas>
            <svg viewBox=format!("-0.5 -0.5 {wide} {tall}") aria-hidden="true">
                {marks}
                {line}
            </svg>
        </div>
        {legend}
    }
    .into_any()
}

/// The address of the photo laid flat, once it is.
fn photo(table: Table, flat: Flat) -> RwSignal<Option<String>> {
    let url = RwSignal::new(None::<String>);
    let held = StoredValue::new_local(None::<PhotoUrl>);
    leptos::task::spawn_local(async move {
        match darkroom::flat_picture(&flat.photo, flat.sight, &flat.frame).await {
            Ok(found) => {
                url.try_set(Some(found.as_str().to_owned()));
                held.try_set_value(Some(found));
            }
            Err(Unanswered::Because(why)) => table.bench.desk.warn(why),
            Err(Unanswered::Cancelled) => (),
        }
    });
    url
}

/// Takes up the pin that is near, or chooses a new place.
fn tap(table: Table, at: Mm, near: f64) {
    let far = |pin: Mm| (pin[0] - at[0]).hypot(pin[1] - at[1]);
    let nearest = table.record.with_untracked(|record| {
        let pins = record.readings.iter().map(|reading| far(reading.at));
        let pins = pins.enumerate().filter(|(_, far)| *far < near);
        pins.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(n, _)| n)
    });
    if nearest.is_none() && !on_piece(table, at) {
        return table
            .bench
            .desk
            .tell(tr("That is the wall. Tap a place inside the outline."));
    }
    table.chosen.set(Some(Chosen { at, pin: nearest }));
}

fn on_piece(table: Table, at: Mm) -> bool {
    table.bench.piece.with_untracked(|piece| {
        let found = piece.as_ref().and_then(|piece| piece.footprint().ok());
        found.is_some_and(|found| contains(&found.outline_mm, &found.holes_mm, at))
    })
}

/// Moves the chosen place by so many millimetres as the picture lies.
fn nudge(table: Table, flat: &Flat, by: [f64; 2]) {
    let frame = &flat.frame;
    let middle = [frame.width, frame.height].map(|n| f64::from(n) / 2.0);
    let current = untrack(|| table.current());
    let (from, pin) = match current {
        Some((chosen, _)) => (chosen.at, chosen.pin),
        None => (frame.to_wall(middle), None),
    };
    let at = [0, 1].map(|k| from[k] + by[0] * frame.right[k] + by[1] * frame.down[k]);
    if !on_piece(table, at) {
        return;
    }
    table.chosen.set(Some(Chosen { at, pin }));
    if let Some(pin) = pin {
        table.bench.change(tr("Pin moved"), move |piece| {
            if let Some(reading) = piece.relief_record.readings.get_mut(pin) {
                reading.at = at;
            }
        });
    }
}

/// What a finger drew is a section's line or a stroke over what overhangs.
fn done(table: Table, path: Vec<Mm>, brush: f64) {
    let (Some(first), Some(last)) = (path.first().copied(), path.last().copied()) else {
        return;
    };
    match table.finger.get_untracked() {
        Finger::Pin => (),
        Finger::Section => {
            if (first[0] - last[0]).hypot(first[1] - last[1]) > brush {
                table.line.set(Some([first, last]));
            }
        }
        Finger::Overhang => {
            let stroke = Overhang {
                path,
                radius: Millimetres(brush),
            };
            table
                .bench
                .change_and_tell(tr("Overhang marked"), move |piece| {
                    piece.relief_record.overhangs.push(stroke);
                });
        }
    }
}

fn way(places: &[[f64; 2]], closed: bool) -> String {
    let mut d = String::new();
    for (n, [x, y]) in places.iter().enumerate() {
        // Writing to a string cannot fail.
        let _ = write!(d, "{}{x:.1} {y:.1}", if n == 0 { 'M' } else { 'L' });
    }
    // A touch is a dot.
    if places.len() == 1 {
        d += "h0.01";
    }
    if closed {
        d += "z";
    }
    d
}

/// Outline, pins, the next place to read, the section's line, strokes; `u` is a CSS pixel.
fn marks(table: Table, flat: &Flat, u: f64) -> AnyView {
    let frame = &flat.frame;
    let outline: String = flat.rings.iter().map(|ring| way(ring, true)).collect();
    let current = table.current();
    let chosen = current.and_then(|(chosen, _)| chosen.pin);
    let label = |word: String, at: Mm, class: &'static str| {
        let [x, y] = frame.to_frame(at);
        view! {
            <g class=class>
                <circle cx=x cy=y r=9.0 * u />
                <text x=x y=y + 4.5 * u font-size=13.0 * u>
                    {word}
                </text>
            </g>
        }
    };
    let pins = table.record.with(|record| {
        let one = |(n, reading): (usize, &crate::relief::Reading)| {
            let class = if chosen == Some(n) {
                "pin chosen"
            } else {
                "pin"
            };
            label((n + 1).to_string(), reading.at, class)
        };
        record.readings.iter().enumerate().map(one).shown()
    });
    let strokes = table.record.with(|record| {
        let one = |stroke: &Overhang| {
            let d: Vec<_> = stroke.path.iter().map(|at| frame.to_frame(*at)).collect();
            let width = 2.0 * stroke.radius.0 / frame.mm_per_px;
            view! { <path class="brush" d=way(&d, false) stroke-width=width /> }
        };
        record.overhangs.iter().map(one).shown()
    });
    let cross = current
        .filter(|(chosen, _)| chosen.pin.is_none())
        .map(|(chosen, _)| {
            let [x, y] = frame.to_frame(chosen.at);
            let (a, l) = (14.0 * u, 28.0 * u);
            let d = format!("M{:.1} {y:.1}h{l:.1}M{x:.1} {:.1}v{l:.1}", x - a, y - a);
            view! {
                <path class="casing" d=d.clone() stroke-width=5.0 * u />
                <path class="cross" d=d stroke-width=2.5 * u />
            }
        });
    let next = table.heights().and_then(|found| found.sounded.next).map(|probe| {
        let [x, y] = frame.to_frame(probe.at);
        // The word stays on the picture.
        let left = x > f64::from(frame.width) * 0.6;
        let (side, anchor) = if left { (-15.0, "end") } else { (15.0, "start") };
        view! {
            <circle class="casing" cx=x cy=y r=10.0 * u stroke-width=5.0 * u />
            <circle class="ring" cx=x cy=y r=10.0 * u stroke-width=2.5 * u />
            <text class="word" x=x + side * u y=y + 5.0 * u font-size=15.0 * u text-anchor=anchor>
                "next"
            </text>
        }
    });
    let thin = (table.look.get() == Look::Skin)
        .then(|| table.skin.get())
        .flatten()
        .map(|skin| {
            let spots = skin.thinnest.iter().enumerate();
            spots
                .map(|(n, spot)| label(super::skin::letter(n), spot.at, "spot"))
                .shown()
        });
    let cut = super::section::line(table, flat).map(|ends| {
        let d = way(&ends, false);
        // Where a line that was drawn begins.
        let begins = table
            .line
            .with(Option::is_some)
            .then(|| way(&ends[..1], false));
        view! {
            <path class="casing" d=d.clone() stroke-width=4.5 * u />
            <path class="cut" d=d stroke-width=2.5 * u />
            <path class="cut" d=begins stroke-width=11.0 * u />
        }
    });
    view! {
        <path class="casing" d=outline.clone() stroke-width=4.0 * u />
        <path class="outline" d=outline stroke-width=2.0 * u />
        {strokes}
        {cut}
        {next}
        {thin}
        {pins}
        {cross}
    }
    .into_any()
}

/// Which picture is shown, and what a finger does on it.
pub fn choices(table: Table) -> AnyView {
    let known = Memo::new(move |_| table.heights().is_some());
    let skin = Memo::new(move |_| table.skin.with(Option::is_some));
    let looks = Signal::derive(move || {
        let there = |look: Look| match look {
            Look::Photo => true,
            Look::Skin => skin.get(),
            _ => known.get(),
        };
        let all = Look::ALL.into_iter().filter(|(look, ..)| there(*look));
        all.map(|(_, key, word)| Answer::new(key, tr(word)))
            .collect::<Vec<_>>()
    });
    let look = move || -> String {
        let all = Look::ALL.into_iter();
        all.filter(|(look, ..)| *look == table.look.get())
            .map(|(_, key, _)| key)
            .collect()
    };
    let choose = move |key: String| {
        if let Some((look, ..)) = Look::ALL.into_iter().find(|(_, k, _)| *k == key) {
            table.look.set(look);
        }
    };
    let fingers = vec![
        Answer::new("pin", tr("Pin")),
        Answer::new("section", tr("Section")),
        Answer::new("overhang", tr("Overhang")),
    ];
    let finger = move || {
        match table.finger.get() {
            Finger::Pin => "pin",
            Finger::Section => "section",
            Finger::Overhang => "overhang",
        }
        .to_owned()
    };
    let take = move |key: String| {
        table.chosen.set(None);
        table.finger.set(match key.as_str() {
            "section" => Finger::Section,
            "overhang" => Finger::Overhang,
            _ => Finger::Pin,
        });
    };
    view! {
        <div class="roomy-choice" hidden=move || !known.get()>
            <Choice
                name="look"
                legend=tr("Picture")
                answers=looks
                chosen=Signal::derive(look)
                choose
            />
        </div>
        <div class="roomy-choice">
            <Choice
                name="finger"
                legend=tr("A finger on it marks")
                answers=Signal::stored(fingers)
                chosen=Signal::derive(finger)
                choose=take
            />
        </div>
    }
    .into_any()
}

/// What marked overhangs mean.
pub fn overhangs(table: Table) -> AnyView {
    let count = Memo::new(move |_| table.record.with(|record| record.overhangs.len()));
    let remove = move |_| {
        table
            .bench
            .change_and_tell(tr("Overhang removed"), |piece| {
                piece.relief_record.overhangs.pop();
            });
    };
    view! {
        <div id="overhang-said" class="wait" hidden=move || count.get() == 0>
            <p>
                <strong>
                    {move || match count.get() {
                        1 => tr("One place closes behind its own forms.").to_owned(),
                        n => say!("{n} places close behind their own forms.", n),
                    }}
                </strong>
                {tr(" A skin grips there: it can tear, or break what it is pulled from, and a stiff shell won’t come off over it. Try a small place first; on protected work ask its conservator.")}
            </p>
            <button id="overhang-remove" class="remove" on:click=remove>
                {tr("Remove the last mark")}
            </button>
        </div>
    }
    .into_any()
}
