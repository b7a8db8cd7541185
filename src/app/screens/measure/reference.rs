//! What the reference is, its sizes, and the readings on a square or rule.

use super::bench::Bench;
use super::heights;
use super::kind::Kind;
use super::marks::Spot;
use super::photos::Photos;
use super::tools;
use crate::app::parts::field::{Field, length_keyboard};
use crate::app::parts::shown::{Shown, keyed};
use crate::quantity::{Millimetres, parse, show};
use crate::say;
use crate::survey::{Held, MarkTool, RectangleKind, Reference, RuleMark, Side, check_size};
use crate::words::{mark, tr};
use leptos::prelude::*;

/// The tools of the first task.
#[component]
pub fn ReferenceTools(bench: Bench) -> impl IntoView {
    let kind = Memo::new(move |_| bench.marks.with(|m| m.kind()));
    let options = Kind::ALL.map(|one| {
        let first = move || one == Kind::Shared && (bench.at.get() == 0 || bench.section.get());
        view! {
            <option value=one.key() hidden=first selected=move || kind.get() == one>
                {one.name()}
            </option>
        }
    });
    let choose = move |event| {
        let key = event_target_value(&event);
        if let Some(kind) = Kind::ALL.into_iter().find(|k| k.key() == key) {
            bench.chosen.set(None);
            bench.change(tr("Reference changed"), |m| m.become_kind(kind));
        }
    };
    let pending = Memo::new(move |_| bench.marks.with(|m| m.pending.is_some()));
    let sizes = move || match kind.get() {
        Kind::Own => own_sizes(bench),
        Kind::Rule => rule_width(bench),
        Kind::Edge => held_edges(bench),
        _ => ().into_any(),
    };
    let reading = move || pending.get().then(|| new_reading(bench, kind.get()));
    view! {
        <div class="reference-tools">
            <label for="reference-kind" class="unseen">
                {tr("What of known size lies on the wall?")}
            </label>
            <div class="row kind">
                <select id="reference-kind" prop:value=move || kind.get().key() on:change=choose>
                    {options.into_iter().shown()}
                </select>
                <button
                    id="photo-other"
                    aria-expanded=move || bench.other_photo.get().to_string()
                    on:click=move |_| bench.other_photo.update(|open| *open = !*open)
                >
                    {tr("Photos")}
                </button>
            </div>
            {move || bench.other_photo.get().then(|| view! { <Photos bench /> }.into_any())}
            {sizes}
            {reading}
            <Readings bench kind />
            // Shared places lie where the photo before has them.
            {move || {
                let whose = match bench.section.get() {
                    true => &heights::REFERENCE_LIES,
                    false => &heights::REFERENCE,
                };
                (kind.get() != Kind::Shared).then(|| heights::field(bench, whose))
            }}
        </div>
    }
}

/// A length that the user types; nothing while it is not known.
fn size_field(
    bench: Bench,
    id: &'static str,
    label: &'static str,
    get: fn(&Reference) -> Option<Millimetres>,
    set: fn(&mut Reference, Millimetres),
) -> impl IntoView {
    let system = move || bench.desk.settings.get().system;
    let value = Signal::derive(move || {
        let size = bench
            .marks
            .with(|m| m.reference.as_ref().and_then(get))
            .filter(|size| size.0 > 0.0);
        size.map_or(String::new(), |size| show::length(size, system()))
    });
    let read = move |text: &str| {
        let system = bench.desk.settings.get_untracked().system;
        let size = parse::length(text, system).map_err(|e| e.to_string())?;
        check_size(size, tr("size")).map_err(|e| e.to_string())?;
        bench.change(tr("Size typed"), |m| {
            if let Some(reference) = &mut m.reference {
                set(reference, size);
            }
        });
        Ok(())
    };
    view! { <Field id label keyboard=length_keyboard(bench.desk) value read /> }
}

fn own_sizes(bench: Bench) -> AnyView {
    let width = size_field(
        bench,
        "own-width",
        tr("Width, left to right"),
        |r| match r {
            Reference::Rectangle {
                kind: RectangleKind::Own { width, .. },
                ..
            } => Some(*width),
            _ => None,
        },
        |r, size| {
            if let Reference::Rectangle {
                kind: RectangleKind::Own { width, .. },
                ..
            } = r
            {
                *width = size;
            }
        },
    );
    let height = size_field(
        bench,
        "own-height",
        tr("Height"),
        |r| match r {
            Reference::Rectangle {
                kind: RectangleKind::Own { height, .. },
                ..
            } => Some(*height),
            _ => None,
        },
        |r, size| {
            if let Reference::Rectangle {
                kind: RectangleKind::Own { height, .. },
                ..
            } = r
            {
                *height = size;
            }
        },
    );
    view! { <div class="sizes">{width} {height}</div> }.into_any()
}

fn rule_width(bench: Bench) -> AnyView {
    let width = size_field(
        bench,
        "rule-width",
        tr("Width of the rule, edge to edge"),
        |r| match r {
            Reference::Marks {
                tool: MarkTool::Rule { width },
                ..
            } => Some(*width),
            _ => None,
        },
        |r, size| {
            if let Reference::Marks {
                tool: MarkTool::Rule { width },
                ..
            } = r
            {
                *width = size;
            }
        },
    );
    view! { <div class="sizes">{width}</div> }.into_any()
}

const HELD: [(Held, &str, &str); 3] = [
    (Held::Anyhow, "anyhow", mark("held any way")),
    (Held::Level, "level", mark("held level")),
    (Held::Plumb, "plumb", mark("held plumb")),
];

/// How the first rule is held, and the second once it has a reading.
fn held_edges(bench: Bench) -> AnyView {
    let held = move |which: usize| {
        bench.marks.with(|m| match &m.reference {
            Some(Reference::Marks {
                tool: MarkTool::Edges { held },
                ..
            }) => held[which],
            _ => Held::default(),
        })
    };
    let second = Memo::new(move |_| {
        bench.marks.with(|m| match &m.reference {
            Some(Reference::Marks { marks, .. }) => {
                marks.iter().any(|mark| mark.side == Side::SecondRule)
            }
            _ => false,
        })
    });
    let choice = move |which: usize, id: &'static str, label: &'static str| {
        let options = HELD.map(|(one, key, words)| {
            view! {
                <option value=key selected=move || held(which) == one>
                    {tr(words)}
                </option>
            }
        });
        let choose = move |event| {
            let key = event_target_value(&event);
            let Some((chosen, ..)) = HELD.into_iter().find(|(_, k, _)| *k == key) else {
                return;
            };
            bench.change(tr("Held another way"), |m| {
                if let Some(Reference::Marks {
                    tool: MarkTool::Edges { held },
                    ..
                }) = &mut m.reference
                {
                    held[which] = chosen;
                }
            });
        };
        view! {
            <label class="held" hidden=move || which == 1 && !second.get()>
                <span>{label}</span>
                <select id=id on:change=choose>
                    {options.into_iter().shown()}
                </select>
            </label>
        }
        .into_any()
    };
    view! {
        <div class="sizes">
            {choice(0, "held-first", tr("First rule"))} {choice(1, "held-second", tr("Second rule"))}
        </div>
    }
    .into_any()
}

/// Asks for the reading of the mark that was just set.
fn new_reading(bench: Bench, kind: Kind) -> Option<AnyView> {
    let sides = kind.sides()?;
    // The next reading is most often on the edge of the last one.
    let last = bench.marks.with_untracked(|m| match &m.reference {
        Some(Reference::Marks { marks, .. }) => marks.last().map(|m| m.side),
        _ => None,
    });
    let side = RwSignal::new(last.unwrap_or(sides[0].0));
    let text = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let set = move || {
        let system = bench.desk.settings.get_untracked().system;
        match parse::length(&text.get_untracked(), system) {
            Ok(at) => {
                let side = side.get_untracked();
                bench.change(tr("Reading set"), |m| m.read(at, side));
                tools::ticks(bench, side);
            }
            Err(why) => wrong.set(Some(why.to_string())),
        }
    };
    let cancel = move |_| bench.remove(Spot::Pending);
    let view = view! {
        <form
            class="reading"
            on:submit=move |event| {
                event.prevent_default();
                set();
            }
        >
            <label for="reading-at">{tr("The tool reads here")}</label>
            <div class="row">
                <input
                    id="reading-at"
                    type="text"
                    inputmode=length_keyboard(bench.desk)
                    autocomplete="off"
                    aria-describedby="reading-error"
                    aria-invalid=move || wrong.with(|w| w.is_some().then_some("true"))
                    prop:value=text
                    on:input=move |event| text.set(event_target_value(&event))
                />
                <button id="reading-set" type="submit">
                    {tr("Set it")}
                </button>
                <button id="reading-cancel" type="button" class="remove" on:click=cancel>
                    {tr("Remove")}
                </button>
            </div>
            <p
                id="reading-error"
                class="error"
                role="alert"
                hidden=move || wrong.with(Option::is_none)
            >
                {wrong}
            </p>
            {side_choice("reading-side", sides, side.into(), move |chosen| side.set(chosen))}
        </form>
    };
    Some(view.into_any())
}

/// Which of the two edges a reading lies on.
fn side_choice(
    name: &'static str,
    sides: [(Side, &'static str); 2],
    held: Signal<Side>,
    choose: impl Fn(Side) + Copy + Send + 'static,
) -> impl IntoView {
    let buttons = [0, 1].map(|i| {
        let (side, word) = sides[i];
        view! {
            <button
                type="button"
                id=format!("{name}-{i}")
                aria-pressed=move || (held.get() == side).to_string()
                on:click=move |_| choose(side)
            >
                {word}
            </button>
        }
    });
    view! {
        <div class="row fill" role="group" aria-label=tr("Which edge")>
            {buttons.into_iter().shown()}
        </div>
    }
}

/// The readings that are set, folded away, to be bettered or taken out.
#[component]
fn Readings(bench: Bench, kind: Memo<Kind>) -> impl IntoView {
    let all = Memo::new(move |_| {
        bench.marks.with(|m| match &m.reference {
            Some(Reference::Marks { marks, .. }) => marks.len(),
            _ => 0,
        })
    });
    let one = move |spot: Spot| {
        let Spot::Reference(index) = spot else {
            return ().into_any();
        };
        let mark = Memo::new(move |_| {
            bench.marks.with(|m| match &m.reference {
                Some(Reference::Marks { marks, .. }) => marks.get(index).copied(),
                _ => None,
            })
        });
        let value = Signal::derive(move || {
            let system = bench.desk.settings.get().system;
            mark.get()
                .map_or(String::new(), |m| show::length(m.at, system))
        });
        let read = move |text: &str| {
            let system = bench.desk.settings.get_untracked().system;
            let at = parse::length(text, system).map_err(|e| e.to_string())?;
            better(bench, index, tr("Reading typed"), |mark| mark.at = at);
            Ok(())
        };
        let word = move || {
            let sides = kind.get().sides()?;
            let side = mark.get()?.side;
            sides.iter().find(|s| s.0 == side).map(|s| s.1)
        };
        let turn = move |_| {
            let Some(sides) = kind.get_untracked().sides() else {
                return;
            };
            better(bench, index, tr("Edge changed"), |mark| {
                let other = usize::from(mark.side == sides[0].0);
                mark.side = sides[other].0;
            });
        };
        view! {
            <li class="row">
                <Field
                    id=format!("reading-{index}-at")
                    label=say!("Reading {index}", index = index + 1)
                    keyboard=length_keyboard(bench.desk)
                    value
                    read
                />
                <button
                    id=format!("reading-{index}-side")
                    on:click=turn
                >
                    {word}
                </button>
                <button
                    id=format!("reading-{index}-remove")
                    class="remove"
                    on:click=move |_| bench.remove(spot)
                >
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    view! {
        <details id="readings" hidden=move || all.get() == 0>
            <summary>{move || say!("Readings ({all})", all = all.get())}</summary>
            <ul class="list">
                {keyed(move || (0..all.get()).map(Spot::Reference).collect(), one)}
            </ul>
        </details>
    }
}

fn better(bench: Bench, index: usize, what: &str, change: impl FnOnce(&mut RuleMark)) {
    bench.change(what, |m| {
        if let Some(Reference::Marks { marks, .. }) = &mut m.reference
            && let Some(mark) = marks.get_mut(index)
        {
            change(mark);
        }
    });
}
