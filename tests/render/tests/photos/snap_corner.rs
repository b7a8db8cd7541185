//! Corners found in drawn photos of a bank card, through tilt, blur, noise and JPEG.

use peelcast::survey::GreyView;
use peelcast::survey::snap::corner;
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::surface::{Place, Surface, Thing};
use peelcast_render::view::{Hold, View};

const SIZE: [u32; 2] = [1200, 900];
const CARD: Point = [85.60, 53.98];
const RING: [Point; 4] = [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]];
/// A quarter of the card's shorter side, in millimetres.
const REACH: f64 = CARD[1] / 4.0;

fn place() -> Place {
    Place {
        origin: [-43.0, -25.0],
        turn_deg: 5.0,
    }
}

/// A card on a plastered wall; the lamp from the side throws a soft shadow.
fn wall(rough: f64, card: f64) -> Lit {
    let surface = Surface {
        wall: [0.42, 0.38, 0.31],
        rough,
        things: vec![Thing::Card {
            place: place(),
            size: CARD,
            corner: 3.18,
            colour: [card; 3],
        }],
    };
    Lit::new(
        &surface,
        &Lamp::from_the_side(),
        [-85.0, -70.0],
        [85.0, 75.0],
        0.1,
    )
}

fn view(tilt_deg: f64, azimuth_deg: f64) -> View {
    let hold = Hold {
        target: [0.0, 2.0],
        distance: 200.0,
        tilt_deg,
        azimuth_deg,
        roll_deg: 3.0,
    };
    // As near the picture's middle as in a crop of a phone's photo of 12 megapixels.
    View::new(SIZE, 1230.0, hold).bent(0.015, 0.0)
}

/// The photo's brightness after JPEG and back.
fn photograph(lit: &Lit, view: &View, sensor: &Sensor, quality: u8) -> Vec<u8> {
    Photo::take(lit, view, sensor).developed(quality)
}

#[test]
fn card_corners_are_found_to_a_fraction_of_a_pixel() {
    let mut chance = Chance::new(5);
    let (mut all, mut surprise, mut asked) = (Vec::new(), Vec::new(), 0);
    println!("tilt  blur  noise  JPEG  found   median   worst");
    for (rough, card) in [(0.5, 0.80), (1.0, 0.62)] {
        let lit = wall(rough, card);
        for (i, (tilt, azimuth)) in [(0.0, 0.0), (25.0, 80.0), (40.0, 20.0)]
            .into_iter()
            .enumerate()
        {
            for (blur_px, noise, quality) in [(0.6, 0.005, 95), (0.9, 0.012, 85), (1.6, 0.025, 60)]
            {
                let sensor = Sensor {
                    samples: 2,
                    blur_px,
                    noise,
                    exposure: 1.0,
                    seed: i as u64,
                };
                let view = view(tilt, azimuth);
                let data = photograph(&lit, &view, &sensor, quality);
                let grey = GreyView {
                    width: SIZE[0],
                    height: SIZE[1],
                    data: &data,
                };
                let mut errors = Vec::new();
                for p in RING {
                    let truth = view.see(place().to_wall(p));
                    let side = view.see(place().to_wall([p[0] + 1.0, p[1]]));
                    let reach = REACH * (side[0] - truth[0]).hypot(side[1] - truth[1]);
                    for _ in 0..2 {
                        asked += 1;
                        let tap = chance.moved(truth, 5.0);
                        if let Some(found) = corner(&grey, tap, reach) {
                            let off = (found.px[0] - truth[0]).hypot(found.px[1] - truth[1]);
                            errors.push(off);
                            surprise.push(off / (found.sd_px * 2_f64.sqrt()));
                        }
                    }
                }
                errors.sort_by(f64::total_cmp);
                let at = |share: f64| {
                    errors
                        .get((errors.len() as f64 * share) as usize)
                        .or(errors.last())
                };
                println!(
                    "{tilt:>4}  {blur_px:>4}  {noise:>5}  {quality:>4}  {:>2}/8   {:.3} px  {:.3} px",
                    errors.len(),
                    at(0.5).unwrap_or(&f64::NAN),
                    at(1.0).unwrap_or(&f64::NAN),
                );
                all.append(&mut errors);
            }
        }
    }
    all.sort_by(f64::total_cmp);
    surprise.sort_by(f64::total_cmp);
    let (median, worst) = (all[all.len() / 2], all[all.len() - 1]);
    println!(
        "all: {} of {asked} found, median {median:.3} px, worst {worst:.3} px; error over its own spread: median {:.2}, 95 % {:.2}",
        all.len(),
        surprise[surprise.len() / 2],
        surprise[surprise.len() * 95 / 100],
    );
    assert!(
        all.len() * 10 >= asked * 9,
        "{} of {asked} found",
        all.len()
    );
    assert!(
        median <= 0.15 && worst <= 0.8,
        "median {median}, worst {worst}"
    );
    // Of a two-dimensional normal spread 95 % lie within 1.73 of what is divided by here.
    let far = surprise[surprise.len() * 95 / 100];
    assert!((1.2..2.1).contains(&far), "its own spread is off: {far}");
}

#[test]
fn where_there_is_no_corner_none_is_returned() {
    let lit = wall(1.0, 0.62);
    let mut chance = Chance::new(8);
    for (seed, tilt) in [(1, 0.0), (2, 28.0)] {
        let view = view(tilt, 60.0);
        let sensor = Sensor {
            samples: 2,
            blur_px: 0.9,
            noise: 0.02,
            exposure: 1.0,
            seed,
        };
        let data = photograph(&lit, &view, &sensor, 80);
        let grey = GreyView {
            width: SIZE[0],
            height: SIZE[1],
            data: &data,
        };
        for _ in 0..40 {
            // On the bare wall, on the blank card, on the middle of an edge.
            let share = chance.between(0.35, 0.65);
            let places = [
                [chance.between(-30.0, 110.0), chance.between(-17.0, -14.0)],
                [chance.between(18.0, 68.0), chance.between(18.0, 36.0)],
                [share * CARD[0], 0.0],
                [CARD[0], share * CARD[1]],
            ];
            for own in places {
                let tap = view.see(place().to_wall(own));
                let found = corner(&grey, tap, 60.0);
                assert_eq!(found, None, "at {own:?} of the card, tilt {tilt}");
            }
        }
    }
    let flat = GreyView {
        width: 100,
        height: 100,
        data: &[128; 10_000],
    };
    for tap in [[50.0, 50.0], [0.0, 0.0], [-500.0, 9.0], [f64::NAN, 1.0]] {
        assert_eq!(corner(&flat, tap, 40.0), None);
    }
}
