//! The traced outline on the photo laid flat, drawn to scale on paper: so many to one, with a
//! scale bar and a grid.

use crate::app::parts::section::round_length;
use crate::app::parts::shown::Shown;
use crate::job::{Flat, Measured};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::say;
use crate::survey::Mm;
use leptos::prelude::*;

/// The place on paper, in millimetres.
const PLACE: [f64; 2] = [64.0, 50.0];
/// Room under the drawing for the scale bar, and around it for lines, in millimetres of paper.
const FOOT: f64 = 9.0;
const MARGIN: f64 = 2.0;
/// Height of letters on paper in millimetres.
const LETTERS: f64 = 3.4;
/// The scales that rules and minds know: one to so many.
const SCALES: [f64; 11] = [
    1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0,
];

/// Draws the outline with its border strip and what was measured, true to scale when it is printed
/// at full size; `picture` is the address of the photo laid flat, once there is one.
pub fn outline(
    flat: &Flat,
    measured: &[Measured],
    border: Millimetres,
    system: System,
    picture: Signal<Option<String>>,
) -> AnyView {
    let b = border.0;
    // From pixels of the frame to millimetres.
    let unit = flat.frame.mm_per_px;
    let mm = |at: [f64; 2]| at.map(|x| x * unit);
    let rings: Vec<Vec<Mm>> = flat
        .rings
        .iter()
        .map(|ring| ring.iter().map(|at| mm(*at)).collect())
        .collect();
    let beside: String = flat
        .neighbours
        .iter()
        .map(|ring| path(&ring.iter().map(|at| mm(*at)).collect::<Vec<_>>()))
        .collect();
    let corners = rings.iter().flatten();
    let (low, high) = corners.fold(([f64::MAX; 2], [f64::MIN; 2]), |(low, high), p| {
        (
            [low[0].min(p[0] - b), low[1].min(p[1] - b)],
            [high[0].max(p[0] + b), high[1].max(p[1] + b)],
        )
    });
    let size = [high[0] - low[0], high[1] - low[1]];
    // Beyond the last scale the drawing is simply larger than its place.
    let scale = SCALES
        .into_iter()
        .find(|n| size[0] / n <= PLACE[0] && size[1] / n <= PLACE[1])
        .unwrap_or(SCALES[SCALES.len() - 1]);
    let (margin, foot) = (MARGIN * scale, FOOT * scale);
    let frame = [size[0] + 2.0 * margin, size[1] + 2.0 * margin + foot];
    let shape: String = rings.iter().map(|ring| path(ring)).collect();
    let lengths = measured.iter().map(|one| {
        let [[ax, ay], [bx, by]] = one.ends.map(mm);
        view! {
            <path class="length" d=format!("M{ax:.2} {ay:.2}L{bx:.2} {by:.2}") />
            <text
                x=format!("{:.2}", (ax + bx) / 2.0)
                y=format!("{:.2}", (ay + by) / 2.0 - scale)
                font-size=format!("{:.2}", LETTERS * scale)
            >
                {show::length(one.length.value, system)}
            </text>
        }
    });
    let half = -unit / 2.0;
    let sides = [flat.frame.width, flat.frame.height].map(|n| f64::from(n) * unit);
    let photo = move || {
        let href = picture.get()?;
        let [wide, tall] = sides;
        Some(view! { <image href=href x=half y=half width=wide height=tall /> }.into_any())
    };
    let seen = move || picture.with(Option::is_some);
    let grid_step = round_length(10.0 * scale, system);
    let bar = round_length(20.0 * scale, system);
    let (left, bottom) = (low[0], high[1] + margin + 0.55 * foot);
    let words = say!(
        "Outline, one to {scale}, with a border of {border}. One square of the grid is {grid_step}.",
        scale = show::number(scale, 1),
        border = show::length(border, system),
        grid_step = show::length(Millimetres(grid_step), system)
    );
    view! {
        <figure class="outline">
            <svg
                class="drawing"
                viewBox=format!(
                    "{:.2} {:.2} {:.2} {:.2}",
                    low[0] - margin,
                    low[1] - margin,
                    frame[0],
                    frame[1],
                )
                width=format!("{:.2}mm", frame[0] / scale)
                height=format!("{:.2}mm", frame[1] / scale)
                role="img"
                aria-label=words.clone()
            >
                {photo}
                <path class="border" d=shape.clone() stroke-width=format!("{:.2}", 2.0 * b) />
                <path class="beside" class:seen=seen d=beside />
                <path class="stone" class:seen=seen fill-rule="evenodd" d=shape />
                <path class="grid" d=grid(low, high, grid_step) />
                {lengths.shown()}
                <path d=format!(
                    "M{left:.2} {:.2}v{:.2}h{bar:.2}v{:.2}",
                    bottom - 1.5 * scale,
                    1.5 * scale,
                    -1.5 * scale,
                ) />
                <text
                    x=format!("{:.2}", left + bar + 1.5 * scale)
                    y=format!("{bottom:.2}")
                    font-size=format!("{:.2}", LETTERS * scale)
                >
                    {show::length(Millimetres(bar), system)}
                </text>
            </svg>
            <figcaption class="soft">{words}</figcaption>
        </figure>
    }
    .into_any()
}

fn path(ring: &[Mm]) -> String {
    let mut d = String::new();
    for (i, [x, y]) in ring.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        d += &format!("{letter}{x:.2} {y:.2}");
    }
    d + "z"
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
