//! What follows from the heights, each number with its range, and what it rests on.

use super::Table;
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::quantity::show;
use crate::words::tr;
use crate::{count, say};
use leptos::prelude::*;

/// Surface, volume and highest point; nothing while nothing was read.
pub fn numbers(table: Table) -> AnyView {
    let lines = move || {
        let found = table.heights()?;
        let m = &found.measures;
        let system = table.bench.system();
        let ratio = say!(
            "{ratio} ({low95} to {high95})",
            ratio = show::number(m.ratio.value.0, 2),
            low95 = show::number(m.ratio.low95.0, 2),
            high95 = show::number(m.ratio.high95.0, 2)
        );
        let all = [
            (
                tr("Surface"),
                show::area_range(&m.surface, system),
                range_mark(&m.surface),
            ),
            (tr("Surface to footprint"), ratio, range_mark(&m.ratio)),
            (
                tr("Volume over the wall"),
                show::volume_range(&m.volume, system),
                range_mark(&m.volume),
            ),
            (
                tr("Highest point"),
                show::length_range(&m.highest, system),
                range_mark(&m.highest),
            ),
        ];
        let line = |(what, value, mark): (&'static str, String, AnyView)| {
            view! { <div><dt>{what}</dt><dd>{value} " " {mark}</dd></div> }
        };
        let notes = found.sounded.notes.iter().cloned();
        let notes = notes.map(|note| view! { <p class="hint">{note}</p> });
        Some(view! {
            <dl id="height-numbers" class="pairs">{all.into_iter().map(line).shown()}</dl>
            <p id="evidence" class="source">{evidence(table)}</p>
            {notes.shown()}
        })
    };
    lines.into_any()
}

fn some(n: usize, said: fn(usize) -> String) -> Option<String> {
    (n > 0).then(|| said(n))
}

/// What the numbers rest on, in a sentence.
fn evidence(table: Table) -> String {
    let kind = table.bench.read(|piece| piece.relief.is_some());
    let parts = table.record.with(|record| {
        [
            match (&record.swept, &record.swept_from) {
                (Some(_), Some(from)) => {
                    some(from.photos, |n| count!(n, "one photo", "{n} photos"))
                }
                (Some(_), None) => Some(tr("photos").to_owned()),
                _ => None,
            },
            some(record.readings.len(), |n| {
                count!(n, "one reading", "{n} readings")
            }),
            some(record.profiles.len(), |n| {
                count!(n, "one drawn section", "{n} drawn sections")
            }),
            (kind && record.swept.is_none())
                .then(|| tr("the kind of relief on the Plan page").into()),
        ]
    });
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    match parts.split_last() {
        Some((last, rest)) if !rest.is_empty() => {
            say!(
                "They rest on {rest} and {last}.",
                rest = rest.join(", "),
                last
            )
        }
        _ => say!("They rest on {part}.", part = parts.concat()),
    }
}
