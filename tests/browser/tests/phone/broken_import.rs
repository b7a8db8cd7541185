//! Files that are no sound export are refused with a sentence that says what to do, and change
//! nothing.

use chrono::DateTime;
use peelcast::job::{bundle, sample_job};
use peelcast_browser::{Photo, journey, stored};

#[tokio::test]
async fn broken_files_are_not_imported() {
    let (phone, _host, folder) = journey::phone_with_sample("bad-imports").await;
    let job = sample_job(DateTime::UNIX_EPOCH);
    let id = job.pieces[0].shots[0]
        .photo
        .as_ref()
        .expect("a photo")
        .id
        .clone();
    let photo = std::fs::read(Photo::sample().file).expect("the sample's photo");
    let photos = [bundle::Photo {
        id,
        bytes: photo.clone(),
    }];
    let traces = bundle::Traces::Removed;
    let sound = bundle::pack(&[job], &photos, traces, DateTime::UNIX_EPOCH).expect("an export");
    let sound = sound.bytes;
    let find = |what: &[u8]| {
        sound
            .windows(what.len())
            .position(|part| part == what)
            .expect("it is in there")
    };
    let mut changed = sound.clone();
    changed[find(&photo) + photo.len() / 2] ^= 1;
    // The shortest ZIP file: nothing in it but its end.
    let without_job = [b"PK\x05\x06".to_vec(), vec![0; 18]].concat();
    let cases: [(&str, Vec<u8>, &[&str]); 5] = [
        (
            "letter.zip",
            b"Dear customer, here is the job.".to_vec(),
            &["no export of Peelcast", ".peelcast.zip"],
        ),
        ("empty.zip", vec![], &["empty (0 bytes)"]),
        (
            "cut.zip",
            sound[..sound.len() / 2].to_vec(),
            &["cut short or damaged", "Copy it again"],
        ),
        (
            "foreign.zip",
            without_job,
            &["no job.json", "no export of Peelcast"],
        ),
        (
            "changed.zip",
            changed,
            &["damaged", "isn't what was written", "Copy the file again"],
        ),
    ];
    let before = stored::read(&phone).await;
    for (name, bytes, parts) in cases {
        let file = folder.join(name);
        std::fs::write(&file, bytes).expect("the file is written");
        phone.give_file("#import-file", &file).await;
        journey::says(
            &phone,
            "#alarms .wrong",
            &[parts, &["Nothing on this phone was changed"]].concat(),
        )
        .await;
        phone.shot(name).await;
        assert!(!phone.has("#import-yes").await, "{name} is not on offer");
        phone.tap("#alarms button").await;
        phone.reload().await;
        phone.wait(journey::READ).await;
        assert_eq!(stored::read(&phone).await, before, "after {name}");
    }
}
