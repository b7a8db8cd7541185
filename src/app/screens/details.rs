//! What a piece is: its name, material, finish, place and temperature.
//!
//! Ids: `piece-name`, `piece-material`, `piece-substrate` and `piece-finish` (selects),
//! `piece-heritage`, `piece-undercut`, `posture-upright`,
//! `posture-flat`, `posture-overhead`, `piece-lean`, `piece-temperature`, `go-measure`, `delete-piece`.

use crate::app::parts::caution::permission_first;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::field::Field;
use crate::app::parts::form::{Tick, Words, pick_list};
use crate::app::parts::standing;
use crate::app::route::{Page, Route};
use crate::app::state::use_desk;
use crate::coating::{Finish, Posture, Substrate};
use crate::job::{JobId, Piece, PieceId};
use crate::phone;
use crate::quantity::{Degrees, parse, show};
use crate::say;
use crate::words::{mark, tr};
use leptos::prelude::*;

/// Sites colder or hotter than this are typing errors; what a paste still cures at is the plan's
/// business.
const COLDEST: f64 = -30.0;
const HOTTEST: f64 = 60.0;

/// What a piece is.
#[component]
pub fn Details(
    /// Its job.
    job: JobId,
    /// Which.
    piece: PieceId,
) -> impl IntoView {
    let desk = use_desk();
    let record = desk.piece(&job, &piece);
    let ids = StoredValue::new((job, piece));
    let read = move |part: fn(&Piece) -> String| {
        Memo::new(move |_| record.with(|piece| piece.as_ref().map(part).unwrap_or_default()))
    };
    let keep = move |what: &'static str, change: Box<dyn FnOnce(&mut Piece)>| {
        let (job, piece) = ids.get_value();
        desk.update_piece(&job, &piece, what, change);
    };
    let temperature = Memo::new(move |_| {
        let system = desk.settings.get().system;
        record.with(|piece| {
            piece
                .as_ref()
                .map(|piece| show::temperature(piece.temperature, system))
                .unwrap_or_default()
        })
    });
    let read_temperature = move |typed: &str| {
        let system = desk.settings.get_untracked().system;
        let found = parse::temperature(typed, system).map_err(|why| why.to_string())?;
        if !(COLDEST..=HOTTEST).contains(&found.0) {
            return Err(say!(
                "No one coats at {found}. The stored temperature stays as it was. Read the thermometer at the wall again.",
                found = show::temperature(found, system)
            ));
        }
        keep(
            tr("Temperature changed"),
            Box::new(move |piece| piece.temperature = found),
        );
        Ok(())
    };
    let lean = read(|piece| show::angle(piece.lean));
    let read_lean = move |text: &str| {
        let typed = text.trim().trim_end_matches('°');
        let found = parse::number(typed).map_err(|e| e.to_string())?;
        if found.abs() > MOST_LEAN {
            return Err(tr(
                "A wall that leans by more than 60° lies flat or hangs overhead: say so above.",
            )
            .into());
        }
        keep(
            tr("Lean changed"),
            Box::new(move |piece| piece.lean = Degrees(found)),
        );
        Ok(())
    };
    let finishes = pick_list(
        "piece-finish",
        tr("How its surface is finished"),
        tr(
            "It decides what is checked before you pack, and whether sealer and release go into the bag.",
        ),
        Finish::ALL.map(|finish| finish.name().to_owned()).into(),
        Signal::derive(move || {
            let now = record.with(|piece| piece.as_ref().map(|piece| piece.finish));
            Finish::ALL.iter().position(|finish| Some(*finish) == now)
        }),
        move |n| {
            let change = move |piece: &mut Piece| piece.finish = Finish::ALL[n];
            keep(tr("Finish changed"), Box::new(change));
        },
    );
    let substrates = pick_list(
        "piece-substrate",
        tr("Kind of material"),
        tr("Some things keep a paste from curing, and some drink its oil."),
        Substrate::ALL
            .map(|substrate| substrate.name().to_owned())
            .into(),
        Signal::derive(move || {
            let now = record.with(|piece| piece.as_ref().map(|piece| piece.substrate));
            Substrate::ALL
                .iter()
                .position(|substrate| Some(*substrate) == now)
        }),
        move |n| {
            let change = move |piece: &mut Piece| piece.substrate = Substrate::ALL[n];
            keep(tr("Substrate changed"), Box::new(change));
        },
    );
    let is = move |part: fn(&Piece) -> bool| {
        Memo::new(move |_| record.with(|piece| piece.as_ref().is_some_and(part)))
    };
    let choose_posture = move |chosen: String| {
        if let Some((posture, ..)) = POSTURES.into_iter().find(|(_, key, ..)| *key == chosen) {
            keep(
                tr("Posture changed"),
                Box::new(move |piece| piece.posture = posture),
            );
        }
    };
    let posture = Memo::new(move |_| {
        let posture = record.with(|piece| piece.as_ref().map(|piece| piece.posture));
        let known = POSTURES.into_iter().find(|(p, ..)| Some(*p) == posture);
        known.map_or("", |(_, key, ..)| key).to_owned()
    });
    let answers = POSTURES.map(|(_, key, word, help)| Answer::new(key, tr(word)).help(tr(help)));
    let delete = move |_| {
        let (job, id) = ids.get_value();
        let name = record.with(|piece| piece.as_ref().map(standing::piece_name));
        let what = say!(
            "{piece} deleted",
            piece = name.unwrap_or(tr("Piece").into())
        );
        desk.go(&Route::Job(job.clone()));
        let now = phone::now();
        desk.update_and_tell(&job, &what, move |job| {
            job.remove_piece(&id, now);
        });
    };
    let measure = {
        let (job, piece) = ids.get_value();
        Route::Piece(job, piece, Page::Measure).to_string()
    };
    view! {
        <Words
            id="piece-name"
            label=tr("Name")
            value=read(|piece| piece.name.clone())
            store=move |text| keep(tr("Name changed"), Box::new(move |piece| piece.name = text))
        />
        <Words
            id="piece-material"
            label=tr("What it is made of")
            hint=tr("Such as plaster, stone, wood, cast iron.")
            value=read(|piece| piece.material.clone())
            store=move |text| keep(tr("Material changed"), Box::new(move |piece| piece.material = text))
        />
        {substrates}
        {finishes}
        <Tick
            id="piece-heritage"
            label=tr("Old, listed or valuable, or something rests on it")
            value=is(|piece| piece.heritage)
            store=move |on| keep(tr("Heritage changed"), Box::new(move |piece| piece.heritage = on))
        />
        <Tick
            id="piece-undercut"
            label=tr("It has deep undercuts: places that close behind its forms")
            value=is(|piece| piece.undercut)
            store=move |on| keep(tr("Undercut changed"), Box::new(move |piece| piece.undercut = on))
        />
        <Choice
            name="posture"
            legend=tr("How it is fixed")
            answers=Signal::stored(answers.to_vec())
            chosen=posture
            choose=choose_posture
            lines=true
        />
        <div hidden=move || posture.get() != "upright">
            <Field
                id="piece-lean"
                label=Signal::stored(tr("It leans back by (forward: with a minus)").to_owned())
                hint=Signal::stored(tr("In degrees; 0 is plumb. A photo with a level then finds the wall by it.").to_owned())
                keyboard="text"
                value=lean
                read=read_lean
            />
        </div>
        <Field
            id="piece-temperature"
            label=Signal::stored(tr("Temperature at the wall").to_owned())
            hint=Signal::stored(tr("It sets how fast the paste cures.").to_owned())
            value=temperature
            read=read_temperature
        />
        {permission_first(&ids.get_value().0)}
        <button id="delete-piece" class="remove wide" on:click=delete>
            {tr("Delete this piece")}
        </button>
        <div class="bar">
            <a id="go-measure" class="button main" href=measure>
                {tr("Measure it")}
            </a>
        </div>
    }
}

/// What leans further is no upright wall, in degrees.
const MOST_LEAN: f64 = 60.0;

const POSTURES: [(Posture, &str, &str, &str); 3] = [
    (
        Posture::Upright,
        "upright",
        mark("Upright"),
        mark("On a wall: wet paste may sag."),
    ),
    (Posture::Flat, "flat", mark("Flat"), mark("Lying, face up.")),
    (
        Posture::Overhead,
        "overhead",
        mark("Overhead"),
        mark("On a ceiling or soffit: wet paste may drop."),
    ),
];
