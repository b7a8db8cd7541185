//! What happened so far, with its times.

use crate::app::parts::bench::Bench;
use crate::app::parts::shown::Shown;
use crate::phone::time;
use leptos::prelude::*;

/// The taps of this piece, the last one first.
#[component]
pub fn History(bench: Bench) -> impl IntoView {
    let log = Memo::new(move |_| bench.read(|piece| piece.coat_log.clone()));
    move || {
        let log = log.get();
        (!log.is_empty()).then(|| {
            let now = bench.desk.now.get_untracked();
            let lines = log.iter().rev().map(|moment| {
                view! {
                    <li>
                        <b>{time::clock(moment.at, now)}</b>
                        " "
                        {moment.tap.said()}
                    </li>
                }
            });
            view! {
                <details id="coat-log">
                    <summary>"What happened"</summary>
                    <ol class="list log">{lines.shown()}</ol>
                </details>
            }
        })
    }
}
