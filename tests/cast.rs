//! Casts: masses, parts, heat, food, and what must always hold.

use peelcast::casting::{
    CastInput, CastPlan, CastingError, FoodVerdict, HeatVerdict, MediumCard, cast, starter_media,
};
use peelcast::coating::{FoodStatement, Relief, ReliefKind, Source, Topic, starter_cards};
use peelcast::quantity::show::System;
use peelcast::quantity::{Celsius, Estimate, Grams, Millimetres, SquareMillimetres};
use proptest::prelude::*;

fn medium(id: &str) -> MediumCard {
    starter_media().into_iter().find(|m| m.id == id).unwrap()
}

/// A flat tile 100 x 100 x 10 mm: 100 ml, with nothing unsure but the medium.
fn tile(id: &str) -> CastInput {
    let mut input = CastInput::of_piece(
        Estimate::exact(SquareMillimetres(10_000.0)),
        Relief::default(),
        medium(id),
        starter_cards().swap_remove(0),
    );
    input.backing = Millimetres(10.0);
    input
}

fn parts(plan: &CastPlan) -> Vec<(&str, f64)> {
    plan.parts
        .iter()
        .map(|(name, g)| (name.as_str(), g.0))
        .collect()
}

#[test]
fn a_plaster_tile_is_its_volume_at_the_slurrys_density() {
    // 70 water to 100 plaster makes 1.598 g/ml with 0.940 kg of plaster in a litre.
    let mut input = tile("gypsum-70");
    input.medium.density_spread = 0.0;
    input.scale_step = Grams(0.1);
    let made = cast(&input).unwrap();
    assert!(
        (made.mass_each.value.0 - 159.8).abs() < 0.05,
        "{:?}",
        made.mass_each
    );
    // What stays in the bowl is a twentieth of the mix.
    let plaster = 94.0 / 0.95;
    let made = parts(&made);
    assert_eq!((made[0].0, made[1].0), ("Plaster", "Water"));
    assert!((made[0].1 - plaster).abs() < 0.3, "{made:?}");
    assert!((made[1].1 - 0.7 * plaster).abs() < 0.3, "{made:?}");
}

#[test]
fn three_parts_keep_their_ratio() {
    let made = cast(&tile("cement-mortar")).unwrap();
    let made = parts(&made);
    let water = made[2].1;
    assert!((made[0].1 - 2.0 * water).abs() <= 1.0 && (made[1].1 - 6.0 * water).abs() <= 1.0);
}

#[test]
fn the_heat_is_judged_with_its_margin() {
    let verdict = |hottest: Option<f64>, limit: Option<f64>| {
        let mut input = tile("cooked-sugar");
        match hottest {
            Some(t) => input.medium.pour_temperature.as_mut().unwrap().value = Celsius(t),
            None => input.medium.pour_temperature = None,
        }
        input.card.service_max = limit.map(Celsius);
        cast(&input).unwrap().heat
    };
    use HeatVerdict::*;
    assert!(matches!(verdict(Some(150.0), Some(170.0)), Stands { .. }));
    assert!(matches!(verdict(Some(150.1), Some(170.0)), Close { .. }));
    assert!(matches!(verdict(Some(170.0), Some(170.0)), Close { .. }));
    assert!(matches!(verdict(Some(170.1), Some(170.0)), TooHot { .. }));
    assert!(matches!(verdict(Some(40.0), None), UnknownAskSheet { .. }));
    assert!(matches!(verdict(None, None), Stands { hottest: None, .. }));
}

#[test]
fn a_limit_that_is_only_practice_defers_to_the_sheet() {
    let mut input = tile("isomalt");
    let general = cast(&input).unwrap().heat;
    assert_eq!(
        general.sentence(System::Metric),
        "The mould stands it: 177 °C at most, and its limit is 204 °C. That limit is common practice only: the paste's sheet decides."
    );
    input.card.marks.service_max = Source::YourSheet;
    input.card.service_max = Some(Celsius(180.0));
    let own = cast(&input).unwrap().heat;
    assert_eq!(
        own.sentence(System::UsCustomary),
        "That is close: 351 °F at most, and the mould's limit is 356 °F. Let it cool a little first, and support the skin well."
    );
}

#[test]
fn a_resin_that_warms_itself_is_judged_by_its_peak() {
    let mut input = tile("polyester-resin");
    input.card.service_max = Some(Celsius(120.0));
    assert!(matches!(
        cast(&input).unwrap().heat,
        HeatVerdict::TooHot { .. }
    ));
}

#[test]
fn food_only_as_the_maker_declares() {
    let mut input = tile("chocolate-dark");
    for (statement, verdict) in [
        (FoodStatement::NotDeclared, FoodVerdict::NotDeclared),
        (FoodStatement::NotForFood, FoodVerdict::RuledOut),
        (FoodStatement::DeclaredByMaker, FoodVerdict::AsDeclared),
    ] {
        input.card.food = statement;
        let made = cast(&input).unwrap();
        assert_eq!(made.food, verdict);
        assert!(made.cautions.iter().any(|c| c.topic == Topic::Food));
    }
    let plaster = cast(&tile("gypsum-45")).unwrap();
    assert_eq!(plaster.food, FoodVerdict::NotFood);
}

#[test]
fn hazards_are_said() {
    let topics = |id: &str| -> Vec<Topic> {
        cast(&tile(id))
            .unwrap()
            .cautions
            .iter()
            .map(|c| c.topic)
            .collect()
    };
    assert!(topics("gypsum-70").contains(&Topic::Burns));
    assert!(topics("polyurethane-resin").contains(&Topic::Air));
    assert!(topics("isomalt").contains(&Topic::Burns));
    assert!(topics("cement-mortar").contains(&Topic::Skin));
}

#[test]
fn the_size_of_a_copy_chains_paste_and_medium() {
    let made = cast(&tile("gypsum-45")).unwrap();
    // The skin shrinks by 0.1 %, the plaster grows by 0.39 %.
    let expected = 0.999 * 1.0039 - 1.0;
    assert!((made.size_change.unwrap() - expected).abs() < 1e-12);
    assert_eq!(cast(&tile("soap")).unwrap().size_change, None);
}

#[test]
fn every_bad_number_gives_its_sentence() {
    type Change = fn(&mut CastInput);
    let cases: [(Change, &str); 8] = [
        (|i| i.area.value.0 = f64::NAN, "The footprint's area"),
        (|i| i.area.sd = -1.0, "The spread of the area"),
        (|i| i.relief.highest.0 = -1.0, "The highest point"),
        (|i| i.backing.0 = f64::INFINITY, "The backing"),
        (|i| i.copies = 0, "The number of copies"),
        (|i| i.scale_step.0 = 0.0, "What the scale reads to"),
        (|i| i.backing.0 = 0.0, "There is nothing to fill"),
        (
            |i| i.medium.density.value.0 = 0.0,
            "The medium's card can't be used yet. The density",
        ),
    ];
    for (change, start) in cases {
        let mut input = tile("gypsum-70");
        change(&mut input);
        let error: CastingError = cast(&input).unwrap_err();
        let sentence = error.to_string();
        assert!(
            sentence.starts_with(start) && sentence.ends_with('.'),
            "{sentence}"
        );
    }
}

proptest! {
    #[test]
    fn parts_fill_the_mould_and_all_copies_are_copies_of_one(
        id in prop::sample::select(starter_media().into_iter().map(|m| m.id).collect::<Vec<_>>()),
        kind in prop::sample::select(ReliefKind::ALL.to_vec()),
        (area, highest, backing) in (500.0f64..500_000.0, 0.5f64..80.0, 0.0f64..30.0),
        copies in 1u32..500,
        step in prop::sample::select(vec![0.1, 1.0, 5.0]),
    ) {
        let mut input = CastInput::of_piece(
            Estimate::positive(SquareMillimetres(area), area * 0.01),
            Relief { kind, highest: Millimetres(highest) },
            medium(&id),
            starter_cards().swap_remove(0),
        );
        input.backing = Millimetres(backing);
        input.copies = copies;
        input.scale_step = Grams(step);
        let made = cast(&input).unwrap();
        let mixed: f64 = made.parts.iter().map(|(_, g)| g.0).sum();
        prop_assert!(mixed >= made.mass_each.enough95().0 - 1e-6);
        let n = f64::from(copies);
        prop_assert!((made.mass_total.value.0 - n * made.mass_each.value.0).abs() < 1e-6 * n * mixed);
        prop_assert!((made.mass_total.relative_sd() - made.mass_each.relative_sd()).abs() < 1e-9);
        for ((name, one), (name_all, all)) in made.parts.iter().zip(&made.parts_total) {
            prop_assert_eq!(name, name_all);
            prop_assert!((all.0 - n * one.0).abs() < 1e-6);
        }

        // A thicker back never needs less.
        input.backing = Millimetres(backing + 5.0);
        let thicker = cast(&input).unwrap();
        prop_assert!(thicker.mass_each.value > made.mass_each.value);
    }
}
