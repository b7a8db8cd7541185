//! The job sheet on paper.

use chrono::{DateTime, TimeDelta, Utc};
use peelcast::clock::{Feel, Moment, Tap};
use peelcast::job::{JobId, Piece, PieceId, bundle, sample_job};
use peelcast_browser::{Host, Paper, Phone, Screen, journey, scratch_folder};
use std::time::SystemTime;

/// What happens when someone taps what the Coat page offers, until the skin is off.
fn whole_log(piece: &Piece, from: DateTime<Utc>) -> Vec<Moment> {
    let mut piece = piece.clone();
    let mut now = from;
    for _ in 0..200 {
        let progress = piece.progress(now).expect("the sample has a plan");
        let tap = match (progress.touch, progress.main) {
            (Some(coat), _) => Tap::Touch {
                coat,
                feel: Feel::Tacky,
            },
            (None, Some(action)) => action.tap,
            (None, None) => {
                now += TimeDelta::minutes(10);
                continue;
            }
        };
        piece.coat_log.push(Moment { at: now, tap });
        if tap == Tap::Demoulded {
            return piece.coat_log;
        }
        now += TimeDelta::minutes(3);
    }
    panic!("the coats come to an end");
}

#[tokio::test]
async fn a_job_with_long_words_prints_one_page_a_piece() {
    let folder = scratch_folder("sheet-host");
    let now = DateTime::<Utc>::from(SystemTime::now());
    let mut job = sample_job(now - TimeDelta::days(1));
    job.id = JobId::new("long-words");
    job.name = "Deckenrosetten im Gartensaalnebengebäude an der Orangeriestützmauer".into();
    job.place = "Made-up place: the second dry orangery behind the kitchen garden's south wall, \
        through the green door"
        .into();
    job.contact = "The caretaker's deputy on weekdays, the gardener at weekends (made up)".into();
    job.note = "Bring overshoes. The floor was oiled last week and the ladder's feet must stand \
        on boards; the door sticks, so lift it a little while you turn the key. "
        .repeat(3);
    job.permission.note = "One mould of each, up to four plaster copies, after a test in a \
        hidden corner; the gilding is not to be touched, and the caretaker is told before and \
        after."
        .into();
    let mut first = job.pieces.remove(0);
    first.name = "Rosette über der Durchgangstür zum Gewächshausvorraum, linke Hälfte".into();
    first.material = "Lime plaster with a later coat of gypsum, painted many times".into();
    let mut second = first.clone();
    second.id = PieceId::new("second");
    first.coat_log = whole_log(&first, now - TimeDelta::hours(20));
    job.pieces = vec![first, second];
    let file = folder.join("long.peelcast.zip");
    let packed = bundle::pack(&[job], &[], bundle::Traces::Removed, now).expect("a file");
    std::fs::write(&file, packed.bytes).expect("the file is written");

    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("sheet", Screen::NARROW).await;
    journey::first_start(&phone, &host).await;
    phone.give_file("#import-file", &file).await;
    phone.tap("#import-yes").await;
    phone.tap("#toast-close").await;
    phone.tap("#jobs a[href='#/job/long-words']").await;
    phone.tap("#open-sheet").await;
    phone.wait("#sheet-second").await;
    for paper in Paper::ALL {
        let pages = phone.print_to("two-pieces", paper).await;
        assert_eq!(pages, 2, "one page of {paper:?} a piece");
    }
}
