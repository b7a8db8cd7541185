//! From pixels to millimetres: the marks are found in the drawn photo itself, after JPEG, so that
//! the renderer and the program's geometry, written apart, check each other.

use peelcast::survey::{EdgeError, Evidence, ImageSize, Lens, WallProblem, fit_wall, footprint};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::surface::{Place, Surface, Thing};
use peelcast_render::view::{Hold, View};

const SIZE: [u32; 2] = [1600, 1200];
const FOCAL: f64 = 1230.0;
const K1: f64 = 0.015;
const CARD: Point = [85.60, 53.98];
const RULE_WIDTH: f64 = 30.0;
/// Readings of the rule whose ticks run right across it.
const READINGS: [f64; 5] = [0.0, 50.0, 150.0, 250.0, 300.0];
/// The ornament: a plate of eight corners.
const PLATE: [Point; 8] = [
    [-62.0, -95.0],
    [58.0, -99.0],
    [104.0, -46.0],
    [101.0, 52.0],
    [55.0, 96.0],
    [-66.0, 93.0],
    [-108.0, 44.0],
    [-103.0, -57.0],
];

fn card() -> Place {
    Place {
        origin: [-225.0, -20.0],
        turn_deg: 4.0,
    }
}

fn rule() -> Place {
    Place {
        origin: [-170.0, 122.0],
        turn_deg: -2.0,
    }
}

fn wall() -> Lit {
    let surface = Surface {
        wall: [0.42, 0.38, 0.31],
        rough: 0.5,
        things: vec![
            Thing::Plate {
                outline: PLATE.to_vec(),
                colour: [0.82, 0.80, 0.75],
                height: 0.4,
            },
            Thing::Card {
                place: card(),
                size: CARD,
                corner: 3.18,
                colour: [0.80, 0.82, 0.84],
            },
            Thing::Rule {
                place: rule(),
                length: 300.0,
                width: RULE_WIDTH,
            },
        ],
    };
    let lamp = Lamp {
        // Near the camera, as a flash is: shadows would shift the edges that are traced.
        at: [-80.0, -120.0, 1500.0],
        colour: [0.75, 0.70, 0.62],
        aim: [0.0, 0.0],
        sky: [0.25, 0.27, 0.30],
        soft: 0.3,
    };
    Lit::new(&surface, &lamp, [-320.0, -240.0], [260.0, 260.0], 0.2)
}

fn view(tilt_deg: f64, azimuth_deg: f64) -> View {
    let hold = Hold {
        target: [-45.0, 20.0],
        distance: 470.0,
        tilt_deg,
        azimuth_deg,
        roll_deg: 3.0,
    };
    View::new(SIZE, FOCAL, hold).bent(K1, 0.0)
}

/// The photo as the program would get it: through JPEG and back.
fn photograph(lit: &Lit, view: &View, seed: u64) -> Photo {
    let sensor = Sensor {
        samples: 2,
        blur_px: 0.8,
        noise: 0.01,
        exposure: 1.0,
        seed,
    };
    let file = Photo::take(lit, view, &sensor).jpeg(88);
    let mut decoder = jpeg_decoder::Decoder::new(file.as_slice());
    let rgb = decoder.decode().expect("what was encoded can be decoded");
    let info = decoder.info().expect("it was decoded");
    assert_eq!([u32::from(info.width), u32::from(info.height)], SIZE);
    Photo {
        width: SIZE[0],
        height: SIZE[1],
        rgb,
    }
}

/// A straight line: a point of it and its direction, of length 1.
#[derive(Clone, Copy)]
struct Line {
    at: Point,
    along: Point,
}

impl Line {
    fn meet(&self, other: &Self) -> Point {
        let d = [other.at[0] - self.at[0], other.at[1] - self.at[1]];
        let cross = |a: Point, b: Point| a[0] * b[1] - a[1] * b[0];
        let t = cross(d, other.along) / cross(self.along, other.along);
        [
            self.at[0] + t * self.along[0],
            self.at[1] + t * self.along[1],
        ]
    }
}

/// What is looked for across a line.
#[derive(Clone, Copy, PartialEq)]
enum Look {
    /// A step of brightness.
    Edge,
    /// A dark stroke.
    Stroke,
}

/// Finds the line in the pixels near the stretch from `a` to `b`, between two shares of it.
fn trace(photo: &Photo, a: Point, b: Point, part: [f64; 2], look: Look) -> Line {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]);
    let along = [d[0] / length, d[1] / length];
    let across = [-along[1], along[0]];
    let count = ((part[1] - part[0]) * length).ceil().max(8.0) as usize;
    let found: Vec<Point> = (0..=count)
        .map(|i| {
            let share = part[0] + (part[1] - part[0]) * i as f64 / count as f64;
            let foot = [a[0] + share * d[0], a[1] + share * d[1]];
            let off = offset(photo, foot, across, look);
            [foot[0] + off * across[0], foot[1] + off * across[1]]
        })
        .collect();
    let first = fitted(&found);
    // Once more without the points that stray: noise and ticks that cross an edge.
    let stray = |p: &Point| {
        ((p[0] - first.at[0]) * first.along[1] - (p[1] - first.at[1]) * first.along[0]).abs()
    };
    let mut strays: Vec<f64> = found.iter().map(stray).collect();
    strays.sort_by(f64::total_cmp);
    let most = (3.0 * strays[strays.len() / 2]).max(0.05);
    let kept: Vec<Point> = found.into_iter().filter(|p| stray(p) <= most).collect();
    fitted(&kept)
}

/// How far to the side the edge or the stroke lies, to a part of a pixel.
fn offset(photo: &Photo, foot: Point, across: Point, look: Look) -> f64 {
    const REACH: f64 = 6.0;
    const STEP: f64 = 0.25;
    let at = |t: f64| photo.brightness([foot[0] + t * across[0], foot[1] + t * across[1]]);
    let steps = (2.0 * REACH / STEP) as usize;
    let places: Vec<f64> = (0..=steps).map(|i| i as f64 * STEP - REACH).collect();
    let strength: Vec<f64> = match look {
        Look::Edge => places
            .iter()
            .map(|&t| (at(t + 0.75) - at(t - 0.75)).abs())
            .collect(),
        Look::Stroke => {
            let light = places.iter().map(|&t| at(t)).fold(0.0, f64::max);
            places.iter().map(|&t| light - at(t)).collect()
        }
    };
    let peak = (0..strength.len())
        .max_by(|&i, &j| strength[i].total_cmp(&strength[j]))
        .expect("there are samples");
    // The middle of what is stronger than half the peak, about the peak.
    let (mut sum, mut weighed) = (0.0, 0.0);
    let near = peak.saturating_sub(8)..(peak + 9).min(strength.len());
    for i in near {
        let weight = (strength[i] - 0.5 * strength[peak]).max(0.0);
        sum += weight;
        weighed += weight * places[i];
    }
    weighed / sum
}

fn fitted(points: &[Point]) -> Line {
    let n = points.len() as f64;
    let at = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let (x, y) = (p[0] - at[0], p[1] - at[1]);
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    Line {
        at,
        along: [angle.cos(), angle.sin()],
    }
}

/// The corners of a ring, each the crossing of its two edges traced near it: the lens bends
/// longer stretches. A thumb is a few pixels off.
fn corners(photo: &Photo, ring: &[Point], chance: &mut Chance) -> Vec<Point> {
    let thumb: Vec<Point> = ring.iter().map(|&p| chance.moved(p, 1.0)).collect();
    let n = ring.len();
    (0..n)
        .map(|i| {
            let (before, here, after) = (thumb[(i + n - 1) % n], thumb[i], thumb[(i + 1) % n]);
            let one = trace(photo, here, before, [0.12, 0.5], Look::Edge);
            let other = trace(photo, here, after, [0.12, 0.5], Look::Edge);
            one.meet(&other)
        })
        .collect()
}

/// The marks of the rule: where the long ticks meet both of its edges.
fn rule_marks(photo: &Photo, view: &View, chance: &mut Chance) -> Vec<Evidence> {
    let mut marks = Vec::new();
    for reading in READINGS {
        let seen = |x: f64, y: f64| view.see(rule().to_wall([x, y]));
        let ends = [0.0, RULE_WIDTH].map(|y| chance.moved(seen(reading, y), 1.0));
        let tick = trace(photo, ends[0], ends[1], [0.15, 0.85], Look::Stroke);
        for y in [0.0, RULE_WIDTH] {
            // The edge on both sides of the tick, the tick itself left out by the fit.
            let (from, to) = (
                seen((reading - 25.0).max(-4.0), y),
                seen((reading + 25.0).min(304.0), y),
            );
            let edge = trace(photo, from, to, [0.0, 1.0], Look::Edge);
            marks.push(Evidence::point(tick.meet(&edge), [reading, y]));
        }
    }
    marks
}

fn card_marks(photo: &Photo, view: &View, chance: &mut Chance) -> Vec<Evidence> {
    let places = [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]];
    let ring = places.map(|p| view.see(card().to_wall(p)));
    corners(photo, &ring, chance)
        .into_iter()
        .zip(places)
        .map(|(px, mm)| Evidence::point(px, mm))
        .collect()
}

fn true_area() -> f64 {
    let n = PLATE.len();
    let twice: f64 = (0..n)
        .map(|i| {
            let (a, b) = (PLATE[i], PLATE[(i + 1) % n]);
            a[0] * b[1] - b[0] * a[1]
        })
        .sum();
    twice / 2.0
}

#[test]
fn the_area_is_found_from_the_pixels_to_two_per_cent() {
    let lit = wall();
    let mut chance = Chance::new(11);
    let mut worst: f64 = 0.0;
    println!("tilt  from  reference  lens     error    half width");
    for (i, (tilt, azimuth)) in [
        (0.0, 0.0),
        (12.0, 200.0),
        (20.0, 80.0),
        (30.0, 0.0),
        (30.0, 135.0),
        (30.0, 250.0),
    ]
    .into_iter()
    .enumerate()
    {
        let view = view(tilt, azimuth);
        let photo = photograph(&lit, &view, i as u64);
        let outline = corners(&photo, &PLATE.map(|p| view.see(p)), &mut chance);
        for (found, truth) in outline.iter().zip(PLATE.map(|p| view.see(p))) {
            let off = (found[0] - truth[0]).hypot(found[1] - truth[1]);
            assert!(
                off < 1.0,
                "a corner is found {off} px from its place at tilt {tilt}"
            );
        }
        let lens = Lens {
            focal_px: FOCAL,
            focal_sd_px: 5.0,
            center_px: view.center,
            k1: K1,
            k2: 0.0,
            k_sd: 0.005,
        };
        let references = [
            ("card", card_marks(&photo, &view, &mut chance)),
            ("rule", rule_marks(&photo, &view, &mut chance)),
        ];
        for (name, evidence) in references {
            for lens in [Some(lens), None] {
                let size = ImageSize {
                    width: SIZE[0],
                    height: SIZE[1],
                };
                let problem = WallProblem {
                    lens,
                    point_sd_px: 0.2,
                    ..WallProblem::new(size, evidence.clone())
                };
                let wall = fit_wall(&problem).expect("the marks fix the wall");
                let area = footprint(&wall, &outline, &[], EdgeError::points(0.2))
                    .expect("a good outline")
                    .area;
                let error = area.value.0 / true_area() - 1.0;
                println!(
                    "{tilt:>4}  {azimuth:>4}  {name:<9}  {:<7}  {:+.2} %  {:.2} %",
                    if lens.is_some() { "known" } else { "unknown" },
                    100.0 * error,
                    50.0 * (area.high95.0 - area.low95.0) / area.value.0,
                );
                assert!(
                    area.low95.0 < true_area() && true_area() < area.high95.0,
                    "{name} at {tilt}: the range misses the truth by the value's {error}"
                );
                worst = worst.max(error.abs());
            }
        }
    }
    assert!(worst <= 0.02, "worst error {worst}");
}
