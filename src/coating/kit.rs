//! The bag: everything that has to be there, computed from the plans.

use super::bag::Bag;
use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::plan::Plan;
use super::source::Source;
use crate::quantity::{Amount, Grams};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Where an item belongs in the bag.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KitGroup {
    /// Paste.
    Paste,
    /// Containers and stirrers.
    Mixing,
    /// Brushes and spatulas.
    Brushing,
    /// Release, sealer, masking, sheet.
    Surface,
    /// Rule, scale, thermometer, lamp.
    Measuring,
    /// The support shell.
    Shell,
    /// Gloves, rags, bags.
    Care,
}

impl KitGroup {
    /// Its heading.
    pub fn name(self) -> &'static str {
        match self {
            Self::Paste => tr("Paste"),
            Self::Mixing => tr("Mixing"),
            Self::Brushing => tr("Putting on"),
            Self::Surface => tr("The surface and around it"),
            Self::Measuring => tr("Measuring and light"),
            Self::Shell => tr("Support shell"),
            Self::Care => tr("You and the waste"),
        }
    }
}

/// One thing to pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KitItem {
    /// Stable name, for tick marks that are kept while the plan changes.
    pub key: String,
    /// Its group.
    pub group: KitGroup,
    /// What it is.
    pub what: String,
    /// How much of it.
    pub amount: Amount,
    /// What it weighs, all of it.
    pub weight: Grams,
    /// Where that weight comes from.
    #[serde(default)]
    pub weight_source: Source,
    /// Why it is in the bag.
    pub why: String,
    /// Which of the pieces it is for, counted from 0: those whose own bags have it.
    #[serde(default)]
    pub pieces: Vec<usize>,
    /// What the amount is worked out from; nothing where it is simply one.
    #[serde(default)]
    pub inputs: Vec<(String, Amount)>,
    /// Where the amount comes from.
    #[serde(default)]
    pub source: Source,
}

impl KitItem {
    /// How its amount came about, if it was worked out.
    pub fn explanation(&self) -> Option<Explanation> {
        (!self.inputs.is_empty()).then(|| Explanation {
            what: self.what.clone(),
            result: self.amount.clone(),
            inputs: self.inputs.clone(),
            formula: self.why.clone(),
            source: self.source.clone(),
        })
    }
}

/// How the weight to carry came about, group by group.
pub fn weight_why(items: &[KitItem]) -> Explanation {
    let groups = items.chunk_by(|one, next| one.group == next.group);
    let inputs = groups.filter_map(|group| {
        let name = group.first()?.group.name();
        Some((name, Amount::Mass(weight_to_carry(group))))
    });
    explain(
        tr("Weight to carry"),
        Amount::Mass(weight_to_carry(items)),
        inputs.collect(),
        tr(
            "What all things on the list weigh, added up. A millilitre of what is thin is taken as a gram; what a cup, a brush or a tool weighs is made up: kitchen scales know better.",
        ),
        Source::MadeUp,
    )
}

/// What the bag weighs.
pub fn weight_to_carry(items: &[KitItem]) -> Grams {
    items.iter().map(|item| item.weight).sum()
}

/// Everything to pack for one plan, grouped. Keys stay the same when the plan changes.
pub fn kit(plan: &Plan, input: &PlanInput) -> Vec<KitItem> {
    kit_of_all(&[(plan, input)])
}

/// Everything to pack for several pieces that are moulded on one trip, each by its plan and what
/// that was made from. What is used up adds up; tools are taken once. The bag of one piece is the
/// bag of all of one.
///
/// Items have the keys that they have in the pieces' own bags. What differs stays apart under one
/// key: another paste, another brush.
pub fn kit_of_all(pieces: &[(&Plan, &PlanInput)]) -> Vec<KitItem> {
    if pieces.is_empty() {
        return Vec::new();
    }
    Bag::of(pieces)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{
        PackSize, Paste, Posture, Relief, ReliefKind, ShellKind, Stock, plan, starter_cards,
    };
    use crate::quantity::{Estimate, Millimetres, SquareMillimetres, iso};
    use proptest::prelude::*;

    type Piece = (Plan, PlanInput);

    fn piece(area: f64, kind: ReliefKind) -> PlanInput {
        PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(area)),
            Estimate::exact(Millimetres(4.2 * area.sqrt())),
            Relief {
                kind,
                highest: Millimetres(12.0),
            },
        )
    }

    fn planned(input: PlanInput) -> Piece {
        (plan(&input).unwrap(), input)
    }

    fn all(pieces: &[Piece]) -> Vec<(&Plan, &PlanInput)> {
        pieces.iter().map(|(plan, input)| (plan, input)).collect()
    }

    /// The number in an amount of the bag.
    fn number(amount: &Amount) -> f64 {
        match amount {
            Amount::Count(n) => f64::from(*n),
            Amount::Mass(q) => q.0,
            Amount::Volume(q) => q.0,
            Amount::Length(q) => q.0,
            Amount::Area(q) => q.0,
            other => panic!("{other:?}"),
        }
    }

    fn find<'a>(bag: &'a [KitItem], key: &str) -> &'a KitItem {
        let mut found = bag.iter().filter(|item| item.key == key);
        let first = found.next().unwrap_or_else(|| panic!("no {key}"));
        assert!(found.next().is_none(), "{key} twice");
        first
    }

    #[test]
    fn what_is_used_up_adds_up_and_tools_are_taken_once() {
        let pieces = vec![planned(piece(40_000.0, ReliefKind::Low)); 3];
        let (one, three) = (kit(&pieces[0].0, &pieces[0].1), kit_of_all(&all(&pieces)));
        for item in &one {
            let pooled = find(&three, &item.key);
            let times = number(&pooled.amount) / number(&item.amount);
            match item.key.as_str() {
                "tape-measure" | "rule" | "scale" | "thermometer" | "lamp" | "bucket"
                | "spatula-coat-3" => assert_eq!(times, 1.0, "{}", item.key),
                // These have a least, or something to spare.
                "gloves" | "rags" | "bags" | "sheet" => assert!(times > 0.99, "{}", item.key),
                _ => assert!((times - 3.0).abs() < 1e-9, "{}", item.key),
            }
            assert_eq!(pooled.pieces, [0, 1, 2]);
            assert_eq!(pooled.why, item.why);
        }
        assert_eq!(one.len(), three.len());
        let batches = 3 * pieces[0].0.batch_count();
        for (key, count) in [("gloves", batches + 2), ("bags", 1 + batches / 6)] {
            assert_eq!(find(&three, key).amount, Amount::Count(count));
        }
        // A little over a metre a piece: all three come off one roll.
        assert_eq!(find(&three, "masking").weight, find(&one, "masking").weight);
        assert_eq!(kit_of_all(&[]), []);
    }

    #[test]
    fn three_small_pieces_take_one_set() {
        let mut input = piece(8_000.0, ReliefKind::Low);
        input.card.packs = vec![PackSize {
            name: "Set".to_string(),
            size: Grams(1000.0),
            price: Some(40.0),
        }];
        let pieces = vec![planned(input); 3];
        let each = pieces[0].0.bring.0;
        assert!((50.0..333.0).contains(&each), "{each}");
        let pieces = all(&pieces);
        let [paste] = &Paste::of_all(&pieces)[..] else {
            panic!("one paste")
        };
        let today = iso::read_day("2026-05-03").unwrap();
        let choice = Stock::default().choose(paste, today).unwrap().unwrap();
        assert_eq!((choice.buy.len(), choice.buy[0].count), (1, 1));
        assert!((choice.left_over.0 - (1000.0 - 3.0 * each)).abs() < 1e-6);
    }

    #[test]
    fn pastes_of_other_cards_stay_apart() {
        let with = |card: usize| {
            let mut input = piece(40_000.0, ReliefKind::Low);
            input.card = starter_cards().swap_remove(card);
            // Names are no proof: two cards may be called alike.
            input.card.name = "Paste".to_string();
            planned(input)
        };
        let pieces = [with(0), with(1), with(0)];
        let pieces = all(&pieces);
        let bag = kit_of_all(&pieces);
        let of_a: Vec<_> = bag.iter().filter(|item| item.key == "paste-a").collect();
        assert_eq!(of_a.len(), 2);
        assert_eq!(of_a[0].pieces, [0, 2]);
        assert_eq!(of_a[0].amount, Amount::Mass(pieces[0].0.bring_a * 2.0));
        assert_eq!(of_a[1].pieces, [1]);
        assert_eq!(of_a[1].amount, Amount::Mass(pieces[1].0.bring_a));
        assert_eq!(Paste::of_all(&pieces).len(), 2);
    }

    #[test]
    fn a_shell_in_two_parts_brings_what_parts_and_holds_them() {
        let bag = |undercut, kind| {
            let mut input = piece(60_000.0, kind);
            input.undercut = undercut;
            let (plan, input) = planned(input);
            (kit(&plan, &input), plan)
        };
        let has = |bag: &[KitItem], key: &str| bag.iter().any(|item| item.key == key);
        let (plain, whole) = bag(false, ReliefKind::Middle);
        for key in ["shell-clay", "shell-parting", "shell-bolts"] {
            assert!(!has(&plain, key), "{key}");
        }
        assert_eq!(whole.shell.seam, None);
        let (deep, split) = bag(true, ReliefKind::Middle);
        let seam = split.shell.seam.unwrap();
        // Half of the outer edge, and up and down 12 mm.
        assert!((seam.0 - split.border_edge.0 / 2.0 - 24.0).abs() < 1e-9);
        // A wall of 40 by 10 mm at 1.8 g/ml: 0.72 g a millimetre.
        assert!((find(&deep, "shell-clay").weight.0 / seam.0 - 0.72).abs() < 1e-9);
        assert!((find(&deep, "shell-parting").weight.0 / seam.0 - 0.008).abs() < 1e-9);
        let bolts = 1 + (seam.0 / 150.0).ceil() as u32;
        assert_eq!(find(&deep, "shell-bolts").amount, Amount::Count(bolts));
        // Its flanges are built of the same as the shell.
        let more = split.shell.carried() / whole.shell.carried() - 1.0;
        assert!((more - 80.0 * seam.0 / whole.shell.area.0).abs() < 1e-9);
        assert!(has(&bag(false, ReliefKind::High).0, "shell-clay"));
    }

    fn any_piece() -> impl Strategy<Value = PlanInput> {
        (
            (2e3f64..4e5, prop::sample::select(ReliefKind::ALL.to_vec())),
            (0usize..3, any::<bool>(), any::<bool>()),
            prop::sample::select(ShellKind::ALL.to_vec()),
        )
            .prop_map(|((area, kind), (card, undercut, overhead), shell)| {
                let mut input = piece(area, kind);
                input.card = starter_cards().swap_remove(card);
                input.undercut = undercut;
                input.shell = shell;
                if overhead {
                    input.posture = Posture::Overhead;
                }
                input
            })
    }

    proptest! {
        // Each plan is ten thousand draws.
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn a_bag_for_all_holds_the_greatest_and_no_more_than_the_sum(
            inputs in prop::collection::vec(any_piece(), 1..4),
        ) {
            let pieces: Vec<Piece> = inputs.into_iter().map(planned).collect();
            let whole = kit_of_all(&all(&pieces));
            let own: Vec<_> = pieces.iter().map(|(plan, input)| kit(plan, input)).collect();
            let same = |one: &KitItem, other: &KitItem| one.key == other.key && one.what == other.what;
            for item in &whole {
                let mut has = Vec::new();
                let (mut most, mut sum) = ((0.0f64, 0.0f64), (0.0, 0.0));
                for (at, bag) in own.iter().enumerate() {
                    let Some(one) = bag.iter().find(|one| same(one, item)) else { continue };
                    has.push(at);
                    let (amount, weight) = (number(&one.amount), one.weight.0);
                    most = (most.0.max(amount), most.1.max(weight));
                    sum = (sum.0 + amount, sum.1 + weight);
                }
                prop_assert_eq!(&item.pieces, &has, "{}", &item.key);
                let slack = 1e-9 * sum.0;
                let (amount, weight) = (number(&item.amount), item.weight.0);
                prop_assert!(most.0 - slack <= amount && amount <= sum.0 + slack, "{:?}", item);
                prop_assert!(most.1 - slack <= weight && weight <= sum.1 + slack, "{:?}", item);
            }
            for one in own.iter().flatten() {
                prop_assert!(whole.iter().any(|item| same(one, item)), "{}", one.key);
            }
            // Paste is what all batches take, as they are weighed, and never less.
            let batches = pieces.iter().flat_map(|(plan, _)| &plan.coats).flat_map(|c| &c.batches);
            let weighed: f64 = batches.map(|batch| batch.mass().0).sum();
            let paste = whole.iter().filter(|item| item.group == KitGroup::Paste);
            prop_assert!(paste.map(|item| item.weight.0).sum::<f64>() >= weighed - 1e-6);
            // One heading a group.
            prop_assert!(whole.is_sorted_by_key(|item| item.group));
        }

        #[test]
        fn the_order_of_the_pieces_does_not_matter(
            inputs in prop::collection::vec(any_piece(), 2..4),
        ) {
            let mut pieces: Vec<Piece> = inputs.into_iter().map(planned).collect();
            let listed = |pieces: &[Piece]| {
                let mut bag = kit_of_all(&all(pieces));
                bag.sort_by(|x, y| (&x.key, &x.what).cmp(&(&y.key, &y.what)));
                bag
            };
            let forward = listed(&pieces);
            pieces.reverse();
            let back = listed(&pieces);
            prop_assert_eq!(forward.len(), back.len());
            for (one, other) in forward.iter().zip(&back) {
                prop_assert_eq!((&one.key, &one.what, &one.why), (&other.key, &other.what, &other.why));
                let (x, y) = (number(&one.amount), number(&other.amount));
                prop_assert!((x - y).abs() <= 1e-9 * x, "{:?} {:?}", one, other);
                let turned: Vec<_> = other.pieces.iter().rev().map(|at| pieces.len() - 1 - at).collect();
                prop_assert_eq!(&one.pieces, &turned);
            }
        }
    }
}
