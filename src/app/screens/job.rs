//! One job: its pieces, whose it is, leave to mould, and its record.
//!
//! Ids: `pieces` (the list), `removed`, `add-piece`, `open-day`, `job-name`, `job-place`, `job-date`, `job-contact`,
//! `job-note`, `permission-granted`, `permission-by`, `permission-on`, `permission-note`,
//! `export-job`, `share-job`, `open-sheet`, `kit-table`, `log-table`, `delete-job`.

use crate::app::parts::form::{Day, Tick, Words};
use crate::app::parts::shown::{Shown, keyed};
use crate::app::parts::standing;
use crate::app::record;
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::job::bundle::Traces;
use crate::job::table;
use crate::job::{BIN_DAYS, Job, JobId, Piece, PieceId, Removed, Stage};
use crate::phone;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// One job.
#[component]
pub fn JobPage(
    /// Which.
    job: JobId,
) -> impl IntoView {
    let desk = use_desk();
    let record = desk.job(&job);
    let id = StoredValue::new(job);
    let add = move |_| {
        let count = record.with(|job| job.as_ref().map_or(0, |job| job.pieces.len()));
        let piece = desk.new_piece(count);
        let place = Route::Details(id.get_value(), piece.id.clone());
        desk.update_and_open(&id.get_value(), tr("Piece added"), place, move |job| {
            job.pieces.push(piece);
        });
    };
    let pieces = Memo::new(move |_| {
        let ids = |job: &Job| job.pieces.iter().map(|piece| piece.id.clone()).collect();
        record.with(|job| job.as_ref().map_or_else(Vec::new, ids))
    });
    let no_pieces = Memo::new(move |_| pieces.with(Vec::is_empty));
    let made_up = move || record.with(|job| job.as_ref().is_some_and(|job| job.made_up));
    view! {
        <p class="note" hidden=move || !made_up()>
            {tr("This is the sample. Its place, its ornament and its photo are made up; try everything on it. Delete it when you like: the settings bring it back.")}
        </p>
        <h2>{tr("Pieces")}</h2>
        <p class="soft" hidden=move || !no_pieces.get()>
            {tr("A piece is one ornament to copy, such as a rosette or a length of moulding. Add the first one; you then photograph and measure it.")}
        </p>
        <ul id="pieces" class="list" hidden=no_pieces>
            {move || pieces.get().into_iter().map(|piece| one(id, piece)).shown()}
        </ul>
        {removed(id)}
        <button id="add-piece" class="main wide" on:click=add>
            {tr("Add a piece")}
        </button>
        <a
            id="open-day"
            class="button wide"
            hidden=no_pieces
            href=Route::Day(id.get_value()).to_string()
        >
            {tr("The day on site")}
        </a>
        <About id />
        <Leave id />
        <Record id />
    }
}

/// The pieces that were taken out, each with a way back.
fn removed(id: StoredValue<JobId>) -> AnyView {
    let desk = use_desk();
    let all = read(id, |job| {
        let one = |removed: &Removed| (removed.piece.id.clone(), removed.piece.title().to_owned());
        job.removed.iter().map(one).collect::<Vec<_>>()
    });
    let none = move || all.with(Vec::is_empty);
    // Before its first piece a job has nothing to delete.
    let fresh = read(id, |job| job.pieces.is_empty());
    let one = move |(piece, name): (PieceId, String)| {
        let back = move |_| {
            let piece = piece.clone();
            let what = tr("Piece brought back");
            desk.update(&id.get_value(), what, move |job| job.bring_back(&piece));
        };
        view! {
            <li class="row">
                <span class="grow">{name}</span>
                <button on:click=back>{tr("Bring back")}</button>
            </li>
        }
        .into_any()
    };
    view! {
        <details id="removed" hidden=move || none() && fresh.get()>
            <summary>{tr("Deleted pieces")}</summary>
            <p class="hint">
                {move || match none() {
                    true => say!("None. A piece that you delete on its Details page stands here for {BIN_DAYS} days, with the way to bring it back.", BIN_DAYS),
                    false => say!("They are kept for {BIN_DAYS} days.", BIN_DAYS),
                }}
            </p>
            <ul class="list">{keyed(move || all.get(), one)}</ul>
        </details>
    }
    .into_any()
}

/// A piece's line, drawn anew when the piece changes.
fn one(job: StoredValue<JobId>, piece: PieceId) -> AnyView {
    let desk = use_desk();
    let piece = desk.piece(&job.get_value(), &piece);
    (move || {
        piece
            .get()
            .map(|piece| line(desk, &job.get_value(), &piece))
    })
    .into_any()
}

fn line(desk: Desk, job: &JobId, piece: &Piece) -> AnyView {
    let stage = piece.stage();
    let page = match stage {
        Stage::Measure => Page::Measure,
        Stage::Plan => Page::Plan,
        Stage::Pack => Page::Pack,
        Stage::Coat => Page::Coat,
        Stage::Cast => Page::Cast,
    };
    let work = Route::Piece(job.clone(), piece.id.clone(), page);
    let details = Route::Details(job.clone(), piece.id.clone());
    let name = standing::piece_name(piece);
    view! {
        <li class="row">
            <a class="grow" href=work.to_string()>
                <span class="lines">
                    <strong>{name.clone()}</strong>
                    <span>{standing::of_piece(desk, job, piece, stage)}</span>
                </span>
            </a>
            <a class="button" href=details.to_string() aria-label=say!("Details of {name}", name)>
                {tr("Details")}
            </a>
        </li>
    }
    .into_any()
}

/// Reads one thing of the job as it is stored.
fn read<T: Clone + Default + PartialEq + Send + Sync + 'static>(
    id: StoredValue<JobId>,
    part: fn(&Job) -> T,
) -> Memo<T> {
    let desk = use_desk();
    Memo::new(move |_| {
        desk.jobs.with(|jobs| {
            let job = id.with_value(|id| jobs.iter().find(|job| job.id == *id));
            job.map(part).unwrap_or_default()
        })
    })
}

/// Stores one thing of the job.
fn keep<T: Send + Sync + 'static>(
    id: StoredValue<JobId>,
    what: &'static str,
    part: fn(&mut Job, T),
) -> impl Fn(T) + Copy + 'static {
    let desk = use_desk();
    move |value| desk.update(&id.get_value(), what, move |job| part(job, value))
}

/// Name, place, date, contact, note; folded away once the place is known.
#[component]
fn About(id: StoredValue<JobId>) -> impl IntoView {
    let place = read(id, |job| job.place.clone());
    let known = !place.get_untracked().is_empty();
    let said = move || match place.get().as_str() {
        "" => tr("About this job").into(),
        place => say!("About this job: {place}", place),
    };
    view! {
        <details class="fold" open=!known>
            <summary>
                <h2>{said}</h2>
            </summary>
            <Words
                id="job-name"
                label=tr("Name")
                value=read(id, |job| job.name.clone())
                store=keep(id, tr("Name changed"), |job, text| job.name = text)
            />
            <Words
                id="job-place"
                label=tr("Place")
                hint=tr("Where the ornament is, so that you find it again.")
                value=place
                store=keep(id, tr("Place changed"), |job, text| job.place = text)
            />
            <Day
                id="job-date"
                label=tr("Date")
                value=read(id, |job| job.date)
                store=keep(id, tr("Date changed"), |job, day| job.date = day)
            />
            <Words
                id="job-contact"
                label=tr("Contact")
                hint=tr("Who lets you in, and their number.")
                value=read(id, |job| job.contact.clone())
                store=keep(id, tr("Contact changed"), |job, text| job.contact = text)
            />
            <Words
                id="job-note"
                long=true
                label=tr("Note")
                value=read(id, |job| job.note.clone())
                store=keep(id, tr("Note changed"), |job, text| job.note = text)
            />
        </details>
    }
}

/// Leave to take a mould; folded away once it is given.
#[component]
fn Leave(id: StoredValue<JobId>) -> impl IntoView {
    let granted = read(id, |job| job.permission.granted);
    let by = read(id, |job| job.permission.by.clone());
    let said = move || match (granted.get(), by.get().as_str()) {
        (false, _) => tr("Permission to mould: not written down").into(),
        (true, "") => tr("Permission to mould: given").into(),
        (true, by) => say!("Permission to mould: given by {by}", by),
    };
    view! {
        <details class="fold" open=!granted.get_untracked()>
            <summary>
                <h2>{said}</h2>
            </summary>
            <p>
                {tr("Ask whoever owns the ornament before you touch it, and on a listed or protected building the conservation officer too. Whether copies may be made or sold is a question of its own; this app cannot answer it.")}
            </p>
            <Tick
                id="permission-granted"
                label=tr("Permission was given")
                value=granted
                store=keep(id, tr("Permission changed"), |job, given| job.permission.granted = given)
            />
            <Words
                id="permission-by"
                label=tr("Who gave it")
                value=by
                store=keep(id, tr("Permission changed"), |job, text| job.permission.by = text)
            />
            <Day
                id="permission-on"
                label=tr("When")
                value=read(id, |job| job.permission.on)
                store=keep(id, tr("Permission changed"), |job, day| job.permission.on = day)
            />
            <Words
                id="permission-note"
                long=true
                label=tr("Conditions")
                hint=tr("What was agreed: which part, what traces must not stay, who is to be told.")
                value=read(id, |job| job.permission.note.clone())
                store=keep(id, tr("Permission changed"), |job, text| job.permission.note = text)
            />
        </details>
    }
}

/// Export, share, sheet, delete.
#[component]
fn Record(id: StoredValue<JobId>) -> impl IntoView {
    let desk = use_desk();
    let export = move |_| record::export(desk, vec![id.get_value()], Traces::Removed);
    let share = move |_| record::share(desk, vec![id.get_value()], Traces::Removed);
    let can_share = phone::file::can_share();
    let save = move |what: &str, of: fn(&Job) -> String| {
        record::save_table(desk, &id.get_value(), what, of);
    };
    let delete = move |_| {
        let id = id.get_value();
        if let Some(job) = desk.job_now(&id) {
            desk.delete_job(&id, &standing::job_name(&job));
        }
    };
    view! {
        <h2>{tr("Record")}</h2>
        <p>
            {tr("The export is one file with everything of this job, photos included; what they tell of place, time and camera stays here. Keep a copy away from this phone; import it here or on another one.")}
        </p>
        <div class="row fill">
            <button id="export-job" on:click=export>
                {tr("Export to a file")}
            </button>
            <button id="share-job" hidden=!can_share on:click=share>
                {tr("Share the file")}
            </button>
            <a id="open-sheet" class="button" href=Route::Sheet(id.get_value()).to_string()>
                {tr("Job sheet to print")}
            </a>
            <button id="kit-table" on:click=move |_| save("kit", table::kit_csv)>
                {tr("The bag as a table")}
            </button>
            <button id="log-table" on:click=move |_| save("log", table::log_csv)>
                {tr("The log as a table")}
            </button>
        </div>
        <hr />
        <button id="delete-job" class="remove wide" on:click=delete>
            {tr("Delete this job")}
        </button>
    }
}
