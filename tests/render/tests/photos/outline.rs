//! Does the range hold the truth when a smooth and a cornered ornament are traced with few points
//! or many? The wall is as good as known; points are off each by itself, neighbours together, and
//! all together, as [`EdgeError::traced`] says. Scenes by chance with fixed seeds.

use peelcast::survey::{
    EdgeError, Evidence, ImageSize, Lens, Px, Wall, WallProblem, fit_wall, footprint,
};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use std::f64::consts::TAU;

const SIZE: ImageSize = ImageSize {
    width: 4000,
    height: 3000,
};
/// A careful thumb's spread on a picture of this size.
const POINT_SD: f64 = 2.5;
const SCENES: u64 = 300;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Shape {
    /// A rosette's or a leaf's edge, traced at about even distances.
    Smooth,
    /// Four to twelve corners, each of them marked, the other points along the straights.
    Cornered,
}

/// Square on, a fifth of a millimetre a pixel, marked so well that it adds nothing.
fn wall() -> Wall {
    let corners = [
        [100.0, 100.0],
        [3900.0, 100.0],
        [3900.0, 2900.0],
        [100.0, 2900.0],
    ];
    let marks = corners.map(|px| Evidence::point(px, px.map(|c| c / 5.0)));
    fit_wall(&WallProblem {
        lens: Some(Lens {
            focal_px: 3000.0,
            focal_sd_px: 0.001,
            center_px: SIZE.middle(),
            k1: 0.0,
            k2: 0.0,
            k_sd: 1e-6,
        }),
        point_sd_px: 0.001,
        ..WallProblem::new(SIZE, marks.to_vec())
    })
    .expect("four corners fix the wall")
}

fn smooth(chance: &mut Chance) -> Vec<Point> {
    let waves: Vec<[f64; 3]> = (2..8)
        .map(|k| {
            let k = f64::from(k);
            [
                k,
                0.35 * chance.normal() / k.powf(1.6),
                chance.between(0.0, TAU),
            ]
        })
        .collect();
    let flat = chance.between(0.5, 1.0);
    (0..4000)
        .map(|i| {
            let angle = f64::from(i) / 4000.0 * TAU;
            let wave: f64 = waves
                .iter()
                .map(|[k, a, p]| a * (k * angle + p).cos())
                .sum();
            let r = (1.0 + wave).max(0.15);
            [r * angle.cos(), flat * r * angle.sin()]
        })
        .collect()
}

fn cornered(chance: &mut Chance, most: usize) -> Vec<Point> {
    let corners = chance.whole(4, most.min(12) + 1);
    let flat = chance.between(0.5, 1.0);
    (0..corners)
        .map(|i| {
            let angle = (i as f64 + chance.between(-0.3, 0.3)) / corners as f64 * TAU;
            let r = chance.between(0.75, 1.25);
            [r * angle.cos(), flat * r * angle.sin()]
        })
        .collect()
}

fn area(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let twice: f64 = ring
        .iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - a[1] * b[0])
        .sum();
    twice.abs() / 2.0
}

fn lengths(ring: &[Point]) -> Vec<f64> {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
        .collect()
}

/// So many points of the ring at about even distances.
fn spaced(ring: &[Point], count: usize, chance: &mut Chance) -> Vec<Point> {
    let lengths = lengths(ring);
    let whole: f64 = lengths.iter().sum();
    let step = whole / count as f64;
    let mut goals = (0..count).map(|i| (i as f64 + 0.5 + chance.between(-0.2, 0.2)) * step);
    let (mut points, mut at, mut goal) = (Vec::new(), 0.0, goals.next());
    for (i, length) in lengths.iter().enumerate() {
        while let Some(there) = goal.filter(|there| *there < at + length) {
            let share = (there - at) / length;
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            points.push([0, 1].map(|k| a[k] + share * (b[k] - a[k])));
            goal = goals.next();
        }
        at += length;
    }
    points
}

/// All corners, and the other points along the longest straights.
fn at_corners(ring: &[Point], count: usize) -> Vec<Point> {
    let lengths = lengths(ring);
    let mut parts = vec![1_usize; ring.len()];
    for _ in ring.len()..count {
        let piece = |i: &usize| lengths[*i] / parts[*i] as f64;
        let longest = (0..ring.len()).max_by(|a, b| piece(a).total_cmp(&piece(b)));
        parts[longest.expect("a ring has points")] += 1;
    }
    let along = |i: usize| {
        let (a, b, n) = (ring[i], ring[(i + 1) % ring.len()], parts[i]);
        (0..n).map(move |j| [0, 1].map(|k| a[k] + j as f64 / n as f64 * (b[k] - a[k])))
    };
    (0..ring.len()).flat_map(along).collect()
}

/// The points as they are set: pushed across the edge together, and each by itself.
fn set(ring: &[Px], error: &EdgeError, chance: &mut Chance) -> Vec<Px> {
    let lengths = lengths(ring);
    let reach = error.drift_reach * lengths.iter().sum::<f64>();
    let n = ring.len();
    let mut drift = vec![chance.normal()];
    // A walk that forgets along the edge; a round before the first point closes it well enough.
    for i in 0..2 * n {
        let kept = (-lengths[i % n] / reach).exp();
        let next = kept * drift[i] + (1.0 - kept * kept).sqrt() * chance.normal();
        drift.push(next);
    }
    let whole = chance.normal();
    (0..n)
        .map(|i| {
            let (a, b) = (ring[(i + n - 1) % n], ring[(i + 1) % n]);
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = d[0].hypot(d[1]);
            let push = error.drift_px * drift[n + i] + error.whole_px * whole;
            let moved = [
                ring[i][0] + push * d[1] / length,
                ring[i][1] - push * d[0] / length,
            ];
            chance.moved(moved, error.point_px)
        })
        .collect()
}

#[test]
fn the_range_of_a_traced_outline_holds_the_ornament() {
    let (wall, error) = (wall(), EdgeError::traced(POINT_SD));
    println!("shape     points  polygon: median  measured: mean  median  95 %   held");
    let mut failures = Vec::new();
    for shape in [Shape::Smooth, Shape::Cornered] {
        for count in [8, 16, 32, 64] {
            let (mut plain, mut errors, mut mean, mut held) = (Vec::new(), Vec::new(), 0.0, 0);
            for seed in 0..SCENES {
                let mut chance = Chance::new(seed);
                // About 1000 pixels across, which is 200 mm.
                let in_picture = |p: &Point| [2000.0 + 500.0 * p[0], 1500.0 + 500.0 * p[1]];
                let (truth, points) = match shape {
                    Shape::Smooth => {
                        let ring = smooth(&mut chance);
                        (area(&ring), spaced(&ring, count, &mut chance))
                    }
                    Shape::Cornered => {
                        let ring = cornered(&mut chance, count);
                        (area(&ring), at_corners(&ring, count))
                    }
                };
                let points: Vec<Px> = points.iter().map(in_picture).collect();
                let outline = set(&points, &error, &mut chance);
                // Points that a thumb sets crosswise are refused, and set anew by the user.
                let Ok(found) = footprint(&wall, &outline, &[], error) else {
                    continue;
                };
                let truth = truth * 100.0 * 100.0;
                let off = found.area.value.0 / truth - 1.0;
                mean += off;
                errors.push(off.abs());
                plain.push((area(&outline) / 25.0 / truth - 1.0).abs());
                held += usize::from(found.area.low95.0 <= truth && truth <= found.area.high95.0);
            }
            let n = errors.len();
            assert!(
                n as u64 > SCENES - 20,
                "{} outlines are refused",
                SCENES - n as u64
            );
            errors.sort_by(f64::total_cmp);
            plain.sort_by(f64::total_cmp);
            let held = held as f64 / n as f64;
            println!(
                "{:<8}  {count:>6}  {:>13.2} %  {:>12.2} %  {:.2} %  {:.2} %  {:.1} %",
                format!("{shape:?}"),
                100.0 * plain[n / 2],
                100.0 * mean / n as f64,
                100.0 * errors[n / 2],
                100.0 * errors[n * 95 / 100],
                100.0 * held,
            );
            // With eight points nothing tells a curve from corners; more must not overdo it.
            let most = if count < 16 { 1.0 } else { 0.99 };
            if !(0.91..=most).contains(&held) {
                failures.push(format!("{shape:?}, {count} points: held in {held}"));
            }
            // What is added for curves must make smooth outlines truer.
            if shape == Shape::Smooth && count <= 32 && errors[n / 2] > plain[n / 2] {
                failures.push(format!("{count} points: no truer than the polygon"));
            }
        }
    }
    assert!(failures.is_empty(), "{failures:#?}");
}
