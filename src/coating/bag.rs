//! How the bag fills: one thing after the other, for all pieces at once.

use super::coat::{CoatRole, Tool};
use super::fitness::Release;
use super::input::PlanInput;
use super::kit::{KitGroup, KitItem};
use super::paste::Paste;
use super::plan::Plan;
use super::practice;
use super::relief::Posture;
use super::shell::ShellKind;
use super::source::Source;
use crate::quantity::{Amount, Grams, Millilitres, Millimetres, SquareMillimetres, show};
use crate::say;
use crate::words::tr;
use std::collections::BTreeSet;

mod shell;

/// Weights of one of each, in grams, made up for the demo: kitchen scales beat them.
mod weight {
    pub const CONTAINER: f64 = 12.0;
    pub const STIRRER: f64 = 5.0;
    pub const BRUSH: f64 = 25.0;
    pub const SPATULA: f64 = 60.0;
    pub const GLOVES_PAIR: f64 = 10.0;
    pub const TAPE_ROLL: f64 = 150.0;
    pub const SHEET_PER_M2: f64 = 50.0;
    pub const RULE: f64 = 80.0;
    pub const TAPE_MEASURE: f64 = 200.0;
    pub const SCALE: f64 = 500.0;
    pub const THERMOMETER: f64 = 50.0;
    pub const LAMP: f64 = 300.0;
    pub const BUCKET: f64 = 300.0;
    pub const RAG: f64 = 30.0;
    pub const BAG: f64 = 20.0;
    pub const GOGGLES: f64 = 80.0;
    pub const BOLT: f64 = 30.0;
}

/// Masking tape comes in rolls of this many millimetres (made up for the demo).
const TAPE_ROLL: f64 = 25_000.0;

/// The bag as it fills.
pub(super) struct Bag<'a> {
    pieces: &'a [(&'a Plan, &'a PlanInput)],
    /// Batches of all pieces.
    batches: u32,
    /// Where the next item belongs.
    group: KitGroup,
    items: Vec<KitItem>,
}

/// How much of a thing one piece needs, and why; `None` if it needs none.
type Needs<'a> = &'a dyn Fn(&Plan, &PlanInput) -> Option<(f64, String)>;

/// A sum of needs as an amount, and what that weighs in grams.
type Weighed = fn(f64) -> (Amount, f64);

const BY_MASS: Weighed = |sum| (Amount::Mass(Grams(sum)), sum);
/// Thin water-like things: a millilitre is taken as a gram.
const BY_VOLUME: Weighed = |sum| (Amount::Volume(Millilitres(sum)), sum);

impl<'a> Bag<'a> {
    /// What is in it for these pieces.
    pub(super) fn of(pieces: &'a [(&'a Plan, &'a PlanInput)]) -> Vec<KitItem> {
        let mut bag = Self {
            pieces,
            batches: pieces.iter().map(|(plan, _)| plan.batch_count()).sum(),
            group: KitGroup::Paste,
            items: Vec::new(),
        };
        bag.paste();
        bag.mixing();
        bag.brushing();
        bag.surface();
        bag.measuring();
        bag.shell();
        bag.care();
        bag.items
    }

    fn put(
        &mut self,
        pieces: Vec<usize>,
        key: &str,
        what: &str,
        amount: Amount,
        weight: f64,
        why: &str,
    ) {
        let weight_source = match amount {
            Amount::Mass(_) | Amount::Volume(_) => {
                Source::Computed(tr("from its amount").to_string())
            }
            _ => Source::MadeUp,
        };
        self.items.push(KitItem {
            key: key.to_string(),
            group: self.group,
            what: what.to_string(),
            amount,
            weight: Grams(weight),
            weight_source,
            why: why.to_string(),
            pieces,
            inputs: Vec::new(),
            source: Source::default(),
        });
    }

    /// What the amount of the last thing that was put in comes from, if its key is this one.
    fn from(&mut self, key: &str, inputs: Vec<(&str, Amount)>, source: Source) {
        let last = self.items.iter_mut().next_back();
        if let Some(item) = last.filter(|item| item.key == key) {
            let named = inputs.into_iter();
            item.inputs = named.map(|(name, of)| (name.to_string(), of)).collect();
            item.source = source;
        }
    }

    /// A sum over all pieces.
    fn sum<T: std::iter::Sum<T>>(&self, of: impl Fn(&Plan, &PlanInput) -> T) -> T {
        self.pieces
            .iter()
            .map(|(plan, input)| of(plan, input))
            .sum()
    }

    fn batches_input(&self) -> Vec<(&'static str, Amount)> {
        vec![(tr("Batches"), Amount::Count(self.batches))]
    }

    /// What every piece has a need for.
    fn all(&mut self, key: &str, what: &str, amount: Amount, weight: f64, why: &str) {
        let pieces = (0..self.pieces.len()).collect();
        self.put(pieces, key, what, amount, weight, why);
    }

    fn count(&mut self, key: &str, what: &str, count: u32, each: f64, why: &str) {
        let weight = f64::from(count) * each;
        self.all(key, what, Amount::Count(count), weight, why);
    }

    /// What some pieces need: nothing if none does.
    fn some(&mut self, key: &str, what: &str, needs: Needs<'_>, weighed: Weighed) {
        let (mut sum, mut pieces, mut reasons) = (0.0, Vec::new(), BTreeSet::new());
        for (at, (plan, input)) in self.pieces.iter().enumerate() {
            if let Some((need, why)) = needs(plan, input) {
                sum += need;
                pieces.push(at);
                reasons.insert(why);
            }
        }
        if !pieces.is_empty() {
            let (amount, weight) = weighed(sum);
            let reasons: Vec<String> = reasons.into_iter().collect();
            self.put(pieces, key, what, amount, weight, &reasons.join(" "));
        }
    }

    fn paste(&mut self) {
        for paste in Paste::of_all(self.pieces) {
            let inputs = paste.pieces.iter().map(|at| self.pieces[*at].1);
            let least = inputs.map(|input| input.confidence).fold(1.0, f64::min);
            let why = say!(
                "Enough for {least} of 100 such pieces, and for every batch as you will weigh it.",
                least = show::number(least * 100.0, 1)
            );
            let card = paste.card;
            let (a, b) = card.ratio_by_mass;
            for (key, part, mass, parts) in [
                ("paste-a", &card.parts[0], paste.a, a),
                ("paste-b", &card.parts[1], paste.b, b),
            ] {
                let what = match part.colour.as_str() {
                    "" => format!("{}: {}", card.name, part.name),
                    colour => format!("{}: {} ({colour})", card.name, part.name),
                };
                let pieces = paste.pieces.clone();
                let inputs = vec![
                    (tr("Pieces"), Amount::Count(pieces.len() as u32)),
                    (tr("Enough in, of such pieces"), Amount::Share(least)),
                    (tr("By weight"), Amount::Number(parts)),
                ];
                self.put(pieces, key, &what, Amount::Mass(mass), mass.0, &why);
                let source = Source::Computed(tr("quantile of the draws of the need").to_string());
                self.from(key, inputs, source);
            }
        }
    }

    fn mixing(&mut self) {
        self.group = KitGroup::Mixing;
        let containers = self.batches * practice::CONTAINERS_PER_BATCH.value;
        self.count(
            "containers",
            tr("Mixing containers"),
            containers,
            weight::CONTAINER,
            tr("Two a batch: mix in the first, move all of it to the second, mix again."),
        );
        let each = practice::CONTAINERS_PER_BATCH;
        let mut inputs = self.batches_input();
        inputs.push((tr("Containers a batch"), Amount::Count(each.value)));
        self.from("containers", inputs, each.source);
        self.count(
            "stirrers",
            tr("Stirrers"),
            containers,
            weight::STIRRER,
            tr("A clean one for each container, so that no unmixed paste comes along."),
        );
        let inputs = vec![(tr("Mixing containers"), Amount::Count(containers))];
        self.from("stirrers", inputs, Source::CommonPractice);
    }

    fn brushing(&mut self) {
        self.group = KitGroup::Brushing;
        let coats = self.pieces.iter().map(|(plan, _)| plan.coats.len());
        for at in 0..coats.max().unwrap_or(0) {
            let number = at + 1;
            for (kind, soft) in [(tr("Soft"), true), (tr("Stiff"), false)] {
                self.some(
                    &format!("brush-coat-{number}"),
                    &say!("{kind} brushes for coat {number}", kind, number),
                    &|plan, _| {
                        let coat = plan.coats.get(at)?;
                        let skim = coat.role == CoatRole::Skim;
                        (coat.tool == Tool::Brush && skim == soft).then(|| {
                            let why = tr("One a batch: the paste sets in the bristles.");
                            (coat.batches.len() as f64, why.to_string())
                        })
                    },
                    |sum| (Amount::Count(sum as u32), sum * weight::BRUSH),
                );
                let batches = self.sum(|plan, _| {
                    let coat = plan.coats.get(at);
                    let coat = coat.filter(|coat| {
                        coat.tool == Tool::Brush && (coat.role == CoatRole::Skim) == soft
                    });
                    coat.map_or(0, |coat| coat.batches.len() as u32)
                });
                if batches > 0 {
                    let inputs = vec![(tr("Batches of the coat"), Amount::Count(batches))];
                    let key = format!("brush-coat-{number}");
                    self.from(&key, inputs, Source::CommonPractice);
                }
            }
            self.some(
                &format!("spatula-coat-{number}"),
                &say!("Spatula for coat {number}", number),
                &|plan, _| {
                    let coat = plan.coats.get(at)?;
                    (coat.tool == Tool::Spatula).then(|| {
                        let why = tr("Cured paste peels off it between batches.");
                        (1.0, why.to_string())
                    })
                },
                |_| (Amount::Count(1), weight::SPATULA),
            );
        }
    }

    fn surface(&mut self) {
        self.group = KitGroup::Surface;
        let agent = |plan: &Plan| area(plan).0 * practice::RELEASE.value;
        self.some(
            "sealer",
            tr("Sealer"),
            &|plan, input| {
                let why = Release::of(&input.ground()).sealer?;
                let why = say!(
                    "{why} Seal it before the release, after a test in a hidden place.",
                    why
                );
                Some((agent(plan), why))
            },
            BY_VOLUME,
        );
        let sealed = |input: &PlanInput| Release::of(&input.ground()).sealer.is_some();
        let wetted = self.sum(|plan, input| match sealed(input) {
            true => area(plan),
            false => SquareMillimetres(0.0),
        });
        let on_metre = Millilitres(practice::RELEASE.value * 1e6);
        let inputs = vec![
            (tr("Surface and border"), Amount::Area(wetted)),
            (tr("On a square metre"), Amount::Volume(on_metre)),
        ];
        self.from("sealer", inputs, practice::RELEASE.source);
        self.some(
            "release",
            tr("Release agent"),
            &|plan, input| {
                let why = Release::of(&input.ground()).release?;
                let why = say!("{why} Two thin coats over the piece and its border.", why);
                Some((agent(plan), why))
            },
            BY_VOLUME,
        );
        let released = |input: &PlanInput| Release::of(&input.ground()).release.is_some();
        let wetted = self.sum(|plan, input| match released(input) {
            true => area(plan),
            false => SquareMillimetres(0.0),
        });
        let inputs = vec![
            (tr("Surface and border"), Amount::Area(wetted)),
            (tr("On a square metre"), Amount::Volume(on_metre)),
        ];
        self.from("release", inputs, practice::RELEASE.source);
        let plans = || self.pieces.iter().map(|(plan, _)| plan);
        let rim: Millimetres = plans().map(|plan| plan.border_edge).sum();
        let all: SquareMillimetres = plans().map(|plan| area(plan)).sum();
        self.all(
            "masking",
            tr("Masking tape"),
            Amount::Length(rim),
            (rim.0 / TAPE_ROLL).ceil() * weight::TAPE_ROLL,
            tr("Once around the outer edge of the border."),
        );
        let inputs = vec![
            (tr("Pieces"), Amount::Count(self.pieces.len() as u32)),
            (
                tr("Border strip"),
                Amount::Area(self.sum(|plan, _| plan.border_area.value)),
            ),
            (tr("One roll"), Amount::Length(Millimetres(TAPE_ROLL))),
        ];
        let source = Source::Computed(tr("the outline's parallel curve").to_string());
        self.from("masking", inputs, source);
        let sheet = SquareMillimetres((all.0 * practice::SHEET_PER_SURFACE.value).max(1e6));
        self.all(
            "sheet",
            tr("Protective sheet"),
            Amount::Area(sheet),
            sheet.0 / 1e6 * weight::SHEET_PER_M2,
            tr("For the wall beside the piece and the floor below it."),
        );
        let times = practice::SHEET_PER_SURFACE;
        let inputs = vec![
            (tr("Surface and border"), Amount::Area(all)),
            (tr("Times that"), Amount::Number(times.value)),
            (tr("At the least"), Amount::Area(SquareMillimetres(1e6))),
        ];
        self.from("sheet", inputs, times.source);
    }

    fn measuring(&mut self) {
        self.group = KitGroup::Measuring;
        for (key, what, each, why) in [
            (
                "tape-measure",
                tr("Tape measure"),
                weight::TAPE_MEASURE,
                tr("To check the footprint on site."),
            ),
            (
                "rule",
                tr("Rule and straight edge"),
                weight::RULE,
                tr("For the highest point and the reference in the photo."),
            ),
            (
                "scale",
                tr("Scale"),
                weight::SCALE,
                tr("A and B are weighed, never guessed."),
            ),
            (
                "thermometer",
                tr("Thermometer"),
                weight::THERMOMETER,
                tr("The paste's times depend on the temperature of the site."),
            ),
            (
                "lamp",
                tr("Lamp"),
                weight::LAMP,
                tr("Light from the side shows missed spots."),
            ),
        ] {
            self.count(key, what, 1, each, why);
        }
    }

    fn care(&mut self) {
        self.group = KitGroup::Care;
        let batches = self.batches;
        self.count(
            "gloves",
            tr("Pairs of nitrile or vinyl gloves"),
            batches + 2,
            weight::GLOVES_PAIR,
            tr("A pair a batch and two spare. Latex stops the cure."),
        );
        self.from("gloves", self.batches_input(), Source::MadeUp);
        self.some(
            "goggles",
            tr("Goggles"),
            &|_, input| {
                let why = match (input.posture, input.shell) {
                    (Posture::Overhead, _) => tr("Paste falls from overhead."),
                    (_, ShellKind::Laminate) => tr("The resin's hardener can blind."),
                    _ => return None,
                };
                Some((1.0, why.to_string()))
            },
            |_| (Amount::Count(1), weight::GOGGLES),
        );
        self.count(
            "rags",
            tr("Rags"),
            batches.max(3),
            weight::RAG,
            tr("One a batch, three at least."),
        );
        self.from("rags", self.batches_input(), Source::MadeUp);
        self.count(
            "bags",
            tr("Bags for waste"),
            1 + batches / 6,
            weight::BAG,
            tr("One, and one more for each six batches: containers, brushes and gloves go home with you."),
        );
        self.from("bags", self.batches_input(), Source::MadeUp);
    }
}

/// A piece and its border.
fn area(plan: &Plan) -> SquareMillimetres {
    plan.surface.value + plan.border_area.value
}
