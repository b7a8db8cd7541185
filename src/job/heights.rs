//! A piece's heights, as far as anyone found them out.

use super::Piece;
use crate::coating::Relief;
use crate::quantity::{Millimetres, SquareMillimetres};
use crate::relief::sweep::{DETAIL, remembered};
use crate::relief::{
    Cover, Frame, Guess, HeightMap, Heights, Known, Measures, ReliefRecord, Sounded, corrected,
    measures, overhung, readings,
};
use crate::survey::{Footprint, Mm};
use crate::words::{mark, tr};
use std::sync::{Arc, Mutex};

/// A piece's heights and what follows from them.
#[derive(Clone, Debug, PartialEq)]
pub struct Modelled {
    /// The heights, where to read next, and what to mind.
    pub sounded: Sounded,
    /// Surface, volume and highest point.
    pub measures: Measures,
}

/// Places along the longer side of a map that follows from readings alone: many times finer than
/// a surface through readings changes.
const ALONG: usize = 96;
/// Draws are the same each time, so that a number stands still until an input moves.
const SEED: u64 = 0x5eed_4e16_4775;
/// So many pieces' heights are kept.
const KEPT: usize = 12;

const MOVED: &str = mark(
    "The outline or the reference was changed after the photos were compared. \
    Compare the photos again.",
);

/// What heights follow from, and what followed.
struct Kept {
    record: ReliefRecord,
    outline: Vec<Mm>,
    holes: Vec<Vec<Mm>>,
    relief: Option<Relief>,
    /// The swept map with others that may as well be true, which readings leave as they are.
    swept: Option<Arc<Heights>>,
    found: Result<Arc<Modelled>, String>,
}

/// The plan of a piece is worked out anew with each look at it, and its heights take a hundred
/// times as long as all the rest: the last ones are kept as long as nothing they follow from
/// changes.
static LAST: Mutex<Vec<Kept>> = Mutex::new(Vec::new());

impl Piece {
    /// Its heights over the wall, by all that was read, drawn and swept; `None` where nothing was.
    /// A sentence says what is wrong with a reading.
    pub fn heights(&self) -> Result<Option<Arc<Modelled>>, String> {
        if !self.relief_record.tells_heights() {
            return Ok(None);
        }
        self.heights_on(&self.footprint()?)
    }

    /// The same on a footprint that is at hand.
    pub(super) fn heights_on(&self, on: &Footprint) -> Result<Option<Arc<Modelled>>, String> {
        if !self.relief_record.tells_heights() {
            return Ok(None);
        }
        let same = |kept: &Kept| {
            kept.relief == self.relief
                && kept.outline == on.outline_mm
                && kept.holes == on.holes_mm
                && kept.record == self.relief_record
        };
        let mut last = LAST.lock().unwrap_or_else(|broken| broken.into_inner());
        if let Some(at) = last.iter().position(same) {
            let kept = last.remove(at);
            let found = kept.found.clone();
            last.push(kept);
            return found.map(Some);
        }
        let record = &self.relief_record;
        let swept = record.swept.as_ref().map(|map| {
            let known = last
                .iter()
                .rev()
                .filter(|kept| kept.record.swept.as_ref() == Some(map));
            let mut known = known.filter_map(|kept| kept.swept.clone());
            known
                .next()
                .unwrap_or_else(|| remembered(map.clone()).into())
        });
        let found = self.find_heights(on, swept.as_deref()).map(Arc::new);
        if last.len() >= KEPT {
            last.remove(0);
        }
        last.push(Kept {
            record: self.relief_record.clone(),
            outline: on.outline_mm.clone(),
            holes: on.holes_mm.clone(),
            relief: self.relief,
            swept,
            found: found.clone(),
        });
        found.map(Some)
    }

    fn find_heights(&self, on: &Footprint, swept: Option<&Heights>) -> Result<Modelled, String> {
        let record = &self.relief_record;
        let known = Known {
            outline: &on.outline_mm,
            holes: &on.holes_mm,
            edge: record.edge,
            readings: &record.readings,
            profiles: &record.profiles,
        };
        let sounded = match swept {
            Some(heights) => corrected(heights, &known, SEED),
            None => Frame::around(&on.outline_mm, ALONG)
                .and_then(|frame| readings(frame, &known, self.relief.and_then(guess), SEED)),
        };
        let mut sounded = sounded.map_err(|why| why.to_string())?;
        let mut measures = measures(&sounded.heights, &on.outline_mm, &on.holes_mm);
        if record.swept.is_some() {
            measures = measures.with_detail(&DETAIL);
        }
        if let Some(from) = &record.swept_from {
            sounded.notes.extend(from.notes.iter().cloned());
            if !from.is_of(&on.outline_mm) {
                sounded.notes.push(tr(MOVED).into());
            }
        }
        Ok(Modelled { sounded, measures })
    }

    /// How it stands out, by what was said of it or, where nothing was, by its heights.
    pub(super) fn relief_by(&self, heights: Option<&Modelled>) -> Option<Relief> {
        let read = || {
            heights.map(|found| Relief {
                highest: found.measures.highest.value,
                ..Relief::default()
            })
        };
        self.relief.or_else(read)
    }

    /// The surface that was marked as closing behind its own forms.
    pub(super) fn overhung_on(&self, on: &Footprint, map: Option<&HeightMap>) -> SquareMillimetres {
        let strokes = &self.relief_record.overhangs;
        let flat = || {
            let frame = Frame::around(&on.outline_mm, ALONG).ok()?;
            let none = vec![0.0; frame.len()];
            HeightMap::of(frame, none.clone(), none, 0.0).ok()
        };
        if strokes.is_empty() || strokes.iter().any(|stroke| stroke.check().is_err()) {
            return SquareMillimetres(0.0);
        }
        let Some(map) = map.cloned().or_else(flat) else {
            return SquareMillimetres(0.0);
        };
        let cover = Cover::of_rings(map.frame(), &on.outline_mm, &on.holes_mm);
        overhung(&map, &cover, strokes)
    }
}

/// What the kind of relief tells before any height was read: its mean height as a share of the
/// highest point, and single heights about it so that the highest point is two spreads above.
fn guess(relief: Relief) -> Option<Guess> {
    let share = relief.kind.mean_height();
    let highest = relief.highest.0;
    (highest > 0.0).then(|| Guess {
        mean: Millimetres(highest * share.value),
        mean_sd: Millimetres(highest * share.sd),
        rough: Millimetres((highest * (1.0 - share.value) / 2.0).max(0.5)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::sample_job;
    use crate::relief::{Overhang, Reading};
    use chrono::DateTime;

    fn piece() -> Piece {
        sample_job(DateTime::UNIX_EPOCH).pieces.remove(0)
    }

    fn middle(piece: &Piece) -> Mm {
        let outline = piece.footprint().unwrap().outline_mm;
        let n = outline.len() as f64;
        [0, 1].map(|k| outline.iter().map(|place| place[k]).sum::<f64>() / n)
    }

    fn read(at: Mm, height: f64) -> Reading {
        Reading {
            at,
            height: Millimetres(height),
            sd: Millimetres(0.5),
        }
    }

    #[test]
    fn readings_take_the_place_of_the_kind_and_of_its_doubt() {
        let plain = piece();
        assert_eq!(plain.heights().unwrap(), None);
        let mut sounded = plain.clone();
        let [x, y] = middle(&plain);
        let highest = plain.relief.unwrap().highest.0;
        let around = [
            [0.0, 0.0],
            [25.0, 0.0],
            [-25.0, 0.0],
            [0.0, 20.0],
            [0.0, -20.0],
        ];
        let around = around.map(|[dx, dy]| read([x + dx, y + dy], highest * 0.7));
        sounded.relief_record.readings = around.to_vec();
        let found = sounded.heights().unwrap().unwrap();
        assert!(found.measures.volume.value.0 > 0.0 && found.sounded.next.is_some());
        assert_eq!(found.measures.footprint.value.0.round(), {
            let on = plain.footprint().unwrap();
            crate::survey::Region::of(&on.outline_mm, &on.holes_mm)
                .area()
                .round()
        });
        let (before, after) = (plain.plan().unwrap(), sounded.plan().unwrap());
        let has = |plan: &crate::coating::Plan, what: &str| {
            plan.uncertainties.iter().any(|line| line.what == what)
        };
        assert!(has(&before, "Shape of the edges") && !has(&before, "Heights"));
        assert!(has(&after, "Heights") && !has(&after, "Shape of the edges"));
        assert!(after.surface.value >= found.measures.footprint.value);
        // Nothing was said of the kind: the heights tell enough.
        sounded.relief = None;
        assert!(sounded.plan().is_ok());
        // What was found is found again.
        let again = sounded.heights().unwrap().unwrap();
        assert!(Arc::ptr_eq(&again, &sounded.heights().unwrap().unwrap()));
    }

    #[test]
    fn a_reading_beside_the_piece_says_so_instead_of_a_plan() {
        let mut piece = piece();
        piece.relief_record.readings = vec![read([1e4, 0.0], 5.0)];
        let why = piece.plan().unwrap_err();
        assert!(
            why.starts_with("Reading 1 lies outside the outline"),
            "{why}"
        );
    }

    #[test]
    fn a_swept_map_is_kept_in_the_record_and_measured() {
        let mut piece = piece();
        let on = piece.footprint().unwrap();
        let frame = Frame::around(&on.outline_mm, 128).unwrap();
        let cover = Cover::of_rings(frame, &on.outline_mm, &on.holes_mm);
        let inside = |inside: &bool| if *inside { 8.0 } else { f32::NAN };
        let heights = cover.inside().iter().map(inside).collect();
        let map = HeightMap::of(frame, heights, vec![0.3; frame.len()], 0.02).unwrap();
        piece.relief_record.swept = Some(map);
        let text = serde_json::to_string(&piece).unwrap();
        let mut back: Piece = serde_json::from_str(&text).unwrap();
        let kept = |piece: &Piece| piece.relief_record.swept.clone().unwrap();
        let pairs = || {
            kept(&piece)
                .heights()
                .to_vec()
                .into_iter()
                .zip(kept(&back).heights().to_vec())
        };
        assert!(pairs().all(|(a, b)| a == b || a.is_nan() && b.is_nan()));
        let found = back.heights().unwrap().unwrap().measures.clone();
        let wanted = cover.footprint().0 * 8.0 / 1000.0;
        assert!(
            (found.volume.value.0 / wanted - 1.0).abs() < 0.01,
            "{found:?}"
        );
        // The scale's two hundredths; what neighbours alone share hardly counts for the whole.
        let told = found.volume.sd / found.volume.value.0;
        assert!((0.019..0.026).contains(&told), "{told}");
        // What is cast goes by the map as well.
        back.medium = crate::casting::starter_media().into_iter().next();
        let cast = back.cast().unwrap().volume;
        let slab = back.footprint().unwrap().area.value.0 * back.backing.0 / 1000.0;
        assert!((cast.value.0 - slab - found.volume.value.0).abs() < 1e-6);
        let surface = back.plan().unwrap().surface.value.0;
        assert!(
            (surface / found.surface.value.0 - 1.0).abs() < 0.03,
            "{surface}"
        );
    }

    #[test]
    fn what_overhangs_takes_more_paste_and_is_cautioned_about() {
        let plain = piece();
        let mut marked = plain.clone();
        marked.relief_record.overhangs = vec![Overhang {
            path: vec![middle(&plain)],
            radius: Millimetres(15.0),
        }];
        let (before, after) = (plain.plan().unwrap(), marked.plan().unwrap());
        let more = after.surface.value.0 - before.surface.value.0;
        assert!(
            (more / (std::f64::consts::PI * 112.5) - 1.0).abs() < 0.05,
            "{more}"
        );
        assert!(!plain.undercut && marked.ground().undercut);
    }
}
