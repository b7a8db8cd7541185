//! A thousand jobs with photos: the list stands at once, is searched and scrolled, and goes into a
//! file in parts.

use chrono::{DateTime, TimeDelta};
use peelcast::job::storage::Version;
use peelcast::job::{Job, JobId, PhotoId, PhotoRef, PieceId, sample_job};
use peelcast_browser::{Phone, journey};
use serde_json::{Value, json};

const MANY: usize = 1000;

/// One of many jobs, each with a piece as far as the sample's, under a photo of its own.
fn job(n: usize) -> Job {
    let mut job = sample_job(DateTime::UNIX_EPOCH + TimeDelta::hours(n as i64));
    job.id = JobId::new(&format!("many-{n:04}"));
    job.rev = 1;
    job.made_up = false;
    job.name = format!("Doorway {n}");
    job.place = "Made-up Street".into();
    let piece = &mut job.pieces[0];
    piece.id = PieceId::new("p");
    piece.name = format!("Rosette {n}");
    let photo: &mut PhotoRef = piece.shots[0].photo.as_mut().expect("a photo");
    photo.id = PhotoId::new(&format!("photo-{n:04}"));
    job
}

/// Puts jobs and copies of the sample's photo where the app keeps them.
const PUT: &str = "
    const [jobs, photos] = given;
    const answer = (request) => new Promise((give, fail) => {
        request.onsuccess = () => give(request.result);
        request.onerror = () => fail(request.error);
    });
    const database = await answer(indexedDB.open('peelcast'));
    const work = database.transaction(['journal', 'photos'], 'readwrite');
    const [journal, store] = ['journal', 'photos'].map((name) => work.objectStore(name));
    const [photo] = await answer(store.getAll(null, 1));
    for (const [key, text] of jobs) journal.put(text, key);
    for (const id of photos) store.put(photo, id);
    await new Promise((give) => { work.oncomplete = give });
    database.close();
    return jobs.length";

/// Notes when the first jobs are on the screen and when all records have been read, and each task
/// that kept the page from scrolling.
const WATCH: &str = "
    window.seen = {}; window.tasks = [];
    new PerformanceObserver((list) => list.getEntries().forEach((task) =>
        window.tasks.push([task.startTime, task.duration]))).observe({ type: 'longtask', buffered: true });
    const look = () => {
        if (document.querySelector('#jobs a')) window.seen.listed ??= performance.now();
        if (document.querySelector('#jobs[data-read] ~ .bar #new-job')) window.seen.ready ??= performance.now();
        if (!window.seen.ready) requestAnimationFrame(look);
    };
    requestAnimationFrame(look);";

async fn filled(phone: &Phone) {
    for first in (0..MANY).step_by(100) {
        let jobs: Vec<Job> = (first..first + 100).map(job).collect();
        let photos: Vec<&str> = jobs
            .iter()
            .flat_map(|job| job.pieces[0].photos().map(|photo| photo.id.as_str()))
            .collect();
        let texts: Vec<Value> = jobs
            .iter()
            .map(|job| {
                let version = Version {
                    rev: 1,
                    at: job.created,
                    what: "Job added".into(),
                    job: Some(job.clone()),
                };
                let text = version.encode().expect("it can be stored");
                json!([format!("{}/{:016}", job.id, 1), text])
            })
            .collect();
        phone.js_later(PUT, vec![json!(texts), json!(photos)]).await;
    }
}

/// When the list stood and when all was read, in milliseconds after the page was asked for, and
/// the longest task.
async fn opened(phone: &Phone, what: &str) -> (f64, f64) {
    phone
        .wait_until("all is read", "return !!window.seen?.ready", vec![])
        .await;
    let seen = phone.js("return window.seen", vec![]).await;
    let at = |name: &str| seen[name].as_f64().expect("a moment");
    let tasks = "return window.tasks.map(([, long]) => Math.round(long)).sort((a, b) => b - a).slice(0, 5).join()";
    println!(
        "{what}: listed after {:.0} ms, all records read after {:.0} ms; the longest tasks {} ms",
        at("listed"),
        at("ready"),
        phone.js(tasks, vec![]).await
    );
    (at("listed"), at("ready"))
}

#[tokio::test]
async fn a_thousand_jobs_are_listed_searched_and_chosen_from() {
    let (phone, _host, _folder) = journey::phone_with_sample("many-jobs").await;
    filled(&phone).await;
    let watch = json!({"source": WATCH});
    phone
        .cdp("Page.addScriptToEvaluateOnNewDocument", watch)
        .await;
    phone.reload().await;
    opened(&phone, "the first time").await;
    journey::says(&phone, "#jobs-found", &["1001 jobs"]).await;
    // A new job waits for no plan of the others.
    let tasks = "window.tasks.length = 0; document.querySelector('#new-job').click()";
    phone.js(tasks, vec![]).await;
    phone.fill("#job-place", "Made-up Street").await;
    let longest = "return Math.round(Math.max(0, ...window.tasks.map(([, long]) => long)))";
    println!(
        "a new job meanwhile: longest task {} ms",
        phone.js(longest, vec![]).await
    );
    // The list is kept a moment later, and stands before the records are read.
    phone
        .wait_until(
            "the list is kept",
            "return localStorage.getItem('peelcast.list')?.includes('many-0999')",
            vec![],
        )
        .await;
    journey::go(&phone, "#/").await;
    phone.reload().await;
    let (listed, ready) = opened(&phone, "from then on").await;
    assert!(listed < ready, "{listed} {ready}");
    phone.shot("list").await;
    assert_eq!(journey::too_wide(&phone).await, Vec::<String>::new());

    // Words of a name, a place and a piece find their job, in any case.
    phone.fill("#find-jobs", "street ROSETTE 777").await;
    journey::says(&phone, "#jobs-found", &["1 of 1002 jobs"]).await;
    journey::says(&phone, "#jobs", &["Doorway 777", "Made-up Street"]).await;
    phone.shot("found").await;
    phone.fill("#find-jobs", "no such doorway").await;
    journey::says(&phone, "#jobs-found", &["No job is like that"]).await;
    phone.shot("none-found").await;
    phone.fill("#find-jobs", "").await;
    phone.choose("#which-jobs", "moulded").await;
    journey::says(&phone, "#jobs-found", &["No job is like that"]).await;
    phone.choose("#which-jobs", "all").await;

    // Scrolling draws more lines.
    let count = "return document.querySelectorAll('#jobs > li').length";
    let few = phone.js(count, vec![]).await.as_u64().expect("a number");
    assert!(few < 100, "{few}");
    let scroll = "window.tasks.length = 0; for (let i = 0; i < 12; i++) { \
        window.scrollBy(0, 900); \
        await new Promise((next) => setTimeout(next, 60)); } \
        return [document.querySelectorAll('#jobs > li').length, \
            Math.max(0, ...window.tasks.map(([, long]) => long))]";
    let scrolled = phone.js_later(scroll, vec![]).await;
    println!(
        "scrolled: {} lines, longest task {} ms",
        scrolled[0], scrolled[1]
    );
    assert!(scrolled[0].as_u64() > Some(few), "{scrolled}");

    // Some of them go into a file.
    journey::go(&phone, "#/backup").await;
    journey::says(&phone, "#backup-age", &["No backup was ever made"]).await;
    journey::says(&phone, "#backup-export", &["Export 1001 jobs"]).await;
    phone.tap("#choose-none").await;
    phone.fill("#find-jobs", "doorway 99").await;
    phone.tap("#choose-all").await;
    // 99, 199 to 899, and 990 to 999.
    journey::says(&phone, "#backup-export", &["Export 19 jobs"]).await;
    phone.shot("backup").await;
    assert_eq!(journey::too_wide(&phone).await, Vec::<String>::new());
    assert_eq!(journey::small_targets(&phone).await, Vec::<String>::new());
    phone.tap("#backup-export").await;
    let file = phone.downloaded().await;
    let bytes = std::fs::read(&file).expect("the file");
    let bundle = peelcast::job::bundle::unpack(&bytes).expect("an export");
    assert_eq!((bundle.jobs.len(), bundle.photos.len()), (19, 19));
    journey::says(
        &phone,
        "#backup-age",
        &["within the hour", "982 jobs are in no backup"],
    )
    .await;

    // A job that is opened before all records are read waits for its own.
    journey::go(&phone, "#/job/many-0500").await;
    journey::says(&phone, "#title", &["Doorway 500"]).await;
}
