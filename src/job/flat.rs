//! A piece laid flat: the part of the wall that the Check page and the sheet show, square on.

use super::{PhotoRef, Shot};
use crate::quantity::{Estimate, Millimetres};
use crate::survey::{Footprint, Px, RectifiedFrame, Sight, Wall, distance};

/// The wall shown around outline and reference, as a share of their width.
const MARGIN: f64 = 0.06;

/// A photo laid flat, with what was traced and measured on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Flat {
    /// The photo.
    pub photo: PhotoRef,
    /// How it sees the wall.
    pub sight: Sight,
    /// The part of the wall that is shown.
    pub frame: RectifiedFrame,
    /// The outline and then its holes, in pixels of the frame.
    pub rings: Vec<Vec<[f64; 2]>>,
    /// What stands beside it, that the border spares, the same way.
    pub neighbours: Vec<Vec<[f64; 2]>>,
}

/// A distance that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// From where to where, in pixels of a frame.
    pub ends: [[f64; 2]; 2],
    /// How long it is.
    pub length: Estimate<Millimetres>,
}

impl Flat {
    /// Outline and reference with some of the wall around, in at most `most_px` pixels; `None`
    /// without a photo. A card that looks like a card is the best sign that all is right.
    pub fn of(shot: &Shot, wall: &Wall, footprint: &Footprint, most_px: u32) -> Option<Self> {
        let mut shown = footprint.clone();
        shown.outline_mm.extend(wall.marks());
        let spread = |axis: usize| {
            let along = shown.outline_mm.iter().map(|p| p[axis]);
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            });
            high - low
        };
        let margin = Millimetres(spread(0).max(spread(1)) * MARGIN);
        let frame = RectifiedFrame::around(wall, &shown, margin, most_px);
        let rings = std::iter::once(&footprint.outline_mm).chain(&footprint.holes_mm);
        let laid = |ring: &Vec<_>| ring.iter().map(|mm| frame.to_frame(*mm)).collect();
        Some(Self {
            photo: shot.photo.clone()?,
            sight: wall.sight(),
            rings: rings.map(laid).collect(),
            neighbours: footprint.neighbours_mm.iter().map(laid).collect(),
            frame,
        })
    }
}

impl Shot {
    /// The distances that are measured on this photo; those that no longer lie on the wall are
    /// left out.
    pub fn measured(&self, wall: &Wall, frame: &RectifiedFrame) -> Vec<Measured> {
        let place = |px: Px| Some(frame.to_frame(wall.to_wall(px)?));
        let one = |ends: &[Px; 2]| {
            Some(Measured {
                ends: [place(ends[0])?, place(ends[1])?],
                length: distance(wall, *ends, self.marking_sd_px()).ok()?,
            })
        };
        self.distances.iter().filter_map(one).collect()
    }
}
