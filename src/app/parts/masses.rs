//! Where the paste to bring goes: one bar, cut into coats, high spots, what stays in cups and tools,
//! and spare. Its parts are told apart by number or letter and by hatching, never by colour alone.

use crate::app::parts::shown::Shown;
use crate::coating::{Goes, MassShare, Plan};
use crate::quantity::show::{self, System};
use crate::say;
use leptos::prelude::*;

/// The sheet that the bar is drawn on, in its own units.
const WIDTH: f64 = 340.0;
/// Room beside the bar, for its edge.
const EDGE: f64 = 2.0;
/// Where the bar begins and ends.
const TOP: f64 = 3.0;
const BOTTOM: f64 = 47.0;
/// The middle of the signs under the bar, half their size, and the least distance between two.
const SIGNS: f64 = 74.0;
const HALF_SIGN: f64 = 12.0;
const STEP: f64 = 28.0;
/// As many signs stand side by side; of more parts only every second or third has its sign.
const MOST_SIGNS: usize = 12;
/// The distance between two lines of a hatching.
const HATCH: f64 = 7.0;

/// The bar. Its list stands beside it: [`sign`] and name of each share.
pub fn masses(plan: &Plan, system: System) -> AnyView {
    let shares = plan.mass_shares();
    let scale = (WIDTH - 2.0 * EDGE) / plan.bring.0.max(1.0);
    let mut from = EDGE;
    let places: Vec<(MassShare, f64, f64)> = shares
        .into_iter()
        .map(|share| {
            let width = share.mass.0.max(0.0) * scale;
            let place = (share, from, width);
            from += width;
            place
        })
        .collect();
    let parts = places
        .iter()
        .map(|(share, x, width)| part(share.goes, *x, *width));
    let every = places.len().div_ceil(MOST_SIGNS).max(1);
    let signed: Vec<_> = places.iter().step_by(every).collect();
    let middles: Vec<f64> = signed.iter().map(|(_, x, width)| x + width / 2.0).collect();
    let signs = signed
        .iter()
        .zip(middles.iter().zip(spread(&middles)))
        .map(|((share, ..), (from, to))| under(share.goes, *from, to));
    view! {
        <svg
            class="drawing masses"
            viewBox=format!("0 0 {WIDTH} {:.0}", SIGNS + HALF_SIGN + 2.0)
            role="img"
            aria-label=words(plan, system)
        >
            {parts.shown()}
            {signs.shown()}
        </svg>
    }
    .into_any()
}

/// A share's sign in a text: a coat's number in a ring, a letter in a square.
pub fn sign(goes: Goes) -> AnyView {
    let shape = match goes {
        Goes::Coat(_) => "letter round",
        _ => "letter",
    };
    view! { <span class=shape>{goes.sign()}</span> }.into_any()
}

/// The bar in words.
fn words(plan: &Plan, system: System) -> String {
    let shares = plan.mass_shares();
    let each = shares.iter().map(|MassShare { goes, mass }| {
        format!("{} {}", plan.share_name(*goes), show::mass(*mass, system))
    });
    let each: Vec<String> = each.collect();
    say!(
        "Where the {bring} to bring go: {each}.",
        bring = show::mass(plan.bring, system),
        each = each.join("; ")
    )
}

/// One part of the bar.
fn part(goes: Goes, x: f64, width: f64) -> AnyView {
    let (tone, lines) = match goes {
        Goes::Coat(number) if number % 2 == 1 => ("coat", String::new()),
        Goes::Coat(_) => ("next", String::new()),
        Goes::HighSpots => ("coat", hatching(width, 1.0)),
        Goes::Left => ("stone", hatching(width, 1.0) + &hatching(width, -1.0)),
        Goes::Spare => ("spare", String::new()),
    };
    let height = BOTTOM - TOP;
    view! {
        // A drawing in the drawing: hatching ends at its edge.
        <svg x=format!("{x:.1}") y=TOP width=format!("{width:.1}") height=height>
            <rect class=tone width="100%" height="100%" />
            <path class="hatch" d=lines />
        </svg>
        <rect
            class="frame"
            class:dashed=goes == Goes::Spare
            x=format!("{x:.1}")
            y=TOP
            width=format!("{width:.1}")
            height=height
        />
    }
    .into_any()
}

/// Slanting lines over a part of this width, rising to the right for a `slope` of 1.
fn hatching(width: f64, slope: f64) -> String {
    let height = BOTTOM - TOP;
    let foot = if slope > 0.0 { height } else { 0.0 };
    let count = ((width + height) / HATCH).ceil() as i32;
    (0..count)
        .map(|i| {
            let x = f64::from(i) * HATCH - height;
            format!("M{x:.1} {foot:.1}l{height:.1} {:.1}", -slope * height)
        })
        .collect()
}

/// The sign of a part under it, with a line to the part.
fn under(goes: Goes, from: f64, to: f64) -> AnyView {
    let ring = match goes {
        Goes::Coat(_) => view! {
            <circle cx=format!("{to:.1}") cy=SIGNS r=HALF_SIGN />
        }
        .into_any(),
        _ => view! {
            <rect
                x=format!("{:.1}", to - HALF_SIGN)
                y=SIGNS - HALF_SIGN
                width=2.0 * HALF_SIGN
                height=2.0 * HALF_SIGN
                rx="2"
            />
        }
        .into_any(),
    };
    view! {
        <path d=format!(
            "M{from:.1} {:.1}V{:.1}L{to:.1} {:.1}",
            BOTTOM - 5.0,
            BOTTOM + 4.0,
            SIGNS - HALF_SIGN,
        ) />
        {ring}
        <text x=format!("{to:.1}") y=SIGNS + 6.0 text-anchor="middle">
            {goes.sign()}
        </text>
    }
    .into_any()
}

/// The places of the signs: as near to the middles of their parts as their size allows.
fn spread(middles: &[f64]) -> Vec<f64> {
    let mut places = middles.to_vec();
    let mut least = HALF_SIGN + 1.0;
    for place in &mut places {
        *place = place.max(least);
        least = *place + STEP;
    }
    let mut most = WIDTH - HALF_SIGN - 1.0;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - STEP;
    }
    places
}

/// The shares in a line each: sign, name and mass, as paper wants them.
pub fn mass_list(plan: &Plan, system: System) -> AnyView {
    let lines = plan
        .mass_shares()
        .into_iter()
        .map(|MassShare { goes, mass }| {
            view! {
                <li>
                    {sign(goes)} " " {plan.share_name(goes)} " " <b>{show::mass(mass, system)}</b>
                </li>
            }
        });
    view! { <ul class="sheet-list">{lines.shown()}</ul> }.into_any()
}
