//! The figures with their ranges, and one sentence on what is missing or worth doing.

use super::bench::{Bench, Findings};
use super::explained::explained;
use super::kind::Kind;
use super::marks::{Marks, Task};
use super::photos::length;
use crate::app::parts::explain::explain;
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::quantity::show::{self, System};
use crate::quantity::{Millimetres, Z95};
use crate::say;
use crate::survey::Footprint;
use crate::words::tr;
use leptos::prelude::*;

/// Footprint, edge and tilt, each with its range; a tap shows how they came about.
#[component]
pub fn Figures(bench: Bench) -> impl IntoView {
    let footprint =
        Memo::new(move |_| bench.findings.with(|f| f.as_ref()?.footprint.clone()?.ok()));
    let system = move || bench.desk.settings.get().system;
    let area = cell(footprint, move |f| {
        (show::area_range(&f.area, system()), range_mark(&f.area))
    });
    let edge = cell(footprint, move |f| {
        (
            show::length_range(&f.perimeter, system()),
            range_mark(&f.perimeter),
        )
    });
    let tilt = cell(footprint, move |f| {
        (show::angle_range(&f.tilt), range_mark(&f.tilt))
    });
    let how = move || {
        let system = system();
        let all = bench.findings.with(|findings| {
            let findings = findings.as_ref()?;
            Some(bench.marks.with(|marks| explained(findings, marks)))
        });
        all.unwrap_or_default()
            .iter()
            .map(|one| explain(one, system))
            .shown()
    };
    let open = RwSignal::new(false);
    view! {
        <details
            id="footprint"
            class="figures"
            on:toggle=move |_| open.update(|open| *open = !*open)
        >
            <summary>
                <span id="footprint-area" class="cell">
                    <span class="word">{tr("Footprint")}</span>
                    {area}
                </span>
                <span id="footprint-edge" class="cell">
                    <span class="word">{tr("Edge")}</span>
                    {edge}
                </span>
                <span id="footprint-tilt" class="cell">
                    <span class="word">{tr("Tilt")}</span>
                    {tilt}
                </span>
            </summary>
            <div class="how">{move || open.get().then(how)}</div>
        </details>
    }
}

/// One figure: its value large, its range below, and the mark of the range.
fn cell(
    footprint: Memo<Option<Footprint>>,
    show: impl Fn(&Footprint) -> (String, AnyView) + Copy + Send + Sync + 'static,
) -> impl Fn() -> AnyView + Copy + Send + Sync {
    move || {
        footprint.with(|f| {
            let Some(f) = f else {
                return view! { <strong>"–"</strong> }.into_any();
            };
            let (text, mark) = show(f);
            // "2140 cm² (2110 to 2170)": the value first, then its range.
            let (value, range) = match text.split_once(" (") {
                Some((value, range)) => (value, range.trim_end_matches(')')),
                None => (text.as_str(), ""),
            };
            let cell = view! {
                <strong>{value.to_owned()}</strong>
                {mark}
                <span class="between">{range.to_owned()}</span>
            };
            cell.into_any()
        })
    }
}

/// What is missing, wrong, or worth giving.
#[component]
pub fn Advice(bench: Bench) -> impl IntoView {
    let said = Memo::new(move |_| {
        let task = bench.task.get();
        let system = bench.desk.settings.get().system;
        bench.findings.with(|f| {
            let f = f.as_ref()?;
            bench.marks.with(|m| match (task, m.is_section()) {
                (Task::Outline, true) => Some(section_advice(m, f, system)),
                _ => advice(task, m, f),
            })
        })
    });
    let text = move || said.with(|s| s.as_ref().map(|s| s.text.clone()));
    let more = move || {
        let notes = said.with(|s| s.as_ref().map(|s| s.notes.clone()));
        remarks(notes.unwrap_or_default())
    };
    let wrong = move || said.with(|s| s.as_ref().is_some_and(|s| s.wrong));
    view! {
        <div id="advice" class="advice" aria-live="polite">
            <p class:error=wrong>{text}</p>
            {more}
        </div>
    }
}

/// All remarks: the first sentence of the first is seen, and opens to the rest.
fn remarks(notes: Vec<String>) -> Option<AnyView> {
    let (first, rest) = notes.split_first()?;
    let (head, tail) = match first.split_once(". ") {
        Some((head, tail)) => (format!("{head}."), tail.to_owned()),
        None => (first.clone(), String::new()),
    };
    let others = match rest.len() {
        0 => String::new(),
        n => say!(" (and {n} more)", n),
    };
    let lines = std::iter::once(tail).chain(rest.to_vec());
    let view = view! {
        <details class="remark">
            <summary>{head} {others}</summary>
            {lines.map(|line| view! { <p>{line}</p> }).shown()}
        </details>
    };
    Some(view.into_any())
}

/// One sentence, and remarks of the survey.
#[derive(Clone, Debug, Default, PartialEq)]
struct Said {
    text: String,
    wrong: bool,
    notes: Vec<String>,
}

fn advice(task: Task, marks: &Marks, findings: &Findings) -> Option<Said> {
    let say = |text: &str| Said {
        text: text.to_owned(),
        ..Said::default()
    };
    let said = match task {
        Task::Reference => reference_advice(marks, findings),
        Task::Outline => match (&findings.wall, &findings.footprint) {
            (Err(_), _) => say(tr(
                "Mark the reference first: without it nothing has a size.",
            )),
            (_, Some(Err(why))) => Said {
                text: why.clone(),
                wrong: true,
                notes: Vec::new(),
            },
            (_, None) if marks.outline().is_empty() => {
                say(tr("Tap round the edge of the ornament, point by point."))
            }
            (_, Some(Ok(footprint))) if marks.open.is_none() => {
                if footprint.notes.is_empty() {
                    say(tr("Drag a point to move it, tap an edge to add one."))
                } else {
                    Said {
                        notes: footprint.notes.clone(),
                        ..Said::default()
                    }
                }
            }
            _ => match marks.open {
                Some(hole) if hole > 0 && !marks.can_close() => say(tr(
                    "Tap round its edge: inside the outline it is left out, beside it the border spares it.",
                )),
                _ if marks.can_close() => {
                    say(tr("Go on round. Tap the first point again to close."))
                }
                _ => say(tr("Go on round the edge, point by point.")),
            },
        },
        Task::Check => match &findings.footprint {
            Some(Ok(_)) => say(tr(
                "Does it look true? What is square on the wall must be square here. Tap two places to measure between them.",
            )),
            Some(Err(why)) => Said {
                text: why.clone(),
                wrong: true,
                notes: Vec::new(),
            },
            None => say(tr("Mark the reference and trace the outline first.")),
        },
    };
    Some(said)
}

fn section_advice(marks: &Marks, findings: &Findings, system: System) -> Said {
    let mut wrong = false;
    let text = match (&findings.wall, &findings.section) {
        (Err(_), _) => tr("Mark the reference first: without it nothing has a size.").to_owned(),
        (_, None) => match marks.outline().len() {
            0 => tr("Tap the edge where the gauge’s one end met the wall.").to_owned(),
            1 | 2 => tr("Go on along the edge of the pins, point by point.").to_owned(),
            _ => {
                tr("Go on to where its other end met the wall; that point is the last.").to_owned()
            }
        },
        (_, Some(Err(why))) => {
            wrong = true;
            why.clone()
        }
        (_, Some(Ok(found))) => {
            let spread = Millimetres((Z95 * found.sd.0 * 10.0).round() / 10.0);
            say!(
                "A section {length} long and {highest} high, each height give or take {spread}. Drag a point to move it, tap the line to add one.",
                length = length(found.length(), system),
                highest = length(found.highest(), system),
                spread = show::length(spread, system)
            )
        }
    };
    Said {
        text,
        wrong,
        notes: Vec::new(),
    }
}

fn reference_advice(marks: &Marks, findings: &Findings) -> Said {
    let kind = marks.kind();
    let text = match &findings.wall {
        Ok(_) => tr("Marked. Zoom in and drag a mark to set it exactly."),
        Err(_) if marks.pending.is_some() && kind == Kind::Shared => {
            tr("Now tap the same place on the photo before.")
        }
        Err(_) if marks.pending.is_some() => tr("What does the tool read at the new mark?"),
        Err(why) if !marks.reference_places().is_empty() => why,
        Err(_) => match kind {
            Kind::Card => tr("Tap the card’s four corners, where its straight edges would cross."),
            Kind::A4 | Kind::Letter => tr("Tap the four corners of the sheet."),
            Kind::Own => tr("Type its width and height, and tap its four corners."),
            Kind::Square => {
                tr("Tap a reading on the outer edge of an arm, then type it. Two on each arm.")
            }
            Kind::Rule => tr(
                "Type the rule’s width. Tap a reading on a long edge, then type it. Two on each edge.",
            ),
            Kind::Shared => tr(
                "Tap a place that both photos show, then the same place on the photo before. Four at least, far apart.",
            ),
            Kind::Edge => tr(
                "Tap a reading along the rule’s edge, then type it. Two at least, far apart; more are better.",
            ),
        },
    };
    let text = text.to_owned();
    let complete = kind.has_corners() && marks.reference_places().len() >= 4;
    Said {
        wrong: complete && findings.wall.is_err(),
        notes: findings
            .wall
            .as_ref()
            .map(|wall| wall.notes().to_vec())
            .unwrap_or_default(),
        text,
    }
}
