//! Casts: masses, parts, heat, food, and what must always hold.

use chrono::DateTime;
use peelcast::casting::{
    CastEntry, CastInput, CastPlan, CastPrices, CastingError, Defect, Filling, FoodVerdict,
    HeatVerdict, MediumCard, MediumFamily, OwnMedium, cast, life, own_medium, starter_media,
};
use peelcast::coating::{Caution, FoodStatement, Relief, ReliefKind, Source, Topic, starter_cards};
use peelcast::job::{Piece, sample_job};
use peelcast::quantity::show::System;
use peelcast::quantity::{
    Celsius, Estimate, Grams, GramsPerMillilitre, Millimetres, Minutes, SquareMillimetres,
};
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
fn food_only_as_the_maker_declares_and_the_user_confirms() {
    let mut input = tile("chocolate-dark");
    for (statement, confirmed, verdict) in [
        (FoodStatement::NotDeclared, false, FoodVerdict::NotDeclared),
        (FoodStatement::NotDeclared, true, FoodVerdict::NotDeclared),
        (FoodStatement::NotForFood, true, FoodVerdict::RuledOut),
        (
            FoodStatement::DeclaredByMaker,
            false,
            FoodVerdict::Unconfirmed,
        ),
        (
            FoodStatement::DeclaredByMaker,
            true,
            FoodVerdict::AsDeclared,
        ),
    ] {
        input.card.food = statement;
        input.confirmed_for_food = confirmed;
        let made = cast(&input).unwrap();
        assert_eq!(made.food, verdict);
        // The verdict stands by itself; beside it is said what holds for any mould.
        let said = |c: &&Caution| c.topic == Topic::Food;
        let said: Vec<_> = made.cautions.iter().filter(said).collect();
        assert!(said.len() == 1 && said[0].advice.contains("maker's declaration"));
        assert_ne!(said[0].text, verdict.sentence());
    }
    // Food before is no harm; one copy of plaster is, for ever.
    input.casts = vec![entry(MediumFamily::Sugar, true, 5)];
    assert_eq!(cast(&input).unwrap().food, FoodVerdict::AsDeclared);
    input.casts.insert(0, entry(MediumFamily::Gypsum, false, 1));
    assert_eq!(cast(&input).unwrap().food, FoodVerdict::NeverAgain);
    let plaster = cast(&tile("gypsum-45")).unwrap();
    assert_eq!(plaster.food, FoodVerdict::NotFood);
}

fn entry(family: MediumFamily, food: bool, copies: u32) -> CastEntry {
    CastEntry {
        family,
        food,
        copies,
        ..CastEntry::default()
    }
}

#[test]
fn a_poured_shell_says_what_fills_the_mould_and_a_sheet_what_is_cut_off() {
    let mut input = tile("chocolate-milk");
    input.relief.highest = Millimetres(20.0);
    input.surface = Some(Estimate::exact(SquareMillimetres(14_000.0)));
    let solid = cast(&input).unwrap();
    assert_eq!(solid.to_the_brim, None);
    input.filling = Filling::Slush(Millimetres(3.0));
    let shell = cast(&input).unwrap();
    // 14,000 mm² at 3 mm and a back of 10 mm: 42 + 100 ml.
    assert!((shell.volume.value.0 - 142.0).abs() < 1e-9);
    assert_eq!(shell.to_the_brim, Some(solid.mass_each));
    input.filling = Filling::Sheet(Millimetres(3.0));
    let sheet = cast(&input).unwrap();
    let mixed: f64 = sheet.parts.iter().map(|(_, g)| g.0).sum();
    let wanted = sheet.mass_each.enough95().0 / 0.75;
    assert!(
        mixed >= wanted && mixed < wanted + 1.0,
        "{mixed} for {wanted}"
    );
    input.surface = None;
    let why = cast(&input).unwrap_err().to_string();
    assert!(why.contains("Give the surface or the heights"), "{why}");
}

#[test]
fn a_medium_of_ones_own_needs_its_sheet_and_is_read_back() {
    let asked = own_medium("own-1", &OwnMedium::default()).unwrap_err();
    assert!(
        asked.iter().any(|text| text.contains("density")),
        "{asked:?}"
    );
    assert!(asked.iter().any(|text| text.contains("name")), "{asked:?}");
    let own = OwnMedium {
        name: "Bone glue".to_string(),
        density: Some(GramsPerMillilitre(1.27)),
        set_time: Some(Minutes(600.0)),
        pour_temperature: Some(Celsius(60.0)),
        linear_change: Some(-0.04),
        ..OwnMedium::default()
    };
    let card = own_medium("own-1", &own).unwrap();
    assert_eq!(card.density.source, Source::YourSheet);
    let text = serde_json::to_string(&card).unwrap();
    assert_eq!(serde_json::from_str::<MediumCard>(&text).unwrap(), card);
    let mut input = tile("soap");
    input.medium = card;
    let made = cast(&input).unwrap();
    assert!(made.release.wanted && made.size_change.unwrap() < -0.04);
    let wrong = OwnMedium {
        set_time: Some(Minutes(-1.0)),
        ..own
    };
    let why = own_medium("own-1", &wrong).unwrap_err();
    assert!(why[0].starts_with("The time to set"), "{why:?}");
}

#[test]
fn generations_change_by_the_same_factor_and_their_errors_add_up() {
    let input = tile("gypsum-70");
    let made = cast(&input).unwrap();
    let once = 0.999 * 1.0021_f64;
    let paste = 1.0021 * 0.001 * 0.3;
    let medium = 0.999 * 0.0002 / 12f64.sqrt();
    for (copy, n) in made.generations.iter().zip([1, 2, 3]) {
        assert_eq!(copy.number, n as u32);
        assert!((copy.change.value.0 - (once.powi(n) - 1.0)).abs() < 1e-12);
        let sd = f64::from(n) * once.powi(n - 1) * f64::hypot(paste, medium);
        assert!((copy.change.sd - sd).abs() < 1e-12, "{copy:?}");
        // An original that is made so much longer comes out to size.
        let back = (1.0 + copy.make_longer.0) * (1.0 + copy.change.value.0);
        assert!((back - 1.0).abs() < 1e-12);
    }
    let third = made.generations[2].sentence(Some(Millimetres(300.0)), System::Metric);
    assert!(
        third.contains("0.33 % (0.99 mm on the longer side) longer"),
        "{third}"
    );
    let unknown = cast(&tile("soap")).unwrap();
    assert!(unknown.generations.is_empty());
    assert!(unknown.size_unknown.unwrap().contains("Measure a copy"));
}

#[test]
fn a_copy_costs_its_medium_its_work_and_its_share_of_the_mould() {
    let mut input = tile("gypsum-70");
    (input.copies, input.moulds) = (7, 3);
    input.prices = CastPrices {
        medium_kg: Some(2.0),
        hour: Some(40.0),
        mould: Some(90.0),
    };
    let made = cast(&input).unwrap();
    assert_eq!((made.batch.pours, made.batch.rounds), (7, 3));
    // Three rounds of 65 minutes: the last copy is begun after two of them.
    assert_eq!(made.batch.time, Minutes(2.0 * 65.0 + 65.0));
    let plaster = made.parts[0].1.0;
    let wanted = [plaster * 0.002, 10.0, 90.0 / 60.0];
    for (line, wanted) in made.batch.cost.iter().zip(wanted) {
        assert!((line.cost.unwrap() - wanted).abs() < 1e-9, "{line:?}");
    }
    assert!((made.batch.cost_each - wanted.iter().sum::<f64>()).abs() < 1e-9);
    let mixed: f64 = made.parts_total.iter().map(|(_, g)| g.0).sum();
    assert!((made.batch.mixed.0 - mixed).abs() < 1e-9);
    input.prices = CastPrices::default();
    let unpriced = cast(&input).unwrap().batch;
    assert!(unpriced.cost.iter().all(|line| line.cost.is_none()) && unpriced.cost_each == 0.0);
    input.moulds = 0;
    let why = cast(&input).unwrap_err().to_string();
    assert!(why.starts_with("The number of moulds"), "{why}");
}

#[test]
fn a_moulds_life_is_that_of_the_closed_form_and_learns() {
    let fresh = life(&[], MediumFamily::Resin);
    // Before anything was cast: the usual 20; Lomax of shape 4 and scale 60 has an sd of
    // 60 / 3 sqrt(4 / 2), and its quantiles are 60 (p^(-1/4) - 1).
    assert!((fresh.still.value.0 - 20.0).abs() < 1e-9);
    assert!((fresh.still.sd - 20.0 * 2f64.sqrt()).abs() < 1e-9);
    assert!((fresh.still.high95.0 - 60.0 * (0.025f64.powf(-0.25) - 1.0)).abs() < 1e-9);
    assert!((fresh.still.low95.0 - 60.0 * (0.975f64.powf(-0.25) - 1.0)).abs() < 1e-9);
    // Twenty sound copies of resin wear it by one usual life: (60 + 20) / 3.
    let log = [entry(MediumFamily::Resin, false, 20)];
    let later = life(&log, MediumFamily::Resin);
    assert!((later.still.value.0 - 80.0 / 3.0).abs() < 1e-9);
    // As many copies of plaster wear it by a third of that.
    let mild = life(
        &[entry(MediumFamily::Gypsum, false, 20)],
        MediumFamily::Resin,
    );
    assert!((mild.still.value.0 - (60.0 + 20.0 / 3.0) / 3.0).abs() < 1e-9);
    // A bubble is the pour's fault, a tear the mould's.
    let with = |defect: Defect| {
        let mut torn = entry(MediumFamily::Resin, false, 20);
        torn.defects = vec![defect];
        life(&[torn], MediumFamily::Resin).still.value.0
    };
    assert_eq!(with(Defect::Bubbles), later.still.value.0);
    assert!((with(Defect::Tear) - 20.0).abs() < 1e-9);
    let mut last = entry(MediumFamily::Resin, false, 3);
    last.worn_out = true;
    let done = life(&[log[0].clone(), last], MediumFamily::Resin);
    assert!(done.done && done.made == 23 && done.still.value.0 == 0.0);
}

/// Moulds whose rate is drawn from the prior are cast in, and looked at again and again: the range
/// of what they still give holds the truth 95 times in a hundred.
#[test]
fn the_range_of_a_moulds_life_holds_the_truth() {
    let mut rng = fastrand::Rng::with_seed(26);
    let mut exponential = move |rate: f64| -(1.0 - rng.f64()).ln() / rate;
    let family = MediumFamily::Resin;
    let usual = family.usual_copies().value.0;
    let (mut held, mut low, mut all) = (0, 0, 0);
    for _ in 0..4000 {
        let rate: f64 = (0..4).map(|_| exponential(3.0)).sum::<f64>() / usual;
        let mut log = Vec::new();
        let mut next = exponential(rate);
        for _ in 0..5 {
            // Eight copies in one go; the next wear comes in copies from now.
            let mut went = entry(family, false, 8);
            if next < 8.0 {
                went.defects.push(Defect::LostDetail);
                next = exponential(rate);
            } else {
                next -= 8.0;
            }
            log.push(went);
        }
        let told = life(&log, family).still;
        held += i32::from((told.low95.0..=told.high95.0).contains(&next));
        low += i32::from(next < told.value.0);
        all += 1;
    }
    let share = f64::from(held) / f64::from(all);
    println!(
        "{:.1} % of {all} ranges hold the truth; {low} lie under the mean",
        share * 100.0
    );
    assert!((0.93..0.97).contains(&share), "{share}");
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
    assert!(topics("wax").contains(&Topic::Burns));
    // Hot soap burns as well, though it is none of the named hazards; cool chocolate does not.
    assert!(topics("soap").contains(&Topic::Burns));
    assert!(!topics("chocolate-dark").contains(&Topic::Burns));
    assert!(!topics("sugar-paste").contains(&Topic::Burns));
}

/// A caution is short, names its source, and says who goes before it.
#[test]
fn each_caution_of_a_medium_is_short_and_defers_to_its_sheet() {
    for medium in starter_media() {
        for caution in cast(&tile(&medium.id)).unwrap().cautions {
            let said = format!("{} {}", caution.text, caution.advice);
            assert!(said.chars().count() <= 220, "long: {said}");
            assert!(!caution.source.to_string().is_empty());
            let last_word = caution.topic.last_word();
            match caution.topic {
                Topic::Burns | Topic::Air | Topic::Skin => {
                    assert!(last_word.contains("sheet"), "{said}: {last_word}");
                }
                Topic::Food => assert!(last_word.contains("declaration")),
                _ => assert!(!last_word.is_empty()),
            }
        }
        // Nothing has to be measured or planned before they are said.
        let made = cast(&tile(&medium.id)).unwrap().cautions;
        let alone = medium.cautions();
        assert!(alone.iter().all(|caution| made.contains(caution)));
    }
}

#[test]
fn a_medium_of_ones_own_sends_to_its_sheet_and_says_when_it_is_hot() {
    let own = |pour: Option<f64>, family| {
        let sheet = OwnMedium {
            name: "Mine".into(),
            family,
            density: Some(GramsPerMillilitre(1.2)),
            set_time: Some(Minutes(30.0)),
            pour_temperature: pour.map(Celsius),
            ..OwnMedium::default()
        };
        let topics = |card: MediumCard| card.cautions().iter().map(|c| c.topic).collect();
        topics(own_medium("own-1", &sheet).unwrap())
    };
    let unknown: Vec<Topic> = own(None, MediumFamily::Own);
    assert_eq!(unknown, [Topic::Skin]);
    let hot: Vec<Topic> = own(Some(90.0), MediumFamily::Own);
    assert_eq!(hot, [Topic::Burns, Topic::Skin]);
    // What its kind says is not said twice.
    let sugar: Vec<Topic> = own(Some(150.0), MediumFamily::Sugar);
    assert_eq!(sugar, [Topic::Burns]);
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
fn a_piece_hands_its_surface_its_log_and_its_prices_to_the_cast() {
    let mut piece = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
    piece.medium = Some(medium("chocolate-white"));
    let solid = piece.cast().unwrap();
    piece.filling = Filling::Sheet(Millimetres(2.0));
    piece.moulds = 2;
    piece.card.food = FoodStatement::DeclaredByMaker;
    piece.confirmed_for_food = true;
    piece.prices.medium_kg = Some(12.0);
    piece.prices.hour = Some(30.0);
    piece.casts = vec![CastEntry {
        medium: "chocolate".to_string(),
        defects: vec![Defect::Bubbles],
        ..entry(MediumFamily::Chocolate, true, 4)
    }];
    // What was logged and chosen is in the record.
    let text = serde_json::to_string(&piece).unwrap();
    let piece: Piece = serde_json::from_str(&text).unwrap();
    assert_eq!(piece.casts.len(), 1);
    let sheet = piece.cast().unwrap();
    assert!(sheet.volume.value.0 < solid.volume.value.0);
    // Area and thickness, and no more than a few times as much for what is modelled.
    let area = piece.footprint().unwrap().area.value.0;
    let flat = area * (2.0 + piece.backing.0) / 1000.0;
    let found = sheet.volume.value.0 / flat;
    assert!((1.0..2.0).contains(&found), "{found}");
    assert_eq!(sheet.food, FoodVerdict::AsDeclared);
    assert_eq!(sheet.life.made, 4);
    assert!(sheet.batch.cost.iter().all(|line| line.cost.is_some()));
    // A longer side is told: the plaque is 240 mm wide.
    let told = sheet.generations[0].sentence(Some(Millimetres(240.0)), System::Metric);
    assert!(told.contains("on the longer side"), "{told}");
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

#[test]
fn every_number_of_a_cast_is_explained() {
    let mut input = tile("gypsum-70");
    input.filling = Filling::Slush(Millimetres(5.0));
    input.copies = 7;
    input.prices = CastPrices {
        medium_kg: Some(2.0),
        hour: Some(40.0),
        mould: Some(120.0),
    };
    input.surface = Some(Estimate::exact(SquareMillimetres(14_000.0)));
    input.card.shrinkage = Some(0.001);
    let made = cast(&input).unwrap();
    assert_eq!(made.why.len(), 10, "{:?}", made.why);
    for line in &made.why {
        assert!(!line.inputs.is_empty(), "{}", line.what);
        assert!(line.formula.ends_with('.'), "{}", line.what);
        for system in [System::Metric, System::UsCustomary] {
            assert!(!line.result.show(system).contains("NaN"), "{}", line.what);
        }
    }
}
