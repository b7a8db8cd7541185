//! A coating from the first mix to the peeled skin, told by taps alone: the same after any pause,
//! reload or restart, and plain about what went wrong.

use chrono::{DateTime, Duration, TimeZone, Utc};
use peelcast::clock::{
    Action, DueKind, Feel, Moment, Progress, Step, Tap, Tempo, alerts, finished, progress,
};
use peelcast::coating::{Dab, MaterialCard, Plan, Source, practice, starter_cards};
use peelcast::job::{Piece, sample_job};
use peelcast::quantity::{Celsius, Millimetres, Minutes, SquareMillimetresPerMinute};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use std::sync::LazyLock;

fn start() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 5, 3, 9, 0, 0).unwrap()
}

fn minutes(span: Minutes) -> Duration {
    Duration::milliseconds((span.0 * 60_000.0) as i64)
}

/// Someone at a wall, with a log and a clock.
struct Wall {
    piece: Piece,
    plan: Plan,
    now: DateTime<Utc>,
}

impl Wall {
    /// The sample's plaque at the temperature that the card's times hold at, so that its times
    /// are exact: 12 min to work, 60 min to the next coat, 120 min to demould.
    fn new() -> Self {
        Self::with(|_| {})
    }

    /// The same with something changed; each coat is one batch unless that changes it.
    fn with(change: impl FnOnce(&mut Piece)) -> Self {
        let mut piece = sample_job(start()).pieces.remove(0);
        piece.temperature = piece.card.reference;
        for coat in &mut piece.coats {
            coat.speed = SquareMillimetresPerMinute(50_000.0);
        }
        change(&mut piece);
        Self {
            plan: piece.plan().unwrap(),
            piece,
            now: start(),
        }
    }

    fn see(&self) -> Progress {
        self.see_at(self.now)
    }

    fn see_at(&self, now: DateTime<Utc>) -> Progress {
        progress(
            &self.piece.coat_log,
            &self.plan,
            &self.piece.card,
            &Tempo::steady(&self.piece.card, self.piece.temperature),
            now,
        )
    }

    fn wait(&mut self, span: f64) -> &mut Self {
        self.now += minutes(Minutes(span));
        self
    }

    fn tap(&mut self, tap: Tap) -> &mut Self {
        self.piece.coat_log.push(Moment { at: self.now, tap });
        self
    }

    /// The big button.
    fn main(&mut self) -> &mut Self {
        let action = self.see().main.expect("a main button");
        self.tap(action.tap)
    }

    /// Another button, by its words.
    fn other(&mut self, words: &str) -> &mut Self {
        let others = self.see().others;
        let found = others
            .iter()
            .find(|Action { label, .. }| label.contains(words));
        let tap = found
            .unwrap_or_else(|| panic!("{words} is not in {others:?}"))
            .tap;
        self.tap(tap)
    }

    fn feel(&mut self, feel: Feel) -> &mut Self {
        let coat = self.see().touch.expect("a touch test");
        self.tap(Tap::Touch { coat, feel })
    }

    /// Weigh, mix twice, brush: 9 minutes.
    fn batch(&mut self) -> &mut Self {
        self.main()
            .wait(2.0)
            .main()
            .wait(2.0)
            .main()
            .wait(5.0)
            .main()
    }

    /// All batches of a coat.
    fn coat(&mut self) -> &mut Self {
        while !matches!(self.see().step, Step::Wait { .. } | Step::Cure) {
            self.batch().wait(1.0);
        }
        self.wait(-1.0)
    }

    fn said(&self, words: &str) -> bool {
        self.see().notes.iter().any(|note| note.contains(words))
    }
}

#[test]
fn the_whole_job_by_the_big_button() {
    let mut wall = Wall::new();
    assert_eq!(wall.see().step, Step::Weigh { coat: 1, batch: 1 });
    assert!(wall.see().instruction.contains("release"));
    assert_eq!(wall.see().weigh, Some(wall.plan.coats[0].batches[0]));

    wall.main();
    let mixing = wall.see();
    assert_eq!(mixing.step, Step::MixFirst { coat: 1, batch: 1 });
    let kinds: Vec<DueKind> = mixing.timers.iter().map(|due| due.kind).collect();
    assert_eq!(kinds, [DueKind::Mixed, DueKind::WorkingEnds]);
    assert_eq!(
        mixing.timers[0].at - wall.now,
        minutes(practice::MIX_PER_CONTAINER.value)
    );
    assert_eq!(mixing.timers[1].at - wall.now, Duration::minutes(12));
    let then = [
        Step::MixSecond { coat: 1, batch: 1 },
        Step::Apply { coat: 1, batch: 1 },
    ];
    assert_eq!(mixing.next, then);

    // Mixed long enough: the working time is the countdown, from the first contact on.
    wall.wait(2.5);
    assert_eq!(wall.see().timers[0].kind, DueKind::WorkingEnds);
    wall.main().wait(2.0).main();
    assert_eq!(wall.see().step, Step::Apply { coat: 1, batch: 1 });
    assert_eq!(wall.see().timers[0].at, start() + Duration::minutes(12));

    wall.wait(5.0).main();
    let done = wall.now;
    assert_eq!(wall.see().step, Step::Wait { coat: 1 });
    assert_eq!(wall.see().timers[0].at, done + Duration::minutes(60));
    wall.wait(60.0);
    assert_eq!(wall.see().step, Step::TouchTest { coat: 1 });
    wall.feel(Feel::Tacky);
    assert_eq!(wall.see().step, Step::Weigh { coat: 2, batch: 1 });

    wall.coat().wait(61.0).feel(Feel::Firm).coat();
    assert_eq!(wall.see().step, Step::Cure);
    assert_eq!(wall.see().timers[0].at, wall.now + Duration::minutes(120));
    assert!(!finished(&wall.piece.coat_log));
    wall.wait(120.0);
    assert_eq!(wall.see().step, Step::Peel);
    wall.main();
    let end = wall.see();
    assert_eq!(end.step, Step::Finished);
    assert!(end.main.is_none() && end.timers.is_empty() && end.next.is_empty());
    assert!(end.notes.is_empty(), "{:?}", end.notes);
    assert!(finished(&wall.piece.coat_log));
}

#[test]
fn paste_that_has_to_thicken_stands_before_it_goes_on() {
    let dab = |thickness, stood| Dab {
        thickness: Millimetres(thickness),
        stood: Minutes(stood),
        held: true,
    };
    let mut wall = Wall::with(|piece| piece.dabs = vec![dab(1.5, 0.0), dab(3.0, 5.0)]);
    // The skim coat holds at once.
    wall.main().wait(2.0).main().wait(2.0).main();
    assert_eq!(wall.see().step, Step::Apply { coat: 1, batch: 1 });
    wall.wait(5.0).main().wait(61.0).feel(Feel::Tacky);
    let begun = wall.now;
    wall.main().wait(2.0).main().wait(2.0);
    assert_eq!(wall.see().next[0], Step::Stand { coat: 2, batch: 1 });
    wall.main();
    let seen = wall.see();
    assert_eq!(seen.step, Step::Stand { coat: 2, batch: 1 });
    // Standing uses up working time, and both are shown.
    let kinds: Vec<_> = seen.timers.iter().map(|due| due.kind).collect();
    assert_eq!(kinds, [DueKind::Stood, DueKind::WorkingEnds]);
    assert_eq!(seen.hold, Some(wall.now + minutes(Minutes(5.0))));
    assert_eq!(
        seen.timers[1].from, begun,
        "from the first contact of A and B"
    );
    wall.wait(5.0);
    let seen = wall.see();
    assert_eq!(
        (seen.hold, seen.timers[0].kind),
        (None, DueKind::WorkingEnds)
    );
    wall.main();
    assert_eq!(wall.see().step, Step::Apply { coat: 2, batch: 1 });
}

#[test]
fn a_phone_that_was_off_is_as_far_as_the_clock() {
    let mut wall = Wall::new();
    wall.coat();
    let stored = serde_json::to_string(&wall.piece.coat_log).unwrap();
    let back: Vec<Moment> = serde_json::from_str(&stored).unwrap();
    assert_eq!(back, wall.piece.coat_log);
    wall.piece.coat_log = back;
    wall.wait(72.0);
    let due = wall.see().timers[0];
    assert_eq!(due.overdue(wall.now).as_deref(), Some("was due 12 min ago"));
    assert_eq!(wall.see().step, Step::TouchTest { coat: 1 });
    // Days later it is the same coat, and late is fine with this card.
    wall.wait(3.0 * 1440.0);
    assert_eq!(wall.see().step, Step::TouchTest { coat: 1 });
    assert!(wall.said("That is fine: the card names no latest time"));
}

#[test]
fn a_card_with_a_latest_time_says_when_it_has_passed() {
    let mut wall = Wall::with(|piece| piece.card.recoat_until = Some(Minutes(240.0)));
    wall.coat().wait(100.0);
    let latest = wall.see().timers[1];
    assert_eq!(latest.kind, DueKind::RecoatLatest);
    assert!(!wall.said("may not bond"));
    wall.wait(141.0);
    assert!(wall.said("passed 1 min ago") && wall.said("may not bond"));
    assert!(!wall.said("That is fine"));
    // Its next coat has begun: nothing more to say about it.
    wall.feel(Feel::Firm).main();
    assert!(!wall.said("may not bond"));
}

#[test]
fn a_wet_coat_waits_on_and_one_that_stays_wet_is_a_warning() {
    let mut wall = Wall::new();
    wall.coat().wait(60.0).feel(Feel::Wet);
    assert_eq!(wall.see().step, Step::Wait { coat: 1 });
    // A fifth of an hour.
    assert_eq!(wall.see().timers[0].at, wall.now + Duration::minutes(12));
    assert!(wall.said("It was wet"));
    wall.wait(12.0);
    assert_eq!(wall.see().step, Step::TouchTest { coat: 1 });
    assert!(!wall.said("keep it from curing"));
    wall.wait(50.0).feel(Feel::Wet);
    assert!(wall.said("keep it from curing"));
    wall.wait(12.0).feel(Feel::Tacky);
    assert_eq!(wall.see().step, Step::Weigh { coat: 2, batch: 1 });
    assert!(!wall.said("keep it from curing"));
}

#[test]
fn a_skin_that_clings_waits_on() {
    let mut wall = Wall::new();
    wall.coat().wait(60.0).feel(Feel::Firm).coat();
    wall.wait(60.0).feel(Feel::Firm).coat().wait(120.0);
    wall.other("still clings");
    assert_eq!(wall.see().step, Step::Cure);
    assert_eq!(wall.see().timers[0].at, wall.now + Duration::minutes(24));
    wall.wait(24.0);
    assert_eq!(wall.see().step, Step::Peel);
}

#[test]
fn dead_paste_is_thrown_away_and_mixed_anew() {
    let mut wall = Wall::new();
    wall.main().wait(3.0).main().wait(10.0);
    assert!(wall.said("working time ended 1 min ago"));
    let main = wall.see().main.unwrap();
    assert_eq!(main.tap, Tap::BatchLost { coat: 1, batch: 1 });
    wall.tap(main.tap);
    assert_eq!(wall.see().step, Step::Weigh { coat: 1, batch: 1 });
    assert!(wall.see().timers.is_empty() && wall.see().notes.is_empty());
    // The new batch has a working time of its own.
    wall.wait(1.0).main();
    assert_eq!(wall.see().timers[1].at, wall.now + Duration::minutes(12));
}

#[test]
fn a_batch_being_brushed_past_its_time_may_be_on_already() {
    let mut wall = Wall::new();
    wall.main().wait(2.0).main().wait(2.0).main().wait(20.0);
    assert!(wall.said("What is on the piece is fine"));
    let main = wall.see().main.unwrap();
    assert!(matches!(main.tap, Tap::BatchDone { last: true, .. }));
    wall.other("Batch lost");
    assert_eq!(wall.see().step, Step::Weigh { coat: 1, batch: 1 });
}

#[test]
fn a_coat_may_need_one_more_batch_than_planned() {
    let mut wall = Wall::new();
    let planned = wall.plan.coats[0].batches.len() as u32;
    wall.main().wait(2.0).main().wait(2.0).main().wait(5.0);
    wall.other("one more batch");
    let batch = planned + 1;
    assert_eq!(wall.see().step, Step::Weigh { coat: 1, batch });
    assert_eq!(wall.see().title, format!("Coat 1 of 3, batch {batch}"));
    assert_eq!(wall.see().weigh, wall.plan.coats[0].batches.last().copied());
    wall.batch();
    assert_eq!(wall.see().step, Step::Wait { coat: 1 });
}

#[test]
fn batches_follow_each_other_and_a_coat_may_be_on_early() {
    let mut wall = Wall::with(|piece| {
        for coat in &mut piece.coats {
            coat.speed = SquareMillimetresPerMinute(5_000.0);
        }
    });
    let planned = wall.plan.coats[0].batches.len();
    assert!(planned > 1);
    wall.batch();
    assert_eq!(wall.see().step, Step::Weigh { coat: 1, batch: 2 });
    assert_eq!(
        wall.see().title,
        format!("Coat 1 of 3, batch 2 of {planned}")
    );
    wall.coat();
    assert_eq!(wall.see().step, Step::Wait { coat: 1 });
    wall.wait(60.0).feel(Feel::Firm);
    wall.main().wait(2.0).main().wait(2.0).main().wait(5.0);
    wall.other("whole coat is on");
    assert_eq!(wall.see().step, Step::Wait { coat: 2 });
}

#[test]
fn cold_slows_and_the_range_shows_how_little_is_known_of_it() {
    let mut wall = Wall::with(|piece| piece.temperature = Celsius(13.0));
    wall.main();
    let working = wall.see().timers[1];
    assert_eq!(working.likely - wall.now, Duration::minutes(24));
    assert!(working.earliest < working.likely && working.at == working.earliest);
    wall.wait(2.0).main().wait(2.0).main().wait(5.0).main();
    let recoat = wall.see().timers[0];
    assert_eq!(recoat.likely - wall.now, Duration::minutes(120));
    assert!(recoat.at == recoat.likely && recoat.earliest < recoat.likely);
    // The test may come early; the card's own rate would leave no range.
    assert_eq!(wall.see().touch, Some(1));
    wall.piece.card.marks.q10 = Source::YourSheet;
    let exact = wall.see().timers[0];
    assert_eq!(
        (exact.earliest, exact.likely),
        (recoat.likely, recoat.likely)
    );
}

#[test]
fn a_clock_that_was_set_back_is_said() {
    let mut wall = Wall::new();
    wall.main();
    let back = wall.see_at(wall.now - Duration::seconds(40));
    assert!(back.notes.is_empty(), "{:?}", back.notes);
    let back = wall.see_at(wall.now - Duration::minutes(58));
    assert!(
        back.notes[0].contains("58 min before a tap"),
        "{:?}",
        back.notes
    );
    // Going on under the new clock, the log itself shows the jump.
    wall.wait(-58.0).main();
    assert!(wall.said("set back between two taps") || wall.said("before a tap"));
    wall.wait(70.0);
    assert!(wall.said("set back between two taps"));
}

#[test]
fn a_plan_changed_in_the_middle_leaves_what_was_done() {
    let mut wall = Wall::new();
    wall.coat().wait(60.0).feel(Feel::Firm).coat();
    let two = {
        let mut piece = wall.piece.clone();
        piece.coats.pop();
        piece.plan().unwrap()
    };
    let five = {
        let mut piece = wall.piece.clone();
        piece.coats.extend(piece.coats.clone().into_iter().take(2));
        piece.plan().unwrap()
    };
    assert_eq!(wall.see().step, Step::Wait { coat: 2 });
    wall.plan = two;
    assert_eq!(wall.see().step, Step::Cure);
    wall.plan = five;
    assert_eq!(wall.see().step, Step::Wait { coat: 2 });
    assert_eq!(wall.see().title, "Coat 2 of 5");
}

#[test]
fn calls_are_the_same_however_often_they_are_asked_for() {
    let mut wall = Wall::new();
    wall.main();
    let name = ("job/piece", "Plaque");
    let first = alerts(&wall.see(), name);
    let times: Vec<Duration> = first.iter().map(|call| call.at - start()).collect();
    let mixed = minutes(practice::MIX_PER_CONTAINER.value);
    assert_eq!(times, [mixed, Duration::minutes(12)]);
    assert_eq!(first[1].title, "Plaque: working time ends");
    wall.wait(2.0);
    let mut again = alerts(&wall.see(), name);
    again.sort_by_key(|alert| alert.at);
    assert_eq!(again, first);
    // A lost batch takes its calls with it; the next one has its own.
    wall.other("lost");
    assert!(alerts(&wall.see(), name).is_empty());
    wall.wait(1.0).main();
    let second = alerts(&wall.see(), name);
    assert!(second.iter().all(|a| first.iter().all(|b| a.id != b.id)));
}

#[test]
fn the_last_tap_can_be_taken_back() {
    let mut wall = Wall::new();
    wall.coat().wait(60.0);
    let before = wall.see();
    wall.feel(Feel::Tacky);
    wall.piece.coat_log.pop();
    assert_eq!(wall.see(), before);
}

fn any_tap() -> impl Strategy<Value = Tap> {
    let which = (1..4_u32, 1..3_u32);
    prop_oneof![
        which
            .clone()
            .prop_map(|(coat, batch)| Tap::StartMix { coat, batch }),
        which
            .clone()
            .prop_map(|(coat, batch)| Tap::SecondContainer { coat, batch }),
        which
            .clone()
            .prop_map(|(coat, batch)| Tap::StartBrush { coat, batch }),
        which
            .clone()
            .prop_map(|(coat, batch)| Tap::LetStand { coat, batch }),
        which
            .clone()
            .prop_map(|(coat, batch)| Tap::BatchLost { coat, batch }),
        (which, any::<bool>()).prop_map(|((coat, batch), last)| Tap::BatchDone {
            coat,
            batch,
            last
        }),
        (1..4_u32, select(vec![Feel::Wet, Feel::Tacky, Feel::Firm]))
            .prop_map(|(coat, feel)| Tap::Touch { coat, feel }),
        Just(Tap::Demoulded),
    ]
}

static CARD_AND_PLAN: LazyLock<(MaterialCard, Plan)> = LazyLock::new(|| {
    let piece = sample_job(start()).pieces.remove(0);
    (starter_cards().remove(0), piece.plan().unwrap())
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// A double tap of any button, at any place of any log, changes no step.
    #[test]
    fn a_double_tap_changes_nothing(taps in vec((any_tap(), 0..5000_i64), 1..30), at in any::<prop::sample::Index>()) {
        let (card, plan) = &*CARD_AND_PLAN;
        let mut now = start();
        let log: Vec<Moment> = taps
            .into_iter()
            .map(|(tap, seconds)| {
                now += Duration::seconds(seconds);
                Moment { at: now, tap }
            })
            .collect();
        let mut double = log.clone();
        let at = at.index(log.len());
        let again = Moment { at: log[at].at + Duration::milliseconds(300), ..log[at] };
        double.insert(at + 1, again);
        // Asked at the last tap, so that no wait has ended in between.
        let once = progress(&log, plan, card, &Tempo::steady(card, card.reference), now);
        let twice = progress(&double, plan, card, &Tempo::steady(card, card.reference), now);
        let settled = |step: Step| match step {
            Step::TouchTest { coat } => Step::Wait { coat },
            Step::Peel => Step::Cure,
            other => other,
        };
        prop_assert_eq!(settled(once.step), settled(twice.step));
    }

    /// Numbers and times that no phone writes give an answer all the same.
    #[test]
    fn strange_numbers_and_times_do_not_panic(
        moments in vec(
            (
                select(vec![0, 1, 2, 3, 4, u32::MAX]),
                select(vec![0, 1, 2, u32::MAX]),
                0..7_u8,
                select(vec![
                    DateTime::<Utc>::MIN_UTC,
                    DateTime::<Utc>::MAX_UTC,
                    DateTime::UNIX_EPOCH,
                    start(),
                ]),
            ),
            1..12,
        ),
        asked in select(vec![DateTime::<Utc>::MIN_UTC, DateTime::<Utc>::MAX_UTC, start()]),
    ) {
        let (card, plan) = &*CARD_AND_PLAN;
        let log: Vec<Moment> = moments
            .into_iter()
            .map(|(coat, batch, kind, at)| {
                let tap = match kind {
                    0 => Tap::StartMix { coat, batch },
                    1 => Tap::SecondContainer { coat, batch },
                    2 => Tap::StartBrush { coat, batch },
                    3 => Tap::BatchDone { coat, batch, last: true },
                    4 => Tap::BatchDone { coat, batch, last: false },
                    5 => Tap::Touch { coat, feel: Feel::Firm },
                    _ => Tap::Touch { coat, feel: Feel::Wet },
                };
                Moment { at, tap }
            })
            .collect();
        let seen = progress(&log, plan, card, &Tempo::steady(card, card.reference), asked);
        for due in &seen.timers {
            let _ = (due.left(asked), due.overdue(asked));
        }
        let _ = alerts(&seen, ("id", "name"));
        let _ = (seen.step.name(), finished(&log));
    }

    /// Whatever a file holds, every step has one thing to do and a way on.
    #[test]
    fn any_log_has_a_way_on(taps in vec((any_tap(), -5000..5000_i64), 0..30)) {
        let (card, plan) = &*CARD_AND_PLAN;
        let mut now = start();
        let mut log = Vec::new();
        for (tap, seconds) in taps {
            now += Duration::seconds(seconds);
            log.push(Moment { at: now, tap });
            let seen = progress(&log, plan, card, &Tempo::steady(card, card.reference), now);
            prop_assert!(!seen.instruction.is_empty() && !seen.title.is_empty());
            let ways = usize::from(seen.main.is_some())
                + usize::from(seen.touch.is_some())
                + seen.others.len();
            prop_assert_eq!(ways == 0, seen.step == Step::Finished);
            // Each button does something.
            for action in seen.main.iter().chain(&seen.others) {
                let mut next = log.clone();
                next.push(Moment { at: now, tap: action.tap });
                let after = progress(&next, plan, card, &Tempo::steady(card, card.reference), now);
                prop_assert_ne!(&after.step, &seen.step, "{}", action.label);
            }
        }
    }
}

#[test]
fn each_container_is_mixed_for_its_time_or_said_to_be_well_mixed() {
    let mut wall = Wall::new();
    assert_eq!(wall.see().hold, None);
    wall.main();
    let until = wall.see().hold.expect("mixed for its time");
    assert_eq!(until - wall.now, minutes(practice::MIX_PER_CONTAINER.value));
    wall.other("Well mixed already").wait(0.5);
    assert!(wall.see().hold.is_some() && matches!(wall.see().step, Step::MixSecond { .. }));
    wall.wait(1.1);
    assert_eq!(wall.see().hold, None);
    assert!(
        wall.see()
            .others
            .iter()
            .all(|o| !o.label.contains("already"))
    );
    // Dead paste is thrown away without waiting for anything.
    wall.wait(300.0);
    assert_eq!(wall.see().hold, None);
}

/// Facts of the trade, common practice, no source: what the first starter card and the constants
/// say, and what follows on the wall from the one and the other.
#[test]
fn the_usual_paste_goes_as_the_trade_says() {
    let card = &starter_cards()[0];
    assert!(
        (12.0..=15.0).contains(&card.working.0),
        "{:?}",
        card.working
    );
    assert_eq!(
        (card.recoat_from, card.demould),
        (Minutes(60.0), Minutes(120.0))
    );
    assert_eq!(card.recoat_until, None, "coats bond however late they come");
    assert_eq!(card.marks.recoat, Source::CommonPractice);
    assert_eq!(practice::THICKENING.value, Minutes(5.0));
    // Three days later the next coat is still fine, and the page says so.
    let mut wall = Wall::new();
    wall.coat().wait(3.0 * 24.0 * 60.0);
    assert_eq!(wall.see().step, Step::TouchTest { coat: 1 });
    assert!(wall.said("That is fine"), "{:?}", wall.see().notes);
    wall.feel(Feel::Firm);
    assert_eq!(wall.see().step, Step::Weigh { coat: 2, batch: 1 });
}
