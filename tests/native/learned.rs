//! What earlier jobs teach of the one who brushes, from their taps and weighings alone.

use chrono::{DateTime, TimeDelta, Utc};
use peelcast::clock::{Entry, Learned, LogNote, Moment, Tap, Work, learned};
use peelcast::coating::{CoatRole, Hand, Plan, PlanInput, Source, plan, practice};
use peelcast::job::sample_job;
use peelcast::quantity::show::System;
use peelcast::quantity::{Grams, Minutes, Quantity, SquareMillimetresPerMinute};

/// The spreads that the program takes: of hands, and of batches.
const HAND: f64 = 0.5;
const BATCH: f64 = 0.35;

fn input() -> PlanInput {
    let piece = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
    let mut input = piece.plan_input().unwrap();
    input.temperature = input.card.reference;
    for coat in &mut input.coats {
        coat.speed_source = Source::MadeUp;
    }
    input
}

/// Someone at a wall who goes by that plan.
struct Wall {
    plan: Plan,
    log: Vec<Moment>,
    notes: Vec<LogNote>,
    now: DateTime<Utc>,
}

impl Wall {
    fn new() -> Self {
        Self {
            plan: plan(&input()).unwrap(),
            log: Vec::new(),
            notes: Vec::new(),
            now: DateTime::UNIX_EPOCH,
        }
    }

    fn tap(&mut self, tap: Tap) {
        self.log.push(Moment { at: self.now, tap });
    }

    fn wait(&mut self, minutes: f64) {
        self.now += TimeDelta::milliseconds((minutes * 60_000.0).round() as i64);
    }

    fn note(&mut self, entry: Entry) {
        self.notes.push(LogNote {
            at: self.now,
            entry,
        });
    }

    /// Mixes for that long in each container and brushes for that long.
    fn batch(&mut self, coat: u32, batch: u32, last: bool, mix: f64, brush: f64) {
        self.tap(Tap::StartMix { coat, batch });
        self.wait(mix);
        self.tap(Tap::SecondContainer { coat, batch });
        self.wait(mix);
        self.tap(Tap::StartBrush { coat, batch });
        self.wait(brush);
        self.tap(Tap::BatchDone { coat, batch, last });
        self.wait(60.0);
    }

    fn learned(&self) -> Learned {
        learned(&[self.work()], None)
    }

    fn work(&self) -> Work<'_> {
        Work {
            log: &self.log,
            notes: &self.notes,
            plan: &self.plan,
        }
    }

    /// The whole surface over that many minutes.
    fn speed(&self, minutes: f64) -> f64 {
        (self.plan.surface.value + self.plan.border_area.value).0 / minutes
    }
}

/// The normal model with known variances in closed form: a prior about the guess and so many
/// readings with this middle, whose variance is `loss` times that of their mean.
fn weighed(guess: f64, middle: f64, count: f64, loss: f64) -> (f64, f64) {
    let own = HAND.powi(-2);
    let told = count / (loss * BATCH * BATCH);
    let mean = (own * guess.ln() + told * middle.ln()) / (own + told);
    (mean.exp(), (own + told).powf(-0.5))
}

fn holds<Q: Quantity>(habit: &peelcast::clock::Habit<Q>, (value, log_sd): (f64, f64)) {
    let found = habit.value;
    assert!(
        (found.value.number() / value - 1.0).abs() < 1e-9,
        "{habit:?}"
    );
    let spread = (found.high95.number() / found.value.number()).ln() / 1.959_963_984_540_054;
    assert!((spread - log_sd).abs() < 1e-9, "{habit:?}");
}

#[test]
fn nothing_is_learned_from_nothing() {
    let wall = Wall::new();
    assert_eq!(wall.learned(), Learned::default());
    assert!(wall.learned().said(System::Metric).is_empty());
    let mut same = input();
    wall.learned().put_into(&mut same.coats, &mut same.hand);
    assert_eq!(same, input());
}

#[test]
fn each_kind_of_coat_has_its_own_speed() {
    let mut wall = Wall::new();
    wall.batch(1, 1, true, 2.0, 10.0);
    wall.batch(2, 1, false, 2.0, 6.0);
    wall.batch(2, 2, true, 2.0, 3.0);
    let found = wall.learned();
    let skim = practice::SKIM_SPEED.value.0;
    holds(
        &found.skim.unwrap(),
        weighed(skim, wall.speed(10.0), 1.0, 1.0),
    );
    // Two batches of half the surface each; the middle of two logarithms is their mean.
    let half = (wall.speed(12.0) * wall.speed(6.0)).sqrt();
    let build = practice::BUILD_SPEED.value.0;
    holds(&found.build.unwrap(), weighed(build, half, 2.0, 1.0));
    assert_eq!((found.build.unwrap().batches, found.last), (2, None));
    // Three batches, each by the mean of its containers.
    let mix = practice::MIX_PER_CONTAINER.value.0;
    let half_pi = std::f64::consts::FRAC_PI_2;
    holds(&found.mix.unwrap(), weighed(mix, 2.0, 3.0, half_pi));
    assert_eq!(found.residue, None);
}

#[test]
fn many_batches_outweigh_the_guess_and_a_slip_moves_nothing() {
    let mut wall = Wall::new();
    for _ in 0..40 {
        wall.batch(1, 1, true, 1.5, 8.0);
    }
    let truth = wall.speed(8.0);
    let clean = wall.learned().skim.unwrap();
    assert!((clean.value.value.0 / truth - 1.0).abs() < 0.05);
    assert!(clean.value.relative_sd() < 0.08);
    // Tapped through, forgotten until the paste had set, thrown away, mixed for a quarter of an
    // hour: none of it counts.
    let working = wall.plan.working.value.0;
    wall.batch(1, 1, true, 0.1, 0.2);
    wall.batch(1, 1, true, 14.0, 3.1 * working);
    let (coat, batch) = (1, 1);
    wall.tap(Tap::StartMix { coat, batch });
    wall.wait(1.0);
    wall.tap(Tap::StartBrush { coat, batch });
    wall.wait(2.0);
    wall.tap(Tap::BatchLost { coat, batch });
    wall.tap(Tap::BatchDone {
        coat,
        batch,
        last: true,
    });
    let after = wall.learned();
    assert_eq!(after.skim.unwrap(), clean);
    assert_eq!(after.mix.unwrap().batches, 40);
    // A pause that is not long enough to be known as one barely counts: the median stands.
    wall.batch(1, 1, true, 1.5, 2.5 * working);
    let paused = wall.learned().skim.unwrap().value.value;
    assert!((paused / clean.value.value - 1.0).abs() < 0.01);
}

#[test]
fn a_second_start_of_the_same_batch_is_a_double_tap() {
    let mut wall = Wall::new();
    let (coat, batch) = (1, 1);
    wall.tap(Tap::StartMix { coat, batch });
    wall.wait(1.0);
    wall.batch(coat, batch, true, 1.0, 8.0);
    let found = wall.learned();
    assert_eq!(found.skim.unwrap().batches, 1);
    // Mixed from the first tap on: two minutes and one.
    let mix = practice::MIX_PER_CONTAINER.value.0;
    holds(&found.mix.unwrap(), weighed(mix, 1.5, 1.0, 1.0));
}

#[test]
fn what_stays_behind_is_learned_where_it_was_weighed() {
    let mut wall = Wall::new();
    let (coat, batch) = (1, 1);
    let left = |grams| Entry::Leftover {
        coat,
        batch,
        mass: Grams(grams),
    };
    let mixed = wall.plan.coats[0].batches[0].mass();
    // A leftover of a batch that was thrown away is none of the next one.
    wall.tap(Tap::StartMix { coat, batch });
    wall.wait(5.0);
    wall.note(left(mixed.0 * 0.3));
    wall.tap(Tap::BatchLost { coat, batch });
    wall.wait(5.0);
    wall.batch(coat, batch, true, 1.5, 8.0);
    assert_eq!(wall.learned().residue, None);
    wall.note(left(9.0));
    wall.note(left(8.0));
    let guess = practice::residue_per_batch().0;
    holds(
        &wall.learned().residue.unwrap(),
        weighed(guess, 8.0, 1.0, 1.0),
    );
    // Half of what was weighed out is paste that was not needed.
    let mass = Grams(15.0);
    wall.notes.insert(
        0,
        LogNote {
            at: DateTime::UNIX_EPOCH,
            entry: Entry::Weighed { coat, batch, mass },
        },
    );
    assert_eq!(wall.learned().residue, None);
}

#[test]
fn begun_anew_older_batches_do_not_count() {
    let mut wall = Wall::new();
    wall.batch(1, 1, true, 1.5, 4.0);
    let since = wall.now;
    wall.batch(1, 1, true, 1.5, 16.0);
    let newer = learned(&[wall.work()], Some(since)).skim.unwrap();
    assert_eq!(newer.batches, 1);
    assert!(newer.value.value < wall.learned().skim.unwrap().value.value);
    let later = since + TimeDelta::days(1);
    assert_eq!(learned(&[wall.work()], Some(later)), Learned::default());
    // Two jobs are learned from together.
    let twice = learned(&[wall.work(), wall.work()], None).skim.unwrap();
    assert_eq!(twice.batches, 4);
}

#[test]
fn the_next_plan_goes_by_it_and_says_so() {
    let mut wall = Wall::new();
    for _ in 0..20 {
        // A hand half as fast as the guess, and slow to mix.
        let minutes = wall.speed(1.0) / (0.5 * practice::SKIM_SPEED.value.0);
        wall.batch(1, 1, true, 2.5, minutes);
        wall.note(Entry::Leftover {
            coat: 1,
            batch: 1,
            mass: Grams(6.0),
        });
        wall.now += TimeDelta::hours(1);
    }
    let found = wall.learned();
    let mut next = input();
    next.coats[1].speed_source = Source::YourChoice;
    let chosen = next.coats[1].speed;
    found.put_into(&mut next.coats, &mut next.hand);
    let batches = Source::Learned("20 batches".into());
    assert_eq!(
        next.coats[0].speed,
        found.speed(CoatRole::Skim).unwrap().value.value
    );
    assert_eq!(next.coats[0].speed_source, batches);
    assert_eq!(next.coats[1].speed, chosen);
    assert_eq!(next.coats[2].speed_source, Source::MadeUp);
    let (old, new) = (&wall.plan, plan(&next).unwrap());
    assert!(new.coats[0].batches.len() > old.coats[0].batches.len());
    assert!(new.coats[0].mix > old.coats[0].mix);
    assert!(new.residue.value / f64::from(new.batch_count()) < Grams(8.0));
    let why = |what| new.why.iter().find(|why| why.what == what).unwrap();
    assert_eq!(why("Batches of coat 1").source, batches);
    assert_eq!(why("Left in containers and tools").source, batches);

    let said = found.said(System::Metric);
    assert_eq!(said.len(), 3);
    assert!(
        said[0].starts_with("Brushing a skim coat: ") && said[0].contains("by 20 batches of yours")
    );
    assert!(said[1].contains("Without them: 90 s."), "{said:?}");
    assert!(said[2].contains("g a batch"), "{said:?}");

    // A fast paste leaves no leisure.
    next.card.working = Minutes(8.0);
    let quick = next.hand.with(&next.card, next.card.reference);
    assert_eq!(quick.mix.value, Minutes(2.0));

    // What was learned is kept with the record's coats and read again.
    let text = serde_json::to_string(&next).unwrap();
    let back: PlanInput = serde_json::from_str(&text).unwrap();
    assert_eq!(back.coats[0].speed_source, batches);
    assert_eq!(back.hand.mix, next.hand.mix);
    let mut older: serde_json::Value = serde_json::from_str(&text).unwrap();
    older.as_object_mut().unwrap().remove("hand");
    let older: PlanInput = serde_json::from_value(older).unwrap();
    assert_eq!(older.hand, Hand::default());
    assert!(SquareMillimetresPerMinute(0.0) < next.coats[0].speed);
}
