//! The day on site: all pieces of a job in one plan, from what was planned and what has happened.

use super::{Job, Memory, Piece};
use crate::clock::day::{self, Day, DayPiece, DayPlan, Gap, Hours, Settled, Work};
use crate::clock::{Course, Due, DueKind, Tap, Tempo, minutes_between, span_of};
use crate::coating::{Plan, practice};
use crate::quantity::{Minutes, show};
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

impl Job {
    /// The plan of the day at `now`. `plans` are those of the pieces, in their order, and `memory` is
    /// what touches have told. `hours` are the times at which hands may work on site; none means
    /// always. `before` is the plan that was made earlier: what follows is changed as little
    /// as possible.
    pub fn on_site(
        &self,
        plans: &[Result<Plan, String>],
        memory: &Memory,
        hours: &[(DateTime<Utc>, DateTime<Utc>)],
        now: DateTime<Utc>,
        before: Option<&OnSite>,
    ) -> Result<OnSite, String> {
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
            return Err("No piece of this job has a plan yet.".into());
        }
        let windows = hours
            .iter()
            .map(|(open, close)| (minute(*open), minute(*close)));
        let today = Day {
            from: minute(from),
            crews: vec![self.visit.hands.max(1) as usize],
            hours: Hours::of(&windows.collect::<Vec<_>>()),
            pieces,
        };
        let same = |before: &&OnSite| {
            let works = |plan: &DayPlan| plan.steps.len();
            works(&before.plan) == today.pieces.iter().map(|p| p.works.len()).sum::<usize>()
        };
        let plan = match before.filter(same) {
            Some(before) => day::replan(&today, &before.plan.steps),
            None => day::plan(&today),
        };
        let plan = plan.map_err(|clash| clash.to_string())?;
        let moment = |at: Minutes| origin + span_of(at);
        let works = plan.steps.iter().map(|step| {
            let (piece, at) = (&today.pieces[step.piece], members[step.piece]);
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
            let batches = plans[at]
                .iter()
                .filter_map(|plan| plan.coats.get(step.work));
            let dead = batches.flat_map(|coat| {
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
                from,
                to,
                dead: dead.filter(|dead| *dead < to).collect(),
                state,
            }
        });
        Ok(OnSite {
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
        })
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
            let name = coat.map_or("peel".to_owned(), |coat| format!("coat {}", coat.number));
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
            Some(format!(
                "Coat {} took {}, planned {}.",
                coat.number,
                whole(minutes_between(begun, over)),
                whole(planned)
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
mod tests {
    use super::*;
    use crate::clock::{Feel, Moment};
    use crate::job::{PieceId, Pin, sample_job};
    use chrono::TimeDelta;

    /// The sample's piece three times.
    fn three() -> Job {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        let piece = |id: &str| Piece {
            id: PieceId::new(id),
            temperature: job.pieces[0].card.reference,
            ..job.pieces[0].clone()
        };
        job.pieces = vec![piece("a"), piece("b"), piece("c")];
        job
    }

    fn start() -> DateTime<Utc> {
        DateTime::UNIX_EPOCH + TimeDelta::days(20_000)
    }

    fn at(minutes: i64) -> DateTime<Utc> {
        start() + TimeDelta::minutes(minutes)
    }

    fn planned(job: &Job, now: DateTime<Utc>, before: Option<&OnSite>) -> Result<OnSite, String> {
        let plans: Vec<_> = job.pieces.iter().map(Piece::plan).collect();
        job.on_site(&plans, &Memory::default(), &[], now, before)
    }

    fn of(on_site: &OnSite, piece: usize, work: usize) -> &DayWork {
        let mut works = on_site.works.iter();
        let found = works.find(|w| (w.piece, w.work) == (piece, work));
        found.expect("planned")
    }

    #[test]
    fn all_pieces_are_in_the_plan_and_every_gap_is_kept() {
        let job = three();
        let plan = job.pieces[0].plan().unwrap();
        let on_site = planned(&job, start(), None).unwrap();
        assert_eq!(on_site.works.len(), 3 * (plan.coats.len() + 1));
        assert_eq!(
            on_site.leave,
            on_site.works.iter().map(|w| w.to).max().unwrap()
        );
        let card = &job.pieces[0].card;
        for piece in 0..3 {
            for work in 1..=plan.coats.len() {
                let waits = of(&on_site, piece, work).from - of(&on_site, piece, work - 1).to;
                let least = match work == plan.coats.len() {
                    true => card.demould,
                    false => card.recoat_from,
                };
                assert!(
                    waits >= span_of(least) - TimeDelta::seconds(1),
                    "{piece} {work}: {waits}"
                );
            }
        }
        // One pair of hands does one thing at a time.
        for pair in on_site.works.windows(2) {
            assert!(pair[0].to <= pair[1].from + TimeDelta::milliseconds(1));
        }
        let mut two = job.clone();
        two.visit.hands = 2;
        assert!(planned(&two, start(), None).unwrap().leave <= on_site.leave);
    }

    #[test]
    fn what_happened_stands_and_what_follows_comes_after_it() {
        let mut job = three();
        let before = planned(&job, start(), None).unwrap();
        let (coat, batch) = (1, 1);
        let mut log = |piece: usize, minutes: i64, tap| {
            job.pieces[piece].coat_log.push(Moment {
                at: at(minutes),
                tap,
            });
        };
        log(1, 5, Tap::StartMix { coat, batch });
        log(
            1,
            45,
            Tap::BatchDone {
                coat,
                batch,
                last: true,
            },
        );
        log(0, 50, Tap::StartMix { coat, batch });
        let on_site = planned(&job, at(52), Some(&before)).unwrap();
        let done = of(&on_site, 1, 0);
        assert_eq!(
            (done.from, done.to, done.state),
            (at(5), at(45), WorkState::Done)
        );
        let plan = job.pieces[1].plan().unwrap();
        let took = job.pieces[1].took(&plan);
        assert!(
            took[0].starts_with("Coat 1 took 40 min, planned "),
            "{took:?}"
        );
        assert_eq!((took.len(), job.pieces[0].took(&plan)), (1, vec![]));
        let going = of(&on_site, 0, 0);
        assert_eq!((going.from, going.state), (at(50), WorkState::Now));
        assert!(going.to > at(52) && of(&on_site, 2, 0).from >= going.to);
        assert!(of(&on_site, 1, 1).from >= at(45 + 60) && on_site.leave > before.leave);

        // A piece that was peeled asks for no more hands.
        let mut peeled = job.clone();
        peeled.pieces[1].coat_log.push(Moment {
            at: at(400),
            tap: Tap::Demoulded,
        });
        let over = planned(&peeled, at(401), None).unwrap();
        let of_peeled = over.works.iter().filter(|work| work.piece == 1);
        let states: Vec<_> = of_peeled.map(|work| work.state).collect();
        assert_eq!(states, [WorkState::Done; 4]);
        let took = peeled.pieces[1].took(&plan);
        assert_eq!(took.len(), 1, "only what the log tells: {took:?}");

        // Found tacky early: its next coat may go on at once, once hands are free.
        job.pieces[1].coat_log.push(Moment {
            at: at(80),
            tap: Tap::Touch {
                coat,
                feel: Feel::Tacky,
            },
        });
        let sooner = planned(&job, at(80), None).unwrap();
        assert!(of(&sooner, 1, 1).from < at(45 + 60));
        // Nobody who follows the plan has to learn it anew for nothing.
        let kept = planned(&job, at(80), Some(&on_site)).unwrap();
        assert_eq!(kept.leave, sooner.leave);
    }

    #[test]
    fn a_coat_found_tacky_may_be_followed_at_once_also_by_a_card_with_a_latest_time() {
        let mut job = three();
        let (coat, batch) = (1, 1);
        let piece = &mut job.pieces[0];
        piece.card.recoat_until = Some(Minutes(600.0));
        for (minutes, tap) in [
            (0, Tap::StartMix { coat, batch }),
            (
                20,
                Tap::BatchDone {
                    coat,
                    batch,
                    last: true,
                },
            ),
            (
                70,
                Tap::Touch {
                    coat,
                    feel: Feel::Tacky,
                },
            ),
        ] {
            let at = at(minutes);
            piece.coat_log.push(Moment { at, tap });
        }
        job.pieces.truncate(1);
        let on_site = planned(&job, at(70), None).unwrap();
        assert_eq!(of(&on_site, 0, 1).from, at(70));
    }

    #[test]
    fn a_start_of_ones_own_is_kept_and_a_site_that_closes_too_soon_is_told() {
        let mut job = three();
        let free = planned(&job, start(), None).unwrap();
        let late = of(&free, 2, 1).from + TimeDelta::hours(3);
        job.visit.pins = vec![Pin {
            piece: PieceId::new("c"),
            work: 1,
            at: late,
        }];
        let pinned = planned(&job, start(), Some(&free)).unwrap();
        let moved = of(&pinned, 2, 1);
        assert_eq!((moved.from, moved.state), (late, WorkState::Pinned));
        assert!(pinned.leave > free.leave);

        let plans: Vec<_> = job.pieces.iter().map(Piece::plan).collect();
        let hours = [(at(0), at(120))];
        let why = job.on_site(&plans, &Memory::default(), &hours, start(), None);
        assert!(why.unwrap_err().ends_with('.'));
        // Another day makes room for what is left.
        job.visit.pins.clear();
        let two_days = [(at(0), at(300)), (at(1440), at(1740))];
        let over_night = job.on_site(&plans, &Memory::default(), &two_days, start(), None);
        let over_night = over_night.unwrap();
        assert!(over_night.leave > at(1440) && over_night.leave <= at(1740));
    }
}
