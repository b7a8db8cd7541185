//! The survey as its callers see it: walls of known pose, bad marks, marks that contradict each
//! other, and whatever else a file may hold.

use peelcast::quantity::{Estimate, Millimetres};
use peelcast::survey::{
    EdgeError, Evidence, ImageSize, Lens, Mm, Px, Wall, WallProblem, fit_wall, footprint,
};
use proptest::prelude::*;

const SIZE: ImageSize = ImageSize {
    width: 4000,
    height: 3000,
};
const LENS: Lens = Lens {
    focal_px: 3000.0,
    focal_sd_px: 15.0,
    center_px: [1999.5, 1499.5],
    k1: -0.03,
    k2: 0.01,
    k_sd: 0.005,
};
const TILT_DEG: f64 = 25.0;

/// A camera 700 mm from the wall's zero, tilted about the upright axis; written out by hand.
fn seen(mm: Mm) -> Px {
    let (s, c) = TILT_DEG.to_radians().sin_cos();
    let p = [c * mm[0], mm[1], 700.0 - s * mm[0]];
    let (x, y) = (p[0] / p[2], p[1] / p[2]);
    let r2 = x * x + y * y;
    let bend = 1.0 + LENS.k1 * r2 + LENS.k2 * r2 * r2;
    [
        LENS.focal_px * bend * x + LENS.center_px[0],
        LENS.focal_px * bend * y + LENS.center_px[1],
    ]
}

/// Gravity in that camera's frame.
const GRAVITY: [f64; 3] = [0.0, 1.0, 0.0];

fn grid() -> Vec<Mm> {
    (0..12)
        .map(|i| [f64::from(i % 4) * 30.0 - 150.0, f64::from(i / 4) * 30.0])
        .collect()
}

fn problem(marks: impl IntoIterator<Item = (Px, Mm)>) -> WallProblem {
    let marks = marks.into_iter();
    let marks = marks.map(|(px, mm)| Evidence::point(px, mm));
    WallProblem {
        lens: Some(LENS),
        ..WallProblem::new(SIZE, marks.collect())
    }
}

fn sound() -> WallProblem {
    problem(grid().into_iter().map(|mm| (seen(mm), mm)))
}

const SQUARE: [Mm; 4] = [[0.0, -80.0], [200.0, -80.0], [200.0, 80.0], [0.0, 80.0]];
const AREA: f64 = 200.0 * 160.0;

fn area(wall: &Wall) -> peelcast::quantity::Estimate<peelcast::quantity::SquareMillimetres> {
    footprint(wall, &SQUARE.map(seen), &[], EdgeError::points(0.5))
        .unwrap()
        .area
}

#[test]
fn what_stands_before_the_wall_comes_back_to_its_pixel() {
    let size = ImageSize {
        width: 1600,
        height: 1200,
    };
    let marks = [
        ([400.0, 300.0], [0.0, 0.0]),
        ([800.0, 330.0], [200.0, 0.0]),
        ([810.0, 600.0], [200.0, 150.0]),
        ([395.0, 615.0], [0.0, 150.0]),
    ];
    let marks = marks.map(|(px, mm)| Evidence::point(px, mm));
    let wall = fit_wall(&WallProblem::new(size, marks.to_vec())).unwrap();
    let flat = Estimate::exact(Millimetres(0.0));
    for height in [-12.0, 0.0, 25.0] {
        let traced = wall.traced(&Estimate::exact(Millimetres(height)), &flat);
        let px = [700.0, 500.0];
        let back = traced.to_photo(traced.to_wall(px).unwrap()).unwrap();
        assert!((back[0] - px[0]).hypot(back[1] - px[1]) < 1e-6, "{back:?}");
        assert_eq!(
            traced.sight().to_photo(traced.to_wall(px).unwrap()),
            Some(back)
        );
    }
}

#[test]
fn a_wall_of_known_pose_is_found_exactly() {
    let wall = fit_wall(&sound()).unwrap();
    assert!(
        (wall.tilt().value.0 - TILT_DEG).abs() < 1e-6,
        "{:?}",
        wall.tilt()
    );
    assert!((area(&wall).value.0 / AREA - 1.0).abs() < 1e-9);
    let back = wall
        .to_wall(wall.to_photo([123.0, -45.0]).unwrap())
        .unwrap();
    assert!((back[0] - 123.0).abs() < 1e-9 && (back[1] + 45.0).abs() < 1e-9);
    assert!(wall.notes().is_empty());
}

#[test]
fn a_wall_whose_y_runs_upwards_is_the_same_wall() {
    let up = problem(grid().into_iter().map(|mm| (seen(mm), [mm[0], -mm[1]])));
    let wall = fit_wall(&up).unwrap();
    let other = fit_wall(&sound()).unwrap();
    assert!((wall.tilt().value.0 - TILT_DEG).abs() < 1e-6);
    assert!((area(&wall).value.0 / area(&other).value.0 - 1.0).abs() < 1e-9);
    assert!((area(&wall).sd / area(&other).sd - 1.0).abs() < 1e-6);
}

#[test]
fn where_the_walls_zero_lies_does_not_matter() {
    let far = problem(
        grid()
            .into_iter()
            .map(|mm| (seen(mm), [mm[0] + 9e5, mm[1] - 9e5])),
    );
    let (wall, other) = (fit_wall(&far).unwrap(), fit_wall(&sound()).unwrap());
    assert!((area(&wall).value.0 / area(&other).value.0 - 1.0).abs() < 1e-7);
    assert!((area(&wall).sd / area(&other).sd - 1.0).abs() < 1e-4);
}

#[test]
fn an_unknown_lens_widens_the_range() {
    let known = area(&fit_wall(&sound()).unwrap());
    let wall = fit_wall(&WallProblem {
        lens: None,
        ..sound()
    })
    .unwrap();
    let unknown = area(&wall);
    assert!(unknown.sd > 1.5 * known.sd, "{known:?} {unknown:?}");
    assert!(unknown.low95.0 < AREA && AREA < unknown.high95.0);
}

#[test]
fn gravity_narrows_what_the_marks_leave_open() {
    // The wall leans by nothing: its normal is level, and gravity says so to half a degree.
    let small: Vec<_> = [[-40.0, -10.0], [40.0, -10.0], [40.0, 10.0], [-40.0, 10.0]]
        .into_iter()
        .map(|mm| (seen(mm), mm))
        .collect();
    let told = WallProblem {
        gravity: Some(GRAVITY),
        ..problem(small.clone())
    };
    // Above the marks: a square about their height wouldn't feel the wall lean.
    let above = SQUARE.map(|mm| seen([mm[0], mm[1] - 150.0]));
    let [without, with] = [problem(small), told].map(|problem| {
        let wall = fit_wall(&problem).unwrap();
        footprint(&wall, &above, &[], EdgeError::points(0.5))
            .unwrap()
            .area
    });
    assert!(with.sd < 0.9 * without.sd, "{with:?} {without:?}");
    assert!((with.value.0 / AREA - 1.0).abs() < 1e-6);
}

#[test]
fn each_mark_counts_by_its_own_spread() {
    let exact: Vec<Evidence> = sound()
        .evidence
        .into_iter()
        .map(|e| e.known_to(0.1))
        .collect();
    let all = WallProblem {
        evidence: exact.clone(),
        ..sound()
    };
    let same = WallProblem {
        point_sd_px: 0.1,
        ..sound()
    };
    assert_eq!(
        area(&fit_wall(&all).unwrap()),
        area(&fit_wall(&same).unwrap())
    );
    // A thumbed mark 6 pixels off beside exact ones does no harm when it is known to be loose,
    // and contradicts them when it is said to be as good.
    let moved = |sd: f64| {
        let Evidence::Point { px, mm, .. } = exact[5] else {
            unreachable!("points alone")
        };
        let mut evidence = exact.clone();
        evidence[5] = Evidence::point([px[0] + 6.0, px[1]], mm).known_to(sd);
        fit_wall(&WallProblem {
            evidence,
            ..sound()
        })
        .unwrap()
    };
    let loose = moved(6.0);
    assert!(loose.notes().is_empty(), "{:?}", loose.notes());
    assert!((area(&loose).value.0 / AREA - 1.0).abs() < 1e-3);
    let said = moved(0.1).notes().join(" ");
    assert!(
        said.contains("Mark 6") && said.contains("pixels off"),
        "{said}"
    );
    let bad = sound()
        .evidence
        .into_iter()
        .map(|e| e.known_to(f64::NAN))
        .collect();
    let error = fit_wall(&WallProblem {
        evidence: bad,
        ..sound()
    })
    .unwrap_err();
    assert_eq!(error.field(), "evidence[0].sd_px");
}

#[test]
fn a_mark_in_the_wrong_place_is_named() {
    let mut marks: Vec<_> = grid().into_iter().map(|mm| (seen(mm), mm)).collect();
    marks[6].0[0] += 8.0;
    let wall = fit_wall(&problem(marks)).unwrap();
    let note = wall.notes().first().expect("a contradiction is told");
    assert!(
        note.contains("contradict") && note.contains("Mark 7"),
        "{note}"
    );
    assert!(area(&wall).sd > 2.0 * area(&fit_wall(&sound()).unwrap()).sd);
}

/// Readings of a level rule, 40 mm below the wall's zero.
fn readings() -> WallProblem {
    let tick = |i: i32| {
        let at = f64::from(i) * 20.0;
        Evidence::tick(seen([at - 80.0, 40.0]), at, "a")
    };
    WallProblem {
        gravity: Some(GRAVITY),
        evidence: (0..9).map(tick).collect(),
        ..problem([])
    }
}

#[test]
fn one_rule_and_gravity_give_the_wall() {
    let found = area(&fit_wall(&readings()).unwrap());
    assert!((found.value.0 / AREA - 1.0).abs() < 0.005, "{found:?}");
    assert!(found.sd / found.value.0 < 0.02, "{found:?}");
    let mut without = readings();
    without.gravity = None;
    assert!(area(&fit_wall(&without).unwrap()).sd > 4.0 * found.sd);
}

/// The same readings and gravity as if the wall were leant back by `angle` degrees: gravity is
/// turned about the wall's level way.
fn leant(angle: f64) -> WallProblem {
    let (turn_sin, turn_cos) = TILT_DEG.to_radians().sin_cos();
    let (sin, cos) = angle.to_radians().sin_cos();
    // Into the wall, as that camera sees it.
    let into = [turn_sin, 0.0, turn_cos];
    WallProblem {
        gravity: Some([into[0] * sin, cos, into[2] * sin]),
        wall_angle_deg: angle,
        ..readings()
    }
}

#[test]
fn one_rule_and_gravity_give_a_wall_that_leans_or_lies() {
    let upright = area(&fit_wall(&readings()).unwrap());
    for angle in [-90.0, -50.0, -20.0, 30.0, 50.0, 90.0] {
        let found = area(&fit_wall(&leant(angle)).unwrap());
        assert!(
            (found.value.0 / AREA - 1.0).abs() < 0.005,
            "{angle}: {found:?}"
        );
        assert!(found.sd < 1.2 * upright.sd, "{angle}: {found:?}");
    }
    // What lies has its normal from gravity alone, and leaves nothing of its turn open.
    let lying = area(&fit_wall(&leant(90.0)).unwrap());
    assert!(lying.sd < 0.9 * upright.sd, "{lying:?} {upright:?}");
}

#[test]
fn a_plane_that_may_lean_either_way_has_the_range_for_both() {
    // 70 degrees back, seen from above: one level rule looks the same where it leans forth.
    let wall = fit_wall(&leant(70.0)).unwrap();
    let found = area(&wall);
    assert!(found.sd > 0.05 * AREA, "{found:?}");
    assert!(found.low95.0 < AREA && AREA < found.high95.0, "{found:?}");
}

#[test]
fn a_stated_angle_counts_by_its_spread() {
    // Said to lean by 30 degrees where it leans by 32: wrong by four times the spread, or by one.
    let said = |sd: f64| WallProblem {
        wall_angle_deg: 30.0,
        wall_angle_sd_deg: sd,
        ..leant(32.0)
    };
    // Above the rule: a square about its height wouldn't feel the wall lean.
    let above = SQUARE.map(|mm| seen([mm[0], mm[1] - 150.0]));
    let [sharp, wide] = [0.1, 2.0].map(|sd| {
        let wall = fit_wall(&said(sd)).unwrap();
        footprint(&wall, &above, &[], EdgeError::points(0.5))
            .unwrap()
            .area
    });
    assert!(wide.sd > 1.5 * sharp.sd, "{sharp:?} {wide:?}");
    assert!(wide.low95.0 < AREA && AREA < wide.high95.0, "{wide:?}");
}

#[test]
fn a_wall_that_cannot_stand_so_is_refused_by_its_field() {
    let field = |problem: WallProblem| fit_wall(&problem).unwrap_err().field().to_owned();
    let angle = |wall_angle_deg| WallProblem {
        wall_angle_deg,
        ..readings()
    };
    assert_eq!(field(angle(120.0)), "wall_angle_deg");
    assert_eq!(field(angle(f64::NAN)), "wall_angle_deg");
    let sharp = WallProblem {
        wall_angle_sd_deg: 0.0,
        ..readings()
    };
    assert_eq!(field(sharp), "wall_angle_sd_deg");
    // A floor seen by a camera that looks up.
    let floor = WallProblem {
        wall_angle_deg: 90.0,
        ..leant(-90.0)
    };
    assert!(
        fit_wall(&floor)
            .unwrap_err()
            .to_string()
            .contains("looked up")
    );
    let mut level = leant(90.0);
    level.evidence.push(Evidence::Level { rule: "a".into() });
    let said = fit_wall(&level).unwrap_err();
    assert!(said.to_string().contains("every rule is level"), "{said}");
}

#[test]
fn a_reading_in_the_wrong_place_is_named_and_spoils_little() {
    let mut slipped = readings();
    let Evidence::Tick { px, .. } = &mut slipped.evidence[3] else {
        unreachable!("the rule has ticks alone");
    };
    *px = seen([-10.0, 40.0]);
    let wall = fit_wall(&slipped).unwrap();
    let said = wall.notes().join(" ");
    assert!(
        said.contains("Mark 4 on rule a") && said.contains("is the 60 mm mark really at 60 mm?"),
        "{said}"
    );
    assert!((area(&wall).value.0 / AREA - 1.0).abs() < 0.03);
}

#[test]
fn two_marks_answer_with_a_wide_range_and_what_would_narrow_it() {
    let marks = [[-80.0, 0.0], [80.0, 0.0]];
    let wall = fit_wall(&problem(marks.map(|mm| (seen(mm), mm)))).unwrap();
    let found = footprint(&wall, &SQUARE.map(seen), &[], EdgeError::points(0.5)).unwrap();
    assert!(found.area.low95.0 < AREA && AREA < found.area.high95.0);
    assert!(found.area.high95.0 > 1.2 * found.area.low95.0, "{found:?}");
    let said = found.notes.join(" ");
    assert!(
        said.contains("how the wall is turned") && said.contains("helps most"),
        "{said}"
    );
}

#[test]
fn a_face_before_the_wall_is_measured_by_its_own_distance() {
    // The face's corners, 30 mm before the wall: the camera's frame with the wall brought nearer.
    let (s, c) = TILT_DEG.to_radians().sin_cos();
    let on_face = |mm: Mm| {
        let p = [c * mm[0] - 30.0 * s, mm[1], 700.0 - s * mm[0] - 30.0 * c];
        let (x, y) = (p[0] / p[2], p[1] / p[2]);
        let r2 = x * x + y * y;
        let bend = LENS.focal_px * (1.0 + LENS.k1 * r2 + LENS.k2 * r2 * r2);
        [bend * x + LENS.center_px[0], bend * y + LENS.center_px[1]]
    };
    let wall = fit_wall(&sound()).unwrap();
    let measure = |wall: &Wall| {
        footprint(wall, &SQUARE.map(on_face), &[], EdgeError::points(0.1))
            .unwrap()
            .area
    };
    let flat = measure(&wall);
    assert!(flat.value.0 > 1.08 * AREA, "{flat:?}");
    // 30 mm before the reference: all of it the outline's, or two thirds the reference's.
    for (outline, reference) in [(30.0, 0.0), (10.0, -20.0)] {
        let raised = |wall: &Wall, sd: [f64; 2]| {
            measure(&wall.traced(
                &Estimate::normal(Millimetres(outline), sd[0]),
                &Estimate::normal(Millimetres(reference), sd[1]),
            ))
        };
        let sharp = raised(&wall, [0.0, 0.0]);
        assert!((sharp.value.0 / AREA - 1.0).abs() < 1e-6);
        assert!(raised(&wall, [5.0, 0.0]).sd > 2.0 * sharp.sd);
        let both = raised(&wall, [3.0, 4.0]).sd;
        assert!((both / raised(&wall, [5.0, 0.0]).sd - 1.0).abs() < 1e-6);
    }
}

#[test]
fn a_height_counts_for_more_where_the_focal_length_is_not_known() {
    // A small reference hardly tells a near camera with a short lens from a far one with a long.
    let small: Vec<_> = [[-40.0, -30.0], [40.0, -30.0], [40.0, 30.0], [-40.0, 30.0]]
        .into_iter()
        .map(|mm| (seen(mm), mm))
        .collect();
    let height = |mm| Estimate::exact(Millimetres(mm));
    let grows = |lens| {
        let wall = fit_wall(&WallProblem {
            lens,
            ..problem(small.clone())
        })
        .unwrap();
        let on_small = small.iter().map(|mark| mark.0).collect::<Vec<_>>();
        let sd = |mm| {
            let wall = wall.traced(&height(mm), &height(0.0));
            footprint(&wall, &on_small, &[], EdgeError::points(0.1))
                .unwrap()
                .area
                .relative_sd()
        };
        sd(60.0) / sd(0.0)
    };
    let (known, unknown) = (grows(Some(LENS)), grows(None));
    assert!(known < 1.5 && unknown > 3.0, "{known} {unknown}");
}

#[test]
fn swapped_marks_are_refused_or_told_of() {
    let corners = [[-150.0, 0.0], [-60.0, 0.0], [-60.0, 60.0], [-150.0, 60.0]];
    let mut marks: Vec<_> = corners.into_iter().map(|mm| (seen(mm), mm)).collect();
    let (a, b) = (marks[0].0, marks[1].0);
    (marks[0].0, marks[1].0) = (b, a);
    let said = fit_wall(&problem(marks)).unwrap_err();
    assert!(said.to_string().contains("swapped"), "{said}");
}

#[test]
fn marks_that_fix_nothing_are_refused_with_advice() {
    let refusal = |marks: Vec<(Px, Mm)>| {
        let error = fit_wall(&problem(marks)).unwrap_err();
        (error.field().to_owned(), error.to_string())
    };
    let of = |places: &[Mm]| places.iter().map(|&mm| (seen(mm), mm)).collect::<Vec<_>>();

    let (field, said) = refusal(of(&grid()[..1]));
    assert!(
        field == "evidence" && said.contains("One point is marked") && said.contains("Mark two"),
        "{said}"
    );
    assert!(refusal(of(&[])).1.contains("No point is marked"));

    let line = [
        [0.0, 0.0],
        [10.0, 5.0],
        [20.0, 10.0],
        [40.0, 20.0],
        [60.0, 30.0],
    ];
    let (field, said) = refusal(of(&line));
    assert!(
        field == "evidence" && said.contains("in one line"),
        "{said}"
    );

    let three = [[0.0, 0.0], [10.0, 5.0], [20.0, 10.0], [40.0, -20.0]];
    assert!(refusal(of(&three)).1.contains("no three lie in a line"));

    let mut twice = of(&grid());
    twice[5].0 = twice[2].0;
    let (field, said) = refusal(twice);
    assert!(
        field == "evidence[5].px" && said.contains("Marks 3 and 6"),
        "{field} {said}"
    );

    let mut far = of(&grid());
    far[1].0 = [1e7, 0.0];
    assert_eq!(refusal(far).0, "evidence[1].px");
    let mut nan = of(&grid());
    nan[1].1 = [f64::NAN, 0.0];
    assert_eq!(refusal(nan).0, "evidence[1].mm");
}

#[test]
fn an_outline_past_the_horizon_is_refused_by_its_point() {
    // With a focal length of 1000 pixels the horizon of a wall tilted by 25 degrees is seen
    // 1000 / tan 25° = 2145 pixels to the left of the middle, 145 to the left of the picture.
    let wide = |mm: Mm| {
        let (s, c) = TILT_DEG.to_radians().sin_cos();
        let far = 700.0 - s * mm[0];
        [
            1999.5 + 1000.0 * c * mm[0] / far,
            1499.5 + 1000.0 * mm[1] / far,
        ]
    };
    let wall = fit_wall(&WallProblem {
        lens: Some(Lens {
            focal_px: 1000.0,
            k1: 0.0,
            k2: 0.0,
            ..LENS
        }),
        ..problem(grid().into_iter().map(|mm| (wide(mm), mm)))
    })
    .unwrap();
    let outline = [wide([0.0, 0.0]), [-300.0, 1400.0], wide([0.0, 50.0])];
    let error = footprint(&wall, &outline, &[], EdgeError::points(0.5)).unwrap_err();
    assert_eq!(error.field(), "outline_px[1]");
    assert!(error.to_string().contains("past the wall"), "{error}");
}

#[test]
fn the_spread_is_what_repeated_marking_shows() {
    // A counted sequence of disturbances, spread evenly over the bell curve.
    let mut state = 12345_u64;
    let mut bell = || {
        let sum: f64 = (0..12)
            .map(|_| {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1);
                (state >> 11) as f64 / (1_u64 << 53) as f64
            })
            .sum();
        sum - 6.0
    };
    let sharp = Lens {
        focal_sd_px: 0.0,
        k_sd: 0.0,
        ..LENS
    };
    let runs = 400;
    let (mut areas, mut variance) = (Vec::new(), 0.0);
    for _ in 0..runs {
        let mut disturbed = |mm: Mm| seen(mm).map(|c| c + 0.5 * bell());
        let marks: Vec<_> = grid().into_iter().map(|mm| (disturbed(mm), mm)).collect();
        let outline = SQUARE.map(&mut disturbed);
        let wall = fit_wall(&WallProblem {
            lens: Some(sharp),
            ..problem(marks)
        })
        .unwrap();
        let area = footprint(&wall, &outline, &[], EdgeError::points(0.5))
            .unwrap()
            .area;
        areas.push(area.value.0);
        variance += area.sd * area.sd / f64::from(runs);
    }
    let mean = areas.iter().sum::<f64>() / f64::from(runs);
    let seen = areas.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / f64::from(runs - 1);
    // The spread of a spread from 400 runs is 3.5 %.
    let ratio = (seen / variance).sqrt();
    assert!((0.9..1.1).contains(&ratio), "seen over said {ratio}");
    assert!((mean / AREA - 1.0).abs() < 0.002, "{mean}");
}

/// Any number that a file may hold.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -5000.0..9000.0f64,
        1 => prop::sample::select(vec![0.0, -0.0, 1e-300, 1e300, f64::NAN, f64::INFINITY, -1.0]),
    ]
}

fn any_pair() -> impl Strategy<Value = [f64; 2]> {
    [any_number(), any_number()]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn nothing_makes_it_panic_or_answer_without_a_number(
        marks in prop::collection::vec((any_pair(), any_pair()), 0..8),
        lens in prop::option::of(([any_number(), any_number(), any_number()], [-1.0..1.0f64, -1.0..1.0f64])),
        gravity in prop::option::of([-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64]),
        sd in any_number(),
        wall_angle_deg in prop_oneof![any_number(), -90.0..=90.0f64],
        outline in prop::collection::vec(any_pair(), 0..8),
        hole in prop::collection::vec(any_pair(), 0..5),
    ) {
        let lens = lens.map(|([f, s, c], [k1, k2])| Lens {
            focal_px: f, focal_sd_px: s, center_px: [c, c], k1, k2, k_sd: 0.01,
        });
        let problem = WallProblem { lens, gravity, point_sd_px: sd, wall_angle_deg, ..problem(marks) };
        if let Ok(wall) = fit_wall(&problem)
            && let Ok(found) = footprint(&wall, &outline, &[hole], EdgeError::points(0.5))
        {
            for number in [found.area.value.0, found.area.sd, found.area.low95.0,
                found.area.high95.0, found.perimeter.sd, found.tilt.sd] {
                prop_assert!(number.is_finite());
            }
        }
    }

    #[test]
    fn any_four_corners_of_a_view_give_back_the_wall(
        x in -200.0..0.0f64, y in -100.0..0.0f64, width in 60.0..200.0f64, height in 60.0..200.0f64,
    ) {
        let corners = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]];
        let wall = fit_wall(&problem(corners.map(|mm| (seen(mm), mm)))).unwrap();
        prop_assert!((area(&wall).value.0 / AREA - 1.0).abs() < 1e-6);
    }
}
