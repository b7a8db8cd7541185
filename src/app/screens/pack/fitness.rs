//! Whether the surface is fit for the paste, before anything goes into the bag.

use super::patch::Patch;
use crate::app::parts::bench::Bench;
use crate::app::parts::caution::caution;
use crate::app::parts::shown::Shown;
use crate::coating::{Check, Verdict, lead_paint};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The checks: open while something wants doing, folded once all is fine.
#[component]
pub fn Fitness(bench: Bench) -> impl IntoView {
    let checks = Memo::new(move |_| {
        bench
            .piece
            .with(|piece| piece.as_ref().map(|piece| piece.ground().checks()))
            .unwrap_or_default()
    });
    let split = move |fine: bool| {
        let all = checks.get().into_iter();
        all.filter(move |check| (check.verdict == Verdict::Fine) == fine)
            .collect::<Vec<_>>()
    };
    let heading = move || match split(false).len() {
        0 => tr("The surface is fit").to_owned(),
        1 => tr("The surface: one thing to mind").to_owned(),
        some => say!("The surface: {count} things to mind", count = some),
    };
    let open = move || split(false).iter().map(check).shown();
    let fine = move || {
        let fine = split(true);
        let word = match fine.len() {
            0 => return None,
            1 => tr("One thing is fine").to_owned(),
            some => say!("{count} things are fine", count = some),
        };
        Some(view! {
            <details>
                <summary id="fine-checks">{word}</summary>
                {fine.iter().map(check).shown()}
            </details>
        })
    };
    // What is waited for stands first; how to start a test stands behind what calls for one.
    let waiting = Memo::new(move |_| bench.read(|piece| piece.patch_due().is_some()));
    let waits = move || waiting.get().then(|| view! { <Patch bench /> });
    let patch = move || (!waiting.get()).then(|| view! { <Patch bench /> });
    let details = bench.details();
    // However well a patch came off: paint that holds can hold lead.
    let lead = move || {
        let finish = bench.read(|piece| Some(piece.finish))?;
        lead_paint(finish).as_ref().map(caution)
    };
    view! {
        <div id="lead">{lead}</div>
        <details id="fitness" class="fold" open=!untrack(move || split(false)).is_empty()>
            <summary>
                <h2>{heading}</h2>
            </summary>
            {waits}
            {open}
            {patch}
            {fine}
            <p class="soft">
                {tr("The paste’s sheet, a test in a hidden place, the owner and a conservator go before this list.")}
            </p>
            <p>
                <a id="to-details" class="button" href=details>
                    {tr("Change what the piece is")}
                </a>
            </p>
        </details>
    }
}

/// One check: what it comes to, and behind that what to do, why, and on whose word. What
/// stops the work, or someone else decides, stands open.
fn check(check: &Check) -> AnyView {
    let (stop, done) = match check.verdict {
        Verdict::Fine => (false, true),
        Verdict::NotAsItIs | Verdict::NotWithout(_) => (true, false),
        Verdict::Care | Verdict::TestFirst => (false, false),
    };
    let advice = (!check.advice.is_empty()).then(|| view! { <p>{check.advice.clone()}</p> });
    view! {
        <details
            id=format!("check-{}", check.key)
            class="caution"
            class:stop=stop
            class:done=done
            open=stop
        >
            <summary>
                <span>
                    <small class="verdict">{check.verdict.name()}</small>
                    {check.what.clone()}
                </span>
            </summary>
            {advice}
            <p class="soft">{check.reason.clone()}</p>
            <p class="source">{tr("Source: ")}{check.source.to_string()}</p>
        </details>
    }
    .into_any()
}
