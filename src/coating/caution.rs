//! What can hurt someone or something, said before the work.

use super::batch::Batch;
use super::input::PlanInput;
use super::plan::Plan;
use super::practice;
use super::relief::Posture;
use super::sag;
use super::source::Source;
use super::standing;
use crate::quantity::show::{self, System};
use crate::quantity::{Grams, Minutes};
use crate::say;
use crate::words::{lower, tr};
use serde::{Deserialize, Serialize};

/// How the surface to be moulded is finished.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finish {
    /// Not known.
    #[default]
    Unknown,
    /// Bare and porous: plaster, stone, brick, wood.
    BarePorous,
    /// Bare and dense: metal, glazed ware, glass.
    BareDense,
    /// Painted.
    Painted,
    /// Varnished or waxed.
    Varnished,
    /// Gilded or bronzed.
    Gilded,
    /// Crumbling, flaking or loose.
    Loose,
}

impl Finish {
    /// All finishes.
    pub const ALL: [Self; 7] = [
        Self::Unknown,
        Self::BarePorous,
        Self::BareDense,
        Self::Painted,
        Self::Varnished,
        Self::Gilded,
        Self::Loose,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Unknown => tr("not known"),
            Self::BarePorous => tr("bare, porous"),
            Self::BareDense => tr("bare, dense"),
            Self::Painted => tr("painted"),
            Self::Varnished => tr("varnished or waxed"),
            Self::Gilded => tr("gilded or bronzed"),
            Self::Loose => tr("flaking or loose"),
        }
    }
}

/// What a caution is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Topic {
    /// Permission and copyright.
    Permission,
    /// Heritage, and surfaces a mould can harm.
    Heritage,
    /// Lead paint.
    LeadPaint,
    /// Work at height or overhead.
    Height,
    /// Gloves and skin.
    Skin,
    /// Air.
    Air,
    /// Food.
    Food,
    /// Paste that runs.
    Sag,
    /// Temperature.
    Temperature,
    /// How sure the numbers are.
    Measuring,
    /// Hot or caustic things.
    Burns,
    /// The mould in use.
    Heat,
    /// Weighing.
    Weighing,
}

impl Topic {
    /// Who goes before whatever is said of it here.
    pub fn last_word(self) -> &'static str {
        match self {
            Self::Permission => tr("the owner, and the law where you are"),
            Self::Heritage => tr("a conservator"),
            Self::LeadPaint => tr("your local rules for lead paint, and those licensed by them"),
            Self::Height => tr("your local rules for work at height"),
            Self::Skin | Self::Air | Self::Burns => tr("the material’s own safety sheet"),
            Self::Food => tr("the maker’s declaration, and the food law where you are"),
            Self::Sag | Self::Temperature | Self::Heat | Self::Weighing => {
                tr("the paste’s own sheet")
            }
            Self::Measuring => tr("a trial of your own"),
        }
    }
}

/// One caution.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// What it is about.
    pub topic: Topic,
    /// What can happen.
    pub text: String,
    /// What to do.
    pub advice: String,
    /// On whose word.
    pub source: Source,
}

impl Caution {
    pub(crate) fn new(topic: Topic, text: &str, advice: &str, source: Source) -> Self {
        Self {
            topic,
            text: text.to_string(),
            advice: advice.to_string(),
            source,
        }
    }
}

/// All cautions of a plan: first what its numbers say, then what always holds.
pub(crate) fn of(input: &PlanInput, plan: &Plan) -> Vec<Caution> {
    let mut all = Vec::new();
    all.extend(sagging(input, plan));
    all.extend(temperature(input));
    all.extend(wide_range(plan));
    all.extend(coarse_scale(input, plan));
    all.extend(input.shell.caution());
    all.extend(standing::of(input));
    all
}

/// Coats that the wall may not hold.
fn sagging(input: &PlanInput, plan: &Plan) -> Option<Caution> {
    if input.posture == Posture::Flat {
        return None;
    }
    let known = sag::holds(&input.card, &input.dabs, Minutes(0.0));
    let limit = known.unwrap_or(practice::THIN_ENOUGH_TO_HOLD.value);
    let both = |t| {
        format!(
            "{} ({})",
            show::length(t, System::Metric),
            show::length(t, System::UsCustomary)
        )
    };
    let thick: Vec<String> = match known {
        Some(_) => (1..=input.coats.len() as u32)
            .filter_map(|wanted| in_passes(plan, wanted))
            .collect(),
        None => plan
            .coats
            .iter()
            .filter(|coat| coat.thickness > limit)
            .map(|coat| {
                say!(
                    "coat {number} in {passes} passes",
                    number = coat.number,
                    passes = (coat.thickness / limit).ceil()
                )
            })
            .collect(),
    };
    let wait = show::duration(practice::THICKENING.value);
    let (text, source) = match known {
        Some(limit) => (
            say!(
                "One wet coat of this paste holds up to {limit} here.",
                limit = both(limit)
            ),
            match input.dabs.is_empty() {
                true => input.card.marks.hold.clone(),
                false => Source::YourChoice,
            },
        ),
        None => (
            say!(
                "On a wall or overhead a thin wet coat holds and a thick one sags; nothing is known of this paste, and {limit} is taken as thin.",
                limit = both(limit)
            ),
            practice::THIN_ENOUGH_TO_HOLD.source,
        ),
    };
    if thick.is_empty() && known.is_some() {
        return None;
    }
    let advice = match (known, thick.is_empty()) {
        (_, true) => say!(
            "If it starts to run, let the mixed paste stand about {wait} to thicken, then go on.",
            wait
        ),
        (Some(_), false) => say!(
            "So the plan puts {coats}. Any time it stands is part of its working time.",
            coats = thick.join(tr(" and "))
        ),
        (None, false) => say!(
            "Put {coats} on, or let the mixed paste stand about {wait} to thicken first; that time is part of its working time. A dab on an upright place shows how thick it holds: note it here.",
            coats = thick.join(tr(" and ")),
            wait
        ),
    };
    Some(Caution::new(Topic::Sag, &text, &advice, source))
}

/// How a coat that is too thick to hold at once goes on; nothing if it holds.
fn in_passes(plan: &Plan, wanted: u32) -> Option<String> {
    let passes: Vec<_> = plan.coats.iter().filter(|c| c.wanted == wanted).collect();
    let first = passes.first()?;
    match passes.len() {
        1 if first.stand.0 > 0.0 => Some(say!(
            "coat {number} on after the mixed paste stood {stand}",
            number = first.number,
            stand = show::duration(first.stand)
        )),
        1 => None,
        _ => Some(say!(
            "the {name} on in {passes} passes (coats {number} to {number_2})",
            name = first.role.name(),
            passes = passes.len(),
            number = first.number,
            number_2 = passes[passes.len() - 1].number
        )),
    }
}

fn temperature(input: &PlanInput) -> Option<Caution> {
    if (5.0..=35.0).contains(&input.temperature.0) {
        return None;
    }
    Some(Caution::new(
        Topic::Temperature,
        tr("This is far from the temperature of the sheet; the times here are a guess."),
        tr("Cure a dab beside the work and go by it, or wait for milder weather."),
        Source::FromMemory,
    ))
}

/// A range so wide that measuring better saves paste.
fn wide_range(plan: &Plan) -> Option<Caution> {
    if plan.bring / plan.total.low95 <= practice::WASTEFUL.value {
        return None;
    }
    let worst = plan.uncertainties.first()?;
    Some(Caution::new(
        Topic::Measuring,
        tr("The range is so wide that you may carry twice what you need."),
        &say!(
            "What hurts most: {worst}. {advice}",
            worst = lower(&worst.what),
            advice = worst.advice
        ),
        practice::WASTEFUL.source,
    ))
}

/// A scale so coarse that batches grow by what it can't show.
fn coarse_scale(input: &PlanInput, plan: &Plan) -> Option<Caution> {
    let coarse = plan.coats.iter().any(|coat| {
        let wanted = coat.mass.value + coat.high_spots + coat.residue;
        let weighed: Grams = coat.batches.iter().map(Batch::mass).sum();
        weighed / wanted > COARSE
    });
    coarse.then(|| {
        Caution::new(
            Topic::Weighing,
            &say!(
                "Your scale reads to {step}; to keep the ratio, batches had to be made larger \
                 than needed.",
                step = show::number(input.scale_step.0, 3) + " g"
            ),
            tr("Weigh with a finer scale."),
            Source::Computed(tr("smaller part rounded up to the scale's step").to_string()),
        )
    })
}

/// A batch that rounding makes larger by more than a tenth wants a finer scale.
const COARSE: f64 = 1.1;
