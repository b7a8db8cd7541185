//! A paste of the user's own: the numbers of its sheet, asked for and never invented.
//!
//! Ids: `own-paste`, `own-name`, `own-ratio-a`, `own-ratio-b`, `own-density`, `own-working`,
//! `own-recoat-from`, `own-recoat-until`, `own-demould`, `own-reference`, `own-service`,
//! `own-rate`, `own-shrinkage`, `own-dab`, `own-food-unknown`, `own-food-no`, `own-food-yes`,
//! `own-pack-size-1`, `own-pack-price-1` ..., `own-add-pack`, `own-use`, `own-cancel`; each
//! error stands in the field's id with `-error` at its end.

use crate::app::parts::bench::Bench;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::field::field_shell;
use crate::app::parts::shown::Shown;
use crate::coating::{CardNumber, Cure, FoodStatement, Hold, PackSize, SheetNumbers, own_card};
use crate::phone;
use crate::quantity::parse::{self, ParseError};
use crate::quantity::show::{self, System};
use crate::quantity::{GramsPerMillilitre, Minutes};
use leptos::prelude::*;

/// How the ids of the user's own cards begin.
pub const OWN: &str = "own-";

/// One field of the form: what was typed, and what is wrong with it.
#[derive(Clone, Copy)]
struct Blank {
    text: RwSignal<String>,
    error: RwSignal<Option<String>>,
}

impl Blank {
    fn new(text: String) -> Self {
        Self {
            text: RwSignal::new(text),
            error: RwSignal::new(None),
        }
    }

    /// Reads what was typed; `None` if nothing was, or if it can't be read (which is then said).
    fn read<T>(self, read: impl FnOnce(&str) -> Result<T, ParseError>) -> Option<T> {
        let text = self.text.get_untracked();
        self.error.set(None);
        if text.trim().is_empty() {
            return None;
        }
        read(&text)
            .map_err(|why| self.error.set(Some(why.to_string())))
            .ok()
    }

    fn wrong(self) -> bool {
        self.error.with_untracked(Option::is_some)
    }
}

/// One set as it is sold.
#[derive(Clone, Copy)]
struct PackBlanks {
    number: usize,
    size: Blank,
    price: Blank,
}

/// All blanks of the form.
#[derive(Clone, Copy)]
struct Form {
    name: Blank,
    ratio_a: Blank,
    ratio_b: Blank,
    density: Blank,
    working: Blank,
    recoat_from: Blank,
    recoat_until: Blank,
    demould: Blank,
    reference: Blank,
    service: Blank,
    rate: Blank,
    shrinkage: Blank,
    dab: Blank,
    food: RwSignal<FoodStatement>,
    packs: RwSignal<Vec<PackBlanks>>,
}

impl Form {
    /// An empty form, or one with the numbers of the user's own card that the piece has now.
    fn new(bench: Bench) -> Self {
        let system = bench.desk.settings.get_untracked().system;
        let card = bench
            .piece
            .get_untracked()
            .map(|piece| piece.card)
            .filter(|card| card.id.starts_with(OWN));
        let blank = |text: Option<String>| Blank::new(text.unwrap_or_default());
        let card = card.as_ref();
        let span = |minutes: Minutes| show::number(minutes.0, 1);
        let packs = card.map_or(Vec::new(), |card| {
            let sold = card.packs.iter().enumerate();
            sold.map(|(i, pack)| PackBlanks {
                number: i + 1,
                size: Blank::new(show::mass(pack.size, system)),
                price: blank(pack.price.map(|price| show::number(price, 2))),
            })
            .collect()
        });
        Self {
            name: blank(card.map(|c| c.name.clone())),
            ratio_a: blank(card.map(|c| show::number(c.ratio_by_mass.0, 3))),
            ratio_b: blank(card.map(|c| show::number(c.ratio_by_mass.1, 3))),
            density: blank(card.map(|c| show::number(c.density.0, 3))),
            working: blank(card.map(|c| span(c.working))),
            recoat_from: blank(card.map(|c| span(c.recoat_from))),
            recoat_until: blank(card.and_then(|c| c.recoat_until).map(span)),
            demould: blank(card.map(|c| span(c.demould))),
            reference: blank(card.map(|c| show::temperature(c.reference, system))),
            service: blank(
                card.and_then(|c| c.service_max)
                    .map(|t| show::temperature(t, system)),
            ),
            rate: blank(None),
            shrinkage: blank(
                card.and_then(|c| c.shrinkage)
                    .map(|share| show::number(share * 100.0, 3)),
            ),
            dab: blank(card.and_then(|c| match c.hold {
                Some(Hold::Dab(thickness)) => Some(show::length(thickness, system)),
                _ => None,
            })),
            food: RwSignal::new(card.map(|c| c.food).unwrap_or_default()),
            packs: RwSignal::new(packs),
        }
    }

    /// Reads the whole form and says beside each field what is wrong with it.
    fn read(self, system: System) -> Option<SheetNumbers> {
        let temperature = |text: &str| parse::temperature(text, system);
        let number_a = self.ratio_a.read(parse::number);
        let number_b = self.ratio_b.read(parse::number);
        let packs = self.packs.get_untracked();
        let sold = packs.iter().filter_map(|pack| {
            let price = pack.price.read(parse::number);
            let size = pack.size.read(|text| parse::mass(text, system))?;
            Some(PackSize {
                name: "Set".to_owned(),
                size,
                price,
            })
        });
        let sheet = SheetNumbers {
            name: self.name.text.get_untracked(),
            parts: None,
            ratio_by_mass: number_a.zip(number_b),
            cure: Cure::Unknown,
            density: self.density.read(parse::number).map(GramsPerMillilitre),
            working: self.working.read(parse::minutes),
            recoat_from: self.recoat_from.read(parse::minutes),
            recoat_until: self.recoat_until.read(parse::minutes),
            demould: self.demould.read(parse::minutes),
            reference: self.reference.read(temperature),
            service_max: self.service.read(temperature),
            q10: self.rate.read(parse::number),
            shrinkage: self
                .shrinkage
                .read(parse::number)
                .map(|share| share / 100.0),
            hold: self
                .dab
                .read(|text| parse::length(text, system))
                .map(Hold::Dab),
            food: self.food.get_untracked(),
            packs: sold.collect(),
        };
        let readable = self.blanks().into_iter().all(|blank| !blank.wrong());
        readable.then_some(sheet)
    }

    fn blanks(self) -> Vec<Blank> {
        let packs = self.packs.get_untracked();
        [
            self.name,
            self.ratio_a,
            self.ratio_b,
            self.density,
            self.working,
            self.recoat_from,
            self.recoat_until,
            self.demould,
            self.reference,
            self.service,
            self.rate,
            self.shrinkage,
            self.dab,
        ]
        .into_iter()
        .chain(packs.iter().flat_map(|pack| [pack.size, pack.price]))
        .collect()
    }

    /// The blank beside which a problem of the card is said.
    fn blank_of(self, field: CardNumber) -> Blank {
        match field {
            CardNumber::Name => self.name,
            CardNumber::Ratio => self.ratio_a,
            CardNumber::Density => self.density,
            CardNumber::Working => self.working,
            CardNumber::RecoatFrom => self.recoat_from,
            CardNumber::RecoatUntil => self.recoat_until,
            CardNumber::Demould => self.demould,
            CardNumber::Reference => self.reference,
            CardNumber::ServiceMax => self.service,
            CardNumber::Q10 => self.rate,
            CardNumber::Shrinkage => self.shrinkage,
            CardNumber::Holding => self.dab,
            CardNumber::Packs => self
                .packs
                .with_untracked(|packs| packs.first().map(|pack| pack.size))
                .unwrap_or(self.name),
        }
    }
}

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
                bench.change("Own paste used", move |piece| piece.card = card);
                bench
                    .desk
                    .tell("Your paste is in use, and offered for other pieces.");
                done();
            }
            Err(problems) => {
                for problem in problems {
                    form.blank_of(problem.field).error.set(Some(problem.text));
                }
            }
        }
    };
    let food = vec![
        Answer::new("unknown", "It says nothing"),
        Answer::new("no", "Not for food"),
        Answer::new("yes", "Declared for food contact"),
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
            <h3>"From the sheet of your paste"</h3>
            <p class="soft">
                "Nothing here is guessed: what the sheet does not say, leave empty where that is allowed."
            </p>
            {blank("own-name", "Name", "What you call it.", "text", form.name)}
            <div class="pair">
                {blank("own-ratio-a", "Parts of A by weight", "", "decimal", form.ratio_a)}
                {blank("own-ratio-b", "Parts of B by weight", "", "decimal", form.ratio_b)}
            </div>
            {blank(
                "own-density",
                "Density of the mix, g/ml",
                "Also called specific gravity.",
                "decimal",
                form.density,
            )}
            {blank(
                "own-working",
                "Working time, minutes",
                "Also called pot life.",
                "decimal",
                form.working,
            )}
            <div class="pair">
                {blank(
                    "own-recoat-from",
                    "Next coat from, minutes",
                    "",
                    "decimal",
                    form.recoat_from,
                )}
                {blank(
                    "own-recoat-until",
                    "Next coat until, minutes",
                    "Empty if there is no limit.",
                    "decimal",
                    form.recoat_until,
                )}
            </div>
            {blank("own-demould", "Peel after, minutes", "Cure of the last coat.", "decimal", form.demould)}
            {blank("own-reference", "These times hold at", "The sheet's temperature.", "text", form.reference)}
            {blank("own-service", "Stands heat up to", "Empty if the sheet does not say.", "text", form.service)}
            <Choice
                name="own-food"
                legend="What does the sheet say about food?"
                answers=Signal::stored(food)
                chosen=Signal::derive(food_key)
                lines=true
                choose=choose_food
            />
            <fieldset>
                <legend>"Sets it is sold in"</legend>
                {move || form.packs.get().into_iter().map(pack).shown()}
                <button id="own-add-pack" type="button" on:click=add_pack>
                    "Add a set"
                </button>
            </fieldset>
            <details>
                <summary>"If the sheet also says"</summary>
                {blank(
                    "own-rate",
                    "How many times as fast 10 °C (18 °F) warmer",
                    "Empty: the usual rate is taken, and marked so.",
                    "decimal",
                    form.rate,
                )}
                {blank("own-shrinkage", "Shrinks in length, %", "", "decimal", form.shrinkage)}
                {blank(
                    "own-dab",
                    "A wet dab of this thickness held on a wall",
                    "From the sheet, or your own try.",
                    "text",
                    form.dab,
                )}
            </details>
            <div class="row fill">
                <button id="own-use" type="submit" class="main">
                    "Use this paste"
                </button>
                <button id="own-cancel" type="button" on:click=move |_| done()>
                    "Leave it"
                </button>
            </div>
        </form>
    }
}

fn pack(pack: PackBlanks) -> AnyView {
    let n = pack.number;
    view! {
        <div class="pair">
            {blank(&format!("own-pack-size-{n}"), "A and B together", "", "text", pack.size)}
            {blank(
                &format!("own-pack-price-{n}"),
                "Price",
                "May stay empty.",
                "decimal",
                pack.price,
            )}
        </div>
    }
    .into_any()
}

/// One field of the form.
fn blank(id: &str, label: &str, hint: &str, keyboard: &'static str, blank: Blank) -> AnyView {
    let id = id.to_owned();
    field_shell(
        id.clone(),
        Signal::stored(label.to_owned()),
        Signal::stored(hint.to_owned()),
        blank.error.into(),
        move |described| {
            view! {
                <input
                    id=id
                    type="text"
                    inputmode=keyboard
                    autocomplete="off"
                    prop:value=blank.text
                    aria-describedby=described
                    aria-invalid=move || blank.error.with(|e| e.is_some().then_some("true"))
                    on:input=move |event| blank.text.set(event_target_value(&event))
                />
            }
            .into_any()
        },
    )
}
