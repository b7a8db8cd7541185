//! What photos tell of place, time and device stays at home.

use chrono::DateTime;
use peelcast::job::bundle::{
    ImportPlan, Photo, Traces, Untraceable, Verdict, pack, unpack, without_traces,
};
use peelcast::job::{Job, JobId, PhotoId, PhotoRef, Piece, PieceId, Shot};
use peelcast::survey::CameraTag;
use peelcast::survey::picture::PictureFormat;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;

fn one_job() -> Job {
    Job {
        id: JobId::new("a"),
        name: "Mill frieze".into(),
        pieces: vec![Piece {
            id: PieceId::new("p"),
            name: "Rosette".into(),
            shots: vec![Shot {
                photo: Some(PhotoRef {
                    id: PhotoId::new("x1"),
                    ..PhotoRef::default()
                }),
                ..Shot::default()
            }],
            ..Piece::default()
        }],
        ..Job::default()
    }
}

/// A photo with everything that cameras write beside it, cut anywhere or with a byte changed.
fn telling_photos() -> Vec<Vec<u8>> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let webp = std::fs::read(root.join("public").join(peelcast::job::SAMPLE_PHOTO)).unwrap();
    let jpeg = b"\xff\xd8\xff\xe1\0\x16Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0\xff\xc0\0\x0b\x08\x01\xe0\x02\x80\x01\x01\x11\0\xff\xda\0\x08\x01\x01\0\0\x3f\0\x12\x34\x56\xff\xd9";
    let gif = b"GIF89a\x80\x02\xe0\x01\0\0\0\x21\xfe\x05where\0\x2c\0\0\0\0\x01\0\x01\0\0\x02\x02\x44\x01\0\x3b";
    let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\x80\0\0\x01\xe0\x08\x02\0\0\0".to_vec();
    png.extend([0; 4]);
    for (name, body) in [(b"tEXt", &b"Author\0made up"[..]), (b"IDAT", &[7; 30])] {
        png.extend((body.len() as u32).to_be_bytes());
        png.extend(name);
        png.extend(body);
        png.extend([0; 4]);
    }
    png.extend(b"\0\0\0\0IEND\xae\x42\x60\x82");
    vec![
        jpeg.to_vec(),
        png,
        webp[..4096.min(webp.len())].to_vec(),
        gif.to_vec(),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_photo_in_any_state_is_cleaned_or_refused_and_clean_stays_clean(
        which in 0..4_usize,
        at in any::<Index>(),
        byte in any::<u8>(),
        cut in proptest::option::of(any::<Index>()),
        more in vec(any::<u8>(), 0..40),
    ) {
        let mut photo = telling_photos().swap_remove(which);
        let at = at.index(photo.len());
        photo[at] = byte;
        if let Some(cut) = cut {
            photo.truncate(cut.index(photo.len()));
        }
        photo.extend(more);
        if let Ok(clean) = without_traces(&photo) {
            prop_assert_eq!(without_traces(&clean).ok(), Some(clean));
        }
    }
}

#[test]
fn a_photo_whose_traces_cannot_be_taken_out_stays_at_home_unless_the_user_keeps_them() {
    let mut heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    let ispe = b"\0\0\0\x14ispe\0\0\0\0\0\0\x02\x80\0\0\x01\xe0";
    let boxed = |name: &[u8], body: &[u8]| {
        let length = 8 + body.len() as u32;
        [&length.to_be_bytes()[..], name, body].concat()
    };
    let properties = boxed(b"iprp", &boxed(b"ipco", ispe));
    heic.extend(boxed(b"meta", &[&[0; 4][..], &properties].concat()));
    assert_eq!(
        without_traces(&heic),
        Err(Untraceable::Format(PictureFormat::Heic))
    );
    let photo = [Photo {
        id: PhotoId::new("x1"),
        bytes: heic,
    }];
    let removed = pack(&[one_job()], &photo, Traces::Removed, DateTime::UNIX_EPOCH).unwrap();
    assert!(unpack(&removed.bytes).unwrap().photos.is_empty());
    let [note] = removed.notes.as_slice() else {
        panic!("{:?}", removed.notes)
    };
    assert!(
        note.starts_with("Mill frieze, Rosette: a photo is left out"),
        "{note}"
    );
    assert!(
        note.contains("HEIC") && note.contains("export again"),
        "{note}"
    );
    let kept = pack(&[one_job()], &photo, Traces::Kept, DateTime::UNIX_EPOCH).unwrap();
    assert_eq!(unpack(&kept.bytes).unwrap().photos, photo);
    assert!(kept.notes.is_empty());
}

#[test]
fn the_cameras_name_stays_at_home_too_and_the_job_is_still_known_as_the_same() {
    let mut job = one_job();
    job.pieces[0].shots[0].photo.as_mut().unwrap().camera = Some(CameraTag {
        model: "Camera of our own".into(),
        focal_mm: Some(5.4),
        focal_35mm: Some(26.0),
    });
    let here = [job];
    for (traces, named) in [(Traces::Removed, false), (Traces::Kept, true)] {
        let file = pack(&here, &[], traces, DateTime::UNIX_EPOCH)
            .unwrap()
            .bytes;
        let found = file.windows(17).any(|part| part == b"Camera of our own");
        assert_eq!(found, named);
        let back = unpack(&file).unwrap();
        let camera = back.jobs[0].pieces[0].shots[0]
            .photo
            .as_ref()
            .unwrap()
            .camera
            .as_ref();
        assert_eq!(camera.unwrap().focal_35mm, Some(26.0));
        assert_eq!(
            ImportPlan::of(&back, &here).entries[0].verdict,
            Verdict::Same
        );
    }
}
