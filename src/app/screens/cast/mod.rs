//! The Cast page: how much of what for the copies, and does the mould stand it.
//!
//! Ids: `medium` (select), `copies`, `moulds`, `backing`, `filling-solid`, `filling-slush`,
//! `filling-sheet`, `filling-thickness`, `medium-price`, `food-confirmed`, `cast-mass`, `cast-parts`,
//! `cast-volume`, `cast-heat`, `cast-food`, `cast-spoils`, `cast-release`, `cast-size`, `cast-batch`, `cast-life`,
//! `no-cast`, `cautions`, `to-moulds`; own.rs has those of a medium of one's own, log.rs those of what was cast.

mod log;
mod own;

use crate::app::parts::bench::Bench;
use crate::app::parts::caution::cautions;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::drawings::{CAST, Drawn};
use crate::app::parts::explain::{explain, explain_as};
use crate::app::parts::field::Field;
use crate::app::parts::form::{Tick, picked, price};
use crate::app::parts::missing::missing;
use crate::app::parts::range::range_mark;
use crate::app::parts::shown::Shown;
use crate::app::route::{Page, Route};
use crate::casting::{
    ALL_COPIES, CastPlan, Filling, FoodVerdict, HAVE_READY, HeatVerdict, MediumCard, starter_media,
};
use crate::casting::{check_backing, check_copies, check_moulds};
use crate::coating::{FoodStatement, check_price};
use crate::job::{Job, JobId, Piece, PieceId};
use crate::quantity::show::{self, System};
use crate::quantity::{Grams, Millimetres, parse};
use crate::say;
use crate::words::tr;
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
            let plan = (bench.address(Page::Plan), tr("Go to the plan"));
            missing("no-cast", tr("No numbers yet."), why, Some(plan))
        }
        Some(Err(_)) => view! {
            <p class="row">
                <Drawn what=&CAST />
                <span class="soft">{tr("Choose what you cast, and the amounts stand here.")}</span>
            </p>
        }
        .into_any(),
        None => ().into_any(),
    };
    // Said before it is poured; what the medium does to people waits for no numbers.
    let cautions = move || match plan.get() {
        Some(Ok(plan)) => cautions(&plan.cautions),
        _ => cautions(&bench.read(|piece| {
            let medium = piece.medium.as_ref();
            medium.map(MediumCard::cautions).unwrap_or_default()
        })),
    };
    let finished = move || {
        bench.read(|piece| piece.born().is_some()).then(|| {
            view! {
                <div class="bar">
                    <a id="to-moulds" class="button" href=Route::Moulds.to_string()>
                        {tr("See the finished moulds")}
                    </a>
                </div>
            }
        })
    };
    view! {
        <Inputs bench />
        {result}
        {cautions}
        {log::log(bench)}
        {finished}
    }
}

/// What is cast, how often, and how thick its back is.
#[component]
fn Inputs(bench: Bench) -> impl IntoView {
    let offered = move || media_on_offer(bench);
    let asking = RwSignal::new(false);
    let chosen = Memo::new(move |_| {
        bench.read(|piece| piece.medium.as_ref().map(|medium| medium.id.clone()))
    });
    let choose = move |event| {
        let kept = chosen.get_untracked().unwrap_or_default();
        let id = picked(&event, &kept);
        asking.set(id == own::NEW);
        let medium = offered().into_iter().find(|m| m.id == id);
        if medium.is_some() {
            bench.change(tr("Medium chosen"), move |piece| piece.medium = medium);
        }
    };
    let options = move || {
        offered()
            .into_iter()
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
        bench.change(tr("Copies changed"), move |piece| {
            piece.copies = count as u32;
        });
        Ok(())
    };
    let moulds = move |text: &str| {
        let count = parse::number(text).map_err(|e| e.to_string())?;
        check_moulds(count).map_err(|e| e.to_string())?;
        bench.change(tr("Moulds changed"), move |piece| {
            piece.moulds = count as u32;
        });
        Ok(())
    };
    let store_price = move |price: Option<f64>| {
        if let Some(price) = price {
            check_price(price).map_err(|e| e.to_string())?;
        }
        bench.change(tr("Price changed"), move |piece| {
            piece.prices.medium_kg = price;
        });
        Ok(())
    };
    let backing = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        check_backing(length).map_err(|e| e.to_string())?;
        bench.change(tr("Backing changed"), move |piece| piece.backing = length);
        Ok(())
    };
    view! {
        <div class="field">
            <label for="medium">{tr("Casting medium")}</label>
            <select id="medium" on:change=choose>
                <option value="" disabled=true prop:selected=move || chosen.with(Option::is_none)>
                    {tr("Choose one")}
                </option>
                {options}
                <option value=own::NEW>{tr("One of my own, from its sheet …")}</option>
            </select>
        </div>
        {move || asking.get().then(|| own::form(bench, asking))}
        {filling(bench)}
        <div class="pair">
            <Field
                id="copies"
                label=tr("Copies")
                hint=tr("In all.")
                value=Signal::derive(move || bench.read(|piece| piece.copies.to_string()))
                read=copies
            />
            <Field
                id="moulds"
                label=tr("Moulds")
                hint=tr("Filled side by side.")
                value=Signal::derive(move || bench.read(|piece| piece.moulds.to_string()))
                read=moulds
            />
            <Field
                id="backing"
                label=tr("Backing")
                hint=tr("A flat back; 0 for none.")
                keyboard="text"
                value=Signal::derive(move || {
                    bench.read(|piece| show::length(piece.backing, bench.system()))
                })
                read=backing
            />
            {price(
                "medium-price",
                tr("Price of a kilogram"),
                tr("Empty if unknown."),
                move || bench.read(|piece| piece.prices.medium_kg),
                store_price,
            )}
        </div>
        {confirmation(bench)}
    }
}

/// The starters and, without twins, what any job of this phone casts: cards of one's own, and those
/// that came with an import.
fn media_on_offer(bench: Bench) -> Vec<MediumCard> {
    let mut all = starter_media();
    let here = bench.read(|piece| piece.medium.clone());
    let elsewhere = bench.desk.jobs.with(|jobs| {
        let pieces = jobs.iter().flat_map(|job: &Job| &job.pieces);
        pieces
            .filter_map(|piece| piece.medium.clone())
            .collect::<Vec<_>>()
    });
    for medium in here.into_iter().chain(elsewhere) {
        if all.iter().all(|known| known.id != medium.id) {
            all.push(medium);
        }
    }
    all
}

/// Solid, or as a shell or a sheet of some thickness.
fn filling(bench: Bench) -> AnyView {
    let now = Memo::new(move |_| bench.read(|piece| piece.filling));
    let usual = Millimetres(5.0);
    let answers = vec![
        Answer::new("solid", tr("Filled to the brim")),
        Answer::new("slush", tr("Hollow")).help(tr("swilled around and poured out again")),
        Answer::new("sheet", tr("A sheet")).help(tr("rolled out and pressed in")),
    ];
    let key = Memo::new(move |_| {
        match now.get() {
            Filling::Solid => "solid",
            Filling::Slush(_) => "slush",
            Filling::Sheet(_) => "sheet",
        }
        .to_owned()
    });
    let choose = move |key: String| {
        let thickness = now.get_untracked().thickness().unwrap_or(usual);
        let filling = match key.as_str() {
            "slush" => Filling::Slush(thickness),
            "sheet" => Filling::Sheet(thickness),
            _ => Filling::Solid,
        };
        bench.change(tr("Filling changed"), move |piece| piece.filling = filling);
    };
    let thick = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        let filling = match now.get_untracked() {
            Filling::Sheet(_) => Filling::Sheet(length),
            _ => Filling::Slush(length),
        };
        filling.check().map_err(|e| e.to_string())?;
        bench.change(tr("Filling changed"), move |piece| piece.filling = filling);
        Ok(())
    };
    let shown = move || {
        let thickness = now.get().thickness();
        thickness.map_or(String::new(), |mm| show::length(mm, bench.system()))
    };
    view! {
        <Choice
            name="filling"
            legend=tr("How the mould is filled")
            answers=Signal::stored(answers)
            chosen=key
            choose
            lines=true
        />
        <div hidden=move || now.get().thickness().is_none()>
            <Field
                id="filling-thickness"
                label=tr("How thick it stays on the mould")
                keyboard="text"
                value=Signal::derive(shown)
                read=thick
            />
        </div>
    }
    .into_any()
}

/// The user's word that the paste's sheet allows food, asked for only where the card says so.
fn confirmation(bench: Bench) -> AnyView {
    let asked = move || {
        bench.read(|piece| {
            let food = piece.medium.as_ref().is_some_and(|medium| medium.food);
            food && piece.card.food == FoodStatement::DeclaredByMaker
        })
    };
    let confirm = move |yes| {
        bench.change(tr("Food declaration changed"), move |piece| {
            piece.confirmed_for_food = yes;
        });
    };
    view! {
        <div hidden=move || !asked()>
            <Tick
                id="food-confirmed"
                label=tr("I have read on the paste’s own sheet that it is declared for food.")
                value=Signal::derive(move || bench.read(|piece| piece.confirmed_for_food))
                store=confirm
            />
        </div>
    }
    .into_any()
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
        tr("Have ready, for one copy").to_owned()
    } else {
        say!("Have ready, for {copies} copies", copies)
    };
    let ready: Grams = plan.parts_total.iter().map(|(_, mass)| *mass).sum();
    let brim = plan.to_the_brim.map(|brim| {
        view! {
            <p>
                {tr("To fill the mould for one shell mix ")}
                {show::mass(brim.enough95(), system)}
                {tr("; what does not stay flows back, and serves for the next one while it flows.")}
            </p>
        }
    });
    let reason = |what| plan.why.iter().find(|reason| reason.what == tr(what));
    let ready = reason(HAVE_READY).map(|why| {
        let mass = view! { <b id="cast-mass" class="figure">{show::mass(ready, system)}</b> };
        explain_as(why, &how_many, mass.into_any(), system)
    });
    let others = plan.why.iter().filter(|why| {
        [tr(HAVE_READY), tr(ALL_COPIES)]
            .iter()
            .all(|what| why.what != *what)
    });
    view! {
        <section class="total">
            {ready}
            {reason(ALL_COPIES).map(|why| explain(why, system))}
            <p class="soft">{tr("The rest covers that range and what is left over.")}</p>
        </section>
        {brim}
        {heat(&plan.heat, system)}
        {food(plan.food)}
        {spoils(bench)}
        {release(plan)}
        <div class="scroll" tabindex="0">
            <table id="cast-parts">
                <thead>
                    <tr>
                        <th scope="col">{tr("Weigh out")}</th>
                        <th scope="col">{tr("One copy")}</th>
                        <th scope="col">{tr("All")}</th>
                    </tr>
                </thead>
                <tbody>{parts}</tbody>
            </table>
        </div>
        <p id="cast-volume">
            {tr("One copy fills ")}
            {show::volume_range(&plan.volume, system)}
            " "
            {range_mark(&plan.volume)}
        </p>
        {batch(bench, plan)}
        {size(bench, plan)}
        <h2>{tr("What it rests on")}</h2>
        {others.map(|reason| explain(reason, system)).shown()}
    }
    .into_any()
}

/// That what is chosen would end a mould that is kept for food.
fn spoils(bench: Bench) -> Option<AnyView> {
    let spoils = bench.read(|piece| {
        let food = piece.medium.as_ref().is_some_and(|medium| medium.food);
        piece.mould.food_only && !food
    });
    spoils.then(|| {
        let text = tr("It is for food only. After this it never holds food again: take another mould, or a food.");
        verdict_line("cast-spoils", "stop", tr("✕ This mould: "), text.to_owned())
    })
}

/// Whether the mould wants a release agent.
fn release(plan: &CastPlan) -> AnyView {
    let (class, word) = match plan.release.wanted {
        true => ("wait", tr("! Release: ")),
        false => ("note", tr("Release: ")),
    };
    let text = say!(
        "{release} Source: {source}.",
        release = plan.release.text,
        source = plan.release.source
    );
    verdict_line("cast-release", class, word, text)
}

/// All copies together: how long they take, what each costs, what the mould still gives.
fn batch(bench: Bench, plan: &CastPlan) -> AnyView {
    let all = &plan.batch;
    let (copies, moulds) = bench.read(|piece| (piece.copies, piece.moulds));
    let pours = match (copies, moulds) {
        (1, _) => tr("One pour").to_owned(),
        (copies, 1) => say!("{copies} pours, one after the other", copies),
        (copies, moulds) => say!(
            "{copies} pours in {moulds} moulds, {rounds} rounds",
            copies,
            moulds,
            rounds = all.rounds
        ),
    };
    let cost = all.cost.iter().filter_map(|line| {
        let cost = line.cost?;
        Some((line.what.clone(), show::number(cost, 2)))
    });
    let cost: Vec<_> = cost.collect();
    let priced = (!cost.is_empty()).then(|| {
        let mut lines = cost;
        lines.push((
            tr("One copy costs").to_owned(),
            show::number(all.cost_each, 2),
        ));
        let line = |(what, cost): (String, String)| {
            view! {
                <div>
                    <dt>{what}</dt>
                    <dd>{cost}</dd>
                </div>
            }
        };
        view! { <dl class="pairs">{lines.into_iter().map(line).shown()}</dl> }
    });
    let class = if plan.life.done { "stop" } else { "note" };
    let life = say!(
        "{sentence} Source: {source}.",
        sentence = plan.life.sentence(),
        source = plan.life.source
    );
    view! {
        <section id="cast-batch">
            <h2>{tr("All copies")}</h2>
            <p>
                {pours}
                {tr(": about ")}
                {show::duration(all.time)}
                {tr(" in all, ")}
                {show::duration(all.time_each)}
                {tr(" a copy. Each can come out after ")}
                {show::duration(plan.set_time)}
                "."
            </p>
            <p class="source">
                {say!("Hands on for {handling} a copy: {source}.", handling = show::duration(all.handling), source = crate::casting::HANDLING.source)}
            </p>
            {priced}
        </section>
        {verdict_line("cast-life", class, tr("The mould: "), life)}
    }
    .into_any()
}

/// How much the copy differs from the original, and copies of copies.
fn size(bench: Bench, plan: &CastPlan) -> AnyView {
    let system = bench.system();
    let longer = bench.read(|piece| piece.sides().map(|[longer, _]| longer));
    let lines = plan.generations.iter().map(|copy| {
        let said = copy.sentence(longer, system);
        view! { <li>{said}</li> }
    });
    let make = plan.generations.first().map(|copy| {
        let percent = show::number(copy.make_longer.0.abs() * 100.0, 2);
        let word = if copy.make_longer.0 < 0.0 { tr("shorter") } else { tr("longer") };
        view! {
            <p class="soft">
                {say!("For a copy in the wanted size an original of your own has to be {percent} % {word}.", percent, word)}
            </p>
        }
    });
    view! {
        <section id="cast-size">
            <h2>{tr("Its size")}</h2>
            <ul class="list plain">{lines.shown()}</ul>
            {make}
            <p class="soft" hidden=plan.size_unknown.is_none()>
                {plan.size_unknown.clone()}
            </p>
        </section>
    }
    .into_any()
}

/// The verdict on the heat: a sign, a word and a sentence.
fn heat(verdict: &HeatVerdict, system: System) -> AnyView {
    let (class, word) = match verdict {
        HeatVerdict::Stands { .. } => ("done", tr("✓ Heat: ")),
        HeatVerdict::Close { .. } => ("wait", tr("! Heat, close: ")),
        HeatVerdict::TooHot { .. } => ("stop", tr("✕ Too hot: ")),
        HeatVerdict::UnknownAskSheet { .. } => ("wait", tr("? Heat, not known: ")),
    };
    verdict_line("cast-heat", class, word, verdict.sentence(system))
}

/// The verdict on food.
fn food(verdict: FoodVerdict) -> AnyView {
    let (class, word) = match verdict {
        FoodVerdict::NotFood => ("note", tr("Food: ")),
        FoodVerdict::AsDeclared => ("wait", tr("! Food: ")),
        FoodVerdict::Unconfirmed
        | FoodVerdict::NotDeclared
        | FoodVerdict::RuledOut
        | FoodVerdict::NeverAgain => ("stop", tr("✕ Food: ")),
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
