//! Sections that were taken with a contour gauge or a strip: off a photo of it, or typed as points
//! along the line on the picture.

use super::pins::height;
use super::{Finger, Table};
use crate::app::parts::field::Field;
use crate::app::parts::shown::{Shown, keyed};
use crate::job::Piece;
use crate::phone::window;
use crate::quantity::{Millimetres, parse, show};
use crate::relief::Profile;
use crate::say;
use crate::survey::{Mm, Section};
use crate::words::tr;
use leptos::prelude::*;

/// One standard deviation of a height off a contour gauge, in millimetres: common practice, no
/// source.
const GAUGE_SD: Millimetres = Millimetres(1.0);

/// A line that a finger drew is as long as its section up to this share: ends under a fingertip.
const ALIKE: f64 = 0.15;

/// The kept sections, and the points of a new one.
pub fn profiles(table: Table) -> AnyView {
    let points = RwSignal::new(Vec::<[f64; 2]>::new());
    let along = RwSignal::new(None::<f64>);
    let up = RwSignal::new(None::<f64>);
    // How well the heights of the points are known, where a photo gave them.
    let by_photo = RwSignal::new(None::<Millimetres>);
    // Why the line that is drawn does not fit the section.
    let wrong = RwSignal::new(None::<String>);
    Effect::new(move |_| {
        points.track();
        table.line.track();
        wrong.set(None);
    });
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
            return table.bench.desk.warn(tr(
                "Type how far along the line the point lies, and how high.",
            ));
        };
        points.update(|points| {
            points.retain(|point| point[0] != x);
            points.push([x, y]);
            points.sort_by(|a, b| a[0].total_cmp(&b[0]));
        });
        along.set(None);
        up.set(None);
        by_photo.set(None);
    };
    let take = move |at: usize| {
        let found = table
            .bench
            .piece
            .with_untracked(|piece| piece.as_ref().map(|piece| piece.section_of(at)));
        match found {
            Some(Ok(found)) => {
                points.set(found.points);
                by_photo.set(Some(found.sd));
                table.finger.set(Finger::Section);
                table.chosen.set(None);
                table.bench.desk.tell(
                    tr("Now draw its line on the picture, from where it begins. Then keep the section."),
                );
                window::focus("heights-picture");
            }
            Some(Err(why)) => table.bench.desk.warn(why),
            None => (),
        }
    };
    let turn = move |_| {
        let Some(sd) = by_photo.get_untracked() else {
            return;
        };
        points.update(|points| {
            let from = Section {
                points: std::mem::take(points),
                sd,
            };
            *points = from.turned().points;
        });
    };
    let keep = move |_| {
        let Some(line) = table.line.get_untracked() else {
            return table.bench.desk.warn(
                tr("Draw its line on the picture first: choose “Section” and draw a finger across the piece, from where you begin to count."),
            );
        };
        let section = points.get_untracked();
        let far = section.last().map_or(0.0, |last| last[0]);
        let [from, to] = line;
        let long = (to[0] - from[0]).hypot(to[1] - from[1]);
        let sd = by_photo.get_untracked();
        if sd.is_some() && (long / far - 1.0).abs() > ALIKE {
            // At the head of the screen it would lie over the picture on which to draw.
            return wrong.set(Some(untrack(|| {
                say!(
                    "The section is {length} long, the line on the picture {line}. Draw the \
                     line again, from where the gauge’s one end met the wall to where the \
                     other did.",
                    length = length(far.round()),
                    line = length(long.round())
                )
            })));
        }
        // The photo knows the length better than a fingertip, which is off at both ends alike.
        let [from, to] = match sd {
            Some(_) => stretched(line, far / long),
            None => line,
        };
        if sd.is_none() && far > long * 1.02 {
            return table.bench.desk.warn(say!(
                "The line on the picture is {length} long, and a point lies beyond it. Draw \
                 the line longer, or type the points again.",
                length = untrack(|| length(long.round()))
            ));
        }
        points.set(Vec::new());
        by_photo.set(None);
        table
            .bench
            .change_and_tell(tr("Section kept"), move |piece| {
                piece.relief_record.profiles.push(Profile {
                    from,
                    to,
                    section,
                    sd: sd.unwrap_or(GAUGE_SD),
                });
            });
    };
    let clear = move |_| {
        let (typed, sd) = (points.get_untracked(), by_photo.get_untracked());
        points.set(Vec::new());
        by_photo.set(None);
        let back = move || {
            points.try_set(typed);
            by_photo.try_set(sd);
        };
        table
            .bench
            .desk
            .tell_with_way_back(tr("Points cleared"), back);
    };
    let rows = move || {
        let row = |point: &[f64; 2]| {
            let [x, y] = point.map(|mm| length((mm * 10.0).round() / 10.0));
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
            say!(
                "Section {n}: {points} points",
                n = n + 1,
                points = points.unwrap_or(0)
            )
        };
        let remove = move |_| {
            table
                .bench
                .change_and_tell(tr("Section removed"), move |piece| {
                    if n < piece.relief_record.profiles.len() {
                        piece.relief_record.profiles.remove(n);
                    }
                });
        };
        view! {
            <li class="row">
                <span class="grow">{words}</span>
                <button class="remove" on:click=remove>
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    let photos = Memo::new(move |_| {
        let all = |piece: &Piece| piece.sections().collect::<Vec<_>>();
        table
            .bench
            .piece
            .with(|piece| piece.as_ref().map_or(Vec::new(), all))
    });
    let from_photo = move |at: usize| {
        view! {
            <button id=format!("profile-photo-{at}") on:click=move |_| take(at)>
                {say!("Take the section from photo {at}", at = at + 1)}
            </button>
        }
        .into_any()
    };
    let none = move || points.with(Vec::is_empty);
    view! {
        <details id="profile" open=move || photos.with(|photos| !photos.is_empty())>
            <summary>{tr("A section from a contour gauge")}</summary>
            <p class="hint">
                {tr("Draw its line on the picture from where it begins, marked by a dot. Take its points from a photo of the gauge, which the Measure page takes among its photos, or type them: how far from the beginning of the line, and how high over the wall.")}
            </p>
            <div class="row fill">{keyed(move || photos.get(), from_photo)}</div>
            <div class="pair">
                <Field id="profile-along" label=tr("Along the line") value=typed(along) read=read_along />
                <Field id="profile-height" label=tr("Height there") value=typed(up) read=read_up />
            </div>
            <div class="row fill">
                <button id="profile-add" on:click=add>
                    {tr("Add the point")}
                </button>
                <button
                    id="profile-keep"
                    disabled=move || points.with(|points| points.len() < 2)
                    on:click=keep
                >
                    {tr("Keep the section")}
                </button>
            </div>
            <p id="profile-wrong" class="error" role="alert" hidden=move || wrong.with(Option::is_none)>
                {wrong}
            </p>
            <div class="row fill" hidden=none>
                <button
                    id="profile-turn"
                    hidden=move || by_photo.with(Option::is_none)
                    on:click=turn
                >
                    {tr("Begin at its other end")}
                </button>
                <button
                    id="profile-clear"
                    class="remove"
                    on:click=clear
                >
                    {tr("Clear the points")}
                </button>
            </div>
            <table hidden=none>
                <thead>
                    <tr>
                        <th scope="col">{tr("Along")}</th>
                        <th scope="col">{tr("Height")}</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            <ul id="profiles" class="list">{keyed(move || (0..kept.get()).collect(), one)}</ul>
        </details>
    }
    .into_any()
}

/// The line made so many times as long about its own middle.
fn stretched([from, to]: [Mm; 2], times: f64) -> [Mm; 2] {
    let middle = [0, 1].map(|k| (from[k] + to[k]) / 2.0);
    [from, to].map(|end| [0, 1].map(|k| middle[k] + times * (end[k] - middle[k])))
}
