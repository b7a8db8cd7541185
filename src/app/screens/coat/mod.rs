//! The Coat page: one instruction, one countdown, the clock time it ends, one big target.
//!
//! Ids: `coat-title`, `coat-instruction`, `coat-weigh`, `coat-countdown`, `coat-until`,
//! `coat-main`, `touch-wet`, `touch-tacky`, `touch-firm`, `coat-other-1` ...,
//! `undo-tap`, `leave-steps` and `only-step` (the step alone on the screen, or all pages), `step-units`,
//! `day-next`, `to-calendar` and `open-day`,
//! `coat-next`, `coat-notes`, `surface-stops` and `cautions` before the first tap, `coat-log` with `no-taps`, `took`, `note-kind-warmth`, `note-kind-weighed`, `note-kind-left`,
//! `note-kind-lot`, `note-kind-words`, `note-value`, `note-everywhere`, `note-add` and `log-photo`, `coat-alarm`, `no-coats`, `to-cast`, and
//! `coat-live` for screen readers. Taps closer than [`taps::TAP_GUARD`] to the last one are taken for
//! a double tap and ignored.

pub mod countdown;
mod history;
mod taps;

use crate::app::parts::bench::{Bench, Planned};
use crate::app::parts::caution::cautions;
use crate::app::parts::explain::explain_as;
use crate::app::parts::missing::missing;
use crate::app::parts::portion::{by_volume, part_letter};
use crate::app::parts::shown::Shown;
use crate::app::parts::units;
use crate::app::route::{Page, Route};
use crate::app::screens::day::{Visit, calendar::GiveToCalendar};
use crate::app::screens::plan::numbers::{batches_name, reason};
use crate::clock::{Progress, Step};
use crate::coating::{Batch, Caution, Plan, Topic, Verdict};
use crate::job::{JobId, PieceId};
use crate::phone::{self, window};
use crate::quantity::show;
use crate::words::tr;
use leptos::prelude::*;
use std::time::Duration;

/// So long the page is read at least before it is tapped.
const ONCE_READ: Duration = Duration::from_millis(500);

/// The Coat page of a piece.
#[component]
pub fn Coat(job: JobId, piece: PieceId) -> impl IntoView {
    let bench = Bench::new(job, piece);
    let (_, plan) = bench.planned();
    // The first tap should find it all there.
    set_timeout(
        || {
            phone::alert::make_ready();
            phone::time::make_ready();
        },
        ONCE_READ,
    );
    // Ticks with the clock, but changes (and redraws) only when the work does.
    let stand = Memo::new(move |_| {
        let now = bench.desk.now.get();
        plan.with(|plan| {
            let plan = plan.as_ref()?.as_ref().map_err(String::clone);
            bench.piece.with(|piece| {
                let piece = piece.as_ref()?;
                let tempo = bench.desk.tempo(&bench.job(), piece);
                Some(plan.map(|plan| piece.progress_of(plan, &tempo, now)))
            })
        })
    });
    let ready = Memo::new(move |_| stand.with(|s| matches!(s, Some(Ok(_)))));
    let progress = Signal::derive(move || stand.get().and_then(Result::ok));
    let no_coats = move || match stand.get() {
        Some(Err(why)) => {
            let plan = (bench.address(Page::Plan), tr("Go to the plan"));
            missing("no-coats", tr("No coats yet."), why, Some(plan))
        }
        _ => ().into_any(),
    };
    move || {
        if ready.get() {
            view! { <Work bench plan progress /> }.into_any()
        } else {
            no_coats()
        }
    }
}

/// What the page follows: where the coating stands now.
type Stand = Signal<Option<Progress>>;

/// Follows one thing of where the work stands; it changes only when that thing does.
fn of<T: Clone + Default + PartialEq + Send + Sync + 'static>(
    progress: Stand,
    read: impl Fn(&Progress) -> T + Send + Sync + 'static,
) -> Memo<T> {
    Memo::new(move |_| progress.with(|p| p.as_ref().map(&read)).unwrap_or_default())
}

#[component]
fn Work(bench: Bench, plan: Planned<Plan>, progress: Stand) -> impl IntoView {
    let title = of(progress, |p| p.title.clone());
    let instruction = of(progress, |p| p.instruction.clone());
    let weigh = of(progress, |p| p.weigh);
    let notes = of(progress, |p| p.notes.clone());
    let next = of(progress, |p| p.next.clone());
    let finished = of(progress, |p| p.step == Step::Finished);
    let mixing = of(progress, |p| p.step.hands_on());
    let weights = move || {
        weigh
            .get()
            .map(|batch| weights(bench, &batch, mixing.get()))
    };
    let of_coat = of(progress, |p| match p.step {
        Step::Weigh { coat, .. } | Step::MixFirst { coat, .. } => Some(coat),
        _ => None,
    });
    let why_weights = move || {
        let number = of_coat.get()?;
        plan.with(|plan| {
            let plan = plan.as_ref()?.as_ref().ok()?;
            let coat = plan.coats.iter().find(|coat| coat.number == number)?;
            let why = reason(plan, &batches_name(coat))?;
            let what = tr("How these weights come about");
            Some(explain_as(why, what, ().into_any(), bench.system()))
        })
    };
    let next_steps = move || {
        let next = next.get();
        let words: Vec<_> = next.iter().map(|step| step.name()).collect();
        (!words.is_empty()).then(|| {
            view! {
                <p id="coat-next">
                    <b>{tr("Then: ")}</b>
                    {words.join(". ")}
                    "."
                </p>
            }
        })
    };
    let said = move || {
        let notes = notes.get();
        let lines = notes
            .into_iter()
            .map(|note| view! { <p class="wait">{note}</p> }.into_any());
        lines.shown()
    };
    let to_cast = move || {
        finished.get().then(|| {
            view! {
                <a id="to-cast" class="button main big" href=bench.address(Page::Cast)>
                    {tr("Cast copies")}
                </a>
            }
        })
    };
    let tapper = taps::Tapper::new(bench);
    // A new step is read from its top, however far down the last one was.
    Effect::new(move |before: Option<String>| {
        let now = instruction.get();
        if before.is_some_and(|before| before != now) {
            window::to_top();
        }
        now
    });
    let begun = Memo::new(move |_| bench.read(|piece| !piece.coat_log.is_empty()));
    // Before the first tap; then the step has the screen to itself.
    let before = move || {
        let of_the_wall =
            |caution: &Caution| matches!(caution.topic, Topic::Height | Topic::Skin | Topic::Air);
        plan.with(|plan| match plan {
            Some(Ok(plan)) if !begun.get() => {
                let all = plan.cautions.iter().filter(|one| of_the_wall(one));
                let said = cautions(&all.cloned().collect::<Vec<_>>());
                Some(view! { {surface(bench)} {said} })
            }
            _ => None,
        })
    };
    let left = RwSignal::new(false);
    let alone = Memo::new(move |_| begun.get() && !finished.get() && !left.get());
    let way = move || {
        let (id, word) = match alone.get() {
            true => ("leave-steps", tr("All pages")),
            false if begun.get() && !finished.get() => ("only-step", tr("Only the step")),
            false => return None,
        };
        let name = alone
            .get()
            .then(|| view! { <h1 class="grow">{bench.read(|p| p.title().to_owned())}</h1> });
        // The head of the page, which has the switch, is away while the step is alone.
        let units = alone.get().then(|| units::switch(bench.desk, "step-units"));
        Some(view! {
            <div class="row step-head">
                {name} {units}
                <button id=id on:click=move |_| left.update(|left| *left = !*left)>
                    {word}
                </button>
            </div>
        })
    };
    // While this piece waits, hands are free for another one.
    let waits = of(progress, |p| !p.step.hands_on() && p.step != Step::Finished);
    let elsewhere = move || waits.get().then(|| view! { <Elsewhere bench /> });
    let awake = move || {
        bench.desk.stays_awake.get().then(|| {
            view! { <p class="soft">{tr("The screen stays on while this runs.")}</p> }.into_any()
        })
    };
    view! {
        <div class="coat-page" class:alone=alone>
            {way}
            // Spoken once a step, not once a second.
            <p id="coat-live" class="unseen" aria-live="polite">
                {move || format!("{}. {}", title.get(), instruction.get())}
            </p>
            <p id="coat-title" class="soft">
                {title}
            </p>
            <p id="coat-instruction" class="instruction">
                {instruction}
            </p>
            <countdown::Countdown bench progress />
            {weights}
            {why_weights}
            <div id="coat-notes">{said}</div>
            {before}
            {elsewhere}
            <taps::Others bench tapper progress />
            <history::History bench plan progress />
            {awake}
            <div class="thumb">
                {next_steps}
                <taps::Thumb tapper progress />
                {to_cast}
            </div>
        </div>
    }
}

/// What the plan of the day has next, on whichever piece, and the ways to be reminded of it.
#[component]
fn Elsewhere(bench: Bench) -> impl IntoView {
    let visit = Visit::new(bench.job());
    let next = Memo::new(move |_| visit.next().map(|(place, what)| (place.to_string(), what)));
    let here = bench.address(Page::Coat);
    let several = bench.pieces_of_job() > 1;
    let line = move || {
        let (place, what) = next.get().filter(|(place, _)| *place != here)?;
        Some(view! {
            <h2>{tr("Next in the day")}</h2>
            <a id="day-next" class="button wide" href=place>
                {what}
            </a>
        })
    };
    let day = Route::Day(bench.job()).to_string();
    view! {
        {several.then_some(line)}
        <div class="row fill also">
            <GiveToCalendar visit />
            <a id="open-day" class="button" href=day>
                {tr("The whole day")}
            </a>
        </div>
    }
}

/// What of the surface stops the work, for whoever came past the bag.
fn surface(bench: Bench) -> Option<AnyView> {
    let checks = bench.read(|piece| piece.ground().checks());
    let stops = checks
        .into_iter()
        .filter(|check| matches!(check.verdict, Verdict::NotAsItIs | Verdict::NotWithout(_)));
    let lines: Vec<_> = stops
        .map(|check| {
            view! {
                <p class="stop">
                    <strong>{check.verdict.name()}": "</strong>
                    {check.what}
                </p>
            }
            .into_any()
        })
        .collect();
    (!lines.is_empty()).then(|| {
        view! {
            <section id="surface-stops">
                {lines}
                <a class="button" href=bench.address(Page::Pack)>
                    {tr("See the checks of the surface")}
                </a>
            </section>
        }
        .into_any()
    })
}

/// What to weigh out, large; smaller `again` while it is mixed.
fn weights(bench: Bench, batch: &Batch, again: bool) -> AnyView {
    let system = bench.system();
    let step = bench.piece.with(|p| p.as_ref().map(|p| p.scale_step));
    let part = |letter, grams| {
        step.map(|step| {
            view! {
                <p class="weigh-part">
                    {part_letter(letter)} <b class="figure">{show::weighing(grams, step, system)}</b>
                </p>
            }
        })
    };
    let cups = bench
        .read(|piece| by_volume(&piece.card, batch, system))
        .map(|text| view! { <p id="coat-cups" class="soft">{text}</p> });
    view! {
        <div id="coat-weigh" class="weigh" class:again=again>
            {part('A', batch.a)} {part('B', batch.b)}
        </div>
        {cups}
    }
    .into_any()
}
