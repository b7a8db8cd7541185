//! The mark of a range: the same thin line with a dot beside every computed number, on every
//! page and in print.

use crate::quantity::{Estimate, Quantity};
use leptos::prelude::*;

/// The share of the value that fills half the mark; a wider range ends in an arrow.
const HALF_MARK: f64 = 0.5;
/// Half the mark's width and its height, in units of the drawing.
const HALF_WIDTH: f64 = 54.0;

/// The dot is the value; the line reaches from `low95` to `high95`, drawn against the value, so
/// that a short line is a sure number on every page. It is drawn beside its text, which says
/// the same in words, and is silent for a screen reader.
pub fn range_mark<Q: Quantity>(estimate: &Estimate<Q>) -> AnyView {
    let value = estimate.value.number();
    let reach = |end: f64| {
        let share = if value == 0.0 {
            0.0
        } else {
            (end - value) / value.abs()
        };
        (share / HALF_MARK).clamp(-1.0, 1.0) * HALF_WIDTH
    };
    let low = reach(estimate.low95.number());
    let high = reach(estimate.high95.number());
    // A bar where the range ends, an arrow where it goes on past the mark.
    let end = |at: f64, outward: f64| {
        if at.abs() < HALF_WIDTH {
            format!("M{at:.1} -4v8")
        } else {
            format!("M{:.1} -4L{at:.1} 0L{:.1} 4", at - outward, at - outward)
        }
    };
    view! {
        <svg class="range" viewBox="-60 -7 120 14" aria-hidden="true">
            <path d=format!("M{low:.1} 0H{high:.1}{}{}", end(low, -4.0), end(high, 4.0)) />
            <circle r="4.5" />
        </svg>
    }
    .into_any()
}
