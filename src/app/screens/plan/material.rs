//! The paste: which card, and what that card says.

use super::own_paste::{OWN, OwnPaste};
use crate::app::parts::bench::Bench;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::shown::Shown;
use crate::coating::{Cure, FoodStatement, Hold, MaterialCard, PackSize, Source, starter_cards};
use crate::quantity::GramsPerMillilitre;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The card that holds, the others to choose from, and the way to one's own.
#[component]
pub fn Material(bench: Bench) -> impl IntoView {
    let writing = RwSignal::new(false);
    let chosen = Memo::new(move |_| bench.read(|piece| piece.card.id.clone()));
    let cards = Memo::new(move |_| all_cards(bench));
    let answers = Signal::derive(move || {
        let system = bench.system();
        cards.with(|cards| {
            cards
                .iter()
                .map(|card| Answer::new(&card.id, &card.name).help(gist(card, system)))
                .collect::<Vec<_>>()
        })
    });
    let choose = move |id: String| {
        let card = cards.with_untracked(|cards| cards.iter().find(|c| c.id == id).cloned());
        if let Some(card) = card {
            bench.change(tr("Paste chosen"), move |piece| piece.card = card);
        }
    };
    let name = move || bench.read(|piece| piece.card.name.clone());
    let says = move || bench.read(|piece| Some(sheet(&piece.card, bench.system())));
    let form = move || {
        writing
            .get()
            .then(|| view! { <OwnPaste bench done=move || writing.set(false) /> }.into_any())
    };
    view! {
        <h2>{tr("Paste")}</h2>
        <details id="material" class="explain">
            <summary>
                <span class="what">{tr("Material card")}</span>
                <span class="number">{name}</span>
            </summary>
            <Choice
                name="material"
                legend=tr("Which paste do you have?")
                answers
                chosen
                lines=true
                choose
            />
            <button
                id="material-own"
                aria-expanded=move || writing.get().to_string()
                on:click=move |_| writing.update(|w| *w = !*w)
            >
                {tr("Type in my own paste")}
            </button>
            {form}
            <h3>{tr("What this card says")}</h3>
            {says}
        </details>
    }
}

/// The starter cards, then the user's own from every job on this phone, each once.
fn all_cards(bench: Bench) -> Vec<MaterialCard> {
    let mut cards = starter_cards();
    bench.desk.jobs.with(|jobs| {
        let own = jobs
            .iter()
            .flat_map(|job| &job.pieces)
            .map(|piece| &piece.card)
            .filter(|card| card.id.starts_with(OWN));
        for card in own {
            if cards.iter().all(|other| other.id != card.id) {
                cards.push(card.clone());
            }
        }
    });
    cards
}

/// A card in a line: ratio and times.
fn gist(card: &MaterialCard, system: System) -> String {
    say!(
        "works {working}, next coat after {recoat_from}, peel after {demould} at {reference}",
        working = show::duration(card.working),
        recoat_from = show::duration(card.recoat_from),
        demould = show::duration(card.demould),
        reference = show::temperature(card.reference, system)
    )
}

fn grams_a_millilitre(density: GramsPerMillilitre) -> String {
    format!("{} g/ml", show::number(density.0, 3))
}

/// The sets it is sold in, each with its price where that is known.
fn sets(packs: &[PackSize], system: System) -> String {
    let set = |pack: &PackSize| match pack.price {
        Some(price) => say!(
            "{size} at {price}",
            size = show::mass(pack.size, system),
            price = show::number(price, 2)
        ),
        None => show::mass(pack.size, system),
    };
    packs.iter().map(set).collect::<Vec<_>>().join(", ")
}

/// Every number of a card with its mark.
fn sheet(card: &MaterialCard, system: System) -> AnyView {
    let (a, b) = card.ratio_by_mass;
    let marks = &card.marks;
    let food = match card.food {
        FoodStatement::NotDeclared => tr("no declaration known: not for food"),
        FoodStatement::NotForFood => tr("the sheet says: not for food"),
        FoodStatement::DeclaredByMaker => tr("declared by its maker"),
    };
    let cure = match card.cure {
        Cure::Addition => Some(tr("by addition, with platinum")),
        Cure::Condensation => Some(tr("by condensation, with tin")),
        Cure::Unknown => None,
    };
    let recoat = match card.recoat_until {
        None => say!(
            "from {recoat_from}",
            recoat_from = show::duration(card.recoat_from)
        ),
        Some(until) => say!(
            "{recoat_from} to {until}",
            recoat_from = show::duration(card.recoat_from),
            until = show::duration(until)
        ),
    };
    let mut lines: Vec<(&str, String, &Source)> = vec![
        (
            tr("A to B by weight"),
            format!("{} : {}", show::number(a, 3), show::number(b, 3)),
            &marks.ratio,
        ),
        (
            tr("Density of the mix"),
            grams_a_millilitre(card.density),
            &marks.density,
        ),
        (
            tr("Working time"),
            show::duration(card.working),
            &marks.working,
        ),
        (tr("Next coat"), recoat, &marks.recoat),
        (
            tr("Peel after"),
            show::duration(card.demould),
            &marks.demould,
        ),
        (
            tr("Times hold at"),
            show::temperature(card.reference, system),
            &marks.reference,
        ),
        match card.activation {
            Some(energy) => (
                tr("Activation energy"),
                format!("{} kJ/mol", show::number(energy.0, 1)),
                &marks.activation,
            ),
            None => (
                tr("Ten degrees Celsius warmer"),
                say!("{q10} times as fast", q10 = show::number(card.q10, 2)),
                &marks.q10,
            ),
        },
    ];
    let parts = [
        (card.density_b, tr("Density of B"), &marks.density_b),
        (card.density_a, tr("Density of A"), &marks.density_a),
    ];
    for (density, what, mark) in parts {
        if let Some(density) = density {
            lines.insert(1, (what, grams_a_millilitre(density), mark));
        }
    }
    if let Some((a, b)) = card.ratio_by_volume {
        let text = format!("{} : {}", show::number(a, 3), show::number(b, 3));
        lines.insert(1, (tr("A to B by volume"), text, &marks.ratio_by_volume));
    }
    if let Some(how) = cure {
        lines.push((tr("Cures"), how.to_owned(), &marks.cure));
    }
    if let Some(most) = card.service_max {
        let text = show::temperature(most, system);
        lines.push((tr("Stands heat up to"), text, &marks.service_max));
    }
    if let Some(share) = card.shrinkage {
        let text = format!("{} %", show::number(share * 100.0, 2));
        lines.push((tr("Shrinks in length"), text, &marks.shrinkage));
    }
    if let Some(share) = card.elongation {
        let text = say!(
            "{share} % before it breaks",
            share = show::number(share * 100.0, 0)
        );
        lines.push((tr("Stretches"), text, &marks.elongation));
    }
    if let Some(shore) = card.hardness {
        let text = say!("{shore} Shore A", shore = show::number(shore, 1));
        lines.push((tr("Hardness"), text, &marks.hardness));
    }
    let hold = card.hold.map(|hold| match hold {
        Hold::Dab(thickness) => {
            say!(
                "a dab of {thickness} held",
                thickness = show::length(thickness, system)
            )
        }
        Hold::YieldStress(stress) => say!(
            "yield stress {stress} Pa",
            stress = show::number(stress.0, 2)
        ),
    });
    if let Some(text) = hold {
        lines.push((tr("On a wall"), text, &marks.hold));
    }
    if let Some(least) = card.least_skin {
        lines.push((
            tr("A skin is peeled from"),
            show::length(least, system),
            &marks.least_skin,
        ));
    }
    if let Some(times) = card.levelling {
        let text = say!(
            "over {times} times its thickness",
            times = show::number(times, 2)
        );
        lines.push((tr("A coat draws back"), text, &marks.levelling));
    }
    lines.push((tr("Food"), food.to_owned(), &marks.food));
    if !card.packs.is_empty() {
        lines.push((tr("Sold in"), sets(&card.packs, system), &marks.packs));
    }
    let rows = lines
        .into_iter()
        .map(|(what, text, source)| {
            view! {
                <div>
                    <dt>{what}</dt>
                    <dd>
                        {text} <span class="source">{source.to_string()}</span>
                    </dd>
                </div>
            }
        })
        .shown();
    view! {
        <dl class="pairs">{rows}</dl>
        <p class="soft">{tr("The sheet of the paste in your hand overrules this card.")}</p>
    }
    .into_any()
}
