//! One page of the sheet, drawn from the job's own sheet data.

use crate::app::parts::explain::amount_mark;
use crate::app::parts::masses::{mass_list, masses};
use crate::app::parts::outline::outline;
use crate::app::parts::section::section as coats_section;
use crate::app::parts::shown::Shown;
use crate::job::Piece;
use crate::job::sheet::{Body, Fact, Section, SheetPage};
use crate::quantity::show::System;
use leptos::prelude::*;

/// The sections that stand beside the drawing.
const BESIDE: [&str; 3] = ["measured", "times", "cast"];

/// A piece from its head to its cautions, with its outline.
/// `picture` is the address of its photo laid flat, once there is one.
pub fn page(
    page: &SheetPage,
    piece: &Piece,
    system: System,
    picture: Signal<Option<String>>,
) -> AnyView {
    let notice = page
        .notice
        .map(|notice| view! { <p class="made-up">{notice}</p> }.into_any());
    let drawing = page
        .flat
        .as_ref()
        .map(|flat| outline(flat, &page.measured, piece.border, system, picture));
    let (beside, below): (Vec<_>, Vec<_>) = page
        .sections
        .iter()
        .partition(|section| BESIDE.contains(&section.key));
    let beside = beside.into_iter().map(section).shown();
    let below = below.into_iter().map(|one| {
        let drawn = (one.key == "coats").then(|| pictures(page, piece, system));
        view! { {section(one)} {drawn} }
    });
    view! {
        <article class="sheet" id=format!("sheet-{}", page.piece)>
            {notice}
            <h2>
                {page.title.clone()} " " <span class="soft">{page.job.clone()}</span>
            </h2>
            {facts(&page.head)}
            <div class="sheet-top">{drawing} <div class="sheet-beside">{beside}</div></div>
            {below.shown()}
        </article>
    }
    .into_any()
}

/// The section through the coats, and where the paste goes; nothing while there is no plan.
fn pictures(page: &SheetPage, piece: &Piece, system: System) -> Option<AnyView> {
    let plan = page.plan.as_ref()?;
    let coats: Vec<_> = plan.coats.iter().map(|coat| coat.thickness).collect();
    let through = coats_section(piece.relief.as_ref()?, piece.border, &coats, system);
    Some(
        view! {
            <div class="sheet-pictures">
                <figure>{through}</figure>
                <figure>{masses(plan, system)} {mass_list(plan, system)}</figure>
            </div>
        }
        .into_any(),
    )
}

fn section(section: &Section) -> AnyView {
    let key = section.key;
    let body = section
        .body
        .iter()
        .map(|body| match body {
            Body::Facts(all) => facts(all),
            Body::Table { rows, .. } if key == "bag" => ticks(rows),
            Body::Table { rows, .. } if key == "log" => list(&joined(rows, " ")),
            Body::Table { rows, .. } if key == "card" => list(&joined(rows, ", ")),
            Body::Table { head, rows } => table(head, rows),
            Body::Lines(lines) => list(lines),
            Body::Missing(sentence) => view! { <p>{sentence.clone()}</p> }.into_any(),
        })
        .shown();
    view! {
        <section class=format!("sheet-{key}")>
            <h3>{section.title}</h3>
            {body}
        </section>
    }
    .into_any()
}

fn facts(all: &[Fact]) -> AnyView {
    let lines = all.iter().map(|fact| {
        view! {
            <div>
                <dt>{fact.what.clone()}</dt>
                <dd>{fact.value.clone()} " " {fact.amount.as_ref().and_then(amount_mark)}</dd>
            </div>
        }
    });
    view! { <dl class="pairs">{lines.shown()}</dl> }.into_any()
}

fn table(head: &[String], rows: &[Vec<String>]) -> AnyView {
    let head = head
        .iter()
        .map(|name| view! { <th scope="col">{name.clone()}</th> }.into_any());
    let rows = rows.iter().map(|row| {
        let cells = row
            .iter()
            .map(|cell| view! { <td>{cell.clone()}</td> }.into_any());
        view! { <tr>{cells.shown()}</tr> }
    });
    view! {
        <div class="scroll" tabindex="0">
            <table>
                <thead>
                    <tr>{head.shown()}</tr>
                </thead>
                <tbody>{rows.shown()}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// The bag as a list with a box to tick on paper; its rows are tick, name and amount.
fn ticks(rows: &[Vec<String>]) -> AnyView {
    let lines = rows.iter().map(|row| {
        let box_ = match row.first() {
            Some(tick) if !tick.is_empty() => "☑",
            _ => "☐",
        };
        let mut words = row.iter().skip(1).cloned();
        let what = words.next().unwrap_or_default();
        let amount = words.next().unwrap_or_default();
        view! { <li>{box_} " " <b>{amount}</b> " " {what}</li> }
    });
    view! { <ul class="sheet-list">{lines.shown()}</ul> }.into_any()
}

/// Rows of a table as lines.
fn joined(rows: &[Vec<String>], by: &str) -> Vec<String> {
    rows.iter().map(|row| row.join(by)).collect()
}

fn list(lines: &[String]) -> AnyView {
    let lines = lines
        .iter()
        .map(|line| view! { <li>{line.clone()}</li> }.into_any());
    view! { <ul class="sheet-list">{lines.shown()}</ul> }.into_any()
}
