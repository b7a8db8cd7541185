//! The Plan page: how much paste, in which coats and batches.
//!
//! Ids: `total-to-bring`, `expected-need`, `narrow`, `section`, `relief-low`, `relief-middle`,
//! `relief-high`, `highest`, `border`, `temperature`, `scale-step-100` ... (thousandths of a
//! gram), `thickness-1` ... (one a coat), `coat-1-mass` ..., `coat-1-batches` ..., `material`, `material-ID` (one a card), `material-own`, `buy`,
//! `no-plan`, `cautions`, `to-pack`; the ids of the form for a paste stand in `own_paste`.

mod blank;
mod inputs;
mod material;
mod numbers;
mod own_paste;
mod packs;

use crate::app::parts::bench::Bench;
use crate::app::parts::caution::cautions;
use crate::app::parts::missing::missing;
use crate::app::parts::section::section;
use crate::app::parts::shown::Shown;
use crate::app::route::Page;
use crate::coating;
use crate::job::{JobId, Piece, PieceId};
use leptos::prelude::*;

/// The Plan page of a piece.
#[component]
pub fn Plan(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    let plan = Memo::new(move |_| bench.piece.with(|piece| piece.as_ref().map(Piece::plan)));
    let picture = move || {
        let system = bench.system();
        bench.piece.with(|piece| {
            let piece = piece.as_ref()?;
            let coats: Vec<_> = piece.coats.iter().map(|coat| coat.thickness).collect();
            let drawn = section(piece.relief.as_ref()?, piece.border, &coats, system);
            Some(view! { <figure id="section" class="picture">{drawn}</figure> })
        })
    };
    let results = move || match plan.get() {
        Some(Ok(plan)) => numbers::numbers(bench, &plan),
        Some(Err(why)) => no_plan(bench, why),
        None => ().into_any(),
    };
    let cautions = move || match plan.get() {
        Some(Ok(plan)) => cautions(&plan.cautions),
        _ => None,
    };
    view! {
        {picture}
        {results}
        <inputs::ReliefInputs bench />
        <Coats bench plan />
        <material::Material bench />
        <packs::Packs bench plan />
        <inputs::Site bench />
        {move || plan.get().and_then(Result::ok).map(|plan| numbers::rest(bench, &plan))}
        {cautions}
        <div class="bar">
            <a id="to-pack" class="button main" href=bench.address(Page::Pack)>
                "Pack the bag"
            </a>
        </div>
    }
}

type Planned = Memo<Option<Result<coating::Plan, String>>>;

/// Why there is no number yet, and where to go if it is not on this page.
fn no_plan(bench: Bench, why: String) -> AnyView {
    let measured = bench.read(|piece| piece.footprint().is_ok());
    let measure = (bench.address(Page::Measure), "Measure the piece");
    missing(
        "no-plan",
        "No plan yet.",
        why,
        (!measured).then_some(measure),
    )
}

/// The coats, first to last: thickness to choose, mass and batches as they follow.
#[component]
fn Coats(bench: Bench, plan: Planned) -> impl IntoView {
    let count = Memo::new(move |_| bench.read(|piece| piece.coats.len()));
    let coat = move |index: usize| {
        let follows = move || {
            let plan = plan.get().and_then(Result::ok)?;
            Some(numbers::coat(bench, &plan, index as u32 + 1))
        };
        view! {
            <li class="card coat-plan">
                <inputs::Thickness bench index />
                {follows}
            </li>
        }
    };
    view! {
        <h2>"Coats"</h2>
        <ol class="coats">{move || (0..count.get()).map(coat).shown()}</ol>
    }
}
