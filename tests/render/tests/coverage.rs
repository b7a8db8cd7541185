//! Does the 95 % range hold the truth as often as it says, and is the value near enough? Scenes
//! by chance with fixed seeds; marks and outline are the true places plus a mark's spread.

use peelcast::survey::{EdgeError, Evidence, ImageSize, Lens, WallProblem, fit_wall, footprint};
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

const SCENES: u64 = 200;

/// Errors as shares of the truth, sorted, and how often each range held the truth.
struct Outcome {
    errors: Vec<f64>,
    area_held: f64,
    perimeter_held: f64,
    tilt_held: f64,
    half_widths: Vec<f64>,
}

impl Outcome {
    fn at(sorted: &[f64], share: f64) -> f64 {
        sorted[((sorted.len() - 1) as f64 * share).round() as usize]
    }
}

fn run(beside: Beside, told: Told) -> Outcome {
    let mut errors = Vec::new();
    let mut half_widths = Vec::new();
    let (mut area_held, mut perimeter_held, mut tilt_held) = (0, 0, 0);
    for seed in 0..SCENES {
        let mut chance = Chance::new(seed);
        let scene = Scene::by_chance(&mut chance, beside, 30.0);
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
        let marks = scene.marks.iter();
        let marks = marks.map(|&mm| Evidence::point(chance.moved(view.see(mm), sd), mm));
        let problem = WallProblem {
            lens: (told == Told::Lens).then_some(lens),
            point_sd_px: sd,
            ..WallProblem::new(size, marks.collect())
        };
        let outline: Vec<_> = scene
            .outline
            .iter()
            .map(|&mm| chance.moved(view.see(mm), sd))
            .collect();
        let wall = fit_wall(&problem).expect("good marks fix the wall");
        let found = footprint(&wall, &outline, &[], EdgeError::points(sd))
            .expect("a good outline is measured");
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
    println!("reference  lens     median  95 %    half    area   perim  tilt");
    let mut failures = Vec::new();
    for beside in Beside::ALL {
        for told in [Told::Lens, Told::Nothing] {
            let o = run(beside, told);
            println!(
                "{:<10} {:<8} {:.2} %  {:.2} %  {:.2} %  {:.1} %  {:.1} %  {:.1} %",
                format!("{beside:?}"),
                format!("{told:?}"),
                100.0 * Outcome::at(&o.errors, 0.5),
                100.0 * Outcome::at(&o.errors, 0.95),
                100.0 * Outcome::at(&o.half_widths, 0.5),
                100.0 * o.area_held,
                100.0 * o.perimeter_held,
                100.0 * o.tilt_held,
            );
            for (name, held) in [
                ("area", o.area_held),
                ("perimeter", o.perimeter_held),
                ("tilt", o.tilt_held),
            ] {
                if held < 0.90 {
                    failures.push(format!("{beside:?}, {told:?}: {name} held in {held}"));
                }
            }
        }
    }
    assert!(failures.is_empty(), "{failures:#?}");
}
