//! The patch test: start it, wait for it, answer it.

use crate::app::parts::bench::Bench;
use crate::app::parts::form::{Tick, Words};
use crate::app::parts::shown::Shown;
use crate::app::screens::coat::countdown;
use crate::clock::{Due, DueKind};
use crate::coating::{PatchResult, PatchTest, Release, cure};
use crate::job::Piece;
use crate::phone::{self, time};
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// The patch test, wherever it stands.
#[component]
pub fn Patch(bench: Bench) -> impl IntoView {
    let test = Memo::new(move |_| bench.read(|piece| piece.patch_test.clone()));
    let due = Memo::new(move |_| bench.read(Piece::patch_due));
    let body = move || match (test.get(), due.get()) {
        (Some(test), Some(due)) => waiting(bench, &test, due),
        (Some(test), None) => answered(bench, &test),
        (None, _) => view! { <Start bench /> }.into_any(),
    };
    view! { <section id="patch">{body}</section> }
}

/// What to dab on, and where.
#[component]
fn Start(bench: Bench) -> impl IntoView {
    let place = RwSignal::new(String::new());
    let sealer = Memo::new(move |_| bench.read(|piece| needed(piece).sealer.is_some()));
    let sealed = RwSignal::new(sealer.get_untracked());
    let how = move || {
        let wait = bench.read(|piece| {
            show::duration(
                cure::at_temperature(piece.card.demould, &piece.card, piece.temperature).value,
            )
        });
        let first = match bench.read(|piece| (sealer.get(), needed(piece).release.is_some())) {
            (true, _) => tr("Seal and release a hidden place as you will the piece. "),
            (false, true) => tr("Release a hidden place as you will the piece. "),
            (false, false) => "",
        };
        say!(
            "{first}Dab mixed paste on a hidden place, as thick as a coat. Look at it after {wait}.",
            first,
            wait
        )
    };
    let start = move |_| {
        phone::alert::prepare();
        let (started, sealed) = (bench.time(), sealed.get_untracked());
        let place = place.get_untracked();
        bench.change(tr("Patch test started"), move |piece| {
            piece.patch_test = Some(PatchTest {
                started,
                place,
                paste: piece.card.id.clone(),
                sealed,
                result: None,
            });
        });
    };
    let why = move || {
        bench.read(|piece| {
            let (now, card) = (bench.time(), &piece.card);
            let wait = piece.tempo().span(now, card.demould);
            let due = Due::after(DueKind::Patch, now, &wait);
            countdown::why(bench, piece, &due)
        })
    };
    view! {
        <p>{how}</p>
        {why}
        <Words
            id="patch-place"
            label=tr("Where the hidden place is")
            value=place
            store=move |text| place.set(text)
        />
        <Tick
            id="patch-sealed"
            label=tr("It is sealed first")
            value=sealed
            store=move |on| sealed.set(on)
        />
        <button id="start-patch" class="wide" on:click=start>
            {tr("Start the patch test")}
        </button>
    }
}

fn needed(piece: &Piece) -> Release {
    Release::of(&piece.ground())
}

/// Where it is and over what, in a line.
fn where_it_is(test: &PatchTest) -> String {
    let place = match test.place.as_str() {
        "" => String::new(),
        place => format!(", {place}"),
    };
    let sealed = if test.sealed { tr(", over sealer") } else { "" };
    say!("Patch{place}{sealed}", place, sealed)
}

fn waiting(bench: Bench, test: &PatchTest, due: Due) -> AnyView {
    let now = bench.desk.now;
    let since = time::clock(test.started, now.get_untracked());
    let answer = |result: PatchResult| {
        let (id, means) = match result {
            PatchResult::Cured => ("patch-cured", tr("firm all through, nothing lifted")),
            PatchResult::Sticky => ("patch-sticky", tr("gummy or wet anywhere")),
            PatchResult::Stained => ("patch-stained", tr("a mark, or something came off")),
        };
        let say = move |_| {
            bench.change_and_tell(&say!("Patch {name}", name = result.name()), move |piece| {
                if let Some(test) = &mut piece.patch_test {
                    test.result = Some(result);
                }
            });
        };
        view! {
            <button id=id class="big" on:click=say>
                <span>{countdown::capital(result.name())} <small>{means}</small></span>
            </button>
        }
        .into_any()
    };
    let back = move |_| {
        bench.change_and_tell(tr("Patch test taken back"), |piece| piece.patch_test = None);
    };
    view! {
        <p>{where_it_is(test)} {tr(", since ")} {since} "."</p>
        {countdown::face(due, now.into(), "patch")}
        {countdown::alarm(&due, now.get_untracked(), "patch")}
        {move || bench.read(|piece| countdown::why(bench, piece, &due))}
        <p>{tr("Its time is over? The patch has:")}</p>
        <div class="three">{PatchResult::ALL.into_iter().map(answer).shown()}</div>
        <div class="row fill also">
            <button id="patch-back" class="remove" on:click=back>
                {tr("Take the patch test back")}
            </button>
        </div>
    }
    .into_any()
}

/// What it said, and the way to another one.
fn answered(bench: Bench, test: &PatchTest) -> AnyView {
    let of_this = bench.read(|piece| piece.card.id == test.paste);
    let said = match test.result {
        Some(result) => result.name(),
        None => tr("never answered"),
    };
    let paste = if of_this {
        ""
    } else {
        tr(" That was another paste.")
    };
    view! {
        <p id="patch-said">
            {where_it_is(test)} ": " <strong>{said}</strong> "." {paste}
        </p>
        <details>
            <summary id="patch-again">{tr("Test again")}</summary>
            <Start bench />
        </details>
    }
    .into_any()
}
