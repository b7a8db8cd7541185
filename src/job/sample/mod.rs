//! The sample job: a place, a plaque and a photo of our own invention, to try everything on.
//!
//! The photo was made by the project's own renderer, which also wrote down the plaque's true size
//! and where its edge lies in the picture.

use super::{Job, JobId, Permission, PhotoId, PhotoRef, Piece, PieceId, Shot, Stage};
use crate::casting::starter_media;
use crate::coating::{Finish, Relief, ReliefKind, Substrate};
use crate::quantity::{Celsius, Millimetres};
use crate::survey::{Px, RectangleKind, Reference};
use crate::words::{mark, tr};
use chrono::{DateTime, Days, Utc};
use serde::Deserialize;
use serde_json::Value;

/// The sample's id, the same on every phone.
pub const SAMPLE_JOB: &str = "sample";
/// The id of its one piece.
pub const SAMPLE_PIECE: &str = "plaque";
/// Where the sample's photo lies among the app's own files.
pub const SAMPLE_PHOTO: &str = "sample/plaque.webp";

/// The sample's name, its place and the name of its one piece.
pub(super) const NAMES: [&str; 3] = [
    mark("Plaque in the orangery (sample)"),
    mark("Orangery at Hollowmere Fold, a made-up place"),
    mark("Oval plaque"),
];

/// How far it has come when it is put on a phone.
pub(super) const STAGE: Stage = Stage::Pack;

/// What the renderer wrote beside the photo.
#[derive(Deserialize)]
struct Drawn {
    image_size_px: [u32; 2],
    file_bytes: u64,
    card_corners_px: Vec<Px>,
    outline_px: Vec<Px>,
}

/// The sample job as it is at first start: measured, planned, half packed, not coated yet. Its
/// photo, [`SAMPLE_PHOTO`], has to be kept under the id that the piece names.
pub fn sample_job(now: DateTime<Utc>) -> Job {
    let today = now.date_naive();
    Job {
        id: JobId::new(SAMPLE_JOB),
        rev: 1,
        name: tr(NAMES[0]).into(),
        place: tr(NAMES[1]).into(),
        date: Some(today),
        contact: tr("The caretaker (made up)").into(),
        permission: Permission {
            granted: true,
            by: tr("The owner's agent (made up)").into(),
            on: today.checked_sub_days(Days::new(9)),
            note: tr("One mould, up to four plaster copies, after a test in a hidden corner.")
                .into(),
        },
        note: tr("This job is a sample: its place, people, plaque, photo and figures are made up.")
            .into(),
        made_up: true,
        pieces: vec![plaque()],
        created: now,
        changed: now,
        ..Job::default()
    }
}

#[expect(clippy::expect_used, reason = "it is a file of this program")]
fn plaque() -> Piece {
    let drawn = serde_json::from_str::<Value>(include_str!("plaque.json"))
        .and_then(|drawn| Drawn::deserialize(&drawn))
        .expect("a file of this program, read by its tests");
    let [width, height] = drawn.image_size_px;
    let plaster = starter_media().into_iter().find(|m| m.id == "gypsum-70");
    Piece {
        id: PieceId::new(SAMPLE_PIECE),
        name: tr(NAMES[2]).into(),
        material: tr("Cast plaster, painted").into(),
        substrate: Substrate::Gypsum,
        finish: Finish::Painted,
        temperature: Celsius(18.0),
        shots: vec![Shot {
            photo: Some(PhotoRef {
                id: PhotoId::new("sample-plaque"),
                name: "plaque.webp".into(),
                width,
                height,
                bytes: drawn.file_bytes,
                ..PhotoRef::default()
            }),
            reference: Some(Reference::Rectangle {
                kind: RectangleKind::Card,
                corners: drawn.card_corners_px,
            }),
            outline: drawn.outline_px,
            ..Shot::default()
        }],
        relief: Some(Relief {
            kind: ReliefKind::Low,
            highest: Millimetres(11.0),
        }),
        ticked: ["tape-measure", "rule", "scale", "thermometer"]
            .map(str::to_owned)
            .to_vec(),
        medium: plaster,
        copies: 4,
        backing: Millimetres(6.0),
        ..Piece::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_of_the_sample_shows_something_and_the_plaque_has_its_true_size() {
        let now = DateTime::UNIX_EPOCH;
        let job = sample_job(now);
        assert!(job.made_up);
        let piece = &job.pieces[0];
        assert_eq!(piece.stage(), STAGE);
        assert_eq!(piece.plan().unwrap().coats.len(), 3);
        assert_eq!(piece.progress(now).unwrap().next.len(), 2);
        assert_eq!(piece.cast().unwrap().parts.len(), 2);
        let kit = piece.kit().unwrap();
        let known = |key: &String| kit.iter().any(|item| item.key == *key);
        assert!(piece.ticked.iter().all(known));

        let truth: Value = serde_json::from_str(include_str!("plaque.json")).unwrap();
        let found = piece.footprint().unwrap();
        for (found, truth) in [
            (
                found.area.scaled::<Millimetres>(1.0),
                &truth["true_area_mm2"],
            ),
            (found.perimeter, &truth["true_perimeter_mm"]),
        ] {
            let truth = truth.as_f64().unwrap();
            assert!(
                (found.value.0 / truth - 1.0).abs() < 0.02,
                "{found:?} {truth}"
            );
            assert!(found.low95.0 < truth && truth < found.high95.0, "{found:?}");
        }
    }

    #[test]
    fn the_photo_is_where_the_sample_says() {
        let root = env!("CARGO_MANIFEST_DIR");
        let bytes = std::fs::read(format!("{root}/public/{SAMPLE_PHOTO}")).unwrap();
        let job = sample_job(DateTime::UNIX_EPOCH);
        let photo = job.pieces[0].photos().next().unwrap();
        assert_eq!(bytes.len() as u64, photo.bytes);
        let size = crate::survey::picture::probe(&bytes).unwrap().size;
        assert_eq!((size.width, size.height), (photo.width, photo.height));
    }
}
