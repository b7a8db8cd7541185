//! The bag: everything that has to be there, computed from the plan.

use super::coat::{CoatRole, Tool};
use super::fitness::Release;
use super::input::PlanInput;
use super::plan::Plan;
use super::practice;
use super::relief::Posture;
use super::shell::ShellKind;
use super::source::Source;
use crate::quantity::{Amount, Grams, Millilitres, SquareMillimetres, show};
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
            Self::Paste => "Paste",
            Self::Mixing => "Mixing",
            Self::Brushing => "Putting on",
            Self::Surface => "The surface and around it",
            Self::Measuring => "Measuring and light",
            Self::Shell => "Support shell",
            Self::Care => "You and the waste",
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
}

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
}

/// Masking tape comes in rolls of this many millimetres (made up for the demo).
const TAPE_ROLL: f64 = 25_000.0;

/// What the bag weighs.
pub fn weight_to_carry(items: &[KitItem]) -> Grams {
    items.iter().map(|item| item.weight).sum()
}

/// Everything to pack for one plan, grouped. Keys stay the same when the plan changes.
pub fn kit(plan: &Plan, input: &PlanInput) -> Vec<KitItem> {
    let mut bag = Bag::default();
    bag.paste(plan, input);
    bag.mixing(plan);
    bag.brushing(plan);
    bag.surface(plan, input);
    bag.measuring();
    bag.shell(plan);
    bag.care(plan, input);
    bag.items
}

#[derive(Default)]
struct Bag {
    items: Vec<KitItem>,
}

impl Bag {
    fn put(
        &mut self,
        key: &str,
        group: KitGroup,
        what: &str,
        amount: Amount,
        weight: f64,
        why: &str,
    ) {
        let weight_source = match amount {
            Amount::Mass(_) | Amount::Volume(_) => Source::Computed("from its amount".to_string()),
            _ => Source::MadeUp,
        };
        self.items.push(KitItem {
            key: key.to_string(),
            group,
            what: what.to_string(),
            amount,
            weight: Grams(weight),
            weight_source,
            why: why.to_string(),
        });
    }

    fn count(&mut self, key: &str, group: KitGroup, what: &str, count: u32, each: f64, why: &str) {
        self.put(
            key,
            group,
            what,
            Amount::Count(count),
            f64::from(count) * each,
            why,
        );
    }

    fn paste(&mut self, plan: &Plan, input: &PlanInput) {
        let why = &format!(
            "Enough for {} of 100 such pieces, and for every batch as you will weigh it.",
            show::number(input.confidence * 100.0, 1)
        );
        for (key, part, mass) in [
            ("paste-a", &input.card.parts[0], plan.bring_a),
            ("paste-b", &input.card.parts[1], plan.bring_b),
        ] {
            let what = match part.colour.as_str() {
                "" => format!("{}: {}", input.card.name, part.name),
                colour => format!("{}: {} ({colour})", input.card.name, part.name),
            };
            self.put(key, KitGroup::Paste, &what, Amount::Mass(mass), mass.0, why);
        }
    }

    fn mixing(&mut self, plan: &Plan) {
        let batches = plan.batch_count();
        let containers = batches * practice::CONTAINERS_PER_BATCH.value;
        self.count(
            "containers",
            KitGroup::Mixing,
            "Mixing containers",
            containers,
            weight::CONTAINER,
            "Two a batch: mix in the first, move all of it to the second, mix again.",
        );
        self.count(
            "stirrers",
            KitGroup::Mixing,
            "Stirrers",
            containers,
            weight::STIRRER,
            "A clean one for each container, so that no unmixed paste comes along.",
        );
    }

    fn brushing(&mut self, plan: &Plan) {
        for coat in &plan.coats {
            let batches = coat.batches.len() as u32;
            let n = coat.number;
            match coat.tool {
                Tool::Brush => self.count(
                    &format!("brush-coat-{n}"),
                    KitGroup::Brushing,
                    &match coat.role {
                        CoatRole::Skim => format!("Soft brushes for coat {n}"),
                        CoatRole::Build | CoatRole::Final => format!("Stiff brushes for coat {n}"),
                    },
                    batches,
                    weight::BRUSH,
                    "One a batch: the paste sets in the bristles.",
                ),
                Tool::Spatula => self.count(
                    &format!("spatula-coat-{n}"),
                    KitGroup::Brushing,
                    &format!("Spatula for coat {n}"),
                    1,
                    weight::SPATULA,
                    "Cured paste peels off it between batches.",
                ),
            }
        }
    }

    fn surface(&mut self, plan: &Plan, input: &PlanInput) {
        let all = plan.surface.value + plan.border_area.value;
        let agent = Millilitres(all.0 * practice::RELEASE.value);
        let group = KitGroup::Surface;
        let needed = Release::of(&input.ground());
        if let Some(why) = needed.sealer {
            self.put(
                "sealer",
                group,
                "Sealer",
                Amount::Volume(agent),
                agent.0,
                &format!("{why} Seal it before the release, after a test in a hidden place."),
            );
        }
        if let Some(why) = needed.release {
            self.put(
                "release",
                group,
                "Release agent",
                Amount::Volume(agent),
                agent.0,
                &format!("{why} Two thin coats over the piece and its border."),
            );
        }
        let rim = plan.border_edge;
        self.put(
            "masking",
            group,
            "Masking tape",
            Amount::Length(rim),
            (rim.0 / TAPE_ROLL).ceil() * weight::TAPE_ROLL,
            "Once around the outer edge of the border.",
        );
        let sheet = SquareMillimetres((all.0 * practice::SHEET_PER_SURFACE.value).max(1e6));
        self.put(
            "sheet",
            group,
            "Protective sheet",
            Amount::Area(sheet),
            sheet.0 / 1e6 * weight::SHEET_PER_M2,
            "For the wall beside the piece and the floor below it.",
        );
    }

    fn measuring(&mut self) {
        let group = KitGroup::Measuring;
        for (key, what, each, why) in [
            (
                "tape-measure",
                "Tape measure",
                weight::TAPE_MEASURE,
                "To check the footprint on site.",
            ),
            (
                "rule",
                "Rule and straight edge",
                weight::RULE,
                "For the highest point and the reference in the photo.",
            ),
            (
                "scale",
                "Scale",
                weight::SCALE,
                "A and B are weighed, never guessed.",
            ),
            (
                "thermometer",
                "Thermometer",
                weight::THERMOMETER,
                "The paste's times depend on the temperature of the site.",
            ),
            (
                "lamp",
                "Lamp",
                weight::LAMP,
                "Light from the side shows missed spots.",
            ),
        ] {
            self.count(key, group, what, 1, each, why);
        }
    }

    fn shell(&mut self, plan: &Plan) {
        let group = KitGroup::Shell;
        for part in &plan.shell.parts {
            self.put(
                &part.key,
                group,
                &part.what,
                Amount::Mass(part.mass),
                part.mass.0,
                &part.why,
            );
        }
        let water = plan.shell.water;
        if water.0 > 0.0 {
            self.put(
                "shell-water",
                group,
                "Water for the shell",
                Amount::Volume(water),
                water.0,
                "To mix or dip it. Leave it at home if there is water on site.",
            );
        }
        self.count(
            "bucket",
            group,
            "Bucket",
            1,
            weight::BUCKET,
            "To mix or dip what the shell is built of.",
        );
    }

    fn care(&mut self, plan: &Plan, input: &PlanInput) {
        let batches = plan.batch_count();
        let group = KitGroup::Care;
        self.count(
            "gloves",
            group,
            "Pairs of nitrile or vinyl gloves",
            batches + 2,
            weight::GLOVES_PAIR,
            "A pair a batch and two spare. Latex stops the cure.",
        );
        let goggles = match (input.posture, input.shell) {
            (Posture::Overhead, _) => Some("Paste falls from overhead."),
            (_, ShellKind::Laminate) => Some("The resin's hardener can blind."),
            _ => None,
        };
        if let Some(why) = goggles {
            self.count("goggles", group, "Goggles", 1, weight::GOGGLES, why);
        }
        self.count(
            "rags",
            group,
            "Rags",
            batches.max(3),
            weight::RAG,
            "One a batch, three at least.",
        );
        self.count(
            "bags",
            group,
            "Bags for waste",
            1 + batches / 6,
            weight::BAG,
            "Containers, brushes and gloves go home with you.",
        );
    }
}
