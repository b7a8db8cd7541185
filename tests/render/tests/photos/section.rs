//! A half ellipse pressed into a contour gauge and photographed beside a bank card: its heights
//! against the truth, and how often two standard deviations hold them. Scenes by chance with fixed
//! seeds; geometry only, since measuring sees no pixels.

use peelcast::survey::{Evidence, ImageSize, Lens, Section, Wall, WallProblem, fit_wall, section};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::view::{Hold, View};
use std::f64::consts::PI;

const SCENES: u64 = 300;
/// The spread of marks, in pixels: what a thumb with a magnifier does on 12 megapixels.
const MARKING_SD: f64 = 2.5;
const HALF: f64 = 80.0;
const HIGH: f64 = 25.0;
const CARD: [Point; 4] = [[40.0, 60.0], [125.6, 60.0], [125.6, 113.98], [40.0, 113.98]];

/// Along and over the line between the ends, in closed form.
fn truth() -> Vec<Point> {
    let at = |n: u32| {
        let angle = PI * f64::from(n) / 24.0;
        [HALF * (1.0 - angle.cos()), HIGH * angle.sin()]
    };
    (0..=24).map(at).collect()
}

/// Where the edge lies on the table, its line turned by `turn` and the piece above it or below.
fn on_table(turn: f64, above: bool) -> Vec<Point> {
    let (s, c) = turn.sin_cos();
    let place = |[along, over]: Point| {
        let [x, y] = [along - HALF, if above { -over } else { over }];
        [80.0 + c * x - s * y, 20.0 + s * x + c * y]
    };
    truth().into_iter().map(place).collect()
}

struct Scene {
    view: View,
    known: bool,
    chance: Chance,
}

impl Scene {
    fn new(seed: u64, tilt_deg: f64, known: bool) -> Self {
        let mut chance = Chance::new(seed);
        let hold = Hold {
            target: [80.0, 50.0],
            distance: chance.between(330.0, 550.0),
            tilt_deg,
            azimuth_deg: chance.between(0.0, 360.0),
            roll_deg: chance.between(-180.0, 180.0),
        };
        let view = View::new([4000, 3000], 3040.0, hold);
        Self {
            view,
            known,
            chance,
        }
    }

    fn table(&mut self, sd: f64) -> Wall {
        let [width, height] = self.view.size;
        let lens = Lens {
            focal_px: self.view.focal * (1.0 + 0.005 * self.chance.normal()),
            focal_sd_px: 0.005 * self.view.focal,
            center_px: self.view.center,
            k1: 0.0,
            k2: 0.0,
            k_sd: 0.005,
        };
        let corner = |mm: Point| {
            let px = self.chance.moved(self.view.see(mm), sd);
            Evidence::point(px, mm)
        };
        let evidence = CARD.map(corner).to_vec();
        let problem = WallProblem {
            lens: self.known.then_some(lens),
            point_sd_px: sd.max(0.5),
            wall_angle_deg: 90.0,
            ..WallProblem::new(ImageSize { width, height }, evidence)
        };
        fit_wall(&problem).unwrap()
    }

    fn tapped(&mut self, table: &Wall, edge: &[Point], sd: f64) -> Section {
        let tap = |mm: &Point| self.chance.moved(self.view.see(*mm), sd);
        let places: Vec<Point> = edge.iter().map(tap).collect();
        section(table, &places, sd).unwrap()
    }
}

fn worst(found: &Section, wanted: &[Point]) -> f64 {
    let pairs = found.points.iter().zip(wanted);
    let off = pairs.flat_map(|(a, b)| [0, 1].map(|k| (a[k] - b[k]).abs()));
    off.fold(0.0, f64::max)
}

#[test]
fn exact_marks_give_the_half_ellipse_from_any_side_and_either_end() {
    for (seed, tilt) in [0.0, 8.0, 20.0, 35.0].into_iter().enumerate() {
        let mut scene = Scene::new(seed as u64, tilt, true);
        let table = scene.table(0.0);
        for turn in [0.0, 0.4, 2.0, PI] {
            for above in [true, false] {
                let mut edge = on_table(turn, above);
                let found = scene.tapped(&table, &edge, 0.0);
                assert!(worst(&found, &truth()) < 0.2, "{tilt} {turn} {above}");
                assert!((found.length().0 - 2.0 * HALF).abs() < 0.2);
                assert!((found.highest().0 - HIGH).abs() < 0.1);
                edge.reverse();
                // A half ellipse is the same from both ends; half of one is not.
                let back = scene.tapped(&table, &edge, 0.0);
                assert!(worst(&back, &truth()) < 0.2);
                let part = &edge[..16];
                let (there, back) = (
                    scene.tapped(&table, part, 0.0),
                    scene.tapped(&table, &part.iter().rev().copied().collect::<Vec<_>>(), 0.0),
                );
                assert!(worst(&there.turned(), &back.points) < 1e-6);
                assert!(worst(&there, &back.points) > 1.0);
            }
        }
    }
}

#[test]
fn two_spreads_hold_the_heights() {
    for known in [true, false] {
        for tilt in [3.0, 15.0] {
            let (mut held, mut all, mut square, mut told) = (0, 0, 0.0, 0.0);
            for seed in 0..SCENES {
                let mut scene = Scene::new(1000 + seed, tilt, known);
                let turn = scene.chance.between(0.0, 2.0 * PI);
                let table = scene.table(MARKING_SD);
                let edge = on_table(turn, true);
                let found = scene.tapped(&table, &edge, MARKING_SD);
                let truth = truth();
                let between = 1..truth.len() - 1;
                for n in between {
                    let off = found.points[n][1] - truth[n][1];
                    held += u32::from(off.abs() < 1.96 * found.sd.0);
                    all += 1;
                    square += off * off;
                }
                told += found.sd.0.powi(2);
            }
            let held = f64::from(held) / f64::from(all);
            let off = (square / f64::from(all)).sqrt();
            let told = (told / SCENES as f64).sqrt();
            println!(
                "lens {}, tilt {tilt}: off {off:.2} mm, told {told:.2} mm, {:.1} % held",
                if known { "known" } else { "supposed" },
                100.0 * held
            );
            assert!((0.92..=0.99).contains(&held), "{held}");
            assert!((0.7..=1.4).contains(&(told / off)), "{told} {off}");
            assert!(off < 1.0, "{off}");
        }
    }
}
