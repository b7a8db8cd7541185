//! Plans against closed forms, against random draws, and for what must always hold.

use peelcast::coating::{
    CoatChoice, CoatRole, CoatingError, Finish, Hold, KitGroup, OnShelf, PackChoice, Paste, Plan,
    PlanInput, Posture, Relief, ReliefKind, ShelfCount, ShellKind, Source, Stock, Tool, Topic,
    choose_packs, default_coats, kit, lead_paint, packs_for, permission, plan, practice,
    starter_cards, weight_to_carry,
};
use peelcast::quantity::iso;
use peelcast::quantity::show::System;
use peelcast::quantity::{
    Amount, Celsius, Estimate, Grams, GramsPerMillilitre, Millimetres, Minutes, Pascals,
    SquareMillimetres,
};
use proptest::prelude::*;

/// A rectangle on the wall, measured within half a percent of its length.
fn rectangle(width: f64, height: f64, kind: ReliefKind, highest: f64) -> PlanInput {
    let area = SquareMillimetres(width * height);
    let perimeter = Millimetres(2.0 * (width + height));
    PlanInput::of_piece(
        Estimate::positive(area, area.0 * 0.01),
        Estimate::positive(perimeter, perimeter.0 * 0.005),
        Relief {
            kind,
            highest: Millimetres(highest),
        },
    )
}

/// A flat plate without a border, exactly measured, under one coat.
fn plate(area: f64, perimeter: f64, thickness: f64, density: f64) -> PlanInput {
    let mut input = PlanInput::of_piece(
        Estimate::exact(SquareMillimetres(area)),
        Estimate::exact(Millimetres(perimeter)),
        Relief::default(),
    );
    input.border = Millimetres(0.0);
    input.coats = vec![CoatChoice::usual(
        CoatRole::Build,
        Millimetres(thickness),
        Tool::Brush,
    )];
    input.card.density = GramsPerMillilitre(density);
    input
}

#[test]
fn a_square_foot_a_quarter_inch_thick() {
    // 36 in3 = 589.934 cm3, computed from the exact inch.
    for (density, grams) in [
        (1.05, 619.4),
        (1.10, 648.9),
        (1.15, 678.4),
        (1.20, 707.9),
        (1.25, 737.4),
        (1.30, 766.9),
    ] {
        let plan = plan(&plate(92_903.04, 1219.2, 6.35, density)).unwrap();
        let coat = &plan.coats[0];
        assert!((coat.volume.0 - 589.934).abs() < 1e-3, "{:?}", coat.volume);
        assert!((coat.mass.value.0 - grams).abs() < 0.06, "{:?}", coat.mass);
        assert_eq!(plan.high_spots, None);
    }
    // 1.2 kg per square metre and millimetre.
    let metre = plan(&plate(1e6, 4000.0, 1.0, 1.2)).unwrap();
    assert!((metre.coats[0].mass.value.0 - 1200.0).abs() < 1e-9);
}

#[test]
fn skins_over_closed_bodies_lie_in_the_range_of_the_plan() {
    // A spherical cap, R = 50, h = 20, skin of 6.35 outside: 45,179.81 mm3.
    let radius = 40.0;
    let circle = std::f64::consts::PI * radius * radius;
    let mut cap = plate(circle, std::f64::consts::TAU * radius, 6.35, 1.0);
    cap.relief = Relief {
        kind: ReliefKind::Low,
        highest: Millimetres(20.0),
    };
    let skin = plan(&cap).unwrap().coats[0].mass;
    assert!(skin.low95.0 < 45.18 && 45.18 < skin.high95.0, "{skin:?}");

    // A box 300 x 200 x 40: 672,272.56 mm3.
    let mut block = plate(60_000.0, 1000.0, 6.35, 1.0);
    block.relief = Relief {
        kind: ReliefKind::Middle,
        highest: Millimetres(40.0),
    };
    let skin = plan(&block).unwrap().coats[0].mass;
    assert!(skin.low95.0 < 672.27 && 672.27 < skin.high95.0, "{skin:?}");

    // A long half-round strip of radius 20, 500 long, skin 4 outside: pi/2 (24^2 - 20^2) 500,
    // its flat ends left out: 138,230 mm3.
    let mut strip = plate(20_000.0, 1080.0, 4.0, 1.0);
    strip.relief = Relief {
        kind: ReliefKind::Middle,
        highest: Millimetres(20.0),
    };
    let skin = plan(&strip).unwrap().coats[0].mass;
    assert!(skin.low95.0 < 138.23 && 138.23 < skin.high95.0, "{skin:?}");
}

#[test]
fn coats_split_the_skin_without_losing_any() {
    // The parallel surface in one coat or in three: the same volume in all.
    let mut one = rectangle(300.0, 200.0, ReliefKind::Middle, 30.0);
    one.coats = vec![CoatChoice::usual(
        CoatRole::Build,
        practice::WHOLE_THICKNESS.value,
        Tool::Brush,
    )];
    let three = rectangle(300.0, 200.0, ReliefKind::Middle, 30.0);
    let volume = |plan: &Plan| plan.coats.iter().map(|c| c.volume.0).sum::<f64>();
    let (one, three) = (plan(&one).unwrap(), plan(&three).unwrap());
    assert!((volume(&one) - volume(&three)).abs() < 1e-9);
}

/// Standard normal draws by Box and Muller over a 64-bit xorshift: a check needs its own.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

#[test]
fn first_order_spread_agrees_with_random_draws() {
    let input = rectangle(400.0, 250.0, ReliefKind::Middle, 25.0);
    let made = plan(&input).unwrap();
    let kind = input.relief.kind;
    let (front, side) = (kind.front(), kind.side());
    let mut draws = Draws(0x5eed_1234_9876_abcd);
    let totals: Vec<f64> = (0..40_000)
        .map(|_| {
            // One outline error moves area and perimeter together, one surface error all coats.
            let outline = draws.normal();
            let area = input.area.value.0 + outline * input.area.sd;
            let perimeter = input.perimeter.value.0 + outline * input.perimeter.sd;
            let s = front.value + draws.normal() * front.sd;
            let k = side.value + draws.normal() * side.sd;
            let h = input.relief.highest.0 + draws.normal() * practice::HIGHEST_SPREAD.value.0;
            let density = input.card.density.0
                * (1.0 + draws.normal() * practice::DENSITY_SPREAD_GENERAL.value);
            let b = input.border.0;
            let surface = area * (1.0 + s) + perimeter * h * k;
            let covered = surface + perimeter * b + std::f64::consts::PI * b * b;
            let mut grams = 0.0;
            for (choice, coat) in input.coats.iter().zip(&made.coats) {
                let t = choice.thickness.0;
                let planned = made.surface.value.0 + made.border_area.value.0;
                let growth = coat.volume.0 * 1000.0 - planned * t;
                let brushed = 1.0 + draws.normal() * choice.role.thickness_spread();
                grams += (covered * t + growth) * brushed * density / 1000.0;
            }
            let spots = made.high_spots.as_ref().unwrap();
            grams += surface * spots.share * spots.thickness.0 * density / 1000.0
                * (1.0 + draws.normal() * practice::HIGH_SPOT_SPREAD.value);
            grams + made.residue.value.0 * (1.0 + draws.normal() * practice::RESIDUE_SPREAD.value)
        })
        .collect();
    let n = totals.len() as f64;
    let mean = totals.iter().sum::<f64>() / n;
    let sd = (totals.iter().map(|t| (t - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    assert!((mean / made.total.value.0 - 1.0).abs() < 0.01, "{mean}");
    assert!(
        (sd / made.propagated.sd - 1.0).abs() < 0.03,
        "{sd} for {:?}",
        made.propagated
    );
    // What is brought is enough in about 95 of 100.
    let enough = totals.iter().filter(|t| **t <= made.bring.0).count() as f64 / n;
    assert!((0.94..0.99).contains(&enough), "{enough}");
}

#[test]
fn an_error_of_the_surface_moves_all_coats_together() {
    // With nothing unsure but the outline, the spreads of the coats add up as they are.
    let mut input = plate(60_000.0, 1000.0, 2.0, 1.2);
    input.coats = default_coats();
    input.area = Estimate::positive(input.area.value, 6_000.0);
    let made = plan(&input).unwrap();
    let outline = made
        .uncertainties
        .iter()
        .find(|line| line.what == "Outline")
        .unwrap();
    let expected = 6_000.0 * 6.35 * 1.2 / 1000.0;
    assert!((outline.sd.0 / expected - 1.0).abs() < 0.01, "{outline:?}");
    // The thicknesses are independent: together they give less than their sum.
    let thick: Vec<f64> = made
        .uncertainties
        .iter()
        .filter(|line| line.what.starts_with("Thickness"))
        .map(|line| line.sd.0)
        .collect();
    assert_eq!(thick.len(), 3);
    let others: f64 = made
        .uncertainties
        .iter()
        .map(|line| line.sd.0 * line.sd.0)
        .sum();
    assert!((made.propagated.sd - others.sqrt()).abs() < 1e-9);
}

/// Common practice, no source: a poured mould takes two to four times the material of a skin. For
/// which heights of a plaque of 300 x 200 mm that holds is printed, kind by kind.
#[test]
fn a_pour_takes_two_to_four_times_a_skin_for_plaques_of_middling_depth_only() {
    let heights = [3.0, 6.0, 12.0, 18.0, 25.0, 40.0, 60.0, 100.0];
    println!("a block over a skin, plaque of 300 x 200 mm, highest point in mm: {heights:?}");
    for (kind, holds) in [
        (ReliefKind::Low, [12.0, 60.0]),
        (ReliefKind::Middle, [12.0, 60.0]),
        (ReliefKind::High, [40.0, 100.0]),
    ] {
        let times = heights.map(|highest| {
            let made = plan(&rectangle(300.0, 200.0, kind, highest)).unwrap();
            made.block.value / made.total.value
        });
        println!(
            "{:>13}: {}",
            kind.name(),
            times.map(|t| format!("{t:5.2}")).join("")
        );
        for (highest, times) in heights.into_iter().zip(times) {
            let inside = (holds[0]..=holds[1]).contains(&highest);
            assert_eq!(
                (2.0..=4.0).contains(&times),
                inside,
                "{kind:?} {highest}: {times}"
            );
        }
        assert!(times.is_sorted());
    }
}

#[test]
fn a_warm_site_needs_more_batches_and_a_hot_one_is_refused() {
    let mut input = rectangle(400.0, 300.0, ReliefKind::Middle, 20.0);
    let cool = plan(&input).unwrap();
    input.temperature = Celsius(28.0);
    let warm = plan(&input).unwrap();
    assert!(warm.batch_count() > cool.batch_count());
    assert!(warm.working.value < cool.working.value);
    for coat in &warm.coats {
        assert!(coat.mix + coat.brush <= warm.working.low95);
    }
    input.temperature = Celsius(45.0);
    let error = plan(&input).unwrap_err();
    assert!(matches!(error, CoatingError::SetsTooFast { .. }));
    assert!(
        error
            .to_string()
            .starts_with("At 45 °C (113 °F) this paste sets")
    );
}

#[test]
fn every_bad_number_gives_its_sentence() {
    let good = || rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    type Change = fn(&mut PlanInput);
    let cases: [(Change, &str); 15] = [
        (|i| i.area.value.0 = 0.0, "The footprint's area"),
        (|i| i.area.value.0 = f64::NAN, "The footprint's area"),
        (|i| i.area.value.0 = -5.0, "The footprint's area"),
        (|i| i.area.value.0 = 1e12, "The footprint's area"),
        (|i| i.area.sd = f64::INFINITY, "The spread of the area"),
        (
            |i| i.perimeter.value.0 = 500.0,
            "The perimeter is too short",
        ),
        (|i| i.perimeter.sd = -1.0, "The spread of the perimeter"),
        (|i| i.relief.highest.0 = -1.0, "The highest point"),
        (|i| i.border.0 = f64::NAN, "The border"),
        (|i| i.temperature.0 = 200.0, "The temperature of the site"),
        (|i| i.scale_step.0 = 0.0, "What the scale reads to"),
        (|i| i.coats.clear(), "There is no coat yet"),
        (|i| i.coats[1].thickness.0 = 0.0, "The thickness of coat 2"),
        (
            |i| i.coats[2].speed.0 = f64::NAN,
            "The area brushed in a minute with coat 3",
        ),
        (
            |i| i.card.density.0 = 0.0,
            "The material card can't be used yet. The density",
        ),
    ];
    for (change, start) in cases {
        let mut input = good();
        change(&mut input);
        let sentence = plan(&input).unwrap_err().to_string();
        assert!(sentence.starts_with(start), "{sentence}");
        assert!(sentence.ends_with('.'), "{sentence}");
    }
    assert!(plan(&good()).is_ok());
}

fn has(plan: &Plan, topic: Topic) -> bool {
    plan.cautions.iter().any(|caution| caution.topic == topic)
}

#[test]
fn cautions_follow_the_piece() {
    let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    input.finish = Finish::BareDense;
    input.posture = Posture::Flat;
    let flat = plan(&input).unwrap();
    assert!(!has(&flat, Topic::Sag) && !has(&flat, Topic::Height) && !has(&flat, Topic::LeadPaint));
    assert!(has(&flat, Topic::Permission) && has(&flat, Topic::Food) && has(&flat, Topic::Skin));

    input.posture = Posture::Overhead;
    input.finish = Finish::Painted;
    let overhead = plan(&input).unwrap();
    assert!(has(&overhead, Topic::Sag) && has(&overhead, Topic::Height));
    assert!(has(&overhead, Topic::LeadPaint));

    // A paste known to hold 8 mm says nothing; one that holds 1.5 mm names the coats.
    input.card.hold = Some(Hold::Dab(Millimetres(8.0)));
    assert!(!has(&plan(&input).unwrap(), Topic::Sag));
    input.card.hold = Some(Hold::YieldStress(Pascals(17.7)));
    let sagging = plan(&input).unwrap();
    let sag = sagging
        .cautions
        .iter()
        .find(|c| c.topic == Topic::Sag)
        .unwrap();
    assert!(sag.text.contains("1.5 mm"), "{sag:?}");
    assert!(
        sag.advice
            .contains("the build coat on in 2 passes (coats 2 to 3) and the final coat on in 2"),
        "{sag:?}"
    );
    let thick: Vec<f64> = sagging.coats.iter().map(|c| c.thickness.0).collect();
    assert!(
        thick.len() == 5 && thick.iter().all(|t| *t <= 1.5),
        "{thick:?}"
    );
}

/// What paint may hold is said of all that is or may be painted, and of what flakes.
#[test]
fn what_may_hold_lead_is_said_by_finish() {
    let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    for finish in Finish::ALL {
        input.finish = finish;
        let said = has(&plan(&input).unwrap(), Topic::LeadPaint);
        let may = matches!(finish, Finish::Painted | Finish::Loose | Finish::Unknown);
        assert_eq!(said, may, "{finish:?}");
        assert_eq!(lead_paint(finish).is_some(), may, "{finish:?}");
    }
}

/// What holds for the piece is short, names its source, and says who goes before it.
#[test]
fn each_caution_is_short_and_says_whose_word_is_the_last() {
    let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    input.finish = Finish::Loose;
    input.posture = Posture::Overhead;
    let whose = [
        (Topic::Permission, "owner"),
        (Topic::Heritage, "conservator"),
        (Topic::LeadPaint, "licensed"),
        (Topic::Height, "local rules"),
        (Topic::Skin, "safety sheet"),
        (Topic::Air, "safety sheet"),
        (Topic::Burns, "safety sheet"),
        (Topic::Food, "declaration"),
    ];
    let mut seen = Vec::new();
    for shell in ShellKind::ALL {
        input.shell = shell;
        let made = plan(&input).unwrap();
        for caution in &made.cautions {
            let said = format!("{} {}", caution.text, caution.advice);
            let again = made
                .cautions
                .iter()
                .filter(|other| other.text == caution.text);
            assert_eq!(again.count(), 1, "twice: {said}");
            assert!(!caution.source.to_string().is_empty(), "{said}");
            seen.push(caution.topic);
            let Some((topic, word)) = whose.iter().find(|(topic, _)| *topic == caution.topic)
            else {
                // What the numbers say is as long as they are.
                assert!(!caution.topic.last_word().is_empty());
                continue;
            };
            assert!(topic.last_word().contains(word), "{said}");
            assert!(said.chars().count() <= 230, "long: {said}");
        }
    }
    for (topic, _) in whose {
        assert!(seen.contains(&topic), "{topic:?} is never said");
    }
    assert!(plan(&input).unwrap().cautions.contains(&permission()));
}

#[test]
fn a_hopeless_measurement_says_what_to_measure() {
    let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    assert!(!has(&plan(&input).unwrap(), Topic::Measuring));
    input.area = Estimate::positive(input.area.value, 25_000.0);
    let wide = plan(&input).unwrap();
    let caution = wide
        .cautions
        .iter()
        .find(|c| c.topic == Topic::Measuring)
        .unwrap();
    assert!(
        caution.advice.starts_with("What hurts most: outline."),
        "{caution:?}"
    );
}

#[test]
fn a_coarse_scale_is_named() {
    let mut input = rectangle(60.0, 40.0, ReliefKind::Low, 5.0);
    input.card = starter_cards()
        .into_iter()
        .find(|c| c.ratio_by_mass == (100.0, 5.0))
        .unwrap();
    assert!(has(&plan(&input).unwrap(), Topic::Weighing));
    input.scale_step = Grams(0.1);
    assert!(!has(&plan(&input).unwrap(), Topic::Weighing));
}

#[test]
fn every_number_is_explained_in_both_systems() {
    let made = plan(&rectangle(300.0, 200.0, ReliefKind::High, 60.0)).unwrap();
    // Surface, border, working time; mass and batches of each coat; high spots, residue, total,
    // bring, block; shell to carry and as it is finished.
    assert_eq!(made.why.len(), 3 + 2 * made.coats.len() + 7);
    for line in &made.why {
        for system in [System::Metric, System::UsCustomary] {
            assert!(!line.result.show(system).contains("NaN"));
            assert!(!line.input_texts(system).is_empty());
        }
        assert!(line.formula.ends_with('.'));
    }
}

#[test]
fn every_amount_of_the_bag_that_is_no_single_tool_is_explained() {
    let input = rectangle(300.0, 200.0, ReliefKind::High, 60.0);
    let made = plan(&input).unwrap();
    let bag = kit(&made, &input);
    for item in &bag {
        let single = item.amount == Amount::Count(1) && item.key != "bags";
        let Some(why) = item.explanation() else {
            assert!(single, "{} has no explanation", item.key);
            continue;
        };
        assert_eq!(why.result, item.amount, "{}", item.key);
        assert!(
            !why.inputs.is_empty() && why.formula.ends_with('.'),
            "{}",
            item.key
        );
    }
    let weight = peelcast::coating::weight_why(&bag);
    let groups: f64 = weight
        .inputs
        .iter()
        .map(|(_, amount)| match amount {
            Amount::Mass(mass) => mass.0,
            other => panic!("{other:?}"),
        })
        .sum();
    assert!(matches!(weight.result, Amount::Mass(all) if (all.0 - groups).abs() < 1e-6));
}

#[test]
fn keys_of_the_kit_stay_while_the_plan_changes() {
    let small = rectangle(100.0, 80.0, ReliefKind::Low, 5.0);
    let large = rectangle(500.0, 400.0, ReliefKind::Middle, 60.0);
    let keys = |input: &PlanInput| -> Vec<String> {
        kit(&plan(input).unwrap(), input)
            .into_iter()
            .map(|item| item.key)
            .collect()
    };
    assert_eq!(keys(&small), keys(&large));
    let unique: std::collections::BTreeSet<_> = keys(&small).into_iter().collect();
    assert_eq!(unique.len(), keys(&small).len());
}

#[test]
fn plans_survive_being_stored() {
    let input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    let made = plan(&input).unwrap();
    let text = serde_json::to_string(&input).unwrap();
    let read: PlanInput = serde_json::from_str(&text).unwrap();
    assert_eq!(plan(&read).unwrap().bring, made.bring);
    let text = serde_json::to_string(&made).unwrap();
    let read: Plan = serde_json::from_str(&text).unwrap();
    assert_eq!(read.coats.len(), made.coats.len());
    assert_eq!(read.cautions, made.cautions);
}

fn any_kind() -> impl Strategy<Value = ReliefKind> {
    prop::sample::select(ReliefKind::ALL.to_vec())
}

fn any_piece() -> impl Strategy<Value = PlanInput> {
    (
        (30.0f64..800.0, 30.0f64..800.0, any_kind(), 0.0f64..80.0),
        (0.0f64..60.0, 0usize..4, 12.0f64..27.0),
        prop::sample::select(vec![0.1, 1.0, 5.0, 28.349_523_125 / 8.0]),
    )
        .prop_map(
            |((width, height, kind, highest), (border, card, temperature), step)| {
                let mut input = rectangle(width, height, kind, highest);
                input.border = Millimetres(border);
                input.card = starter_cards().swap_remove(card);
                input.temperature = Celsius(temperature);
                input.scale_step = Grams(step);
                input
            },
        )
}

proptest! {
    // A plan is ten thousand draws.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn what_is_brought_covers_the_plan(input in any_piece()) {
        let made = plan(&input).unwrap();
        let (mut a, mut b) = (0.0, 0.0);
        for coat in &made.coats {
            let weighed: f64 = coat.batches.iter().map(|batch| batch.mass().0).sum();
            let needed = coat.mass.value + coat.high_spots + coat.residue;
            prop_assert!(weighed >= needed.0 - 1e-6);
            prop_assert!(coat.batches.iter().all(|batch| batch == &coat.batches[0]));
            prop_assert!(coat.mass.low95 <= coat.mass.value && coat.mass.value <= coat.mass.high95);
            prop_assert!(coat.mix + coat.brush <= made.working.value + Minutes(1e-9));
            for batch in &coat.batches {
                a += batch.a.0;
                b += batch.b.0;
            }
        }
        prop_assert!(made.bring_a.0 >= a - 1e-6 && made.bring_b.0 >= b - 1e-6);
        // The range ends where 97.5 of 100 draws lie: that much is brought for that confidence.
        let surer = plan(&PlanInput { confidence: 0.975, ..input.clone() }).unwrap();
        prop_assert!(surer.bring.0 >= made.total.high95.0 - 1e-6 && surer.bring >= made.bring);
        prop_assert!((made.bring.0 - made.total.value.0 - made.spare.0).abs() < 1e-6);
        prop_assert!(made.spare.0 >= 0.0);

        // A and B stay in ratio within the scale's step.
        let (ra, rb) = input.card.ratio_by_mass;
        for (a, b) in made.coats.iter().flat_map(|c| &c.batches).map(|x| (x.a.0, x.b.0))
        {
            let (large, wanted) = if ra > rb { (a, b * ra / rb) } else { (b, a * rb / ra) };
            prop_assert!((large - wanted).abs() <= input.scale_step.0 + 1e-6);
        }

        // The bag holds the plan: paste, two containers a batch, a brush a batch.
        let bag = kit(&made, &input);
        let mass = |key: &str| bag.iter().find(|i| i.key == key).map(|i| i.amount.clone());
        prop_assert_eq!(mass("paste-a"), Some(Amount::Mass(made.bring_a)));
        prop_assert_eq!(mass("paste-b"), Some(Amount::Mass(made.bring_b)));
        prop_assert_eq!(mass("containers"), Some(Amount::Count(2 * made.batch_count())));
        prop_assert_eq!(mass("brush-coat-1"), Some(Amount::Count(made.coats[0].batches.len() as u32)));
        let paste: f64 = bag.iter().filter(|i| i.group == KitGroup::Paste).map(|i| i.weight.0).sum();
        prop_assert!((paste - made.bring.0).abs() < 1e-6);
        prop_assert!(weight_to_carry(&bag).0 > paste);

        // The sets bought cover both parts.
        let packs = packs_for(&made, &input.card).unwrap();
        let [share_a, share_b] = input.card.shares();
        prop_assert!(packs.mass.0 * share_a >= made.bring_a.0 - 1e-6);
        prop_assert!(packs.mass.0 * share_b >= made.bring_b.0 - 1e-6);
    }

    #[test]
    fn more_of_anything_never_needs_less(input in any_piece(), factor in 1.0f64..2.0, which in 0usize..4) {
        let mut more = input.clone();
        match which {
            0 => {
                // A larger piece of the same shape, measured as well.
                more.area = input.area.scaled(factor * factor);
                more.perimeter = input.perimeter.scaled(factor);
            }
            1 => more.relief.highest = input.relief.highest * factor,
            2 => more.border = input.border * factor,
            _ => more.coats.iter_mut().for_each(|coat| coat.thickness = coat.thickness * factor),
        }
        let (less, more) = (plan(&input).unwrap(), plan(&more).unwrap());
        prop_assert!(more.total.value.0 >= less.total.value.0 - 1e-9);
        prop_assert!(more.bring.0 >= less.bring.0 - 1e-9);
    }

    #[test]
    fn splitting_a_piece_never_saves_paste(input in any_piece(), at in 0.2f64..0.8) {
        // Cut the rectangle in two: the areas share its area, and both gain the cut.
        let (p, a) = (input.perimeter.value.0, input.area.value.0);
        let half = p / 2.0;
        let width = half / 2.0 + (half * half / 4.0 - a).max(0.0).sqrt();
        let height = a / width;
        let piece = |width: f64| {
            let mut part = rectangle(width, height, input.relief.kind, input.relief.highest.0);
            part.border = input.border;
            part.card = input.card.clone();
            part.temperature = input.temperature;
            part.scale_step = input.scale_step;
            plan(&part).unwrap().total.value.0
        };
        let whole = plan(&input).unwrap().total.value.0;
        prop_assert!(piece(width * at) + piece(width * (1.0 - at)) >= whole - 1e-6);
    }

    #[test]
    fn packs_are_the_best_of_all_ways(
        need in 1.0f64..3000.0,
        sets in prop::collection::vec((150.0f64..1500.0, 1u32..200), 1..4),
        priced: bool,
    ) {
        let packs: Vec<_> = sets
            .iter()
            .enumerate()
            .map(|(i, &(size, price))| peelcast::coating::PackSize {
                name: format!("set {i}"),
                size: Grams(size),
                price: priced.then_some(f64::from(price)),
            })
            .collect();
        let choice = choose_packs(Grams(need), &packs, None).unwrap();
        prop_assert!(choice.mass.0 >= need - 1e-6);
        prop_assert!((choice.left_over.0 - (choice.mass.0 - need)).abs() < 1e-9);

        // Every way, by counting.
        let worth = |counts: &[u32]| -> Option<f64> {
            let mass: f64 = counts.iter().zip(&packs).map(|(n, p)| f64::from(*n) * p.size.0).sum();
            (mass >= need).then(|| if priced {
                counts.iter().zip(&packs).map(|(n, p)| f64::from(*n) * p.price.unwrap()).sum()
            } else {
                mass
            })
        };
        let most = 21;
        let mut best = f64::INFINITY;
        for i in 0..most {
            for j in 0..(if packs.len() > 1 { most } else { 1 }) {
                for k in 0..(if packs.len() > 2 { most } else { 1 }) {
                    if let Some(worth) = worth(&[i, j, k][..packs.len()]) {
                        best = best.min(worth);
                    }
                }
            }
        }
        let chosen = if priced { choice.cost.unwrap() } else { choice.mass.0 };
        prop_assert!((chosen - best).abs() < 1e-6, "{} instead of {}", chosen, best);
    }

    #[test]
    fn no_number_makes_the_plan_panic(
        numbers in prop::collection::vec(
            prop_oneof![any::<f64>(), Just(0.0), Just(f64::NAN), Just(-1.0), 0.0f64..1000.0],
            12,
        ),
    ) {
        let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
        let [a, b, c, d, e, f, g, h, i, j, k, l] = numbers.try_into().unwrap();
        input.area = Estimate { value: SquareMillimetres(a * 100.0), sd: b, low95: SquareMillimetres(a), high95: SquareMillimetres(a) };
        input.perimeter = Estimate { value: Millimetres(c * 10.0), sd: d, low95: Millimetres(c), high95: Millimetres(c) };
        input.relief.highest = Millimetres(e);
        input.border = Millimetres(f);
        input.temperature = Celsius(g);
        input.scale_step = Grams(h);
        input.coats[0].thickness = Millimetres(i);
        input.card.density = GramsPerMillilitre(j);
        input.card.working = Minutes(k);
        input.card.ratio_by_mass = (l, 1.0);
        match plan(&input) {
            Ok(made) => prop_assert!(made.bring.0.is_finite() && made.bring.0 > 0.0),
            Err(error) => prop_assert!(error.to_string().ends_with('.')),
        }
    }
}

#[test]
fn without_packs_on_the_card_none_are_chosen() {
    let input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    let made = plan(&input).unwrap();
    let mut card = input.card;
    assert!(packs_for(&made, &card).is_some());
    card.packs.clear();
    assert_eq!(packs_for(&made, &card), None);
}

#[test]
fn the_sheets_own_density_narrows_the_range() {
    let mut input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    let general = plan(&input).unwrap();
    input.card.marks.density = Source::YourSheet;
    let own = plan(&input).unwrap();
    assert!(own.total.sd < general.total.sd);
    assert!(own.bring < general.bring);
}

#[test]
fn the_shelf_is_used_first_but_for_what_has_expired() {
    let input = rectangle(300.0, 200.0, ReliefKind::Middle, 18.0);
    let made = plan(&input).unwrap();
    let all_new = packs_for(&made, &input.card).unwrap();
    let day = |text| iso::read_day(text);
    let pack = |expires| OnShelf {
        name: input.card.name.clone(),
        card: input.card.id.clone(),
        size: Grams(450.0),
        price: None,
        count: 1,
        lot: String::new(),
        opened: None,
        expires: day(expires),
    };
    let items = [pack("2026-05-02"), pack("2026-05-03")];
    let today = day("2026-05-03").unwrap();
    let paste = Paste::of(&made, &input.card);
    let choose = |items: &[OnShelf], left_alone| {
        let items = items.to_vec();
        let stock = Stock { items, left_alone };
        stock.choose(&paste, today).unwrap().unwrap()
    };
    assert_eq!(choose(&items[..1], false).buy, all_new.buy);
    assert_eq!(choose(&items, true), all_new);
    let choice = choose(&items, false);
    assert_eq!(choice.from_shelf, [ShelfCount { item: 1, count: 1 }]);
    let bought = |choice: &PackChoice| -> f64 {
        let each = choice.buy.iter();
        each.map(|line| line.pack.size.0 * f64::from(line.count))
            .sum()
    };
    assert!(bought(&choice) < bought(&all_new));
}
