//! What dabs of the paste did on an upright place: how thick it holds there.

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::shown::Shown;
use crate::coating::{Dab, check_dab};
use crate::quantity::show;
use crate::quantity::{Millimetres, Minutes, parse};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The dabs that were watched, and what a new one did.
#[component]
pub fn Dabs(bench: Bench) -> impl IntoView {
    let thickness = Blank::new(String::new());
    let stood = Blank::new("0".to_owned());
    let add = move |held: bool| {
        if let Some(dab) = read(bench, thickness, stood, held) {
            bench.change(tr("Dab added"), move |piece| piece.dabs.push(dab));
            thickness.text.set(String::new());
        }
    };
    let count = move || match bench.read(|piece| piece.dabs.len()) {
        0 => tr("not tried").to_owned(),
        1 => tr("one dab").to_owned(),
        count => say!("{count} dabs", count),
    };
    let list = move || {
        let system = bench.system();
        let dabs = bench.read(|piece| piece.dabs.clone());
        let lines = dabs.into_iter().enumerate().map(|(i, dab)| {
            let words = say!(
                "{thickness}, stood {stood}: {ran}",
                thickness = show::length(dab.thickness, system),
                stood = show::duration(dab.stood),
                ran = if dab.held { tr("held") } else { tr("ran") }
            );
            let remove = move |_| {
                bench.change_and_tell(tr("Dab taken away"), move |piece| {
                    // A second tap may come when it is gone.
                    if piece.dabs.get(i) == Some(&dab) {
                        piece.dabs.remove(i);
                    }
                });
            };
            view! {
                <li class="row fill">
                    <span>{words.clone()}</span>
                    <button
                        id=format!("dab-remove-{}", i + 1)
                        aria-label=say!("Remove the dab: {words}", words)
                        on:click=remove
                    >
                        {tr("Remove")}
                    </button>
                </li>
            }
        });
        view! { <ul id="dab-list" class="list">{lines.shown()}</ul> }.into_any()
    };
    view! {
        <details id="dabs" class="explain">
            <summary>
                <span class="what">{tr("Does it hold on the wall?")}</span>
                <span class="number">{count}</span>
            </summary>
            <p>
                {tr("Put a dab of mixed paste on an upright board, as thick as a coat, and watch it for ten minutes. If it runs, let the paste stand a while and try again. The plan then splits a coat that would run, or lets the paste stand.")}
            </p>
            {list}
            <div class="pair">
                {blank("dab-thickness", tr("Thickness of the dab"), tr("As brushed on."), "text", thickness)}
                {blank("dab-stood", tr("Stood, minutes"), tr("After mixing."), "decimal", stood)}
            </div>
            <div class="row fill">
                <button id="dab-held" on:click=move |_| add(true)>
                    {tr("It held")}
                </button>
                <button id="dab-ran" on:click=move |_| add(false)>
                    {tr("It ran")}
                </button>
            </div>
        </details>
    }
}

/// The dab as it was typed; what is wrong is said beside its field.
fn read(bench: Bench, thickness: Blank, stood: Blank, held: bool) -> Option<Dab> {
    let system = bench.desk.settings.get_untracked().system;
    let dab = |thickness, stood| Dab {
        thickness,
        stood,
        held,
    };
    let thick = thickness.read(|text| parse::length(text, system));
    let waited = stood.read(parse::minutes);
    let is_sound = |blank: Blank, dab: Dab| {
        let why = check_dab(&dab).err().map(|why| why.to_string());
        if why.is_some() {
            blank.error.set(why);
        }
    };
    // Each number is asked about beside one that is right.
    if let Some(thick) = thick {
        is_sound(thickness, dab(thick, Minutes(0.0)));
    }
    if let Some(waited) = waited {
        is_sound(stood, dab(Millimetres(1.0), waited));
    }
    for (blank, missing, what) in [
        (thickness, thick.is_none(), tr("Say how thick the dab was.")),
        (
            stood,
            waited.is_none(),
            tr("Say how long the paste had stood; 0 if not at all."),
        ),
    ] {
        if missing && !blank.wrong() {
            blank.error.set(Some(what.to_owned()));
        }
    }
    (!thickness.wrong() && !stood.wrong()).then(|| Some(dab(thick?, waited?)))?
}
