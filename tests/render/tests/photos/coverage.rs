//! Does the 95 % range hold the truth as often as it says, and is the value near enough, for every
//! kind of evidence? Scenes by chance with fixed seeds, tilted by up to 40 degrees; marks and
//! outline are the true places plus a mark's spread. Nothing is drawn here: what finding marks in
//! a picture adds is in `drawn.rs`.

use peelcast::quantity::{Estimate, Millimetres};
use peelcast::survey::{
    EdgeError, Evidence, Footprint, ImageSize, Lens, Px, WallProblem, fit_wall, footprint,
};
use peelcast_render::chance::Chance;
use peelcast_render::scene::{Beside, Scene};

/// What the program is told of the lens.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Told {
    /// Focal length to half a per cent and distortion to 0.005, as a calibration gives them.
    Lens,
    /// Nothing: a phone's main camera is supposed.
    Nothing,
}

/// One kind of evidence.
struct Kind {
    name: &'static str,
    beside: Beside,
    /// Gravity is known to half a degree.
    gravity: bool,
    /// How far the wall leans back, in degrees.
    angle_deg: f64,
    /// The outline and the reference stand so far before the wall, at most, and are known to a
    /// twentieth of that.
    heights_mm: [f64; 2],
    /// How often the range of the area may hold the truth.
    held: [f64; 2],
}

const UPRIGHT: Kind = Kind {
    name: "",
    beside: Beside::Card,
    gravity: false,
    angle_deg: 0.0,
    heights_mm: [0.0, 0.0],
    held: [0.91, 0.99],
};

const KINDS: [Kind; 14] = [
    Kind {
        name: "card",
        ..UPRIGHT
    },
    Kind {
        name: "A4",
        beside: Beside::A4,
        ..UPRIGHT
    },
    Kind {
        name: "broad rule",
        beside: Beside::BroadRule,
        ..UPRIGHT
    },
    Kind {
        name: "square",
        beside: Beside::Square,
        ..UPRIGHT
    },
    Kind {
        name: "card, gravity",
        gravity: true,
        ..UPRIGHT
    },
    Kind {
        name: "rule, gravity",
        beside: Beside::Rule,
        gravity: true,
        ..UPRIGHT
    },
    Kind {
        name: "level rule, gravity",
        beside: Beside::LevelRule,
        gravity: true,
        ..UPRIGHT
    },
    Kind {
        name: "plumb rule, gravity",
        beside: Beside::PlumbRule,
        gravity: true,
        ..UPRIGHT
    },
    Kind {
        name: "rule on a floor",
        beside: Beside::Rule,
        gravity: true,
        angle_deg: 90.0,
        ..UPRIGHT
    },
    Kind {
        name: "rule on a ceiling",
        beside: Beside::Rule,
        gravity: true,
        angle_deg: -90.0,
        ..UPRIGHT
    },
    Kind {
        name: "rule, wall leans 30",
        beside: Beside::Rule,
        gravity: true,
        angle_deg: 30.0,
        ..UPRIGHT
    },
    Kind {
        name: "A4, outline before",
        beside: Beside::A4,
        heights_mm: [40.0, 0.0],
        ..UPRIGHT
    },
    Kind {
        name: "card before, gravity",
        gravity: true,
        heights_mm: [0.0, 40.0],
        ..UPRIGHT
    },
    Kind {
        name: "two marks",
        beside: Beside::TwoMarks,
        // Scenes are no further than 40 degrees from square, which is all that is known here.
        held: [0.91, 1.0],
        ..UPRIGHT
    },
];

const SCENES: u64 = 100;

/// How far a wall is out of its stated angle, and how far the phone's level is off, in degrees.
const WALL_SD_DEG: f64 = 0.115;
const LEVEL_SD_DEG: f64 = 0.5;

/// Errors as shares of the truth, sorted, and how often each range held the truth.
struct Outcome {
    errors: Vec<f64>,
    half_widths: Vec<f64>,
    area_held: f64,
    perimeter_held: f64,
    tilt_held: f64,
}

fn at(sorted: &[f64], share: f64) -> f64 {
    100.0 * sorted[((sorted.len() - 1) as f64 * share).round() as usize]
}

/// Gravity as the phone tells it.
fn gravity(scene: &Scene, angle_deg: f64, chance: &mut Chance) -> [f64; 3] {
    let down = scene
        .view
        .gravity(angle_deg + WALL_SD_DEG * chance.normal());
    let sd = LEVEL_SD_DEG.to_radians();
    let off: [f64; 3] = std::array::from_fn(|_| sd * chance.normal());
    let along: f64 = (0..3).map(|i| off[i] * down[i]).sum();
    std::array::from_fn(|i| down[i] + off[i] - along * down[i])
}

fn evidence(kind: &Kind, seen: &[Px], scene: &Scene) -> Vec<Evidence> {
    let from_first = |mm: &[f64; 2]| {
        let first = scene.marks[0];
        (mm[0] - first[0]).hypot(mm[1] - first[1])
    };
    let rule = || "a".to_owned();
    let marks = seen.iter().zip(&scene.marks);
    let held = match kind.beside {
        Beside::Rule => None,
        Beside::LevelRule => Some(Evidence::Level { rule: rule() }),
        Beside::PlumbRule => Some(Evidence::Plumb { rule: rule() }),
        _ => return marks.map(|(px, mm)| Evidence::point(*px, *mm)).collect(),
    };
    let readings = marks.map(|(px, mm)| Evidence::tick(*px, from_first(mm), "a"));
    readings.chain(held).collect()
}

/// A scene, and what the program says of it.
fn measured(kind: &Kind, told: Told, seed: u64) -> (Scene, Footprint) {
    let mut chance = Chance::new(seed);
    let scene = Scene::by_chance(&mut chance, kind.beside, 40.0);
    let sd = chance.between(0.4, 1.2);
    let view = &scene.view;
    let lens = Lens {
        focal_px: view.focal * (1.0 + 0.005 * chance.normal()),
        focal_sd_px: 0.005 * view.focal,
        center_px: chance.moved(view.center, 0.005 * view.focal),
        k1: view.k1 + 0.005 * chance.normal(),
        k2: view.k2 + 0.005 * chance.normal(),
        k_sd: 0.005,
    };
    let size = ImageSize {
        width: view.size[0],
        height: view.size[1],
    };
    let heights = kind.heights_mm.map(|most| {
        let height = most * chance.between(0.25, 1.0);
        let sd = 0.05 * height;
        let known = Estimate::normal(Millimetres(height + sd * chance.normal()), sd);
        (height, known)
    });
    let mut see = |places: &[[f64; 2]], height: f64| -> Vec<Px> {
        let seen = places.iter().map(|mm| view.see_before(*mm, height));
        seen.map(|px| chance.moved(px, sd)).collect()
    };
    let marks = see(&scene.marks, heights[1].0);
    let outline = see(&scene.outline, heights[0].0);
    let problem = WallProblem {
        lens: (told == Told::Lens).then_some(lens),
        gravity: kind
            .gravity
            .then(|| gravity(&scene, kind.angle_deg, &mut chance)),
        wall_angle_deg: kind.angle_deg,
        point_sd_px: sd,
        ..WallProblem::new(size, evidence(kind, &marks, &scene))
    };
    let wall = fit_wall(&problem).expect("good marks fix the wall");
    let wall = wall.traced(&heights[0].1, &heights[1].1);
    let found = footprint(&wall, &outline, &[], EdgeError::points(sd));
    (scene, found.expect("a good outline is measured"))
}

fn run(kind: &Kind, told: Told) -> Outcome {
    let (mut errors, mut half_widths) = (Vec::new(), Vec::new());
    let (mut area_held, mut perimeter_held, mut tilt_held) = (0, 0, 0);
    for seed in 0..SCENES {
        let (scene, found) = measured(kind, told, seed);
        let (area, perimeter) = (scene.area(), scene.perimeter());
        errors.push((found.area.value.0 / area - 1.0).abs());
        half_widths.push((found.area.high95.0 - found.area.low95.0) / 2.0 / area);
        let holds = |low: f64, high: f64, truth: f64| u32::from(low <= truth && truth <= high);
        area_held += holds(found.area.low95.0, found.area.high95.0, area);
        perimeter_held += holds(found.perimeter.low95.0, found.perimeter.high95.0, perimeter);
        tilt_held += holds(found.tilt.low95.0, found.tilt.high95.0, scene.tilt_deg);
    }
    errors.sort_by(f64::total_cmp);
    half_widths.sort_by(f64::total_cmp);
    let share = |count: u32| f64::from(count) / SCENES as f64;
    Outcome {
        errors,
        half_widths,
        area_held: share(area_held),
        perimeter_held: share(perimeter_held),
        tilt_held: share(tilt_held),
    }
}

#[test]
fn ranges_hold_the_truth_as_often_as_they_say() {
    println!(
        "{SCENES} scenes each; error of the area, its range's half width; truth held by the range of"
    );
    println!("evidence              lens     median  95 %     half     area     perim   tilt");
    let mut failures = Vec::new();
    let (mut all, mut held) = (0.0, 0.0);
    const TOLD: [Told; 2] = [Told::Lens, Told::Nothing];
    let outcomes: Vec<[Outcome; 2]> = std::thread::scope(|scope| {
        let kinds = KINDS.iter();
        let runs = kinds.map(|kind| scope.spawn(move || TOLD.map(|told| run(kind, told))));
        let runs: Vec<_> = runs.collect();
        let done = runs
            .into_iter()
            .map(|run| run.join().expect("no scene panics"));
        done.collect()
    });
    for (kind, outcomes) in KINDS.iter().zip(outcomes) {
        let mut of_kind = 0.0;
        for (told, o) in TOLD.into_iter().zip(outcomes) {
            println!(
                "{:<21} {:<8} {:>5.2} %  {:>5.2} %  {:>5.2} %  {:>5.1} %  {:>5.1} %  {:>5.1} %",
                kind.name,
                format!("{told:?}"),
                at(&o.errors, 0.5),
                at(&o.errors, 0.95),
                at(&o.half_widths, 0.5),
                100.0 * o.area_held,
                100.0 * o.perimeter_held,
                100.0 * o.tilt_held,
            );
            of_kind += o.area_held / 2.0;
            for (name, held) in [("perimeter", o.perimeter_held), ("tilt", o.tilt_held)] {
                if held < 0.88 {
                    failures.push(format!("{}, {told:?}: {name} held in {held}", kind.name));
                }
            }
        }
        if !(kind.held[0]..=kind.held[1]).contains(&of_kind) {
            failures.push(format!("{}: area held in {of_kind}", kind.name));
        }
        (all, held) = (all + 1.0, held + of_kind);
    }
    let held = held / all;
    println!("all: the area held in {:.1} %", 100.0 * held);
    if !(0.92..=0.98).contains(&held) {
        failures.push(format!("all: area held in {held}"));
    }
    assert!(failures.is_empty(), "{failures:#?}");
}
