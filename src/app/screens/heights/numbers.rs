//! What follows from the heights, each number with its range, and opening to how it came about.

use super::Table;
use crate::app::parts::explain::{explain, explain_as};
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::words::tr;
use crate::{count, say};
use leptos::prelude::*;

/// Surface, volume and highest point; nothing while nothing was read.
pub fn numbers(table: Table) -> AnyView {
    let lines = move || {
        let found = table.heights()?;
        let m = &found.measures;
        let system = table.bench.system();
        let [surface, ratio, volume, highest] = table.record.with(|record| found.why(record));
        let number = view! { {ratio.result.show(system)} " " {range_mark(&m.ratio)} };
        let ratio = explain_as(&ratio, &ratio.what, number.into_any(), system);
        let [surface, volume, highest] =
            [surface, volume, highest].map(|one| explain(&one, system));
        let lines = [surface, ratio, volume, highest];
        let notes = found.sounded.notes.iter().cloned();
        let notes = notes.map(|note| view! { <p class="hint">{note}</p> });
        Some(view! {
            <div id="height-numbers">{lines.into_iter().shown()}</div>
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
