//! The traced outline on the photo laid flat, drawn to scale on paper: so many to one, with a
//! scale bar and a grid.

use crate::app::parts::shown::Shown;
use crate::job::{Flat, Measured, OnPaper};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::say;
use crate::survey::Mm;
use leptos::prelude::*;

/// Draws the outline with its border strip and what was measured, true to scale when it is printed
/// at full size; `picture` is the address of the photo laid flat, once there is one.
pub fn outline(
    flat: &Flat,
    measured: &[Measured],
    border: Millimetres,
    system: System,
    picture: Signal<Option<String>>,
) -> AnyView {
    let paper = OnPaper::of(flat, measured, border, system);
    let paper_size = paper.size().map(|side| format!("{side:.2}mm"));
    let scale = paper.scale;
    let letters = format!("{:.2}", paper.letters);
    let written = |[x, y]: Mm, text: String| {
        view! {
            <text x=format!("{x:.2}") y=format!("{y:.2}") font-size=letters.clone()>
                {text}
            </text>
        }
        .into_any()
    };
    let lengths = paper.lengths.into_iter().map(|(line, at, length)| {
        view! {
            <path class="length" d=line />
            {written(at, length)}
        }
    });
    let [left, top, wide, tall] = paper.photo;
    let photo = move || {
        let href = picture.get()?;
        Some(view! { <image href=href x=left y=top width=wide height=tall /> }.into_any())
    };
    let seen = move || picture.with(Option::is_some);
    let grid_step = show::round_length(10.0 * scale, system);
    let words = say!(
        "Outline, one to {scale}, with a border of {border}. One square of the grid is {grid_step}.",
        scale = show::number(scale, 1),
        border = show::length(border, system),
        grid_step = show::length(Millimetres(grid_step), system)
    );
    let [wide, tall] = paper_size;
    let ([low, high], (bar, at, length)) = (paper.reach, paper.bar);
    view! {
        <figure class="outline">
            <svg
                class="drawing"
                viewBox=paper.view.map(|number| format!("{number:.2}")).join(" ")
                width=wide
                height=tall
                role="img"
                aria-label=words.clone()
            >
                {photo}
                <path
                    class="border"
                    d=paper.shape.clone()
                    stroke-width=format!("{:.2}", 2.0 * border.0)
                />
                <path class="beside" class:seen=seen d=paper.beside />
                <path class="stone" class:seen=seen fill-rule="evenodd" d=paper.shape />
                <path class="grid" d=grid(low, high, grid_step) />
                {lengths.shown()}
                <path d=bar />
                {written(at, length)}
            </svg>
            <figcaption class="soft">{words}</figcaption>
        </figure>
    }
    .into_any()
}

/// Lines at round lengths across the drawing.
fn grid(low: Mm, high: Mm, step: f64) -> String {
    let lines = |axis: usize| {
        let first = (low[axis] / step).ceil() as i64;
        let last = (high[axis] / step).floor() as i64;
        (first..=last).map(move |i| i as f64 * step)
    };
    let mut d = String::new();
    for x in lines(0) {
        d += &format!("M{x:.2} {:.2}V{:.2}", low[1], high[1]);
    }
    for y in lines(1) {
        d += &format!("M{:.2} {y:.2}H{:.2}", low[0], high[0]);
    }
    d
}
