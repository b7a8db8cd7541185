//! How long the planner takes for six pieces of three coats, and how often it proves its plan.
//!
//! `cargo test --release --test day_speed -- --ignored --nocapture` prints both; nothing else
//! should run beside it. Days by chance, harder than those of the trade: every work has a length
//! of its own, and maximum gaps are short.

use peelcast::clock::day::{Day, DayPiece, Gap, Hours, Settled, Work, plan};
use peelcast::clock::{Ageing, Warmth};
use peelcast::coating::starter_cards;
use peelcast::quantity::{Celsius, Minutes};
use std::time::Instant;

const DAYS: u64 = 100;

/// What the days of a row have in common.
struct Row {
    hands: usize,
    limits: bool,
    site: Site,
}

#[derive(Clone, Copy, Debug)]
enum Site {
    Steady,
    Warming,
    Hours,
}

fn day(row: &Row, seed: u64) -> Day {
    let mut chance = fastrand::Rng::with_seed(seed);
    let mut whole = |from: u32, to: u32| f64::from(chance.u32(from..=to));
    let card = &starter_cards()[0];
    let warmth = match row.site {
        Site::Warming => Warmth::of(Celsius(10.0), vec![(Minutes(120.0), Celsius(20.0))]),
        Site::Steady | Site::Hours => Warmth::steady(card.reference),
    };
    let cards = [(); 2].map(|()| {
        let least = whole(20, 120);
        (least, least + whole(0, 60), whole(30, 240))
    });
    let pieces = (0..6).map(|n| {
        let (least, most, demould) = cards[whole(0, 1) as usize];
        let works = (0..=3).map(|w| Work {
            name: format!("work {w}"),
            takes: Minutes(if w < 3 { whole(5, 40) } else { 5.0 }),
            gap: Gap {
                least: Minutes(if w < 3 { least } else { demould }),
                most: (row.limits && w < 3).then_some(Minutes(most)),
            },
            crew: 0,
            settled: Settled::Free,
        });
        DayPiece {
            name: format!("piece {n}"),
            ageing: Ageing::of(card, &warmth),
            works: works.collect(),
        }
    });
    Day {
        from: Minutes(0.0),
        crews: vec![row.hands],
        pieces: pieces.collect(),
        hours: match row.site {
            Site::Hours => {
                let days = (0..5).map(|n| Minutes(1440.0 * f64::from(n)));
                Hours::of(&days.map(|at| (at, at + Minutes(480.0))).collect::<Vec<_>>())
            }
            Site::Steady | Site::Warming => Hours::always(),
        },
    }
}

#[test]
#[ignore = "measures; run it by itself"]
fn six_pieces_of_three_coats() {
    println!("hands  limits  site     proven  median    90 %    99 %  longest, ms");
    for hands in 1..=3 {
        for limits in [false, true] {
            for site in [Site::Steady, Site::Warming, Site::Hours] {
                let row = Row {
                    hands,
                    limits,
                    site,
                };
                let mut proven = 0;
                let mut times = Vec::new();
                for seed in 0..DAYS {
                    let day = day(&row, seed);
                    let begun = Instant::now();
                    let plan = plan(&day).expect("each of these days has a plan");
                    times.push(begun.elapsed().as_secs_f64() * 1e3);
                    proven += u64::from(plan.proven);
                }
                times.sort_by(f64::total_cmp);
                let share = |of: f64| times[((DAYS - 1) as f64 * of) as usize];
                println!(
                    "{hands:5}  {limits:6}  {:7}  {:4} %  {:6.1}  {:6.1}  {:6.1}  {:7.1}",
                    format!("{site:?}"),
                    100 * proven / DAYS,
                    share(0.5),
                    share(0.9),
                    share(0.99),
                    share(1.0)
                );
                assert!(proven >= DAYS * 9 / 10);
            }
        }
    }
}
