//! The project's own line drawings: a line and one flat tone, on a sheet of 48 by 48.

use crate::app::parts::shown::Shown;
use leptos::prelude::*;

/// What one path of a drawing is.
#[derive(Clone, Copy)]
enum Stroke {
    /// A line alone.
    Line,
    /// A shape filled with the tone of the paste.
    Paste,
    /// A shape filled with the tone of the stone.
    Stone,
}

use Stroke::{Line, Paste, Stone};

/// One drawing. It never stands without its word.
pub struct Drawing(&'static [(Stroke, &'static str)]);

/// A wall of laid stones.
pub const WALL: Drawing = Drawing(&[
    (Stone, "M5 10h38v28H5z"),
    (
        Line,
        "M5 19.5h38M5 28.5h38M18 10v9.5M33 10v9.5M11 19.5v9M27 19.5v9M20 28.5v9.5M36 28.5v9.5",
    ),
]);

/// A bank card lying against a rule.
pub const CARD: Drawing = Drawing(&[
    (
        Paste,
        "M8 12h32a2.5 2.5 0 0 1 2.5 2.5v17a2.5 2.5 0 0 1-2.5 2.5H8a2.5 2.5 0 0 1-2.5-2.5v-17A2.5 2.5 0 0 1 8 12z",
    ),
    (Line, "M11 18.5h8v6h-8zM11 29h7M22 29h5"),
    (
        Line,
        "M4 41h40M8 41v-3M14 41v-2M20 41v-3M26 41v-2M32 41v-3M38 41v-2",
    ),
]);

/// A flat brush with paste on it.
pub const BRUSH: Drawing = Drawing(&[
    (
        Paste,
        "M8.5 31c2-3.5 3.5-5.5 6.5-8.5l8.5 8.5c-3 3-5 4.5-8.5 6.5-3 1.7-6 2.5-9 2.5 0-3 .8-6 2.5-9z",
    ),
    (
        Line,
        "M15 22.5 19.5 18l8.5 8.5-4.5 4.5zM19.5 18 22 15.5l8.5 8.5L28 26.5",
    ),
    (Line, "M23.5 17C29 12 35 8 42 4c-4 7-8 13-13 18.5"),
]);

/// Two cups, part A round-shouldered, part B square.
pub const CUPS: Drawing = Drawing(&[
    (Paste, "M5 20c4 1.5 12 1.5 16 0l-1.5 17c-3 1.5-10 1.5-13 0z"),
    (Stone, "M27.5 20h16l-2 18h-12z"),
    (Line, "M5 20c0-5 16-5 16 0M26 15h19v5H26z"),
    (Line, "M10.3 33 13 25.5l2.7 7.5M11.2 30.5h3.6"),
    (
        Line,
        "M33.5 25.5v8h3a2 2 0 0 0 0-4.2h-3 2.7a1.9 1.9 0 0 0 0-3.8z",
    ),
]);

/// Three coats over stone, in section.
pub const COATS: Drawing = Drawing(&[
    (Paste, "M4 36h7c4 0 5-24 18-24h15v14H31c-6 0-5 15-12 15H4z"),
    (Line, "M4 38h9c6 0 6-20 16.5-20H44M4 36h7c4 0 5-24 18-24h15"),
    (Stone, "M4 41h15c7 0 6-15 12-15h13v17H4z"),
    (Line, "M44 8v35"),
]);

/// A spatula.
pub const SPATULA: Drawing = Drawing(&[
    (Line, "M31 20 41.5 7.5a2.4 2.4 0 0 1 3.2 3.2L32 21.2"),
    (
        Paste,
        "M29.5 17.5l5 5C30 30 20 38.5 6 43c4-14 14-21 23.5-25.5z",
    ),
    (Line, "M12 36c7-2 13-6 18-12"),
]);

/// The stiff shell over the skin.
pub const SHELL: Drawing = Drawing(&[
    (Stone, "M4 38h6c2-16 8-26 14-26s12 10 14 26h6v4H4z"),
    (Paste, "M10 40h5c1-12 5-19 9-19s8 7 9 19h5v3H10z"),
    (Line, "M24 12V6M19 6h10"),
]);

/// A cast copy out of its skin.
pub const CAST: Drawing = Drawing(&[
    (
        Stone,
        "M24.0 11.0A6.8 6.8 0 1 1 33.5 16.5A6.8 6.8 0 1 1 33.5 27.5A6.8 6.8 0 1 1 24.0 33.0A6.8 6.8 0 1 1 14.5 27.5A6.8 6.8 0 1 1 14.5 16.5A6.8 6.8 0 1 1 24.0 11.0z",
    ),
    (Line, "M24 17.5a4.5 4.5 0 1 1 0 9 4.5 4.5 0 0 1 0-9z"),
    (Line, "M8 44h32"),
]);

/// Shallow modelling: hardly more than a step.
pub const RELIEF_LOW: Drawing = Drawing(&[(
    Stone,
    "M3 36h8c3 0 3-5 6-5 4 0 4 1.5 7 1.5s3-1.5 7-1.5c3 0 3 5 6 5h8v6H3z",
)]);

/// Rounded modelling: about half of each form stands out.
pub const RELIEF_MIDDLE: Drawing = Drawing(&[(
    Stone,
    "M3 36h7c0-9 4-13 8-13 3 0 4 3 6 3s3-3 6-3c4 0 8 4 8 13h7v6H3z",
)]);

/// Deep modelling: forms that turn back to the wall.
pub const RELIEF_HIGH: Drawing = Drawing(&[(
    Stone,
    "M3 36h10c2-3-5-6-5-13 0-8 6-13 11-10 3-4 9-4 11 0 5-3 11 2 11 10 0 7-7 10-5 13h9v6H3z",
)]);

/// A finger that touches a coat.
pub const TOUCH: Drawing = Drawing(&[
    (
        Paste,
        "M4 34c8-1 12-1 15 .5 2 4.5 8 4.5 10 0 3-1.5 7-1.5 15-.5v9H4z",
    ),
    (Line, "M19.5 5v24a4.5 4.5 0 0 0 9 0V5M22 30.5c1 1 3 1 4 0"),
]);

/// A bag to carry.
pub const BAG: Drawing = Drawing(&[
    (Stone, "M7 18h34l-3 24H10z"),
    (Line, "M16 18v-4a8 8 0 0 1 16 0v4M17 26v6M31 26v6"),
]);

/// Shows a drawing beside its word; a screen reader hears the word alone.
#[component]
pub fn Drawn(
    /// What to show.
    what: &'static Drawing,
) -> impl IntoView {
    let path = |(stroke, d): &'static (Stroke, &'static str)| {
        let tone = match stroke {
            Line => "",
            Paste => "tone",
            Stone => "stone",
        };
        view! { <path class=tone d=*d /> }
    };
    view! {
        <svg class="drawing small" viewBox="0 0 48 48" aria-hidden="true">
            {what.0.iter().map(path).shown()}
        </svg>
    }
}
