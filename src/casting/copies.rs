//! How much of what for the copies wanted.

use super::error::CastingError;
use super::fitness::{FoodVerdict, HeatVerdict};
use super::medium::MediumCard;
use super::volume;
use crate::coating::{Caution, Explanation, MaterialCard, Relief, Source, Topic, explain};
use crate::quantity::{
    Amount, Estimate, Grams, Millilitres, Millimetres, Minutes, SquareMillimetres,
};
use serde::{Deserialize, Serialize};

/// What stays in the bowl, as a share of what is mixed (made up for the demo).
const LEFT_IN_BOWL: f64 = 0.05;

/// Everything a cast is planned from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CastInput {
    /// Area of the footprint.
    pub area: Estimate<SquareMillimetres>,
    /// The third dimension.
    pub relief: Relief,
    /// What stands out from the wall, by a height map; by the kind of relief where there is none.
    #[serde(default)]
    pub stands_out: Option<Estimate<Millilitres>>,
    /// Thickness of a flat back behind the whole footprint.
    pub backing: Millimetres,
    /// How many copies.
    pub copies: u32,
    /// What is cast.
    pub medium: MediumCard,
    /// What the mould is made of.
    pub card: MaterialCard,
    /// What the scale reads to.
    pub scale_step: Grams,
}

impl CastInput {
    /// One copy without a backing, on a scale that reads to 1 g.
    pub fn of_piece(
        area: Estimate<SquareMillimetres>,
        relief: Relief,
        medium: MediumCard,
        card: MaterialCard,
    ) -> Self {
        Self {
            area,
            relief,
            stands_out: None,
            backing: Millimetres(0.0),
            copies: 1,
            medium,
            card,
            scale_step: Grams(1.0),
        }
    }
}

/// The cast planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CastPlan {
    /// Volume of one copy.
    pub volume: Estimate<Millilitres>,
    /// Mass that fills the mould once.
    pub mass_each: Estimate<Grams>,
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
    let volume = volume::of(
        &input.area,
        &input.relief,
        input.stands_out.as_ref(),
        input.backing,
    );
    let density = medium.density.value;
    let mass = volume.value * density;
    let sd = mass.0 * (volume.sd / volume.value.0).hypot(medium.density_spread);
    let mass_each = Estimate::positive(mass, sd);
    let copies = f64::from(input.copies);

    let to_mix = mass_each.enough95() / (1.0 - LEFT_IN_BOWL);
    let parts = weigh_parts(to_mix, input);
    let parts_total = parts
        .iter()
        .map(|(name, grams)| (name.clone(), *grams * copies))
        .collect();
    let size_change = input
        .card
        .shrinkage
        .zip(medium.linear_change.as_ref())
        .map(|(shrinkage, change)| (1.0 - shrinkage) * (1.0 + change.value) - 1.0);

    let mut plan = CastPlan {
        volume,
        mass_each,
        mass_total: mass_each.scaled(copies),
        parts,
        parts_total,
        set_time: medium.set_time.value,
        size_change,
        heat: HeatVerdict::of(medium, &input.card),
        food: FoodVerdict::of(medium, &input.card),
        cautions: Vec::new(),
        why: Vec::new(),
    };
    plan.cautions = cautions(input, &plan);
    plan.why = reasons(input, &plan);
    Ok(plan)
}

fn within(
    x: f64,
    low: f64,
    high: f64,
    what: &'static str,
    wanted: &'static str,
) -> Result<(), CastingError> {
    if (low..=high).contains(&x) {
        Ok(())
    } else {
        Err(CastingError::Number { what, wanted })
    }
}

/// Accepts the thickness of a flat back, or says what it has to be.
pub fn check_backing(backing: Millimetres) -> Result<(), CastingError> {
    within(
        backing.0,
        0.0,
        500.0,
        "The backing",
        "between 0 and 500 mm (20 in)",
    )
}

/// Accepts a number of copies, or says what it has to be. More than the most come from no thin
/// skin.
pub fn check_copies(copies: f64) -> Result<(), CastingError> {
    let whole = if copies.fract() == 0.0 {
        copies
    } else {
        f64::NAN
    };
    within(
        whole,
        1.0,
        10_000.0,
        "The number of copies",
        "a whole number from 1 to 10000",
    )
}

fn check(input: &CastInput) -> Result<(), CastingError> {
    let area = input.area.value.0;
    within(
        area,
        100.0,
        2e7,
        "The footprint's area",
        "between 1 cm² and 20 m² (0.16 sq in and 215 sq ft)",
    )?;
    within(
        input.area.sd,
        0.0,
        area,
        "The spread of the area",
        "zero or more, and less than the area itself",
    )?;
    within(
        input.relief.highest.0,
        0.0,
        1000.0,
        "The highest point",
        "between 0 and 1000 mm (39 in) over the wall",
    )?;
    check_backing(input.backing)?;
    check_copies(f64::from(input.copies))?;
    within(
        input.scale_step.0,
        0.001,
        100.0,
        "What the scale reads to",
        "between 0.001 and 100 g",
    )?;
    if input.relief.highest.0 + input.backing.0 == 0.0 {
        return Err(CastingError::NoVolume);
    }
    let problems = input.medium.problems();
    if !problems.is_empty() {
        return Err(CastingError::Medium(problems));
    }
    Ok(())
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
            plan.food.sentence(),
            "A mould that held plaster, resin, wax or soap never holds food again.",
            Source::Published("Regulation (EC) 1935/2004, articles 3 and 15".to_string()),
        ));
    }
    all.extend(input.medium.hazards.iter().map(|hazard| hazard.caution()));
    all.push(Caution::new(
        Topic::Heat,
        "A thin skin bends under the weight of what you pour.",
        "Lay it back into its shell before you pour.",
        Source::CommonPractice,
    ));
    if input.stands_out.is_none() && plan.mass_each.relative_sd() > 0.15 {
        all.push(Caution::new(
            Topic::Measuring,
            "The volume is only known from the kind of relief.",
            "Fill the mould with water once and weigh that, or weigh the first copy and go by it.",
            Source::CommonPractice,
        ));
    }
    all
}

fn volume_reason(input: &CastInput, plan: &CastPlan) -> Explanation {
    let name = "Volume of one copy";
    let found = Amount::VolumeRange(plan.volume);
    let area = ("Footprint", Amount::AreaRange(input.area));
    let backing = ("Backing", Amount::Length(input.backing));
    if let Some(known) = input.stands_out {
        return explain(
            name,
            found,
            vec![
                area,
                ("Volume over the wall", Amount::VolumeRange(known)),
                backing,
            ],
            "What the height map has over the wall, plus the footprint times the backing.",
            Source::Computed("your readings and photos of the heights".to_string()),
        );
    }
    let mean = input.relief.kind.mean_height();
    explain(
        name,
        found,
        vec![
            area,
            ("Highest point", Amount::Length(input.relief.highest)),
            ("Mean height over highest", Amount::Share(mean.value)),
            ("give or take", Amount::Share(mean.sd)),
            backing,
        ],
        "The footprint times its mean height, plus the footprint times the backing. The mean height lies between two bodies with a known volume.",
        Source::Computed(
            "closed forms: cone 1/3, paraboloid 1/2, half-ellipsoid 2/3, slab 1".to_string(),
        ),
    )
}

fn reasons(input: &CastInput, plan: &CastPlan) -> Vec<Explanation> {
    let medium = &input.medium;
    let mut mix_inputs = vec![
        ("One copy", Amount::MassRange(plan.mass_each)),
        ("Stays in the bowl", Amount::Share(LEFT_IN_BOWL)),
    ];
    for part in &medium.mix.value {
        mix_inputs.push((part.name.as_str(), Amount::Number(part.parts)));
    }
    let mixed: Grams = plan.parts.iter().map(|(_, grams)| *grams).sum();
    vec![
        volume_reason(input, plan),
        explain(
            "Mass of one copy",
            Amount::MassRange(plan.mass_each),
            vec![
                ("Volume", Amount::VolumeRange(plan.volume)),
                ("Density as poured", Amount::Density(medium.density.value)),
            ],
            "The volume times the density with which the medium fills the mould.",
            medium.density.source.clone(),
        ),
        explain(
            "Mix for one copy",
            Amount::Mass(mixed),
            mix_inputs,
            "Enough in 95 of 100 such pieces (one-sided), and what stays in the bowl, shared out by weight. The smallest part is rounded up to the scale's step and the others follow.",
            medium.mix.source.clone(),
        ),
    ]
}
