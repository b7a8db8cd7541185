//! A long piece on two and on three photos, joined by places that both show: the union's area
//! against the truth, and its range. Scenes by chance with fixed seeds; geometry only, since the
//! joining sees no pixels.

use peelcast::survey::{
    EdgeError, Evidence, ImageSize, Lens, Part, Tie, WallProblem, fit_wall, joined, tied,
};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::view::{Hold, View};

const SCENES: u64 = 150;
const MARKING_SD: f64 = 1.5;

/// The piece: 1500 mm long for each further photo, about 180 mm high, its edge in waves.
fn edge(length: f64) -> impl Fn(f64) -> [f64; 2] {
    move |x| {
        let wave = 12.0 * (x / 90.0).sin();
        [-90.0 + wave, 90.0 + wave * (length / (length + x))]
    }
}

/// The part of the piece from `from` to `to`, as a ring.
fn part(length: f64, from: f64, to: f64) -> Vec<Point> {
    let edge = edge(length);
    let steps = ((to - from) / 20.0).round() as usize;
    let at = |i: usize| from + (to - from) * i as f64 / steps as f64;
    let above = (0..=steps).map(|i| [at(i), edge(at(i))[0]]);
    let below = (0..=steps).rev().map(|i| [at(i), edge(at(i))[1]]);
    above.chain(below).collect()
}

fn area(ring: &[Point]) -> f64 {
    let n = ring.len();
    let cross = |i: usize| {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        a[0] * b[1] - b[0] * a[1]
    };
    (0..n).map(cross).sum::<f64>().abs() / 2.0
}

/// Error as a share of the truth, and whether the range held it.
fn measured(seed: u64, photos: usize) -> (f64, bool) {
    let mut chance = Chance::new(seed);
    let span = 700.0;
    let length = span * photos as f64;
    let truth = area(&part(length, 0.0, length));
    let size = [4000, 3000];
    let mut parts: Vec<Part> = Vec::new();
    let mut views: Vec<View> = Vec::new();
    for i in 0..photos {
        let from = (span * i as f64 - 60.0).max(0.0);
        let to = (span * (i + 1) as f64 + 60.0).min(length);
        let hold = Hold {
            target: [(from + to) / 2.0, 20.0],
            distance: chance.between(1150.0, 1300.0),
            tilt_deg: chance.between(0.0, 15.0),
            azimuth_deg: chance.between(0.0, 360.0),
            roll_deg: chance.between(-4.0, 4.0),
        };
        let view = View::new(size, 3040.0, hold).bent(chance.between(-0.02, 0.02), 0.0);
        let lens = Lens {
            focal_px: view.focal * (1.0 + 0.005 * chance.normal()),
            focal_sd_px: 0.005 * view.focal,
            center_px: view.center,
            k1: view.k1 + 0.005 * chance.normal(),
            k2: 0.0,
            k_sd: 0.005,
        };
        let image_size_px = ImageSize {
            width: size[0],
            height: size[1],
        };
        let mut mark = |view: &View, mm: Point| chance.moved(view.see(mm), MARKING_SD);
        // A sheet of A4 below the first part.
        let sheet = [
            [200.0, 160.0],
            [497.0, 160.0],
            [497.0, 370.0],
            [200.0, 370.0],
        ];
        let (evidence, ties) = match views.last() {
            None => {
                let evidence = sheet.map(|mm| Evidence::point(mark(&view, mm), mm));
                (evidence.to_vec(), Vec::new())
            }
            Some(before) => {
                let x = span * i as f64;
                let shared =
                    [-50.0, 0.0, 50.0].map(|d| [[x + d, -140.0 + d / 5.0], [x + d, 210.0]]);
                let ties = shared.into_iter().flatten().map(|mm| Tie {
                    here: mark(&view, mm),
                    there: mark(before, mm),
                });
                (Vec::new(), ties.collect())
            }
        };
        let problem = WallProblem {
            lens: Some(lens),
            point_sd_px: MARKING_SD,
            ..WallProblem::new(image_size_px, evidence)
        };
        let wall = match parts.last() {
            None => fit_wall(&problem),
            Some(before) => tied(&before.wall, &problem, &ties),
        };
        let outline = part(length, from, to);
        let outline = outline.into_iter().map(|mm| mark(&view, mm)).collect();
        parts.push(Part {
            wall: wall.unwrap(),
            ties,
            outline,
            holes: Vec::new(),
            neighbours: Vec::new(),
            marking_sd_px: MARKING_SD,
            traced: EdgeError::points(MARKING_SD),
        });
        views.push(view);
    }
    let found = joined(&parts).unwrap();
    let held = (found.area.low95.0..=found.area.high95.0).contains(&truth);
    (found.area.value.0 / truth - 1.0, held)
}

#[test]
fn the_range_of_a_joined_piece_holds_the_truth() {
    for photos in [2, 3] {
        let found: Vec<_> = (0..SCENES).map(|seed| measured(seed, photos)).collect();
        let mut errors: Vec<f64> = found.iter().map(|f| 100.0 * f.0.abs()).collect();
        errors.sort_by(f64::total_cmp);
        let held = found.iter().filter(|f| f.1).count() as f64 / SCENES as f64;
        let at = |share: f64| errors[(share * (errors.len() - 1) as f64) as usize];
        println!(
            "{photos} photos: median {:.2} %, 95th percentile {:.2} %, range true in {:.1} %",
            at(0.5),
            at(0.95),
            100.0 * held
        );
        assert!((0.9..=0.995).contains(&held), "{held}");
    }
}
