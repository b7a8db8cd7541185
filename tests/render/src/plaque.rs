//! An oval plaque of our own drawing: a moulded rim, a ring of beads, a rosette and two florets.

use crate::Point;
use crate::surface::{Skin, layered};
use std::f64::consts::{PI, TAU};

/// The plaque; its outline is an ellipse.
#[derive(Clone, Copy, Debug)]
pub struct Plaque {
    /// Its middle on the wall, in millimetres.
    pub middle: Point,
    /// Half its width and half its height, in millimetres.
    pub half: Point,
    /// Its colour.
    pub colour: [f64; 3],
}

/// Where the parts of the rim end, in millimetres from the outline.
const FILLET: f64 = 3.0;
const TORUS: f64 = 15.0;
const GROOVE: f64 = 17.0;
const CAVETTO: f64 = 25.0;
const BEADS: f64 = 33.0;
/// Height of the sunk field.
const FIELD: f64 = 1.6;

impl Plaque {
    /// Its true area, in mm².
    pub fn area(&self) -> f64 {
        PI * self.half[0] * self.half[1]
    }

    /// The true length of its edge, in mm.
    pub fn perimeter(&self) -> f64 {
        arc_length(self.half)
    }

    /// Its highest point above the wall, in mm, to a tenth.
    pub fn highest(&self) -> f64 {
        let middle = [0, 1].map(|axis| (-self.half[axis] as i32, self.half[axis] as i32));
        let heights = (middle[0].0..=middle[0].1)
            .flat_map(|x| (middle[1].0..=middle[1].1).map(move |y| [f64::from(x), f64::from(y)]))
            .filter_map(|p| self.at([p[0] + self.middle[0], p[1] + self.middle[1]]));
        let highest = heights.map(|skin| skin.height).fold(0.0, f64::max);
        (highest * 10.0).round() / 10.0
    }

    /// A point of the outline, `turn` being from 0 to 1 clockwise from the right.
    pub fn edge(&self, turn: f64) -> Point {
        let (s, c) = (turn * TAU).sin_cos();
        [
            self.middle[0] + self.half[0] * c,
            self.middle[1] + self.half[1] * s,
        ]
    }

    /// Colour and height where it covers the wall.
    pub fn at(&self, wall: Point) -> Option<Skin> {
        let p = [wall[0] - self.middle[0], wall[1] - self.middle[1]];
        let inward = depth(p, self.half);
        if inward < 0.0 {
            return None;
        }
        let height = rim(inward)
            .max(self.beads(p, inward))
            .max(if inward > BEADS { ornament(p) } else { 0.0 });
        let age = layered([p[0] * 0.05, p[1] * 0.05], 4, 57);
        // Limewash is thicker in the hollows and worn on the high places.
        let worn = 1.0 + 0.035 * age + 0.010 * (height - 5.0).clamp(-4.0, 6.0);
        Some(Skin {
            colour: self.colour.map(|c| c * worn),
            height: height + 0.10 * age,
        })
    }

    /// A ring of beads, evenly spaced along an ellipse.
    fn beads(&self, p: Point, inward: f64) -> f64 {
        let middle = (CAVETTO + BEADS) / 2.0;
        if (inward - middle).abs() > 4.0 {
            return 0.0;
        }
        let ring = self.half.map(|h| h - middle);
        let along = arc(p, ring);
        let count = (arc_length(ring) / 8.6).round();
        let apart = arc_length(ring) / count;
        let t = (along / apart).fract() - 0.5;
        let (dx, dy) = (t * apart, inward - middle);
        let bead = 3.4_f64.powi(2) - dx * dx - dy * dy;
        if bead > 0.0 { 2.0 + bead.sqrt() } else { 0.0 }
    }
}

/// How far inside the ellipse a place lies, in millimetres: exact at the edge and on both axes,
/// near enough between.
fn depth(p: Point, half: Point) -> f64 {
    let root = (p[0] / half[0]).hypot(p[1] / half[1]);
    let slope = (p[0] / half[0].powi(2)).hypot(p[1] / half[1].powi(2));
    (1.0 - root) * root.max(1e-9) / slope.max(1e-9)
}

/// The rim's section: fillet, torus, groove, cavetto, field.
fn rim(inward: f64) -> f64 {
    let arch = |from: f64, to: f64, low: f64, high: f64| {
        let t = 2.0 * (inward - from) / (to - from) - 1.0;
        low + (high - low) * (1.0 - t * t).max(0.0).sqrt()
    };
    match inward {
        d if d < FILLET => 4.0 * (d / 0.8).min(1.0),
        d if d < TORUS => arch(FILLET, TORUS, 4.0, 10.0),
        d if d < GROOVE => 3.4,
        d if d < CAVETTO => {
            let t = (d - GROOVE) / (CAVETTO - GROOVE);
            FIELD + 5.6 * (1.0 - (2.0 * t - t * t).max(0.0).sqrt())
        }
        _ => FIELD,
    }
}

/// What stands in the field.
fn ornament(p: Point) -> f64 {
    let rosette = rosette(p, 41.0);
    let floret = [-1.0, 1.0]
        .map(|side| palmette([side * p[0] - 47.0, p[1]]))
        .into_iter()
        .fold(0.0, f64::max);
    rosette.max(floret)
}

fn rosette(p: Point, reach: f64) -> f64 {
    let (r, angle) = (p[0].hypot(p[1]), p[1].atan2(p[0]));
    if r > reach + 1.0 {
        return 0.0;
    }
    let outer = petals(r, angle + PI / 8.0, 8.0, reach, 1.05, 4.6);
    let inner = petals(r, angle, 8.0, reach * 0.66, 1.12, 6.8);
    let boss = {
        let dome = 7.5_f64.powi(2) - r * r;
        if dome > 0.0 {
            5.2 + 0.75 * dome.sqrt()
        } else {
            0.0
        }
    };
    let collar = {
        let along = (angle / TAU * 16.0).fract().abs() - 0.5;
        let dx = along * TAU / 16.0 * 10.2;
        let bead = 1.75_f64.powi(2) - dx * dx - (r - 10.2).powi(2);
        if bead > 0.0 { 6.2 + bead.sqrt() } else { 0.0 }
    };
    outer.max(inner).max(boss).max(collar)
}

/// A ring of petals: each swells, carries a vein and two side folds, and curls at its tip.
fn petals(r: f64, angle: f64, count: f64, reach: f64, wide: f64, high: f64) -> f64 {
    let share = TAU / count;
    let off = (angle / share).rem_euclid(1.0) - 0.5;
    let t = r / reach;
    if t > 1.0 {
        return 0.0;
    }
    // Half the width in turns of one share: narrow at the root, widest past the middle, a
    // pointed tip.
    let half = 0.5 * wide * (PI * t.powf(1.25)).sin().max(0.0).powf(0.55).min(1.0);
    let half = half.max(0.30 * (1.0 - t));
    let x = off / half.max(1e-6);
    if x.abs() > 1.0 {
        return 0.0;
    }
    let swell = (1.0 - x * x).sqrt();
    let vein = -0.9 * (-(x / 0.10).powi(2)).exp() * (1.0 - t).min(0.8);
    let fold = 0.5 * (-((x.abs() - 0.52) / 0.14).powi(2)).exp() * (PI * t).sin();
    let dish = 1.0 - 0.55 * (PI * t).sin() * (1.0 - x * x);
    let curl = 1.5 * ((t - 0.72) / 0.28).max(0.0).powi(2);
    FIELD + high * swell.powf(0.6) * (0.55 + 0.45 * dish) + vein + fold + curl
}

/// A small fan of five leaves, opening outwards from its root.
fn palmette(p: Point) -> f64 {
    let (r, angle) = (p[0].hypot(p[1]), p[1].atan2(p[0]));
    let mut height: f64 = 0.0;
    for leaf in -2..=2_i32 {
        let lean = f64::from(leaf) * 0.62;
        let length = 22.0 - 3.2 * f64::from(leaf.abs());
        let turn = angle - lean;
        let (along, across) = (r * turn.cos(), r * turn.sin());
        let t = along / length;
        if !(0.0..=1.0).contains(&t) {
            continue;
        }
        let half = 4.4 * (PI * t.powf(1.5)).sin().max(0.0).powf(0.6) + 0.4;
        let x = across / half;
        if x.abs() < 1.0 {
            let vein = -0.7 * (-(x / 0.16).powi(2)).exp();
            height = height.max(FIELD + 3.6 * (1.0 - x * x).powf(0.5) + vein + 0.8 * t);
        }
    }
    let knob = 4.2_f64.powi(2) - r * r;
    height.max(if knob > 0.0 {
        FIELD + 1.5 + knob.sqrt()
    } else {
        0.0
    })
}

/// Steps by which an ellipse's arc is summed.
const STEPS: u32 = 240;

/// From the right along the ellipse to the direction of `p`, in millimetres.
fn arc(p: Point, half: Point) -> f64 {
    let to = (p[1] / half[1]).atan2(p[0] / half[0]).rem_euclid(TAU);
    summed(half, to)
}

fn arc_length(half: Point) -> f64 {
    summed(half, TAU)
}

fn summed(half: Point, to: f64) -> f64 {
    let step = to / f64::from(STEPS);
    (0..STEPS)
        .map(|i| {
            let (s, c) = ((f64::from(i) + 0.5) * step).sin_cos();
            (half[0] * s).hypot(half[1] * c) * step
        })
        .sum()
}
