//! Exports from anywhere: damaged, packed anew, made to deceive.

use crate::change::{bytes, one, value, words};
use crate::record::{now, records};
use crate::run::{Limits, alone, fewer, target};
use crate::seed::{Part, packed_zeros, pictures, zip};
use fastrand::Rng;
use peelcast::job::bundle::{Bundle, ImportError, ImportPlan, Photo, Traces, pack, unpack};
use peelcast::job::{Job, PhotoId};
use serde_json::{Value, json};

const LIMITS: Limits = Limits {
    seconds: 1.0,
    megabytes: 64.0,
};

/// What stands in an export of this job, as it was exported.
fn record(job: &Value) -> Value {
    json!({"format": "peelcast jobs", "schema": 2, "app": "0.1.0", "exported": "2026-05-03T12:00:00Z", "jobs": [job]})
}

/// The records, each with a small picture for every photo that it names.
fn exports() -> Vec<(Value, Vec<Part>)> {
    let pictures = pictures();
    let with_photos = |record: Value| {
        let job = Job::from_value(record.clone()).expect("a sound record");
        let ids = job.pieces.iter().flat_map(|piece| piece.photos());
        let parts = ids.zip(pictures.iter().cycle());
        let parts = parts
            .map(|(photo, data)| Part::new(&format!("photos/{}.jpg", photo.id.as_str()), data));
        (record, parts.collect())
    };
    records().into_iter().map(with_photos).collect()
}

/// A file whose directory lies.
fn lying(rng: &mut Rng, exports: &[(Value, Vec<Part>)]) -> Vec<u8> {
    let (job, photos) = one(rng, exports);
    let mut parts = vec![Part::new("job.json", record(job).to_string().as_bytes())];
    parts.extend(photos.iter().take(3).cloned());
    for _ in 0..rng.usize(1..4) {
        let at = rng.usize(..parts.len());
        let sizes = [
            0,
            1,
            1 << 20,
            499 << 20,
            501 << 20,
            0xffff_fffe,
            0xffff_ffff,
            1 << 40,
            u64::MAX,
        ];
        let size = *one(rng, &sizes);
        let names = [
            "../x",
            "/job.json",
            "\\x",
            "a/../../x",
            "photos/../job.json",
            "C:\\x",
            "job.json",
            "photos/",
            "photos/a/b.jpg",
            "photos/.jpg",
            "a/job.json",
            "JOB.JSON",
            "",
            "\0",
            "photos/x.jpg/",
        ];
        let part = &mut parts[at];
        match rng.u8(0..11) {
            0 => part.name = one(rng, &names).as_bytes().to_vec(),
            1 => part.name = words(rng, &String::from_utf8_lossy(&part.name)).into_bytes(),
            2 => part.name_again = Some(b"photos/other.jpg".to_vec()),
            3 => part.size = size,
            4 => part.packed = size,
            5 => part.at = Some(size.wrapping_add(part.size)),
            6 => part.crc = rng.u32(..),
            7 => part.method = *one(rng, &[0, 8, 9, 12, 99, 0xffff]),
            8 => {
                let (packed, whole) = packed_zeros(rng.usize(..20_000));
                let name = String::from_utf8_lossy(&part.name).into_owned();
                *part = Part::packed(&name, &packed, &vec![0; whole]);
                if rng.bool() {
                    part.size = size;
                }
            }
            9 => {
                let again = part.clone();
                parts.extend(std::iter::repeat_n(again, *one(rng, &[1, 5, 300])));
            }
            // A file in a file.
            _ => part.data = zip(std::slice::from_ref(part), None),
        }
    }
    let count = rng.bool().then(|| *one(rng, &[0, 1, 0xfffe, 0xffff]));
    zip(&parts, count.filter(|_| rng.u8(0..4) == 0))
}

fn made(rng: &mut Rng, exports: &[(Value, Vec<Part>)], files: &[Vec<u8>]) -> Vec<u8> {
    match rng.u8(0..4) {
        0 => bytes(rng, files),
        1 => lying(rng, exports),
        _ => {
            // The record is changed and the file is sound, so that all of it is read.
            let (job, photos) = one(rng, exports);
            let record = value(rng, &[record(job)]).to_string();
            let mut parts = photos[..rng.usize(..=photos.len().min(4))].to_vec();
            parts.insert(0, Part::new("job.json", record.as_bytes()));
            zip(&parts, None)
        }
    }
}

#[test]
fn exports_from_anywhere() {
    let sound = exports();
    let mut files: Vec<Vec<u8>> = sound
        .iter()
        .map(|(job, photos)| {
            let mut parts = photos.clone();
            parts.insert(0, Part::new("job.json", record(job).to_string().as_bytes()));
            zip(&parts, None)
        })
        .collect();
    for file in &files {
        let bundle = unpack(file).expect("it is sound");
        assert!(
            !bundle.photos.is_empty() && bundle.notes.len() < 2,
            "{:?}",
            bundle.notes
        );
    }
    for name in ["v1.peelcast.zip", "v2.peelcast.zip"] {
        let path = format!("{}/tests/fixtures/jobs/{name}", env!("CARGO_MANIFEST_DIR"));
        files.push(std::fs::read(path).expect("the fixture is there"));
    }
    let here: Vec<Job> = records()
        .into_iter()
        .filter_map(|job| Job::from_value(job).ok())
        .collect();
    let make = |rng: &mut Rng| made(rng, &sound, &files);
    target(
        "exports from anywhere",
        fewer(),
        &LIMITS,
        make,
        |input| match unpack(input) {
            Ok(bundle) => {
                let plan = ImportPlan::of(&bundle, &here);
                assert!(plan.take(&bundle).len() <= bundle.jobs.len());
                for photo in &bundle.photos {
                    let name = photo.id.as_str();
                    assert!(!name.contains(['/', '\\', '.']), "{name}");
                }
                true
            }
            Err(why) => why.to_string().is_empty(),
        },
    );
}

/// What a file with this record and these parts is answered with.
fn answer(parts: &[Part]) -> Result<Bundle, ImportError> {
    unpack(&zip(parts, None))
}

#[test]
fn each_known_trick_is_refused_with_its_sentence() {
    let _alone = alone();
    let json = record(&records()[2]).to_string();
    let sound = Part::new("job.json", json.as_bytes());
    assert!(answer(std::slice::from_ref(&sound)).is_ok());
    for name in [
        "../x",
        "a/../../x",
        "/etc/x",
        "\\x",
        "photos\\..\\x",
        "photos/../../x.jpg",
    ] {
        let why = answer(&[sound.clone(), Part::new(name, b"x")]).unwrap_err();
        assert!(matches!(why, ImportError::Names(_)), "{name}: {why}");
    }
    let twice = answer(&[sound.clone(), sound.clone()]).unwrap_err();
    assert!(matches!(twice, ImportError::Names(_)), "{twice}");
    let mut rotten = sound.clone();
    rotten.crc ^= 1;
    assert!(matches!(answer(&[rotten]), Err(ImportError::Damaged(_))));
    // A size that is not true, as small and as large as fields go.
    for size in [0, 1 << 20, 501 << 20, 0xffff_ffff, u64::MAX] {
        let mut lying = sound.clone();
        lying.size = size;
        assert!(answer(&[lying]).is_err());
    }
    // Maps that would unfold to more than a phone has.
    let mut huge = record(&records()[2]);
    let map = json!({"swept": {"frame": {"columns": 1024, "rows": 1024}}});
    huge["jobs"][0]["pieces"] = json!(vec![json!({"relief_record": map}); 33]);
    let huge = Part::new("job.json", huge.to_string().as_bytes());
    assert_eq!(answer(&[huge]).unwrap_err(), ImportError::TooBig);
    // A small file whose record is long, and would be a hundred times as large once it is read.
    for item in ["{\"\":0},", "[],"] {
        let text = json.replace(
            "\"jobs\":[",
            &format!("\"jobs\":[{}", item.repeat((63 << 20) / item.len())),
        );
        assert_eq!(
            answer(&[Part::new("job.json", text.as_bytes())]),
            Err(ImportError::TooBig)
        );
    }
    // Half a gigabyte in two thousand parts of a few hundred bytes.
    let (packed, whole) = packed_zeros(1000);
    let zeros = vec![0; whole];
    let part = |i: usize| Part::packed(&format!("photos/a{i}.jpg"), &packed, &zeros);
    let mut parts: Vec<Part> = (0..2100).map(part).collect();
    parts.insert(0, sound.clone());
    assert_eq!(answer(&parts), Err(ImportError::TooBig));
    let other: Vec<Part> = (0..20_001)
        .map(|i| Part::new(&format!("{i}"), b""))
        .collect();
    assert!(answer(&[&[sound][..], &other].concat()).is_err());
}

#[test]
fn photos_of_every_kind_go_out_and_come_back() {
    let _alone = alone();
    let mut job = Job::from_value(records().remove(1)).expect("a sound record");
    job.removed.clear();
    let ids: Vec<PhotoId> = job
        .pieces
        .iter()
        .flat_map(|piece| piece.photos())
        .map(|photo| photo.id.clone())
        .collect();
    for bytes in pictures()
        .into_iter()
        .filter(|bytes| !bytes.starts_with(b"II"))
    {
        let photo = Photo {
            id: ids[0].clone(),
            bytes,
        };
        for traces in [Traces::Kept, Traces::Removed] {
            let packed = pack(
                std::slice::from_ref(&job),
                std::slice::from_ref(&photo),
                traces,
                now(),
            );
            let packed = packed.expect("it is packed");
            let back = unpack(&packed.bytes).expect("it comes back");
            assert_eq!(back.photos.len() + packed.notes.len(), 1);
        }
    }
}
