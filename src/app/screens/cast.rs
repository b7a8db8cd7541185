//! The Cast page: how much of what for the copies, and does the mould stand it.
//!
//! Ids: `medium` (select), `copies`, `backing`, `cast-mass`, `cast-parts`, `cast-volume`,
//! `cast-heat`, `cast-food`, `no-cast`, `cautions`, `to-sheet`.

use crate::app::parts::bench::Bench;
use crate::app::parts::caution::cautions;
use crate::app::parts::drawings::{CAST, Drawn};
use crate::app::parts::explain::explain;
use crate::app::parts::field::Field;
use crate::app::parts::form::picked;
use crate::app::parts::missing::missing;
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::app::route::Page;
use crate::casting::{CastPlan, FoodVerdict, HeatVerdict, starter_media};
use crate::casting::{check_backing, check_copies};
use crate::job::{JobId, Piece, PieceId};
use crate::quantity::show::{self, System};
use crate::quantity::{Grams, parse};
use leptos::prelude::*;

/// The Cast page of a piece.
#[component]
pub fn Cast(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    let plan = Memo::new(move |_| bench.piece.with(|p| p.as_ref().map(Piece::cast)));
    let chosen = move || {
        bench
            .piece
            .with(|p| p.as_ref().is_some_and(|p| p.medium.is_some()))
    };
    let result = move || match plan.get() {
        Some(Ok(plan)) => numbers(bench, &plan),
        Some(Err(why)) if chosen() => {
            let plan = (bench.address(Page::Plan), "Go to the plan");
            missing("no-cast", "No numbers yet.", why, Some(plan))
        }
        Some(Err(_)) => view! {
            <p class="row">
                <Drawn what=&CAST />
                <span class="soft">"Choose what you cast, and the amounts stand here."</span>
            </p>
        }
        .into_any(),
        None => ().into_any(),
    };
    let cautions = move || match plan.get() {
        Some(Ok(plan)) => cautions(&plan.cautions),
        _ => None,
    };
    view! {
        <Inputs bench />
        {result}
        {cautions}
    }
}

/// What is cast, how often, and how thick its back is.
#[component]
fn Inputs(bench: Bench) -> impl IntoView {
    let media = StoredValue::new(starter_media());
    let chosen = Memo::new(move |_| {
        bench.read(|piece| piece.medium.as_ref().map(|medium| medium.id.clone()))
    });
    let choose = move |event| {
        let kept = chosen.get_untracked().unwrap_or_default();
        let id = picked(&event, &kept);
        let medium = media.with_value(|all| all.iter().find(|m| m.id == id).cloned());
        if medium.is_some() {
            bench.change("Medium chosen", move |piece| piece.medium = medium);
        }
    };
    // A card that came with an imported job may be none of the starters; it stays on offer.
    let options = move || {
        let own = bench.read(|piece| piece.medium.clone());
        let mut all = media.get_value();
        if let Some(own) = own
            && all.iter().all(|medium| medium.id != own.id)
        {
            all.push(own);
        }
        all.into_iter()
            .map(|medium| {
                let held = medium.id.clone();
                let selected = move || chosen.with(|c| c.as_ref() == Some(&held));
                view! {
                    <option value=medium.id prop:selected=selected>
                        {medium.name}
                    </option>
                }
            })
            .shown()
    };
    let copies = move |text: &str| {
        let count = parse::number(text).map_err(|e| e.to_string())?;
        check_copies(count).map_err(|e| e.to_string())?;
        bench.change("Copies changed", move |piece| piece.copies = count as u32);
        Ok(())
    };
    let backing = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        check_backing(length).map_err(|e| e.to_string())?;
        bench.change("Backing changed", move |piece| piece.backing = length);
        Ok(())
    };
    view! {
        <div class="field">
            <label for="medium">"Casting medium"</label>
            <select id="medium" on:change=choose>
                <option value="" disabled=true prop:selected=move || chosen.with(Option::is_none)>
                    "Choose one"
                </option>
                {options}
            </select>
        </div>
        <div class="pair">
            <Field
                id="copies"
                label="Copies"
                hint="From this one mould."
                value=Signal::derive(move || bench.read(|piece| piece.copies.to_string()))
                read=copies
            />
            <Field
                id="backing"
                label="Backing"
                hint="A flat back; 0 for none."
                keyboard="text"
                value=Signal::derive(move || {
                    bench.read(|piece| show::length(piece.backing, bench.system()))
                })
                read=backing
            />
        </div>
    }
}

/// How much of what, and whether it goes.
fn numbers(bench: Bench, plan: &CastPlan) -> AnyView {
    let system = bench.system();
    let (copies, step) = bench.read(|piece| (piece.copies, piece.scale_step.0));
    let step = Grams(step);
    let parts = plan
        .parts
        .iter()
        .zip(&plan.parts_total)
        .map(|((name, each), (_, total))| {
            view! {
                <tr>
                    <th scope="row">{name.clone()}</th>
                    <td>{show::weighing(*each, step, system)}</td>
                    <td>{show::mass(*total, system)}</td>
                </tr>
            }
        })
        .shown();
    let how_many = if copies == 1 {
        "Have ready, for one copy".to_owned()
    } else {
        format!("Have ready, for {copies} copies")
    };
    let ready: Grams = plan.parts_total.iter().map(|(_, mass)| *mass).sum();
    let size = plan.size_change.map(|change| {
        let percent = show::number(change.abs() * 100.0, 2);
        let word = if change < 0.0 { "shorter" } else { "longer" };
        view! { <p class="soft">{format!("The copy comes out {percent} % {word} than the original.")}</p> }
    });
    view! {
        <section class="total">
            <p class="label">{how_many}</p>
            <p id="cast-mass" class="figure">
                {show::mass(ready, system)}
            </p>
            <p>
                "The mould takes "
                {show::mass_range(&plan.mass_total, system)}
                " "
                {range_mark(&plan.mass_total)}
            </p>
            <p class="soft">"The rest covers that range and what stays in the bowl."</p>
        </section>
        {heat(&plan.heat, system)}
        {food(plan.food)}
        <div class="scroll" tabindex="0">
            <table id="cast-parts">
                <thead>
                    <tr>
                        <th scope="col">"Weigh out"</th>
                        <th scope="col">"One copy"</th>
                        <th scope="col">"All"</th>
                    </tr>
                </thead>
                <tbody>{parts}</tbody>
            </table>
        </div>
        <p id="cast-volume">
            "One copy fills "
            {show::volume_range(&plan.volume, system)}
            " "
            {range_mark(&plan.volume)}
        </p>
        <p>"Take it out after " {show::duration(plan.set_time)} "."</p>
        {size}
        {plan.why.iter().map(|reason| explain(reason, system)).shown()}
    }
    .into_any()
}

/// The verdict on the heat: a sign, a word and a sentence.
fn heat(verdict: &HeatVerdict, system: System) -> AnyView {
    let (class, word) = match verdict {
        HeatVerdict::Stands { .. } => ("done", "✓ Heat: "),
        HeatVerdict::Close { .. } => ("wait", "! Heat, close: "),
        HeatVerdict::TooHot { .. } => ("stop", "✕ Too hot: "),
        HeatVerdict::UnknownAskSheet { .. } => ("wait", "? Heat, not known: "),
    };
    verdict_line("cast-heat", class, word, verdict.sentence(system))
}

/// The verdict on food.
fn food(verdict: FoodVerdict) -> AnyView {
    let (class, word) = match verdict {
        FoodVerdict::NotFood => ("note", "Food: "),
        FoodVerdict::AsDeclared => ("wait", "! Food: "),
        FoodVerdict::Unconfirmed
        | FoodVerdict::NotDeclared
        | FoodVerdict::RuledOut
        | FoodVerdict::NeverAgain => ("stop", "✕ Food: "),
    };
    verdict_line("cast-food", class, word, verdict.sentence().to_owned())
}

fn verdict_line(
    id: &'static str,
    class: &'static str,
    word: &'static str,
    text: String,
) -> AnyView {
    view! {
        <div id=id class=class>
            <p>
                <strong>{word}</strong>
                {text}
            </p>
        </div>
    }
    .into_any()
}
