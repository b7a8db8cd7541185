//! How long a reading takes that is added to a swept map of 512 by 512 places.
//!
//! `cargo test --release --test native heights_speed -- --ignored --nocapture` prints it, built for
//! size as the page is; nothing else should run beside it. It judges no speed: phones differ.

use peelcast::quantity::Millimetres;
use peelcast::relief::sweep::remembered;
use peelcast::relief::{Cover, Edge, Frame, HeightMap, Known, Reading, corrected, measures};
use std::time::Instant;

const TIMES: usize = 5;

#[test]
#[ignore = "measures; run it by itself"]
fn a_reading_on_a_swept_map() {
    let outline: Vec<[f64; 2]> = (0..300)
        .map(|n| f64::from(n) / 300.0 * std::f64::consts::TAU)
        .map(|a| {
            [
                100.0 * a.cos() * (1.0 + 0.05 * (8.0 * a).cos()),
                95.0 * a.sin(),
            ]
        })
        .collect();
    let frame = Frame::around(&outline, 512).expect("an outline");
    let cover = Cover::of_rings(frame, &outline, &[]);
    let height = |(n, inside): (usize, &bool)| {
        let [x, y] = frame.place_of(n);
        let bumps = (x / 7.0).sin() * (y / 9.0).cos();
        if *inside {
            (20.0 + 8.0 * bumps) as f32
        } else {
            f32::NAN
        }
    };
    let heights: Vec<f32> = cover.inside().iter().enumerate().map(height).collect();
    let sds = heights.iter().map(|h| 0.2 + 0.01 * h).collect();
    let map = HeightMap::of(frame, heights, sds, 0.02).expect("a map");
    let readings = [[0.0, 0.0], [40.0, 10.0], [-30.0, 50.0]].map(|at| Reading {
        at,
        height: Millimetres(21.0),
        sd: Millimetres(0.5),
    });
    let known = Known {
        outline: &outline,
        holes: &[],
        edge: Edge::Unknown,
        readings: &readings,
        profiles: &[],
    };
    for _ in 0..TIMES {
        let begun = Instant::now();
        let drawn = remembered(map.clone());
        let first = begun.elapsed();
        let sounded = corrected(&drawn, &known, 1).expect("readings on the piece");
        let second = begun.elapsed();
        let found = measures(&sounded.heights, &outline, &[]);
        let third = begun.elapsed();
        let ms = |of: std::time::Duration| 1e3 * of.as_secs_f64();
        println!(
            "{:.0} ms: plausible maps {:.0}, corrected {:.0}, measured {:.0}; volume {:.1} ± {:.2} ml, surface {:.0} ± {:.0} mm², highest {:.1} ± {:.2} mm",
            ms(third),
            ms(first),
            ms(second - first),
            ms(third - second),
            found.volume.value.0,
            found.volume.sd,
            found.surface.value.0,
            found.surface.sd,
            found.highest.value.0,
            found.highest.sd,
        );
        assert!(found.volume.sd > 0.0);
    }
}
