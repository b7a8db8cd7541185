//! A job leaves the phone in a file and comes back the same; a bad file harms nothing.

use chrono::{DateTime, NaiveDate, TimeZone, Utc};
use peelcast::casting::starter_media;
use peelcast::clock::{Entry, Feel, LogNote, Moment, Tap};
use peelcast::coating::{Posture, Relief, ReliefKind, starter_cards};
use peelcast::job::bundle::{
    Bundle, ImportError, ImportPlan, Photo, Traces, Verdict, pack, unpack,
};
use peelcast::job::storage::Version;
use peelcast::job::{Job, JobId, Permission, PhotoId, PhotoRef, Piece, PieceId, Shot};
use peelcast::quantity::{Celsius, Grams, Millimetres};
use peelcast::survey::{MarkTool, RectangleKind, Reference, RuleMark, Side};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use std::sync::LazyLock;

/// A picture small enough to be written down: a PNG's head with its size.
fn picture(mark: u8) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\x80\0\0\x01\xe0\x08\x02\0\0\0".to_vec();
    bytes.extend([mark; 40]);
    bytes
}

fn time(seconds: i64) -> DateTime<Utc> {
    Utc.timestamp_opt(1_760_000_000 + seconds, 0).unwrap()
}

/// Numbers as fingers and fields make them: JSON keeps their digits.
fn number(range: std::ops::Range<i32>) -> impl Strategy<Value = f64> {
    range.prop_map(|n| f64::from(n) / 64.0)
}

fn px() -> impl Strategy<Value = [f64; 2]> {
    [number(0..256_000), number(0..192_000)]
}

fn reference() -> impl Strategy<Value = Reference> {
    let kind = prop_oneof![
        Just(RectangleKind::Card),
        Just(RectangleKind::A4),
        (number(64..64_000), number(64..64_000)).prop_map(|(w, h)| RectangleKind::Own {
            width: Millimetres(w),
            height: Millimetres(h)
        }),
    ];
    let mark = (px(), number(0..64_000), any::<bool>()).prop_map(|(px, at, scale)| RuleMark {
        px,
        at: Millimetres(at),
        side: if scale {
            Side::ScaleEdge
        } else {
            Side::OtherEdge
        },
    });
    prop_oneof![
        (kind, vec(px(), 0..5)).prop_map(|(kind, corners)| Reference::Rectangle { kind, corners }),
        (number(64..6400), vec(mark, 0..6)).prop_map(|(width, marks)| Reference::Marks {
            tool: MarkTool::Rule {
                width: Millimetres(width)
            },
            marks
        }),
    ]
}

fn moment() -> impl Strategy<Value = Moment> {
    let (coat, batch) = (1..5_u32, 1..4_u32);
    let tap = prop_oneof![
        (coat.clone(), batch.clone()).prop_map(|(coat, batch)| Tap::StartMix { coat, batch }),
        (coat.clone(), batch, any::<bool>()).prop_map(|(coat, batch, last)| Tap::BatchDone {
            coat,
            batch,
            last
        }),
        (coat, select(vec![Feel::Wet, Feel::Tacky, Feel::Firm]))
            .prop_map(|(coat, feel)| Tap::Touch { coat, feel }),
        Just(Tap::Demoulded),
    ];
    (0..1_000_000_i64, tap).prop_map(|(at, tap)| Moment { at: time(at), tap })
}

fn note() -> impl Strategy<Value = LogNote> {
    let (coat, batch) = (1, 2);
    let entry = prop_oneof![
        ".{0,20}".prop_map(|text| Entry::Note { text }),
        ".{0,20}".prop_map(|text| Entry::Lot { text }),
        number(0..64_000).prop_map(move |grams| Entry::Weighed {
            coat,
            batch,
            mass: Grams(grams)
        }),
        number(0..6400).prop_map(move |grams| Entry::Leftover {
            coat,
            batch,
            mass: Grams(grams)
        }),
        number(-320..3200).prop_map(|celsius| Entry::Reading {
            temperature: Celsius(celsius)
        }),
    ];
    (0..1_000_000_i64, entry).prop_map(|(at, entry)| LogNote {
        at: time(at),
        entry,
    })
}

fn piece(id: usize) -> impl Strategy<Value = Piece> {
    let words = (".{0,20}", ".{0,20}", vec("[a-z-]{1,12}", 0..5));
    let marks = (
        proptest::option::of(reference()),
        vec(px(), 0..9),
        vec(vec(px(), 3..5), 0..3),
    );
    let height = proptest::option::of(number(0..6400).prop_map(|highest| Relief {
        kind: ReliefKind::High,
        highest: Millimetres(highest),
    }));
    let choices = (
        height,
        select(starter_cards()),
        proptest::option::of(select(starter_media())),
        number(-320..3200),
        any::<bool>(),
    );
    let log = (vec(moment(), 0..12), vec(note(), 0..6));
    (words, marks, choices, log).prop_map(move |(words, marks, choices, (coat_log, notes))| {
        let id = PieceId::new(&format!("piece-{id}"));
        Piece {
            shots: vec![Shot {
                photo: choices.4.then(|| PhotoRef {
                    id: PhotoId::new(&format!("photo-{id}")),
                    name: words.1.clone(),
                    width: 4000,
                    height: 3000,
                    bytes: 73,
                    ..PhotoRef::default()
                }),
                reference: marks.0,
                outline: marks.1,
                holes: marks.2,
                ..Shot::default()
            }],
            id,
            name: words.0,
            material: words.1,
            ticked: words.2,
            posture: Posture::Overhead,
            relief: choices.0,
            card: choices.1,
            medium: choices.2,
            temperature: Celsius(choices.3),
            coat_log,
            notes,
            ..Piece::default()
        }
    })
}

fn job(id: usize) -> impl Strategy<Value = Job> {
    let pieces = (0..3_usize).prop_flat_map(|n| (0..n).map(piece).collect::<Vec<_>>());
    (
        ".{0,30}",
        ".{0,30}",
        0..9_u64,
        0..9_i64,
        any::<bool>(),
        pieces,
    )
        .prop_map(move |(name, by, rev, changed, granted, pieces)| {
            // Ids of photos are unique in the phone's store.
            let pieces = pieces.into_iter().map(|mut piece: Piece| {
                if let Some(photo) = &mut piece.shots[0].photo {
                    photo.id = PhotoId::new(&format!("{}-of-{id}", photo.id));
                }
                piece
            });
            Job {
                id: JobId::new(&format!("job-{id}")),
                rev,
                name: name.clone(),
                place: name,
                date: NaiveDate::from_ymd_opt(2026, 5, 3),
                permission: Permission {
                    granted,
                    by,
                    ..Permission::default()
                },
                pieces: pieces.collect(),
                created: time(0),
                changed: time(changed),
                ..Job::default()
            }
        })
}

fn jobs() -> impl Strategy<Value = Vec<Job>> {
    (0..4_usize).prop_flat_map(|n| (0..n).map(job).collect::<Vec<_>>())
}

fn photos_of(jobs: &[Job]) -> Vec<Photo> {
    let pieces = jobs.iter().flat_map(|job| &job.pieces);
    pieces
        .flat_map(Piece::photos)
        .zip(0..)
        .map(|(photo, mark)| Photo {
            id: photo.id.clone(),
            bytes: picture(mark),
        })
        .collect()
}

fn photo_shot(id: &str) -> Shot {
    Shot {
        photo: Some(PhotoRef {
            id: PhotoId::new(id),
            ..PhotoRef::default()
        }),
        ..Shot::default()
    }
}

fn one_job() -> Job {
    Job {
        id: JobId::new("a"),
        rev: 4,
        name: "Mill frieze".into(),
        changed: time(0),
        pieces: vec![Piece {
            id: PieceId::new("p"),
            name: "Rosette".into(),
            shots: vec![photo_shot("x1")],
            ..Piece::default()
        }],
        ..Job::default()
    }
}

/// An export with photos as they are: these are heads of pictures only.
fn packed(jobs: &[Job], photos: &[Photo], at: i64) -> Vec<u8> {
    pack(jobs, photos, Traces::Kept, time(at)).unwrap().bytes
}

static ONE_BUNDLE: LazyLock<Vec<u8>> = LazyLock::new(one_bundle);

fn one_bundle() -> Vec<u8> {
    let photo = Photo {
        id: PhotoId::new("x1"),
        bytes: picture(7),
    };
    packed(&[one_job()], &[photo], 9)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn jobs_come_back_as_they_left(jobs in jobs()) {
        let photos = photos_of(&jobs);
        let bytes = packed(&jobs, &photos, 5);
        let back = unpack(&bytes).unwrap();
        prop_assert_eq!((back.exported, &back.photos, back.notes.len()), (time(5), &photos, 0));
        prop_assert_eq!(back.jobs.len(), jobs.len());
        for (back, left) in back.jobs.iter().zip(&jobs) {
            prop_assert!(back.says_the_same(left));
            prop_assert_eq!((back.rev, back.changed), (left.rev, left.changed));
        }
    }

    #[test]
    fn a_stored_job_comes_back_as_it_was(job in job(0)) {
        let version = Version { rev: 1, at: time(1), what: "Changed".into(), job: Some(job.clone()) };
        let back = Version::decode(&version.encode().unwrap()).unwrap();
        prop_assert!(back.job.is_some_and(|back| back.says_the_same(&job)));
    }

    #[test]
    fn noise_is_refused(bytes in vec(any::<u8>(), 0..400)) {
        prop_assert!(unpack(&bytes).is_err());
        let mut zip = b"PK\x03\x04".to_vec();
        zip.extend(bytes);
        prop_assert!(unpack(&zip).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn a_changed_file_is_refused_or_the_same_but_never_a_panic(
        at in any::<Index>(),
        bits in 1..=255_u8,
        cut in proptest::option::of(any::<Index>()),
    ) {
        let good = &*ONE_BUNDLE;
        let mut bad = good.clone();
        bad[at.index(good.len())] ^= bits;
        if let Some(cut) = cut {
            bad.truncate(cut.index(good.len()));
        }
        if let Ok(bundle) = unpack(&bad) {
            // Only what no reader looks at may change unseen: times, versions, attributes.
            prop_assert_eq!(bundle, unpack(good).unwrap());
        }
    }
}

fn says(bytes: &[u8]) -> String {
    let text = unpack(bytes).unwrap_err().to_string();
    assert!(
        text.ends_with("Nothing on this phone was changed."),
        "{text}"
    );
    text
}

#[test]
fn each_way_of_being_wrong_has_its_sentence() {
    assert!(says(b"").contains("empty"));
    assert!(says(b"\xff\xd8\xff\xe0 a photo").contains("no export"));
    let good = one_bundle();
    assert!(says(&good[..good.len() - 30]).contains("cut short"));
    assert!(says(&good[..60]).contains("cut short"));
}

/// Bytes of the same length in the place of others, wherever they stand.
fn instead(bytes: &[u8], old: &str, new: &str) -> Vec<u8> {
    assert_eq!(old.len(), new.len());
    let mut bytes = bytes.to_vec();
    let mut found = 0;
    for i in 0..bytes.len() - old.len() {
        if bytes[i..].starts_with(old.as_bytes()) {
            bytes[i..i + old.len()].copy_from_slice(new.as_bytes());
            found += 1;
        }
    }
    assert!(found > 0, "{old} is not in the file");
    bytes
}

#[test]
fn a_changed_record_or_photo_is_seen() {
    let record = instead(&one_bundle(), "Mill frieze", "Mile freeze");
    assert_eq!(
        unpack(&record),
        Err(ImportError::Damaged("job.json".into()))
    );
    let mut photo = one_bundle();
    let at = photo.windows(8).position(|w| w == [7; 8]).unwrap();
    photo[at] = 8;
    assert_eq!(
        unpack(&photo),
        Err(ImportError::Damaged("photos/x1.png".into()))
    );
}

#[test]
fn names_that_climb_or_double_are_refused() {
    let climbs = instead(&one_bundle(), "photos/x1.png", "photos/../x1p");
    assert!(matches!(unpack(&climbs), Err(ImportError::Names(_))));
    let rooted = instead(&one_bundle(), "photos/x1.png", "/etc/phot.png");
    assert!(matches!(unpack(&rooted), Err(ImportError::Names(_))));
    let pieces = ["x1", "x2"].map(|id| Piece {
        id: PieceId::new(id),
        shots: vec![photo_shot(id)],
        ..Piece::default()
    });
    let two = Job {
        pieces: pieces.to_vec(),
        ..one_job()
    };
    let two = [two];
    let file = packed(&two, &photos_of(&two), 0);
    assert!(unpack(&file).is_ok());
    let double = instead(&file, "photos/x2.png", "photos/x1.png");
    assert!(matches!(unpack(&double), Err(ImportError::Names(_))));
    let other_end = instead(&file, "photos/x2.png", "photos/x1.jpg");
    assert!(matches!(unpack(&other_end), Err(ImportError::Names(_))));
}

#[test]
fn a_photo_that_is_missing_or_no_picture_is_told_and_the_job_comes_all_the_same() {
    let without = unpack(&packed(&[one_job()], &[], 0)).unwrap();
    assert_eq!(
        without.notes,
        ["Mill frieze, Rosette: its photo is not in the file."]
    );
    let text = Photo {
        id: PhotoId::new("x1"),
        bytes: b"no picture at all".to_vec(),
    };
    let wrong = unpack(&packed(&[one_job()], &[text], 0)).unwrap();
    assert!(wrong.photos.is_empty() && wrong.notes[0].contains("no picture"));
    assert_eq!(wrong.jobs, vec![one_job()]);
}

#[test]
fn photos_that_no_job_names_stay_at_home() {
    let stranger = Photo {
        id: PhotoId::new("stranger-1"),
        bytes: picture(1),
    };
    let bytes = packed(&[one_job()], &[stranger], 0);
    assert!(!bytes.windows(10).any(|w| w == b"stranger-1"));
}

#[test]
fn the_plan_says_what_will_happen() {
    let named = |id: &str, rev, name: &str, changed| Job {
        id: JobId::new(id),
        rev,
        name: name.into(),
        changed: time(changed),
        ..Job::default()
    };
    let file = Bundle {
        exported: time(0),
        jobs: vec![
            named("new", 1, "New", 0),
            named("newer", 5, "Changed there", 50),
            named("same", 2, "Same", 0),
            named("older", 3, "Changed here since", 30),
            named("later", 6, "As many changes, later", 60),
        ],
        photos: vec![],
        notes: vec![],
    };
    let here = [
        named("newer", 4, "Before", 40),
        named("same", 3, "Same", 99),
        named("older", 4, "Changed here", 20),
        named("later", 6, "As many changes", 59),
    ];
    let plan = ImportPlan::of(&file, &here);
    let verdicts: Vec<Verdict> = plan.entries.iter().map(|e| e.verdict).collect();
    use Verdict::*;
    assert_eq!(verdicts, [Add, Change, Same, Older, Change]);
    assert_eq!(plan.counts(), (1, 2, 2));
    let taken: Vec<&str> = plan.take(&file).iter().map(|j| j.id.as_str()).collect();
    assert_eq!(taken, ["new", "newer", "later"]);
}

#[test]
fn where_both_were_changed_the_plan_says_so() {
    let named = |name: &str, rev, changed| Job {
        id: JobId::new("a"),
        rev,
        name: name.into(),
        changed: time(changed),
        ..Job::default()
    };
    let file = |job: Job| Bundle {
        exported: time(100),
        jobs: vec![job],
        photos: vec![],
        notes: vec![],
    };
    for (there, here, verdict, part) in [
        // As many changes on both sides: the later one is taken.
        ((5, 50), (5, 40), Verdict::Change, "older one"),
        ((5, 40), (5, 50), Verdict::Older, "is newer"),
        ((5, 50), (5, 50), Verdict::Older, "is newer"),
        // More changes on one side, later ones on the other.
        (
            (6, 40),
            (5, 50),
            Verdict::Change,
            "fewer changes but later ones",
        ),
        (
            (5, 50),
            (6, 40),
            Verdict::Older,
            "though the one in the file was changed later",
        ),
    ] {
        let file = file(named("There", there.0, there.1));
        let entry = &ImportPlan::of(&file, &[named("Here", here.0, here.1)]).entries[0];
        assert_eq!(entry.verdict, verdict, "{there:?} {here:?}");
        assert!(entry.sentence().contains(part), "{}", entry.sentence());
    }
    // What was deleted here is new again.
    let plan = ImportPlan::of(&file(named("There", 1, 1)), &[]);
    assert_eq!(plan.entries[0].verdict, Verdict::Add);
    assert_eq!(plan.entries[0].changed_here, None);
}

#[test]
fn any_of_the_jobs_go_into_a_file_with_their_own_photos_only() {
    let all: Vec<Job> = (0..4)
        .map(|i| {
            let mut job = one_job();
            job.id = JobId::new(&format!("job-{i}"));
            job.pieces[0].shots = vec![photo_shot(&format!("x{i}"))];
            job
        })
        .collect();
    let photos = photos_of(&all);
    let some = [all[3].clone(), all[1].clone()];
    let back = unpack(&packed(&some, &photos, 0)).unwrap();
    assert_eq!(back.jobs, some);
    let ids: Vec<&str> = back.photos.iter().map(|photo| photo.id.as_str()).collect();
    assert_eq!(ids, ["x3", "x1"]);
    assert_eq!(ImportPlan::of(&back, &all).counts(), (0, 0, 2));
}

#[test]
fn a_file_that_went_through_json_is_the_same_job() {
    let mut job = one_job();
    // Digits that a quick reader of numbers may get wrong in the last place.
    job.pieces[0].shots[0].outline =
        vec![[0.1 + 0.2, 1.0 / 3.0], [1_234.567_890_123_456_7, 5e-324]];
    let back = unpack(&packed(std::slice::from_ref(&job), &[], 0)).unwrap();
    let plan = ImportPlan::of(&back, &[Job { rev: 99, ..job }]);
    assert_eq!(plan.entries[0].verdict, Verdict::Same);
}
