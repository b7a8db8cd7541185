//! What is seen: colour and height at each place on the wall.

use crate::Point;
use crate::plaque::Plaque;

/// Colour (share of the light that comes back, red green blue) and height above the wall in
/// millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skin {
    /// Share of the light that comes back.
    pub colour: [f64; 3],
    /// Above the wall, in millimetres. It shades and shadows; the picture's geometry stays that
    /// of the wall plane.
    pub height: f64,
}

/// A right-handed frame on the wall: where a thing lies and how it is turned.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The thing's own zero, on the wall.
    pub origin: Point,
    /// Turned clockwise as seen, in degrees.
    pub turn_deg: f64,
}

impl Place {
    /// From the thing's own frame to the wall.
    pub fn to_wall(&self, own: Point) -> Point {
        let (s, c) = self.turn_deg.to_radians().sin_cos();
        [
            self.origin[0] + c * own[0] - s * own[1],
            self.origin[1] + s * own[0] + c * own[1],
        ]
    }

    /// From the wall to the thing's own frame.
    pub fn to_own(&self, wall: Point) -> Point {
        let (s, c) = self.turn_deg.to_radians().sin_cos();
        let d = [wall[0] - self.origin[0], wall[1] - self.origin[1]];
        [c * d[0] + s * d[1], c * d[1] - s * d[0]]
    }
}

/// A thing on the wall.
#[derive(Clone, Debug)]
pub enum Thing {
    /// A blank card with round corners, its zero at its upper left corner.
    Card {
        /// Where it lies.
        place: Place,
        /// From left to right and from top to bottom, in millimetres.
        size: Point,
        /// Radius of its corners, in millimetres.
        corner: f64,
        /// Its colour.
        colour: [f64; 3],
    },
    /// A strip of paper tape, its zero in its middle.
    Tape {
        /// Where it lies.
        place: Place,
        /// Length and width, in millimetres.
        size: Point,
    },
    /// A worn rule with fine ticks along its upper edge and figures below them; its zero at
    /// reading 0 on that edge.
    Scale {
        /// Where it lies.
        place: Place,
        /// Length, in millimetres.
        length: f64,
        /// From edge to edge, in millimetres.
        width: f64,
        /// How its ticks are divided.
        division: Fine,
        /// How much of its paint is gone and how far its shine hides the rest, from 0 to 1.
        wear: f64,
    },
    /// A flat plate with straight edges and a bevel.
    Plate {
        /// Its corners on the wall.
        outline: Vec<Point>,
        /// Its colour.
        colour: [f64; 3],
        /// Its height, in millimetres.
        height: f64,
    },
    /// A flat piece with upright sides: its edge is seen where it is.
    Block {
        /// Its corners on the wall.
        outline: Vec<Point>,
        /// Its colour.
        colour: [f64; 3],
        /// Its height, in millimetres.
        height: f64,
    },
    /// A moulded oval plaque with a rosette.
    Plaque(Plaque),
}

/// How a rule is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fine {
    /// Millimetres.
    Millimetres,
    /// Sixteenths of an inch.
    Sixteenths,
}

impl Fine {
    /// From tick to tick, in millimetres.
    pub fn step(self) -> f64 {
        match self {
            Self::Millimetres => 1.0,
            Self::Sixteenths => 25.4 / 16.0,
        }
    }

    /// The length of a tick, in millimetres.
    fn tick(self, number: i64) -> f64 {
        let by = |n: i64| number % n == 0;
        match self {
            Self::Millimetres if by(10) => 6.5,
            Self::Millimetres if by(5) => 5.0,
            Self::Millimetres => 3.5,
            Self::Sixteenths if by(16) => 8.0,
            Self::Sixteenths if by(8) => 6.3,
            Self::Sixteenths if by(4) => 4.9,
            Self::Sixteenths if by(2) => 3.7,
            Self::Sixteenths => 2.7,
        }
    }

    /// Whether a place of the rule bears paint: a tick, or a block that stands for a figure.
    fn paint(self, p: Point, length: f64) -> bool {
        let number = (p[0] / self.step()).round();
        let along = p[0] - number * self.step();
        let whole = number as i64;
        let on = number >= 0.0 && number * self.step() <= length + 1e-6;
        let every = if self == Self::Millimetres { 10 } else { 16 };
        let figure = (p[0] / (every as f64 * self.step())).round() * every as f64 * self.step();
        let block = (p[0] - figure).abs();
        let figures = (9.0..11.5).contains(&p[1]) && (0.3..1.3).contains(&block);
        on && (along.abs() <= 0.11 && p[1] <= self.tick(whole) || figures)
    }
}

impl Thing {
    /// Colour and height where the thing covers the wall.
    fn at(&self, wall: Point) -> Option<Skin> {
        match self {
            Self::Card {
                place,
                size,
                corner,
                colour,
            } => {
                let p = place.to_own(wall);
                let q = [0, 1].map(|i| (p[i] - size[i] / 2.0).abs() - (size[i] / 2.0 - corner));
                let out = q[0].max(0.0).hypot(q[1].max(0.0)) - corner;
                (out <= 0.0).then_some(Skin {
                    colour: *colour,
                    height: 0.76,
                })
            }
            Self::Tape { place, size } => {
                let p = place.to_own(wall);
                let torn = 0.8 * noise([p[1] * 0.9 + p[0].signum() * 40.0, 7.0], 91);
                let inside = p[0].abs() <= size[0] / 2.0 + torn && p[1].abs() <= size[1] / 2.0;
                let crepe = noise([p[0] * 1.6, p[1] * 0.25], 17);
                inside.then(|| Skin {
                    colour: [0.74, 0.66, 0.45].map(|c| c * (1.0 + 0.05 * crepe)),
                    height: 1.0 + 0.04 * crepe,
                })
            }
            Self::Scale {
                place,
                length,
                width,
                division,
                wear,
            } => {
                let p = place.to_own(wall);
                let inside = p[0] >= -5.0 && p[0] <= length + 5.0 && p[1] >= 0.0 && p[1] <= *width;
                let scratched = layered([p[0] * 0.15, p[1] * 0.4], 3, 71) > 1.0 - 0.9 * wear;
                // A shine a hand wide lies across a third of the rule.
                let shine = wear * (-0.5 * ((p[0] - length / 3.0) / 12.0).powi(2)).exp();
                let ground = [0.75, 0.62, 0.22].map(|c| c + (0.97 - c) * shine);
                let ink = [0.05; 3].map(|c| c + (0.90 - c) * shine);
                let painted = division.paint(p, *length) && !scratched;
                inside.then_some(Skin {
                    colour: if painted { ink } else { ground },
                    height: 1.0,
                })
            }
            Self::Plate {
                outline,
                colour,
                height,
            } => {
                let inside = depth_inside(outline, wall)?;
                Some(Skin {
                    colour: *colour,
                    height: height.min(inside * 1.5),
                })
            }
            Self::Block {
                outline,
                colour,
                height,
            } => is_inside(outline, wall).then_some(Skin {
                colour: *colour,
                height: *height,
            }),
            Self::Plaque(plaque) => plaque.at(wall),
        }
    }
}

/// A plastered wall and what lies on it, the last thing on top.
#[derive(Clone, Debug)]
pub struct Surface {
    /// The wall's own colour.
    pub wall: [f64; 3],
    /// How rough the plaster is: 1 is trowelled, 0 is smooth.
    pub rough: f64,
    /// What lies on it.
    pub things: Vec<Thing>,
}

impl Surface {
    /// Colour and height at a place on the wall.
    pub fn at(&self, wall: Point) -> Skin {
        self.things
            .iter()
            .rev()
            .find_map(|thing| thing.at(wall))
            .unwrap_or_else(|| self.plaster(wall))
    }

    fn plaster(&self, p: Point) -> Skin {
        // Trowel strokes run aslant; grain lies over them; old damp changes the colour slowly.
        let stroke = layered(
            [p[0] * 0.012 + p[1] * 0.006, p[1] * 0.03 - p[0] * 0.012],
            5,
            3,
        );
        let grain = layered([p[0] * 0.35, p[1] * 0.35], 3, 11);
        let stain = layered([p[0] * 0.004, p[1] * 0.005], 3, 29);
        let tone = 1.0 + self.rough * (0.10 * stain + 0.025 * stroke + 0.012 * grain);
        Skin {
            colour: [
                self.wall[0] * tone,
                self.wall[1] * (tone - 0.010 * self.rough * stain),
                self.wall[2] * (tone - 0.035 * self.rough * stain),
            ],
            height: self.rough * (0.55 * stroke + 0.035 * grain),
        }
    }
}

fn edges(outline: &[Point]) -> impl Iterator<Item = (&Point, &Point)> {
    outline.iter().zip(outline.iter().cycle().skip(1))
}

/// Whether a place lies inside a polygon.
fn is_inside(outline: &[Point], p: Point) -> bool {
    let crossed = edges(outline).filter(|(a, b)| {
        (a[1] > p[1]) != (b[1] > p[1])
            && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]
    });
    crossed.count() % 2 == 1
}

/// How deep inside a polygon a place lies, in millimetres; `None` outside.
fn depth_inside(outline: &[Point], p: Point) -> Option<f64> {
    is_inside(outline, p).then(|| {
        // Their squares: a root for each edge took most of the time of all tests with photos.
        let squares = edges(outline).map(|(a, b)| {
            let (u, v) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
            let along = (u[0] * v[0] + u[1] * v[1]) / (u[0] * u[0] + u[1] * u[1]);
            let along = along.clamp(0.0, 1.0);
            let off = [v[0] - along * u[0], v[1] - along * u[1]];
            off[0] * off[0] + off[1] * off[1]
        });
        squares.fold(f64::INFINITY, f64::min).sqrt()
    })
}

/// Smooth noise from -1 to 1 with one bump a unit.
pub fn noise(p: Point, seed: u32) -> f64 {
    let cell = p.map(f64::floor);
    let ease = |t: f64| t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
    let (fx, fy) = (ease(p[0] - cell[0]), ease(p[1] - cell[1]));
    let at = |dx: f64, dy: f64| hashed(cell[0] + dx, cell[1] + dy, seed);
    let top = at(0.0, 0.0) * (1.0 - fx) + at(1.0, 0.0) * fx;
    let low = at(0.0, 1.0) * (1.0 - fx) + at(1.0, 1.0) * fx;
    top * (1.0 - fy) + low * fy
}

/// Noise in octaves, each half as high and twice as fine.
pub fn layered(p: Point, octaves: u32, seed: u32) -> f64 {
    (0..octaves)
        .map(|o| {
            let fine = f64::from(1 << o);
            noise(p.map(|c| c * fine), seed + o) / fine
        })
        .sum()
}

/// A number from -1 to 1 that looks like chance, from a lattice point.
fn hashed(x: f64, y: f64, seed: u32) -> f64 {
    let mut h = (x as i64 as u32)
        .wrapping_mul(0x9E37_79B1)
        .wrapping_add((y as i64 as u32).wrapping_mul(0x85EB_CA77))
        .wrapping_add(seed.wrapping_mul(0xC2B2_AE3D));
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    f64::from(h) / f64::from(u32::MAX) * 2.0 - 1.0
}
