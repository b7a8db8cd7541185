//! The lens card: a printed sheet, photographed from a few sides, tells how this phone's lens
//! draws. It is kept for each lens and applied to every later photo by itself.
//!
//! Ids: `paper-a4`, `paper-letter`, `lens-sheet`, `print-sheet`; `lens-views`, `lens-result`,
//! `lens-keep`, `lens-again`; `lens-cards`, `lens-forget-0` and so on, `no-lens`.

use crate::app::parts::explain::explain;
use crate::app::parts::photo_ways::PhotoWays;
use crate::app::parts::shown::Shown;
use crate::app::state::{Desk, use_desk};
use crate::coating::{Explanation, Source};
use crate::darkroom::{Answer, Ask};
use crate::job::PhotoRef;
use crate::phone::darkroom::{self, Unanswered};
use crate::phone::{local, window};
use crate::quantity::Amount;
use crate::quantity::show::{self, System};
use crate::say;
use crate::survey::calibrate::{Calibration, GridView, LensCard, Paper, sheet};
use crate::words::tr;
use leptos::prelude::*;

/// A photo of the sheet, and what it shows.
#[derive(Clone, PartialEq)]
struct Seen {
    photo: PhotoRef,
    view: Result<GridView, String>,
}

/// The page.
#[component]
pub fn LensPage() -> impl IntoView {
    on_cleanup(darkroom::close);
    view! {
        <SheetToPrint />
        <Photos />
        <Cards />
    }
}

#[component]
fn SheetToPrint() -> impl IntoView {
    let desk = use_desk();
    let paper = RwSignal::new(Paper::A4);
    let choice = move |one: Paper, id: &'static str, word: &'static str| {
        view! {
            <button
                id=id
                aria-pressed=move || (paper.get() == one).to_string()
                on:click=move |_| paper.set(one)
            >
                {word}
            </button>
        }
        .into_any()
    };
    let print = move |_| {
        if window::print().is_err() {
            desk.warn(tr("This browser can’t print. Open Peelcast in the phone’s main browser, or on a computer that has a printer."));
        }
    };
    view! {
        <section class="unprinted">
            <h2>{tr("1 Print the sheet")}</h2>
            <div class="row fill" role="group" aria-label=tr("Paper")>
                {choice(Paper::A4, "paper-a4", "A4")}
                {choice(Paper::Letter, "paper-letter", tr("US Letter"))}
            </div>
            <button id="print-sheet" on:click=print>
                {tr("Print at full size")}
            </button>
        </section>
        <div id="lens-sheet" class="lens-sheet" inner_html=move || sheet(paper.get())></div>
    }
}

#[component]
fn Photos() -> impl IntoView {
    let desk = use_desk();
    let seen = RwSignal::new(Vec::<Seen>::new());
    let found = RwSignal::new(None::<Result<Calibration, String>>);
    let busy = RwSignal::new(false);
    let taken = Callback::new(move |photo: PhotoRef| look(photo, seen, found, busy));
    let line = |(i, one): (usize, &Seen)| {
        let (words, wrong) = match &one.view {
            Ok(view) => (
                say!("{corners} corners found.", corners = view.corners.len()),
                false,
            ),
            Err(why) => (why.clone(), true),
        };
        view! {
            <li class:error=wrong>{say!("Photo {i}: {words}", i = i + 1, words)}</li>
        }
    };
    let views = move || seen.with(|seen| seen.iter().enumerate().map(line).shown());
    let clear = move || {
        seen.set(Vec::new());
        found.set(None);
    };
    let again = move |_| {
        let (photos, lens) = (seen.get_untracked(), found.get_untracked());
        clear();
        desk.tell_with_way_back(tr("The photos of the sheet are put aside"), move || {
            seen.try_set(photos);
            found.try_set(lens);
        });
    };
    let keep = move |_| {
        let camera = seen.with_untracked(|seen| seen.first().and_then(|s| s.photo.camera.clone()));
        let Some(Ok(lens)) = found.get_untracked() else {
            return;
        };
        let camera = camera.unwrap_or_default();
        let card = lens.card(&camera.model, camera.focal_mm);
        let before = desk.lenses.get_untracked();
        desk.lenses.update(|cards| {
            cards.retain(|c| c.fits(&card.model, card.focal_mm, card.size).is_none());
            cards.push(card);
        });
        if desk
            .lenses
            .with_untracked(|cards| local::keep_lens_cards(cards))
        {
            desk.tell_with_way_back(
                tr("The lens card is kept and applied to every new photo of this lens."),
                move || put_back(desk, before),
            );
        } else {
            desk.warn(tr("There is no room on this phone for the lens card. It counts until the app is closed. Your jobs are safe."));
        }
        clear();
    };
    let result = move || match found.get()? {
        Err(why) => Some(view! { <p class="error">{why}</p> }.into_any()),
        Ok(lens) => Some(told(&lens)),
    };
    let measured = move || found.with(|f| matches!(f, Some(Ok(_))));
    let count = move || seen.with(Vec::len);
    view! {
        <section class="unprinted">
            <h2>{tr("2 Photograph it")}</h2>
            <p>
                {tr("Fill the picture with the sheet. One photo square on, the others tilted by about a third of a right angle: from the left, the right, above, below. Don’t zoom, and keep to one lens.")}
            </p>
            <ol id="lens-views">{views}</ol>
            <p role="status" hidden=move || !busy.get()>
                {tr("Looking for the grid …")}
            </p>
            <div id="lens-result">{result}</div>
            <PhotoWays first=false taken />
            <div class="row fill" hidden=move || count() == 0>
                <button id="lens-again" on:click=again>
                    {tr("Start again")}
                </button>
                <button id="lens-keep" class="main" disabled=move || !measured() on:click=keep>
                    {tr("Keep the lens card")}
                </button>
            </div>
        </section>
    }
}

/// Looks for the sheet in a photo, and measures the lens anew with all that were good.
fn look(
    photo: PhotoRef,
    seen: RwSignal<Vec<Seen>>,
    found: RwSignal<Option<Result<Calibration, String>>>,
    busy: RwSignal<bool>,
) {
    busy.set(true);
    leptos::task::spawn_local(async move {
        let first = seen.with_untracked(|seen| seen.first().map(|s| s.photo.camera.clone()));
        let view = if first.is_some_and(|camera| camera != photo.camera) {
            Err(tr("It was taken with another lens or camera than the first: keep to one.").into())
        } else {
            match darkroom::ask(&photo, &Ask::Grid, |_| ()).await {
                Ok(Answer::Grid(view)) => Ok(view),
                Err(Unanswered::Because(why)) => Err(why),
                _ => return,
            }
        };
        let asked = photo.clone();
        let all = seen.try_update(|seen| {
            seen.push(Seen { photo, view });
            let good = seen.iter().filter_map(|s| s.view.clone().ok());
            good.collect::<Vec<_>>()
        });
        let Some(views) = all else { return };
        if views.len() >= LEAST_VIEWS {
            match darkroom::ask(&asked, &Ask::Lens { views }, |_| ()).await {
                Ok(Answer::Lens(lens)) => drop(found.try_set(Some(Ok(*lens)))),
                Err(Unanswered::Because(why)) => drop(found.try_set(Some(Err(why)))),
                _ => return,
            }
        }
        busy.try_set(false);
    });
}

/// With fewer photos nothing is measured yet.
const LEAST_VIEWS: usize = 3;

/// The lens in words.
fn told(lens: &Calibration) -> AnyView {
    let share = |sd: f64, of: f64| show::number(100.0 * sd / of, 2);
    let width = f64::from(lens.size.width.max(lens.size.height));
    let focal = lens.lens.focal_px;
    let corners = (
        tr("Corners lie off by, in pixels").to_owned(),
        Amount::Number((lens.rms_px * 100.0).round() / 100.0),
    );
    let photos = (tr("Photos").to_owned(), Amount::Count(lens.views));
    let fact = |what: &str, result: String, more: (String, Amount), formula: &str| {
        let why = Explanation {
            what: what.to_owned(),
            result: Amount::Text(result),
            inputs: vec![photos.clone(), more],
            formula: formula.to_owned(),
            source: Source::Computed(tr("least squares over all corners of the grid").to_owned()),
        };
        explain(&why, System::Metric)
    };
    let facts = [
        fact(
            tr("Focal length"),
            say!(
                "{width} of the picture’s longer side, known to {focal} %",
                width = show::number(focal / width, 3),
                focal = share(lens.lens.focal_sd_px, focal)
            ),
            corners.clone(),
            tr(
                "The lens, and how the camera stood at each photo, are those that put the corners of the printed grid where they are seen. How well it is known follows from how far the corners still lie off.",
            ),
        ),
        fact(
            tr("Bend"),
            format!(
                "k1 {} ± {}",
                show::number(lens.lens.k1, 3),
                show::number(lens.k1_sd, 3)
            ),
            corners,
            tr(
                "How far a straight line is bent toward the edge of the picture, found together with the focal length.",
            ),
        ),
        fact(
            tr("Corners lie off by"),
            say!("{rms_px} pixels", rms_px = show::number(lens.rms_px, 2)),
            (
                tr("Photos that contradict the others").to_owned(),
                Amount::Count(lens.left_out.len() as u32),
            ),
            tr(
                "The root of the mean square of the corners’ distances from where the lens has them.",
            ),
        ),
    ];
    let notes = lens.notes.iter().chain(&lens.advice).cloned();
    let notes = notes.map(|note| view! { <p>{note}</p> });
    view! {
        {facts.into_iter().shown()}
        {notes.shown()}
    }
    .into_any()
}

/// Keeps the cards as they were before a change.
fn put_back(desk: Desk, before: Vec<LensCard>) {
    local::keep_lens_cards(&before);
    desk.lenses.set(before);
}

/// The cards that are kept.
#[component]
fn Cards() -> impl IntoView {
    let desk = use_desk();
    let line = move |(i, card): (usize, &LensCard)| {
        let focal = card.focal_mm.map_or(String::new(), |mm| {
            say!(", {mm} mm", mm = show::number(mm, 2))
        });
        let model = if card.model.is_empty() {
            tr("Camera without a name")
        } else {
            &card.model
        };
        let words = say!(
            "{model}{focal}: {views} photos",
            model,
            focal,
            views = card.views
        );
        let forget = move |_| {
            let before = desk.lenses.get_untracked();
            desk.lenses.update(|cards| drop(cards.remove(i)));
            desk.lenses
                .with_untracked(|cards| local::keep_lens_cards(cards));
            desk.tell_with_way_back(tr("Lens card removed"), move || put_back(desk, before));
        };
        view! {
            <li class="row">
                <span class="grow">{words}</span>
                <button id=format!("lens-forget-{i}") class="remove" on:click=forget>
                    {tr("Remove")}
                </button>
            </li>
        }
    };
    let cards = move || {
        desk.lenses
            .with(|cards| cards.iter().enumerate().map(line).shown())
    };
    view! {
        <section class="unprinted">
            <h2>{tr("Lens cards on this phone")}</h2>
            <p id="no-lens" class="soft" hidden=move || !desk.lenses.with(Vec::is_empty)>
                {tr("None yet. The card that you keep above stands here, and each new photo of its lens is measured with it.")}
            </p>
            <ul id="lens-cards" class="list">{cards}</ul>
        </section>
    }
}
