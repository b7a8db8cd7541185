//! Pieces that were taken out of their job: kept for a while, to be brought back.

use super::{Job, PhotoRef, Piece, PieceId};
use crate::quantity::iso;
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

/// How long what was deleted can be brought back, in days.
pub const BIN_DAYS: i64 = 30;

/// A piece that was taken out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Removed {
    /// The piece as it was.
    pub piece: Piece,
    /// When.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
}

impl Job {
    /// Takes a piece out; what was taken out long ago is forgotten.
    pub fn remove_piece(&mut self, id: &PieceId, now: DateTime<Utc>) {
        let oldest = now - TimeDelta::days(BIN_DAYS);
        self.removed.retain(|removed| removed.at >= oldest);
        let place = self.pieces.iter().position(|piece| piece.id == *id);
        if let Some(place) = place {
            let piece = self.pieces.remove(place);
            self.removed.push(Removed { piece, at: now });
        }
    }

    /// Puts a piece that was taken out behind the others.
    pub fn bring_back(&mut self, id: &PieceId) {
        let place = self.removed.iter().position(|one| one.piece.id == *id);
        if let Some(place) = place {
            self.pieces.push(self.removed.remove(place).piece);
        }
    }

    /// The photos of its pieces, and of those that can be brought back.
    pub fn photos(&self) -> impl Iterator<Item = &PhotoRef> {
        let removed = self.removed.iter().map(|removed| &removed.piece);
        self.pieces.iter().chain(removed).flat_map(Piece::photos)
    }

    /// The job as it leaves the phone: without what was taken out of it.
    pub fn without_removed(&self) -> Self {
        Self {
            removed: Vec::new(),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::sample_job;

    #[test]
    fn a_piece_comes_back_with_its_photos_within_a_month() {
        let day = |n| DateTime::UNIX_EPOCH + TimeDelta::days(n);
        let mut job = sample_job(day(0));
        let (whole, id) = (job.clone(), job.pieces[0].id.clone());
        job.remove_piece(&id, day(1));
        assert!(job.pieces.is_empty());
        assert_eq!(job.photos().count(), whole.photos().count());
        assert_eq!(job.without_removed().photos().count(), 0);
        // In its record it is not lost.
        let text = serde_json::to_string(&job).unwrap();
        let mut read = Job::from_value(serde_json::from_str(&text).unwrap()).unwrap();
        assert_eq!(read.removed.len(), 1);
        read.bring_back(&id);
        assert!(read.says_the_same(&whole));
        // Later removals forget what was taken out long before.
        job.remove_piece(&PieceId::new("none"), day(20));
        assert_eq!(job.removed.len(), 1);
        job.remove_piece(&PieceId::new("none"), day(40));
        assert_eq!((job.removed.len(), job.photos().count()), (0, 0));
    }
}
