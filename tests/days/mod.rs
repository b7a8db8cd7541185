//! Days by chance, six pieces of three coats, harder than those of the trade: every work has a
//! length of its own, and maximum gaps are short.

use peelcast::clock::day::{Day, DayPiece, Gap, Hours, Settled, Work};
use peelcast::clock::{Ageing, Warmth};
use peelcast::coating::starter_cards;
use peelcast::quantity::{Celsius, Minutes};

/// What the days of a row have in common.
pub struct Row {
    pub hands: usize,
    pub limits: bool,
    pub site: Site,
}

#[derive(Clone, Copy, Debug)]
pub enum Site {
    Steady,
    Warming,
    Hours,
}

/// One of a row's days.
pub fn day(row: &Row, seed: u64) -> Day {
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

/// All rows.
pub fn rows() -> impl Iterator<Item = Row> {
    (1..=3).flat_map(|hands| {
        [false, true].into_iter().flat_map(move |limits| {
            let sites = [Site::Steady, Site::Warming, Site::Hours];
            sites.map(|site| Row {
                hands,
                limits,
                site,
            })
        })
    })
}

/// The head of the table.
pub const HEAD: &str = "hands  limits  site     proven  median    90 %    99 %  longest, ms";

/// A line of the table, from milliseconds and whether each plan was proven; gives the share that was.
pub fn print(row: &Row, mut took: Vec<(f64, bool)>) -> f64 {
    took.sort_by(|a, b| a.0.total_cmp(&b.0));
    let count = took.len() as f64;
    let proven = took.iter().filter(|(_, proven)| *proven).count() as f64 / count;
    let share = |of: f64| took[((count - 1.0) * of) as usize].0;
    println!(
        "{:5}  {:6}  {:7}  {:4.0} %  {:6.1}  {:6.1}  {:6.1}  {:7.1}",
        row.hands,
        row.limits,
        format!("{:?}", row.site),
        100.0 * proven,
        share(0.5),
        share(0.9),
        share(0.99),
        share(1.0)
    );
    proven
}
