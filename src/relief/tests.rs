//! Bodies with a closed form, measured on grids.

use super::*;
use crate::quantity::{Degrees, Millimetres, SquareMillimetres};
use crate::survey::Mm;
use std::f64::consts::{PI, TAU};

fn ring(radius: f64, middle: Mm) -> Vec<Mm> {
    let place = |n: usize| {
        let angle = n as f64 / 720.0 * TAU;
        [
            middle[0] + radius * angle.cos(),
            middle[1] + radius * angle.sin(),
        ]
    };
    (0..720).map(place).collect()
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Vec<Mm> {
    vec![
        [x, y],
        [x + width, y],
        [x + width, y + height],
        [x, y + height],
    ]
}

/// A map around an outline, its grid moved by a part of a step so that nothing falls on it.
fn map(outline: &[Mm], step: f64, height: impl Fn(Mm) -> Option<f64>) -> Heights {
    let mut frame = Frame::around(outline, 100).unwrap();
    let long = |k: usize| outline.iter().map(|p| p[k]).fold(f64::MIN, f64::max) - frame.origin[k];
    let count = |k: usize| (long(k) / step).ceil() as usize + 3;
    let sizes = [count(0), count(1)];
    frame.step = Millimetres(step);
    [frame.columns, frame.rows] = sizes;
    frame.origin[0] -= 0.37 * step;
    frame.origin[1] -= 0.21 * step;
    let at = |n: usize| height(frame.place_of(n)).map_or(f32::NAN, |h| h as f32);
    let heights = (0..frame.len()).map(at).collect();
    Heights::of(HeightMap::of(frame, heights, vec![0.0; frame.len()], 0.0).unwrap())
}

fn near(found: f64, wanted: f64, share: f64, what: &str) {
    let off = found / wanted - 1.0;
    println!(
        "{what}: {found:.2} for {wanted:.2}, off by {:.3} %",
        off * 100.0
    );
    assert!(off.abs() < share, "{what}: {found} for {wanted}");
}

/// R = 50, h = 20, base radius 40: area 6283.1853 mm2, volume 54,454.2727 mm3.
fn cap(place: Mm) -> Option<f64> {
    let square = place[0] * place[0] + place[1] * place[1];
    (square <= 1600.0).then(|| (2500.0 - square).sqrt() - 30.0)
}

/// Half of a torus of 50 and 10 that lies on the wall.
fn bead(place: Mm) -> Option<f64> {
    let off = place[0].hypot(place[1]) - 50.0;
    (off.abs() < 10.0).then(|| (100.0 - off * off).sqrt())
}

#[test]
fn closed_forms_are_met_within_half_a_hundredth_at_a_millimetre_and_closer_on_finer_grids() {
    for (step, share) in [(2.0, 0.02), (1.0, 0.005), (0.5, 0.004)] {
        let circle = ring(40.0, [0.0, 0.0]);
        let found = measures(&map(&circle, step, cap), &circle, &[]);
        near(found.surface.value.0, 6283.1853, share, "cap, surface");
        near(found.volume.value.0, 54.454_272_7, share, "cap, volume");
        near(found.highest.value.0, 20.0, share, "cap, top");

        let (outer, inner) = (ring(60.0, [0.0, 0.0]), ring(40.0, [0.0, 0.0]));
        let half = measures(&map(&outer, step, bead), &outer, &[inner]);
        near(
            half.surface.value.0,
            19_739.209 / 2.0,
            share,
            "bead, surface",
        );
        near(half.volume.value.0, 49.348_022, share, "bead, volume");

        let front = rectangle(0.0, 0.0, 300.0, 200.0);
        let on = |p: Mm| (0.0..=300.0).contains(&p[0]) && (0.0..=200.0).contains(&p[1]);
        let board = map(&front, step, |p| on(p).then_some(40.0));
        let found = measures(&board, &front, &[]);
        near(found.surface.value.0, 100_000.0, share, "box, surface");
        near(found.volume.value.0, 2400.0, share, "box, volume");
        // The wall around it may be in the map as well.
        let whole = map(&front, step, |p| Some(if on(p) { 40.0 } else { 0.0 }));
        let found = measures(&whole, &front, &[]);
        near(found.surface.value.0, 100_000.0, share, "box with its wall");

        for (high, ratio) in [(5.0, 1.024_235), (10.0, 1.092_384), (20.0, 1.320_658)] {
            let sheet = |p: Mm| Some(high * (1.0 + (TAU * p[0] / 100.0).sin()));
            let found = measures(&map(&front, step, sheet), &front, &[]);
            // Less the sides: twice along the waves, whose mean height is `high`, and both ends.
            let sides = 2.0 * 300.0 * high + 2.0 * 200.0 * high;
            let front = (found.surface.value.0 - sides) / 60_000.0;
            near(front, ratio, share, "ridged sheet");
        }
    }
}

#[test]
fn a_turned_box_is_measured_as_one_along_the_grid() {
    let turned = |[x, y]: Mm, by: f64| [x * by.cos() - y * by.sin(), x * by.sin() + y * by.cos()];
    for angle in [0.3_f64, 0.785, 1.2] {
        let front: Vec<Mm> = rectangle(0.0, 0.0, 120.0, 80.0)
            .into_iter()
            .map(|p| turned(p, angle))
            .collect();
        let on = |p: Mm| {
            let [x, y] = turned(p, -angle);
            (0.0..=120.0).contains(&x) && (0.0..=80.0).contains(&y)
        };
        let found = measures(&map(&front, 1.0, |p| on(p).then_some(25.0)), &front, &[]);
        near(
            found.surface.value.0,
            9600.0 + 400.0 * 25.0,
            0.005,
            "turned box",
        );
        near(found.volume.value.0, 240.0, 0.005, "turned box, volume");
    }
}

#[test]
fn a_range_comes_from_the_draws_and_nothing_unreal_lies_in_it() {
    let front = rectangle(0.0, 0.0, 100.0, 60.0);
    let mut heights = map(&front, 1.0, |_| Some(0.3));
    let high = heights.map.heights().iter().map(|h| h * 3.0).collect();
    heights.draws = vec![
        Draw {
            heights: high,
            scale: 1.1,
        },
        Draw {
            heights: heights.map.heights().to_vec(),
            scale: 0.9,
        },
    ];
    let found = measures(&heights, &front, &[]);
    assert!(
        (found.footprint.sd / (6000.0 * 0.2) - 1.0).abs() < 0.02,
        "{found:?}"
    );
    assert!(found.surface.low95 >= SquareMillimetres(6000.0));
    assert!(found.ratio.low95.0 >= 1.0 && found.volume.low95.0 >= 0.0);
    assert!(found.highest.low95.0 >= 0.0 && found.highest.value.0 > 0.29);
}

#[test]
fn a_ball_bends_by_one_over_its_radius_and_slopes_as_it_should() {
    let circle = ring(40.0, [0.0, 0.0]);
    let heights = map(&circle, 0.5, cap);
    let cover = Cover::of_rings(heights.map.frame(), &circle, &[]);
    let fields = fields(&heights.map, &cover);
    for distance in [0.0, 10.0, 20.0, 30.0] {
        let at = heights.map.frame().nearest([distance, 0.0]).unwrap();
        let place = heights.map.frame().place_of(at);
        let slope = (place[0].hypot(place[1]) / 50.0).asin().to_degrees();
        assert!((f64::from(fields.slope[at]) - slope).abs() < 0.1);
        near(fields.mean_curvature[at].into(), 1.0 / 50.0, 0.02, "ball");
    }
}

#[test]
fn draft_is_told_along_the_pull() {
    // A board with upright sides: its sides have no draft, its front has all.
    let front = rectangle(0.0, 0.0, 100.0, 60.0);
    let heights = map(&front, 1.0, |_| Some(10.0));
    let cover = Cover::of_rings(heights.map.frame(), &front, &[]);
    let straight = draft(&heights.map, &cover, Pull::default(), Degrees(2.0));
    near(straight.steep.0, 3200.0, 0.01, "sides");
    near(straight.share, 3200.0 / 9200.0, 0.01, "share of sides");
    assert_eq!(straight.behind, SquareMillimetres(0.0));
    // Pulled ten degrees to the right, the left side lies behind, and above and below slide.
    let lean = Pull {
        tilt: Degrees(10.0),
        toward: Degrees(0.0),
    };
    let leaning = draft(&heights.map, &cover, lean, Degrees(2.0));
    near(leaning.behind.0, 600.0, 0.01, "left side");
    near(leaning.steep.0, 2600.0, 0.01, "left side, above and below");
    let right = |p: &&Mm| p[0] > 98.0 && (5.0..55.0).contains(&p[1]);
    assert_eq!(leaning.places.iter().filter(right).count(), 0);
    // On the front, place by place: square to the pull, or ten degrees less.
    let middle = heights.map.frame().nearest([50.0, 30.0]).unwrap();
    let told = |pull| drafts(&heights.map, &cover, pull)[middle];
    assert!((told(Pull::default()) - 90.0).abs() < 1e-3 && (told(lean) - 80.0).abs() < 1e-3);
    // A cone of 45 degrees has 45 degrees of draft everywhere.
    let circle = ring(30.0, [0.0, 0.0]);
    let cone = map(&circle, 1.0, |p| Some((30.0 - p[0].hypot(p[1])).max(0.0)));
    let cover = Cover::of_rings(cone.map.frame(), &circle, &[]);
    let slope = cone.map.frame().nearest([15.0, 4.0]).unwrap();
    let toward = Pull {
        tilt: Degrees(30.0),
        toward: Degrees(180.0),
    };
    let told = |pull| drafts(&cone.map, &cover, pull)[slope];
    near(told(Pull::default()).into(), 45.0, 0.03, "draft of a cone");
    // Away from the pull less: the slope looks to the right, and a little down.
    let turned = (15.0_f64.atan2(4.0).sin() / 2.0_f64.sqrt())
        .mul_add(-0.5, 0.75_f64.sqrt() / 2.0_f64.sqrt());
    near(
        told(toward).into(),
        turned.asin().to_degrees(),
        0.05,
        "draft behind",
    );
    let all = |least| draft(&cone.map, &cover, Pull::default(), Degrees(least)).share;
    assert!(all(40.0) < 0.01 && all(50.0) > 0.98);
    near(
        draft(&cone.map, &cover, Pull::default(), Degrees(2.0))
            .surface
            .0,
        PI * 900.0 * 2.0_f64.sqrt(),
        0.005,
        "cone",
    );
}

#[test]
fn strokes_tell_the_surface_that_overhangs_each_place_once() {
    let front = rectangle(0.0, 0.0, 100.0, 60.0);
    let heights = map(&front, 0.5, |_| Some(10.0));
    let cover = Cover::of_rings(heights.map.frame(), &front, &[]);
    let stroke = Overhang {
        path: vec![[20.0, 30.0], [60.0, 30.0]],
        radius: Millimetres(5.0),
    };
    let once = overhung(&heights.map, &cover, std::slice::from_ref(&stroke));
    near(once.0, 400.0 + PI * 25.0, 0.02, "a stroke");
    let twice = overhung(&heights.map, &cover, &[stroke.clone(), stroke]);
    assert_eq!(once, twice);
    let tap = Overhang {
        path: vec![[0.0, 30.0]],
        radius: Millimetres(5.0),
    };
    near(
        overhung(&heights.map, &cover, &[tap]).0,
        PI * 12.5,
        0.05,
        "a tap on the edge",
    );
    assert!(Overhang::default().check().is_err());
}
