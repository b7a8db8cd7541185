//! Jobs into one file: a backup of all, or some to hand on.
//!
//! Ids: `backup-age`, `backup-jobs` (the list), `choose-all`, `choose-none`, `backup-export`,
//! `backup-share`, `keep-traces`, `no-backup`; parts/find.rs has those of the search.

use crate::app::parts::find::Find;
use crate::app::parts::form::tick;
use crate::app::parts::missing::missing as nothing;
use crate::app::parts::shown::keyed;
use crate::app::parts::unread::UnreadJobs;
use crate::app::record;
use crate::app::route::Route;
use crate::app::state::{Desk, use_desk};
use crate::job::bundle::Traces;
use crate::job::{JobId, Line};
use crate::phone;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;
use std::collections::BTreeSet;

/// The Backup page.
#[component]
pub fn BackupPage() -> impl IntoView {
    let desk = use_desk();
    let find = Find::new(desk);
    // At first what is in no backup as it is now; all, where nothing is missing.
    let missing: BTreeSet<JobId> = desk.lines.with_untracked(|lines| {
        let missing = |backups: &crate::job::Backups| {
            let ids = backups.missing(lines).map(|line| line.id.clone());
            ids.collect::<BTreeSet<_>>()
        };
        let missing = desk.backups.with_untracked(missing);
        match missing.is_empty() {
            true => lines.iter().map(|line| line.id.clone()).collect(),
            false => missing,
        }
    });
    let chosen = RwSignal::new(missing);
    let age = move || {
        desk.lines.with(|lines| {
            desk.backups
                .with(|backups| backups.sentence(lines, phone::now()))
        })
    };
    let of_these = move || match chosen.with(BTreeSet::len) {
        0 => tr("no job").to_owned(),
        1 => tr("1 job").to_owned(),
        many => say!("{many} jobs", many),
    };
    let kept = RwSignal::new(false);
    let traces = move || match kept.get_untracked() {
        true => Traces::Kept,
        false => Traces::Removed,
    };
    let traces_kept = view! {
        <span class="lines">
            {tr("Photos keep place, time and camera")}
            <small>{tr("Else what they tell of these is taken out of the copies in the file.")}</small>
        </span>
    };
    let none = move || chosen.with(BTreeSet::is_empty);
    let ids = move || chosen.get_untracked().into_iter().collect::<Vec<_>>();
    let all = move |_| chosen.set(find.found.get_untracked().into_iter().collect());
    let can_share = phone::file::can_share();
    view! {
        <p id="backup-age">{age}</p>
        <Show when=move || desk.lines.with(Vec::is_empty)>
            {nothing(
                "no-backup",
                tr("No job is here yet."),
                tr("Your jobs stand here to be chosen for a file, once there are some.").into(),
                Some((Route::Jobs.to_string(), tr("See all jobs"))),
            )}
        </Show>
        <UnreadJobs />
        <p class="hint">
            {tr("Import the file here or on another phone when you need it. The jobs here stay as they are.")}
        </p>
        {find.fields()}
        <div class="row fill">
            <button id="choose-all" on:click=all>
                {tr("All of these")}
            </button>
            <button id="choose-none" on:click=move |_| chosen.set(BTreeSet::new())>
                {tr("None")}
            </button>
        </div>
        <ul id="backup-jobs" class="list plain">
            {keyed(move || find.drawn(), move |id| one(desk, find, chosen, id))}
        </ul>
        {find.more()}
        <div class="field">
            {tick("keep-traces", traces_kept.into_any(), kept.into(), move |on| kept.set(on))}
        </div>
        <div class="bar">
            <button
                id="backup-share"
                hidden=!can_share
                disabled=none
                on:click=move |_| record::share(desk, ids(), traces())
            >
                {move || say!("Share {of_these}", of_these = of_these())}
            </button>
            <button
                id="backup-export"
                class="main"
                disabled=none
                on:click=move |_| record::export(desk, ids(), traces())
            >
                {move || say!("Export {of_these}", of_these = of_these())}
            </button>
        </div>
    }
}

fn one(desk: Desk, find: Find, chosen: RwSignal<BTreeSet<JobId>>, id: JobId) -> AnyView {
    let line = find.line(id.clone());
    let held = id.clone();
    let is = Signal::derive(move || chosen.with(|chosen| chosen.contains(&held)));
    let name = format!("backup-{id}");
    let choose = move |yes| {
        chosen.update(|chosen| {
            match yes {
                true => chosen.insert(id.clone()),
                false => chosen.remove(&id),
            };
        });
    };
    let words = move || {
        line.get().map(|line| {
            let missing = desk.backups.with(|backups| {
                backups
                    .missing(std::slice::from_ref(&line))
                    .next()
                    .is_some()
            });
            let state = match missing {
                true => tr("Not in a backup as it is now"),
                false => tr("In a backup as it is now"),
            };
            let state = if line.made_up {
                tr("Sample, made up")
            } else {
                state
            };
            let Line { name, place, .. } = line;
            view! {
                <span class="lines">
                    <strong>{name}</strong>
                    <small hidden=place.is_empty()>{place.clone()}</small>
                    <small>{state}</small>
                </span>
            }
        })
    };
    view! { <li>{tick(name, words.into_any(), is, choose)}</li> }.into_any()
}
