//! Photos of sections among those of a piece.

use super::{PhotoId, Piece, Shot, Shows};
use crate::survey::{Section, Wall, section};

/// How far pins of a contour gauge, or a pencil round its edge, lie beside what they met, in
/// millimetres: common practice, no source.
const KEPT_SD: f64 = 0.5;

impl Shot {
    /// The section that it shows, on the plane on which it lies.
    pub fn section_on(&self, plane: &Wall) -> Result<Section, String> {
        let found = section(plane, &self.outline, self.traced_sd_px());
        let mut found = found.map_err(|why| why.to_string())?;
        found.sd.0 = found.sd.0.hypot(KEPT_SD);
        Ok(found)
    }
}

impl Piece {
    /// The places of the photos that show sections.
    pub fn sections(&self) -> impl Iterator<Item = usize> {
        let shots = self.shots.iter().enumerate();
        let shown = shots.filter(|(_, shot)| shot.shows == Shows::Section);
        shown.map(|(at, _)| at)
    }

    /// The section that one of its photos shows.
    pub fn section_of(&self, at: usize) -> Result<Section, String> {
        self.shot(at).section_on(&self.wall(at)?)
    }

    /// The photo before one of its photos: sections lie between them.
    pub fn before(&self, at: usize) -> Option<usize> {
        let shots = self.shots.iter().enumerate().take(at);
        let mut pieces = shots.filter(|(_, shot)| shot.shows == Shows::Piece);
        pieces.next_back().map(|(before, _)| before)
    }

    /// Takes one of its photos away, with its marks. The first always shows the piece, and is
    /// blank where no other does.
    pub fn remove_shot(&mut self, at: usize) {
        if at >= self.shots.len() {
            return;
        }
        self.shots.remove(at);
        if self
            .shots
            .first()
            .is_some_and(|shot| shot.shows == Shows::Section)
        {
            let next = self
                .shots
                .iter()
                .position(|shot| shot.shows == Shows::Piece);
            let first = next.map_or_else(Shot::default, |next| self.shots.remove(next));
            self.shots.insert(0, first);
        }
    }

    /// Brings back a photo with its marks that was taken away; `before` is the piece as it was.
    pub fn bring_back_removed(&mut self, before: &Piece, at: usize) {
        let Some(shot) = before.shots.get(at) else {
            return;
        };
        if self.shots.iter().any(|here| here.photo == shot.photo) {
            return;
        }
        // The blank that stands where no other photo shows the piece.
        if self.shots.first().is_some_and(|s| *s == Shot::default()) {
            self.shots.remove(0);
        }
        self.shots.insert(at.min(self.shots.len()), shot.clone());
    }

    /// Brings back a photo with its marks in whose place `new` came; `before` is the piece as it
    /// was.
    pub fn bring_back_replaced(&mut self, before: &Piece, at: usize, new: &PhotoId) {
        let is_new = |shot: &Shot| shot.photo.as_ref().is_some_and(|photo| photo.id == *new);
        let here = self.shots.iter_mut().find(|shot| is_new(shot));
        if let (Some(here), Some(shot)) = (here, before.shots.get(at)) {
            *here = shot.clone();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{PhotoRef, Stage, sample_job};
    use chrono::DateTime;

    fn piece() -> Piece {
        sample_job(DateTime::UNIX_EPOCH).pieces.remove(0)
    }

    /// The sample's photo as that of a section: an edge of three points beside its card.
    fn gauge() -> Shot {
        let shot = piece().shots.remove(0);
        let edge = [0, shot.outline.len() / 6, shot.outline.len() / 3];
        Shot {
            shows: Shows::Section,
            outline: edge.map(|n| shot.outline[n]).to_vec(),
            ..shot
        }
    }

    #[test]
    fn a_section_changes_nothing_that_is_measured_of_the_piece() {
        let plain = piece();
        let mut with = plain.clone();
        with.shots.push(gauge());
        assert_eq!(with.footprint(), plain.footprint());
        assert_eq!(with.stage(), plain.stage());
        assert_eq!(with.photos().count(), 2);
        assert_eq!(with.sections().collect::<Vec<_>>(), [1]);
        assert_eq!(with.swept_photos(), plain.swept_photos());
        let found = with.section_of(1).unwrap();
        assert!(found.sd.0 > KEPT_SD && found.length().0 > found.highest().0);
        let text = serde_json::to_string(&with).unwrap();
        assert_eq!(serde_json::from_str::<Piece>(&text).unwrap(), with);
        // What was written before there were sections shows the piece.
        let text = serde_json::to_string(&plain).unwrap();
        let old = text.replace(r#""shows":"piece","#, "");
        assert!(old.len() < text.len());
        assert_eq!(serde_json::from_str::<Piece>(&old).unwrap(), plain);
    }

    #[test]
    fn down_says_nothing_of_a_section() {
        let mut shot = gauge();
        let mut found = Vec::new();
        for gravity in [None, Some([0.0, 1.0, 0.0]), Some([0.0, 0.0, 1.0])] {
            shot.photo.as_mut().unwrap().gravity = gravity;
            for angle in [0.0, 90.0, -90.0] {
                let plane = shot.wall(crate::quantity::Degrees(angle), None).unwrap();
                found.push(shot.section_on(&plane).unwrap());
            }
        }
        assert!(found.iter().all(|one| *one == found[0]));
    }

    #[test]
    fn the_first_photo_always_shows_the_piece() {
        let mut piece = piece();
        let first = piece.shots[0].clone();
        piece.shots = vec![first.clone(), gauge(), first.clone(), gauge()];
        assert_eq!(piece.before(1), Some(0));
        assert_eq!(piece.before(2), Some(0));
        assert_eq!(piece.before(3), Some(2));
        assert_eq!(piece.before(0), None);
        piece.remove_shot(0);
        let shown: Vec<_> = piece.shots.iter().map(|shot| shot.shows).collect();
        assert_eq!(shown, [Shows::Piece, Shows::Section, Shows::Section]);
        piece.remove_shot(0);
        assert_eq!(piece.shots[0], Shot::default());
        assert_eq!(piece.shots.len(), 3);
        assert_eq!(piece.stage(), Stage::Measure);
        let mut alone = Piece {
            shots: vec![first],
            ..Piece::default()
        };
        alone.remove_shot(0);
        assert!(alone.shots.is_empty());
    }

    /// `piece`'s photos by number: 10 shows the piece, all others a section.
    fn with_photos(numbers: &[u32]) -> Piece {
        let shot = |n: &u32| Shot {
            photo: Some(PhotoRef {
                id: PhotoId::new(&n.to_string()),
                ..PhotoRef::default()
            }),
            shows: if *n == 10 {
                Shows::Piece
            } else {
                Shows::Section
            },
            ..Shot::default()
        };
        Piece {
            shots: numbers.iter().map(shot).collect(),
            ..piece()
        }
    }

    #[test]
    fn a_removed_photo_comes_back_beside_what_was_done_since() {
        for at in 0..3 {
            let before = with_photos(&[10, 11, 12]);
            let mut piece = before.clone();
            piece.remove_shot(at);
            piece.bring_back_removed(&before, at);
            assert_eq!(piece.shots, before.shots, "photo {at}");
            piece.bring_back_removed(&before, at);
            assert_eq!(piece.shots, before.shots, "once is enough");

            piece.remove_shot(at);
            piece.name = "wiped".into();
            let last = piece.shots.last_mut().unwrap();
            last.outline = gauge().outline;
            piece.bring_back_removed(&before, at);
            assert_eq!(piece.shots.len(), 3);
            assert_eq!(piece.name, "wiped");
            let kept = piece.shots.iter().filter(|shot| !shot.outline.is_empty());
            assert_eq!(kept.count(), 1, "the mark since is kept");
        }
    }

    #[test]
    fn a_replaced_photo_comes_back_with_its_marks() {
        let before = with_photos(&[10, 11]);
        let mut piece = before.clone();
        let new = PhotoId::new("20");
        piece.shots[1].photo.as_mut().unwrap().id = new.clone();
        piece.shots[1].outline = gauge().outline;
        // In the meantime the first photo was marked.
        piece.shots[0].outline = gauge().outline;
        piece.bring_back_replaced(&before, 1, &new);
        assert_eq!(piece.shots[1], before.shots[1]);
        assert_eq!(piece.shots[0].outline, gauge().outline);
        piece.bring_back_replaced(&before, 0, &new);
        assert_eq!(piece.shots[1], before.shots[1], "it is not there any more");
    }
}
