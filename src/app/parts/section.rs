//! The section through the coats, to scale, over the profile of the relief.
//!
//! A coat of even thickness is the set of points within that distance of the stone, which is
//! what a stroke with round joins paints: the outermost coat is stroked first, the thinner ones
//! over it, and the stone last.

use crate::app::parts::shown::Shown;
use crate::coating::{Relief, ReliefKind};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::say;
use leptos::prelude::*;

/// The sheet that the section is drawn on, in its own units (a phone's pixel is about one).
const WIDTH: f64 = 340.0;
/// Room for the numbers of the coats at the right.
const NUMBERS: f64 = 58.0;
/// The most that relief and coats take of the height.
const TALLEST: f64 = 230.0;
/// How much of the wall is drawn.
const WALL: f64 = 16.0;
/// Room for the width of the border and the scale bar below the wall.
const FOOT: f64 = 56.0;
/// How much of the piece is drawn beyond its edge, for the height to be written on, in
/// millimetres.
const ROOM_FOR_HEIGHT: f64 = 28.0;
/// Least distance between two numbers.
const NUMBER_STEP: f64 = 30.0;
/// As many numbers stand beside the cut; of more coats only every second or third is numbered.
const MOST_NUMBERS: usize = 7;

/// The outline of the stone in millimetres: x along the wall from the foot of the relief,
/// y away from the wall; as a path whose numbers `at` places on the sheet.
fn profile(relief: &Relief, from: f64, to: f64, at: impl Fn(f64, f64) -> String) -> String {
    let h = relief.highest.0;
    let curve = |points: [(f64, f64); 3]| {
        let [a, b, c] = points.map(|(x, y)| at(x, y));
        format!("C{a} {b} {c}")
    };
    let rise = match relief.kind {
        _ if h <= 0.0 => String::new(),
        ReliefKind::Low => {
            let w = 1.2 * h;
            curve([(0.5 * w, 0.0), (0.5 * w, h), (w, h)])
        }
        ReliefKind::Middle => curve([(0.0, 0.55 * h), (0.4 * h, h), (0.9 * h, h)]),
        ReliefKind::High => {
            curve([
                (0.25 * h, 0.2 * h),
                (-0.1 * h, 0.25 * h),
                (-0.1 * h, 0.6 * h),
            ]) + &curve([(-0.1 * h, 0.85 * h), (0.3 * h, h), (0.6 * h, h)])
        }
    };
    // An undercut form stands on a narrower foot.
    let foot = if relief.kind == ReliefKind::High {
        0.2 * h
    } else {
        0.0
    };
    format!(
        "M{}L{}{rise}L{}",
        at(from, 0.0),
        at(foot, 0.0),
        at(to, h.max(0.0))
    )
}

/// Draws the section; the numbers on it are repeated in words beside it.
pub fn section(
    relief: &Relief,
    border: Millimetres,
    coats: &[Millimetres],
    system: System,
) -> AnyView {
    let whole: f64 = coats.iter().map(|t| t.0).sum();
    let (h, b) = (relief.highest.0, border.0);
    // The piece is cut off where its profile has come to its height.
    let reach = (1.9 * h).max(1.2 * h + ROOM_FOR_HEIGHT);
    let bare = (0.15 * (b + reach)).max(whole);
    let scale = ((WIDTH - NUMBERS) / (bare + b + reach)).min(TALLEST / (h + whole).max(1.0));
    let top = 24.0;
    let ground = top + (h + whole) * scale;
    let cut = (bare + b + reach) * scale;
    let x = |mm: f64| (mm + bare + b) * scale;
    let y = |mm: f64| ground - mm * scale;
    let at = |mx: f64, my: f64| format!("{:.2} {:.2}", x(mx), y(my));

    // The skin ends with the border; on the other side it runs on past the cut.
    let skin = profile(relief, -b, reach + whole + 10.0, at);
    let stone = format!(
        "{}V{:.2}H{:.2}z",
        profile(relief, -b - bare, reach + 10.0, at),
        ground + WALL,
        x(-b - bare)
    );
    let mut reached = whole;
    let layers: Vec<_> = coats
        .iter()
        .enumerate()
        .rev()
        .map(|(i, thickness)| {
            let width = 2.0 * reached * scale;
            reached -= thickness.0;
            let tone = if i % 2 == 0 { "coat" } else { "coat next" };
            view! {
                <path class="edge" d=skin.clone() stroke-width=format!("{:.2}", width + 3.0) />
                <path class=tone d=skin.clone() stroke-width=format!("{width:.2}") />
            }
        })
        .collect();

    let (numbers, lowest) = numbers(coats, cut, |mm| y(h + mm), top);
    let bottom = (ground + WALL + FOOT).max(lowest);
    view! {
        <svg
            class="drawing section"
            viewBox=format!("0 0 {WIDTH} {bottom:.0}")
            role="img"
            aria-label=words(relief, border, coats, system)
        >
            // A drawing in the drawing ends at its own edge: no name is needed to cut it off.
            <svg width=format!("{cut:.1}") height=format!("{:.1}", ground + WALL)>
                {layers}
                <path class="stone" d=stone />
            </svg>
            <path class="cut" d=cut_line(cut, top - 14.0, ground + WALL + 6.0) />
            {numbers}
            {height_mark(h, x(0.86 * reach), &y, system)}
            {border_mark(b, x(-b), x(0.0), ground + WALL, system)}
            {scale_bar(scale, cut, ground + WALL + FOOT - 6.0, system)}
        </svg>
    }
    .into_any()
}

/// The section in words.
fn words(relief: &Relief, border: Millimetres, coats: &[Millimetres], system: System) -> String {
    let each: Vec<String> = coats.iter().map(|t| show::length(*t, system)).collect();
    say!(
        "Section to scale: {coats} coats ({each}) over a relief {highest} high, with a border of {border}.",
        coats = coats.len(),
        each = each.join(", "),
        highest = show::length(relief.highest, system),
        border = show::length(border, system)
    )
}

/// Where the piece is cut off: a line with the draughtsman's zigzag.
fn cut_line(x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    format!(
        "M{x:.1} {top:.1}V{:.1}l-6 4 12 6 -6 4V{bottom:.1}",
        middle - 7.0
    )
}

/// The number of each coat beside the cut, with a line to its coat; and how far down they reach.
fn numbers(
    coats: &[Millimetres],
    cut: f64,
    y: impl Fn(f64) -> f64,
    top: f64,
) -> (Vec<AnyView>, f64) {
    let mut below = 0.0;
    let all = coats.iter().enumerate().map(|(i, t)| {
        let middle = below + t.0 / 2.0;
        below += t.0;
        (i + 1, y(middle))
    });
    let every = coats.len().div_ceil(MOST_NUMBERS).max(1);
    let places: Vec<(usize, f64)> = all.step_by(every).collect();
    let half = NUMBER_STEP * (places.len().saturating_sub(1)) as f64 / 2.0;
    let centre = places.iter().map(|(_, y)| y).sum::<f64>() / places.len().max(1) as f64;
    // Kept on the sheet: the highest number no closer to the edge than its own ring.
    let centre = centre.max(half + top - 8.0);
    let drawn = places
        .into_iter()
        .enumerate()
        .map(|(i, (number, place))| {
            let spread = centre + half - NUMBER_STEP * i as f64;
            let ring = cut + 40.0;
            view! {
                <path d=format!("M{:.1} {place:.1}L{:.1} {spread:.1}", cut - 5.0, ring - 13.0) />
                <circle cx=format!("{ring:.1}") cy=format!("{spread:.1}") r="13" />
                <text x=format!("{ring:.1}") y=format!("{:.1}", spread + 6.0) text-anchor="middle">
                    {number}
                </text>
            }
        })
        .shown();
    (drawn, centre + half + 15.0)
}

/// The highest point, on the stone.
fn height_mark(h: f64, x: f64, y: &impl Fn(f64) -> f64, system: System) -> Option<AnyView> {
    let (foot, head) = (y(0.0), y(h));
    // A line shorter than its own letters says nothing.
    (foot - head > 34.0).then(|| {
        view! {
            <path d=format!("M{x:.1} {foot:.1}V{head:.1}m-4 6l4-6 4 6M{:.1} {:.1}l4 6 4-6", x - 4.0, foot - 6.0) />
            <text x=format!("{:.1}", x - 8.0) y=format!("{:.1}", (foot + head) / 2.0 + 6.0) text-anchor="end">
                {show::length(Millimetres(h), system)}
            </text>
        }
        .into_any()
    })
}

/// The border, under the wall.
fn border_mark(b: f64, from: f64, to: f64, y: f64, system: System) -> Option<AnyView> {
    (b > 0.0).then(|| {
        let line = y + 9.0;
        view! {
            <path d=format!("M{from:.1} {:.1}v10M{to:.1} {:.1}v10M{from:.1} {line:.1}H{to:.1}", line - 5.0, line - 5.0) />
            <text x=format!("{from:.1}") y=format!("{:.1}", line + 22.0)>
                {say!("border {b}", b = show::length(Millimetres(b), system))}
            </text>
        }
        .into_any()
    })
}

/// A bar of a round length, at the right end of the foot.
fn scale_bar(scale: f64, right: f64, y: f64, system: System) -> AnyView {
    let length = show::round_length(40.0 / scale, system);
    let left = right - length * scale;
    view! {
        <path d=format!("M{left:.1} {:.1}v8H{right:.1}v-8", y - 8.0) />
        <text x=format!("{right:.1}") y=format!("{:.1}", y - 12.0) text-anchor="end">
            {show::length(Millimetres(length), system)}
        </text>
    }
    .into_any()
}
