//! The plan for the phone's own calendar, and the rehearsal.

use super::Visit;
use crate::app::route::{Page, Route};
use crate::clock::{Calendar, Call, Event};
use crate::job::{Job, OnSite, WorkState};
use crate::phone::file::{self, Outgoing};
use crate::words::tr;
use leptos::prelude::*;

#[component]
pub fn ToCalendar(visit: Visit) -> impl IntoView {
    let changed = Memo::new(move |_| {
        visit
            .calendar()
            .is_some_and(|(next, kept)| kept != Calendar::default() && next != kept)
    });
    let old = move || {
        changed.get().then(|| {
            view! {
                <p id="calendar-old" class="wait">
                    {tr("The plan has changed since you gave it to the calendar. Give it again: the same events move.")}
                </p>
            }
        })
    };
    let can_rehearse = move || {
        let job = visit.job.get()?;
        let runs = job
            .pieces
            .iter()
            .any(|piece| !piece.coat_log.is_empty() && !crate::clock::finished(&piece.coat_log));
        let rehearsed = visit.desk.rehearsal.with(Option::is_some);
        (!runs && !rehearsed && !job.pieces.is_empty()).then_some(job)
    };
    let rehearse = move || {
        can_rehearse().map(|job| {
            let place = job.pieces.first().map(|piece| {
                Route::Piece(job.id.clone(), piece.id.clone(), Page::Coat)
            });
            let start = move |_| {
                visit.desk.rehearse(&job.id);
                place.iter().for_each(|place| visit.desk.go(place));
            };
            view! {
                <h2>{tr("Rehearse it")}</h2>
                <p>
                    {tr("Run through all steps at 60 times the speed, with your own taps. It is marked on every page, and nothing of it is kept.")}
                </p>
                <button id="rehearse-day" class="wide" on:click=start>
                    {tr("Rehearse at 60 times the speed")}
                </button>
            }
        })
    };
    view! {
        <h2>{tr("For the phone's own calendar")}</h2>
        <p>
            {tr("A closed app can't ring, a calendar can. Each event starts when it is due and says what to do. Some calendars drop the alarms of a file, and some don't move events that they have: look at one after you have opened the file.")}
        </p>
        {old}
        <GiveToCalendar visit />
        {rehearse}
    }
}

/// Gives the plan out as a file for the phone's own calendar.
#[component]
pub fn GiveToCalendar(visit: Visit) -> impl IntoView {
    let give = move |_| {
        if visit.desk.rehearses(&visit.id.get_value()) {
            visit.desk.tell(tr(
                "A rehearsal gives nothing to the calendar: its times are not real.",
            ));
            return;
        }
        let Some((calendar, _)) = untrack(move || visit.calendar()) else {
            visit
                .desk
                .tell(tr("There is no plan of the day to put into a calendar."));
            return;
        };
        let file = Outgoing {
            name: "coats.ics".into(),
            kind: "text/calendar",
            bytes: calendar.text(visit.desk.time()).into_bytes(),
        };
        match file::download(&file) {
            Ok(()) => visit.change(tr("Given to the calendar"), move |job| job.calendar = calendar),
            Err(_) => visit.desk.warn(
                tr("This browser would not give the file out. Set your phone's alarm for the times in the list."),
            ),
        }
    };
    view! {
        <button id="to-calendar" class="wide" on:click=give>
            {tr("Give the plan to the calendar")}
        </button>
    }
}

impl Visit {
    /// What the calendar is to get now, and what it got last.
    fn calendar(self) -> Option<(Calendar, Calendar)> {
        let job = self.job.get()?;
        self.planned.with(|planned| {
            let on_site = planned.as_ref()?.as_ref().ok()?;
            let next = job
                .calendar
                .next(events(&job, on_site), self.desk.now.get());
            Some((next, job.calendar.clone()))
        })
    }
}

/// What the calendar is to call for: each work that is still to come, by what comes first of it.
fn events(job: &Job, on_site: &OnSite) -> Vec<Event> {
    let open = on_site.works.iter();
    let open = open.filter(|w| matches!(w.state, WorkState::Planned | WorkState::Pinned));
    open.filter_map(|work| {
        let piece = job.pieces.get(work.piece)?;
        let call = match (work.coat, work.work as u32) {
            (None, _) => Call::Peel,
            (Some(_), 0) => Call::Begin { coat: 1 },
            (Some(_), coat) => Call::Touch { coat },
        };
        let id = format!("{}-{}", job.id, piece.id);
        Some(Event::new(call, work.from, (&id, piece.title()), ""))
    })
    .collect()
}
