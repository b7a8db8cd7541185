//! The day on site: all pieces of a job in one plan, from what was planned and what has happened.

use super::{Job, Memory, Piece};
use crate::clock::day::{Ask, Day, DayPiece, DayPlan, Gap, Hours, Settled, Work};
use crate::clock::{Course, Due, DueKind, Tap, Tempo, minutes_between, span_of};
use crate::coating::{Plan, practice};
use crate::quantity::{Minutes, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};

/// How far a work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkState {
    /// It is over.
    Done,
    /// Hands are on it.
    Now,
    /// It is still to come.
    Planned,
    /// The same, and it starts when the user said.
    Pinned,
}

/// One work of the day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayWork {
    /// The piece: its place in [`Job::pieces`].
    pub piece: usize,
    /// Which of the piece's works, from 0: the coats, then the peeling.
    pub work: usize,
    /// What it is called.
    pub name: String,
    /// The number of the coat; none where the skin is peeled.
    pub coat: Option<u32>,
    /// When it starts, or has started.
    pub from: DateTime<Utc>,
    /// When it ends, or has ended.
    pub to: DateTime<Utc>,
    /// When each of its batches is dead, from the first contact of A and B.
    pub dead: Vec<DateTime<Utc>>,
    /// How far it is.
    pub state: WorkState,
}

/// The day on site.
#[derive(Clone, Debug, PartialEq)]
pub struct OnSite {
    /// All works, by their starts.
    pub works: Vec<DayWork>,
    /// When the last one ends.
    pub leave: DateTime<Utc>,
    /// By how much the best plan can end earlier at most; nothing where this is proven the best.
    pub from_best: Minutes,
    /// Pieces that have no plan yet, so that they are not in here.
    pub left_out: Vec<usize>,
    /// The plan in minutes from `origin`, to be changed as little as possible when things slip.
    pub plan: DayPlan,
    /// From where its minutes count.
    pub origin: DateTime<Utc>,
}

/// A day that is to be planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Unplanned {
    /// What takes long to answer, and can be answered elsewhere.
    pub ask: Ask,
    /// The place in [`Job::pieces`] of each piece that is asked about.
    members: Vec<usize>,
    left_out: Vec<usize>,
    origin: DateTime<Utc>,
    now: DateTime<Utc>,
}

impl Job {
    /// The day as it is to be planned at `now`. `plans` are those of the pieces, in their order, and
    /// `memory` is what touches have told. `hours` are the times at which hands may work on site;
    /// none means always. `before` is the plan that was made earlier: what follows is changed as
    /// little as possible.
    pub fn unplanned(
        &self,
        plans: &[Result<Plan, String>],
        memory: &Memory,
        hours: &[(DateTime<Utc>, DateTime<Utc>)],
        now: DateTime<Utc>,
        before: Option<&OnSite>,
    ) -> Result<Unplanned, String> {
        // The plan holds still within a minute.
        let now = DateTime::from_timestamp(now.timestamp().div_euclid(60) * 60, 0).unwrap_or(now);
        let origin = before.map_or(now, |before| before.origin);
        let from = self.visit.begins.map_or(now, |begins| begins.max(now));
        let minute = |at: DateTime<Utc>| minutes_between(origin, at);
        let mut pieces = Vec::new();
        let mut members = Vec::new();
        let mut left_out = Vec::new();
        for (at, (piece, plan)) in self.pieces.iter().zip(plans).enumerate() {
            match plan {
                Ok(plan) => {
                    pieces.push(self.day_piece(
                        piece,
                        plan,
                        &memory.tempo(&self.id, piece),
                        origin,
                        now,
                    ));
                    members.push(at);
                }
                Err(_) => left_out.push(at),
            }
        }
        if pieces.is_empty() {
            return Err(tr("No piece of this job has a plan yet.").into());
        }
        let windows = hours
            .iter()
            .map(|(open, close)| (minute(*open), minute(*close)));
        let day = Day {
            from: minute(from),
            crews: vec![self.visit.hands.max(1) as usize],
            hours: Hours::of(&windows.collect::<Vec<_>>()),
            pieces,
        };
        let same = |before: &&OnSite| {
            let works = |plan: &DayPlan| plan.steps.len();
            works(&before.plan) == day.pieces.iter().map(|p| p.works.len()).sum::<usize>()
        };
        let before = before.filter(same).map(|before| before.plan.steps.clone());
        Ok(Unplanned {
            ask: Ask { day, before },
            members,
            left_out,
            origin,
            now,
        })
    }

    /// The day by the plan that was found for it; `plans` are those that it was asked with.
    pub fn on_site(
        &self,
        plans: &[Result<Plan, String>],
        asked: Unplanned,
        plan: DayPlan,
    ) -> OnSite {
        let Unplanned {
            ask,
            members,
            left_out,
            origin,
            now,
        } = asked;
        let moment = |at: Minutes| origin + span_of(at);
        let works = plan.steps.iter().map(|step| {
            let (piece, at) = (&ask.day.pieces[step.piece], members[step.piece]);
            let work = &piece.works[step.work];
            let (from, to) = (moment(step.start), moment(step.end));
            let state = match work.settled {
                Settled::Begun(_) if to <= now && self.pieces[at].is_over(step.work) => {
                    WorkState::Done
                }
                Settled::Begun(_) => WorkState::Now,
                Settled::Pinned(_) => WorkState::Pinned,
                Settled::Free => WorkState::Planned,
            };
            let coat = plans[at].iter().find_map(|plan| plan.coats.get(step.work));
            let dead = coat.into_iter().flat_map(|coat| {
                let each = (to - from) / coat.batches.len().max(1) as i32;
                let mixed = (0..coat.batches.len()).map(move |n| from + each * n as i32);
                let tempo = self.pieces[at].tempo();
                let working = self.pieces[at].card.working;
                mixed.map(move |at| tempo.reached(at, working))
            });
            DayWork {
                piece: at,
                work: step.work,
                name: work.name.clone(),
                coat: coat.map(|coat| coat.number),
                from,
                to,
                dead: dead.filter(|dead| *dead < to).collect(),
                state,
            }
        });
        OnSite {
            works: works.collect(),
            leave: moment(plan.leave),
            from_best: if plan.proven {
                Minutes(0.0)
            } else {
                plan.from_best()
            },
            left_out,
            plan,
            origin,
        }
    }

    /// A piece's works, and what has become of them.
    fn day_piece(
        &self,
        piece: &Piece,
        plan: &Plan,
        tempo: &Tempo,
        origin: DateTime<Utc>,
        now: DateTime<Utc>,
    ) -> DayPiece {
        let minute = |at: DateTime<Utc>| minutes_between(origin, at);
        let course = Course::of(&piece.coat_log, plan.coats.len() as u32);
        let progress = piece.progress_of(plan, tempo, now);
        let card = &piece.card;
        let happened = |work| happened(piece, work);
        let mut works = Vec::new();
        for work in 0..=plan.coats.len() {
            let coat = plan.coats.get(work);
            let name = coat.map_or_else(
                || tr("peel").to_owned(),
                |coat| say!("coat {number}", number = coat.number),
            );
            let planned = match coat {
                Some(coat) => coat.work() * coat.batches.len() as f64,
                None => practice::PEEL.value,
            };
            let recoat = Gap {
                least: card.recoat_from / tempo.times(),
                most: card.recoat_until,
            };
            let cure = Gap {
                least: card.demould / tempo.times(),
                most: None,
            };
            let mut gap = if coat.is_some() { recoat } else { cure };
            let mut takes = planned;
            let settled = match happened(work) {
                (Some(begun), Some(over)) => {
                    takes = minutes_between(begun, over);
                    Settled::Begun(minute(begun))
                }
                (Some(begun), None) => {
                    takes = minutes_between(begun, still(piece, coat, begun, now));
                    Settled::Begun(minute(begun))
                }
                _ => {
                    let pin = self
                        .visit
                        .pins
                        .iter()
                        .find(|p| p.piece == piece.id && p.work == work);
                    match pin.filter(|pin| pin.at >= now) {
                        Some(pin) => Settled::Pinned(minute(pin.at)),
                        None => Settled::Free,
                    }
                }
            };
            // What the last coat was found to be like counts for the work that follows it.
            let next = work > 0 && happened(work - 1).1.is_some();
            if let (true, Settled::Free | Settled::Pinned(_), Some((_, coated))) =
                (next, settled, course.coat)
            {
                let waits = |due: &&Due| matches!(due.kind, DueKind::Recoat | DueKind::Demould);
                let ready = progress.timers.iter().find(waits);
                let ready = ready.map_or(now, |due| due.likely);
                gap.least = Minutes(tempo.age(coated, ready.max(coated)).0);
            }
            works.push(Work {
                name,
                takes,
                gap,
                crew: 0,
                settled,
            });
        }
        DayPiece {
            name: piece.title().to_owned(),
            ageing: tempo.ageing_from(origin),
            works,
        }
    }
}

impl Piece {
    /// How long each coat that is on has taken, beside what was planned, a sentence each.
    pub fn took(&self, plan: &Plan) -> Vec<String> {
        let coats = plan.coats.iter().enumerate();
        let took = coats.filter_map(|(work, coat)| {
            let [Some(begun), Some(over), _] = logged(self, work) else {
                return None;
            };
            // Whole minutes: nobody plans in seconds.
            let whole = |minutes: Minutes| show::duration(Minutes(minutes.0.round().max(1.0)));
            let planned = coat.work() * coat.batches.len() as f64;
            Some(say!(
                "Coat {number} took {over}, planned {planned}.",
                number = coat.number,
                over = whole(minutes_between(begun, over)),
                planned = whole(planned)
            ))
        });
        took.collect()
    }

    /// Whether a work is over; from 0, the coats and then the peeling.
    fn is_over(&self, work: usize) -> bool {
        matches!(happened(self, work), (_, Some(_)))
    }
}

/// When a work began and when it was over. Once the skin is off, so is every work that the log
/// doesn't tell of.
fn happened(piece: &Piece, work: usize) -> (Option<DateTime<Utc>>, Option<DateTime<Utc>>) {
    let [begun, over, peeled] = logged(piece, work);
    (begun.or(peeled), over.or(peeled))
}

/// What the log tells: when a coat began, when it was over, and when the skin came off.
fn logged(piece: &Piece, work: usize) -> [Option<DateTime<Utc>>; 3] {
    let number = work as u32 + 1;
    let (mut begun, mut over, mut peeled) = (None, None, None);
    for moment in &piece.coat_log {
        match moment.tap {
            Tap::StartMix { coat, .. } if coat == number => {
                begun = begun.or(Some(moment.at));
            }
            Tap::BatchDone {
                coat, last: true, ..
            } if coat == number => over = Some(moment.at),
            Tap::Demoulded => peeled = Some(moment.at),
            _ => {}
        }
    }
    [begun, over.filter(|_| begun.is_some()), peeled]
}

/// When a coat that is being put on will be over, if all goes on as planned.
fn still(
    piece: &Piece,
    coat: Option<&crate::coating::CoatPlan>,
    begun: DateTime<Utc>,
    now: DateTime<Utc>,
) -> DateTime<Utc> {
    let Some(coat) = coat else { return now };
    let of_coat = |tap: &Tap| match tap {
        Tap::BatchDone { coat: n, .. } => *n == coat.number,
        _ => false,
    };
    let done = piece.coat_log.iter().filter(|m| of_coat(&m.tap)).count();
    let mixed = piece
        .coat_log
        .iter()
        .rev()
        .find_map(|moment| match moment.tap {
            Tap::StartMix { coat: n, .. } if n == coat.number => Some(moment.at),
            _ => None,
        });
    let left = coat.batches.len().saturating_sub(done).max(1) as i32;
    let this = mixed.unwrap_or(begun) + span_of(coat.work());
    this.max(now) + span_of(coat.work()) * (left - 1)
}

#[cfg(test)]
mod tests;
