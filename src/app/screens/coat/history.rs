//! What happened so far, with its times, and what the user writes down beside it: temperatures, the
//! scale's readings, lots, words.

use super::{Stand, of};
use crate::app::parts::bench::{Bench, Planned};
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::form::Tick;
use crate::app::parts::shown::Shown;
use crate::clock::{Entry, LogNote, Step, Tap, said};
use crate::coating::Plan;
use crate::job::LogPicture;
use crate::phone::photo::{self, PhotoUrl};
use crate::phone::{file, time};
use crate::quantity::{parse, show};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// Everything that was tapped and noted on this piece, the last one first, and the form for more.
#[component]
pub fn History(bench: Bench, plan: Planned<Plan>, progress: Stand) -> impl IntoView {
    let took = move || {
        let lines = plan.with(|plan| match plan {
            Some(Ok(plan)) => bench.read(|piece| piece.took(plan)),
            _ => Vec::new(),
        });
        lines
            .into_iter()
            .map(|line| view! { <li>{line}</li> })
            .shown()
    };
    let log = Memo::new(move |_| {
        let system = bench.system();
        bench.read(|piece| said(&piece.coat_log, &piece.notes, system))
    });
    let lines = move || {
        let now = bench.desk.now.get_untracked();
        let log = log.get();
        let lines = log.into_iter().rev().map(|(at, text)| {
            view! {
                <li>
                    <b>{time::clock(at, now)}</b>
                    " "
                    {text}
                </li>
            }
        });
        lines.shown()
    };
    view! {
        <details id="coat-log">
            <summary>{tr("What happened, and what to write down")}</summary>
            <p id="no-taps" class="soft" hidden=move || !log.with(Vec::is_empty)>
                {tr("Nothing yet. Each tap and each note stands here with its time.")}
            </p>
            <ul id="took" class="list plain">{took}</ul>
            <p class="source" hidden=move || bench.read(|piece| piece.coat_log.is_empty())>
                {tr("What a coat took: from its first mixing to its last batch, by your taps below. What was planned: mixing, standing and brushing of all its batches, as the Plan page has them.")}
            </p>
            <ol class="list log">{lines}</ol>
            <Pictures bench />
            <Form bench progress />
        </details>
    }
}

/// The photos of the log, and the way to one more.
#[component]
fn Pictures(bench: Bench) -> impl IntoView {
    let wrong = RwSignal::new(None::<String>);
    let take = move |event: leptos::ev::Event| {
        let Some(file) = file::chosen(&event) else {
            return;
        };
        let at = bench.time();
        wrong.set(None);
        leptos::task::spawn_local(async move {
            match photo::take_in(&file).await {
                Ok(photo) => bench.picture(LogPicture { at, photo }),
                Err(why) => drop(wrong.try_set(Some(why.to_string()))),
            }
        });
    };
    let all = Memo::new(move |_| bench.read(|piece| piece.pictures.clone()));
    let shown = move || all.get().into_iter().map(|one| picture(bench, one)).shown();
    view! {
        <div class="log-pictures">{shown}</div>
        <p class="error" role="alert" hidden=move || wrong.with(Option::is_none)>
            {wrong}
        </p>
        <label class="button file">
            {tr("Put a photo into the log")}
            <input
                id="log-photo"
                type="file"
                accept="image/*"
                capture="environment"
                on:change=take
            />
        </label>
    }
}

fn picture(bench: Bench, picture: LogPicture) -> AnyView {
    // Kept as long as the image is shown.
    let url = StoredValue::new_local(None::<PhotoUrl>);
    let address = RwSignal::new(String::new());
    let at = time::clock(picture.at, bench.desk.now.get_untracked());
    leptos::task::spawn_local(async move {
        if let Ok(found) = PhotoUrl::of(&picture.photo.id).await {
            address.try_set(found.as_str().to_owned());
            url.try_set_value(Some(found));
        }
    });
    view! {
        <figure>
            <img alt=say!("Photo of {at}", at) src=address hidden=move || address.with(String::is_empty) />
            <figcaption>{at.clone()}</figcaption>
        </figure>
    }
    .into_any()
}

/// Writes down one thing.
#[component]
fn Form(bench: Bench, progress: Stand) -> impl IntoView {
    let kind = RwSignal::new("warmth".to_owned());
    let typed = Blank::new(String::new());
    let all = RwSignal::new(true);
    let answers = vec![
        Answer::new("warmth", tr("Temperature there now")),
        Answer::new("weighed", tr("What a batch weighed, A and B together")),
        Answer::new("left", tr("What of it stayed behind in the cups")),
        Answer::new("lot", tr("Lot number")),
        Answer::new("words", tr("Words")),
    ];
    let step = of(progress, |progress| Some(progress.step));
    // The batch in hand; between batches the last one.
    let batch = move |weighed: bool| match step.get_untracked() {
        Some(Step::Weigh { coat, batch }) if weighed => Some((coat, batch)),
        _ => bench.piece.with_untracked(|piece| {
            let log = &piece.as_ref()?.coat_log;
            log.iter().rev().find_map(|moment| match moment.tap {
                Tap::StartMix { coat, batch } => Some((coat, batch)),
                _ => None,
            })
        }),
    };
    let entry = move || {
        let system = bench.desk.settings.get_untracked().system;
        let text = typed.text.get_untracked().trim().to_owned();
        let missing = |text: &str| typed.error.set(Some(text.to_owned()));
        typed.error.set(None);
        if text.is_empty() {
            missing(tr("Type what to write down."));
            return None;
        }
        let of_batch = |weighed| {
            let batch = batch(weighed);
            if batch.is_none() {
                missing(tr("No batch has been mixed yet."));
            }
            batch
        };
        match kind.get_untracked().as_str() {
            "warmth" => {
                let temperature = typed.read(|text| parse::temperature(text, system))?;
                if !Entry::ON_SITE.contains(&temperature.0) {
                    let shown = show::temperature(temperature, system);
                    missing(&say!(
                        "No one coats at {shown}. Read the thermometer again.",
                        shown
                    ));
                    return None;
                }
                Some(Entry::Reading { temperature })
            }
            key @ ("weighed" | "left") => {
                let mass = typed.read(|text| parse::mass(text, system))?;
                let (coat, batch) = of_batch(key == "weighed")?;
                Some(match key {
                    "weighed" => Entry::Weighed { coat, batch, mass },
                    _ => Entry::Leftover { coat, batch, mass },
                })
            }
            "lot" => Some(Entry::Lot { text }),
            _ => Some(Entry::Note { text }),
        }
    };
    let add = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let Some(entry) = entry() else { return };
        let note = LogNote {
            at: bench.time(),
            entry,
        };
        let everywhere = matches!(note.entry, Entry::Reading { .. }) && all.get_untracked();
        bench.note(note, everywhere);
        typed.text.set(String::new());
    };
    let warmth = move || kind.with(|kind| kind == "warmth");
    let several = move || warmth() && bench.pieces_of_job() > 1;
    let batch_said = move || {
        let weighed = kind.with(|kind| kind == "weighed");
        let wanted = weighed || kind.with(|kind| kind == "left");
        step.track();
        let (coat, batch) = batch(weighed).filter(|_| wanted)?;
        Some(view! { <p class="soft">{say!("Of coat {coat}, batch {batch}.", coat, batch)}</p> })
    };
    view! {
        <form class="card" novalidate on:submit=add>
            <Choice
                name="note-kind"
                legend=tr("Write down")
                answers=Signal::stored(answers)
                chosen=kind
                lines=true
                choose=move |key| kind.set(key)
            />
            {batch_said}
            {blank("note-value", tr("What it is"), "", "text", typed)}
            <div hidden=move || !several()>
                <Tick
                    id="note-everywhere"
                    label=tr("It is so at all pieces of this job")
                    value=all
                    store=move |on| all.set(on)
                />
            </div>
            <button id="note-add" type="submit">
                {tr("Write it down")}
            </button>
        </form>
    }
}
