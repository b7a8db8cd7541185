//! The range in which the next coat is due holds the truth as often as it says: pastes drawn by
//! chance, touched by a finger that is unsure, in one job after the other.

use chrono::DateTime;
use fastrand::Rng;
use peelcast::clock::{CARD_SPREAD, FINGER_SPREAD, Feel, Heard, JOB_SPREAD, Pace, Touch};
use peelcast::coating::{MaterialCard, Source, starter_cards};
use peelcast::quantity::Minutes;

/// An hour to the next coat, two to demould; the sheet gives the rate.
fn card() -> MaterialCard {
    let mut card = starter_cards().remove(0);
    (card.recoat_from, card.demould) = (Minutes(60.0), Minutes(120.0));
    card.marks.q10 = Source::YourSheet;
    card
}

fn coat(age: f64, feel: Feel) -> Touch {
    Touch::of_coat(DateTime::UNIX_EPOCH, Minutes(age), feel, &card()).unwrap()
}

fn skin(age: f64, comes_off: bool) -> Touch {
    Touch::of_skin(DateTime::UNIX_EPOCH, Minutes(age), comes_off, &card()).unwrap()
}

/// A paste with its pace, and someone who touches it.
struct Bench {
    rng: Rng,
}

impl Bench {
    /// A standard normal number, by the sum of twelve even ones.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.rng.f64()).sum::<f64>() - 6.0
    }

    /// A whole job: each coat is touched about when it is likely to be ready, and again a
    /// fifth later while it is wet; the skin is tried in the same way.
    fn job(&mut self, pace: f64, prior: Pace, coats: u32) -> Vec<Touch> {
        let mut found = Vec::new();
        for number in 1..=coats + 1 {
            let time = if number > coats { 120.0 } else { 60.0 };
            let likely = prior.after(&found).span(Minutes(time)).value.0;
            let mut age = likely * (0.1 * self.normal()).exp();
            for _ in 0..6 {
                let felt = (age / time).ln() + pace + FINGER_SPREAD.value * self.normal();
                let touch = match (number > coats, felt) {
                    (true, felt) => skin(age, felt >= 0.0),
                    (_, ..0.0) => coat(age, Feel::Wet),
                    (_, felt) if felt < 0.5 * 2.0_f64.ln() => coat(age, Feel::Tacky),
                    _ => coat(age, Feel::Firm),
                };
                found.push(touch);
                if felt >= 0.0 {
                    break;
                }
                age += 0.2 * time;
            }
        }
        found
    }
}

#[test]
fn the_range_of_the_next_coat_holds_the_truth_as_often_as_it_says() {
    let card = card();
    let mut bench = Bench {
        rng: Rng::with_seed(61),
    };
    const PASTES: usize = 1000;
    let (mut before, mut during, mut later) = (0, 0, 0);
    let (mut wide, mut narrow) = (0.0, 0.0);
    for _ in 0..PASTES {
        let own = CARD_SPREAD.value * bench.normal();
        let of_job = |bench: &mut Bench| own + JOB_SPREAD.value * bench.normal();
        let holds = |pace: Pace, truth: f64| {
            let span = pace.span(card.recoat_from);
            let ready = card.recoat_from * (-truth).exp();
            usize::from(span.low95 < ready && ready < span.high95)
        };
        let prior = Pace::of_card(&card, card.reference);
        let truth = of_job(&mut bench);
        let first = bench.job(truth, prior, 2);
        before += holds(prior, truth);
        during += holds(prior.after(&first), truth);
        let truth = of_job(&mut bench);
        let second = bench.job(truth, prior, 3);
        let heard = [first, second].map(|touches| Heard::of(&card, card.reference, touches));
        let next = Pace::remembered(&card, card.reference, &heard, None);
        let truth = of_job(&mut bench);
        later += holds(next, truth);
        wide += prior.sd / PASTES as f64;
        narrow += next.sd / PASTES as f64;
    }
    let share = |count: usize| count as f64 / PASTES as f64;
    println!(
        "the 95 % range held {:.3} before, {:.3} after the touches of a job, {:.3} in the \
         third job; spread {wide:.3}, in the third job {narrow:.3}",
        share(before),
        share(during),
        share(later)
    );
    for count in [before, during, later] {
        assert!(
            (0.92..=0.975).contains(&share(count)),
            "{count} of {PASTES}"
        );
    }
    assert!(narrow < 0.9 * wide);
}
