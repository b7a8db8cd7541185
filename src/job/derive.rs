//! What follows from a piece: computed when it is asked for, never stored.
//!
//! Each answer is a result, or a sentence that says what is still missing.

use super::mould::sides;
use super::{PhotoRef, Piece, Shot, Shows};
use crate::casting::{CastInput, CastPlan, CastPrices, cast};
use crate::clock::{Due, Progress, Tempo, finished, patch_due, progress, readings};
use crate::coating::{
    Cost, Ground, KitItem, Plan, PlanInput, Posture, Prices, Rings, Surface, kit, packs_for, plan,
};
use crate::quantity::Degrees;
use crate::survey::{Footprint, Wall, combine, joined};
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// How far a piece has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
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
    /// Its photos: those that are measured on, then those of the log.
    pub fn photos(&self) -> impl Iterator<Item = &PhotoRef> {
        let measured = self.shots.iter().filter_map(|shot| shot.photo.as_ref());
        measured.chain(self.pictures.iter().map(|picture| &picture.photo))
    }

    /// One of its photos with its marks; blank if there is none at this place yet.
    pub fn shot(&self, at: usize) -> &Shot {
        static BLANK: LazyLock<Shot> = LazyLock::new(Shot::default);
        self.shots.get(at).unwrap_or(&BLANK)
    }

    /// The same to be changed; photos up to this one come into being.
    pub fn shot_mut(&mut self, at: usize) -> &mut Shot {
        if self.shots.len() <= at {
            self.shots.resize_with(at + 1, Shot::default);
        }
        &mut self.shots[at]
    }

    /// How far its wall leans back: 0 stands upright, 90 is a floor, -90 a ceiling.
    pub fn wall_angle(&self) -> Degrees {
        match self.posture {
            Posture::Upright => self.lean,
            Posture::Flat => Degrees(90.0),
            Posture::Overhead => Degrees(-90.0),
        }
    }

    /// The wall as one of its photos shows it.
    pub fn wall(&self, at: usize) -> Result<Wall, String> {
        let shot = self.shot(at);
        let before = match (shot.ties(), self.before(at)) {
            (Some(_), Some(before)) => Some(self.wall(before)?),
            _ => None,
        };
        shot.wall(self.wall_angle(), before.as_ref())
    }

    /// Area, perimeter and tilt, with their ranges, by one of its photos alone.
    pub fn footprint_of(&self, at: usize) -> Result<Footprint, String> {
        self.shot(at).footprint_on(&self.wall(at)?)
    }

    /// Area, perimeter and tilt, with their ranges, by all its photos: those that share places
    /// show one piece together, those with a reference of their own show it once more. Photos that
    /// are not measured yet don't count, but the first does; those of sections never do.
    pub fn footprint(&self) -> Result<Footprint, String> {
        let mut looks: Vec<Vec<usize>> = Vec::new();
        let shots = self.shots.iter().enumerate();
        for (at, shot) in shots.filter(|(_, shot)| shot.shows == Shows::Piece) {
            match (shot.ties(), looks.last_mut()) {
                (Some(_), Some(look)) if shot.is_marked() => look.push(at),
                _ if at == 0 || shot.is_marked() => looks.push(vec![at]),
                _ => {}
            }
        }
        let whole = |look: &Vec<usize>| match look.as_slice() {
            [at] => self.footprint_of(*at),
            several => {
                let parts = several
                    .iter()
                    .map(|at| Ok(self.shot(*at).part(&self.wall(*at)?)));
                let parts = parts.collect::<Result<Vec<_>, String>>()?;
                joined(&parts).map_err(|why| why.to_string())
            }
        };
        let Some(first) = looks.first() else {
            return Err(tr("Take or choose a photo first.").into());
        };
        let mut found = whole(first)?;
        let others = looks.iter().skip(1).map(whole);
        let mut all = others.collect::<Result<Vec<_>, _>>()?;
        if !all.is_empty() {
            all.insert(0, found.clone());
            if let Some(together) = combine(&all) {
                found.area = together.area;
                found.perimeter = together.perimeter;
                found.notes.extend(together.notes);
            }
        }
        Ok(found)
    }

    /// What the plan is made from.
    pub fn plan_input(&self) -> Result<PlanInput, String> {
        let found = self.footprint()?;
        let heights = self.heights_on(&found)?;
        let heights = heights.as_deref();
        let relief = self.relief_by(heights).ok_or(tr(
            "Say how high the piece stands and how it is modelled first.",
        ))?;
        let map = heights.map(|found| &found.sounded.heights.map);
        let overhung = self.overhung_on(&found, map);
        Ok(PlanInput {
            area: found.area,
            perimeter: found.perimeter,
            rings: Some(Rings {
                outline: found.outline_mm,
                holes: found.holes_mm,
                neighbours: found.neighbours_mm,
            }),
            heights: heights.map(|found| {
                let map = found.sounded.heights.map.clone();
                map.with_sd(found.measures.volume.relative_sd())
            }),
            overhung,
            relief,
            border: self.border,
            card: self.card.clone(),
            coats: self.coats.clone(),
            posture: self.posture,
            finish: self.finish,
            substrate: self.substrate,
            heritage: self.heritage,
            undercut: self.closes_behind(),
            patch_test: self.patch_test.clone(),
            temperature: self.temperature,
            scale_step: self.scale_step,
            shell: self.shell,
            dabs: self.dabs.clone(),
            confidence: self.confidence,
            hand: self.hand.with(&self.card, self.temperature),
        })
    }

    /// Whether it closes behind its own forms somewhere: said of the piece, or marked on it.
    fn closes_behind(&self) -> bool {
        self.undercut || !self.relief_record.overhangs.is_empty()
    }

    /// The piece as the paste meets it.
    pub fn ground(&self) -> Ground<'_> {
        Ground {
            card: &self.card,
            substrate: self.substrate,
            finish: self.finish,
            posture: self.posture,
            relief: match self.relief {
                Some(relief) => Some(relief),
                None => self.relief_by(self.heights().ok().flatten().as_deref()),
            },
            border: self.border,
            heritage: self.heritage,
            undercut: self.closes_behind(),
            patch: self.patch_test.as_ref(),
        }
    }

    /// When to look at the patch test; `None` unless one waits for its answer.
    pub fn patch_due(&self) -> Option<Due> {
        patch_due(self.patch_test.as_ref()?, &self.card, &self.tempo())
    }

    /// Coats, batches and what to bring.
    pub fn plan(&self) -> Result<Plan, String> {
        Ok(self.planned()?.1)
    }

    /// The plan, and what it was made from.
    pub fn planned(&self) -> Result<(PlanInput, Plan), String> {
        let input = self.plan_input()?;
        let plan = plan(&input).map_err(|e| e.to_string())?;
        Ok((input, plan))
    }

    /// The bag: what the plan asks for. The user's own additions stand in `own_items`.
    pub fn kit(&self) -> Result<Vec<KitItem>, String> {
        let (input, plan) = self.planned()?;
        Ok(kit(&plan, &input))
    }

    /// Where the coating stands at `now`, by its plan, which is worth keeping while only the time
    /// runs, and by how fast its paste goes there.
    pub fn progress_of(&self, plan: &Plan, tempo: &Tempo, now: DateTime<Utc>) -> Progress {
        progress(&self.coat_log, plan, &self.card, tempo, now)
    }

    /// Where the coating stands at `now`, by card and temperatures alone.
    pub fn progress(&self, now: DateTime<Utc>) -> Result<Progress, String> {
        Ok(self.progress_of(&self.plan()?, &self.tempo(), now))
    }

    /// How fast its paste goes there: by the temperature that was expected, and from the first
    /// reading on by what was read.
    pub fn tempo(&self) -> Tempo {
        Tempo::of(&self.card, self.temperature, readings(&self.notes))
    }

    /// How much of what to cast.
    pub fn cast(&self) -> Result<CastPlan, String> {
        let found = self.footprint()?;
        let heights = self.heights_on(&found)?;
        let relief = self
            .relief_by(heights.as_deref())
            .ok_or(tr("Say how high the piece stands on the Plan page first."))?;
        let medium = self
            .medium
            .clone()
            .ok_or(tr("Choose what to cast first."))?;
        let solid = self.filling.thickness().is_none();
        let modelled = heights.as_deref();
        // What only a shell asks for is not worked out for a solid copy.
        let map = modelled.filter(|_| !solid);
        let surface = match map {
            None if !solid => Some(self.plan()?.surface),
            _ => None,
        };
        let bends =
            surface.map(|surface| Surface::of_kind(surface.value, found.perimeter.value, &relief));
        cast(&CastInput {
            area: found.area,
            relief,
            stands_out: modelled.map(|found| found.measures.volume),
            heights: map.map(|found| found.sounded.heights.map.clone()),
            surface,
            mean_curvature: bends.map(|surface| surface.mean_curvature),
            filling: self.filling,
            backing: self.backing,
            copies: self.copies,
            moulds: self.moulds,
            longer: sides(&found.outline_mm).map(|[longer, _]| longer),
            confirmed_for_food: self.confirmed_for_food,
            casts: self.casts.clone(),
            prices: CastPrices {
                medium_kg: self.prices.medium_kg,
                hour: self.prices.hour,
                mould: self.mould_cost(),
            },
            medium,
            card: self.card.clone(),
            scale_step: self.scale_step,
        })
        .map_err(|e| e.to_string())
    }

    /// What the mould costs, as far as prices are known; `None` where none is.
    fn mould_cost(&self) -> Option<f64> {
        let priced = self.prices != Prices::default()
            || self.card.packs.iter().any(|pack| pack.price.is_some());
        let plan = priced.then(|| self.plan().ok())??;
        let packs = packs_for(&plan, &self.card);
        let mould = Cost::of(&plan, packs.as_ref(), &self.prices, self.copies).mould;
        (mould > 0.0).then_some(mould)
    }

    /// Whether anything tells how it stands out from the wall.
    fn stands_out_known(&self) -> bool {
        self.relief.is_some() || self.relief_record.tells_heights()
    }

    /// How far the piece has come; where its pages open.
    pub fn stage(&self) -> Stage {
        self.stage_told().unwrap_or_else(|| {
            let ticked = |item: &KitItem| self.ticked.contains(&item.key);
            match self.kit() {
                Ok(items) if items.iter().all(ticked) => Stage::Coat,
                Ok(_) => Stage::Pack,
                Err(_) => Stage::Plan,
            }
        })
    }

    /// The same by what is there, without arithmetic: it is asked of every job in a list. `None`
    /// where some of the bag is ticked, and only the plan tells whether that is all of it.
    pub fn stage_told(&self) -> Option<Stage> {
        Some(match self.coat_log.is_empty() {
            false if finished(&self.coat_log) => Stage::Cast,
            false => Stage::Coat,
            true if !self.shot(0).is_marked() => Stage::Measure,
            true if !self.stands_out_known() || self.ticked.is_empty() => Stage::Plan,
            true => return None,
        })
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
            &|p| {
                p.shots = vec![Shot {
                    photo: full.shots[0].photo.clone(),
                    ..Shot::default()
                }];
            },
            Stage::Measure,
            "Mark the reference first",
        );
        let few = |p: &mut Piece| {
            p.shots[0].reference = Some(Reference::Rectangle {
                kind: RectangleKind::Card,
                corners: vec![[0.0, 0.0]; 2],
            });
        };
        is(&few, Stage::Measure, "Mark 2 more corners");
        is(
            &|p| p.shots[0].reference = full.shots[0].reference.clone(),
            Stage::Measure,
            "Trace the outline first",
        );
        is(
            &|p| p.shots[0].outline = full.shots[0].outline.clone(),
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
