//! The ways through the app that several tests walk, in the gestures of a thumb.

use crate::{Host, Phone, Photo, Screen};
use chrono::DateTime;
use peelcast::job::storage::Version;
use peelcast::job::{Job, JobId, Piece, PieceId, bundle, sample_job};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Opens the app for the first time and waits until it can do without a network.
pub async fn first_start(phone: &Phone, host: &Host) {
    first_start_alone(phone, host).await;
    rest_kept(phone, "").await;
}

/// The same without the picture tools, which come after the first screen.
pub async fn first_start_alone(phone: &Phone, host: &Host) {
    phone.open(&host.url("")).await;
    phone.wait(READ).await;
    first_part_kept(phone).await;
}

/// Waits until the page can be opened without a network.
pub async fn first_part_kept(phone: &Phone) {
    phone
        .wait_until(
            "the service worker has everything",
            "return !!navigator.serviceWorker.controller || \
             (window.swReady ??= false, navigator.serviceWorker.ready.then(r => { \
                 window.swReady = !!r.active && r.active.state === 'activated' }), window.swReady)",
            vec![],
        )
        .await;
}

/// Waits until the second part of the release, which comes after the first screen, is kept on the
/// phone: all files of it whose names begin with `of`.
pub async fn rest_kept(phone: &Phone, of: &str) {
    let kept = "fetch('service-worker.js').then((answer) => answer.text()).then(async (text) => { \
            const later = text.split('later: [')[1].split('};')[0]; \
            const names = [...later.matchAll(/\\[\"([^\"]+)\"/g)].map(([, name]) => name) \
                .filter((name) => name.startsWith(arguments[0])); \
            const found = await Promise.all( \
                names.map((name) => caches.match(new URL(name, document.baseURI)))); \
            window.restKept = names.length > 0 && found.every(Boolean); \
        }); \
        return window.restKept === true";
    phone
        .wait_until("the second part is kept", kept, vec![json!(of)])
        .await;
}

/// Waits until the photo lies flat on the Measure page and shows something.
pub async fn laid_flat(phone: &Phone) {
    let flat = "const canvas = document.querySelector('#rectified'); \
        const progress = document.querySelector('#check-progress'); \
        if (!canvas || !progress?.hidden) return false; \
        const [x, y] = [canvas.width / 2, canvas.height / 2].map(Math.floor); \
        const middle = canvas.getContext('2d').getImageData(x, y, 40, 40).data; \
        return middle.every((value, i) => i % 4 < 3 || value === 255) \
            && middle.some((value) => value !== middle[0])";
    phone
        .wait_until("the picture lies flat", flat, vec![])
        .await;
}

/// A phone on which the app has started once and shows its sample, the app's host, and a folder
/// for files; `name` names them all.
pub async fn phone_with_sample(name: &str) -> (Phone, Host, PathBuf) {
    let folder = crate::scratch_folder(&format!("{name}-files"));
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new(name, Screen::NARROW).await;
    first_start(&phone, &host).await;
    phone.wait(READ).await;
    (phone, host, folder)
}

/// Waits until what is seen at `css` says all of `parts`.
pub async fn says(phone: &Phone, css: &str, parts: &[&str]) {
    let said = "const said = [...document.querySelectorAll(arguments[0])] \
        .filter((e) => e.checkVisibility()).map((e) => e.innerText).join(' ').replaceAll('’', \"'\"); \
        return arguments[1].every((part) => said.includes(part))";
    let what = format!("{css} says {parts:?}");
    let given = vec![json!(css), json!(parts)];
    phone.wait_until(&what, said, given).await;
}

/// Makes a job and a piece of one's own; ends on the piece's Measure page.
pub async fn own_piece(phone: &Phone, name: &str) {
    phone.tap("#new-job").await;
    phone.fill("#job-name", &format!("Job for {name}")).await;
    phone.fill("#job-place", "The dry orangery (made up)").await;
    phone.tap("#add-piece").await;
    phone.fill("#piece-name", name).await;
    phone.tap("#go-measure").await;
    phone.wait("#photo-file").await;
}

/// What is on the list once all jobs have been read: its lines stand before.
pub const READ: &str = "#jobs[data-read] ~ .bar #new-job";

/// Goes to a place of the app, `place` beginning with `#/`.
pub async fn go(phone: &Phone, place: &str) {
    phone
        .js("location.hash = arguments[0]", vec![json!(place)])
        .await;
    // The new page's heading takes the focus first: what is typed at once would be cut in two.
    tokio::time::sleep(std::time::Duration::from_millis(200)).await;
}

/// The address of a page of the sample's piece, `page` being empty for what the piece is.
pub async fn sample_page(phone: &Phone, page: &str) -> String {
    let jobs = stored_jobs(phone).await;
    let sample = jobs
        .iter()
        .find(|job| job["made_up"] == true)
        .expect("the sample");
    let name = |of: &Value| of["id"].as_str().expect("an id").to_owned();
    let place = format!(
        "#/job/{}/piece/{}/{page}",
        name(sample),
        name(&sample["pieces"][0])
    );
    place.trim_end_matches('/').to_owned()
}

/// Chooses the language with that tag, and stays in the settings.
pub async fn speak(phone: &Phone, tag: &str) {
    go(phone, "#/settings").await;
    let choice = format!("#language-{tag}");
    phone.wait(&choice).await;
    let speaks = "return document.documentElement.lang === arguments[0] \
        && !!document.querySelector('#about')";
    if phone.js(speaks, vec![json!(tag)]).await != json!(true) {
        phone.tap(&choice).await;
    }
    phone
        .wait_until("the language is there", speaks, vec![json!(tag)])
        .await;
}

/// All screens, each with a name, its address and what stands there once it is shown: those of no
/// job, of the job and of the piece at `piece`.
pub fn places(piece: &str) -> Vec<(String, String, &'static str)> {
    let piece = piece.trim_end_matches('/');
    let job = piece.split("/piece/").next().expect("a job");
    let mut places = vec![
        ("jobs".to_owned(), "#/".to_owned(), "#new-job"),
        ("settings".into(), "#/settings".into(), "#about"),
        ("backup".into(), "#/backup".into(), "#backup-export"),
        ("moulds".into(), "#/moulds".into(), "main"),
        ("lens".into(), "#/lens".into(), "main"),
        ("handed".into(), "#/handed".into(), "#handed-nothing"),
        ("nowhere".into(), "#/job/gone".into(), "main .button"),
        ("job".into(), job.into(), "#add-piece"),
        ("day".into(), format!("{job}/day"), "#day-begins"),
        ("sheet".into(), format!("{job}/sheet"), "#print-sheet"),
        ("piece".into(), piece.into(), "#piece-name"),
    ];
    places.extend(
        [
            ("measure", "main"),
            ("plan", "main"),
            ("pack", "#untick-all"),
            ("coat", "main"),
            ("cast", "#medium"),
            ("heights", "main"),
        ]
        .map(|(page, there)| (page.to_owned(), format!("{piece}/{page}"), there)),
    );
    places
}

/// Takes the sample job away, as it stands at first start.
pub async fn remove_sample(phone: &Phone) {
    phone.wait(READ).await;
    phone.tap("#jobs a").await;
    phone.wait("#delete-job").await;
    phone.unfold("#delete-job").await;
    phone.tap("#delete-job").await;
    phone.wait(READ).await;
    phone
        .wait_until(
            "the sample is gone",
            "return document.querySelectorAll('#jobs a').length === 0",
            vec![],
        )
        .await;
    phone.tap("#toast-close").await;
    phone
        .wait_until(
            "the message is gone",
            "return !document.querySelector('#toast-close')",
            vec![],
        )
        .await;
}

/// The footprint's area in square millimetres as it follows from the stored record, once an
/// outline of `points` points is stored.
pub async fn measured_area(phone: &Phone, points: usize) -> f64 {
    for _ in 0..100 {
        let jobs = stored_jobs(phone).await;
        let pieces = jobs.iter().filter_map(|job| job["pieces"].as_array());
        for piece in pieces.flatten() {
            let piece: Piece = serde_json::from_value(piece.clone()).expect("a piece");
            if piece.shot(0).outline.len() == points {
                return piece.footprint().expect("a footprint").area.value.0;
            }
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("an outline of {points} points was never stored");
}

/// Ticks every line of the packing list with a finger.
pub async fn tick_everything(phone: &Phone) -> usize {
    let ids = phone
        .js(
            "return [...document.querySelectorAll('#kit input[type=checkbox]')].map(e => e.id)",
            vec![],
        )
        .await;
    let ids = ids.as_array().expect("ids").clone();
    for id in &ids {
        let css = format!("[id={:?}]", id.as_str().expect("an id"));
        let ticked = phone
            .js(
                "return document.querySelector(arguments[0]).checked",
                vec![json!(css)],
            )
            .await;
        if ticked == json!(false) {
            phone.tap(&css).await;
            phone
                .wait_until(
                    "it is ticked",
                    "return document.querySelector(arguments[0]).checked",
                    vec![json!(css)],
                )
                .await;
        }
    }
    ids.len()
}

/// Waits until some piece on this phone has `count` ticks in its stored record.
pub async fn ticks_stored(phone: &Phone, count: usize) {
    for _ in 0..60 {
        let jobs = stored_jobs(phone).await;
        let pieces = jobs.iter().filter_map(|job| job["pieces"].as_array());
        if pieces
            .flatten()
            .any(|piece| piece["ticked"].as_array().map_or(0, Vec::len) == count)
        {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("{count} ticks were never stored");
}

/// A tap on the Coat page, waited for until it is stored: the log grows by one.
pub async fn coat_tap(phone: &Phone, css: &str) {
    let before = log_length(phone).await;
    // Taps that follow at once count as a double tap there.
    tokio::time::sleep(std::time::Duration::from_millis(900)).await;
    phone.tap(css).await;
    for _ in 0..100 {
        if log_length(phone).await > before {
            tokio::time::sleep(std::time::Duration::from_millis(150)).await;
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    phone.shot("tap-not-stored").await;
    panic!("the tap on {css} was not stored");
}

/// The big button of the Coat page, once each container has been mixed for its time.
pub async fn coat_on(phone: &mut Phone) {
    phone.pass_minutes(2.0).await;
    phone.wait("#coat-main:not(.held)").await;
    coat_tap(phone, "#coat-main").await;
}

async fn log_length(phone: &Phone) -> usize {
    stored_jobs(phone)
        .await
        .iter()
        .flat_map(|job| job["pieces"].as_array().expect("pieces").clone())
        .map(|piece| piece["coat_log"].as_array().map_or(0, Vec::len))
        .sum()
}

/// Chooses the first casting medium whose name holds `word`.
pub async fn choose_medium(phone: &Phone, word: &str) {
    let script = "return [...document.querySelectorAll('#medium option')] \
        .filter(o => o.textContent.toLowerCase().includes(arguments[0])).map(o => o.value)[0]";
    let value = phone.js(script, vec![json!(word)]).await;
    phone
        .choose("#medium", value.as_str().expect("such a medium"))
        .await;
}

/// Gives a photo, marks the card's corners and traces the outline by touch.
pub async fn measure(phone: &Phone, photo: &Photo) {
    phone.give_file("#photo-file", &photo.file).await;
    phone.wait("#photo").await;
    phone
        .wait_until(
            "the photo is shown",
            "return document.querySelector('#photo').naturalWidth > 0",
            vec![],
        )
        .await;
    phone.tap("#task-reference").await;
    phone.choose("#reference-kind", "card").await;
    for corner in &photo.card {
        touch_photo(phone, *corner).await;
    }
    phone.shot("card-marked").await;
    phone.wait("#to-outline").await;
    phone.tap("#to-outline").await;
    for point in &photo.outline {
        touch_photo(phone, *point).await;
    }
    phone.shot("outline-traced").await;
    phone.tap("#close-outline").await;
    phone.wait("#footprint-area").await;
}

/// Touches the photo at one of its pixels.
pub async fn touch_photo(phone: &Phone, pixel: [f64; 2]) {
    let shown = "window.scrollTo(0, 0); \
        return (document.querySelector('#photo')?.naturalWidth ?? 0) > 0";
    phone.wait_until("the photo is shown", shown, vec![]).await;
    // The page may still be making room for what the last touch brought.
    let mut place = phone.photo_place("#photo", pixel).await;
    loop {
        tokio::time::sleep(std::time::Duration::from_millis(60)).await;
        let again = phone.photo_place("#photo", pixel).await;
        if again == place {
            break;
        }
        place = again;
    }
    phone.touch(place.0, place.1).await;
}

/// A ring loosely round the ornament, as a finger draws it, in CSS pixels of the window.
pub async fn loose_ring(phone: &Phone, photo: &Photo) -> Vec<(f64, f64)> {
    let middle = photo.middle();
    let mut ring = Vec::new();
    for point in photo.outline.iter().chain(&photo.outline[..1]) {
        let wide = [0, 1].map(|k| middle[k] + 1.13 * (point[k] - middle[k]));
        ring.push(phone.photo_place("#photo", wide).await);
    }
    ring
}

/// All jobs as the phone stored them.
pub async fn stored_jobs(phone: &Phone) -> Vec<Value> {
    let script = "return Object.entries(localStorage).map(([k, v]) => [k, v])";
    let entries = phone.js(script, vec![]).await;
    entries
        .as_array()
        .expect("entries")
        .iter()
        .filter_map(|entry| {
            let stored: Value = serde_json::from_str(entry[1].as_str()?).ok()?;
            let job = Version::decode(stored.as_str()?).ok()?.job?;
            // The copy before the newest one stands beside it.
            (!entry[0].as_str()?.contains("before")).then(|| json!(job))
        })
        .collect()
}

/// The sample's piece, once it is stored as `is` wants it; `what` names that.
pub async fn sample_piece(phone: &Phone, what: &str, is: impl Fn(&Piece) -> bool) -> Piece {
    first_piece(phone, what, true, is).await
}

/// The same of a job of one's own.
pub async fn piece_of_own(phone: &Phone, what: &str, is: impl Fn(&Piece) -> bool) -> Piece {
    first_piece(phone, what, false, is).await
}

async fn first_piece(
    phone: &Phone,
    what: &str,
    made_up: bool,
    is: impl Fn(&Piece) -> bool,
) -> Piece {
    for _ in 0..600 {
        let mut jobs = stored_jobs(phone).await.into_iter();
        if let Some(job) = jobs.find(|job| (job["made_up"] == true) == made_up) {
            let job = Job::from_value(job).expect("a job");
            if let Some(piece) = job.pieces.into_iter().next().filter(&is) {
                return piece;
            }
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    phone.shot("never-stored").await;
    panic!("{what}: never stored");
}

/// A job of that id and name whose pieces, each with its id and name, are the sample's over again.
pub fn job_of_copies(id: &str, name: &str, pieces: &[(&str, &str)]) -> Job {
    let mut job = sample_job(DateTime::UNIX_EPOCH);
    let piece = job.pieces.remove(0);
    let copies = pieces.iter().map(|(id, name)| Piece {
        id: PieceId::new(id),
        name: (*name).into(),
        ..piece.clone()
    });
    Job {
        id: JobId::new(id),
        name: name.into(),
        made_up: false,
        pieces: copies.collect(),
        ..job
    }
}

/// Imports a job whose pieces show the sample's photo, on the list of jobs.
pub async fn import(phone: &Phone, folder: &Path, job: Job) {
    let name = job.name.clone();
    let file = folder.join("job.peelcast.zip");
    let photo = job.pieces[0].photos().next().expect("a photo");
    let photo = bundle::Photo {
        id: photo.id.clone(),
        bytes: std::fs::read(Photo::sample().file).expect("the sample's photo"),
    };
    let traces = bundle::Traces::Removed;
    let packed = bundle::pack(&[job], &[photo], traces, DateTime::UNIX_EPOCH).expect("an export");
    std::fs::write(&file, packed.bytes).expect("the file is written");
    go(phone, "#/").await;
    phone.give_file("#import-file", &file).await;
    phone.tap("#import-yes").await;
    job_named(phone, &name).await;
    phone.tap("#toast-close").await;
}

/// The stored job of that name, waited for.
pub async fn job_named(phone: &Phone, name: &str) -> Job {
    for _ in 0..100 {
        let mut jobs = stored_jobs(phone).await.into_iter();
        if let Some(job) = jobs.find(|job| job["name"] == name) {
            return Job::from_value(job).expect("a job");
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("no job named {name} was stored");
}

/// What sticks out of the page to the side, in words; nothing where the page fits its width.
pub async fn too_wide(phone: &Phone) -> Vec<String> {
    let script = "if (document.documentElement.scrollWidth <= window.innerWidth) return []; \
        const wide = [...document.body.querySelectorAll('*')] \
            .filter((e) => e.checkVisibility() && e.getBoundingClientRect().right > window.innerWidth + 0.5) \
            .map((e) => `${e.tagName} ${e.id || e.className} ${e.innerText?.slice(0, 30)}`); \
        return [`the page is ${document.documentElement.scrollWidth} px wide`, ...wide.slice(0, 5)]";
    words(phone, script).await
}

/// Main actions on the screen that something else lies over, in words.
pub async fn covered_actions(phone: &Phone) -> Vec<String> {
    let script = "const covered = []; \
        for (const e of document.querySelectorAll('.main')) { \
            const r = e.getBoundingClientRect(); \
            const [x, y] = [r.left + r.width / 2, r.top + r.height / 2]; \
            if (r.width === 0 || y < 0 || y > window.innerHeight) continue; \
            const top = document.elementFromPoint(x, y); \
            if (top !== e && !e.contains(top)) covered.push(`${e.innerText} by ${top?.tagName} ${top?.id || top?.className}`); \
        } return covered";
    words(phone, script).await
}

async fn words(phone: &Phone, script: &str) -> Vec<String> {
    let found = phone.js(script, vec![]).await;
    serde_json::from_value(found).expect("a list of words")
}

/// Controls whose touch area is under 48 by 48 CSS pixels, in words.
pub async fn small_targets(phone: &Phone) -> Vec<String> {
    let script = "const small = []; \
        for (const e of document.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button]')) { \
            const target = (e.matches('input[type=checkbox], input[type=radio], input[type=file]') && e.closest('label')) || e; \
            const r = target.getBoundingClientRect(); \
            if (r.width === 0 || r.height === 0 || getComputedStyle(e).visibility === 'hidden') continue; \
            if (r.height < 47.5 || r.width < 47.5) small.push(`${e.tagName} ${e.id || e.innerText.slice(0, 30)} ${r.width.toFixed()}x${r.height.toFixed()}`); \
        } return small";
    words(phone, script).await
}
