//! The frame around every page: header, the five pages of a piece, messages; and the start.

use super::later::Later;
use super::parts::standing;
use super::parts::toast::{Alarms, NewVersion, Toasts};
use super::parts::units;
use super::purpose::JOBS;
use super::rehearsal;
use super::route::{Page, Route};
use super::screens;
use super::settings::Settings;
use super::state::{Desk, use_desk};
use crate::app::parts::shown::Shown;
use crate::job::{Job, JobId, PieceId};
use crate::phone::update::Rest;
use crate::phone::{self, alert, handed, language, local, update, window, writer};
use crate::quantity::{Minutes, show};
use crate::say;
use crate::words::tr;
use chrono::TimeDelta;
use leptos::html;
use leptos::prelude::*;
use std::time::Duration;

/// Starts the app: puts up the frame at once and fills it when the jobs have been read.
pub fn start() {
    #[cfg(debug_assertions)]
    window::note_failures();
    let fill = || {
        language::set(Settings::load().language, |there| {
            window::end_boot_frame();
            mount_to_body(move || view! { <App speaks=there /> });
        });
    };
    // The browser has been busy with the program: it may answer a touch before the first page.
    set_timeout(fill, Duration::ZERO);
}

/// The whole app.
#[component]
fn App(
    /// Whether the texts of the chosen language are here.
    speaks: bool,
) -> impl IntoView {
    let desk = Desk::set_up();
    provide_context(desk);
    if !speaks {
        desk.warn(
            tr("The texts of your language are not on this phone yet, so this is English. Go online once with the app open, then load the page again."),
        );
    }
    follow_address(desk);
    let later = Later::new();
    Effect::new(move |_| {
        if let Some(place) = desk.route.get() {
            later.want(&place);
        }
    });
    follow_clock(desk);
    follow_settings(desk);
    follow_other_windows(desk);
    keep_list(desk);
    rehearsal::end_when_left(desk);
    let root = Owner::current().unwrap_or_default();
    let waits = desk.route.get_untracked() == Some(Route::Jobs) && update::awaits_touch();
    if waits {
        desk.rest.set(Some(Rest::Waits));
        window::when_touched(move || {
            desk.rest.try_set(None);
            later.want_ledger();
        });
    } else {
        when_painted(move || later.want_ledger());
    }
    Effect::new(move |_| {
        if let Some(ledger) = later.ledger() {
            desk.open(ledger);
            // What watches lives as long as the app.
            root.with(|| (ledger.begin)(desk));
        }
    });
    follow_phone(desk, later, waits);
    let place = drawn_place(desk);
    let content = Memo::new(move |_| content(desk, later, place.get()));
    view! {
        <Header />
        <rehearsal::Band />
        <Follows />
        <Alarms />
        <NewVersion />
        {move || desk.running_coats()}
        {move || (!desk.places_news.get()).then(|| view! { <Toasts /> })}
        <main id="page">{move || page(content.get(), later)}</main>
    }
}

/// Says on every page that another window is the one that writes.
#[component]
fn Follows() -> impl IntoView {
    let desk = use_desk();
    let work_here = |_| leptos::task::spawn_local(writer::take_over());
    move || {
        desk.follows.get().then(|| {
            view! {
                <div id="follows" class="band" role="status">
                    <p>
                        {tr("Peelcast is open in another window, and this one shows what is done there. What you change here is kept, too: then this window takes over.")}
                    </p>
                    <button id="work-here" on:click=work_here>
                        {tr("Take over")}
                    </button>
                </div>
            }
        })
    }
}

/// Keeps [`Desk::route`] at what the address says.
fn follow_address(desk: Desk) {
    window::listen("hashchange", move |_| {
        desk.route.try_set(Route::read(&window::hash()));
    });
}

/// Follows what comes from outside the page: taps on notifications, files, new versions.
/// `waits`: nothing is opened yet.
fn follow_phone(desk: Desk, later: Later, waits: bool) {
    update::on_word(
        |hash| window::go(&hash, false),
        |call| set_timeout(move || alert::raise(&call), SAID_AGAIN),
        move |rest| {
            // That all is there is worth a word only where it was not.
            let known = desk.rest.try_get_untracked().flatten();
            let told = rest != Rest::Here || known == Some(Rest::Comes);
            desk.rest.try_set(told.then_some(rest));
        },
    );
    handed::follow_opened(Route::Handed.to_string());
    // What keeps the app on the phone is busy at first: it waits until the jobs are open, or the
    // list of a first start is painted.
    let keep = move || {
        leptos::task::spawn_local(update::start(move || {
            desk.new_version.try_set(true);
        }));
    };
    if waits {
        when_painted(keep);
    }
    Effect::new(move |begun: Option<bool>| {
        let begun = begun == Some(true);
        let begins = desk.ready.get() || later.lacks_ledger();
        if begins && !begun {
            if !waits {
                keep();
            }
            leptos::task::spawn_local(update::keep_rest());
        }
        begins || begun
    });
}

/// Shows and keeps the settings.
fn follow_settings(desk: Desk) {
    Effect::new(move |before: Option<Settings>| {
        let settings = desk.settings.get();
        window::set_theme(settings.theme.name());
        if before.is_some_and(|before| before != settings) && !local::keep_settings(&settings) {
            desk.warn(
                tr("The setting counts for now, but this phone has no room to keep it. Your jobs are safe."),
            );
        }
        settings
    });
}

/// Shows what another window of the app has stored.
fn follow_other_windows(desk: Desk) {
    writer::begin(move |writes| {
        desk.follows.try_set(!writes);
    });
    // The browser says so only to the windows that did not do it.
    window::listen("storage", move |_| desk.follow_rest());
}

/// Keeps the list of jobs, for the next start, once it has come to rest.
fn keep_list(desk: Desk) {
    let waiting: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    Effect::new(move |kept: Option<()>| {
        desk.lines.track();
        if kept.is_none() {
            return;
        }
        if let Some(handle) = waiting.get_value() {
            handle.clear();
        }
        let keep = move || desk.lines.with_untracked(|lines| local::keep_lines(lines));
        waiting.set_value(set_timeout_with_handle(keep, AT_REST).ok());
    });
}

/// Lets [`Desk::now`] tick each second, in a rehearsal too, where that is a minute; but only while
/// someone looks.
fn follow_clock(desk: Desk) {
    let ticking: StoredValue<Option<IntervalHandle>> = StoredValue::new(None);
    let ahead: StoredValue<Option<TimeDelta>> = StoredValue::new(None);
    let follow = move || {
        if let Some(handle) = ticking.get_value() {
            handle.clear();
        }
        if !window::visible() {
            ticking.set_value(None);
            desk.now.try_set(desk.time());
            return;
        }
        look_at_clock(desk, ahead, true);
        desk.now.try_set(desk.time());
        alert::returned();
        update::look();
        let tick = move || {
            look_at_clock(desk, ahead, false);
            desk.now.try_set(desk.time());
        };
        ticking.set_value(set_interval_with_handle(tick, TICK).ok());
    };
    Effect::new(move |_| {
        desk.rehearsal.track();
        follow();
    });
    window::listen_on(&window::document(), "visibilitychange", move |_| follow());
}

/// Says so when someone has set the phone's clock; `asleep` if the phone may have slept since it was
/// last looked at, which looks like a clock that was set forward.
fn look_at_clock(desk: Desk, ahead: StoredValue<Option<TimeDelta>>, asleep: bool) {
    let now = phone::clock_ahead();
    let before = ahead.get_value();
    ahead.set_value(now);
    let (Some(now), Some(before)) = (now, before) else {
        return;
    };
    let by = now - before;
    if by.abs() < NOTABLE || asleep && by > TimeDelta::zero() {
        return;
    }
    let span = show::duration(Minutes((by.num_seconds().abs() as f64 / 60.0).round()));
    let way = if by > TimeDelta::zero() {
        tr("forward")
    } else {
        tr("back")
    };
    desk.warn(say!(
        "The phone's clock was set {way} by {span}. Every countdown goes by that clock, and \
         what was tapped before keeps its old time: until the next tap go by touch and by the \
         paste.",
        way,
        span
    ));
}

/// When a notification is said again that was put off.
const SAID_AGAIN: Duration = Duration::from_secs(300);
/// The list is kept when nothing has changed for so long.
const AT_REST: Duration = Duration::from_secs(1);
/// A clock that jumps by less was only put right.
const NOTABLE: TimeDelta = TimeDelta::seconds(60);
const TICK: Duration = Duration::from_secs(1);

/// What the page shows.
#[derive(Clone, PartialEq)]
enum Content {
    /// Nothing yet: what the page before the app says stays for one frame more.
    Begun,
    /// That the jobs are being opened.
    Opening,
    /// That the records' part is missing; with the list, where there is one.
    Lacking { listed: bool },
    /// That the address leads nowhere.
    NoPlace,
    /// That what it names is not on this phone.
    NotHere,
    /// The list of jobs.
    Jobs,
    /// A page of a later part.
    Place(Route),
}

/// Calls back once what has changed so far is painted, or soon where nobody looks.
fn when_painted(then: impl FnOnce() + 'static) {
    let soon = || set_timeout(then, Duration::ZERO);
    match window::visible() {
        true => request_animation_frame(soon),
        false => soon(),
    }
}

/// The place whose page is drawn; nothing before the first. It follows the address by a frame, so
/// that a tap is answered in the header before a large page is built.
fn drawn_place(desk: Desk) -> RwSignal<Option<Option<Route>>> {
    let place = RwSignal::new(None);
    Effect::new(move |_| {
        desk.route.track();
        when_painted(move || {
            place.try_set(desk.route.try_get_untracked());
        });
    });
    place
}

/// What the place names, as far as it is here.
fn content(desk: Desk, later: Later, place: Option<Option<Route>>) -> Content {
    let Some(route) = place else {
        return Content::Begun;
    };
    if !desk.ready.get() {
        // The list stands in words of its own until then.
        let known = desk.lines.with_untracked(|lines| !lines.is_empty());
        let listed = known && route == Some(Route::Jobs);
        return match later.lacks_ledger() {
            true => Content::Lacking { listed },
            false if listed => Content::Jobs,
            false => Content::Opening,
        };
    }
    match route {
        None => Content::NoPlace,
        Some(Route::Jobs) => Content::Jobs,
        Some(place) if desk.jobs.with(|jobs| is_there(&place, jobs)) => Content::Place(place),
        Some(_) => Content::NotHere,
    }
}

/// Draws it.
fn page(content: Content, later: Later) -> AnyView {
    let list = || view! { <screens::jobs::Jobs /> }.into_any();
    match content {
        Content::Begun => view! { <p class="purpose">{tr(JOBS)}</p> }.into_any(),
        Content::Opening => view! { <p class="soft">{tr("Opening your jobs …")}</p> }.into_any(),
        Content::Lacking { listed } => {
            let missing = later.missing(None);
            view! { {missing} {listed.then(list)} }.into_any()
        }
        Content::NoPlace => nowhere(tr(
            "This address leads nowhere in Peelcast. Your jobs are safe.",
        )),
        Content::NotHere => nowhere(tr(
            "This job or piece is not on this phone. It may have been deleted here, or it lies on another phone: export it there and import it here.",
        )),
        Content::Jobs => list(),
        Content::Place(place) => later.screen(place),
    }
}

/// Whether the job and the piece that a place names are on this phone.
fn is_there(place: &Route, jobs: &[Job]) -> bool {
    let Some(id) = place.job() else { return true };
    let Some(job) = jobs.iter().find(|job| job.id == *id) else {
        return false;
    };
    match place {
        Route::Details(_, piece) | Route::Heights(_, piece) | Route::Piece(_, piece, _) => {
            job.pieces.iter().any(|p| p.id == *piece)
        }
        _ => true,
    }
}

fn nowhere(sentence: &'static str) -> AnyView {
    view! {
        <p>{sentence}</p>
        <p>
            <a class="button" href=Route::Jobs.to_string()>
                {tr("See all jobs")}
            </a>
        </p>
    }
    .into_any()
}

/// Way back, title, and the five pages where a piece is open.
#[component]
fn Header() -> impl IntoView {
    let desk = use_desk();
    let heading = NodeRef::<html::H1>::new();
    let title = Memo::new(move |_| title(desk));
    let soonest = Memo::new(move |_| desk.soonest());
    Effect::new(move |before: Option<Option<Route>>| {
        let route = desk.route.get();
        if before.is_some_and(|before| before != route)
            && let Some(heading) = heading.get_untracked()
        {
            window::start_reading(&heading);
        }
        route
    });
    Effect::new(move |_| {
        let title = title.get();
        let title = match title.as_str() {
            "Peelcast" => title,
            _ => say!("{title} – Peelcast", title),
        };
        window::set_title(&match soonest.get() {
            Some(due) => format!("{due} – {title}"),
            None => title,
        });
    });
    let up = move || desk.route.get().map_or(Some(Route::Jobs), |r| r.up());
    let back = move || {
        up().map(|up| {
            view! { <a id="back" class="button" href=up.to_string()>{tr("Back")}</a> }.into_any()
        })
    };
    let settings = move || {
        (desk.route.get() == Some(Route::Jobs)).then(
            || view! { <a id="settings" class="button" href=Route::Settings.to_string()>{tr("Settings")}</a> },
        )
    };
    // The settings have the choice itself, and the list of jobs has nothing to measure.
    let numbers = Memo::new(move |_| {
        let place = desk.route.get();
        !matches!(place, None | Some(Route::Jobs | Route::Settings))
    });
    let units = move || numbers.get().then(|| units::switch(desk, "switch-units"));
    view! {
        <header class="head">
            {back} {units}
            <h1 id="title" tabindex="-1" node_ref=heading>
                {title}
            </h1>
            {settings}
        </header>
        {move || pages(desk)}
    }
}

fn title(desk: Desk) -> String {
    let Some(route) = desk.route.get() else {
        return tr("Nothing here").into();
    };
    let job = |id: &JobId| {
        desk.jobs.with(|jobs| {
            let job = jobs.iter().find(|job| job.id == *id);
            job.map_or(tr("No such job").into(), standing::job_name)
        })
    };
    let piece = |id: &JobId, piece: &PieceId| {
        desk.jobs.with(|jobs| {
            let job = jobs.iter().find(|j| j.id == *id);
            let piece = job.and_then(|j| j.pieces.iter().find(|p| p.id == *piece));
            piece.map_or(tr("No such piece").into(), standing::piece_name)
        })
    };
    match &route {
        Route::Jobs => tr("Peelcast").into(),
        Route::Settings => tr("Settings").into(),
        Route::Lens => tr("Lens card").into(),
        Route::Moulds => tr("Finished moulds").into(),
        Route::Backup => tr("Backup").into(),
        Route::Handed => tr("Handed over").into(),
        Route::Job(id) => job(id),
        Route::Day(id) => say!("The day: {id}", id = job(id)),
        Route::Sheet(id) => say!("Sheet: {id}", id = job(id)),
        Route::Heights(id, of) => say!("Heights: {value}", value = piece(id, of)),
        Route::Details(id, of) | Route::Piece(id, of, _) => piece(id, of),
    }
}

fn pages(desk: Desk) -> Option<AnyView> {
    let (job, piece, open) = match desk.route.get()? {
        Route::Piece(job, piece, open) => (job, piece, Some(open)),
        Route::Heights(job, piece) => (job, piece, None),
        _ => return None,
    };
    let links = Page::ALL.map(|page| {
        let place = Route::Piece(job.clone(), piece.clone(), page).to_string();
        let current = (Some(page) == open).then_some("page");
        view! {
            <a id=format!("page-{}", page.path()) href=place aria-current=current>
                {page.word()}
            </a>
        }
    });
    Some(
        view! {
            <nav id="pages" class="pages" aria-label=tr("Pages of this piece")>
                {links.into_iter().shown()}
            </nav>
        }
        .into_any(),
    )
}
