//! How thick the skin comes out over the heights, and where to dab.

use super::Table;
use crate::app::parts::explain::explain;
use crate::app::parts::shown::Shown;
use crate::coating::ThinSpot;
use crate::quantity::{Grams, Millimetres, show};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// Whether the least thickness is reached and what to do where it is not; nothing without a plan.
pub fn said(table: Table) -> AnyView {
    let said = move || {
        let skin = table.skin.get()?;
        let system = table.bench.system();
        let length = |mm: f64| show::length(Millimetres((mm * 100.0).round() / 100.0), system);
        let least = length(skin.least.value.0);
        let short = skin.too_thin > 0.0005;
        let verdict = match (short, skin.grow) {
            (false, _) => say!(
                "The skin reaches its least thickness of {least} everywhere.",
                least
            ),
            (true, Some(grow)) if grow > 1.0 => say!(
                "{share} % of the surface comes out thinner than the least {least}. Dab the ringed spots after the last coat but one, or make each coat {times} times as thick.",
                share = show::number((skin.too_thin * 100.0).max(0.1), 1),
                least,
                times = show::number((grow * 100.0).ceil() / 100.0, 2)
            ),
            (true, _) => say!(
                "{share} % of the surface comes out thinner than the least {least}, and thicker coats alone don’t mend it: dab the ringed spots after the last coat but one.",
                share = show::number((skin.too_thin * 100.0).max(0.1), 1),
                least
            ),
        };
        let spot = |(n, spot): (usize, &ThinSpot)| {
            let thin = if spot.too_thin { tr(", too thin") } else { "" };
            let words = say!(
                "Spot {n}: {thickness}{thin}; a dab of {dab} brings it to {planned}",
                n = letter(n),
                thickness = length(spot.thickness.0),
                thin,
                dab = show::mass(Grams((spot.dab.0 * 10.0).ceil() / 10.0), system),
                planned = length(skin.planned.0)
            );
            view! { <li>{words}</li> }
        };
        let spots = skin.thinnest.iter().enumerate().map(spot).shown();
        let class = if short { "wait" } else { "done" };
        let source = say!("Least thickness: {source}.", source = skin.least.source);
        Some(view! {
            <section id="skin-said">
                <h2>{tr("The skin")}</h2>
                <p class=class>{verdict}</p>
                <ol class="list plain">{spots}</ol>
                <p class="source">{source}</p>
                {explain(&skin.why(), system)}
            </section>
        })
    };
    said.into_any()
}

/// The name of a thin spot on the picture: numbers are the pins'.
pub fn letter(n: usize) -> String {
    char::from(b'A' + (n % 26) as u8).to_string()
}
