//! Copies from a finished mould: how it is filled, what they take, the time of a pour, the log, and
//! the shelf on which the mould stands.

use chrono::DateTime;
use peelcast::casting::{Defect, Filling, MediumFamily};
use peelcast::clock::{Moment, Tap};
use peelcast::job::{Job, JobId, PieceId, sample_job};
use peelcast::quantity::Millimetres;
use peelcast_browser::{Phone, journey};

const NAME: &str = "Doorway with a finished mould (made up)";

/// The sample's piece, coated and peeled.
fn finished() -> Job {
    let mut job = sample_job(DateTime::UNIX_EPOCH);
    job.id = JobId::new("finished");
    job.name = NAME.into();
    job.made_up = false;
    let piece = &mut job.pieces[0];
    piece.id = PieceId::new("plaque");
    let coats = 1..=piece.coats.len() as u32;
    let mut taps: Vec<Tap> = coats
        .flat_map(|coat| {
            let batch = 1;
            let last = true;
            [
                Tap::StartMix { coat, batch },
                Tap::SecondContainer { coat, batch },
                Tap::StartBrush { coat, batch },
                Tap::BatchDone { coat, batch, last },
            ]
        })
        .collect();
    taps.push(Tap::Demoulded);
    let at = DateTime::from_timestamp(1_790_000_000, 0).expect("a moment");
    piece.coat_log = taps.into_iter().map(|tap| Moment { at, tap }).collect();
    job
}

async fn stored(phone: &Phone, what: &str, is: impl Fn(&Job) -> bool) -> Job {
    for _ in 0..100 {
        let job = journey::job_named(phone, NAME).await;
        if is(&job) {
            return job;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("{what}: never stored");
}

async fn sound(phone: &Phone) {
    let wide = journey::too_wide(phone).await;
    let small = journey::small_targets(phone).await;
    let covered = journey::covered_actions(phone).await;
    assert!(
        wide.is_empty() && small.is_empty() && covered.is_empty(),
        "{wide:?} {small:?} {covered:?}"
    );
}

#[tokio::test]
async fn copies_are_cast_counted_and_logged() {
    let (mut phone, _host, folder) = journey::phone_with_sample("cast").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    journey::import(&phone, &folder, finished()).await;
    journey::go(&phone, "#/job/finished/piece/plaque/cast").await;
    journey::choose_medium(&phone, "moulding plaster").await;
    phone.wait("#cast-mass").await;
    let solid = phone.text("#cast-mass").await;

    // Hollow it takes less, and what fills the mould for it is told.
    phone.tap("#filling-slush").await;
    let asked = "return document.querySelector('#filling-thickness').checkVisibility()";
    phone.wait_until("how thick is asked", asked, vec![]).await;
    phone.fill("#filling-thickness", "0.05 mm").await;
    journey::says(
        &phone,
        "#filling-thickness-error",
        &["between 0.2 and 100 mm"],
    )
    .await;
    phone.fill("#filling-thickness", "4 mm").await;
    let hollow = |job: &Job| job.pieces[0].filling == Filling::Slush(Millimetres(4.0));
    let job = stored(&phone, "a shell", hollow).await;
    let plan = job.pieces[0].cast().expect("a plan");
    assert!(plan.to_the_brim.is_some());
    journey::says(&phone, "main", &["To fill the mould for one shell mix"]).await;
    assert_ne!(phone.text("#cast-mass").await, solid);
    phone.fill("#copies", "5").await;
    phone.fill("#moulds", "2").await;
    phone.fill("#medium-price", "1.5").await;
    let priced = |job: &Job| job.pieces[0].prices.medium_kg == Some(1.5);
    stored(&phone, "a price", priced).await;
    journey::says(
        &phone,
        "#cast-batch",
        &["5 pours in 2 moulds, 3 rounds", "One copy costs"],
    )
    .await;
    journey::says(&phone, "#cast-size", &["A copy comes out", "3 moulds"]).await;
    journey::says(&phone, "#cast-release", &["Plaster lets go of silicone"]).await;
    journey::says(
        &phone,
        "#cast-life",
        &["more copies until the mould spoils"],
    )
    .await;
    phone.shot("plan").await;
    sound(&phone).await;

    // A pour is counted wherever the app is, and comes out into the log.
    phone.tap("#pour").await;
    phone.wait("#pour-countdown").await;
    phone.shot("poured").await;
    journey::go(&phone, "#/").await;
    journey::says(&phone, "#running", &["take the copy out"]).await;
    phone.pass_minutes(51.0).await;
    journey::go(&phone, "#/job/finished/piece/plaque/cast").await;
    journey::says(&phone, "main", &["Ready to come out since"]).await;
    phone.tap("#pour-out").await;
    let one = |job: &Job| job.pieces[0].casts.len() == 1 && job.pieces[0].mould.poured.is_none();
    let job = stored(&phone, "a copy", one).await;
    let entry = &job.pieces[0].casts[0];
    assert_eq!((entry.copies, entry.family), (1, MediumFamily::Gypsum));

    // Defects and the end of the mould are written down, and taken back.
    phone.tap("#cast-add summary").await;
    phone.fill("#log-copies", "three").await;
    phone.tap("#log-add").await;
    journey::says(&phone, "#log-copies-error", &["number"]).await;
    phone.fill("#log-copies", "3").await;
    phone.tap("#defect-0").await;
    phone.tap("#log-worn").await;
    phone.fill("#log-note", "Tore at the rim").await;
    phone.tap("#log-add").await;
    let two = |job: &Job| job.pieces[0].casts.len() == 2;
    let job = stored(&phone, "more copies", two).await;
    let entry = &job.pieces[0].casts[1];
    assert_eq!((entry.copies, &entry.defects), (3, &vec![Defect::ALL[0]]));
    journey::says(&phone, "#cast-life", &["done for, after 4 copies"]).await;
    journey::says(&phone, "#cast-log", &["Tore at the rim", "bubbles"]).await;
    phone.shot("log").await;
    sound(&phone).await;

    // A mould that held plaster is never offered for food.
    journey::choose_medium(&phone, "dark chocolate").await;
    journey::says(&phone, "#cast-food", &["Not to be eaten"]).await;
    phone.shot("food").await;

    // A medium of one's own is typed from its sheet.
    let silent = "return !document.querySelector('#toast-close')";
    phone.wait_until("the news is over", silent, vec![]).await;
    phone.choose("#medium", "own").await;
    phone.wait("#own-medium").await;
    phone.tap("#medium-use").await;
    journey::says(&phone, "#medium-problems", &["density", "needs a name"]).await;
    phone.shot("own-medium-wrong").await;
    sound(&phone).await;
    phone.fill("#medium-name", "Paper pulp (made up)").await;
    phone.fill("#medium-density", "0.9").await;
    phone.fill("#medium-set", "240").await;
    phone.fill("#medium-part-1", "Pulp").await;
    phone.fill("#medium-parts-1", "1").await;
    phone.fill("#medium-part-2", "Water").await;
    phone.fill("#medium-parts-2", "4").await;
    phone.tap("#medium-use").await;
    let own = |job: &Job| {
        let medium = job.pieces[0].medium.as_ref();
        medium.is_some_and(|medium| medium.name == "Paper pulp (made up)")
    };
    stored(&phone, "a medium of one's own", own).await;
    journey::says(&phone, "#cast-parts", &["Pulp", "Water"]).await;
    phone.shot("own-medium").await;

    // The mould stands on the shelf.
    journey::go(&phone, "#/").await;
    phone.tap("#open-moulds").await;
    journey::says(
        &phone,
        "#mould-0",
        &[NAME, "Size", "Coats", "4 copies; done for"],
    )
    .await;
    phone.fill("#stored-0", "Shed, second drawer").await;
    let kept = |job: &Job| job.pieces[0].mould.stored == "Shed, second drawer";
    stored(&phone, "where it is", kept).await;
    // After plaster nobody is asked whether it is for food.
    journey::says(&phone, "#mould-0", &["never holds food again"]).await;
    let asked = "return document.querySelector('#food-only-0').checkVisibility()";
    assert_eq!(phone.js(asked, vec![]).await, false);
    phone.tap("#retired-0").await;
    stored(&phone, "no longer used", |job| job.pieces[0].mould.retired).await;
    phone.shot("shelf").await;
    sound(&phone).await;

    // The job's tables are saved.
    journey::go(&phone, "#/job/finished").await;
    phone.tap("#log-table").await;
    let file = phone.downloaded().await;
    let text = std::fs::read_to_string(&file).expect("a table");
    assert!(
        text.starts_with('\u{feff}') && text.contains("Tore at the rim"),
        "{text}"
    );
}
