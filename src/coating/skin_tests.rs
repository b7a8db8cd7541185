//! Skins on bodies whose answer is known.

use super::card::Hold;
use super::skin::*;
use super::*;
use crate::quantity::{Estimate, Grams, Millimetres, Pascals, SquareMillimetres};
use crate::relief::{Frame, HeightMap};
use crate::survey::{Mm, Region};
use std::f64::consts::TAU;

fn ring(radius: f64) -> Vec<Mm> {
    let place = |n: usize| {
        let angle = n as f64 / 180.0 * TAU;
        [radius * angle.cos(), radius * angle.sin()]
    };
    (0..180).map(place).collect()
}

fn piece(outline: &[Mm], longest: usize, height: impl Fn(Mm) -> f64) -> PlanInput {
    let frame = Frame::around(outline, longest).unwrap();
    let cover = crate::relief::Cover::of_rings(frame, outline, &[]);
    let at = |n: usize| match cover.inside()[n] {
        true => height(frame.place_of(n)) as f32,
        false => f32::NAN,
    };
    let heights = (0..frame.len()).map(at).collect();
    let map = HeightMap::of(frame, heights, vec![0.1; frame.len()], 0.0).unwrap();
    let region = Region::of(outline, &[]);
    let mut input = PlanInput::of_piece(
        Estimate::exact(SquareMillimetres(region.area())),
        Estimate::exact(Millimetres(region.edge_length())),
        Relief::default(),
    );
    input.rings = Some(Rings {
        outline: outline.to_vec(),
        ..Rings::default()
    });
    input.heights = Some(map);
    input
}

fn skin(input: &PlanInput) -> (Plan, SkinMap) {
    let plan = plan(input).unwrap();
    let skin = skin_map(input, &plan).unwrap();
    (plan, skin)
}

fn at(skin: &SkinMap, place: Mm) -> f64 {
    skin.thickness[skin.frame.nearest(place).unwrap()].into()
}

/// What lies on the piece, over what was planned on its surface.
fn conserved(skin: &SkinMap) -> f64 {
    let known = skin.thickness.iter().zip(&skin.areas);
    let known = known.filter(|(t, _)| !t.is_nan());
    let laid: f64 = known.map(|(t, area)| f64::from(*t) * area).sum();
    laid / (skin.planned.0 * skin.areas.iter().sum::<f64>())
}

/// R = 50, h = 20.
fn cap(place: Mm) -> f64 {
    (2500.0 - place[0] * place[0] - place[1] * place[1])
        .max(0.0)
        .sqrt()
        - 30.0
}

fn dome() -> PlanInput {
    piece(&ring(40.0), 120, |place| cap(place).max(0.0))
}

#[test]
fn on_a_flat_the_skin_is_even() {
    let (_, skin) = skin(&piece(&ring(40.0), 80, |_| 0.0));
    let known = || skin.thickness.iter().filter(|t| !t.is_nan());
    assert!(known().count() > 1000);
    assert!(known().all(|t| (f64::from(*t) - skin.planned.0).abs() < 1e-5));
    assert_eq!(
        (skin.thinnest.len(), skin.grow, skin.too_thin),
        (0, Some(1.0), 0.0)
    );
}

#[test]
fn a_dome_is_evenly_thinner_and_its_foot_thicker() {
    let input = dome();
    let (plan, skin) = skin(&input);
    let top = at(&skin, [0.0, 0.0]);
    assert!(top < 0.97 * skin.planned.0, "{top} of {:?}", skin.planned);
    for place in [[15.0, 0.0], [0.0, -20.0], [14.0, 14.0]] {
        assert!(
            (at(&skin, place) / top - 1.0).abs() < 0.01,
            "{}",
            at(&skin, place)
        );
    }
    let foot = at(&skin, [39.0, 0.0]);
    assert!(foot > 1.05 * skin.planned.0, "{foot}");
    assert!(
        (conserved(&skin) - 1.0).abs() < 1e-3,
        "{}",
        conserved(&skin)
    );
    // The areas are those of the cap.
    let surface: f64 = skin.areas.iter().sum();
    assert!((surface / 6283.1853 - 1.0).abs() < 0.005, "{surface}");
    // A ball of 50 leaves a flat's coats the share 1 / (1 + 2 t / 50) each, and all coats are in
    // proportion to each other as those shares.
    let dense: f64 = plan
        .coats
        .iter()
        .map(|c| c.thickness.0 / (1.0 + 2.0 * c.thickness.0 / 50.0))
        .sum();
    assert!(top > dense && top < skin.planned.0, "{top} {dense}");
}

#[test]
fn a_stiff_paste_stays_where_it_is_put_and_a_runny_one_does_not() {
    let thin = |stress| {
        let mut input = dome();
        input.card.hold = Some(Hold::YieldStress(Pascals(stress)));
        let (_, skin) = skin(&input);
        assert!((conserved(&skin) - 1.0).abs() < 1e-3);
        at(&skin, [0.0, 0.0]) / skin.planned.0
    };
    assert!((thin(10_000.0) - 1.0).abs() < 1e-3, "{}", thin(10_000.0));
    assert!(thin(10.0) < thin(25.0) && thin(25.0) < thin(100.0));
    // The card's own word goes before.
    let mut input = dome();
    input.card.levelling = Some(0.0);
    let (_, skin) = skin(&input);
    assert!((at(&skin, [0.0, 0.0]) / skin.planned.0 - 1.0).abs() < 1e-6);
}

/// Three knobs on a board of 120 mm, the middle one sharpest.
fn knobs() -> PlanInput {
    let board = [[0.0, 0.0], [120.0, 0.0], [120.0, 60.0], [0.0, 60.0]];
    piece(&board, 180, |[x, y]| {
        let knob = |a: f64, wide: f64| {
            12.0 * (-((x - a).powi(2) + (y - 30.0).powi(2)) / (2.0 * wide * wide)).exp()
        };
        knob(25.0, 7.0) + knob(60.0, 5.0) + knob(95.0, 7.0)
    })
}

#[test]
fn the_thinnest_spots_are_the_tops_and_are_told_with_their_dabs() {
    let (_, skin) = skin(&knobs());
    assert!(
        skin.thinnest.len() >= 3 && skin.thinnest.len() <= 5,
        "{:?}",
        skin.thinnest
    );
    for (n, x) in [(0, 60.0), (1, 25.0), (2, 95.0)] {
        let near = |spot: &ThinSpot| (spot.at[0] - x).hypot(spot.at[1] - 30.0) < 2.0;
        let found = skin.thinnest.iter().position(near);
        assert!(
            found.is_some_and(|at| if n == 0 { at == 0 } else { at > 0 }),
            "{:?}",
            skin.thinnest
        );
    }
    let order = skin.thinnest.windows(2);
    assert!(
        order
            .into_iter()
            .all(|pair| pair[0].thickness <= pair[1].thickness)
    );
    assert!(skin.thinnest[0].dab > Grams(0.1) && skin.thinnest[0].dab < Grams(10.0));
    assert!((conserved(&skin) - 1.0).abs() < 1e-3);
}

#[test]
fn what_is_too_thin_tells_how_much_each_coat_has_to_grow() {
    let mut input = knobs();
    let (_, even) = skin(&input);
    let least = even.thinnest[0].thickness;
    input.card.least_skin = Some(least + Millimetres(0.5));
    let (_, short) = skin(&input);
    assert!(short.thinnest[0].too_thin && short.too_thin > 0.0 && short.too_thin < 0.2);
    let grow = short.grow.unwrap();
    assert!(grow > 1.0, "{grow}");
    let grown = input.coats.iter_mut();
    grown.for_each(|coat| coat.thickness = coat.thickness * (grow * 1.01));
    let (_, enough) = skin(&input);
    assert_eq!(enough.too_thin, 0.0);
    assert_eq!(enough.grow, Some(1.0));
    input.card.least_skin = Some(Millimetres(50.0));
    assert_eq!(skin(&input).1.grow, None);
}

#[test]
fn high_spots_come_from_the_map_where_there_is_one() {
    let share = |input: &PlanInput| plan(input).unwrap().high_spots.unwrap().share;
    let knobs = share(&knobs());
    assert!(knobs > 0.005 && knobs < 0.3, "{knobs}");
    let mut guessed = dome();
    guessed.heights = None;
    guessed.relief.highest = Millimetres(20.0);
    assert_eq!(share(&guessed), practice::HIGH_SPOT_SHARE.value);
}
