//! Why a day has no plan, in words.

use super::hours::{EPS, Hours};
use super::learn::Search;
use super::model::Model;
use super::request::{Day, Gap, Settled};
use super::solve::Failed;
use super::windows::Windows;
use crate::quantity::{Minutes, show};
use crate::say;
use crate::words::tr;
use std::fmt;

/// So many dead ends are learnt from for each rule that is left out to see whether it was the one.
const TRIED: usize = 1_500;

/// What a clash is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClashPlace {
    /// The day as a whole, or its crews.
    Day,
    /// The hours of the site.
    Hours,
    /// A work of a piece: the place of each in its list.
    Work(usize, usize),
    /// A work that is pinned, or has begun.
    Settled(usize, usize),
}

/// Why there is no plan: what clashes, and what to do, in a sentence or two.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// What it is about.
    pub place: ClashPlace,
    text: String,
}

impl fmt::Display for Clash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl std::error::Error for Clash {}

fn clash(place: ClashPlace, text: impl Into<String>) -> Clash {
    let text = text.into();
    Clash { place, text }
}

/// Refuses what no plan can be made from.
pub(super) fn check(day: &Day) -> Result<(), Clash> {
    let finite = |x: Minutes| x.0.is_finite();
    if !finite(day.from) || day.crews.is_empty() || day.crews.contains(&0) {
        return Err(clash(
            ClashPlace::Day,
            tr("A day needs a time from which it is planned and at least one pair of hands."),
        ));
    }
    for (p, piece) in day.pieces.iter().enumerate() {
        let mut all_begun = true;
        for (w, work) in piece.works.iter().enumerate() {
            let at = ClashPlace::Work(p, w);
            let name = in_words(day, p, w);
            let Gap { least, most } = work.gap;
            let span = |x: Minutes| finite(x) && x.0 >= 0.0;
            if !span(work.takes) || !span(least) || work.crew >= day.crews.len() {
                let text = say!(
                    "{name} needs a length and a gap of zero minutes or more, and a crew that there is.",
                    name
                );
                return Err(clash(at, text));
            }
            if w > 0 && most.is_some_and(|most| !finite(most) || most < least) {
                let most = most.unwrap_or(least);
                return Err(clash(
                    at,
                    say!(
                        "{name} has to wait at least {least} after {w} and at most {most}: no start keeps both. Look at the card's times.",
                        name,
                        least = show::duration(least),
                        w = before(day, p, w),
                        most = show::duration(most)
                    ),
                ));
            }
            let begun = matches!(work.settled, Settled::Begun(_));
            if begun && !all_begun {
                let text = say!(
                    "{name} has begun, but {w} has not. Say when that began.",
                    name,
                    w = before(day, p, w)
                );
                return Err(clash(ClashPlace::Settled(p, w), text));
            }
            if let Settled::Begun(at) | Settled::Pinned(at) = work.settled
                && !finite(at)
            {
                let text = say!("{name} needs an ordinary minute for its start.", name);
                return Err(clash(ClashPlace::Settled(p, w), text));
            }
            all_begun &= begun;
            let longest = day.hours.windows().map(|(open, close)| close - open);
            let longest = longest.map(|span| span.0).fold(0.0, f64::max);
            if !begun && !day.hours.is_always() && work.takes.0 > longest + EPS {
                let text = say!(
                    "{name} takes {takes}, and the site is never open that long. Split the work, or open longer.",
                    name,
                    takes = show::duration(work.takes)
                );
                return Err(clash(at, text));
            }
        }
    }
    Ok(())
}

fn in_words(day: &Day, p: usize, w: usize) -> String {
    let piece = &day.pieces[p];
    say!(
        "{name} of {name_2}",
        name = capital(&piece.works[w].name),
        name_2 = piece.name
    )
}

fn before(day: &Day, p: usize, w: usize) -> String {
    match w.checked_sub(1) {
        Some(w) => day.pieces[p].works[w].name.clone(),
        None => tr("the work before it").to_owned(),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => tr("The work").to_owned(),
    }
}

/// Finds a rule without which there would be a plan.
pub(super) fn explain(day: &Day, model: &Model, failed: Failed) -> Clash {
    if failed == Failed::NotFound {
        return clash(
            ClashPlace::Day,
            tr(
                "No plan was found, though none was ruled out. Take pins away, bring more hands, or leave out a piece.",
            ),
        );
    }
    let possible = |day: &Day| {
        let model = Model::of(day);
        let horizon = model.horizon();
        Windows::of(&model, horizon, true).is_ok()
            && (failed == Failed::Windows
                || Search::of(&model).go(horizon, TRIED, true).starts.is_some())
    };
    let cause = match failed {
        Failed::Windows => tr("by the hours, the other gaps and what is settled"),
        _ => tr("since the hands are needed elsewhere"),
    };
    let mut rules: Vec<Rule> = Vec::new();
    let open = model.tasks.iter().filter(|task| !task.begun);
    let limited = open.clone().filter(|task| task.most.is_finite());
    rules.extend(limited.map(|task| Rule::Limit(task.piece, task.work)));
    let pinned = open.filter(|task| task.fixed.is_some());
    rules.extend(pinned.map(|task| Rule::Pin(task.piece, task.work)));
    rules.extend((!day.hours.is_always()).then_some(Rule::Hours));
    // One rule that is to blame alone; else the one that is to blame once those before it are gone.
    let alone = rules.iter().find(|rule| {
        let mut other = day.clone();
        rule.leave_out(&mut other);
        possible(&other)
    });
    let mut rest = day.clone();
    let mut last = || {
        rules.iter().find(|rule| {
            rule.leave_out(&mut rest);
            possible(&rest)
        })
    };
    match alone.copied().or_else(|| last().copied()) {
        Some(rule) => rule.clash(day, model, cause),
        None => clash(
            ClashPlace::Day,
            tr(
                "The works don't fit beside what has begun. Bring more hands, or leave out a piece.",
            ),
        ),
    }
}

/// A rule that a plan may fail by.
#[derive(Clone, Copy)]
enum Rule {
    Pin(usize, usize),
    Limit(usize, usize),
    Hours,
}

impl Rule {
    fn leave_out(self, day: &mut Day) {
        match self {
            Self::Pin(p, w) => day.pieces[p].works[w].settled = Settled::Free,
            Self::Limit(p, w) => day.pieces[p].works[w].gap.most = None,
            Self::Hours => day.hours = Hours::always(),
        }
    }

    fn clash(self, day: &Day, model: &Model, cause: &str) -> Clash {
        match self {
            Self::Pin(p, w) => {
                let why = pin_why(model, day, p, w);
                let name = in_words(day, p, w);
                let text = say!(
                    "{name} can't start where it is pinned{why}. Move or remove the pin.",
                    name,
                    why
                );
                clash(ClashPlace::Settled(p, w), text)
            }
            Self::Limit(p, w) => {
                let task = &model.tasks[model.chains[p][w]];
                let gap = say!(
                    "{w} can't start at most {most} (as the card counts it) after {w_2}",
                    w = in_words(day, p, w),
                    most = show::duration(Minutes(task.most)),
                    w_2 = before(day, p, w)
                );
                let pinned =
                    |w: &usize| matches!(day.pieces[p].works[*w].settled, Settled::Pinned(_));
                match [w, w - 1].into_iter().find(pinned) {
                    Some(pin) => clash(
                        ClashPlace::Settled(p, pin),
                        say!(
                            "{gap}, with {name} pinned where it is. Move or remove the pin.",
                            gap,
                            name = day.pieces[p].works[pin].name
                        ),
                    ),
                    None => clash(
                        ClashPlace::Work(p, w),
                        say!(
                            "{gap}, {cause}. Start earlier, bring more hands, leave out a piece, \
                             or take another day.",
                            gap,
                            cause
                        ),
                    ),
                }
            }
            Self::Hours => clash(
                ClashPlace::Hours,
                tr(
                    "The works and their gaps don't fit into the hours. Open longer, bring more hands, \
                 leave out a piece, or add another day.",
                ),
            ),
        }
    }
}

/// What a pin runs into, where one thing is enough to say it.
fn pin_why(model: &Model, day: &Day, p: usize, w: usize) -> String {
    let task = &model.tasks[model.chains[p][w]];
    let fixed = task.fixed.unwrap_or(model.from);
    if fixed < model.from {
        return tr(": that is over").to_owned();
    }
    if (model.hours.first(fixed, task.takes) - fixed).abs() > EPS {
        return tr(": the site isn't open for all of it").to_owned();
    }
    let mut day = day.clone();
    day.pieces.truncate(p + 1);
    day.pieces.drain(..p);
    for other in &mut day.pieces[0].works {
        if matches!(other.settled, Settled::Pinned(at) if at.0 != fixed) {
            other.settled = Settled::Free;
        }
    }
    let alone = Model::of(&day);
    match Windows::of(&alone, alone.horizon(), true) {
        Ok(_) => String::new(),
        Err(_) if w == 0 => tr(": what follows doesn't fit then").to_owned(),
        Err(_) => say!(
            ": the gaps after {w} don't lead there",
            w = before(&day, 0, w)
        ),
    }
}
