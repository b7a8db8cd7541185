//! Rules read in drawn photos, through tilt, a bent lens, blur, noise, wear, glare and JPEG.

use peelcast::survey::GreyView;
use peelcast::survey::snap::{Division, NoTicks, Ticks, ticks};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::surface::{Fine, Place, Surface, Thing};
use peelcast_render::view::{Hold, View};

const SIZE: [u32; 2] = [1800, 500];
const LENGTH: f64 = 254.0;

fn place() -> Place {
    Place {
        origin: [-127.0, -10.0],
        turn_deg: 2.0,
    }
}

fn wall(division: Fine, wear: f64) -> Lit {
    let surface = Surface {
        wall: [0.42, 0.38, 0.31],
        rough: 0.6,
        things: vec![Thing::Scale {
            place: place(),
            length: LENGTH,
            width: 28.0,
            division,
            wear,
        }],
    };
    Lit::new(
        &surface,
        &Lamp::from_the_side(),
        [-150.0, -32.0],
        [150.0, 36.0],
        0.08,
    )
}

/// A picture 1800 pixels wide of a rule of ten inches: six pixels a millimetre.
fn view(tilt_deg: f64, azimuth_deg: f64) -> View {
    let hold = Hold {
        target: [0.0, 0.0],
        distance: 240.0,
        tilt_deg,
        azimuth_deg,
        roll_deg: -3.0,
    };
    View::new(SIZE, 1440.0, hold).bent(0.03, 0.0)
}

struct Shot {
    tilt: f64,
    azimuth: f64,
    blur_px: f64,
    noise: f64,
    quality: u8,
}

const SHOTS: [Shot; 5] = [
    Shot {
        tilt: 0.0,
        azimuth: 0.0,
        blur_px: 0.6,
        noise: 0.005,
        quality: 95,
    },
    Shot {
        tilt: 15.0,
        azimuth: 200.0,
        blur_px: 0.8,
        noise: 0.01,
        quality: 88,
    },
    Shot {
        tilt: 25.0,
        azimuth: 80.0,
        blur_px: 0.9,
        noise: 0.015,
        quality: 80,
    },
    Shot {
        tilt: 32.0,
        azimuth: 330.0,
        blur_px: 1.1,
        noise: 0.015,
        quality: 75,
    },
    Shot {
        tilt: 38.0,
        azimuth: 150.0,
        blur_px: 1.3,
        noise: 0.02,
        quality: 60,
    },
];

/// The photo's brightness after JPEG and back.
fn photograph(lit: &Lit, view: &View, shot: &Shot) -> Vec<u8> {
    let sensor = Sensor {
        samples: 2,
        blur_px: shot.blur_px,
        noise: shot.noise,
        exposure: 1.0,
        seed: shot.tilt as u64,
    };
    Photo::take(lit, view, &sensor).developed(shot.quality)
}

fn grey(data: &[u8]) -> GreyView<'_> {
    GreyView {
        width: SIZE[0],
        height: SIZE[1],
        data,
    }
}

fn on_edge(view: &View, mm: f64) -> Point {
    view.see(place().to_wall([mm, 0.0]))
}

/// The widest two round readings that are seen with room about them.
fn readings(view: &View, step: f64) -> [f64; 2] {
    let seen: Vec<f64> = (0..=(LENGTH / step) as i32)
        .map(|i| f64::from(i) * step)
        .filter(|mm| view.holds(on_edge(view, *mm), 45.0))
        .collect();
    [seen[0], seen[seen.len() - 1]]
}

/// How far a tick is from where it should be: along the edge, and across it, in pixels.
fn miss(view: &View, px: Point, mm: f64) -> [f64; 2] {
    let (here, next) = (on_edge(view, mm), on_edge(view, mm + 1.0));
    let d = [next[0] - here[0], next[1] - here[1]];
    let length = d[0].hypot(d[1]);
    let off = [px[0] - here[0], px[1] - here[1]];
    [
        ((off[0] * d[0] + off[1] * d[1]) / length).abs(),
        ((off[1] * d[0] - off[0] * d[1]) / length).abs(),
    ]
}

#[test]
fn rules_are_read_tick_by_tick() {
    let mut chance = Chance::new(21);
    let mut along = Vec::new();
    let mut surprise = Vec::new();
    let (mut asked, mut read) = (0, 0);
    println!(
        "ticks       wear  tilt  blur  JPEG  read  ticks  along: median  worst  across: median  worst"
    );
    for (fine, division, round, wear) in [
        (Fine::Millimetres, Division::Millimetre, 10.0, 0.0),
        (Fine::Millimetres, Division::Millimetre, 10.0, 0.6),
        (Fine::Sixteenths, Division::SixteenthInch, 25.4, 0.5),
    ] {
        let lit = wall(fine, wear);
        for shot in &SHOTS {
            let view = view(shot.tilt, shot.azimuth);
            let data = photograph(&lit, &view, shot);
            let two = readings(&view, round);
            let (mut off, mut count, mut done) = ([Vec::new(), Vec::new()], 0, 0);
            let mut why = None;
            for _ in 0..2 {
                asked += 1;
                let taps = two.map(|mm| (chance.moved(on_edge(&view, mm), 3.0), mm));
                match ticks(&grey(&data), taps, 14.0) {
                    Ok(Ticks {
                        division: found,
                        ticks,
                    }) => {
                        assert_eq!(found, division);
                        assert!(ticks.len() >= 20);
                        done += 1;
                        count += ticks.len();
                        for tick in ticks {
                            let [a, b] = miss(&view, tick.px, tick.at_mm);
                            off[0].push(a);
                            off[1].push(b);
                            surprise.push(a / tick.sd_px);
                        }
                    }
                    Err(reason) => why = Some(reason),
                }
            }
            off.iter_mut().for_each(|o| o.sort_by(f64::total_cmp));
            let at = |k: usize, share: f64| {
                let o: &Vec<f64> = &off[k];
                o.get(((o.len() as f64 - 1.0) * share) as usize)
                    .copied()
                    .unwrap_or(f64::NAN)
            };
            println!(
                "{fine:<11?} {wear:>4} {:>5} {:>5} {:>5}  {done}/2  {:>6}  {:>10.3} px {:.3} px {:>10.3} px {:.3} px  {}",
                shot.tilt,
                shot.blur_px,
                shot.quality,
                count / done.max(1),
                at(0, 0.5),
                at(0, 1.0),
                at(1, 0.5),
                at(1, 1.0),
                why.map_or(String::new(), |w| format!("{w:?}")),
            );
            read += done;
            along.append(&mut off[0]);
        }
    }
    along.sort_by(f64::total_cmp);
    surprise.sort_by(f64::total_cmp);
    let (median, worst) = (along[along.len() / 2], along[along.len() - 1]);
    println!(
        "all: {read} of {asked} read, {} ticks, along the edge median {median:.3} px, worst {worst:.3} px; over its own spread 95 % {:.2}",
        along.len(),
        surprise[surprise.len() * 95 / 100],
    );
    assert!(read * 10 >= asked * 9, "{read} of {asked} read");
    assert!(
        median <= 0.08 && worst <= 1.2,
        "median {median}, worst {worst}"
    );
    let far = surprise[surprise.len() * 95 / 100];
    assert!((1.2..2.4).contains(&far), "its own spread is off: {far}");
}

#[test]
fn wrong_readings_are_refused() {
    let mut chance = Chance::new(22);
    for (fine, round) in [(Fine::Millimetres, 10.0), (Fine::Sixteenths, 25.4)] {
        let lit = wall(fine, 0.3);
        for shot in [&SHOTS[1], &SHOTS[3]] {
            let view = view(shot.tilt, shot.azimuth);
            let data = photograph(&lit, &view, shot);
            let [low, high] = readings(&view, round);
            let mut taps = |claimed: [f64; 2]| {
                let px = [low, high].map(|mm| chance.moved(on_edge(&view, mm), 3.0));
                ticks(
                    &grey(&data),
                    [(px[0], claimed[0]), (px[1], claimed[1])],
                    14.0,
                )
            };
            for off in [-10.0, -5.0, 5.0, 25.4] {
                let found = taps([low, high + off]);
                assert!(found.is_err(), "{fine:?}, {off} mm too much: {found:?}");
            }
            // Centimetres taken for inches, and inches for centimetres.
            for factor in [2.54, 1.0 / 2.54] {
                let found = taps([low * factor, high * factor]);
                assert!(found.is_err(), "{fine:?}, {factor} times: {found:?}");
            }
            // The same reading twice, and marks away from the rule.
            assert_eq!(taps([50.0, 50.0]), Err(NoTicks::Readings));
            let aside = [low, high].map(|mm| (view.see(place().to_wall([mm, -14.0])), mm));
            assert!(ticks(&grey(&data), aside, 14.0).is_err());
        }
    }
}
