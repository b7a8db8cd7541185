//! One page of the sheet: a piece from its footprint to its casts.

use crate::app::parts::outline::outline;
use crate::app::parts::portion::{part_letter, portion};
use crate::app::parts::range::range_mark;
use crate::app::parts::standing::piece_name;
use crate::casting::CastPlan;
use crate::clock::{Moment, Tap};
use crate::coating::{Caution, KitItem, Plan, cure, weight_to_carry};
use crate::job::Piece;
use crate::phone::time;
use crate::quantity::show::{self, System};
use crate::survey::Footprint;
use leptos::prelude::*;

/// What is known of a piece; where something is missing the page says what.
pub fn page(piece: &Piece, system: System) -> AnyView {
    let found = piece.footprint();
    let plan = piece.plan();
    let measured = match &found {
        Ok(found) => footprint(piece, found, system),
        Err(why) => missing("Not measured yet", why),
    };
    let planned = match &plan {
        Ok(plan) => coats(piece, plan, system),
        Err(why) if found.is_ok() => missing("Not planned yet", why),
        Err(_) => ().into_any(),
    };
    let bag = piece.kit().ok().map(|items| bag(piece, &items, system));
    let casts = piece.cast().ok();
    let cast = casts.as_ref().map(|casts| cast(piece, casts, system));
    let of_plan = plan.as_ref().map_or(&[][..], |plan| &plan.cautions);
    let of_cast = casts.as_ref().map_or(&[][..], |casts| &casts.cautions);
    let minds = mind(of_plan, of_cast);
    let about: Vec<String> = [
        piece.material.trim().to_owned(),
        piece.finish.name().to_owned(),
        show::temperature(piece.temperature, system),
    ]
    .into_iter()
    .filter(|fact| !fact.is_empty())
    .collect();
    view! {
        <h2>
            {piece_name(piece)} " " <span class="soft">{about.join(", ")}</span>
        </h2>
        <div class="sheet-columns">
            {measured} <div>{planned} {cast}</div>
        </div>
        {bag}
        {minds}
        <p class="source">
            "Made with Peelcast. Ranges hold in 95 of 100 cases. The paste's own sheet and local rules come first."
        </p>
    }
    .into_any()
}

fn missing(what: &'static str, why: &str) -> AnyView {
    view! {
        <p>
            <b>{what} ". "</b>
            {why.to_owned()}
        </p>
    }
    .into_any()
}

fn footprint(piece: &Piece, found: &Footprint, system: System) -> AnyView {
    let relief = piece.relief.map(|relief| {
        view! {
            <div>
                <dt>"Highest point"</dt>
                <dd>{show::length(relief.highest, system)}</dd>
            </div>
        }
    });
    view! {
        <section>
            {outline(found, piece.border, system)}
            <dl class="pairs">
                <div>
                    <dt>"Footprint"</dt>
                    <dd>{show::area_range(&found.area, system)} " " {range_mark(&found.area)}</dd>
                </div>
                <div>
                    <dt>"Edge"</dt>
                    <dd>
                        {show::length_range(&found.perimeter, system)} " "
                        {range_mark(&found.perimeter)}
                    </dd>
                </div>
                {relief}
                <div>
                    <dt>"Border"</dt>
                    <dd>{show::length(piece.border, system)}</dd>
                </div>
            </dl>
        </section>
    }
    .into_any()
}

fn coats(piece: &Piece, plan: &Plan, system: System) -> AnyView {
    let rows = plan
        .coats
        .iter()
        .map(|coat| {
            let batch = coat
                .batches
                .first()
                .map(|batch| portion(batch, piece.scale_step, system));
            view! {
                <tr>
                    <th scope="row">{format!("{}. {}", coat.number, coat.role.name())}</th>
                    <td>{show::length(coat.thickness, system)} ", " {coat.tool.name()}</td>
                    <td>{show::mass_range(&coat.mass, system)}</td>
                    <td>{format!("{} × ", coat.batches.len())} {batch}</td>
                    <td class="blank">{on_at(piece, coat.number)}</td>
                </tr>
            }
        })
        .collect_view();
    let at = |minutes| cure::at_temperature(minutes, &piece.card, piece.temperature);
    view! {
        <section>
            <p>
                "Bring "
                <b class="sheet-total">{show::mass(plan.bring, system)}</b>
                " of "
                {piece.card.name.clone()}
                ": "
                <span class="portion">{part_letter('A')} " " {show::mass(plan.bring_a, system)}</span>
                <span class="portion">{part_letter('B')} " " {show::mass(plan.bring_b, system)}</span>
            </p>
            <p>
                "Expected need "
                {show::mass_range(&plan.total, system)}
                " "
                {range_mark(&plan.total)}
                ", spare "
                {show::mass(plan.spare, system)}
                "."
            </p>
            <div class="scroll">
            <table>
                <thead>
                    <tr>
                        <th scope="col">"Coat"</th>
                        <th scope="col">"Thickness"</th>
                        <th scope="col">"Mass"</th>
                        <th scope="col">"Batches"</th>
                        <th scope="col">"On at"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            </div>
            <p>
                {format!(
                    "At {}: sets in {}; next coat after {}; peel after {}. Touch decides.",
                    show::temperature(piece.temperature, system),
                    show::duration_range(&plan.working),
                    show::duration_range(&at(piece.card.recoat_from)),
                    show::duration_range(&at(piece.card.demould)),
                )} {off_at(piece)}
            </p>
        </section>
    }
    .into_any()
}

/// When a coat was all on, as far as the log says.
fn on_at(piece: &Piece, coat: u32) -> Option<String> {
    let done = |moment: &&Moment| match moment.tap {
        Tap::BatchDone {
            coat: done, last, ..
        } => done == coat && last,
        _ => false,
    };
    let moment = piece.coat_log.iter().rev().find(done)?;
    Some(time::day_and_clock(moment.at))
}

/// When the skin came off.
fn off_at(piece: &Piece) -> Option<String> {
    let off = piece
        .coat_log
        .iter()
        .rev()
        .find(|m| m.tap == Tap::Demoulded)?;
    Some(format!(
        " The skin came off {}.",
        time::day_and_clock(off.at)
    ))
}

fn bag(piece: &Piece, items: &[KitItem], system: System) -> AnyView {
    let sign = |key: &String| {
        if piece.ticked.contains(key) {
            "☑"
        } else {
            "☐"
        }
    };
    let lines = items.iter().map(|item| {
        format!(
            "{} {} {}",
            sign(&item.key),
            item.amount.show(system),
            item.what
        )
    });
    let own = piece
        .own_items
        .iter()
        .map(|item| format!("{} {}", sign(&item.key), item.what));
    let lines: Vec<_> = lines
        .chain(own)
        .map(|line| view! { <li>{line}</li> })
        .collect();
    view! {
        <section>
            <h3>"Bag, about " {show::mass(weight_to_carry(items), system)}</h3>
            <ul class="sheet-list">{lines}</ul>
        </section>
    }
    .into_any()
}

fn cast(piece: &Piece, plan: &CastPlan, system: System) -> AnyView {
    let medium = piece.medium.as_ref().map_or("", |medium| &medium.name);
    let parts: Vec<String> = plan
        .parts
        .iter()
        .map(|(name, mass)| format!("{name} {}", show::weighing(*mass, piece.scale_step, system)))
        .collect();
    view! {
        <section>
            <h3>{format!("Casts: {} of {medium}", piece.copies)}</h3>
            <p>
                {format!(
                    "Each: {}; fills {}; out after {}. All: {}. ",
                    parts.join(", "),
                    show::volume_range(&plan.volume, system),
                    show::duration(plan.set_time),
                    show::mass_range(&plan.mass_total, system),
                )} {plan.heat.sentence(system)} " " {plan.food.sentence()}
            </p>
        </section>
    }
    .into_any()
}

/// The cautions of plan and cast, each once.
fn mind(of_plan: &[Caution], of_cast: &[Caution]) -> Option<AnyView> {
    let mut all: Vec<&Caution> = Vec::new();
    for caution in of_plan.iter().chain(of_cast) {
        if all.iter().all(|other| other.text != caution.text) {
            all.push(caution);
        }
    }
    (!all.is_empty()).then(|| {
        let lines = all.into_iter().map(|caution| {
            view! {
                <li>
                    <b>{caution.text.clone()}</b>
                    " "
                    {caution.advice.clone()}
                    " "
                    <span class="source">{format!("({})", caution.source)}</span>
                </li>
            }
        });
        view! {
            <section class="sheet-mind">
                <h3>"Mind"</h3>
                <ul class="sheet-list">{lines.collect_view()}</ul>
            </section>
        }
        .into_any()
    })
}
