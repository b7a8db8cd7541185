//! The day of the sample's piece three times over.

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
    in_hours(job, &[], now, before)
}

/// The plan, its question and its answer having gone through text as in the browser.
fn in_hours(
    job: &Job,
    hours: &[(DateTime<Utc>, DateTime<Utc>)],
    now: DateTime<Utc>,
    before: Option<&OnSite>,
) -> Result<OnSite, String> {
    let plans: Vec<_> = job.pieces.iter().map(Piece::plan).collect();
    let asked = job.unplanned(&plans, &Memory::default(), hours, now, before)?;
    let text = serde_json::to_string(&asked.ask).unwrap();
    let ask: Ask = serde_json::from_str(&text).unwrap();
    let answer = ask.answer().map_err(|clash| clash.to_string());
    let text = serde_json::to_string(&answer).unwrap();
    let answer: Result<DayPlan, String> = serde_json::from_str(&text).unwrap();
    Ok(job.on_site(&plans, asked, answer?))
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
        let coats: Vec<_> = (0..=plan.coats.len())
            .map(|work| of(&on_site, piece, work).coat)
            .collect();
        assert_eq!(coats, [Some(1), Some(2), Some(3), None]);
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

    let why = in_hours(&job, &[(at(0), at(120))], start(), None);
    assert!(why.unwrap_err().ends_with('.'));
    // Another day makes room for what is left.
    job.visit.pins.clear();
    let two_days = [(at(0), at(300)), (at(1440), at(1740))];
    let over_night = in_hours(&job, &two_days, start(), None).unwrap();
    assert!(over_night.leave > at(1440) && over_night.leave <= at(1740));
}
