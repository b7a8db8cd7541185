//! The day's picture: time runs down, each piece has its column; hands-on work as blocks, waiting as
//! lines between them, now as a line across. A block can be dragged to another time.

use crate::app::axis::Axis;
use crate::app::parts::shown::Shown;
use crate::job::WorkState;
use crate::say;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// One work, in minutes from the picture's origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// The piece's column, from 0.
    pub piece: usize,
    /// What stands in it, short.
    pub label: String,
    /// When it starts.
    pub from: f64,
    /// When it ends.
    pub to: f64,
    /// When each of its batches is dead, if that lies within it.
    pub dead: Vec<f64>,
    /// How far it is.
    pub state: WorkState,
}

/// The whole picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// How many columns there are.
    pub pieces: usize,
    /// All works.
    pub blocks: Vec<Block>,
    /// The time to leave.
    pub leave: f64,
    /// What a screen reader says of it; the list beside it says the rest.
    pub words: String,
}

/// The picture's width in its own units; about the pixels of a small phone.
const WIDTH: f64 = 328.0;
/// Room for the clock at the left.
const CLOCK: f64 = 82.0;
/// Room above for the numbers of the columns, and below for the time to leave.
const HEAD: f64 = 34.0;
const FOOT: f64 = 30.0;
/// The narrowest column; more of them make the picture wider than the page.
const NARROWEST: f64 = 32.0;
/// The least distance between two clock times.
const CLOCK_STEP: f64 = 22.0;
/// Dragged blocks go to whole steps of so many minutes.
const DRAG_STEP: f64 = 5.0;

/// Draws the picture. `clock` shows a minute as a time of day; `moved` is told a block's number and
/// the minute that it was dragged to.
pub fn timeline(
    picture: Picture,
    now: Signal<f64>,
    clock: impl Fn(f64) -> String + Copy + Send + Sync + 'static,
    moved: Callback<(usize, f64)>,
) -> AnyView {
    let ends = picture.blocks.iter().flat_map(|b| [b.from, b.to]);
    let ends = ends.chain([picture.leave]).collect();
    let axis = StoredValue::new(Axis::of(ends));
    let place = move |minute: f64| axis.with_value(|axis| HEAD + axis.place(minute));
    let columns = picture.pieces.max(1) as f64;
    let wide = ((WIDTH - CLOCK) / columns).max(NARROWEST);
    let width = CLOCK + wide * columns;
    let height = axis.with_value(Axis::length) + HEAD + FOOT;
    let middle = move |piece: usize| CLOCK + wide * (piece as f64 + 0.5);

    let heads = (0..picture.pieces).map(|piece| {
        view! {
            <text x=middle(piece) y="20" class="middle head">
                {(piece + 1).to_string()}
            </text>
        }
    });
    let short = axis.with_value(|axis| axis.short().collect::<Vec<_>>());
    let nights = short.iter().map(|(from, to)| {
        let y = (place(*from) + place(*to)) / 2.0;
        view! {
            <path class="night" d=format!("M{CLOCK} {:.1}l8 -6l8 12l8 -6H{width}", y) />
        }
    });
    let waits = waits(&picture.blocks);
    let waits = waits.iter().map(|(piece, from, to)| {
        let x = middle(*piece);
        let (top, end) = (place(*from), place(*to));
        view! { <path class="waits" d=format!("M{x:.1} {top:.1}V{end:.1}") /> }
    });
    let times = times(&picture, place).into_iter().map(|(minute, y)| {
        view! {
            <text x="0" y=y + 5.0>{clock(minute)}</text>
            <path class="hair" d=format!("M{CLOCK} {:.1}H{width}", place(minute)) />
        }
    });

    let dragged = RwSignal::new(None::<(usize, f64, f64)>);
    let blocks = picture
        .blocks
        .iter()
        .cloned()
        .enumerate()
        .map(|(n, block)| {
            let (top, end) = (place(block.from), place(block.to));
            let (x, w) = (middle(block.piece) - wide / 2.0 + 3.0, wide - 6.0);
            let free = matches!(block.state, WorkState::Planned | WorkState::Pinned);
            let shift = move || match dragged.get() {
                Some((which, from, to)) if which == n => to - from,
                _ => 0.0,
            };
            let target = move |to: f64| {
                let minute = axis.with_value(|axis| axis.minute(to - HEAD));
                (minute / DRAG_STEP).round() * DRAG_STEP
            };
            let unit = move |event: &web_sys::PointerEvent| {
                // From pixels of the screen to the picture's own units.
                let svg = event
                    .current_target()?
                    .dyn_into::<web_sys::Element>()
                    .ok()?;
                let svg = svg.closest("svg").ok()??;
                let wide = svg.get_bounding_client_rect().width();
                (wide > 0.0).then(|| f64::from(event.client_y()) * width / wide)
            };
            let press = move |event: web_sys::PointerEvent| {
                let at = unit(&event).filter(|_| free);
                if let (Some(at), Some(target)) = (at, event.current_target()) {
                    event.prevent_default();
                    let element: web_sys::Element = target.unchecked_into();
                    let _ = element.set_pointer_capture(event.pointer_id());
                    dragged.set(Some((n, at, at)));
                }
            };
            // A finger on a block moves the block, and not the page.
            let hold = move |event: web_sys::TouchEvent| {
                if free {
                    event.prevent_default();
                }
            };
            let pull = move |event: web_sys::PointerEvent| {
                if let (Some((which, from, _)), Some(at)) = (dragged.get_untracked(), unit(&event))
                    && which == n
                {
                    dragged.set(Some((n, from, at)));
                }
            };
            let drop_here = move |_| {
                let Some((which, from, to)) = dragged.get_untracked() else {
                    return;
                };
                dragged.set(None);
                // A tap is no drag.
                if which == n && (to - from).abs() > 6.0 {
                    moved.run((n, target(top + to - from)));
                }
            };
            let ghost = move || {
                let shift = shift();
                (shift != 0.0).then(|| {
                    let y = top + shift;
                    view! { <text x="0" y=y + 5.0 class="ghost">{clock(target(y))}</text> }
                })
            };
            let class = match block.state {
                WorkState::Done => "block done",
                WorkState::Now => "block now",
                WorkState::Planned => "block",
                WorkState::Pinned => "block pinned",
            };
            let tall = (end - top).max(3.0);
            let dead = block.dead.iter().map(|minute| {
                let y = place(*minute) - top;
                view! { <path class="dead" d=format!("M{x:.1} {y:.1}h{w:.1}") /> }
            });
            let label = block.label.clone();
            view! {
                {ghost}
                <g
                    id=format!("block-{}", n + 1)
                    class=class
                    class:free=free
                    transform=move || format!("translate(0 {:.1})", top + shift())
                    on:touchstart=hold
                    on:pointerdown=press
                    on:pointermove=pull
                    on:pointerup=drop_here
                    on:pointercancel=move |_| dragged.set(None)
                >
                    <rect x=x y="0" width=w height=tall rx="4" />
                    {dead.shown()}
                    <text x=x + w / 2.0 y=tall / 2.0 + 5.5 class="middle">
                        {label}
                    </text>
                </g>
            }
        });
    let leave = place(picture.leave);
    let line = move || {
        let y = place(now.get());
        let seen = y >= HEAD - 8.0 && y <= height - FOOT + 8.0;
        seen.then(|| {
            view! {
                <g class="now-line">
                    <path d=format!("M{CLOCK} {y:.1}H{width}") />
                    <circle cx=CLOCK cy=y r="5" />
                </g>
            }
        })
    };
    view! {
        <div class="timeline-frame">
            <svg
                id="timeline"
                class="timeline"
                style:width=format!("{:.1}%", width / WIDTH * 100.0)
                viewBox=format!("0 0 {width:.0} {height:.0}")
                role="img"
                aria-label=picture.words.clone()
            >
                {nights.shown()}
                {times.shown()}
                {heads.shown()}
                {waits.shown()}
                {blocks.shown()}
                <path class="leave" d=format!("M{CLOCK} {leave:.1}H{width}") />
                <text x=width y=leave + 22.0 class="end">
                    {say!("Leave at {leave}", leave = clock(picture.leave))}
                </text>
                {line}
            </svg>
        </div>
    }
    .into_any()
}

/// From the end of each work to the start of the next on the same piece.
fn waits(blocks: &[Block]) -> Vec<(usize, f64, f64)> {
    let mut all = Vec::new();
    for block in blocks {
        let later = blocks
            .iter()
            .filter(|b| b.piece == block.piece && b.from >= block.to);
        let next = later.map(|b| b.from).min_by(f64::total_cmp);
        all.extend(next.map(|next| (block.piece, block.to, next)));
    }
    all
}

/// The starts of works as times at the left, as many as there is room for, each at its height.
fn times(picture: &Picture, place: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let mut starts: Vec<f64> = picture.blocks.iter().map(|block| block.from).collect();
    starts.sort_by(f64::total_cmp);
    let mut shown: Vec<(f64, f64)> = Vec::new();
    for start in starts {
        let y = place(start);
        if shown
            .last()
            .is_none_or(|(_, before)| y - before >= CLOCK_STEP)
        {
            shown.push((start, y));
        }
    }
    shown
}
