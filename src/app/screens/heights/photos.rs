//! Heights from the piece's photos: which can be compared, the comparison, and what came of it.

use super::Table;
use super::pins::height;
use crate::app::parts::field::Field;
use crate::app::parts::shown::keyed;
use crate::app::route::Page;
use crate::phone::darkroom::{self, Unanswered};
use crate::quantity::{Millimetres, show};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// Beyond what is known or supposed of its highest point nothing stands, by this factor (made up;
/// the user's own number goes before it).
const ROOM: f64 = 1.4;
/// Where nothing is known of it (a made-up start).
const HIGHEST: Millimetres = Millimetres(50.0);
/// What can be swept: from a millimetre to what no ornament reaches.
const ENDS: [f64; 2] = [5.0, 400.0];

/// The photos, the one number that is asked for, and the button.
pub fn photos(table: Table) -> AnyView {
    let bench = table.bench;
    let count = Memo::new(move |_| bench.read(|piece| piece.shots.len()));
    let ready = Memo::new(move |_| bench.read(|piece| piece.swept_photos().len()));
    let swept = Memo::new(move |_| table.record.with(|record| record.swept.is_some()));
    let typed = RwSignal::new(None::<Millimetres>);
    let highest = Memo::new(move |_| {
        typed.get().unwrap_or_else(|| {
            let said = bench.read(|piece| piece.relief.map(|relief| relief.highest.0));
            let found = table.heights().map(|found| found.measures.highest.value.0);
            let known = said.into_iter().chain(found).fold(0.0, f64::max);
            match known > 0.0 {
                true => Millimetres((known * ROOM).clamp(ENDS[0], ENDS[1]).ceil()),
                false => HIGHEST,
            }
        })
    });
    let read = move |text: &str| {
        let high = height(table, text)?;
        if !(ENDS[0]..=ENDS[1]).contains(&high.0) {
            return Err(tr("Type a height from 5 to 400 mm (1/4 to 15 3/4 in).").into());
        }
        typed.set(Some(high));
        Ok(())
    };
    let done = RwSignal::new(None::<f64>);
    let wrong = RwSignal::new(None::<String>);
    let one = move |at: usize| {
        let words = move || {
            let state = bench.read(|piece| piece.sweepable(at).err());
            match state {
                Some(why) => say!("Photo {at}: {why}", at = at + 1, why),
                None if at == 0 => tr("Photo 1: ready. Its outline is used.").to_owned(),
                None => say!("Photo {at}: ready.", at = at + 1),
            }
        };
        view! { <li id=format!("swept-{at}")>{words}</li> }.into_any()
    };
    let said = move || {
        table.record.with(|record| {
            let from = record.swept_from.as_ref()?;
            record.swept.as_ref()?;
            Some(say!(
                "Found in {photos} photos: {matched} % of the surface was seen in them, the \
                 rest is filled in between. Readings check it, and correct it where they know \
                 better.",
                photos = from.photos,
                matched = show::fixed(100.0 * from.matched, 0)
            ))
        })
    };
    let forget = move |_| {
        bench.change_and_tell(tr("Heights from photos removed"), |piece| {
            piece.relief_record.swept = None;
            piece.relief_record.swept_from = None;
        });
    };
    let again = move || {
        if swept.get() {
            tr("Compare them again")
        } else {
            tr("Compare the photos")
        }
    };
    view! {
        <details id="from-photos">
            <summary>{tr("Heights from photos")}</summary>
            <p class="hint">
                {tr("Two to five photos from different places, each about a third of a metre (a foot) to one side of the last, all with the reference left where it lies and some of the wall around. Raking light helps; bare, smooth plaster shows too little.")}
            </p>
            <ul class="list plain">{keyed(move || (0..count.get()).collect(), one)}</ul>
            <Field
                id="sweep-highest"
                label=tr("Nothing on it stands higher than")
                keyboard=bench.length_keyboard()
                value=Signal::derive(move || show::length(highest.get(), bench.system()))
                read
            />
            <div class="row fill">
                <a id="to-more-photos" class="button" href=bench.address(Page::Measure)>
                    {tr("Add or mark photos")}
                </a>
                <button
                    id="sweep"
                    disabled=move || ready.get() < 2 || done.get().is_some()
                    on:click=move |_| sweep(table, highest.get_untracked(), done, wrong)
                >
                    {again}
                </button>
            </div>
            <div class="row" hidden=move || done.get().is_none()>
                <progress
                    id="sweep-progress"
                    class="grow"
                    aria-label=tr("Comparing the photos")
                    prop:value=move || done.get().unwrap_or(0.0)
                ></progress>
                <button id="sweep-stop" on:click=move |_| darkroom::close()>
                    {tr("Stop")}
                </button>
            </div>
            <p id="sweep-error" class="error" role="alert" hidden=move || wrong.with(Option::is_none)>
                {wrong}
            </p>
            <div hidden=move || !swept.get()>
                <p id="swept-said" role="status">
                    {said}
                </p>
                <button id="swept-remove" class="remove" on:click=forget>
                    {tr("Remove these heights")}
                </button>
            </div>
        </details>
    }
    .into_any()
}

/// Compares the photos and keeps what was found; what was there before can be brought back.
fn sweep(
    table: Table,
    highest: Millimetres,
    done: RwSignal<Option<f64>>,
    wrong: RwSignal<Option<String>>,
) {
    let piece = table.bench.piece.get_untracked();
    let Some(piece) = piece else { return };
    wrong.set(None);
    let asked = match piece.to_sweep(highest) {
        Ok(asked) => asked,
        Err(why) => return wrong.set(Some(why)),
    };
    done.set(Some(0.0));
    leptos::task::spawn_local(async move {
        let progress = move |share| {
            done.try_set(Some(share));
        };
        let found = darkroom::sweep(&asked.photos, &asked.ask, progress).await;
        if done.try_set(None).is_some() {
            // The page is gone.
            return;
        }
        match found {
            Ok(found) => table
                .bench
                .change_and_tell(tr("Heights found"), move |piece| {
                    piece.keep_swept(&asked, found);
                }),
            Err(Unanswered::Because(why)) => wrong.set(Some(why)),
            Err(Unanswered::Cancelled) => (),
        }
    });
}
