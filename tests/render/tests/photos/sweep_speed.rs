//! How long heights from photos take, stage by stage, and how much memory.
//!
//! `CARGO_PROFILE_RELEASE_OPT_LEVEL=3 cargo test --release -p peelcast-render --test photos
//! sweep_speed -- --ignored --nocapture` prints both for two photos of 12 megapixels and a map of
//! about 512 by 512 places at 64 heights; nothing else should run beside it. The first run draws the photos and
//! keeps them; from the second on the memory is that of the sweep. It judges no speed: phones
//! differ.

use peelcast::quantity::{Estimate, Millimetres};
use peelcast::relief::measures;
use peelcast::relief::sweep::{STAGES, SweepPhoto, SweepProblem, sweep};
use peelcast::survey::{Evidence, GreyView, ImageSize, Lens, WallProblem};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::field::Field;
use peelcast_render::outline::outline;
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::relief::{CARD, Relief};
use peelcast_render::shapes;
use peelcast_render::texture::Texture;
use peelcast_render::view::{Hold, View};
use std::path::Path;
use std::time::Instant;

/// Twelve megapixels.
const SIZE: [u32; 2] = [4000, 3000];
const FOCAL: f64 = 3040.0;
const MARK_SD_PX: f64 = 0.5;
/// With these the frame is about 512 by 512 places, and 64 heights are swept.
const STEP_MM: f64 = 0.4;
const HIGHEST_MM: f64 = 46.0;
const MOST: usize = 60_000_000;

/// A rosette of 200 mm and 38 mm high, to the right of the card.
fn field() -> Field {
    let large = 1.34;
    let small = shapes::named("high-rosette").expect("one of the shapes");
    let step = 0.25;
    let side = (2.0 * 76.0 * large / step) as usize;
    let first = -76.0 * large;
    let heights: Vec<f32> = (0..side * side)
        .map(|i| [i % side, i / side].map(|n| (first + n as f64 * step) / large))
        .map(|place| small.at(place) as f32)
        .collect();
    Field::new([first; 2], step, side, side, &heights).centred([CARD[0] + 125.0, CARD[1] / 2.0])
}

fn views() -> [View; 2] {
    [(8.0, 180.0), (9.0, 2.0)].map(|(tilt_deg, azimuth_deg)| {
        let hold = Hold {
            target: [170.0, 25.0],
            distance: 620.0,
            tilt_deg,
            azimuth_deg,
            roll_deg: 1.5,
        };
        View::new(SIZE, FOCAL, hold).bent(0.02, -0.01)
    })
}

fn problem(view: &View, card_mm: f64, chance: &mut Chance) -> WallProblem {
    let corners: [Point; 4] = [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]];
    let evidence = corners.map(|mm| Evidence::Point {
        px: chance.moved(view.see_before(mm, card_mm), MARK_SD_PX),
        mm,
        sd_px: None,
    });
    let size = ImageSize {
        width: SIZE[0],
        height: SIZE[1],
    };
    WallProblem {
        lens: Some(Lens {
            focal_px: FOCAL,
            focal_sd_px: 0.003 * FOCAL,
            center_px: view.center,
            k1: view.k1,
            k2: view.k2,
            k_sd: 0.002,
        }),
        point_sd_px: MARK_SD_PX,
        ..WallProblem::new(size, evidence.to_vec())
    }
}

/// The most memory that this program has had so far, in megabytes, as Linux tells it.
fn memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

/// The brightness of a photo.
fn photographed(relief: &Relief, view: &View) -> Vec<u8> {
    let sensor = Sensor {
        samples: 1,
        blur_px: 0.6,
        noise: 0.0087,
        exposure: 0.9,
        seed: 7,
    };
    Photo::take_along(|px| relief.pixel(view, px), view, &sensor).developed(92)
}

#[test]
#[ignore = "measures; run it by itself"]
fn two_photos_of_twelve_megapixels() {
    let card_mm = 0.0;
    let relief = Relief::new(field(), Texture::Stone, 7, card_mm);
    let views = views();
    let mut chance = Chance::new(7);
    let mut drawn = false;
    let greys = [0, 1].map(|n| {
        let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("sweep_speed_{n}.grey"));
        std::fs::read(&file).unwrap_or_else(|_| {
            drawn = true;
            let grey = photographed(&relief, &views[n]);
            std::fs::write(&file, &grey).expect("a folder for the tests' files");
            grey
        })
    });
    let photos = views.iter().zip(&greys).map(|(view, grey)| SweepPhoto {
        grey: GreyView {
            width: SIZE[0],
            height: SIZE[1],
            data: grey,
        },
        problem: problem(view, card_mm, &mut chance),
    });
    let ring = outline(&relief.field);
    let asked = SweepProblem {
        photos: photos.collect(),
        outline_of: 0,
        outline_px: ring.iter().map(|wall| views[0].see(*wall)).collect(),
        reference: Estimate::normal(Millimetres(0.0), 0.5),
        max_height: Millimetres(HIGHEST_MM),
        step: Millimetres(STEP_MM),
        most: MOST,
    };
    let before = memory();
    let begun = Instant::now();
    let mut times = Vec::new();
    let swept = sweep(&asked, &mut |share| {
        times.push((share, begun.elapsed().as_secs_f64()));
    });
    let seconds = begun.elapsed().as_secs_f64();
    let swept = swept.expect("stone shows enough");
    let size = swept.heights.map.size();
    println!("{} x {} places, {seconds:.2} s", size[0], size[1]);
    let mut last = 0.0;
    for (stage, share) in STAGES {
        let upto = times.iter().rev().find(|(at, _)| *at <= share + 1e-9);
        let upto = upto.map_or(last, |(_, time)| *time);
        println!("{:8.0} ms {stage}", 1e3 * (upto - last));
        last = upto;
    }
    if let (false, Some(before), Some(after)) = (drawn, before, memory()) {
        println!("{:8.0} MB beside the photos' brightness", after - before);
    }
    let told = measures(&swept.heights, &swept.outline, &[]);
    let truth = relief.field.measures();
    println!(
        "volume off by {:+.2} %, surface by {:+.2} %, {:.0} % matched",
        100.0 * (told.volume.value.0 * 1000.0 / truth.volume - 1.0),
        100.0 * (told.surface.value.0 / truth.surface - 1.0),
        100.0 * swept.confident
    );
    assert!(swept.confident > 0.5);
}
