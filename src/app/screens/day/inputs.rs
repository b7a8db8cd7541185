//! What the day is planned for: hands, when it begins, the hours of the site, and nights.

use super::Visit;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::field::field_shell;
use crate::app::parts::form::half_typed;
use crate::job;
use crate::phone::time;
use crate::words::{mark, tr};
use leptos::prelude::*;
use std::ops::RangeInclusive;

/// What is said of a time that was begun and not ended.
pub(super) const HALF: &str =
    mark("The time is not complete. Type the rest of it, or take all of it away.");

/// How many pairs of hands, and how many nights, are offered.
const MOST_HANDS: u32 = 4;
const MOST_NIGHTS: u32 = 3;

#[component]
pub fn Inputs(visit: Visit) -> impl IntoView {
    let begins = Memo::new(move |_| {
        let job = visit.job.get();
        let begins = job.and_then(|job| job.visit.begins);
        begins.map(time::to_field).unwrap_or_default()
    });
    let wrong_begin = RwSignal::new(None::<String>);
    let begin = move |event: web_sys::Event| {
        let half = half_typed(&event);
        wrong_begin.set(half.then(|| tr(HALF).to_owned()));
        if half {
            return;
        }
        let at = time::of_field(&event_target_value(&event));
        visit.change(tr("Beginning changed"), move |job| job.visit.begins = at);
    };
    let wrong = RwSignal::new(None::<String>);
    let hour = move |first: bool| {
        Memo::new(move |_| {
            let job = visit.job.get();
            let hours = job.and_then(|job| job.visit.hours);
            let minutes = hours.map(|(from, to)| if first { from } else { to });
            minutes.map(time_of_day).unwrap_or_default()
        })
    };
    let (from, to) = (hour(true), hour(false));
    let set = move |first: bool, event: web_sys::Event| {
        let half = half_typed(&event);
        wrong.set(half.then(|| tr(HALF).to_owned()));
        if half {
            return;
        }
        let text = event_target_value(&event);
        let job = visit.job.get_untracked();
        let kept = job.and_then(|job| job.visit.hours);
        let hours = match minutes_of(&text) {
            // One end taken away takes both.
            None => None,
            Some(minutes) => {
                let (from, to) = kept.unwrap_or((7 * 60, 18 * 60));
                Some(if first {
                    (minutes, to)
                } else {
                    (from, minutes)
                })
            }
        };
        if hours.is_some_and(|(from, to)| from >= to) {
            wrong.set(Some(
                tr("The site has to close after it opens. For work past midnight leave both empty.")
                    .into(),
            ));
            return;
        }
        visit.change(tr("Hours changed"), move |job| job.visit.hours = hours);
    };
    let clock = move |id: &'static str, label: &'static str, first: bool, value: Memo<String>| {
        field_shell(
            id.into(),
            Signal::stored(label.into()),
            Signal::stored(String::new()),
            Signal::stored(None),
            move |described| {
                view! {
                    <input
                        id=id
                        type="time"
                        prop:value=value
                        aria-describedby=described
                        on:change=move |event| set(first, event)
                    />
                }
                .into_any()
            },
        )
    };
    view! {
        <h2>{tr("You and the site")}</h2>
        {number(
            visit,
            ("hands", tr("Pairs of hands"), tr("Hands changed")),
            1..=MOST_HANDS,
            |visit| &mut visit.hands,
        )}
        {field_shell(
            "day-begins".into(),
            Signal::stored(tr("The work begins").into()),
            Signal::stored(tr("Empty: as soon as possible.").into()),
            wrong_begin.into(),
            move |described| {
                view! {
                    <input
                        id="day-begins"
                        type="datetime-local"
                        prop:value=begins
                        aria-describedby=described
                        on:change=begin
                    />
                }
                .into_any()
            },
        )}
        <p>{tr("The site is open from and until; leave both empty if you can always work there.")}</p>
        <div class="pair">
            {clock("hours-from", tr("Opens"), true, from)} {clock("hours-to", tr("Closes"), false, to)}
        </div>
        <p class="error" role="alert" hidden=move || wrong.with(Option::is_none)>
            {wrong}
        </p>
        {number(
            visit,
            ("nights", tr("Nights that may lie in between"), tr("Nights changed")),
            0..=MOST_NIGHTS,
            |visit| &mut visit.nights,
        )}
        <p class="soft">
            {tr("A coat may wait overnight or for days, unless the paste's card names a latest time.")}
        </p>
    }
}

/// A number of the visit that is chosen; `changed` names its change.
fn number(
    visit: Visit,
    (name, legend, changed): (&'static str, &'static str, &'static str),
    offered: RangeInclusive<u32>,
    of: fn(&mut job::Visit) -> &mut u32,
) -> AnyView {
    let answers = offered.map(|n| Answer::new(n.to_string(), n.to_string()));
    let chosen = Memo::new(move |_| {
        let job = visit.job.get();
        job.map_or(String::new(), |mut job| of(&mut job.visit).to_string())
    });
    let choose = move |chosen: String| {
        if let Ok(number) = chosen.parse() {
            visit.change(changed, move |job| *of(&mut job.visit) = number);
        }
    };
    view! {
        <div class="narrow-choice">
            <Choice name legend answers=Signal::stored(answers.collect::<Vec<_>>()) chosen choose />
        </div>
    }
    .into_any()
}

/// "07:30" of the minutes after midnight.
fn time_of_day(minutes: u32) -> String {
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

fn minutes_of(text: &str) -> Option<u32> {
    let (hours, minutes) = text.split_once(':')?;
    let hours: u32 = hours.parse().ok()?;
    let minutes: u32 = minutes.get(..2)?.parse().ok()?;
    Some(60 * hours + minutes)
}
