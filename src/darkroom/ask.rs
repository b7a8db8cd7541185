//! What can be asked of the darkroom, and what it answers: the words between page and worker.
//!
//! Both travel as JSON text, an object with one field that names the kind, such as
//! `{"corners": {"near": [[812.0, 640.5]], "reach_px": 60.0}}`. All pixels are those of the upright
//! full-size picture, whatever size the darkroom keeps it in. Pixels of a picture are too many for
//! text and travel beside it.
//!
//! A new kind of question is a variant here, an arm in [`Darkroom::answer`](super::Darkroom::answer)
//! and, where it answers with something new, a variant of [`Answer`].

use crate::survey::calibrate::{Calibration, GridView};
use crate::survey::snap::{Corner, Ticks};
use crate::survey::{Px, RectifiedFrame, RingOutline, Settled, Sight, Stroke};
use serde::{Deserialize, Serialize};

/// A question about the open photo.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ask {
    /// Which corners taps mean ([`corner`](crate::survey::snap::corner)); answered by
    /// [`Answer::Corners`].
    Corners {
        /// The taps.
        near: Vec<Px>,
        /// How far about each tap is looked, in pixels.
        reach_px: f64,
    },
    /// All ticks of a rule between two readings ([`ticks`](crate::survey::snap::ticks)); answered
    /// by [`Answer::Ticks`].
    Ticks {
        /// Pixel and reading in millimetres of two places on one edge of the rule.
        readings: [(Px, f64); 2],
        /// How far across the edge the taps may be off, in pixels.
        reach_px: f64,
    },
    /// The ornament in a ring drawn round it ([`Ring`](crate::survey::Ring)); answered by
    /// [`Answer::Outline`]. A new ring takes the place of the one before, with its strokes.
    Ring {
        /// The ring as it was drawn.
        ring_px: Vec<Px>,
    },
    /// "This too" or "not this" in the last ring; answered by [`Answer::Outline`].
    Stroke(Stroke),
    /// The way along the edge from one point to the next ([`trace`](crate::survey::trace));
    /// answered by [`Answer::Path`].
    Trace {
        /// Where it begins: best a point that lies on the edge.
        from: Px,
        /// Where it ends: near the edge.
        to: Px,
    },
    /// Where an outline's points lie when each goes to the edge beside it
    /// ([`settle`](crate::survey::settle)); answered by [`Answer::Settled`].
    Settle {
        /// The outline, or a part of it: a point between its two neighbours.
        ring: Vec<Px>,
        /// Whether the last point is followed by the first.
        closed: bool,
        /// How far the points may be off, in pixels.
        reach_px: f64,
    },
    /// The wall seen square on; answered by [`Answer::Flat`] with the pixels beside it.
    Flat {
        /// How the photo sees the wall.
        sight: Sight,
        /// Which part of the wall is shown, how large: at most [`MOST_FLAT_PX`] pixels.
        frame: RectifiedFrame,
    },
    /// The lens sheet's grid ([`find_grid`](crate::survey::calibrate::find_grid)); answered by
    /// [`Answer::Grid`].
    Grid,
    /// The lens that these photos of the sheet were taken with
    /// ([`calibrate`](crate::survey::calibrate::calibrate)); answered by [`Answer::Lens`].
    Lens {
        /// What each photo shows of the grid.
        views: Vec<GridView>,
    },
}

/// The most pixels of a picture laid flat: eight megabytes, and more than a phone's screen shows.
pub const MOST_FLAT_PX: u32 = 2_000_000;

/// What was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// For each tap the corner it means, or nothing where there is no clear one.
    Corners(Vec<Option<Corner>>),
    /// The rule's ticks.
    Ticks(Ticks),
    /// The ornament's outline.
    Outline(RingOutline),
    /// The points after the first up to and including the last, which was put on the edge.
    Path(Vec<Px>),
    /// For each point its place on the edge, or nothing where there is no clear one.
    Settled(Vec<Option<Settled>>),
    /// What the photo shows of the lens sheet.
    Grid(GridView),
    /// The lens as it was measured.
    Lens(Box<Calibration>),
    /// The picture laid flat.
    Flat {
        /// Pixels from left to right.
        width: u32,
        /// Pixels from top to bottom.
        height: u32,
        /// Red, green, blue, opacity, row by row from the top; clear where the photo shows
        /// nothing. Not part of the text.
        #[serde(skip)]
        rgba: Vec<u8>,
    },
}
