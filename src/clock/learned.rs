//! What the taps and weighings of earlier jobs teach of the one who brushes: how fast each kind of
//! coat goes on, how long mixing takes, what stays behind in containers and tools.
//!
//! Each habit is known as a normal distribution of its logarithm. It begins at the program's own
//! guess with the spread of hands; the batches have theirs; the two are weighed by their precisions
//! (the normal model with known variance: A. Gelman and others, Bayesian Data Analysis, chapter 2;
//! from memory). The batches count by their median, which a forgotten tap or a call in between does
//! not move; for three and more its variance is about half of pi times that of their mean (from
//! memory). A batch that went on absurdly fast or slowly, or that was thrown away, does not count.

use super::due::minutes_between;
use super::entry::{Entry, LogNote, masses};
use super::moment::{Moment, Tap};
use crate::coating::{CoatChoice, CoatRole, Hand, Marked, Plan, Source, Tool};
use crate::quantity::show::System;
use crate::quantity::{Amount, Estimate, Grams, Millimetres, Minutes, Quantity};
use crate::quantity::{SquareMillimetresPerMinute, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};
use std::f64::consts::FRAC_PI_2;

/// How far one hand lies from the program's guess, as a standard deviation of the logarithm: two
/// in three lie within a factor of 1.6.
const HAND_SPREAD: Marked<f64> = Marked::made_up(0.5);
/// How far one batch lies from the next of the same hand, as a standard deviation of the logarithm.
const BATCH_SPREAD: Marked<f64> = Marked::made_up(0.35);
/// What took less was tapped through.
const TAPPED_THROUGH: Marked<Minutes> = Marked::made_up(Minutes(1.0 / 3.0));
/// What took more than so many working times was forgotten: the paste had long set.
const FORGOTTEN: Marked<f64> = Marked::made_up(3.0);
/// Mixing in one container for more than this share of the working time was a pause.
const PAUSED: Marked<f64> = Marked::made_up(0.25);
/// More than this share of a batch is not what stays behind, but paste that was not needed.
const NOT_NEEDED: Marked<f64> = Marked::made_up(0.5);

/// One coating that was begun.
#[derive(Clone, Copy, Debug)]
pub struct Work<'a> {
    /// What was tapped.
    pub log: &'a [Moment],
    /// What was noted.
    pub notes: &'a [LogNote],
    /// The plan it went by.
    pub plan: &'a Plan,
}

/// A habit that was learned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habit<Q> {
    /// What it is now taken to be, with its range.
    pub value: Estimate<Q>,
    /// From how many batches.
    pub batches: u32,
    /// What the program takes without them.
    pub guess: Q,
}

/// Everything that was learned; what no batch speaks of is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Learned {
    /// The area brushed in a minute with a skim coat.
    pub skim: Option<Habit<SquareMillimetresPerMinute>>,
    /// The same with a build coat.
    pub build: Option<Habit<SquareMillimetresPerMinute>>,
    /// The same with a final coat.
    pub last: Option<Habit<SquareMillimetresPerMinute>>,
    /// Mixing time in each container.
    pub mix: Option<Habit<Minutes>>,
    /// Paste that stays in the containers and the tool, per batch.
    pub residue: Option<Habit<Grams>>,
}

/// Learns from these works. Batches mixed before `since` (when the user began anew) don't count.
pub fn learned(works: &[Work<'_>], since: Option<DateTime<Utc>>) -> Learned {
    let mut seen = Seen::default();
    for work in works {
        for batch in batches(work.log) {
            if since.is_none_or(|since| batch.mixed >= since) {
                seen.take(&batch, work);
            }
        }
    }
    let speed = |role, seen: Vec<f64>| {
        let usual = CoatChoice::usual(role, Millimetres(1.0), Tool::Brush);
        Habit::of(usual.speed, seen)
    };
    let guess = Hand::default();
    Learned {
        skim: speed(CoatRole::Skim, seen.skim),
        build: speed(CoatRole::Build, seen.build),
        last: speed(CoatRole::Final, seen.last),
        mix: Habit::of(guess.mix.value, seen.mix),
        residue: Habit::of(guess.residue.value, seen.residue),
    }
}

impl Learned {
    /// The area brushed in a minute with a coat of that kind.
    pub fn speed(&self, role: CoatRole) -> Option<&Habit<SquareMillimetresPerMinute>> {
        match role {
            CoatRole::Skim => self.skim.as_ref(),
            CoatRole::Build => self.build.as_ref(),
            CoatRole::Final => self.last.as_ref(),
        }
    }

    /// Puts what was learned in the place of the program's guesses, and the guesses in the place of
    /// what is no longer known; what the user chose stays.
    pub fn put_into(&self, coats: &mut [CoatChoice], hand: &mut Hand) {
        for coat in coats {
            let learned = matches!(coat.speed_source, Source::Learned(_));
            match self.speed(coat.role) {
                Some(habit) if learned || coat.speed_source == Source::MadeUp => {
                    coat.speed = habit.value.value;
                    coat.speed_source = habit.source();
                }
                None if learned => {
                    *coat = CoatChoice::usual(coat.role, coat.thickness, coat.tool);
                }
                _ => {}
            }
        }
        let guess = Hand::default();
        hand.mix = self.mix.as_ref().map_or(guess.mix, |habit| Marked {
            value: habit.value.value,
            source: habit.source(),
        });
        hand.residue = self.residue.as_ref().map_or(guess.residue, |habit| Marked {
            value: habit.value.value,
            source: habit.source(),
        });
    }

    /// What was learned, a sentence each.
    pub fn said(&self, system: System) -> Vec<String> {
        let speed = |role: CoatRole| {
            let amount = |speed| Amount::Speed(speed).show(system);
            let said = |habit: &Habit<_>| {
                habit.said(&say!("Brushing a {name}", name = role.name()), amount)
            };
            self.speed(role).map(said)
        };
        let mass = |mass| say!("{mass} a batch", mass = show::mass(mass, system));
        let mix = |habit: &Habit<_>| habit.said(tr("Mixing in each container"), show::duration);
        let left =
            |habit: &Habit<_>| habit.said(tr("Left in the containers and on the tool"), mass);
        [
            speed(CoatRole::Skim),
            speed(CoatRole::Build),
            speed(CoatRole::Final),
            self.mix.as_ref().map(mix),
            self.residue.as_ref().map(left),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

impl<Q: Quantity> Habit<Q> {
    /// From what single batches showed, in the unit of the guess; `None` without any.
    fn of(guess: Q, seen: Vec<f64>) -> Option<Self> {
        let count = seen.len();
        let mut logs: Vec<f64> = seen.into_iter().map(f64::ln).collect();
        logs.sort_by(f64::total_cmp);
        let median = (logs.get(count.checked_sub(1)? / 2)? + logs.get(count / 2)?) / 2.0;
        let loss = if count > 2 { FRAC_PI_2 } else { 1.0 };
        let own = HAND_SPREAD.value.powi(-2);
        let told = count as f64 / (loss * BATCH_SPREAD.value.powi(2));
        let middle = (own * guess.number().ln() + told * median) / (own + told);
        let value = middle.exp();
        // The relative standard deviation of the log-normal spread.
        let relative = (1.0 / (own + told)).exp_m1().sqrt();
        Some(Self {
            value: Estimate::positive(Q::of(value), value * relative),
            batches: count as u32,
            guess,
        })
    }

    /// The mark of a number that was learned so.
    pub fn source(&self) -> Source {
        Source::Learned(match self.batches {
            1 => tr("1 batch").into(),
            n => say!("{n} batches", n),
        })
    }

    fn said(&self, what: &str, show: impl Fn(Q) -> String) -> String {
        let Estimate {
            value,
            low95,
            high95,
            ..
        } = self.value;
        let batches = match self.batches {
            1 => tr("1 batch").to_owned(),
            n => say!("{n} batches", n),
        };
        say!(
            "{what}: {value} ({low95} to {high95}) by {batches} of yours. Without them: {guess}.",
            what,
            value = show(value),
            low95 = show(low95),
            high95 = show(high95),
            batches,
            guess = show(self.guess)
        )
    }
}

/// One batch as it went.
#[derive(Clone, Copy, Debug)]
struct Batch {
    coat: u32,
    batch: u32,
    mixed: DateTime<Utc>,
    scraped: Option<DateTime<Utc>>,
    brushed: Option<DateTime<Utc>>,
    /// When it was on the piece.
    on: Option<DateTime<Utc>>,
    /// Into how many equal batches the coat fell, if it was completed.
    of: Option<u32>,
}

/// The batches of a log in their order; each ends as it is on, lost, or followed by the next.
fn batches(log: &[Moment]) -> Vec<Batch> {
    let mut all: Vec<Batch> = Vec::new();
    // Whether the last one is still in hand.
    let mut open = false;
    for Moment { at, tap } in log {
        let (at, tap) = (*at, *tap);
        let last = all.last_mut().filter(|_| open);
        match (tap, last) {
            (Tap::StartMix { coat, batch }, Some(last)) if last.is(coat, batch) => {}
            (Tap::StartMix { coat, batch }, _) => {
                open = true;
                all.push(Batch {
                    coat,
                    batch,
                    mixed: at,
                    scraped: None,
                    brushed: None,
                    on: None,
                    of: None,
                });
            }
            (Tap::SecondContainer { coat, batch }, Some(last)) if last.is(coat, batch) => {
                last.scraped.get_or_insert(at);
            }
            (Tap::StartBrush { coat, batch }, Some(last)) if last.is(coat, batch) => {
                last.brushed.get_or_insert(at);
            }
            (
                Tap::BatchDone {
                    coat,
                    batch,
                    last: complete,
                },
                Some(last),
            ) if last.is(coat, batch) => {
                last.on = Some(at);
                open = false;
                if complete {
                    let on = |b: &&mut Batch| b.coat == coat && b.on.is_some() && b.of.is_none();
                    let parts: Vec<&mut Batch> = all.iter_mut().filter(on).collect();
                    let count = parts.len() as u32;
                    parts.into_iter().for_each(|b| b.of = Some(count));
                }
            }
            (Tap::BatchLost { coat, batch }, Some(last)) if last.is(coat, batch) => open = false,
            _ => {}
        }
    }
    all
}

impl Batch {
    fn is(&self, coat: u32, batch: u32) -> bool {
        (self.coat, self.batch) == (coat, batch)
    }
}

/// What single batches showed.
#[derive(Default)]
struct Seen {
    skim: Vec<f64>,
    build: Vec<f64>,
    last: Vec<f64>,
    mix: Vec<f64>,
    residue: Vec<f64>,
}

impl Seen {
    fn take(&mut self, batch: &Batch, work: &Work<'_>) {
        let coat = batch.coat.checked_sub(1);
        let coat = coat.and_then(|at| work.plan.coats.get(at as usize));
        let (Some(coat), Some(on)) = (coat, batch.on) else {
            return;
        };
        let working = work.plan.working.value;
        let took = |from: DateTime<Utc>, to: DateTime<Utc>, most: Minutes| {
            let span = minutes_between(from, to);
            Some(span).filter(|span| *span >= TAPPED_THROUGH.value && *span <= most)
        };

        let planned = coat.batches.len().max(1) as u32;
        let area = work.plan.surface.value + work.plan.border_area.value;
        let share = area / f64::from(batch.of.unwrap_or(planned));
        if let Some(from) = batch.brushed
            && let Some(span) = took(from, on, working * FORGOTTEN.value)
        {
            let speeds = match coat.role {
                CoatRole::Skim => &mut self.skim,
                CoatRole::Build => &mut self.build,
                CoatRole::Final => &mut self.last,
            };
            speeds.push(share.0 / span.0);
        }

        // Paste that stands to thicken does so in the second container.
        let brushed = batch.brushed.filter(|_| coat.stand <= Minutes(0.0));
        let containers = [(Some(batch.mixed), batch.scraped), (batch.scraped, brushed)];
        let spans: Vec<f64> = containers
            .into_iter()
            .filter_map(|(from, to)| took(from?, to?, working * PAUSED.value))
            .map(|span| span.0)
            .collect();
        if !spans.is_empty() {
            self.mix
                .push(spans.iter().sum::<f64>() / spans.len() as f64);
        }

        let begun = batch.brushed.unwrap_or(batch.mixed);
        let left = work.notes.iter().filter(|note| note.at >= begun);
        let mut left = left.filter_map(|note| match note.entry {
            Entry::Leftover {
                coat,
                batch: n,
                mass,
            } if batch.is(coat, n) => Some(mass),
            _ => None,
        });
        let (weighed, _) = masses(
            work.notes,
            (batch.coat, batch.batch),
            DateTime::<Utc>::MAX_UTC,
        );
        let weighed = weighed.or(coat.batches.first().map(|planned| planned.mass()));
        if let (Some(left), Some(weighed)) = (left.next_back(), weighed)
            && left > Grams(0.0)
            && left < weighed * NOT_NEEDED.value
        {
            self.residue.push(left.0);
        }
    }
}
