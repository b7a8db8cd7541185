//! Finished moulds: what each is, and where it lies.

use super::{Job, JobId, Piece, PieceId, Stage};
use crate::clock::{Due, DueKind, Tap};
use crate::quantity::{Estimate, Millimetres, iso};
use crate::survey::Mm;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What is noted of a finished mould.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Mould {
    /// Where it is stored.
    pub stored: String,
    /// Kept for food, and for nothing else.
    pub food_only: bool,
    /// No longer cast from.
    pub retired: bool,
    /// When what sets in it now was poured.
    #[serde(with = "iso::maybe_moment")]
    pub poured: Option<DateTime<Utc>>,
}

/// A finished mould of some job.
#[derive(Clone, Debug, PartialEq)]
pub struct OnShelf {
    /// The job.
    pub job: JobId,
    /// The piece that it was taken of.
    pub piece: PieceId,
    /// When it was peeled.
    pub born: DateTime<Utc>,
}

impl Piece {
    /// When its skin was peeled; `None` until it was.
    pub fn born(&self) -> Option<DateTime<Utc>> {
        let peeled = self.coat_log.iter().rev();
        let mut peeled = peeled.filter(|moment| moment.tap == Tap::Demoulded);
        peeled.next().map(|moment| moment.at)
    }

    /// When what was poured into the mould can come out, by the medium's card.
    pub fn copy_due(&self) -> Option<Due> {
        let set = Estimate::exact(self.medium.as_ref()?.set_time.value);
        Some(Due::after(DueKind::Copy, self.mould.poured?, &set))
    }

    /// How long its sides are, the longer first; `None` until it is measured.
    pub fn sides(&self) -> Option<[Millimetres; 2]> {
        sides(&self.footprint().ok()?.outline_mm)
    }
}

/// The longer and the shorter side of what an outline encloses, as it stands on the photo.
pub fn sides(outline: &[Mm]) -> Option<[Millimetres; 2]> {
    let span = |axis: usize| {
        let along = || outline.iter().map(|place| place[axis]);
        let low = along().fold(f64::INFINITY, f64::min);
        Millimetres(along().fold(f64::NEG_INFINITY, f64::max) - low)
    };
    let (one, other) = (span(0), span(1));
    let sorted = if one > other {
        [one, other]
    } else {
        [other, one]
    };
    (!outline.is_empty()).then_some(sorted)
}

/// All finished moulds, the last one first; those that are no longer cast from come last.
pub fn moulds(jobs: &[Job]) -> Vec<OnShelf> {
    let pieces = jobs
        .iter()
        .flat_map(|job| job.pieces.iter().map(move |piece| (job, piece)));
    let finished = pieces.filter(|(_, piece)| piece.stage() == Stage::Cast);
    let mut all: Vec<(bool, OnShelf)> = finished
        .filter_map(|(job, piece)| {
            let on_shelf = OnShelf {
                job: job.id.clone(),
                piece: piece.id.clone(),
                born: piece.born()?,
            };
            Some((piece.mould.retired, on_shelf))
        })
        .collect();
    all.sort_by_key(|(retired, mould)| (*retired, std::cmp::Reverse(mould.born)));
    all.into_iter().map(|(_, mould)| mould).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Moment;
    use crate::job::sample_job;
    use chrono::TimeDelta;

    fn peeled(name: &str, day: i64) -> Piece {
        let mut piece = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
        piece.id = PieceId::new(name);
        let (coat, batch) = (1, 1);
        let taps = [
            Tap::StartMix { coat, batch },
            Tap::SecondContainer { coat, batch },
            Tap::StartBrush { coat, batch },
            Tap::BatchDone {
                coat,
                batch,
                last: true,
            },
            Tap::Demoulded,
        ];
        let at = DateTime::UNIX_EPOCH + TimeDelta::days(day);
        piece.coat_log = taps.map(|tap| Moment { at, tap }).to_vec();
        piece
    }

    #[test]
    fn the_last_mould_comes_first_and_retired_ones_last() {
        let mut retired = peeled("retired", 9);
        retired.mould.retired = true;
        let blank = Piece::default();
        assert_eq!(blank.born(), None);
        let job = Job {
            pieces: vec![peeled("old", 2), retired, blank, peeled("new", 5)],
            ..Job::default()
        };
        let found = moulds(&[job]);
        let names: Vec<&str> = found.iter().map(|mould| mould.piece.as_str()).collect();
        assert_eq!(names, ["new", "old", "retired"]);
        assert_eq!(found[0].born, DateTime::UNIX_EPOCH + TimeDelta::days(5));
        // What sets in it is due after its card's time.
        let mut poured = peeled("poured", 1);
        assert_eq!(poured.copy_due(), None);
        poured.mould.poured = Some(DateTime::UNIX_EPOCH);
        poured.medium = crate::casting::starter_media().into_iter().next();
        let due = poured.copy_due().unwrap();
        assert_eq!((due.at - due.from).num_minutes(), 50);
        let [long, short] = peeled("sample", 1).sides().unwrap();
        assert!(
            (long.0 - 243.0).abs() < 4.0 && short < long,
            "{long:?} {short:?}"
        );
    }
}
