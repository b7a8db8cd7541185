//! A paste of the user's own: the numbers of its sheet, asked for and never invented.
//!
//! Ids: `own-paste`, `own-name`, `own-ratio-a`, `own-ratio-b`, `own-volume-a`, `own-volume-b`,
//! `own-density-a`, `own-density-b`, `own-density`, `own-cure-unknown`, `own-cure-addition`,
//! `own-cure-condensation`, `own-working`, `own-recoat-from`,
//! `own-recoat-until`, `own-demould`, `own-reference`, `own-rate`, `own-activation`, `own-service`,
//! `own-shrinkage`, `own-elongation`, `own-hardness`, `own-dab`, `own-stress`, `own-least-skin`,
//! `own-levelling`, `own-food-unknown`, `own-food-no`, `own-food-yes`, `own-pack-size-1`,
//! `own-pack-price-1` ..., `own-add-pack`, `own-use`, `own-cancel`; each error stands in the field's
//! id with `-error` at its end.

mod form;

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::shown::Shown;
use crate::coating::{Cure, FoodStatement, own_card};
use crate::phone;
use crate::words::tr;
use form::{Form, PackBlanks};
use leptos::prelude::*;

/// How the ids of the user's own cards begin.
pub const OWN: &str = "own-";

/// The form. `done` is called once a card is in use, or the user gave up.
#[component]
pub fn OwnPaste(bench: Bench, done: impl Fn() + Copy + 'static) -> impl IntoView {
    let form = Form::new(bench);
    let save = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let Some(sheet) = form.read(bench.desk.settings.get_untracked().system) else {
            return;
        };
        match own_card(&format!("{OWN}{}", phone::new_id()), &sheet) {
            Ok(card) => {
                bench.change_and_tell(
                    tr("Your paste is in use, and offered for other pieces"),
                    move |piece| piece.card = card,
                );
                done();
            }
            Err(problems) => {
                for problem in problems {
                    form.blank_of(problem.field).error.set(Some(problem.text));
                }
            }
        }
    };
    let cures = vec![
        Answer::new("unknown", tr("It does not say")),
        Answer::new("addition", tr("By addition, with platinum")),
        Answer::new("condensation", tr("By condensation, with tin")),
    ];
    let cure_key = move || {
        match form.cure.get() {
            Cure::Unknown => "unknown",
            Cure::Addition => "addition",
            Cure::Condensation => "condensation",
        }
        .to_owned()
    };
    let choose_cure = move |key: String| {
        form.cure.set(match key.as_str() {
            "addition" => Cure::Addition,
            "condensation" => Cure::Condensation,
            _ => Cure::Unknown,
        });
    };
    let food = vec![
        Answer::new("unknown", tr("It says nothing")),
        Answer::new("no", tr("Not for food")),
        Answer::new("yes", tr("Declared for food contact")),
    ];
    let food_key = move || {
        match form.food.get() {
            FoodStatement::NotDeclared => "unknown",
            FoodStatement::NotForFood => "no",
            FoodStatement::DeclaredByMaker => "yes",
        }
        .to_owned()
    };
    let choose_food = move |key: String| {
        form.food.set(match key.as_str() {
            "yes" => FoodStatement::DeclaredByMaker,
            "no" => FoodStatement::NotForFood,
            _ => FoodStatement::NotDeclared,
        });
    };
    let add_pack = move |_| {
        form.packs.update(|packs| {
            packs.push(PackBlanks {
                number: packs.len() + 1,
                size: Blank::new(String::new()),
                price: Blank::new(String::new()),
            });
        });
    };
    view! {
        <form id="own-paste" class="card" novalidate on:submit=save>
            <h3>{tr("From the sheet of your paste")}</h3>
            <p class="soft">
                {tr("Type what its sheet says, and the plan goes by it. What it does not say, leave empty where that is allowed.")}
            </p>
            {blank("own-name", tr("Name"), tr("What you call it."), "text", form.name)}
            <fieldset>
                <legend>{tr("The mix")}</legend>
                <p class="soft">{tr("The ratio by weight; or the one by volume with both densities.")}</p>
                {two(
                    ("own-ratio-a", tr("Parts of A by weight"), form.ratio_a),
                    ("own-ratio-b", tr("Parts of B by weight"), form.ratio_b),
                )}
                {two(
                    ("own-volume-a", tr("Parts of A by volume"), form.volume_a),
                    ("own-volume-b", tr("Parts of B by volume"), form.volume_b),
                )}
                {two(
                    ("own-density-a", tr("Density of A, g/ml"), form.density_a),
                    ("own-density-b", tr("Density of B, g/ml"), form.density_b),
                )}
                {blank(
                    "own-density",
                    tr("Density of the mix, g/ml"),
                    tr("Also called specific gravity. With those of A and B it may stay empty."),
                    "decimal",
                    form.density,
                )}
            </fieldset>
            <Choice
                name="own-cure"
                legend=tr("How does it cure?")
                answers=Signal::stored(cures)
                chosen=Signal::derive(cure_key)
                lines=true
                choose=choose_cure
            />
            <fieldset>
                <legend>{tr("Times")}</legend>
                {blank(
                    "own-working",
                    tr("Working time, minutes"),
                    tr("Also called pot life."),
                    "decimal",
                    form.working,
                )}
                <div class="pair">
                    {blank(
                        "own-recoat-from",
                        tr("Next coat from, minutes"),
                        "",
                        "decimal",
                        form.recoat_from,
                    )}
                    {blank(
                        "own-recoat-until",
                        tr("Next coat until, minutes"),
                        tr("Empty if there is no limit."),
                        "decimal",
                        form.recoat_until,
                    )}
                </div>
                {blank(
                    "own-demould",
                    tr("Peel after, minutes"),
                    tr("Cure of the last coat."),
                    "decimal",
                    form.demould,
                )}
                {blank(
                    "own-reference",
                    tr("These times hold at"),
                    tr("The sheet's temperature."),
                    "text",
                    form.reference,
                )}
                {blank(
                    "own-rate",
                    tr("How many times as fast 10 °C (18 °F) warmer"),
                    tr("Empty: the usual rate is taken, and marked so."),
                    "decimal",
                    form.rate,
                )}
                {blank(
                    "own-activation",
                    tr("Activation energy, kJ/mol"),
                    tr("Few sheets give it. Where it stands, it goes before the line above."),
                    "decimal",
                    form.activation,
                )}
            </fieldset>
            <fieldset>
                <legend>{tr("Strength")}</legend>
                <p class="soft">{tr("All of these may stay empty.")}</p>
                {blank("own-service", tr("Stands heat up to"), "", "text", form.service)}
                {two(
                    ("own-shrinkage", tr("Shrinks in length, %"), form.shrinkage),
                    ("own-elongation", tr("Stretches before it breaks, %"), form.elongation),
                )}
                {blank("own-hardness", tr("Hardness, Shore A"), "", "decimal", form.hardness)}
                {blank(
                    "own-dab",
                    tr("A wet dab of this thickness held on a wall"),
                    tr("From the sheet, or your own try."),
                    "text",
                    form.dab,
                )}
                {blank(
                    "own-stress",
                    tr("Or its yield stress, Pa"),
                    tr("If the sheet gives that instead."),
                    "decimal",
                    form.stress,
                )}
                {blank(
                    "own-least-skin",
                    tr("A skin thinner than this tears when it is peeled"),
                    tr("From the sheet, or a skin of your own."),
                    "text",
                    form.least_skin,
                )}
                {blank(
                    "own-levelling",
                    tr("A wet coat draws back from edges over so many times its thickness"),
                    tr("If you have measured it on a cut skin; else it follows from the dab."),
                    "decimal",
                    form.levelling,
                )}
            </fieldset>
            <Choice
                name="own-food"
                legend=tr("What does the sheet say about food?")
                answers=Signal::stored(food)
                chosen=Signal::derive(food_key)
                lines=true
                choose=choose_food
            />
            <fieldset>
                <legend>{tr("Sets it is sold in")}</legend>
                {move || form.packs.get().into_iter().map(pack).shown()}
                <button id="own-add-pack" type="button" on:click=add_pack>
                    {tr("Add a set")}
                </button>
            </fieldset>
            <div class="row fill">
                <button id="own-use" type="submit" class="main">
                    {tr("Use this paste")}
                </button>
                <button id="own-cancel" type="button" on:click=move |_| done()>
                    {tr("Leave it")}
                </button>
            </div>
        </form>
    }
}

fn pack(pack: PackBlanks) -> AnyView {
    let n = pack.number;
    view! {
        <div class="pair">
            {blank(&format!("own-pack-size-{n}"), tr("A and B together"), "", "text", pack.size)}
            {blank(
                &format!("own-pack-price-{n}"),
                tr("Price"),
                tr("May stay empty."),
                "decimal",
                pack.price,
            )}
        </div>
    }
    .into_any()
}

/// Two numbers side by side.
fn two(a: (&str, &str, Blank), b: (&str, &str, Blank)) -> AnyView {
    let one = |(id, label, field)| blank(id, label, "", "decimal", field);
    view! { <div class="pair">{one(a)} {one(b)}</div> }.into_any()
}
