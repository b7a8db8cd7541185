//! Which photos of a piece can tell its heights, and what is asked of them.

use super::{PhotoRef, Piece, Shot, Shows};
use crate::darkroom::{SweepAnswer, SweepAsk};
use crate::quantity::{Estimate, Millimetres};
use crate::relief::SweptFrom;
use crate::relief::sweep::MOST_PHOTOS;
use crate::say;
use crate::survey::{RectangleKind, Reference, name_alike, same_kind};
use crate::words::tr;

/// Photos to be compared, and what is asked of them.
#[derive(Clone, Debug, PartialEq)]
pub struct ToSweep {
    /// The photos, in the order of the question.
    pub photos: Vec<PhotoRef>,
    /// The question.
    pub ask: SweepAsk,
}

/// A bank card is so thick (published: ISO/IEC 7810), and may lie a little off the wall (common
/// practice, no source).
const CARD: (f64, f64) = (0.76, 0.3);
/// A sheet lies on the wall, or not quite (common practice, no source).
const FLAT_SD_MM: f64 = 0.5;

impl Piece {
    /// Whether a photo can be compared with the first, or what it needs for that.
    pub fn sweepable(&self, at: usize) -> Result<(), String> {
        let shot = self.shot(at);
        if shot.photo.is_none() {
            return Err(tr("Take or choose it first.").into());
        }
        if shot.shows == Shows::Section {
            return Err(tr("It shows a section.").into());
        }
        let Some(reference) = &shot.reference else {
            return Err(tr("Mark the reference in it.").into());
        };
        if shot.ties().is_some() {
            return Err(
                tr("It is measured by places it shares with another photo. For heights it has to show the reference itself.").into(),
            );
        }
        shot.problem(self.wall_angle())?;
        match &self.shot(0).reference {
            Some(first) if at > 0 && !same_kind(first, reference) => Err(
                tr("It shows another reference than photo 1. Leave one reference untouched while you take all photos.").into(),
            ),
            _ => Ok(()),
        }
    }

    /// The photos that can be compared, five at most, the one with the outline first.
    pub fn swept_photos(&self) -> Vec<usize> {
        let all = (0..self.shots.len()).filter(|at| self.sweepable(*at).is_ok());
        all.take(MOST_PHOTOS).collect()
    }

    /// What is asked of the photos, when nothing stands higher than `highest`; a sentence says
    /// what is missing.
    pub fn to_sweep(&self, highest: Millimetres) -> Result<ToSweep, String> {
        self.sweepable(0)
            .map_err(|why| say!("Photo 1: {why}", why))?;
        let chosen = self.swept_photos();
        if chosen.len() < 2 {
            return Err(tr("Take a second photo from another place, with the reference left where it is, and mark the reference in it.").into());
        }
        if self.shots.iter().any(|shot| shot.ties().is_some()) {
            return Err(tr("This piece goes on over several photos. Heights can be compared only where one photo shows all of it: read them with a probe.").into());
        }
        let angle = self.wall_angle();
        let first = self.shot(0);
        let found = first.footprint_on(&self.wall(0)?)?;
        let base = first.problem(angle)?;
        let mut problems = Vec::new();
        for at in &chosen {
            let mut problem = self.shot(*at).problem(angle)?;
            name_alike(&base.evidence, &mut problem.evidence);
            problems.push(problem);
        }
        Ok(ToSweep {
            photos: chosen
                .iter()
                .filter_map(|at| self.shot(*at).photo.clone())
                .collect(),
            ask: SweepAsk {
                problems,
                sight: first.on_the_wall(angle)?.sight(),
                outline: found.outline_mm,
                reference: reference_height(first),
                max_height: highest,
            },
        })
    }

    /// Keeps the heights that were found in the photos.
    pub fn keep_swept(&mut self, asked: &ToSweep, found: SweepAnswer) {
        self.relief_record.swept = Some(found.map);
        self.relief_record.swept_from = Some(SweptFrom {
            photos: asked.photos.len(),
            matched: found.matched,
            outline: asked.ask.outline.clone(),
            notes: found.notes,
        });
    }
}

/// How far the reference's plane stands before the wall.
fn reference_height(shot: &Shot) -> Estimate<Millimetres> {
    let typed = shot.reference_spread();
    let card = matches!(
        shot.reference,
        Some(Reference::Rectangle {
            kind: RectangleKind::Card,
            ..
        })
    );
    match (typed.value.0 == 0.0, card) {
        (true, true) => Estimate::normal(Millimetres(CARD.0), CARD.1),
        (true, false) => Estimate::normal(typed.value, FLAT_SD_MM),
        (false, _) => typed,
    }
}
