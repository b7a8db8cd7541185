//! A medium of the user's own: the numbers of its sheet, asked for and never invented.
//!
//! Ids: `own-medium`, `medium-name`, `medium-family`, `medium-density`, `medium-part-1` and
//! `medium-parts-1` to 3, `medium-pour`, `medium-peak`, `medium-set`, `medium-change`, `medium-food`,
//! `medium-problems`, `medium-use`, `medium-cancel`.

use crate::app::parts::bench::Bench;
use crate::app::parts::blank::{Blank, blank};
use crate::app::parts::form::{Tick, pick_list};
use crate::app::parts::shown::Shown;
use crate::app::screens::coat::countdown::capital;
use crate::casting::{MediumFamily, MixPart, OwnMedium, own_medium};
use crate::phone;
use crate::quantity::{GramsPerMillilitre, Minutes, parse};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// What stands for it among the media.
pub const NEW: &str = "own";

/// The form; `open` is set to false once the card is in use, or the user gave up.
pub fn form(bench: Bench, open: RwSignal<bool>) -> AnyView {
    let empty = || Blank::new(String::new());
    let [name, density, pour, peak, set, change] = std::array::from_fn(|_| empty());
    let parts: [[Blank; 2]; 3] = std::array::from_fn(|_| [empty(), empty()]);
    let family = RwSignal::new(MediumFamily::Own);
    let food = RwSignal::new(false);
    let problems = RwSignal::new(Vec::<String>::new());
    let read = move || {
        let system = bench.desk.settings.get_untracked().system;
        let mut mix = Vec::new();
        for [part, amount] in parts {
            let name = part.text.get_untracked().trim().to_owned();
            if let Some(parts) = amount.read(parse::number) {
                mix.push(MixPart { name, parts });
            }
        }
        let sheet = OwnMedium {
            name: name.text.get_untracked(),
            family: family.get_untracked(),
            density: density.read(parse::number).map(GramsPerMillilitre),
            mix,
            pour_temperature: pour.read(|text| parse::temperature(text, system)),
            peak_temperature: peak.read(|text| parse::temperature(text, system)),
            set_time: set.read(parse::number).map(Minutes),
            linear_change: change.read(parse::number).map(|percent| percent / 100.0),
            food: food.get_untracked(),
        };
        let typed = [density, pour, peak, set, change];
        let amounts = parts.map(|[_, amount]| amount);
        let wrong = typed.into_iter().chain(amounts).any(Blank::wrong);
        (!wrong).then_some(sheet)
    };
    let save = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let Some(sheet) = read() else { return };
        match own_medium(&format!("{NEW}-{}", phone::new_id()), &sheet) {
            Ok(card) => {
                bench.change_and_tell(tr("Own medium used"), move |piece| {
                    piece.medium = Some(card);
                });
                open.set(false);
            }
            Err(why) => problems.set(why),
        }
    };
    let families = pick_list(
        "medium-family",
        tr("What kind of thing it is"),
        tr("It tells which cautions hold."),
        MediumFamily::ALL.map(|of| capital(of.name())).into(),
        Signal::derive(move || MediumFamily::ALL.iter().position(|of| *of == family.get())),
        move |n| family.set(MediumFamily::ALL[n]),
    );
    let part = |(n, [name, parts]): (usize, [Blank; 2])| {
        let n = n + 1;
        view! {
            <div class="pair">
                {blank(&format!("medium-part-{n}"), &say!("Part {n}", n), "", "text", name)}
                {blank(&format!("medium-parts-{n}"), tr("Parts by weight"), "", "decimal", parts)}
            </div>
        }
    };
    view! {
        <form id="own-medium" class="card" novalidate on:submit=save>
            <h3>{tr("From the sheet of your medium")}</h3>
            <p class="soft">
                {tr("Type what its sheet says; the amounts, the heat and the cautions then follow from it.")}
            </p>
            {blank("medium-name", tr("Name"), tr("What you call it."), "text", name)}
            {families}
            {blank("medium-density", tr("Density, g/ml"), tr("As it fills the mould; water is 1."), "decimal", density)}
            <fieldset>
                <legend>{tr("The mix")}</legend>
                <p class="soft">{tr("Leave it empty if it is ready to pour.")}</p>
                {parts.into_iter().enumerate().map(part).shown()}
            </fieldset>
            <div class="pair">
                {blank("medium-pour", tr("Poured at"), tr("Empty at room temperature."), "text", pour)}
                {blank("medium-peak", tr("Gets as hot as"), tr("While it sets; empty if it stays cool."), "text", peak)}
                {blank("medium-set", tr("Can come out after, minutes"), "", "decimal", set)}
                {blank("medium-change", tr("Linear change, %"), tr("Below zero if it shrinks; empty if unknown."), "text", change)}
            </div>
            <Tick id="medium-food" label=tr("It is eaten") value=food store=move |on| food.set(on) />
            <div id="medium-problems" role="alert">
                {move || {
                    let said = problems.get().into_iter();
                    said.map(|why| view! { <p class="error">{why}</p> }).shown()
                }}
            </div>
            <div class="row fill">
                <button type="button" id="medium-cancel" on:click=move |_| open.set(false)>
                    {tr("Leave it")}
                </button>
                <button id="medium-use" class="main">
                    {tr("Use it")}
                </button>
            </div>
        </form>
    }
    .into_any()
}
