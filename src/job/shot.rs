//! One photo of a piece, and what was marked on it.

use super::PhotoId;
use crate::quantity::{Degrees, Estimate, Millimetres};
use crate::survey::calibrate::LensCard;
use crate::survey::{
    CameraTag, EdgeError, Evidence, Footprint, ImageSize, LEAST_TIES, Lens, Part, Px, Reference,
    RuleMark, Tie, Wall, WallProblem, fit_wall, footprint, holes_and_neighbours, tied,
};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// How exactly a careful thumb with a magnifier marks a point: one pixel of a picture 1600 pixels
/// wide, and in proportion on larger ones. A figure of this program's own, no source.
const MARKING_SD_PER_WIDTH: f64 = 1.0 / 1600.0;
/// However sharp a mark is found, card, rule and lens are not true to less, in pixels (from
/// memory).
const LEAST_FOUND_SD: f64 = 0.15;
/// A point that was put on the edge lies further off than its own spread says where a shadow
/// begins beside the edge: on drawn photos up to so many times.
const SETTLED_SD_TIMES: f64 = 2.5;
/// How well people know a height that they typed: half a millimetre and a twentieth of it
/// (common practice, no source).
const HEIGHT_SD: (Millimetres, f64) = (Millimetres(0.5), 0.05);

/// A photo in the phone's store.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PhotoRef {
    /// Its name in the store.
    pub id: PhotoId,
    /// The file's own name.
    pub name: String,
    /// Width of the upright picture in pixels.
    pub width: u32,
    /// Height of the upright picture in pixels.
    pub height: u32,
    /// Size of the file.
    pub bytes: u64,
    /// Where down was when it was taken, as a unit vector in the camera's frame (x right, y down,
    /// z forward); `None` if the camera did not say.
    pub gravity: Option<[f64; 3]>,
    /// What the file says of the camera.
    pub camera: Option<CameraTag>,
    /// The lens it was taken with, from this phone's lens card; `None` if it has none.
    pub lens: Option<Lens>,
}

/// A place that was found in the picture, near where it was tapped.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// The place; a mark that lies exactly there is known so well.
    pub px: Px,
    /// Standard deviation along x and along y, in pixels.
    pub sd_px: f64,
}

/// A reading of a tool that was found in the picture between those that were typed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Where it is seen and what the tool reads there.
    pub mark: RuleMark,
    /// Standard deviation along x and along y, in pixels.
    pub sd_px: f64,
}

impl Reading {
    /// Whether this is the same reading on the same edge as one that was typed.
    fn is(&self, typed: &RuleMark) -> bool {
        self.mark.side == typed.side && (self.mark.at.0 - typed.at.0).abs() < SAME_READING_MM
    }
}

/// Readings are typed and found in whole ticks: nearer to each other than this they are the same.
const SAME_READING_MM: f64 = 0.01;

/// What a photo shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shows {
    /// The piece on its wall.
    #[default]
    Piece,
    /// A section of it: a contour gauge on a table, or a line on a sheet.
    Section,
}

/// One photo of a piece, and what was marked on it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Shot {
    /// The photo.
    pub photo: Option<PhotoRef>,
    /// What it shows.
    pub shows: Shows,
    /// What of known size was marked on the photo.
    pub reference: Option<Reference>,
    /// Marks that were found in the picture rather than set by hand.
    pub found: Vec<Found>,
    /// Readings of the reference that were found between those that were typed.
    pub readings: Vec<Reading>,
    /// How far the reference lies before the wall; behind it, if less than nothing.
    pub reference_height: Millimetres,
    /// The outline traced on the photo, in pixels of the upright picture; of a section its edge,
    /// from end to end.
    pub outline: Vec<Px>,
    /// Holes in the outline and, outside it, what stands beside the piece; the same way.
    pub holes: Vec<Vec<Px>>,
    /// How far the edge that was traced stands before the wall.
    pub outline_height: Millimetres,
    /// Distances that are measured, each from one place on the photo to another.
    pub distances: Vec<[Px; 2]>,
}

impl PhotoRef {
    /// The size of the upright picture.
    pub fn size(&self) -> ImageSize {
        ImageSize {
            width: self.width,
            height: self.height,
        }
    }

    /// The same photo with the lens of the card that fits it, if one does.
    #[must_use]
    pub fn through(self, cards: &[LensCard]) -> Self {
        let lens = self.camera.as_ref().and_then(|camera| {
            let fits = |card: &LensCard| card.fits(&camera.model, camera.focal_mm, self.size());
            cards.iter().find_map(fits)
        });
        Self { lens, ..self }
    }

    /// What is known of the lens: by the lens card, or else by what the file says.
    fn lens(&self) -> Option<Lens> {
        let told = self.camera.as_ref().and_then(|camera| camera.focal_35mm);
        let told = told.map(|focal| Lens::from_35mm(focal, self.size()));
        self.lens.or(told)
    }
}

/// A height before the wall as it is measured on the spot; none is exact.
fn measured(height: Millimetres) -> Estimate<Millimetres> {
    let (least, share) = HEIGHT_SD;
    if height.0 == 0.0 {
        return Estimate::exact(height);
    }
    Estimate::normal(height, least.0.hypot(share * height.0))
}

impl Shot {
    /// Spread of a mark on this photo, in pixels.
    pub fn marking_sd_px(&self) -> f64 {
        let longer = self.photo.as_ref().map_or(0, |p| p.width.max(p.height));
        (f64::from(longer) * MARKING_SD_PER_WIDTH).max(0.5)
    }

    /// The wall's plane, from the reference on the photo; `angle` is how far the wall leans back
    /// (0 upright, 90 a floor, -90 a ceiling), and `before` the wall of the photo that this one may
    /// share places with. For a section it is the plane on which it lies, however that leans.
    pub fn wall(&self, angle: Degrees, before: Option<&Wall>) -> Result<Wall, String> {
        let problem = self.problem(angle)?;
        let found = match (self.ties(), before) {
            (None, _) => fit_wall(&problem),
            (Some(ties), Some(before)) => tied(before, &problem, ties),
            (Some(_), None) => return Err(tr("Measure the photo before this one first.").into()),
        };
        found
            .map(|wall| {
                wall.traced(
                    &measured(self.outline_height),
                    &measured(self.reference_height),
                )
            })
            .map_err(|e| e.to_string())
    }

    /// The wall itself, wherever the traced edge stands before it.
    pub(super) fn on_the_wall(&self, angle: Degrees) -> Result<Wall, String> {
        let found = fit_wall(&self.problem(angle)?).map_err(|why| why.to_string())?;
        let none = Estimate::exact(Millimetres(0.0));
        Ok(found.traced(&none, &self.reference_spread()))
    }

    /// How far the reference stands before the wall, as it is measured on the spot.
    pub(super) fn reference_spread(&self) -> Estimate<Millimetres> {
        measured(self.reference_height)
    }

    /// What is known of the photo's camera and the reference; without evidence where the photo is
    /// measured by places that it shares with the one before.
    pub fn problem(&self, angle: Degrees) -> Result<WallProblem, String> {
        let photo = self
            .photo
            .as_ref()
            .ok_or(tr("Take or choose a photo first."))?;
        let evidence = match self.ties() {
            Some(_) => Vec::new(),
            None => self.evidence()?,
        };
        // A table mostly, but a sheet may hang on a board: down says nothing of it.
        let (gravity, angle) = match self.shows {
            Shows::Piece => (photo.gravity, angle),
            Shows::Section => (None, Degrees(90.0)),
        };
        Ok(WallProblem {
            lens: photo.lens(),
            gravity,
            wall_angle_deg: angle.0,
            point_sd_px: self.marking_sd_px(),
            ..WallProblem::new(photo.size(), evidence)
        })
    }

    /// The places that this photo shares with the one before, if it is measured by those.
    pub fn ties(&self) -> Option<&[Tie]> {
        match &self.reference {
            Some(Reference::Ties { ties }) => Some(ties),
            _ => None,
        }
    }

    /// What the reference tells of the wall; what was found in the picture is better known.
    fn evidence(&self) -> Result<Vec<Evidence>, String> {
        let mut reference = self
            .reference
            .clone()
            .ok_or(tr("Mark the reference first."))?;
        if let Reference::Marks { marks, .. } = &mut reference {
            // A reading that was typed and found counts once, as it was found.
            marks.retain(|typed| !self.readings.iter().any(|found| found.is(typed)));
            marks.extend(self.readings.iter().map(|reading| reading.mark));
        }
        let mut evidence = reference.evidence().map_err(|e| e.to_string())?;
        let of_readings = self.readings.iter().map(|r| (r.mark.px, r.sd_px));
        let of_marks = self.found.iter().map(|f| (f.px, f.sd_px));
        let found: Vec<(Px, f64)> = of_readings.chain(of_marks).collect();
        for one in &mut evidence {
            let (Evidence::Point { px, sd_px, .. } | Evidence::Tick { px, sd_px, .. }) = one else {
                continue;
            };
            let same = found.iter().find(|found| found.0 == *px);
            *sd_px = same.map(|found| found.1.max(LEAST_FOUND_SD));
        }
        Ok(evidence)
    }

    /// Area, perimeter and tilt, with their ranges, from this photo alone, on its wall.
    pub fn footprint_on(&self, wall: &Wall) -> Result<Footprint, String> {
        if self.outline.is_empty() {
            return Err(tr("Trace the outline first.").into());
        }
        let (holes, neighbours) = holes_and_neighbours(&self.outline, &self.holes);
        let mut found =
            footprint(wall, &self.outline, &holes, self.traced()).map_err(|e| e.to_string())?;
        let on_wall = |ring: &Vec<Px>| ring.iter().map(|px| wall.to_wall(*px)).collect();
        found.neighbours_mm = neighbours.iter().filter_map(on_wall).collect();
        Ok(found)
    }

    /// How well the outline was traced: points that were found count by their own spread.
    fn traced(&self) -> EdgeError {
        EdgeError::traced(self.traced_sd_px())
    }

    /// The spread of a point that was traced, in pixels: the root of the mean square.
    pub(super) fn traced_sd_px(&self) -> f64 {
        let by_hand = self.marking_sd_px();
        let points = || self.outline.iter().chain(self.holes.iter().flatten());
        let sd = |px: &Px| {
            let found = self.found.iter().find(|found| found.px == *px);
            found.map_or(by_hand, |found| by_hand.min(SETTLED_SD_TIMES * found.sd_px))
        };
        let count = points().count().max(1) as f64;
        let square: f64 = points().map(|px| sd(px).powi(2)).sum();
        (square / count).sqrt()
    }

    /// What it shows of a piece that goes on over several photos.
    pub fn part(&self, wall: &Wall) -> Part {
        let (holes, neighbours) = holes_and_neighbours(&self.outline, &self.holes);
        Part {
            wall: wall.clone(),
            ties: self.ties().unwrap_or_default().to_vec(),
            outline: self.outline.clone(),
            holes,
            neighbours,
            marking_sd_px: self.marking_sd_px(),
            traced: self.traced(),
        }
    }

    /// Whether all that is needed for a footprint is marked.
    pub fn is_marked(&self) -> bool {
        let known = match (&self.reference, self.ties()) {
            (_, Some(ties)) => ties.len() >= LEAST_TIES,
            (Some(reference), None) => reference.evidence().is_ok(),
            (None, None) => false,
        };
        self.photo.is_some() && known && self.outline.len() >= 3
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Held, MarkTool, Side};

    #[test]
    fn a_reading_that_was_typed_and_found_counts_once() {
        let mark = |x: f64, at: f64| RuleMark {
            px: [x, 900.0],
            at: Millimetres(at),
            side: Side::FirstRule,
        };
        let found = |at: f64| Reading {
            mark: mark(100.0 + 6.0 * at, at),
            sd_px: 0.05,
        };
        let shot = Shot {
            photo: Some(PhotoRef {
                width: 2000,
                height: 1500,
                ..PhotoRef::default()
            }),
            reference: Some(Reference::Marks {
                tool: MarkTool::Edges {
                    held: [Held::Level, Held::Anyhow],
                },
                // Typed a little beside their ticks.
                marks: vec![mark(100.4, 0.0), mark(1299.7, 200.0)],
            }),
            readings: (0..=20).map(|i| found(10.0 * f64::from(i))).collect(),
            ..Shot::default()
        };
        let evidence = shot.evidence().unwrap();
        assert_eq!(evidence.len(), 21 + 1, "the readings, and that it is level");
        assert!(
            evidence[..21]
                .iter()
                .all(|e| matches!(e, Evidence::Tick { sd_px: Some(_), .. }))
        );
        shot.wall(Degrees(0.0), None).unwrap();
    }
}
