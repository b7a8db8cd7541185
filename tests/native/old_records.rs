//! Files of every version that was ever written are read for ever. A fixture is never changed: a
//! new shape of the record gets a new version and a new fixture.

use peelcast::casting::{Defect, Filling, FoodVerdict};
use peelcast::clock::{Entry, Step, finished};
use peelcast::coating::{PatchResult, ShellKind, Substrate};
use peelcast::job::bundle::{self, Photo, Traces, pack, unpack};
use peelcast::job::{Job, PhotoId, SCHEMA, Shot, Shows, Stage};
use peelcast::quantity::{Grams, Millimetres, Minutes};
use peelcast::relief::Edge;
use peelcast::survey::Evidence;
use serde_json::Value;
use std::f64::consts::PI;
use std::path::{Path, PathBuf};
use std::process::Command;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/jobs")
        .join(name)
}

fn version(number: u32) -> Value {
    let text = std::fs::read_to_string(fixture(&format!("v{number}.json"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Whether all that `old` says stands in `new` as well, which may say more.
fn kept(old: &Value, new: &Value, path: &str) {
    match (old, new) {
        (Value::Object(old), Value::Object(new)) => {
            for (key, value) in old {
                let path = format!("{path}.{key}");
                let here = new.get(key);
                kept(
                    value,
                    here.unwrap_or_else(|| panic!("{path} is gone")),
                    &path,
                );
            }
        }
        (Value::Array(old), Value::Array(new)) => {
            assert_eq!(old.len(), new.len(), "{path}");
            for (i, (old, new)) in old.iter().zip(new).enumerate() {
                kept(old, new, &format!("{path}[{i}]"));
            }
        }
        (Value::Number(old), Value::Number(new)) => {
            let (old, new) = (old.as_f64().unwrap(), new.as_f64().unwrap());
            assert!(
                (old - new).abs() <= 1e-12 * old.abs(),
                "{path}: {old} {new}"
            );
        }
        _ => assert_eq!(old, new, "{path}"),
    }
}

#[test]
fn every_version_has_its_fixture() {
    for version in 1..=SCHEMA {
        assert!(fixture(&format!("v{version}.json")).exists(), "v{version}");
    }
}

#[test]
fn nothing_of_version_1_is_lost() {
    let mut old = version(1);
    let job = Job::from_value(old.clone()).unwrap();
    // Since version 2 a piece has several photos: what was marked on the one stands there.
    old["schema"] = SCHEMA.into();
    for piece in old["pieces"].as_array_mut().unwrap() {
        let piece = piece.as_object_mut().unwrap();
        let moved = ["photo", "reference", "outline", "holes"]
            .map(|name| (name.to_owned(), piece.remove(name).unwrap()));
        piece.insert(
            "shots".into(),
            vec![Value::Object(moved.into_iter().collect())].into(),
        );
    }
    kept(&old, &serde_json::to_value(&job).unwrap(), "job");
}

#[test]
fn version_1_still_means_what_it_meant() {
    let job = Job::from_value(version(1)).unwrap();
    assert_eq!((job.name.as_str(), job.rev), ("Weir House (made up)", 42));
    assert!(job.permission.granted && job.made_up);
    let [a, b, c, d] = job.pieces.as_slice() else {
        panic!("{} pieces", job.pieces.len())
    };
    assert!(finished(&a.coat_log));
    assert_eq!(a.progress(job.changed).unwrap().step, Step::Finished);
    assert_eq!(a.stage(), Stage::Cast);
    assert_eq!(a.shots[0].holes.len(), 1);
    assert!(a.cast().unwrap().mass_each.value.0 > 0.0);
    assert_eq!(
        b.shots[0]
            .reference
            .as_ref()
            .unwrap()
            .evidence()
            .unwrap()
            .len(),
        4
    );
    let (medium, card) = (b.medium.as_ref().unwrap(), &b.card);
    // Nobody had to confirm the sheet then; now somebody has to.
    let asked = FoodVerdict::of(medium, card, b.confirmed_for_food, &b.casts);
    assert_eq!(asked, FoodVerdict::Unconfirmed);
    for piece in [c, d] {
        assert_eq!(piece.stage(), Stage::Measure);
        assert_eq!(
            piece.footprint().unwrap_err(),
            "Take or choose a photo first."
        );
    }
}

#[test]
fn nothing_of_version_2_is_lost_and_it_means_what_it_meant() {
    let old = version(2);
    let job = Job::from_value(old.clone()).unwrap();
    kept(&old, &serde_json::to_value(&job).unwrap(), "job");
    let [a, b] = [&job.pieces[0], &job.pieces[1]];
    let photo = a.photos().next().unwrap();
    let camera = photo.camera.as_ref().unwrap();
    assert_eq!((camera.focal_35mm, photo.lens), (Some(26.0), None));
    let shot = a.shot(0);
    assert_eq!(shot.distances.len(), 1);
    // The edge stands 9.5 mm nearer than the reference: it covers less than it seems.
    let on_wall = Shot {
        outline_height: shot.reference_height,
        ..shot.clone()
    };
    let area = |shot: &Shot| {
        let wall = shot.wall(a.wall_angle(), None).unwrap();
        shot.footprint_on(&wall).unwrap().area.value.0
    };
    assert!(area(shot) < 0.99 * area(&on_wall));
    assert_eq!(b.shots.len(), 2);
    let rules = b.shot(1).reference.as_ref().unwrap().evidence().unwrap();
    assert!(matches!(rules[3], Evidence::Level { .. }));
}

#[test]
fn an_export_of_version_1_is_imported() {
    let bytes = std::fs::read(fixture("v1.peelcast.zip")).unwrap();
    let bundle = unpack(&bytes).unwrap();
    let job = Job::from_value(version(1)).unwrap();
    assert_eq!(bundle.jobs.len(), 1);
    assert!(bundle.jobs[0].says_the_same(&job));
    assert_eq!(bundle.photos.len(), 1);
    assert_eq!(bundle.photos[0].id, PhotoId::new("photo-a"));
    assert!(bundle.notes.is_empty());
}

/// A job of version 2 with everything in it that such a record holds.
#[test]
fn an_export_of_version_2_is_imported_and_means_what_it_meant() {
    let bytes = std::fs::read(fixture("v2.peelcast.zip")).unwrap();
    let bundle = unpack(&bytes).unwrap();
    assert_eq!(bundle.notes, Vec::<String>::new());
    let photos: Vec<&str> = bundle
        .photos
        .iter()
        .map(|photo| photo.id.as_str())
        .collect();
    assert_eq!(
        photos,
        ["photo-a", "photo-a2", "photo-section", "photo-log"]
    );
    let [job] = bundle.jobs.as_slice() else {
        panic!("{} jobs", bundle.jobs.len())
    };
    assert_eq!((job.id.as_str(), job.rev), ("fixture-2", 42));
    assert_eq!((job.visit.hands, job.visit.hours), (2, Some((480, 1080))));
    assert_eq!((job.visit.pins.len(), job.calendar.events.len()), (1, 1));
    assert_eq!(job.calendar.sequence, 3);
    let [a, b] = job.pieces.as_slice() else {
        panic!("{} pieces", job.pieces.len())
    };
    assert!(a.heritage && a.undercut);
    assert_eq!(
        (a.substrate, a.shell),
        (Substrate::Gypsum, ShellKind::Gypsum)
    );
    let test = a.patch_test.as_ref().unwrap();
    assert!(test.sealed && test.result == Some(PatchResult::Cured));
    assert_eq!(
        (a.hand.mix.value, a.prices.hour),
        (Minutes(2.0), Some(38.0))
    );
    assert_eq!(
        (a.dabs.len(), a.dabs[1].held, a.confidence),
        (2, false, 0.9)
    );
    assert_eq!((a.notes.len(), a.pictures.len()), (5, 1));
    assert!(matches!(a.notes[2].entry, Entry::Weighed { mass, .. } if mass == Grams(61.25)));

    assert_eq!(a.shots.len(), 3);
    let lens = a.shots[0].photo.as_ref().unwrap().lens.unwrap();
    assert_eq!((lens.focal_px, lens.k1), (1232.0, 0.012));
    assert_eq!((a.shots[0].found.len(), a.shots[0].readings.len()), (1, 1));
    assert_eq!(a.shots[2].shows, Shows::Section);
    assert_eq!(b.shots.len(), 3);
    assert_eq!(b.shots[2].ties().map(<[_]>::len), Some(5));

    let relief = &a.relief_record;
    assert!(matches!(relief.edge, Edge::Stands { height, .. } if height == Millimetres(1.5)));
    let counts = (
        relief.readings.len(),
        relief.profiles.len(),
        relief.overhangs.len(),
    );
    assert_eq!(counts, (2, 1, 1));
    assert_eq!(relief.swept_from.as_ref().unwrap().matched, 0.81);
    // A dome of 11 mm over an ellipse of 117 by 88 mm: half an ellipsoid.
    let map = relief.swept.as_ref().unwrap();
    let highest = map.heights().iter().copied().fold(0.0, f32::max);
    assert!((10.8..=11.0).contains(&highest), "{highest}");
    let sum: f32 = map.heights().iter().filter(|height| !height.is_nan()).sum();
    let (found, true_volume) = (f64::from(sum) * 64.0, 2.0 / 3.0 * PI * 117.0 * 88.0 * 11.0);
    assert!(
        (found / true_volume - 1.0).abs() < 0.03,
        "{found} {true_volume}"
    );

    assert_eq!(
        (a.moulds, a.confirmed_for_food, a.casts.len()),
        (2, true, 2)
    );
    assert!(a.casts[1].worn_out && a.casts[1].defects == [Defect::Bubbles, Defect::Tear]);
    assert_eq!(b.filling, Filling::Slush(Millimetres(4.0)));

    assert_eq!(a.stage(), Stage::Cast);
    let footprint = a.footprint().unwrap();
    let area = footprint.area.value.0;
    assert!((area / AREA_OF_V2 - 1.0).abs() < 0.02, "{area}");
    assert!(
        relief
            .swept_from
            .as_ref()
            .unwrap()
            .is_of(&footprint.outline_mm)
    );
    let volume = a.heights().unwrap().unwrap().measures.volume.value.0;
    assert!((volume / VOLUME_OF_V2 - 1.0).abs() < 0.03, "{volume}");
    assert_eq!(a.plan().unwrap().coats.len(), 3);
    // With a back of 6 mm behind the whole footprint, in plaster of 1.6 g/ml.
    let (cast, solid) = (a.cast().unwrap().mass_each.value.0, volume + 0.006 * area);
    assert!((cast / (1.598 * solid) - 1.0).abs() < 0.03, "{cast}");
    assert_eq!(b.stage(), Stage::Measure);
    // All of it goes out and comes back.
    let again = pack(&bundle.jobs, &bundle.photos, Traces::Kept, bundle.exported).unwrap();
    let again = unpack(&again.bytes).unwrap();
    assert!(again.jobs[0].says_the_same(job));
    assert_eq!(again.photos, bundle.photos);
}

/// The footprint of the first piece, as it was measured when this export was written, in square
/// millimetres, and the volume under its map in millilitres.
const AREA_OF_V2: f64 = 32_071.0;
const VOLUME_OF_V2: f64 = 230.1;

#[test]
fn another_program_opens_an_export() {
    let job = Job::from_value(version(1)).unwrap();
    let photo = std::fs::read(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("public")
            .join(peelcast::job::SAMPLE_PHOTO),
    )
    .unwrap();
    let exported = job.changed;
    let photos = [Photo {
        id: PhotoId::new("photo-a"),
        bytes: photo.clone(),
    }];
    let packed = pack(&[job], &photos, Traces::Removed, exported).unwrap();
    assert_eq!(packed.notes, Vec::<String>::new());
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("export.peelcast.zip");
    std::fs::write(&file, packed.bytes).unwrap();
    let script = "
import json, sys, zipfile
with zipfile.ZipFile(sys.argv[1]) as file:
    assert file.testzip() is None
    parts = file.infolist()
    assert [p.filename for p in parts] == ['job.json', 'photos/photo-a.webp'], parts
    assert all(p.compress_type == zipfile.ZIP_STORED and p.flag_bits == 0x800 for p in parts)
    assert parts[0].date_time == (2026, 11, 25, 11, 0, 0), parts[0].date_time
    record = json.loads(file.read('job.json'))
    assert record['schema'] == 2 and record['jobs'][0]['name'] == 'Weir House (made up)'
    print(len(file.read('photos/photo-a.webp')))
";
    let run = |python: &str| {
        Command::new(python)
            .args(["-c", script])
            .arg(&file)
            .output()
            .ok()
    };
    let output = run("python3")
        .or_else(|| run("python"))
        .expect("Python 3 opens the export in this test: install it");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let read: usize = String::from_utf8_lossy(&output.stdout)
        .trim()
        .parse()
        .unwrap();
    assert_eq!(read, photo.len());
}

#[test]
fn the_name_of_an_export_suits_every_file_system() {
    let job = |name: &str| Job {
        name: name.into(),
        ..Job::default()
    };
    let day = chrono::NaiveDate::from_ymd_opt(2026, 1, 2).unwrap();
    let name = |jobs: &[Job]| bundle::file_name(jobs, day);
    assert_eq!(
        name(&[job("CON: ../é? a|b")]),
        "con-a-b-2026-01-02.peelcast.zip"
    );
    assert_eq!(name(&[job("石膏")]), "job-2026-01-02.peelcast.zip");
    assert_eq!(
        name(&[job("a"), job("b")]),
        "2-jobs-2026-01-02.peelcast.zip"
    );
}
