//! What stands against a paste on a surface: each substrate under each cure, and what a patch
//! test, a finish and a form change.

use chrono::DateTime;
use peelcast::coating::{
    Check, Cure, Finish, PatchResult, PatchTest, PlanInput, Posture, Relief, ReliefKind, Source,
    Substrate, Topic, Verdict, Whom, kit, plan, starter_cards,
};
use peelcast::quantity::{Amount, Estimate, Millimetres, SquareMillimetres};
use std::collections::BTreeSet;

/// A flat piece of half a square metre under a paste of that cure.
fn piece(substrate: Substrate, cure: Cure) -> PlanInput {
    let mut input = PlanInput::of_piece(
        Estimate::exact(SquareMillimetres(500_000.0)),
        Estimate::exact(Millimetres(3_000.0)),
        Relief {
            kind: ReliefKind::Low,
            highest: Millimetres(10.0),
        },
    );
    input.substrate = substrate;
    input.card.cure = cure;
    input
}

fn patch(input: &mut PlanInput, sealed: bool, result: Option<PatchResult>) {
    input.patch_test = Some(PatchTest {
        started: DateTime::UNIX_EPOCH,
        place: String::new(),
        paste: input.card.id.clone(),
        sealed,
        result,
    });
}

fn find(input: &PlanInput, key: &str) -> Option<Check> {
    let all = input.ground().checks();
    let mut found = all.into_iter().filter(|check| check.key == key);
    let first = found.next();
    assert!(found.next().is_none(), "{key} twice");
    first
}

fn verdict(input: &PlanInput, key: &str) -> Option<Verdict> {
    find(input, key).map(|check| check.verdict)
}

/// Sealer and release in the bag.
fn packed(input: &PlanInput) -> (bool, bool) {
    let bag = kit(&plan(input).unwrap(), input);
    let has = |key| bag.iter().any(|item| item.key == key);
    (has("sealer"), has("release"))
}

const CURES: [Cure; 3] = [Cure::Addition, Cure::Condensation, Cure::Unknown];

/// The verdict on the cure by substrate, in the order of [`CURES`]; and with a surface whose finish
/// is not known, whether a sealer and a release are needed under an addition-cure paste.
#[test]
fn each_substrate_under_each_cure() {
    use Substrate::*;
    use Verdict::{Care, Fine, NotAsItIs, TestFirst};
    let table = [
        (Unknown, [TestFirst, TestFirst, TestFirst], (true, true)),
        (Gypsum, [Care, Fine, Care], (true, true)),
        (Stone, [Fine, Fine, Fine], (true, true)),
        (Brick, [Care, Fine, Care], (true, true)),
        (Wood, [TestFirst, Care, TestFirst], (true, true)),
        (Metal, [Fine, Fine, Fine], (false, true)),
        (Glazed, [Fine, Fine, Fine], (false, true)),
        (Clay, [TestFirst, Care, TestFirst], (false, false)),
        (Rubber, [TestFirst, Care, TestFirst], (false, false)),
        (
            SiliconeAddition,
            [Fine, NotAsItIs, TestFirst],
            (false, true),
        ),
        (
            SiliconeCondensation,
            [NotAsItIs, Fine, TestFirst],
            (true, true),
        ),
        (ResinPrint, [TestFirst, Care, TestFirst], (false, false)),
    ];
    assert_eq!(table.map(|(substrate, ..)| substrate), Substrate::ALL);
    for (substrate, verdicts, needs) in table {
        for (cure, expected) in CURES.into_iter().zip(verdicts) {
            let found = verdict(&piece(substrate, cure), "cure");
            assert_eq!(found, Some(expected), "{substrate:?} {cure:?}");
        }
        let addition = piece(substrate, Cure::Addition);
        assert_eq!(packed(&addition), needs, "{substrate:?}");
        let release = find(&addition, "release").unwrap();
        let fine = release.verdict == Fine;
        assert_eq!(fine, needs == (false, false), "{substrate:?}: {release:?}");
        assert_eq!(release.what.starts_with("Sealer"), needs.0, "{release:?}");
    }
}

#[test]
fn a_finish_decides_over_the_substrate() {
    use Finish::*;
    let with = |substrate, finish| {
        let mut input = piece(substrate, Cure::Addition);
        input.finish = finish;
        input
    };
    for (substrate, finish, needs) in [
        (Substrate::Gypsum, Painted, (false, true)),
        (Substrate::Gypsum, BareDense, (false, true)),
        (Substrate::Metal, BarePorous, (true, true)),
        (Substrate::Clay, Painted, (false, true)),
        (Substrate::Rubber, BareDense, (false, false)),
        (Substrate::SiliconeAddition, BarePorous, (false, true)),
    ] {
        let input = with(substrate, finish);
        assert_eq!(packed(&input), needs, "{substrate:?} {finish:?}");
    }
    for (finish, expected) in [
        (BarePorous, None),
        (BareDense, None),
        (Unknown, Some(Verdict::Care)),
        (Painted, Some(Verdict::TestFirst)),
        (Varnished, Some(Verdict::TestFirst)),
        (Gilded, Some(Verdict::NotWithout(Whom::Conservator))),
        (Loose, Some(Verdict::NotWithout(Whom::Conservator))),
    ] {
        let input = with(Substrate::Stone, finish);
        assert_eq!(verdict(&input, "finish"), expected, "{finish:?}");
        let drinks = matches!(finish, BarePorous | Loose | Unknown);
        assert_eq!(find(&input, "stain").is_some(), drinks, "{finish:?}");
    }
}

#[test]
fn the_answer_of_a_patch_test_changes_verdicts_and_bag() {
    let mut input = piece(Substrate::Glazed, Cure::Addition);
    assert_eq!(verdict(&input, "patch"), Some(Verdict::Care));
    assert_eq!(packed(&input), (false, true));

    // It runs: nothing is known yet.
    patch(&mut input, false, None);
    let waiting = find(&input, "patch").unwrap();
    assert!(waiting.what.contains("no answer yet"), "{waiting:?}");

    patch(&mut input, false, Some(PatchResult::Sticky));
    assert_eq!(verdict(&input, "patch"), None);
    assert_eq!(verdict(&input, "cure"), Some(Verdict::NotAsItIs));
    assert_eq!(packed(&input), (true, true));

    // Again over a sealer: it stays in the bag, however the second test ends.
    patch(&mut input, true, Some(PatchResult::Cured));
    let cured = find(&input, "cure").unwrap();
    assert_eq!(
        (cured.verdict, cured.source),
        (Verdict::Fine, Source::YourChoice)
    );
    assert_eq!(packed(&input), (true, true));
    patch(&mut input, true, Some(PatchResult::Sticky));
    assert_eq!(
        verdict(&input, "cure"),
        Some(Verdict::NotWithout(Whom::Maker))
    );

    patch(&mut input, false, Some(PatchResult::Stained));
    assert_eq!(verdict(&input, "cure"), Some(Verdict::Fine));
    assert_eq!(
        verdict(&input, "stain"),
        Some(Verdict::NotWithout(Whom::Owner))
    );
    assert_eq!(packed(&input), (true, true));

    patch(&mut input, false, Some(PatchResult::Cured));
    let open: Vec<_> = input.ground().checks();
    let open = open.into_iter().filter(|c| c.verdict != Verdict::Fine);
    let open: BTreeSet<_> = open.map(|check| check.key).collect();
    assert_eq!(open, BTreeSet::from(["finish", "release"]));
    assert_eq!(packed(&input), (false, true));

    // A clean patch answers what a porous or painted surface asks, too.
    for (finish, key) in [(Finish::BarePorous, "stain"), (Finish::Painted, "finish")] {
        let mut input = piece(Substrate::Gypsum, Cure::Addition);
        input.finish = finish;
        assert_eq!(verdict(&input, key), Some(Verdict::TestFirst));
        patch(&mut input, false, Some(PatchResult::Cured));
        assert_eq!(verdict(&input, key), Some(Verdict::Fine));
        assert_eq!(verdict(&input, "cure"), Some(Verdict::Fine));
    }

    // A test of another paste says nothing of this one.
    input.card.id = "another".into();
    let other = find(&input, "patch").unwrap();
    assert!(other.what.contains("another paste"), "{other:?}");
}

#[test]
fn others_decide_on_what_is_old_or_loose() {
    let mut input = piece(Substrate::Stone, Cure::Addition);
    let general = |input: &PlanInput| {
        let cautions = plan(input).unwrap().cautions;
        cautions
            .iter()
            .filter(|c| c.topic == Topic::Heritage)
            .count()
    };
    assert_eq!((verdict(&input, "heritage"), general(&input)), (None, 1));
    input.heritage = true;
    let owner = Some(Verdict::NotWithout(Whom::Owner));
    assert_eq!((verdict(&input, "heritage"), general(&input)), (owner, 0));
    // No test takes that decision away.
    patch(&mut input, false, Some(PatchResult::Cured));
    assert_eq!(verdict(&input, "heritage"), owner);

    assert_eq!(verdict(&input, "fixing"), None);
    input.posture = Posture::Overhead;
    assert_eq!(verdict(&input, "fixing"), Some(Verdict::Care));
}

#[test]
fn a_form_that_turns_back_wants_a_shell_in_pieces() {
    let mut input = piece(Substrate::Gypsum, Cure::Addition);
    assert_eq!(verdict(&input, "undercut"), Some(Verdict::Fine));
    assert_eq!(verdict(&input, "thin_parts"), None);
    input.relief.kind = ReliefKind::High;
    let high = find(&input, "undercut").unwrap();
    assert!(
        high.verdict == Verdict::Care && high.advice.contains("two pieces"),
        "{high:?}"
    );
    assert_eq!(verdict(&input, "thin_parts"), Some(Verdict::Care));
    input.relief.highest = Millimetres(0.0);
    assert_eq!(verdict(&input, "undercut"), Some(Verdict::Fine));

    input.relief.kind = ReliefKind::Low;
    input.undercut = true;
    let deep = find(&input, "undercut").unwrap();
    assert_eq!(deep.verdict, Verdict::Care);
    for word in [
        "thickened paste",
        "two pieces",
        "split line",
        "don't mould it",
    ] {
        assert!(deep.advice.contains(word), "{word}: {deep:?}");
    }
    // Metal gives where plaster breaks.
    input.substrate = Substrate::Metal;
    assert_eq!(verdict(&input, "thin_parts"), None);

    assert_eq!(verdict(&input, "border"), None);
    input.border = Millimetres(12.0);
    let narrow = find(&input, "border").unwrap();
    assert!(
        narrow.what.contains("12 mm") && narrow.what.contains(" in"),
        "{narrow:?}"
    );
}

#[test]
fn every_check_says_why_and_what_is_not_fine_says_what_to_do() {
    let results = [None, Some(None)]
        .into_iter()
        .chain(PatchResult::ALL.map(|result| Some(Some(result))));
    let mut checks = 0;
    for result in results {
        for sealed in [false, true] {
            for substrate in Substrate::ALL {
                for cure in CURES {
                    for finish in Finish::ALL {
                        let mut input = piece(substrate, cure);
                        input.finish = finish;
                        input.relief.kind = ReliefKind::High;
                        input.heritage = sealed;
                        input.undercut = sealed;
                        input.posture = Posture::Overhead;
                        if let Some(result) = result {
                            patch(&mut input, sealed, result);
                        }
                        let mut said = BTreeSet::new();
                        for check in input.ground().checks() {
                            assert!(said.insert(check.what.clone()), "twice: {check:?}");
                            let fine = check.verdict == Verdict::Fine;
                            assert!(fine || !check.advice.is_empty(), "{check:?}");
                            for sentence in [&check.what, &check.reason] {
                                assert!(sentence.ends_with('.'), "{check:?}");
                            }
                            checks += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(checks > 10_000, "{checks}");
}

#[test]
fn sealer_and_release_go_by_the_area() {
    let amount = |area: f64, key: &str| {
        let mut input = piece(Substrate::Gypsum, Cure::Addition);
        input.area.value.0 = area;
        input.border = Millimetres(0.0);
        input.relief.highest = Millimetres(0.0);
        let bag = kit(&plan(&input).unwrap(), &input);
        match bag.iter().find(|item| item.key == key).unwrap().amount {
            Amount::Volume(volume) => volume.0,
            ref other => panic!("{other:?}"),
        }
    };
    for key in ["sealer", "release"] {
        let (one, two) = (amount(250_000.0, key), amount(500_000.0, key));
        assert!((two / one - 2.0).abs() < 1e-9, "{key}: {one} {two}");
    }
}

#[test]
fn starter_cards_say_how_they_cure() {
    for card in starter_cards() {
        let condensation = card.name.starts_with("Condensation");
        let expected = match condensation {
            true => Cure::Condensation,
            false => Cure::Addition,
        };
        assert_eq!(card.cure, expected, "{}", card.name);
        assert_ne!(card.marks.cure, Source::MadeUp, "{}", card.name);
    }
}
