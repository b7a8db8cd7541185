//! The Plan page: how much paste, in which coats and batches.
//!
//! Ids: `section`, `total-to-bring`, `confidence-80`, `confidence-90`, `confidence-95`,
//! `confidence-99`, `expected-need`, `narrow`, `unsure`, `relief-low`, `relief-middle`,
//! `relief-high`, `relief-by`, `to-heights`, `highest`, `border`, `thickness-1` ... (one a coat that is wanted),
//! `coat-1-mass` ..., `coat-1-batches` ... (one a coat that is brushed), `dabs`, `dab-list`,
//! `dab-thickness`, `dab-stood`, `dab-held`, `dab-ran`, `dab-remove-1` ..., `masses`, `block`,
//! `material`, `material-ID` (one a card), `material-own`, `buy`, `shell-bandage`, `shell-gypsum`,
//! `shell-laminate`, `shell-numbers`, `temperature`, `scale-step-100` ... (thousandths of a gram),
//! `taught`, `use-taught`, `forget-hand`, `forget-pace`,
//! `prices`, `price-hour`, `other-hours`, `price-batch`, `price-shell`, `price-other`, `bill`,
//! `cost-mould`, `cost-copy`, `no-price`, `no-plan`, `cautions`, `to-pack`; the ids of the form for
//! a paste stand in `own_paste`.

mod bill;
mod dabs;
mod inputs;
mod material;
pub mod numbers;
mod own_paste;
pub mod packs;
pub mod shelf;
mod shell;
mod taught;

use crate::app::parts::bench::{self, Bench};
use crate::app::parts::caution::cautions;
use crate::app::parts::missing::missing;
use crate::app::parts::section::section;
use crate::app::parts::shown::Shown;
use crate::app::parts::tornado::tornado;
use crate::app::route::Page;
use crate::coating;
use crate::job::{JobId, PieceId};
use crate::words::tr;
use leptos::prelude::*;

/// The Plan page of a piece.
#[component]
pub fn Plan(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    let (_, plan) = bench.planned();
    let stock = RwSignal::new(shelf::kept());
    let today = bench.today();
    let sets = Memo::new(move |_| {
        plan.with(|plan| {
            let plan = plan.as_ref()?.as_ref().ok()?;
            let stock = stock.read();
            bench.read(|piece| {
                packs::Sets::of(&coating::Paste::of(plan, &piece.card), &stock, today.get())
            })
        })
    });
    let packs = Memo::new(move |_| sets.with(|sets| sets.as_ref()?.choice.clone().ok()));
    // The coats as they are brushed; as they are wanted while there is no plan.
    let picture = move || {
        let system = bench.system();
        bench.piece.with(|piece| {
            let piece = piece.as_ref()?;
            let coats: Vec<_> = plan.with(|plan| match plan {
                Some(Ok(plan)) => plan.coats.iter().map(|coat| coat.thickness).collect(),
                _ => piece.coats.iter().map(|coat| coat.thickness).collect(),
            });
            let drawn = section(piece.relief.as_ref()?, piece.border, &coats, system);
            Some(view! { <figure id="section" class="picture">{drawn}</figure> })
        })
    };
    let planned = Memo::new(move |_| plan.with(|plan| matches!(plan, Some(Ok(_)))));
    let why_not = move || {
        plan.with(|plan| match plan {
            Some(Err(why)) => Some(no_plan(bench, why.clone())),
            _ => None,
        })
    };
    // What is typed into or unfolded stays on the page while the numbers beside it change.
    let total = move || {
        planned.get().then(|| {
            view! {
                <section class="total">
                    {follows(plan, move |plan| numbers::total(bench, plan))}
                    <inputs::Confidence bench />
                    {follows(plan, move |plan| numbers::expected(bench, plan))}
                    <details id="unsure" class="explain">
                        <summary>
                            <span class="what">{tr("What makes it unsure")}</span>
                        </summary>
                        {follows(plan, move |plan| tornado(plan, bench.system()))}
                    </details>
                </section>
            }
        })
    };
    let goes = move || {
        planned.get().then(|| {
            view! {
                <h2>{tr("Where the paste goes")}</h2>
                {follows(plan, move |plan| numbers::shares(bench, plan))}
                {follows(
                    plan,
                    move |plan| packs.with(|packs| numbers::block(bench, plan, packs.as_ref())),
                )}
            }
        })
    };
    let cautions = move || {
        plan.with(|plan| match plan {
            Some(Ok(plan)) => cautions(&plan.cautions),
            _ => None,
        })
    };
    view! {
        {picture}
        {total}
        {why_not}
        <inputs::ReliefInputs bench />
        <Coats bench plan />
        <dabs::Dabs bench />
        {goes}
        <material::Material bench />
        <packs::Packs bench sets stock today />
        <shell::Shell bench plan />
        <inputs::Site bench />
        <taught::Taught bench />
        <bill::Bill bench plan packs />
        {follows(plan, move |plan| numbers::rest(bench, plan))}
        {cautions}
        <div class="bar">
            <a id="to-pack" class="button main" href=bench.address(Page::Pack)>
                {tr("Pack the bag")}
            </a>
        </div>
    }
}

/// What is shown of a plan, as the plan changes; nothing while there is none.
fn follows(plan: Planned, show: impl Fn(&coating::Plan) -> AnyView + Send + 'static) -> AnyView {
    (move || {
        plan.with(|plan| match plan {
            Some(Ok(plan)) => show(plan),
            _ => ().into_any(),
        })
    })
    .into_any()
}

type Planned = bench::Planned<coating::Plan>;

/// Why there is no number yet, and where to go if it is not on this page.
fn no_plan(bench: Bench, why: String) -> AnyView {
    let measured = bench.read(|piece| piece.footprint().is_ok());
    let measure = (bench.address(Page::Measure), tr("Measure the piece"));
    missing(
        "no-plan",
        tr("No plan yet."),
        why,
        (!measured).then_some(measure),
    )
}

/// The coats, first to last: thickness to choose, mass and batches as they follow.
#[component]
fn Coats(bench: Bench, plan: Planned) -> impl IntoView {
    let count = Memo::new(move |_| bench.read(|piece| piece.coats.len()));
    let coat = move |index: usize| {
        let numbers = move |plan: &coating::Plan| numbers::coat(bench, plan, index as u32 + 1);
        view! {
            <li class="card coat-plan">
                <inputs::Thickness bench index />
                {follows(plan, numbers)}
            </li>
        }
    };
    view! {
        <h2>{tr("Coats")}</h2>
        <ol class="coats">{move || (0..count.get()).map(coat).shown()}</ol>
    }
}
