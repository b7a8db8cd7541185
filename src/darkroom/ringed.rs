//! A ring in the photo: found in the part of the picture about it, in as many pixels as can be
//! cut in time.

use super::photo::{Photo, Picture, Scale};
use crate::survey::{Px, Ring, RingOutline, Stroke, SurveyError};

/// The most pixels about a ring that are looked at.
const MOST_PIXELS: u64 = 1_000_000;
/// How much of the photo about the ring is taken along, as a share of the ring's width and
/// height: a little more than the ring compares with.
const MARGIN: f64 = 0.3;

/// A ring and the part of the photo that it lies in.
pub(super) struct Ringed {
    place: Place,
    picture: Picture,
    ring: Ring,
}

/// From pixels of the full photo to those of the part.
struct Place {
    scale: Scale,
    /// The part's first pixel among the colours.
    start: [u32; 2],
    /// Side of the part's squares, in pixels of the colours.
    side: u32,
}

impl Ringed {
    /// Looks for the ornament in a ring, in pixels of the full photo.
    pub fn draw(
        photo: &Photo,
        ring: &[Px],
        progress: &mut dyn FnMut(f64),
    ) -> Result<Self, SurveyError> {
        let scale = photo.colour_scale();
        let colours = photo.coloured();
        let spans = [colours.width, colours.height].map(f64::from);
        let span = |axis: usize| -> [u32; 2] {
            let along = ring.iter().map(|px| scale.kept(*px)[axis]);
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
                (low.min(at), high.max(at))
            });
            let more = MARGIN * (high - low);
            let from = (low - more).floor().clamp(0.0, spans[axis]);
            let to = (high + more).ceil().clamp(0.0, spans[axis]);
            // A ring beside the photo, or none at all, is refused where it is looked into.
            if from < to {
                [from as u32, to as u32]
            } else {
                [0, spans[axis] as u32]
            }
        };
        let (across, down) = (span(0), span(1));
        let pixels = u64::from(across[1] - across[0]) * u64::from(down[1] - down[0]);
        let mut side = 1;
        while pixels > MOST_PIXELS * u64::from(side * side) {
            side += 1;
        }
        let picture = colours.part(across, down, side);
        let place = Place {
            scale,
            start: [across[0], down[0]],
            side,
        };
        let drawn: Vec<Px> = ring.iter().map(|px| place.kept(*px)).collect();
        progress(0.1);
        let ring = Ring::draw(&picture.view(), &drawn)?;
        progress(0.5);
        Ok(Self {
            place,
            picture,
            ring,
        })
    }

    /// Takes a stroke into account.
    pub fn stroke(&mut self, stroke: Stroke) -> Result<(), SurveyError> {
        let place = &self.place;
        self.ring.stroke(Stroke {
            path: stroke.path.iter().map(|px| place.kept(*px)).collect(),
            radius_px: stroke.radius_px * place.scale.length() / f64::from(place.side),
            ..stroke
        })
    }

    /// The outline, in pixels of the full photo.
    pub fn outline(&self) -> Result<RingOutline, SurveyError> {
        let found = self.ring.outline(&self.picture.view())?;
        let full = |ring: Vec<Px>| ring.into_iter().map(|px| self.place.full(px)).collect();
        Ok(RingOutline {
            outline: full(found.outline),
            holes: found.holes.into_iter().map(full).collect(),
        })
    }
}

impl Place {
    fn kept(&self, px: Px) -> Px {
        let at = self.scale.kept(px);
        [0, 1].map(|k| (at[k] + 0.5 - f64::from(self.start[k])) / f64::from(self.side) - 0.5)
    }

    fn full(&self, px: Px) -> Px {
        let side = f64::from(self.side);
        self.scale
            .full([0, 1].map(|k| (px[k] + 0.5) * side + f64::from(self.start[k]) - 0.5))
    }
}
