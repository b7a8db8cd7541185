//! Sections that were taken with a contour gauge or a strip, typed as points along the line on the
//! picture.

use super::Table;
use super::pins::height;
use crate::app::parts::field::Field;
use crate::app::parts::shown::{Shown, keyed};
use crate::quantity::{Millimetres, parse, show};
use crate::relief::Profile;
use leptos::prelude::*;

/// One standard deviation of a height off a contour gauge, in millimetres: common practice, no
/// source.
const GAUGE_SD: Millimetres = Millimetres(1.0);

/// The kept sections, and the points of a new one.
pub fn profiles(table: Table) -> AnyView {
    let points = RwSignal::new(Vec::<[f64; 2]>::new());
    let along = RwSignal::new(None::<f64>);
    let up = RwSignal::new(None::<f64>);
    let length = move |mm: f64| show::length(Millimetres(mm), table.bench.system());
    let typed = move |of: RwSignal<Option<f64>>| {
        Signal::derive(move || of.get().map_or(String::new(), length))
    };
    let read_along = move |text: &str| {
        let system = table.bench.desk.settings.get_untracked().system;
        along.set(Some(
            parse::length(text, system)
                .map_err(|why| why.to_string())?
                .0,
        ));
        Ok(())
    };
    let read_up = move |text: &str| {
        up.set(Some(height(table, text)?.0));
        Ok(())
    };
    let add = move |_| {
        let (Some(x), Some(y)) = (along.get_untracked(), up.get_untracked()) else {
            return table
                .bench
                .desk
                .warn("Type how far along the line the point lies, and how high.");
        };
        points.update(|points| {
            points.retain(|point| point[0] != x);
            points.push([x, y]);
            points.sort_by(|a, b| a[0].total_cmp(&b[0]));
        });
        along.set(None);
        up.set(None);
    };
    let keep = move |_| {
        let Some([from, to]) = table.line.get_untracked() else {
            return table.bench.desk.warn(
                "Draw its line on the picture first: choose “Section” and draw a finger across the piece, from where you begin to count.",
            );
        };
        let section = points.get_untracked();
        let long = (to[0] - from[0]).hypot(to[1] - from[1]);
        if section.last().is_some_and(|last| last[0] > long * 1.02) {
            return table.bench.desk.warn(format!(
                "The line on the picture is {} long, and a point lies beyond it. Draw the line longer, or type the points again.",
                untrack(|| length(long.round()))
            ));
        }
        points.set(Vec::new());
        table.bench.change_and_tell("Section kept", move |piece| {
            piece.relief_record.profiles.push(Profile {
                from,
                to,
                section,
                sd: GAUGE_SD,
            });
        });
    };
    let rows = move || {
        let row = |point: &[f64; 2]| {
            let [x, y] = point.map(length);
            view! { <tr><td>{x}</td><td>{y}</td></tr> }
        };
        points.with(|points| points.iter().map(row).shown())
    };
    let kept = Memo::new(move |_| table.record.with(|record| record.profiles.len()));
    let one = move |n: usize| {
        let words = move || {
            let points = table
                .record
                .with(|record| record.profiles.get(n).map(|p| p.section.len()));
            format!("Section {}: {} points", n + 1, points.unwrap_or(0))
        };
        let remove = move |_| {
            table
                .bench
                .change_and_tell("Section removed", move |piece| {
                    if n < piece.relief_record.profiles.len() {
                        piece.relief_record.profiles.remove(n);
                    }
                });
        };
        view! {
            <li class="row">
                <span class="grow">{words}</span>
                <button class="remove" on:click=remove>
                    "Remove"
                </button>
            </li>
        }
        .into_any()
    };
    view! {
        <details>
            <summary>"A section from a contour gauge"</summary>
            <p class="hint">
                "Draw its line on the picture, then type its points: how far from the beginning of the line, and how high over the wall."
            </p>
            <div class="pair">
                <Field id="profile-along" label="Along the line" value=typed(along) read=read_along />
                <Field id="profile-height" label="Height there" value=typed(up) read=read_up />
            </div>
            <div class="row fill">
                <button id="profile-add" on:click=add>
                    "Add the point"
                </button>
                <button
                    id="profile-keep"
                    disabled=move || points.with(|points| points.len() < 2)
                    on:click=keep
                >
                    "Keep the section"
                </button>
            </div>
            <table hidden=move || points.with(Vec::is_empty)>
                <thead>
                    <tr>
                        <th scope="col">"Along"</th>
                        <th scope="col">"Height"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            <ul id="profiles" class="list">{keyed(move || (0..kept.get()).collect(), one)}</ul>
        </details>
    }
    .into_any()
}
