//! The whole way from a drawn photo to the footprint: marks and edge are found in the picture near
//! where a thumb put them. Plaster on plaster, a rule with wear and glare, low light, blur, noise,
//! JPEG of 60 to 95, tilts to 40 degrees. `coverage.rs` shows the same without pictures, and by
//! more kinds of evidence.

use peelcast::survey::snap::{corner, ticks};
use peelcast::survey::{
    EdgeError, Evidence, GreyView, ImageSize, Lens, Px, WallProblem, fit_wall, footprint, settle,
};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::surface::{Fine, Place, Surface, Thing};
use peelcast_render::view::{Hold, View};
use std::f64::consts::TAU;

const SIZE: ImageSize = ImageSize {
    width: 1800,
    height: 1350,
};
const FOCAL: f64 = 1368.0;
const CARD: Point = [85.60, 53.98];
/// The readings that are marked: one inch and nine.
const READINGS: [f64; 2] = [25.4, 228.6];
/// How far a thumb is off, in pixels.
const THUMB: f64 = 3.0;
/// Points of the outline.
const POINTS: usize = 24;

const CARD_PLACE: Place = Place {
    origin: [-172.0, -40.0],
    turn_deg: 4.0,
};
const RULE_PLACE: Place = Place {
    origin: [-135.0, 84.0],
    turn_deg: -1.5,
};

/// How a wall and its light are.
struct Room {
    name: &'static str,
    ornament: [f64; 3],
    rough: f64,
    lamp: Point,
    wear: f64,
    exposure: f64,
    noise: f64,
}

const PLASTER: [f64; 3] = [0.42, 0.38, 0.31];

const ROOMS: [Room; 3] = [
    Room {
        name: "pale on plaster",
        ornament: [0.80, 0.78, 0.72],
        rough: 0.6,
        lamp: [-80.0, -120.0],
        wear: 0.1,
        exposure: 1.0,
        noise: 0.008,
    },
    Room {
        name: "plaster on plaster",
        ornament: PLASTER,
        rough: 0.4,
        lamp: [-500.0, -700.0],
        wear: 0.25,
        exposure: 1.0,
        noise: 0.01,
    },
    Room {
        name: "low light, worn rule",
        ornament: [0.62, 0.58, 0.50],
        rough: 0.6,
        lamp: [300.0, -420.0],
        wear: 0.35,
        exposure: 0.35,
        noise: 0.02,
    },
];

/// Tilt, from which side, blur in pixels, JPEG's quality.
const SHOTS: [(f64, f64, f64, u8); 3] = [
    (4.0, 40.0, 0.7, 95),
    (20.0, 200.0, 0.9, 82),
    (38.0, 300.0, 1.2, 60),
];

/// The ornament's edge, by chance, as a polygon so fine that it is a curve.
fn ornament(chance: &mut Chance) -> Vec<Point> {
    let waves: Vec<[f64; 3]> = [2.0, 3.0, 5.0]
        .iter()
        .map(|k| [*k, 0.16 * chance.normal() / k, chance.between(0.0, TAU)])
        .collect();
    (0..240)
        .map(|i| {
            let angle = f64::from(i) / 240.0 * TAU;
            let wave: f64 = waves
                .iter()
                .map(|[k, a, p]| a * (k * angle + p).cos())
                .sum();
            let r = 62.0 * (1.0 + wave);
            [r * angle.cos(), r * angle.sin()]
        })
        .collect()
}

fn area(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let pairs = ring.iter().zip(next);
    let twice: f64 = pairs.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum();
    twice.abs() / 2.0
}

fn lit(room: &Room, edge: &[Point]) -> Lit {
    let surface = Surface {
        wall: PLASTER,
        rough: room.rough,
        things: vec![
            Thing::Block {
                outline: edge.to_vec(),
                colour: room.ornament,
                height: 2.0,
            },
            Thing::Card {
                place: CARD_PLACE,
                size: CARD,
                corner: 3.18,
                colour: [0.80, 0.82, 0.84],
            },
            Thing::Scale {
                place: RULE_PLACE,
                length: 250.0,
                width: 28.0,
                division: Fine::Sixteenths,
                wear: room.wear,
            },
        ],
    };
    let lamp = Lamp {
        at: [room.lamp[0], room.lamp[1], 1500.0],
        colour: [0.75, 0.70, 0.62],
        aim: [0.0, 0.0],
        sky: [0.25, 0.27, 0.30],
        soft: 0.3,
    };
    Lit::new(&surface, &lamp, [-230.0, -170.0], [210.0, 190.0], 0.16)
}

/// The photo's brightness after JPEG and back.
fn photograph(lit: &Lit, view: &View, sensor: &Sensor, quality: u8) -> Vec<u8> {
    Photo::take(lit, view, sensor).developed(quality)
}

/// The card's corners, each where the picture shows it; where it doesn't, the thumb's mark.
fn card(grey: &GreyView<'_>, view: &View, chance: &mut Chance) -> Vec<Evidence> {
    let ring = [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]];
    let taps = ring.map(|mm| chance.moved(view.see(CARD_PLACE.to_wall(mm)), THUMB));
    let side = (taps[1][0] - taps[2][0]).hypot(taps[1][1] - taps[2][1]);
    let marks = taps.iter().zip(ring);
    marks
        .map(|(tap, mm)| match corner(grey, *tap, side / 4.0) {
            Some(found) => Evidence::point(found.px, mm).known_to(found.sd_px),
            None => Evidence::point(*tap, mm).known_to(THUMB),
        })
        .collect()
}

/// All ticks between two marked readings; where the rule can't be read, these two.
fn rule(grey: &GreyView<'_>, view: &View, chance: &mut Chance) -> Vec<Evidence> {
    let seen = |at| view.see(RULE_PLACE.to_wall([at, 0.0]));
    let taps = READINGS.map(|at| (chance.moved(seen(at), 1.5), at));
    match ticks(grey, taps, 12.0) {
        Ok(read) => {
            let found = read.ticks.iter();
            found
                .map(|t| Evidence::tick(t.px, t.at_mm, "a").known_to(t.sd_px))
                .collect()
        }
        Err(_) => taps
            .map(|(px, at)| Evidence::tick(px, at, "a").known_to(1.5))
            .to_vec(),
    }
}

/// The outline as it was tapped and then settled on the edge, and how well it is known.
fn outline(
    grey: &GreyView<'_>,
    view: &View,
    edge: &[Point],
    chance: &mut Chance,
) -> (Vec<Px>, f64) {
    let every = edge.len() / POINTS;
    let taps: Vec<Px> = (0..POINTS)
        .map(|i| chance.moved(view.see(edge[i * every]), THUMB))
        .collect();
    let settled = settle(grey, &taps, true, 4.0 * THUMB);
    let points = settled.iter().zip(&taps);
    let points = points.map(|(found, tap)| found.map_or((*tap, THUMB), |s| (s.px, s.sd_px)));
    let (outline, sds): (Vec<Px>, Vec<f64>) = points.unzip();
    let square: f64 = sds.iter().map(|sd| sd * sd).sum();
    (outline, (square / POINTS as f64).sqrt())
}

#[test]
fn the_footprint_is_found_in_drawn_photos() {
    let mut chance = Chance::new(77);
    let mut lines = vec![Vec::new(); 2 * ROOMS.len()];
    for (r, room) in ROOMS.iter().enumerate() {
        let edge = ornament(&mut chance);
        let (lit, truth) = (lit(room, &edge), area(&edge));
        for (s, (tilt_deg, azimuth_deg, blur_px, quality)) in SHOTS.into_iter().enumerate() {
            let hold = Hold {
                target: [-18.0, 22.0],
                distance: 330.0,
                tilt_deg,
                azimuth_deg,
                roll_deg: 2.0,
            };
            let view = View::new([SIZE.width, SIZE.height], FOCAL, hold).bent(0.015, 0.0);
            let sensor = Sensor {
                samples: 2,
                blur_px,
                noise: room.noise,
                exposure: room.exposure,
                seed: s as u64,
            };
            let data = photograph(&lit, &view, &sensor, quality);
            let grey = GreyView {
                width: SIZE.width,
                height: SIZE.height,
                data: &data,
            };
            let (outline, sd) = outline(&grey, &view, &edge, &mut chance);
            let gravity = view.gravity(0.5 * chance.normal());
            let lens = Lens {
                focal_px: FOCAL * (1.0 + 0.005 * chance.normal()),
                focal_sd_px: 0.005 * FOCAL,
                center_px: chance.moved(view.center, 0.005 * FOCAL),
                k1: view.k1 + 0.005 * chance.normal(),
                k2: 0.005 * chance.normal(),
                k_sd: 0.005,
            };
            let references = [
                (card(&grey, &view, &mut chance), None),
                (rule(&grey, &view, &mut chance), Some(gravity)),
            ];
            for (k, (evidence, gravity)) in references.into_iter().enumerate() {
                for lens in [Some(lens), None] {
                    let problem = WallProblem {
                        lens,
                        gravity,
                        ..WallProblem::new(SIZE, evidence.clone())
                    };
                    let wall = fit_wall(&problem).expect("the marks fix the wall");
                    let found = footprint(&wall, &outline, &[], EdgeError::traced(sd));
                    let found = found.expect("a good outline is measured").area;
                    let held = found.low95.0 <= truth && truth <= found.high95.0;
                    lines[2 * r + k].push((
                        (found.value.0 / truth - 1.0).abs(),
                        (found.high95.0 - found.low95.0) / 2.0 / truth,
                        held,
                    ));
                }
            }
        }
    }
    println!("room                  reference      median  worst   half    held");
    let mut all = Vec::new();
    for (i, line) in lines.iter_mut().enumerate() {
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
        let half: f64 = line.iter().map(|one| one.1).sum::<f64>() / line.len() as f64;
        println!(
            "{:<21} {:<13} {:>5.2} %  {:>5.2} %  {:>4.2} %  {} of {}",
            ROOMS[i / 2].name,
            ["card", "rule, gravity"][i % 2],
            100.0 * line[line.len() / 2].0,
            100.0 * line[line.len() - 1].0,
            100.0 * half,
            line.iter().filter(|one| one.2).count(),
            line.len(),
        );
        all.extend(line.iter().copied());
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let held = all.iter().filter(|one| one.2).count() as f64 / all.len() as f64;
    println!("all {}: held in {:.1} %", all.len(), 100.0 * held);
    assert!(held >= 0.88, "the range holds the area in {held}");
    assert!(
        all[all.len() / 2].0 < 0.01,
        "median {}",
        all[all.len() / 2].0
    );
}
