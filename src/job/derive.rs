//! What follows from a piece: computed when it is asked for, never stored.
//!
//! Each answer is a result, or a sentence that says what is still missing.

use super::Piece;
use crate::casting::{CastInput, CastPlan, cast};
use crate::clock::{Progress, finished, progress};
use crate::coating::{KitItem, Plan, PlanInput, kit, plan};
use crate::survey::{Footprint, ImageSize, Wall, WallProblem, fit_wall, footprint};
use chrono::{DateTime, Utc};

/// How exactly a careful thumb with a magnifier marks a point: one pixel of a picture 1600 pixels
/// wide, and in proportion on larger ones. A figure of this program's own, no source.
const MARKING_SD_PER_WIDTH: f64 = 1.0 / 1600.0;

/// How far a piece has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// The footprint is still to be measured.
    Measure,
    /// Measured: the coats are to be planned.
    Plan,
    /// Planned: the bag is to be packed.
    Pack,
    /// Packed, or a coat has begun.
    Coat,
    /// The skin is off.
    Cast,
}

impl Piece {
    /// Spread of a mark on this piece's photo, in pixels.
    pub fn marking_sd_px(&self) -> f64 {
        let longer = self.photo.as_ref().map_or(0, |p| p.width.max(p.height));
        (f64::from(longer) * MARKING_SD_PER_WIDTH).max(0.5)
    }

    /// The wall's plane, from the reference on the photo.
    pub fn wall(&self) -> Result<Wall, String> {
        let photo = self.photo.as_ref().ok_or("Take or choose a photo first.")?;
        let reference = self.reference.as_ref().ok_or("Mark the reference first.")?;
        let size = ImageSize {
            width: photo.width,
            height: photo.height,
        };
        let evidence = reference.evidence().map_err(|e| e.to_string())?;
        let problem = WallProblem {
            point_sd_px: self.marking_sd_px(),
            ..WallProblem::new(size, evidence)
        };
        fit_wall(&problem).map_err(|e| e.to_string())
    }

    /// Area, perimeter and tilt, with their ranges.
    pub fn footprint(&self) -> Result<Footprint, String> {
        let wall = self.wall()?;
        if self.outline.is_empty() {
            return Err("Trace the outline first.".into());
        }
        footprint(&wall, &self.outline, &self.holes, self.marking_sd_px())
            .map_err(|e| e.to_string())
    }

    /// What the plan is made from.
    pub fn plan_input(&self) -> Result<PlanInput, String> {
        let found = self.footprint()?;
        let relief = self
            .relief
            .ok_or("Say how high the piece stands and how it is modelled first.")?;
        Ok(PlanInput {
            area: found.area,
            perimeter: found.perimeter,
            relief,
            border: self.border,
            card: self.card.clone(),
            coats: self.coats.clone(),
            posture: self.posture,
            finish: self.finish,
            temperature: self.temperature,
            scale_step: self.scale_step,
        })
    }

    /// Coats, batches and what to bring.
    pub fn plan(&self) -> Result<Plan, String> {
        plan(&self.plan_input()?).map_err(|e| e.to_string())
    }

    /// The bag: what the plan asks for. The user's own additions stand in `own_items`.
    pub fn kit(&self) -> Result<Vec<KitItem>, String> {
        let input = self.plan_input()?;
        let plan = plan(&input).map_err(|e| e.to_string())?;
        Ok(kit(&plan, &input))
    }

    /// Where the coating stands at `now`.
    pub fn progress(&self, now: DateTime<Utc>) -> Result<Progress, String> {
        let plan = self.plan()?;
        Ok(progress(
            &self.coat_log,
            &plan,
            &self.card,
            self.temperature,
            now,
        ))
    }

    /// How much of what to cast.
    pub fn cast(&self) -> Result<CastPlan, String> {
        let found = self.footprint()?;
        let relief = self
            .relief
            .ok_or("Say how high the piece stands on the Plan page first.")?;
        let medium = self.medium.clone().ok_or("Choose what to cast first.")?;
        cast(&CastInput {
            area: found.area,
            relief,
            backing: self.backing,
            copies: self.copies,
            medium,
            card: self.card.clone(),
            scale_step: self.scale_step,
        })
        .map_err(|e| e.to_string())
    }

    /// How far the piece has come; where its pages open. Asked of every job in a list, so it
    /// looks at what is there and leaves the arithmetic to the pages, which say what is wrong.
    pub fn stage(&self) -> Stage {
        if !self.coat_log.is_empty() {
            return if finished(&self.coat_log) {
                Stage::Cast
            } else {
                Stage::Coat
            };
        }
        let marked = self
            .reference
            .as_ref()
            .is_some_and(|r| r.evidence().is_ok());
        if self.photo.is_none() || !marked || self.outline.len() < 3 {
            Stage::Measure
        } else if self.relief.is_none() || self.ticked.is_empty() {
            Stage::Plan
        } else {
            let ticked = |item: &KitItem| self.ticked.contains(&item.key);
            match self.kit() {
                Ok(items) if items.iter().all(ticked) => Stage::Coat,
                Ok(_) => Stage::Pack,
                Err(_) => Stage::Plan,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{Moment, Tap};
    use crate::job::sample_job;
    use crate::survey::{RectangleKind, Reference};
    use chrono::DateTime;

    #[test]
    fn each_step_says_what_is_missing_and_the_next_one_opens() {
        let full = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
        let mut piece = Piece::default();
        let mut is = |change: &dyn Fn(&mut Piece), stage, missing: &str| {
            change(&mut piece);
            assert_eq!(piece.stage(), stage, "{missing}");
            let why = piece.plan().err().unwrap_or_default();
            assert!(
                why.contains(missing) && why.is_empty() == missing.is_empty(),
                "{why}"
            );
        };
        is(&|_| {}, Stage::Measure, "choose a photo first");
        is(
            &|p| p.photo = full.photo.clone(),
            Stage::Measure,
            "Mark the reference first",
        );
        let few = |p: &mut Piece| {
            p.reference = Some(Reference::Rectangle {
                kind: RectangleKind::Card,
                corners: vec![[0.0, 0.0]; 2],
            });
        };
        is(&few, Stage::Measure, "Mark 2 more corners");
        is(
            &|p| p.reference = full.reference.clone(),
            Stage::Measure,
            "Trace the outline first",
        );
        is(
            &|p| p.outline = full.outline.clone(),
            Stage::Plan,
            "how high the piece stands",
        );
        is(&|p| p.relief = full.relief, Stage::Plan, "");
        is(&|p| p.ticked = vec!["rule".into()], Stage::Pack, "");
        let all = |p: &mut Piece| {
            p.ticked = p.kit().unwrap().into_iter().map(|item| item.key).collect();
        };
        is(&all, Stage::Coat, "");
        let log = |tap| Moment {
            at: DateTime::UNIX_EPOCH,
            tap,
        };
        let (coat, batch) = (1, 1);
        let coating = vec![
            log(Tap::StartMix { coat, batch }),
            log(Tap::BatchDone {
                coat,
                batch,
                last: true,
            }),
        ];
        is(&|p| p.coat_log = coating.clone(), Stage::Coat, "");
        let peeled = log(Tap::Demoulded);
        is(&|p| p.coat_log.push(peeled), Stage::Cast, "");
        assert_eq!(piece.cast().unwrap_err(), "Choose what to cast first.");
    }
}
