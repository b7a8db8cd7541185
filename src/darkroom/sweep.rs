//! Heights from several photos: the one question that needs more than the open photo.

use super::Photo;
use crate::quantity::{Estimate, Millimetres};
use crate::relief::sweep::{SweepPhoto, SweepProblem, labels, sweep};
use crate::relief::{Frame, HeightMap, measures};
use crate::survey::{Mm, Px, Sight, SurveyError, WallProblem};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What is asked of two to five photos ([`sweep`](crate::relief::sweep::sweep)). All pixels are
/// those of the upright full-size pictures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SweepAsk {
    /// What is known of each photo, with the same reference in each. The piece's outline was
    /// traced in the first.
    pub problems: Vec<WallProblem>,
    /// How the first photo sees the wall as the piece is measured on it.
    pub sight: Sight,
    /// The outline on that wall.
    pub outline: Vec<Mm>,
    /// How far the reference's plane stands before the wall.
    pub reference: Estimate<Millimetres>,
    /// No part of the piece stands higher.
    pub max_height: Millimetres,
}

/// The heights that were found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SweepAnswer {
    /// On the wall as the piece is measured on it. The spread of its scale is that of the volume.
    pub map: HeightMap,
    /// The share of the piece whose height was seen, not filled in.
    pub matched: f64,
    /// What the user should know.
    pub notes: Vec<String>,
}

/// Places of the map along its longer side, and no finer than a millimetre where that is finer.
const SIDE: usize = 500;
const FINEST_MM: f64 = 1.0;
/// Places times heights: 512 by 512 by 64, and a little.
const MOST: usize = 17_500_000;
/// The sweep keeps some places about the piece.
const ROOM: f64 = 1.06;

impl SweepAsk {
    /// Finds the heights in its photos, given in the order of the problems. `progress` is told
    /// the share that is done, 0 to 1.
    pub fn answer(
        &self,
        photos: &[Photo],
        progress: &mut dyn FnMut(f64),
    ) -> Result<SweepAnswer, String> {
        self.find(photos, progress).map_err(|why| why.to_string())
    }

    fn find(
        &self,
        photos: &[Photo],
        progress: &mut dyn FnMut(f64),
    ) -> Result<SweepAnswer, SurveyError> {
        let outline_px = self.outline.iter().map(|mm| self.sight.to_photo(*mm));
        let outline_px: Vec<Px> = outline_px.collect::<Option<_>>().ok_or_else(|| {
            SurveyError::at(
                "outline",
                tr("A point of the outline looks past the wall. Set it on the piece's edge."),
            )
        })?;
        let base = photos.first().map(Photo::scale);
        let kept = |px: Px| base.map_or(px, |scale| scale.kept(px));
        let both = self.problems.iter().zip(photos);
        let problem = SweepProblem {
            photos: both
                .map(|(problem, photo)| SweepPhoto {
                    grey: photo.grey(),
                    problem: problem.resized(photo.kept_size()),
                })
                .collect(),
            outline_of: 0,
            outline_px: outline_px.into_iter().map(kept).collect(),
            reference: self.reference,
            max_height: self.max_height,
            step: self.step()?,
            most: MOST,
        };
        let swept = sweep(&problem, progress)?;
        let volume = measures(&swept.heights, &swept.outline, &[]).volume;
        let map = swept.laid(&self.outline, |mm| Some(kept(self.sight.to_photo(mm)?)))?;
        Ok(SweepAnswer {
            map: map.with_sd(volume.relative_sd()),
            matched: swept.confident,
            notes: swept.notes,
        })
    }

    /// From place to place, so that the map has about as many as a phone has time for.
    fn step(&self) -> Result<Millimetres, SurveyError> {
        let whole = Frame::around(&self.outline, SIDE)?;
        let swept = (whole.len() * labels(self.max_height)) as f64;
        let coarser = (ROOM * (swept / MOST as f64).sqrt()).max(1.0);
        Ok(Millimetres((whole.step.0 * coarser).max(FINEST_MM)))
    }
}
