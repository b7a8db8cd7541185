//! Heights from readings: what they may and may not do.

use super::*;
use crate::quantity::{Dice, Millimetres};
use crate::survey::Mm;
use proptest::prelude::*;

const OUTLINE: [Mm; 4] = [[0.0, 0.0], [120.0, 0.0], [120.0, 90.0], [0.0, 90.0]];

fn known<'a>(readings: &'a [Reading]) -> Known<'a> {
    Known {
        outline: &OUTLINE,
        holes: &[],
        edge: Edge::MeetsWall,
        readings,
        profiles: &[],
    }
}

fn guess() -> Guess {
    Guess {
        mean: Millimetres(10.0),
        mean_sd: Millimetres(4.0),
        rough: Millimetres(4.0),
    }
}

fn read(at: Mm, height: f64, sd: f64) -> Reading {
    Reading {
        at,
        height: Millimetres(height),
        sd: Millimetres(sd),
    }
}

fn frame() -> Frame {
    Frame::around(&OUTLINE, 40).unwrap()
}

/// Rounded forms that come down to the wall at the edge; never the same twice.
struct Forms(Vec<[f64; 4]>);

impl Forms {
    fn new(seed: u64) -> Self {
        let mut dice = Dice::seeded(seed);
        let form = |_| {
            [
                10.0 + 100.0 * dice.even(),
                10.0 + 70.0 * dice.even(),
                12.0 + 18.0 * dice.even(),
                4.0 + 10.0 * dice.even(),
            ]
        };
        Self((0..6).map(form).collect())
    }

    fn at(&self, [x, y]: Mm) -> f64 {
        let near = x.min(120.0 - x).min(y).min(90.0 - y).max(0.0);
        let of = |[a, b, wide, high]: &[f64; 4]| {
            high * (-((x - a).powi(2) + (y - b).powi(2)) / (2.0 * wide * wide)).exp()
        };
        self.0.iter().map(of).sum::<f64>() * (1.0 - (-near / 10.0).exp())
    }

    fn squares() -> impl Iterator<Item = Mm> {
        let row = |y| (0..120).map(move |x| [f64::from(x) + 0.5, f64::from(y) + 0.5]);
        (0..90).flat_map(row)
    }

    /// What its highest point tells: waves to cones on a ground.
    fn guess(&self) -> Guess {
        let heights = Self::squares().map(|place| self.at(place));
        let highest = heights.fold(0.0, f64::max);
        Guess {
            mean: Millimetres(highest / 2.0),
            mean_sd: Millimetres(highest / 6.0),
            rough: Millimetres(highest / 4.0),
        }
    }

    /// In millilitres, over the squares of a fine grid.
    fn volume(&self) -> f64 {
        let heights = Self::squares().map(|place| self.at(place));
        heights.sum::<f64>() / 1000.0
    }

    fn read(&self, count: usize, sd: f64, dice: &mut Dice) -> Vec<Reading> {
        let place = |dice: &mut Dice| [8.0 + 104.0 * dice.even(), 8.0 + 74.0 * dice.even()];
        let one = |dice: &mut Dice| {
            let at = place(dice);
            read(at, (self.at(at) + sd * dice.normal()).max(0.0), sd)
        };
        (0..count).map(|_| one(dice)).collect()
    }
}

fn volume(heights: &Heights) -> crate::quantity::Estimate<crate::quantity::Millilitres> {
    measures(heights, &OUTLINE, &[]).volume
}

#[test]
fn the_range_of_the_volume_holds_the_truth_and_narrows_with_each_reading() {
    let mut dice = Dice::seeded(7);
    for (count, least, widest) in [(0, 22, 1.2), (3, 22, 0.4), (8, 22, 0.2), (20, 22, 0.08)] {
        let (mut held, mut wide, mut off) = (0, 0.0, 0.0);
        for seed in 0..25 {
            let forms = Forms::new(seed);
            let all = forms.read(count, 0.5, &mut dice);
            let found = readings(frame(), &known(&all), Some(forms.guess()), 1).unwrap();
            let volume = volume(&found.heights);
            let truth = forms.volume();
            held += u32::from(volume.low95.0 <= truth && truth <= volume.high95.0);
            wide += volume.sd / truth / 25.0;
            off += (volume.value.0 / truth - 1.0).abs() / 25.0;
        }
        println!("{count} readings: {held} of 25 held, sd {wide:.3}, off by {off:.3}");
        assert!(held >= least && wide < widest, "{count}: {held} {wide}");
    }
}

fn readings_of(all: &[Reading]) -> Sounded {
    readings(frame(), &known(all), Some(guess()), 1).unwrap()
}

#[test]
fn the_map_goes_through_a_sure_reading_and_meets_the_wall() {
    let found = readings_of(&[read([60.0, 45.0], 21.0, 0.2)]);
    let (height, sd) = found.heights.map.over([60.0, 45.0]).unwrap();
    assert!((height.0 - 21.0).abs() < 0.5 && sd < 1.5, "{height:?} {sd}");
    let (low, low_sd) = found.heights.map.over([60.0, 1.6]).unwrap();
    assert!(low.0 < 4.0 && low_sd < 3.0, "{low:?} {low_sd}");
    let far = found.heights.map.over([20.0, 20.0]).unwrap().1;
    assert!(far > 1.5, "{far}");
    // A piece that stands off the wall keeps its edge.
    let edge = Edge::Stands {
        height: Millimetres(12.0),
        sd: Millimetres(1.0),
    };
    let board = Known { edge, ..known(&[]) };
    let found = readings(frame(), &board, Some(guess()), 1).unwrap();
    let (height, _) = found.heights.map.over([60.0, 2.0]).unwrap();
    assert!((height.0 - 12.0).abs() < 1.5, "{height:?}");
}

#[test]
fn the_next_reading_is_wanted_where_least_is_known() {
    let probe = readings_of(&[]).next.unwrap();
    let off = (probe.at[0] - 60.0).hypot(probe.at[1] - 45.0);
    assert!(off < 15.0 && probe.gain > 0.1, "{probe:?}");
    let left = [[20.0, 20.0], [20.0, 45.0], [20.0, 70.0], [50.0, 45.0]];
    let left = left.map(|at| read(at, 9.0, 0.5));
    let probe = readings_of(&left).next.unwrap();
    assert!(probe.at[0] > 65.0, "{probe:?}");
}

#[test]
fn a_profile_tells_more_than_one_reading_and_less_than_all_its_points() {
    let forms = Forms::new(3);
    let section = (0..=40).map(|n| f64::from(n) * 3.0);
    let profile = Profile {
        from: [0.0, 45.0],
        to: [120.0, 45.0],
        section: section.map(|x| [x, forms.at([x, 45.0])]).collect(),
        sd: Millimetres(1.0),
    };
    let with = |profiles: &[Profile]| {
        let known = Known {
            profiles,
            ..known(&[])
        };
        readings(frame(), &known, Some(guess()), 1).unwrap()
    };
    let one = with(std::slice::from_ref(&profile));
    let along = one.heights.map.over([60.0, 45.0]).unwrap();
    assert!(
        (along.0.0 - forms.at([60.0, 45.0])).abs() < 1.5,
        "{along:?}"
    );
    // What lifts the whole line stays.
    assert!(along.1 > 0.5 && along.1 < 1.6, "{along:?}");
    let before = volume(&with(&[]).heights).sd;
    assert!(volume(&one.heights).sd < 0.75 * before);
    let beside = Profile {
        from: [-50.0, -20.0],
        to: [200.0, -20.0],
        ..profile
    };
    let known = Known {
        profiles: &[beside],
        ..known(&[])
    };
    let why = readings(frame(), &known, Some(guess()), 1).unwrap_err();
    assert!(
        why.to_string().contains("does not cross the piece"),
        "{why}"
    );
}

/// A map whose errors are those it tells: a common one, and one that changes along the wall.
fn swept(forms: &Forms, sd: f64, told: f64, dice: &mut Dice) -> Heights {
    let frame = frame();
    let cover = Cover::of_rings(frame, &OUTLINE, &[]);
    let mut one = || {
        let common = dice.normal() * (0.5_f64).sqrt();
        let waves = super::waves::Waves::draw(dice, 18.0);
        move |at: Mm| {
            let spot = super::gaussian::Spot {
                at,
                local: (0.5_f64).sqrt(),
                common: 0.0,
                scale: 0.0,
            };
            common + waves.at(&spot)
        }
    };
    let map_of = |error: &dyn Fn(Mm) -> f64, size: f64, about: &[f32]| -> Vec<f32> {
        let at = |n: usize| match cover.inside()[n] {
            true => (f64::from(about[n]) + size * error(frame.place_of(n))).max(0.0) as f32,
            false => f32::NAN,
        };
        (0..frame.len()).map(at).collect()
    };
    let truth: Vec<f32> = (0..frame.len())
        .map(|n| forms.at(frame.place_of(n)) as f32)
        .collect();
    let heights = map_of(&one(), sd, &truth);
    let draws = (0..DRAWS).map(|_| Draw {
        heights: map_of(&one(), told, &heights),
        scale: 1.0,
    });
    let draws = draws.collect();
    let map = HeightMap::of(frame, heights, vec![told as f32; frame.len()], 0.0).unwrap();
    Heights {
        map,
        draws,
        sparse: 1,
    }
}

/// The root of the mean square of what the map is off by.
fn off(forms: &Forms, map: &HeightMap) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for (n, height) in map
        .heights()
        .iter()
        .enumerate()
        .filter(|(_, h)| !h.is_nan())
    {
        sum += (f64::from(*height) - forms.at(map.frame().place_of(n))).powi(2);
        count += 1.0;
    }
    (sum / count).sqrt()
}

#[test]
fn a_few_readings_never_make_a_good_map_worse_and_mend_a_bad_one() {
    // What the map is off by, what it says of itself, and the readings' own spread.
    let ways = [
        (0.4, 0.4, 1.0, 3, 1.0),
        (0.4, 0.4, 1.0, 6, 1.0),
        (0.2, 0.4, 1.0, 6, 1.25),
        (2.0, 2.0, 0.4, 3, 0.9),
        (2.0, 2.0, 0.4, 6, 0.75),
    ];
    let mut dice = Dice::seeded(11);
    for (sd, told, probe, count, most) in ways {
        let (mut before, mut after, mut held) = (0.0, 0.0, 0);
        for seed in 0..12 {
            let forms = Forms::new(100 + seed);
            let prior = swept(&forms, sd, told, &mut dice);
            let readings = forms.read(count, probe, &mut dice);
            let found = corrected(&prior, &known(&readings), seed).unwrap();
            before += off(&forms, &prior.map).powi(2);
            after += off(&forms, &found.heights.map).powi(2);
            let volume = volume(&found.heights);
            held += u32::from((volume.low95.0..=volume.high95.0).contains(&forms.volume()));
        }
        let ratio = (after / before).sqrt();
        println!(
            "map {sd} says {told}, {count} readings of {probe}: {ratio:.3}, held {held} of 12"
        );
        assert!(
            ratio < most && held >= 10,
            "{sd} {probe} {count}: {ratio} {held}"
        );
    }
}

#[test]
fn a_sure_map_stands_against_loose_readings_and_moves_for_a_sure_one() {
    let forms = Forms::new(5);
    let mut dice = Dice::seeded(2);
    let prior = swept(&forms, 0.0, 0.1, &mut dice);
    let middle = [60.0, 45.0];
    let there = forms.at(middle);
    let moved = |readings: &[Reading]| {
        let found = corrected(&prior, &known(readings), 1).unwrap();
        let (was, is) = (prior.map.over(middle), found.heights.map.over(middle));
        (is.unwrap().0 - was.unwrap().0, found.notes)
    };
    let loose = [[40.0, 30.0], [60.0, 45.0], [80.0, 60.0]];
    let (by, notes) = moved(&loose.map(|at| read(at, forms.at(at) + 1.0, 2.0)));
    assert!(by.0.abs() < 0.03 && notes.is_empty(), "{by:?} {notes:?}");
    let (by, _) = moved(&[read(middle, there + 0.2, 0.05)]);
    assert!(by.0 > 0.1, "{by:?}");
    let (_, notes) = moved(&[read(middle, there + 3.0, 0.3)]);
    assert_eq!(notes.len(), 1);
    assert!(
        notes[0].starts_with("Reading 1 is") && notes[0].contains("higher"),
        "{notes:?}"
    );
    // Nothing read, nothing changed.
    let none = corrected(&prior, &known(&[]), 1).unwrap();
    assert_eq!(none.heights.map.heights().len(), prior.map.heights().len());
}

#[test]
fn what_is_no_reading_is_refused_by_its_number() {
    let wrong = [
        (read([130.0, 45.0], 5.0, 0.5), "readings[1].at"),
        (read([f64::NAN, 45.0], 5.0, 0.5), "readings[1].at"),
        (read([60.0, 45.0], -2.0, 0.5), "readings[1].height"),
        (read([60.0, 45.0], f64::NAN, 0.5), "readings[1].height"),
        (read([60.0, 45.0], 5.0, 0.0), "readings[1].sd"),
    ];
    for (bad, field) in wrong {
        let all = [read([50.0, 50.0], 5.0, 0.5), bad];
        let why = readings(frame(), &known(&all), None, 1).unwrap_err();
        assert_eq!(why.field(), field);
        assert!(why.to_string().contains("eading 2"), "{why}");
    }
    let why = readings(frame(), &known(&[]), None, 1).unwrap_err();
    assert!(why.to_string().contains("Read a height first"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn any_readings_make_a_map_above_the_wall(
        all in prop::collection::vec((0.5..119.5_f64, 0.5..89.5_f64, 0.0..400.0_f64, 0.01..20.0_f64), 1..7),
        twice in any::<bool>(),
    ) {
        let mut all: Vec<Reading> = all.into_iter().map(|(x, y, h, sd)| read([x, y], h, sd)).collect();
        if twice {
            // The same place read again, and another height there.
            let first = all[0];
            all.push(first);
            all.push(Reading { height: Millimetres(first.height.0 / 2.0), ..first });
        }
        for guess in [None, Some(guess())] {
            let found = readings(frame(), &known(&all), guess, 3).unwrap();
            let maps = found.heights.draws.iter().map(|draw| draw.heights.as_slice());
            for map in maps.chain([found.heights.map.heights()]) {
                prop_assert!(map.iter().all(|h| h.is_nan() || *h >= 0.0));
            }
            prop_assert!(volume(&found.heights).value.0.is_finite());
        }
    }
}
