//! The list of jobs. Ids: `new-job`, `import-file` (a file input), `jobs` (the list), `no-jobs`
//! (what stands there instead); `rest` (how the rest of the app stands); `backup-due`,
//! `room-short`, `open-moulds`, `open-backup`; parts/find.rs has those of the search.

use crate::app::parts::drawings::{self, Drawing, Drawn};
use crate::app::parts::find::Find;
use crate::app::parts::shown::{Shown, keyed};
use crate::app::purpose::JOBS;
use crate::app::record::{self, ImportOffer};
use crate::app::route::Route;
use crate::app::state::{Desk, use_desk};
use crate::job::{JobId, Line, Stage};
use crate::phone;
use crate::phone::file;
use crate::phone::room::Room;
use crate::phone::update::Rest;
use crate::words::tr;
use leptos::prelude::*;

/// The list of jobs.
#[component]
pub fn Jobs() -> impl IntoView {
    let desk = use_desk();
    let empty = Memo::new(move |_| desk.lines.with(Vec::is_empty) && desk.jobs.with(Vec::is_empty));
    let find = Find::new(desk);
    let offer = RwSignal::new(None);
    let asked = RwSignal::new_local(None);
    Effect::new(move |_| {
        if desk.ready.get()
            && asked.with(Option::is_some)
            && let Some(asked) = asked.write().take()
        {
            match asked {
                Asked::New => desk.add_job(desk.new_job()),
                Asked::Import(file) => record::read(desk, file, offer),
            }
        }
    });
    view! {
        <ImportOffer desk offer />
        <Show when=move || empty.get()>
            <Empty />
        </Show>
        <p class="purpose" hidden=empty>
            {tr(JOBS)}
        </p>
        {due(desk)}
        {find.fields()}
        {move || find.many().then(|| ways(desk, empty))}
        <ul id="jobs" class="list" hidden=empty data-read=move || desk.ready.get()>
            {keyed(move || find.drawn(), move |id| one(desk, find, id))}
        </ul>
        {find.more()}
        {move || (!find.many()).then(|| ways(desk, empty))}
        <div id="rest" role="status">
            {move || {
                let opens = asked.with(Option::is_some) && !desk.ready.get();
                let said = if opens { Some(tr("Opening your jobs …")) } else { rest(desk) };
                said.map(|said| view! { <p class="soft">{said}</p> })
            }}
        </div>
        <div class="bar">
            <label class="button file">
                <input
                    id="import-file"
                    type="file"
                    accept=".zip,application/zip"
                    on:change=move |event| asked.set(file::chosen(&event).map(Asked::Import))
                />
                {tr("Import a job")}
            </label>
            <button id="new-job" class="main" on:click=move |_| asked.set(Some(Asked::New))>
                {tr("New job")}
            </button>
        </div>
    }
}

/// What is asked for here; the jobs may still have to be opened.
enum Asked {
    /// A job that is ready for its first piece.
    New,
    /// What is in a file.
    Import(web_sys::File),
}

/// How the rest of the app stands.
fn rest(desk: Desk) -> Option<&'static str> {
    Some(match desk.rest.get()? {
        Rest::Waits => tr(
            "Peelcast is not all on this phone yet. Touch the screen once while there is a network: the rest comes then.",
        ),
        Rest::Comes => tr("The rest of Peelcast is coming to this phone …"),
        Rest::Here => tr("All of Peelcast is on this phone now: it works without a network."),
        Rest::Lacks => tr(
            "A part of Peelcast is not on this phone yet. Open it again where there is a network, before you go where there is none.",
        ),
    })
}

/// That a backup is due, or that room runs out.
fn due(desk: Desk) -> AnyView {
    let short = move || {
        let said = desk.room.with(Room::sentence);
        said.map(|said| view! { <p id="room-short" class="wait">{said}</p> })
    };
    let said = move || {
        let now = phone::now();
        let said = |lines: &Vec<Line>| {
            desk.backups.with(|backups| {
                backups
                    .is_due(lines, now)
                    .then(|| backups.sentence(lines, now))
            })
        };
        desk.lines.with(said).map(|said| {
            view! {
                <p id="backup-due" class="note">
                    {said}
                </p>
            }
        })
    };
    (short, said).into_any()
}

/// The ways to what all jobs have together.
fn ways(desk: Desk, empty: Memo<bool>) -> AnyView {
    let moulded = Memo::new(move |_| {
        let finished = |line: &Line| line.pieces.iter().any(|(_, stage)| *stage == Stage::Cast);
        desk.lines.with(|lines| lines.iter().any(finished))
    });
    view! {
        <div class="row fill" hidden=move || empty.get() && desk.unread.with(Vec::is_empty)>
            <a
                id="open-moulds"
                class="button"
                hidden=move || !moulded.get()
                href=Route::Moulds.to_string()
            >
                {tr("Finished moulds")}
            </a>
            <a id="open-backup" class="button" href=Route::Backup.to_string()>
                {tr("Backup")}
            </a>
        </div>
    }
    .into_any()
}

/// A job's line, drawn anew when the job changes.
fn one(desk: Desk, find: Find, id: JobId) -> AnyView {
    let line = find.line(id);
    (move || line.get().map(|line| drawn(desk, line))).into_any()
}

fn drawn(desk: Desk, line: Line) -> AnyView {
    let address = Route::Job(line.id.clone()).to_string();
    let made_up = line
        .made_up
        .then(|| view! { <span class="tag">{tr("Sample, made up")}</span> }.into_any());
    let place = (!line.place.is_empty())
        .then(|| view! { <span class="soft">{line.place}</span> }.into_any());
    // What is being coated goes by the clock.
    let coated = line.pieces.iter().any(|(_, stage)| *stage == Stage::Coat);
    let state = move || {
        let job = (coated && desk.ready.get()).then(|| desk.job_now(&line.id));
        match job.flatten().zip(desk.ledger()) {
            Some((job, ledger)) => (ledger.standing)(desk, &job),
            None => {
                let words = line
                    .standing
                    .iter()
                    .map(|words| view! { <span>{words.clone()}</span> });
                view! { <span class="lines">{words.shown()}</span> }.into_any()
            }
        }
    };
    view! {
        <li>
            <a href=address>
                <span class="lines">
                    <strong>{line.name}</strong>
                    {place}
                    {state}
                    {made_up}
                </span>
            </a>
        </li>
    }
    .into_any()
}

/// What stands there before the first job: what the app does, in the order of the work.
#[component]
fn Empty() -> impl IntoView {
    let steps: [(&Drawing, &str, &str); 5] = [
        (
            &drawings::CARD,
            tr("Measure"),
            tr(
                "Photograph the ornament with a bank card, a sheet of paper, a square or a rule on the same wall, and trace it.",
            ),
        ),
        (
            &drawings::COATS,
            tr("Plan"),
            tr("See how much paste each coat takes, and how sure that is."),
        ),
        (&drawings::BAG, tr("Pack"), tr("Tick off what to bring.")),
        (
            &drawings::BRUSH,
            tr("Coat"),
            tr("Let the app time mixing, brushing and waiting, at the wall's own temperature."),
        ),
        (
            &drawings::CAST,
            tr("Cast"),
            tr("See how much to mix for each copy, and whether the skin stands its heat."),
        ),
    ];
    let one = |(what, verb, sentence)| {
        view! {
            <li class="row">
                <Drawn what />
                <span class="lines">
                    <strong>{verb}</strong>
                    <span>{sentence}</span>
                </span>
            </li>
        }
    };
    view! {
        <section id="no-jobs">
            <p>
                {tr("A job is one place with ornament fixed in it. It holds the pieces you want to copy, each with its photo, its plan and its coats. Everything stays on this phone.")}
            </p>
            <ol class="list steps">{steps.map(one).into_iter().shown()}</ol>
            <p>{tr("Tap “New job” to begin. The sample job can be brought back in the settings.")}</p>
        </section>
    }
}
