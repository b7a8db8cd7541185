//! How much of what for the copies wanted.

use super::batch::Batch;
use super::error::CastingError;
use super::filling::Filling;
use super::fitness::{FoodVerdict, HeatVerdict};
use super::input::{CastInput, check};
use super::life::{Life, life};
use super::reasons::reasons;
use super::release::{ReleaseAdvice, inhibition};
use super::size::{Generation, generation};
use super::volume;
use crate::coating::{Caution, Explanation, Source, Topic};
use crate::quantity::{Estimate, Grams, Millilitres, Minutes};
use crate::words::tr;
use serde::Serialize;

/// How many generations of copies are told.
const GENERATIONS: u32 = 3;

/// The cast planned.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CastPlan {
    /// Volume of one copy.
    pub volume: Estimate<Millilitres>,
    /// Mass of one copy.
    pub mass_each: Estimate<Grams>,
    /// What fills the mould to the brim, for a shell that is made by pouring out again; more of it
    /// flows back than stays.
    pub to_the_brim: Option<Estimate<Grams>>,
    /// Mass for all copies. The same mould is filled each time, so the error of one is the error
    /// of all.
    pub mass_total: Estimate<Grams>,
    /// What to mix for one copy: enough with 95 % confidence, what stays in the bowl included,
    /// on the scale's step with the ratio kept.
    pub parts: Vec<(String, Grams)>,
    /// The same for all copies, one mix each.
    pub parts_total: Vec<(String, Grams)>,
    /// Until one copy can be taken out.
    pub set_time: Minutes,
    /// How much longer (above zero) or shorter the copy is than the original, as a share; from
    /// the paste's shrinkage and the medium's change. `None` if either is unknown.
    pub size_change: Option<f64>,
    /// The size of the copy, and of the copy of a copy, up to the third; empty if a number is
    /// unknown.
    pub generations: Vec<Generation>,
    /// What keeps the size from being known, and what to do.
    pub size_unknown: Option<String>,
    /// Whether a release agent is wanted.
    pub release: ReleaseAdvice,
    /// All copies together: time and cost.
    pub batch: Batch,
    /// How many more copies the mould gives.
    pub life: Life,
    /// Whether the mould stands the heat.
    pub heat: HeatVerdict,
    /// Whether the copy may be eaten.
    pub food: FoodVerdict,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// How each number came about.
    pub why: Vec<Explanation>,
}

/// Plans the copies, or says in a sentence what keeps them from being planned.
pub fn cast(input: &CastInput) -> Result<CastPlan, CastingError> {
    check(input)?;
    let medium = &input.medium;
    let brimful = volume::solid(input);
    let volume = volume::of(input, &brimful);
    let mass_of = |volume: &Estimate<Millilitres>| {
        let mass = volume.value * medium.density.value;
        let sd = mass.0 * (volume.sd / volume.value.0).hypot(medium.density_spread);
        Estimate::positive(mass, sd)
    };
    let mass_each = mass_of(&volume);
    let copies = f64::from(input.copies);

    let to_mix = mass_each.enough95() / (1.0 - input.filling.left().0);
    let parts = weigh_parts(to_mix, input);
    let parts_total = parts
        .iter()
        .map(|(name, grams)| (name.clone(), *grams * copies))
        .collect();
    let size = (1..=GENERATIONS)
        .map(|number| generation(&input.card, medium, number))
        .collect::<Result<Vec<_>, _>>();
    let (generations, size_unknown) = match size {
        Ok(all) => (all, None),
        Err(why) => (Vec::new(), Some(why)),
    };
    let life = life(&input.casts, medium.family);
    let food = FoodVerdict::of(medium, &input.card, input.confirmed_for_food, &input.casts);

    let mut plan = CastPlan {
        volume,
        mass_each,
        to_the_brim: matches!(input.filling, Filling::Slush(_)).then(|| mass_of(&brimful)),
        mass_total: mass_each.scaled(copies),
        batch: Batch::of(input, &parts, &life),
        life,
        parts,
        parts_total,
        set_time: medium.set_time.value,
        size_change: generations.first().map(|copy| copy.change.value.0),
        generations,
        size_unknown,
        release: ReleaseAdvice::of(medium),
        heat: HeatVerdict::of(medium, &input.card),
        food,
        cautions: Vec::new(),
        why: Vec::new(),
    };
    plan.cautions = cautions(input, &plan);
    plan.why = reasons(input, &plan);
    Ok(plan)
}

/// At least `mass` on the scale's step: the smallest part is rounded up, and the others follow
/// from it by the ratio, rounded up too.
fn weigh_parts(mass: Grams, input: &CastInput) -> Vec<(String, Grams)> {
    let mix = &input.medium.mix.value;
    let step = input.scale_step.0;
    let up = |grams: f64| (grams / step - 1e-9).ceil().max(0.0) * step;
    let all: f64 = mix.iter().map(|part| part.parts).sum();
    let smallest = mix
        .iter()
        .map(|part| part.parts)
        .fold(f64::INFINITY, f64::min);
    let per_part = up(mass.0 * smallest / all) / smallest;
    mix.iter()
        .map(|part| (part.name.clone(), Grams(up(per_part * part.parts))))
        .collect()
}

fn cautions(input: &CastInput, plan: &CastPlan) -> Vec<Caution> {
    let mut all = Vec::new();
    if input.medium.food {
        all.push(Caution::new(
            Topic::Food,
            tr("A mould that held plaster, resin, wax or soap never holds food again."),
            tr("Eat only what the maker's declaration covers, from a mould that holds nothing but food."),
            Source::Published(tr("Regulation (EC) 1935/2004, articles 3 and 15").to_string()),
        ));
    }
    all.extend(input.medium.cautions());
    all.extend(inhibition(&input.medium, &input.card));
    all.push(Caution::new(
        Topic::Heat,
        tr("A thin skin bends under the weight of what you pour."),
        tr("Lay it back into its shell before you pour."),
        Source::CommonPractice,
    ));
    if input.known().is_none() && plan.mass_each.relative_sd() > 0.15 {
        all.push(Caution::new(
            Topic::Measuring,
            tr("The volume is only known from the kind of relief."),
            tr("Fill the mould with water once and weigh that, or weigh the first copy and go by it."),
            Source::CommonPractice,
        ));
    }
    all
}
