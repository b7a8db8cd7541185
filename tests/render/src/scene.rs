//! An ornament, a reference beside it and a camera before them, by chance, with their truth.

use crate::Point;
use crate::chance::Chance;
use crate::surface::Place;
use crate::view::{Hold, View};
use std::f64::consts::TAU;

/// What lies beside the ornament as its measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// A bank card, by its corners.
    Card,
    /// A sheet of A4, by its corners.
    A4,
    /// A rule 30 mm wide, by five readings on each of its long edges.
    BroadRule,
    /// A carpenter's square, by five readings on each of its arms.
    Square,
    /// One edge of a rule, by thirteen readings.
    Rule,
    /// The same, held level to half a degree.
    LevelRule,
    /// The same, held plumb to half a degree.
    PlumbRule,
    /// Two marks 200 mm apart.
    TwoMarks,
}

impl Beside {
    /// The marks in the reference's own frame, whose zero is its middle.
    fn marks(self) -> Vec<Point> {
        let rectangle = |w: f64, h: f64| vec![[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        let (marks, middle) = match self {
            Self::Card => (rectangle(85.60, 53.98), [42.80, 26.99]),
            Self::A4 => (rectangle(297.0, 210.0), [148.5, 105.0]),
            Self::BroadRule => {
                let readings = [0.0, 75.0, 150.0, 225.0, 300.0];
                let edge = |y: f64| readings.map(|x| [x, y]);
                ([edge(0.0), edge(30.0)].concat(), [150.0, 15.0])
            }
            Self::Rule | Self::LevelRule | Self::PlumbRule => {
                let readings = (0..13).map(|i| [25.0 * f64::from(i), 0.0]);
                (readings.collect(), [150.0, 0.0])
            }
            Self::TwoMarks => (vec![[0.0, 0.0], [200.0, 0.0]], [100.0, 0.0]),
            Self::Square => {
                let long = [0.0, 75.0, 150.0, 225.0, 300.0].map(|x| [x, 0.0]);
                let short = [40.0, 80.0, 120.0, 160.0, 200.0].map(|y| [0.0, y]);
                ([long, short].concat(), [150.0, 100.0])
            }
        };
        marks
            .into_iter()
            .map(|m| [m[0] - middle[0], m[1] - middle[1]])
            .collect()
    }

    /// How it lies on the wall, in degrees from level.
    fn turn_deg(self, chance: &mut Chance) -> f64 {
        match self {
            Self::LevelRule => 0.5 * chance.normal(),
            Self::PlumbRule => 90.0 + 0.5 * chance.normal(),
            _ => chance.between(-8.0, 8.0),
        }
    }

    /// Its half diagonal, in millimetres.
    fn reach(self) -> f64 {
        self.marks()
            .iter()
            .map(|m| m[0].hypot(m[1]))
            .fold(0.0, f64::max)
    }
}

/// The truth of one photo.
#[derive(Clone, Debug)]
pub struct Scene {
    /// The camera.
    pub view: View,
    /// How far the camera was tilted, in degrees.
    pub tilt_deg: f64,
    /// The marks of the reference on the wall.
    pub marks: Vec<Point>,
    /// The ornament's outline on the wall, a polygon.
    pub outline: Vec<Point>,
}

/// The pictures of a phone: 12 megapixels, lying or standing.
const SIZES: [[u32; 2]; 2] = [[4000, 3000], [3000, 4000]];

impl Scene {
    /// A scene by chance, tilted by at most `most_tilt_deg`: an ornament of 100 to 400 mm, the
    /// reference 10 to 40 mm beside it, a phone's main camera (23 to 31 mm equivalent, k1 within
    /// 0.05, k2 within 0.02, principal point off by about 1 % of the longer side).
    pub fn by_chance(chance: &mut Chance, beside: Beside, most_tilt_deg: f64) -> Self {
        loop {
            let scene = Self::drawn(chance, beside, most_tilt_deg);
            let seen = |p: &Point| scene.view.holds(scene.view.see(*p), 20.0);
            if scene.marks.iter().chain(&scene.outline).all(seen) {
                return scene;
            }
        }
    }

    fn drawn(chance: &mut Chance, beside: Beside, most_tilt_deg: f64) -> Self {
        let size = SIZES[chance.whole(0, 2)];
        let longer = f64::from(size[0].max(size[1]));
        let radius = chance.between(50.0, 200.0);
        let corners = chance.whole(6, 20);
        let outline = (0..corners)
            .map(|i| {
                let (s, c) = (i as f64 / corners as f64 * TAU).sin_cos();
                let r = radius * chance.between(0.7, 1.0);
                [r * c, r * s]
            })
            .collect();
        let apart = radius + beside.reach() + chance.between(10.0, 40.0);
        let (s, c) = chance.between(0.0, TAU).sin_cos();
        let place = Place {
            origin: [apart * c, apart * s],
            turn_deg: beside.turn_deg(chance),
        };
        let marks = beside
            .marks()
            .into_iter()
            .map(|m| place.to_wall(m))
            .collect();
        let tilt_deg = chance.between(0.0, most_tilt_deg);
        // Both circles, side by side, fill a half to nine tenths of the picture.
        let across = radius + apart + beside.reach();
        let focal = longer * chance.between(0.66, 0.88);
        let distance = focal * across / (longer * chance.between(0.5, 0.9));
        let middle = (apart + beside.reach() - radius) / 2.0;
        let hold = Hold {
            target: [
                middle * c + 0.05 * across * chance.normal(),
                middle * s + 0.05 * across * chance.normal(),
            ],
            distance,
            tilt_deg,
            azimuth_deg: chance.between(0.0, 360.0),
            roll_deg: chance.between(-8.0, 8.0),
        };
        let mut view = View::new(size, focal, hold)
            .bent(chance.between(-0.05, 0.05), chance.between(-0.02, 0.02));
        view.center = chance.moved(view.center, 0.01 * longer);
        Self {
            view,
            tilt_deg,
            marks,
            outline,
        }
    }

    /// The ornament's true area, in mm².
    pub fn area(&self) -> f64 {
        let n = self.outline.len();
        let twice: f64 = (0..n)
            .map(|i| {
                let (a, b) = (self.outline[i], self.outline[(i + 1) % n]);
                a[0] * b[1] - b[0] * a[1]
            })
            .sum();
        twice.abs() / 2.0
    }

    /// The true length of the ornament's edge, in mm.
    pub fn perimeter(&self) -> f64 {
        let n = self.outline.len();
        (0..n)
            .map(|i| {
                let (a, b) = (self.outline[i], self.outline[(i + 1) % n]);
                (b[0] - a[0]).hypot(b[1] - a[1])
            })
            .sum()
    }
}
