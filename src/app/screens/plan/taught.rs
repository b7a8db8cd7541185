//! What earlier work has taught: how fast the user brushes and mixes, what stays behind, and how fast
//! this paste goes; and the way to begin anew.

use crate::app::parts::bench::Bench;
use crate::app::parts::shown::Shown;
use crate::clock::Learned;
use crate::coating::Source;
use crate::job::{HAND, learned_from};
use crate::phone::{self, local};
use crate::words::tr;
use leptos::prelude::*;

#[component]
pub fn Taught(bench: Bench) -> impl IntoView {
    let desk = bench.desk;
    // Looked at once a visit and after something was forgotten: taps are made on another page.
    let learned = Memo::new(move |_| {
        let jobs = desk.jobs.get_untracked();
        desk.begun.with(|begun| learned_from(&jobs, begun))
    });
    let pace = Memo::new(move |_| {
        bench.piece.with(|piece| {
            let piece = piece.as_ref()?;
            desk.memory.with(|memory| {
                let count = memory.touches(&piece.card.id);
                (count > 0).then(|| memory.pace(&bench.job(), piece).said(count))
            })
        })
    });
    // Whether this piece is planned by something else than what is known now.
    let differs = Memo::new(move |_| {
        bench.read(|piece| {
            let mut taught = piece.clone();
            learned.with(|learned| taught.take_in(learned));
            piece.coat_log.is_empty() && taught != *piece
        })
    });
    let take = move |_| {
        let learned = learned.get();
        bench.change(tr("Planned by what was learned"), move |piece| {
            piece.take_in(&learned);
        });
    };
    let keep = move || {
        if !local::keep_begun(&desk.begun.get_untracked()) {
            desk.warn(tr(
                "It is forgotten for now, but this phone has no room to keep that.",
            ));
        }
    };
    let forget = move |key: String| {
        let before = desk.begun.with_untracked(|begun| begun.get(&key).copied());
        desk.begun.update(|begun| {
            begun.insert(key.clone(), phone::now());
        });
        keep();
        // The jobs have it all still: only from when on they teach was changed.
        desk.tell_with_way_back(tr("Forgotten"), move || {
            desk.begun.update(|begun| {
                match before {
                    Some(at) => begun.insert(key, at),
                    None => begun.remove(&key),
                };
            });
            keep();
        });
    };
    let forget_hand = move |_| forget(HAND.to_owned());
    let forget_pace = move |_| forget(bench.read(|piece| piece.card.id.clone()));
    let by_hand = move || learned.with(|learned| *learned != Learned::default());
    let lines = move || {
        let hand = learned.with(|learned| learned.said(bench.system()));
        let lines = hand.into_iter().chain(pace.get());
        lines.map(|line| view! { <li>{line}</li> }).shown()
    };
    let nothing = Memo::new(move |_| !by_hand() && pace.with(Option::is_none));
    view! {
        <details id="taught" class="explain">
            <summary>
                <span class="what">{tr("What your jobs have taught")}</span>
            </summary>
            <p class="soft" hidden=move || !nothing.get()>
                {tr("Nothing yet. The taps and touch tests of each job teach how fast you work and how fast your paste goes.")}
            </p>
            <ul class="list plain">{lines}</ul>
            <div hidden=nothing>
                <p>
                    {tr("What batches showed, by their median, weighed against what the app takes without them; the more batches, the more they count. How fast the paste goes follows in the same way from when touches found it wet, tacky or firm.")}
                </p>
                <p class="source">
                    {tr("Source: ")}{Source::Learned(tr("your taps and touches").into()).to_string()}
                </p>
            </div>
            <div class="row fill">
                <button id="use-taught" hidden=move || !differs.get() on:click=take>
                    {tr("Plan this piece by it")}
                </button>
                <button id="forget-hand" hidden=move || !by_hand() on:click=forget_hand>
                    {tr("Forget how I work")}
                </button>
                <button
                    id="forget-pace"
                    hidden=move || pace.with(Option::is_none)
                    on:click=forget_pace
                >
                    {tr("Forget how this paste goes")}
                </button>
            </div>
        </details>
    }
}
