//! Taps beside an ornament's edge, settled and joined along it, in drawn photos of known truth.
//!
//! The ornament stands 4 mm before the wall, with upright sides and lobes, in the wall's own
//! plaster or painted a little darker; a lamp at a slant lays a shadow on one side of it. What is
//! pale against the wall must be left as it was tapped, not put somewhere else.

use crate::plaster::{PLASTER, SIZE, Setting, photographed};
use peelcast::survey::{GreyView, Px, settle, trace};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::surface::Thing;
use std::f64::consts::TAU;

/// A thumb's standard deviation, as a share of the ornament's size (the root of its area).
const THUMB: f64 = 0.004;
/// How far the edge is looked for, as a share of it.
const REACH: f64 = 0.012;
const DRAWS: u64 = 6;

/// A photo's brightness and the true outline in it.
struct Scene {
    grey: Vec<u8>,
    truth: Vec<Px>,
}

/// The ornament in light from a lamp, its own colour `tone` of the wall's.
fn scene(tone: f64, lamp: [f64; 3], tilt_deg: f64, quality: u8) -> Scene {
    let outline: Vec<Point> = (0..240)
        .map(|i| {
            let a = f64::from(i) / 240.0 * TAU;
            let r = 85.0 * (1.0 + 0.13 * (5.0 * a).cos() + 0.05 * (2.0 * a + 1.0).sin());
            [1.25 * r * a.cos(), r * a.sin()]
        })
        .collect();
    let ornament = Thing::Block {
        outline: outline.clone(),
        colour: PLASTER.map(|c| c * tone),
        height: 4.0,
    };
    let setting = Setting {
        lamp,
        tilt_deg,
        seed: 1,
    };
    let (photo, view) = photographed(vec![ornament], &setting);
    Scene {
        grey: photo.developed(quality),
        truth: outline.iter().map(|p| view.see(*p)).collect(),
    }
}

impl Scene {
    fn view(&self) -> GreyView<'_> {
        GreyView {
            width: SIZE[0],
            height: SIZE[1],
            data: &self.grey,
        }
    }

    /// How far a place lies from the true outline, in pixels.
    fn off(&self, p: Px) -> f64 {
        let n = self.truth.len();
        let ends = |i: usize| (self.truth[i], self.truth[(i + 1) % n]);
        (0..n)
            .map(|i| {
                let (a, b) = ends(i);
                let (d, e) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
                let t = (d[0] * e[0] + d[1] * e[1]) / (d[0] * d[0] + d[1] * d[1]);
                let t = t.clamp(0.0, 1.0);
                (e[0] - t * d[0]).hypot(e[1] - t * d[1])
            })
            .fold(f64::INFINITY, f64::min)
    }

    /// Taps of an unsteady thumb, about evenly along the edge.
    fn taps(&self, count: usize, seed: u64) -> Vec<Px> {
        let mut chance = Chance::new(seed);
        let thumb = THUMB * area(&self.truth).sqrt();
        let start = chance.between(0.0, 1.0);
        (0..count)
            .map(|i| {
                let share = (i as f64 + start + chance.between(-0.25, 0.25)) / count as f64;
                let at = share.rem_euclid(1.0) * self.truth.len() as f64;
                let px = self.truth[at as usize % self.truth.len()];
                px.map(|c| c + thumb * chance.normal())
            })
            .collect()
    }
}

fn area(ring: &[Px]) -> f64 {
    let n = ring.len();
    let twice = |i: usize| {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        a[0] * b[1] - a[1] * b[0]
    };
    ((0..n).map(twice).sum::<f64>() / 2.0).abs()
}

/// The middle one, and the one that nine of ten do not pass.
fn middle_and_most(mut errors: Vec<f64>) -> [f64; 2] {
    errors.sort_by(f64::total_cmp);
    [errors.len() / 2, errors.len() * 9 / 10].map(|i| errors.get(i).copied().unwrap_or(0.0))
}

#[test]
fn taps_are_settled_and_joined_along_the_edge() {
    println!("area's error, median (9 of 10), and places' distance from the edge in pixels");
    let lamps = [
        ([-900.0, -300.0, 700.0], 18.0),
        ([-60.0, -100.0, 1200.0], 10.0),
    ];
    let mut failed = Vec::new();
    for (name, tone) in [("own plaster", 1.0), ("painted", 0.93)] {
        for (light, (lamp, tilt)) in lamps.into_iter().enumerate() {
            let scene = scene(tone, lamp, tilt, if light == 0 { 70 } else { 88 });
            let truth = area(&scene.truth);
            let wrong = |ring: &[Px]| (area(ring) / truth - 1.0).abs();
            for count in [16, 32] {
                let mut errors = [Vec::new(), Vec::new(), Vec::new()];
                let (mut before, mut after, mut scores) = (Vec::new(), Vec::new(), Vec::new());
                let mut straight = 0;
                for draw in 0..DRAWS {
                    let taps = scene.taps(count, 100 * draw + 1);
                    let reach = REACH * truth.sqrt();
                    let mut settled = taps.clone();
                    let found = settle(&scene.view(), &taps, true, reach);
                    for (px, found) in settled.iter_mut().zip(found) {
                        if let Some(found) = found {
                            before.push(scene.off(*px));
                            after.push(scene.off(found.px));
                            scores.push(scene.off(found.px) / found.sd_px);
                            *px = found.px;
                        }
                    }
                    let mut traced = vec![settled[0]];
                    for i in 1..=count {
                        let (from, to) = (traced[traced.len() - 1], settled[i % count]);
                        match trace(&scene.view(), from, to) {
                            Ok(path) => traced.extend(path),
                            Err(_) => {
                                traced.push(to);
                                straight += 1;
                            }
                        }
                    }
                    traced.pop();
                    for (errors, ring) in errors.iter_mut().zip([&taps, &settled, &traced]) {
                        errors.push(wrong(ring));
                    }
                }
                let moved = after.len() as f64 / (count as f64 * DRAWS as f64);
                let [plain, settled, traced] = errors.map(middle_and_most);
                let (before, after) = (middle_and_most(before), middle_and_most(after));
                // Of normal errors half are smaller than 0.674 standard deviations.
                let score = middle_and_most(scores)[0] / 0.674;
                let percent = |e: [f64; 2]| format!("{:.2} ({:.2}) %", e[0] * 100.0, e[1] * 100.0);
                let line = format!(
                    "{name:<11} light {light}, {count} taps: plain {}, settled {}, traced {}; \
                     {:.0} % settled, {:.2} ({:.2}) to {:.2} ({:.2}) px, {score:.1} sd; \
                     {straight} of {} straight",
                    percent(plain),
                    percent(settled),
                    percent(traced),
                    moved * 100.0,
                    before[0],
                    before[1],
                    after[0],
                    after[1],
                    count as u64 * DRAWS,
                );
                println!("{line}");
                // Between exact points a polygon still cuts a curved edge short, by 1.3 % with 32 of
                // them; what a thumb is off may make good for some of that by chance.
                let sound = traced[0] < 0.012
                    && traced[0] < plain[0] * 0.8
                    && settled[0] < plain[0] + 0.007
                    && moved > 0.5
                    && after[0] < 0.7 * before[0]
                    && score < 3.0;
                if !sound {
                    failed.push(line);
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
