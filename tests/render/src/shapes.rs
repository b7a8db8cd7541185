//! Reliefs from closed forms. All are made up.

use crate::Point;
use crate::field::Field;
use std::f64::consts::TAU;

/// From node to node of these reliefs, in millimetres.
const STEP: f64 = 0.25;

/// The relief of this name, its middle at zero; `None` if there is none.
pub fn named(name: &str) -> Option<Field> {
    Some(match name {
        "cap" => cap(50.0, 20.0),
        "torus" => drawn([76.0, 76.0], |p| half_torus(p, 60.0, 14.0)),
        "box" => drawn([70.0, 50.0], |p| {
            if inside(p, [60.0, 40.0]) { 20.0 } else { 0.0 }
        }),
        "rosette" => drawn([80.0, 80.0], |p| rosette(p, 26.0)),
        "high-rosette" => drawn([80.0, 80.0], |p| rosette(p, 38.0)),
        "eggcrate" => drawn([72.0, 72.0], eggcrate),
        "cartouche" => drawn([82.0, 58.0], cartouche),
        _ => return None,
    })
}

/// A cap of a ball of this radius, so high.
pub fn cap(radius: f64, high: f64) -> Field {
    let foot = (high * (2.0 * radius - high)).sqrt();
    drawn([foot + 2.0; 2], |[x, y]| {
        (radius * radius - x * x - y * y).max(0.0).sqrt() - (radius - high)
    })
}

/// A table of the positive heights within half a width and half a height.
fn drawn(half: Point, height: impl Fn(Point) -> f64) -> Field {
    // Nodes lie half a step beside the axes, so that straight sides fall between nodes.
    let [columns, rows] = half.map(|h| 2 * (h / STEP).round() as usize);
    let origin = half.map(|h| STEP / 2.0 - (h / STEP).round() * STEP);
    let heights: Vec<f32> = (0..columns * rows)
        .map(|i| {
            let (c, r) = ((i % columns) as f64, (i / columns) as f64);
            height([origin[0] + c * STEP, origin[1] + r * STEP]).max(0.0) as f32
        })
        .collect();
    Field::new(origin, STEP, columns, rows, &heights)
}

fn inside(p: Point, half: Point) -> bool {
    p[0].abs() < half[0] && p[1].abs() < half[1]
}

/// The upper half of a ring, lying on the wall.
fn half_torus(p: Point, radius: f64, thick: f64) -> f64 {
    let across = p[0].hypot(p[1]) - radius;
    (thick * thick - across * across).max(0.0).sqrt()
}

/// Leaves in two wreaths round a boss, on a disc with a lobed rim.
fn rosette(p: Point, high: f64) -> f64 {
    let (far, angle) = (p[0].hypot(p[1]), p[1].atan2(p[0]));
    let lobes = 8.0;
    let rim = 70.0 + 4.0 * (lobes * angle).cos();
    if far >= rim {
        return 0.0;
    }
    let disc = 0.16 * high * (1.0 - 0.5 * (far / rim).powi(4));
    let leaf = |turn: f64, middle: f64, half: Point, rise: f64| {
        // Into the nearest leaf's own frame: along it and across it.
        let own = angle - ((angle - turn) / TAU * lobes).round() * TAU / lobes - turn;
        let (along, across) = (far * own.cos() - middle, far * own.sin());
        let q = 1.0 - (along / half[0]).powi(2) - (across / half[1]).powi(2);
        if q <= 0.0 {
            return 0.0;
        }
        let vein = 1.0 - 0.22 * (-(across / 1.6).powi(2)).exp();
        rise * high * q.powf(0.7) * vein
    };
    let outer = leaf(0.0, 46.0, [24.0, 15.0], 0.46);
    let inner = leaf(TAU / lobes / 2.0, 26.0, [17.0, 9.0], 0.62);
    let boss = 0.84 * high * (1.0 - (far / 15.0).powi(2)).max(0.0).sqrt();
    disc + outer.max(inner).max(boss)
}

/// Eggs in rows and columns on a square block.
fn eggcrate(p: Point) -> f64 {
    let wave = |x: f64| (TAU * x / 35.0).cos();
    if inside(p, [70.0, 70.0]) {
        10.0 + 6.0 * wave(p[0]) * wave(p[1])
    } else {
        0.0
    }
}

/// A low shield with a raised rim and a swelling field.
fn cartouche(p: Point) -> f64 {
    let q = (p[0].abs() / 80.0).powf(2.6) + (p[1].abs() / 56.0).powf(2.6);
    let depth = 1.0 - q;
    if depth <= 0.0 {
        return 0.0;
    }
    let rim = 5.0 * (-((depth - 0.14) / 0.09).powi(2)).exp();
    let swell = 6.5 * (depth - 0.2).max(0.0).powf(0.8);
    1.5 + rim + swell
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn near(found: f64, truth: f64, share: f64) {
        assert!((found / truth - 1.0).abs() < share, "{found} for {truth}");
    }

    /// Mensuration of the spherical cap: base π h (2R - h), mantle 2 π R h, volume
    /// π h² (3R - h) / 3.
    #[test]
    fn a_cap_measures_what_geometry_says() {
        let found = cap(50.0, 20.0).measures();
        near(found.footprint, PI * 20.0 * 80.0, 0.015);
        near(found.surface, TAU * 50.0 * 20.0, 0.01);
        near(found.volume, PI * 400.0 * 130.0 / 3.0, 0.001);
        near(found.highest, 20.0, 0.001);
    }

    #[test]
    fn a_box_counts_its_sides() {
        let found = named("box").unwrap().measures();
        near(found.footprint, 120.0 * 80.0, 0.006);
        near(found.surface, 120.0 * 80.0 + 400.0 * 20.0, 0.004);
        near(found.volume, 120.0 * 80.0 * 20.0, 0.001);
    }

    /// The outline of a ring encloses the wall in its middle.
    #[test]
    fn a_ring_is_covered_to_its_middle() {
        let found = named("torus").unwrap().measures();
        near(found.footprint, PI * 74.0 * 74.0, 0.01);
        let half = PI * 14.0 * TAU * 60.0;
        near(found.surface, half + PI * 46.0 * 46.0, 0.01);
        near(found.volume, PI * 14.0 * 14.0 / 2.0 * TAU * 60.0, 0.005);
    }

    #[test]
    fn each_has_its_height() {
        for (name, high) in [
            ("rosette", 26.0),
            ("high-rosette", 38.0),
            ("eggcrate", 16.0),
            ("cartouche", 7.0),
        ] {
            near(named(name).unwrap().highest(), high, 0.1);
        }
    }
}
