//! What is poured now, and what was cast in the mould so far.
//!
//! Ids: `no-casts`, `pour`, `pour-countdown`, `pour-until`, `pour-alarm`, `pour-out`, `pour-forget`; `cast-log`
//! (the list), `log-copies`, `defect-...` with the defects' names, `log-worn`, `log-note`, `log-add`.

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::form::{Tick, said, tick};
use crate::app::parts::shown::{Shown, keyed};
use crate::app::screens::coat::countdown;
use crate::casting::{CastEntry, Defect, check_copies};
use crate::job::Piece;
use crate::phone::{self, time};
use crate::quantity::parse;
use crate::words::tr;
use leptos::prelude::*;
use std::collections::BTreeSet;

/// The pour and the log, once a medium is chosen.
pub fn log(bench: Bench) -> AnyView {
    let chosen = Memo::new(move |_| bench.read(|piece| piece.medium.is_some()));
    view! {
        <section hidden=move || !chosen.get()>
            <h2>{tr("Casting")}</h2>
            {pour(bench)}
            <Form bench />
            {entries(bench)}
        </section>
    }
    .into_any()
}

/// The countdown of what sets, or the button that starts it.
fn pour(bench: Bench) -> AnyView {
    let due = Memo::new(move |_| bench.read(Piece::copy_due));
    let start = move |_| {
        let now = phone::now();
        bench.change(tr("Poured"), move |piece| piece.mould.poured = Some(now));
    };
    let out = move |_| {
        let now = phone::now();
        bench.change_and_tell(tr("One copy is out and in the log"), move |piece| {
            piece.mould.poured = None;
            let entry = of_now(piece, now);
            piece.casts.push(entry);
        });
    };
    let forget = move |_| {
        bench.change_and_tell(tr("Pour taken back"), |piece| piece.mould.poured = None);
    };
    let shown = move || match due.get() {
        None => view! {
            <button id="pour" class="main wide" on:click=start>
                {tr("It is poured: count its time")}
            </button>
        }
        .into_any(),
        Some(due) => {
            let now = bench.desk.now;
            view! {
                {countdown::face(due, now.into(), "pour")}
                {countdown::alarm(&due, now.get_untracked(), "pour")}
                <div class="row fill">
                    <button id="pour-out" class="main" on:click=out>
                        {tr("The copy is out")}
                    </button>
                    <button id="pour-forget" class="remove" on:click=forget>
                        {tr("Take the pour back")}
                    </button>
                </div>
            }
            .into_any()
        }
    };
    shown.into_any()
}

/// One sound copy of what is cast now.
fn of_now(piece: &Piece, at: chrono::DateTime<chrono::Utc>) -> CastEntry {
    let entry = CastEntry {
        at,
        copies: 1,
        ..CastEntry::default()
    };
    match &piece.medium {
        None => entry,
        Some(medium) => CastEntry {
            medium: medium.name.clone(),
            family: medium.family,
            food: medium.food,
            ..entry
        },
    }
}

/// Writes down copies and what was wrong with them.
#[component]
fn Form(bench: Bench) -> impl IntoView {
    let copies = Blank::new("1".into());
    let note = Blank::new(String::new());
    let defects = RwSignal::new(BTreeSet::<usize>::new());
    let worn = RwSignal::new(false);
    let add = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let Some(count) = copies.read(parse::number) else {
            return;
        };
        if let Err(why) = check_copies(count) {
            return copies.error.set(Some(why.to_string()));
        }
        let (found, done) = (defects.get_untracked(), worn.get_untracked());
        let words = note.text.get_untracked().trim().to_owned();
        let now = phone::now();
        bench.change_and_tell(tr("Copies in the log"), move |piece| {
            let all = Defect::ALL.into_iter().enumerate();
            let entry = CastEntry {
                copies: count as u32,
                defects: all
                    .filter(|(n, _)| found.contains(n))
                    .map(|(_, d)| d)
                    .collect(),
                worn_out: done,
                note: words,
                ..of_now(piece, now)
            };
            piece.casts.push(entry);
        });
        copies.text.set("1".into());
        note.text.set(String::new());
        defects.set(BTreeSet::new());
        worn.set(false);
    };
    let one = move |(n, defect): (usize, Defect)| {
        let choose = move |yes| {
            defects.update(|defects| {
                match yes {
                    true => defects.insert(n),
                    false => defects.remove(&n),
                };
            });
        };
        let seen = Signal::derive(move || defects.with(|defects| defects.contains(&n)));
        let words = said(countdown::capital(defect.name()));
        tick(format!("defect-{n}"), words, seen, choose)
    };
    view! {
        <details id="cast-add">
            <summary>{tr("Write down copies and defects")}</summary>
            <form novalidate on:submit=add>
                {blank("log-copies", tr("Copies"), "", "decimal", copies)}
                <fieldset>
                    <legend>{tr("What was wrong")}</legend>
                    <div class="pair">{Defect::ALL.into_iter().enumerate().map(one).shown()}</div>
                </fieldset>
                <Tick
                    id="log-worn"
                    label=tr("The mould is done for")
                    value=worn
                    store=move |on| worn.set(on)
                />
                {blank("log-note", tr("Note"), "", "text", note)}
                <button id="log-add" class="wide">
                    {tr("Add to the log")}
                </button>
            </form>
        </details>
    }
}

/// What was cast, the last first.
fn entries(bench: Bench) -> AnyView {
    let count = Memo::new(move |_| bench.read(|piece| piece.casts.len()));
    let one = move |n: usize| {
        let said = move || {
            bench.read(|piece| {
                let entry = piece.casts.get(n)?;
                let mut said = format!(
                    "{}: {} × {}",
                    time::day_and_clock(entry.at),
                    entry.copies,
                    entry.medium
                );
                for defect in &entry.defects {
                    said += ", ";
                    said += defect.name();
                }
                if entry.worn_out {
                    said += tr(", the mould is done for");
                }
                if !entry.note.is_empty() {
                    said += ". ";
                    said += &entry.note;
                }
                Some(said)
            })
        };
        let remove = move |_| {
            bench.change_and_tell(tr("Cast removed from the log"), move |piece| {
                if n < piece.casts.len() {
                    piece.casts.remove(n);
                }
            });
        };
        view! {
            <li class="row">
                <span class="grow">{said}</span>
                <button class="remove" on:click=remove>
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    view! {
        <p id="no-casts" class="soft" hidden=move || count.get() != 0>
            {tr("No copy is in the log yet. What you write down stands here, and tells how many more the mould gives.")}
        </p>
        <ul id="cast-log" class="list" hidden=move || count.get() == 0>
            {keyed(move || (0..count.get()).rev().collect(), one)}
        </ul>
    }
    .into_any()
}
