//! The pins: their heights, how they were read, and how the piece meets the wall.

use super::{Chosen, Table};
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::explain::explain;
use crate::app::parts::field::Field;
use crate::app::parts::shown::keyed;
use crate::quantity::show;
use crate::quantity::{Millimetres, parse};
use crate::relief::{Edge, Reading};
use crate::say;
use crate::words::{mark, tr};
use leptos::prelude::*;

/// How a height is read, with one standard deviation in millimetres: common practice, no source.
const WAYS: [(&str, &str, f64); 3] = [
    ("probe", mark("Depth probe"), 0.5),
    ("skewer", mark("Skewer and rule"), 1.0),
    ("calliper", mark("Calliper"), 0.2),
];

/// The spread of an edge's height along the outline, in millimetres: common practice, no source.
const EDGE_SD: Millimetres = Millimetres(1.0);

/// Beyond this no ornament stands out from its wall.
const MOST: f64 = 1000.0;

/// A height as it was typed, or why it is none.
pub fn height(table: Table, text: &str) -> Result<Millimetres, String> {
    let system = table.bench.desk.settings.get_untracked().system;
    let typed = parse::length(text, system).map_err(|why| why.to_string())?;
    if typed.0 > MOST {
        return Err(
            tr("More than a metre (39 in) over the wall is no ornament. Read it again.").into(),
        );
    }
    Ok(typed)
}

/// The chosen pin's height, how it was read, and the way to take it out.
pub fn form(table: Table) -> AnyView {
    let current = Memo::new(move |_| table.current());
    let last_way = RwSignal::new(WAYS[0].2);
    let sd = move || {
        let read = current.get().and_then(|(_, reading)| reading);
        read.map_or(last_way.get(), |reading| reading.sd.0)
    };
    let way = move || {
        let near = |way: &(&str, &str, f64)| (way.2 - sd()).abs() < 0.05;
        let found = WAYS.iter().find(|way| near(way));
        found.map_or("", |way| way.0).to_owned()
    };
    let ways = WAYS.map(|(key, word, sd)| (key, word, Millimetres(sd)));
    let answers = Signal::derive(move || {
        let system = table.bench.system();
        let one = |(key, word, sd): (&'static str, &'static str, Millimetres)| {
            Answer::new(key, tr(word)).help(format!("± {}", show::length(sd, system)))
        };
        ways.into_iter().map(one).collect::<Vec<_>>()
    });
    let choose = move |key: String| {
        let Some((_, _, sd)) = WAYS.into_iter().find(|way| way.0 == key) else {
            return;
        };
        last_way.set(sd);
        let pin = current.get_untracked().and_then(|(chosen, _)| chosen.pin);
        if let Some(pin) = pin {
            table
                .bench
                .change(tr("Way of reading changed"), move |piece| {
                    if let Some(reading) = piece.relief_record.readings.get_mut(pin) {
                        reading.sd = Millimetres(sd);
                    }
                });
        }
    };
    let value = Signal::derive(move || {
        let reading = current.get().and_then(|(_, reading)| reading);
        reading.map_or(String::new(), |r| {
            show::length(r.height, table.bench.system())
        })
    });
    let read = move |text: &str| {
        let height = height(table, text)?;
        let Some((chosen, reading)) = current.get_untracked() else {
            return Ok(());
        };
        match (chosen.pin, reading) {
            (Some(pin), Some(_)) => table.bench.change(tr("Height changed"), move |piece| {
                if let Some(reading) = piece.relief_record.readings.get_mut(pin) {
                    reading.height = height;
                }
            }),
            _ => {
                let pin = table.record.with_untracked(|record| record.readings.len());
                let reading = Reading {
                    at: chosen.at,
                    height,
                    sd: Millimetres(last_way.get_untracked()),
                };
                table.chosen.set(Some(Chosen {
                    at: chosen.at,
                    pin: Some(pin),
                }));
                table.bench.change_and_tell(tr("Pin set"), move |piece| {
                    piece.relief_record.readings.push(reading);
                });
            }
        }
        Ok(())
    };
    let remove = move |_| {
        let pin = current.get_untracked().and_then(|(chosen, _)| chosen.pin);
        if let Some(pin) = pin {
            table.chosen.set(None);
            table
                .bench
                .change_and_tell(tr("Pin removed"), move |piece| {
                    if pin < piece.relief_record.readings.len() {
                        piece.relief_record.readings.remove(pin);
                    }
                });
        }
    };
    let pin = move || current.get().and_then(|(chosen, _)| chosen.pin);
    let label = Signal::derive(move || match pin() {
        Some(pin) => say!("Height of pin {pin}", pin = pin + 1),
        None => tr("Height there").to_owned(),
    });
    view! {
        <div id="pin-form" class="card" hidden=move || current.with(Option::is_none)>
            <Field
                id="pin-height"
                label
                hint=tr("Over the wall, not over the ground of the ornament.")
                keyboard=table.bench.length_keyboard()
                value
                read
            />
            <Choice
                name="how"
                legend=tr("Read with (spreads are common practice, no source)")
                answers
                chosen=Signal::derive(way)
                choose
            />
            <p class="row" hidden=move || pin().is_none()>
                <button id="pin-remove" class="remove" on:click=remove>
                    {tr("Remove the pin")}
                </button>
            </p>
        </div>
    }
    .into_any()
}

/// Where to read next, or how to begin.
pub fn next(table: Table) -> AnyView {
    let words = move || {
        let read = table.record.with(|record| record.readings.len());
        match table.heights().and_then(|found| found.sounded.next) {
            Some(probe) => say!(
                "Read next at the open ring: that takes about {gain} % off the volume’s \
                 spread.", gain = show::fixed(probe.gain * 100.0, 0)
            ),
            None if read == 0 => {
                tr("Tap the highest point on the picture and type how high it stands over the wall. From then on a ring shows where the next reading tells most.").to_owned()
            }
            None => String::new(),
        }
    };
    let why = move || {
        let why = table.heights()?.next_why()?;
        Some(explain(&why, table.bench.system()))
    };
    view! {
        <p id="next-probe" role="status">{words}</p>
        {why}
    }
    .into_any()
}

/// All pins in words.
pub fn list(table: Table) -> AnyView {
    let count = Memo::new(move |_| table.record.with(|record| record.readings.len()));
    let one = move |n: usize| {
        let words = move || {
            let reading = table.record.with(|record| record.readings.get(n).copied());
            let system = table.bench.system();
            reading.map(|reading| {
                format!(
                    "{} ± {}",
                    show::length(reading.height, system),
                    show::length(reading.sd, system)
                )
            })
        };
        let open = move |_| {
            let at = table
                .record
                .with_untracked(|record| record.readings.get(n).map(|r| r.at));
            if let Some(at) = at {
                table.chosen.set(Some(Chosen { at, pin: Some(n) }));
            }
        };
        view! {
            <li class="row">
                <span class="grow">{say!("Pin {n}: ", n = n + 1)} {words}</span>
                <button id=format!("pin-{}", n + 1) on:click=open>
                    {tr("Change")}
                </button>
            </li>
        }
        .into_any()
    };
    view! {
        <section hidden=move || count.get() == 0>
            <h2>{tr("Pins")}</h2>
            <ul id="pins" class="list">{keyed(move || (0..count.get()).collect(), one)}</ul>
        </section>
    }
    .into_any()
}

/// How the piece meets the wall along its outline.
pub fn edge(table: Table) -> AnyView {
    let stored = Memo::new(move |_| table.record.with(|record| record.edge));
    // An edge is stored once its height is typed.
    let tapped = RwSignal::new(false);
    let stands = move || tapped.get() || matches!(stored.get(), Edge::Stands { .. });
    let key = move || {
        match stored.get() {
            _ if stands() => "stands",
            Edge::Unknown => "unknown",
            _ => "meets",
        }
        .to_owned()
    };
    let set = move |edge: Edge| {
        tapped.set(false);
        table.bench.change(tr("Edge changed"), move |piece| {
            piece.relief_record.edge = edge;
        });
    };
    let choose = move |key: String| match key.as_str() {
        "stands" => tapped.set(true),
        "unknown" => set(Edge::Unknown),
        _ => set(Edge::MeetsWall),
    };
    let answers = vec![
        Answer::new("meets", tr("Runs down to the wall")),
        Answer::new("stands", tr("Stands off with an edge")),
        Answer::new("unknown", tr("Not known")),
    ];
    let value = Signal::derive(move || match stored.get() {
        Edge::Stands { height, .. } => show::length(height, table.bench.system()),
        _ => String::new(),
    });
    let read = move |text: &str| {
        let height = height(table, text)?;
        set(Edge::Stands {
            height,
            sd: EDGE_SD,
        });
        Ok(())
    };
    view! {
        <Choice
            name="edge"
            legend=tr("Along its outline the piece")
            answers=Signal::stored(answers)
            chosen=Signal::derive(key)
            lines=true
            choose
        />
        <div hidden=move || !stands()>
            <Field
                id="edge-height"
                label=tr("Height of the edge")
                hint=tr("From the wall to the edge that you feel all around.")
                keyboard=table.bench.length_keyboard()
                value
                read
            />
        </div>
    }
    .into_any()
}
