//! The plan: coats, batches, and the paste to bring.

use super::batch::{Batch, weigh_out};
use super::block::block_volume;
use super::caution::{self, Caution};
use super::coat::{CoatRole, Tool};
use super::error::CoatingError;
use super::explain::Explanation;
use super::high_spots::HighSpots;
use super::input::PlanInput;
use super::relief::{Developed, growth};
use super::spread::ErrorLine;
use super::{cure, practice, reasons, spread};
use crate::quantity::{Estimate, Grams, Millilitres, Millimetres, Minutes, SquareMillimetres};
use serde::{Deserialize, Serialize};

/// One coat of the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoatPlan {
    /// Counted from 1.
    pub number: u32,
    /// What it is for.
    pub role: CoatRole,
    /// What puts it on.
    pub tool: Tool,
    /// Its mean thickness.
    pub thickness: Millimetres,
    /// Volume on the piece and its border, without the extra on high spots.
    pub volume: Millilitres,
    /// Mass of that volume, with its range.
    pub mass: Estimate<Grams>,
    /// Extra on high spots that is brushed with this coat; zero for the others.
    pub high_spots: Grams,
    /// Paste that stays in the containers and the tool, all batches together.
    pub residue: Grams,
    /// Equal batches, as the scale shows them, high spots and residue included.
    pub batches: Vec<Batch>,
    /// Mixing time of one batch, all containers.
    pub mix: Minutes,
    /// Brushing time of one batch.
    pub brush: Minutes,
}

/// What one input's uncertainty does to the total.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Uncertainty {
    /// The input.
    pub what: String,
    /// Standard deviation of the total from this input alone.
    pub sd: Grams,
    /// How to make it smaller.
    pub advice: String,
}

/// The whole plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Surface of the piece itself.
    pub surface: Estimate<SquareMillimetres>,
    /// The border strip.
    pub border_area: Estimate<SquareMillimetres>,
    /// The coats, first to last.
    pub coats: Vec<CoatPlan>,
    /// The extra on high spots, its own line; `None` on a flat piece.
    pub high_spots: Option<HighSpots>,
    /// Paste that stays in containers and tools.
    pub residue: Estimate<Grams>,
    /// The expected need: coats, high spots and residue.
    pub total: Estimate<Grams>,
    /// What to bring beyond the expected need.
    pub spare: Grams,
    /// What to bring: enough with 95 % confidence (one-sided), and for all batches as weighed.
    pub bring: Grams,
    /// Part A of it.
    pub bring_a: Grams,
    /// Part B of it.
    pub bring_b: Grams,
    /// Working time at the temperature of the site, from the start of mixing.
    pub working: Estimate<Minutes>,
    /// The same piece as a poured block, to compare.
    pub block: Estimate<Grams>,
    /// What makes the total unsure, largest first.
    pub uncertainties: Vec<Uncertainty>,
    /// How each number came about.
    pub why: Vec<Explanation>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl Plan {
    /// All coats together.
    pub fn thickness(&self) -> Millimetres {
        self.coats.iter().map(|coat| coat.thickness).sum()
    }

    /// Number of batches of all coats.
    pub fn batch_count(&self) -> u32 {
        self.coats
            .iter()
            .map(|coat| coat.batches.len() as u32)
            .sum()
    }
}

/// Makes the plan, or says in a sentence what keeps it from being made.
pub fn plan(input: &PlanInput) -> Result<Plan, CoatingError> {
    input.check()?;
    let density = input.card.density;
    let developed = Developed::of(&input.area, &input.perimeter, &input.relief, input.border);
    let high_spots = HighSpots::of(input, &developed);
    let shift = Shift::of(input)?;

    let mut coats = Vec::new();
    let mut below = Millimetres(0.0);
    for (i, choice) in input.coats.iter().enumerate() {
        let number = i as u32 + 1;
        let above = below + choice.thickness;
        let gained = growth(input.perimeter.value, &input.relief, above)
            - growth(input.perimeter.value, &input.relief, below);
        let volume = developed.all() * choice.thickness + Millilitres(gained / 1000.0);
        let extra = high_spots
            .as_ref()
            .filter(|spots| spots.with_coat == number)
            .map_or(Grams(0.0), |spots| spots.mass.value);

        let brushing = developed.all() / choice.speed;
        let count = (brushing / shift.brush).ceil().max(1.0);
        let residue = practice::residue_per_batch() * count;
        let each = (volume * density + extra + residue) / count;
        coats.push(CoatPlan {
            number,
            role: choice.role,
            tool: choice.tool,
            thickness: choice.thickness,
            volume,
            mass: Estimate::exact(volume * density),
            high_spots: extra,
            residue,
            batches: vec![
                weigh_out(each, input.card.ratio_by_mass, input.scale_step);
                count as usize
            ],
            mix: shift.mix,
            brush: brushing / count,
        });
        below = above;
    }

    let masses: Vec<Grams> = coats.iter().map(|coat| coat.mass.value).collect();
    let spots_mass = high_spots.as_ref().map_or(Grams(0.0), |s| s.mass.value);
    let residue: Grams = coats.iter().map(|coat| coat.residue).sum();
    let lines = spread::lines(input, &developed, &masses, spots_mass, residue);
    for (i, coat) in coats.iter_mut().enumerate() {
        let sd = spread::root_sum(lines.iter().map(|line| line.coats[i]));
        coat.mass = Estimate::positive(masses[i], sd);
    }
    let expected = masses.iter().copied().sum::<Grams>() + spots_mass + residue;
    let sd = spread::root_sum(lines.iter().map(ErrorLine::total));
    let total = Estimate::positive(expected, sd);
    let bring = bring(input, &total, &coats);

    let mut plan = Plan {
        surface: developed.surface,
        border_area: developed.border,
        coats,
        high_spots,
        residue: Estimate::positive(residue, residue.0 * practice::RESIDUE_SPREAD.value),
        total,
        spare: bring.mass() - expected,
        bring: bring.mass(),
        bring_a: bring.a,
        bring_b: bring.b,
        working: shift.working,
        block: block_volume(&input.area, &input.perimeter, &input.relief).scaled(density.0),
        uncertainties: uncertainties(&lines),
        why: Vec::new(),
        cautions: Vec::new(),
    };
    plan.why = reasons::of(input, &plan, &developed);
    plan.cautions = caution::of(input, &plan);
    Ok(plan)
}

/// The time one batch gives.
struct Shift {
    /// Working time at the temperature of the site.
    working: Estimate<Minutes>,
    /// What mixing takes of it.
    mix: Minutes,
    /// What is left to brush: planned from the shortest likely working time.
    brush: Minutes,
}

impl Shift {
    fn of(input: &PlanInput) -> Result<Self, CoatingError> {
        let working = cure::at_temperature(input.card.working, &input.card, input.temperature);
        let mix =
            practice::MIX_PER_CONTAINER.value * f64::from(practice::CONTAINERS_PER_BATCH.value);
        let brush = working.low95 * practice::PLANNED_SHARE_OF_WORKING.value - mix;
        if brush < LEAST_BRUSHING {
            return Err(CoatingError::SetsTooFast {
                temperature: input.temperature,
                working: working.low95,
            });
        }
        Ok(Self {
            working,
            mix,
            brush,
        })
    }
}

/// Under a minute with the brush is no coat.
const LEAST_BRUSHING: Minutes = Minutes(1.0);

/// Enough for the total with 95 %, and never less of either part than the batches as weighed.
fn bring(input: &PlanInput, total: &Estimate<Grams>, coats: &[CoatPlan]) -> Batch {
    let enough = weigh_out(total.enough95(), input.card.ratio_by_mass, input.scale_step);
    let batches = || coats.iter().flat_map(|coat| &coat.batches);
    let (a, b): (Grams, Grams) = (batches().map(|x| x.a).sum(), batches().map(|x| x.b).sum());
    Batch {
        a: if a > enough.a { a } else { enough.a },
        b: if b > enough.b { b } else { enough.b },
    }
}

/// What each error line does to the total, largest first.
fn uncertainties(lines: &[ErrorLine]) -> Vec<Uncertainty> {
    let mut all: Vec<Uncertainty> = lines
        .iter()
        .filter(|line| line.total() > 0.0)
        .map(|line| Uncertainty {
            what: line.what.clone(),
            sd: Grams(line.total()),
            advice: line.advice.to_string(),
        })
        .collect();
    all.sort_by(|x, y| y.sd.0.total_cmp(&x.sd.0));
    all
}
