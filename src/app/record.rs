//! A job's way out of the phone and into it: export, share, import, and the sample.

use super::parts::standing;
use super::route::Route;
use super::state::Desk;
use crate::app::parts::shown::Shown;
use crate::job::bundle::{self, Bundle, ImportPlan, Packed, Photo, Traces};
use crate::job::{Job, JobId, Line, Piece, SAMPLE_PHOTO, sample_job};
use crate::phone::file::{self, Outgoing, Shared};
use crate::phone::{self, photos, room};
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// Saves jobs with their photos to a file among the phone's downloads.
pub fn export(desk: Desk, ids: Vec<JobId>, traces: Traces) {
    with_file(desk, ids, traces, async move |file| {
        if file::download(&file).is_err() {
            desk.warn(
                tr("The phone did not take the file. The jobs are safe here. Try again, or share the file instead."),
            );
            return false;
        }
        desk.tell(say!("{name} is among your downloads.", name = file.name));
        true
    });
}

/// Hands jobs with their photos to another app.
pub fn share(desk: Desk, ids: Vec<JobId>, traces: Traces) {
    with_file(desk, ids, traces, async move |file| {
        match file::share(&file).await {
            Shared::Taken => return true,
            Shared::Cancelled => {}
            Shared::TooLate => desk.warn(
                tr("Reading the photos took the phone too long to open the list of apps. Tap “Share the file” once more, or use “Export to a file”."),
            ),
            Shared::CannotShare => desk.warn(
                tr("This phone cannot share a file of this kind or size. Use “Export to a file” and send that file."),
            ),
        }
        false
    });
}

/// Saves a table of a job, the bag's or the log's, among the phone's downloads.
pub fn save_table(desk: Desk, id: &JobId, what: &str, table: fn(&Job) -> String) {
    let Some(job) = desk.job_now(id) else { return };
    let name = bundle::file_name(std::slice::from_ref(&job), phone::today());
    let file = Outgoing {
        name: format!("{}.{what}.csv", name.trim_end_matches(bundle::FILE_END)),
        kind: "text/csv",
        bytes: table(&job).into_bytes(),
    };
    match file::download(&file) {
        Ok(()) => desk.tell(say!("{name} is among your downloads.", name = file.name)),
        Err(_) => desk.warn(tr("The phone did not take the file. Try again.")),
    }
}

/// Packs jobs and their photos, then goes on with the file; that tells whether it left the app.
fn with_file(
    desk: Desk,
    ids: Vec<JobId>,
    traces: Traces,
    go_on: impl AsyncFnOnce(Outgoing) -> bool + 'static,
) {
    let jobs: Vec<Job> = ids.iter().filter_map(|id| desk.job_now(id)).collect();
    if jobs.is_empty() {
        return;
    }
    spawn_local(async move {
        let Some(photos) = photos_of(desk, &jobs).await else {
            return;
        };
        let name = bundle::file_name(&jobs, phone::today());
        match bundle::pack(&jobs, &photos, traces, phone::now()) {
            Ok(Packed { bytes, notes }) => {
                // A job whose photo is left out is not safe in it.
                let whole = notes.is_empty();
                notes.into_iter().for_each(|note| desk.warn(note));
                let kind = "application/zip";
                if go_on(Outgoing { name, kind, bytes }).await && whole {
                    desk.backed_up(&jobs);
                }
            }
            Err(why) => desk.warn(why.to_string()),
        }
    });
}

/// The bytes of all photos; nothing, and said so, where they are too many for one file.
async fn photos_of(desk: Desk, jobs: &[Job]) -> Option<Vec<Photo>> {
    let pieces = jobs.iter().flat_map(|job| &job.pieces);
    let mut found = Vec::new();
    let mut whole = 0.0;
    for photo in pieces.flat_map(Piece::photos) {
        match photos::bytes(&photo.id).await {
            Ok(Some(blob)) => {
                whole += blob.size();
                found.push((photo, blob));
            }
            _ => missing(desk, &photo.name),
        }
    }
    // Before they are all in memory.
    if whole > bundle::MOST_BYTES as f64 {
        desk.warn(say!(
            "The photos of these jobs are {all} MB, and one file takes {most} MB. Choose \
             fewer jobs, and make several files.",
            all = show::fixed(whole / 1e6, 0),
            most = bundle::MOST_BYTES / 1_000_000
        ));
        return None;
    }
    let mut read = Vec::new();
    for (photo, blob) in found {
        match file::bytes(&blob).await {
            Ok(bytes) => read.push(Photo {
                id: photo.id.clone(),
                bytes,
            }),
            Err(_) => missing(desk, &photo.name),
        }
    }
    Some(read)
}

fn missing(desk: Desk, name: &str) {
    desk.warn(say!(
        "The photo “{name}” is not on this phone or cannot be read, so the file goes without \
         it. Marks and measures are in it.",
        name
    ));
}

/// Looks how much room is left, and says so where a few photos would fill it.
pub async fn mind_room(desk: Desk) {
    desk.room.set(room::room().await);
}

/// A file that was read and waits for the user's word.
#[derive(Clone)]
pub struct Offer {
    bundle: Arc<Bundle>,
    plan: Arc<ImportPlan>,
    new_photos: usize,
}

/// Reads a file that the user chose and offers what is in it.
pub fn read(desk: Desk, file: web_sys::File, offer: RwSignal<Option<Offer>>) {
    if let Some(ledger) = desk.ledger() {
        spawn_local((ledger.read_file)(desk, file, offer));
    }
}

/// The same with a file at hand.
pub async fn read_file(desk: Desk, file: web_sys::File, offer: RwSignal<Option<Offer>>) {
    let Ok(bytes) = file::bytes(&file).await else {
        desk.warn(
                tr("The phone could not read this file. Nothing was changed. If it lies in a cloud folder, save it on the phone first, then import it again."),
            );
        return;
    };
    match bundle::unpack(&bytes) {
        Ok(bundle) => {
            let mut new_photos = 0;
            for photo in &bundle.photos {
                new_photos += usize::from(!photos::has(&photo.id).await);
            }
            let plan = desk
                .jobs
                .with_untracked(|here| ImportPlan::of(&bundle, here));
            offer.try_set(Some(Offer {
                bundle: bundle.into(),
                plan: plan.into(),
                new_photos,
            }));
        }
        Err(why) => desk.warn(why.to_string()),
    }
}

/// What is in a file and what will become of it, with the user's yes or no.
///
/// Ids: `import-plan`, `import-yes`, `import-no`.
#[component]
pub fn ImportOffer(desk: Desk, offer: RwSignal<Option<Offer>>) -> impl IntoView {
    move || {
        let found = offer.get()?;
        Some((desk.ledger()?.offered)(desk, offer, found))
    }
}

/// The offer as it is shown.
pub fn offered(desk: Desk, offer: RwSignal<Option<Offer>>, found: Offer) -> AnyView {
    let lines = found.plan.entries.iter().map(|entry| {
        view! {
            <li class="lines">
                <strong>{entry.name.clone()}</strong>
                <span>{entry.sentence()}</span>
            </li>
        }
    });
    let notes = found
        .bundle
        .notes
        .iter()
        .map(|note| view! { <p>{note.clone()}</p> }.into_any());
    let (added, changed, _) = found.plan.counts();
    let photos = (found.new_photos > 0).then(|| {
        let photos = match found.new_photos {
            1 => tr("1 photo").to_owned(),
            many => say!("{many} photos", many),
        };
        view! { <p>{say!("{photos} in the file will be stored on this phone.", photos)}</p> }
    });
    let yes = (added + changed + found.new_photos > 0).then(|| {
        let found = found.clone();
        let take = move |_| {
            offer.set(None);
            spawn_local(take_in(desk, found.clone()));
        };
        view! {
            <button id="import-yes" class="main" on:click=take>
                {tr("Import")}
            </button>
        }
    });
    view! {
        <section id="import-plan" class="card" aria-label=tr("Import")>
            <h2>{tr("In this file")}</h2>
            <ul class="list">{lines.shown()}</ul>
            {photos}
            {notes.shown()}
            <div class="row fill">
                {yes}
                <button id="import-no" on:click=move |_| offer.set(None)>
                    {tr("Close")}
                </button>
            </div>
        </section>
    }
    .into_any()
}

/// Stores the photos first, then the jobs: a job never names a photo that did not get in.
async fn take_in(desk: Desk, found: Offer) {
    for photo in &found.bundle.photos {
        if photos::has(&photo.id).await {
            continue;
        }
        let kept = match file::blob(&photo.bytes) {
            Ok(blob) => photos::keep(&photo.id, &blob).await,
            Err(why) => Err(why.into()),
        };
        if let Err(why) = kept {
            desk.warn(say!("The jobs were not imported. {why}", why));
            return;
        }
    }
    for job in found.plan.take(&found.bundle) {
        desk.import_job(job.clone());
    }
    if found.plan.take(&found.bundle).is_empty() {
        desk.tell(tr("The photos of this file are on this phone again."));
    }
}

/// Puts the sample job and its photo on this phone, or opens it where it is here already.
pub async fn add_sample(desk: Desk) {
    let job = sample_job(phone::now());
    if desk.job_now(&job.id).is_none() {
        keep_sample_photo(desk, &job).await;
        desk.tell(say!("{job} is here again.", job = standing::job_name(&job)));
        desk.add_job(job);
    } else {
        desk.go(&Route::Job(job.id));
    }
}

/// The sample of a phone that has never seen a job.
pub async fn add_first_sample(desk: Desk) {
    let job = sample_job(phone::now());
    // What it says is known: a first start plans nothing.
    desk.lines.set(vec![Line::of_new_sample(&job)]);
    keep_sample_photo(desk, &job).await;
    desk.put_first_job(job).await;
}

async fn keep_sample_photo(desk: Desk, job: &Job) {
    for photo in job.pieces.iter().flat_map(Piece::photos) {
        let kept = match file::own(SAMPLE_PHOTO).await {
            Ok(blob) => photos::keep(&photo.id, &blob).await,
            Err(why) => Err(why.into()),
        };
        if kept.is_err() {
            desk.warn(
                tr("The sample's photo could not be stored; the rest of the sample works. Bring the sample back from the settings to try again."),
            );
        }
    }
}
