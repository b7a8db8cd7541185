//! The plan: coats, batches, and the paste to bring.

use super::batch::{Batch, weigh_out};
use super::block::block_volume;
use super::caution::{self, Caution};
use super::coat::{CoatRole, Tool};
use super::error::CoatingError;
use super::explain::Explanation;
use super::high_spots::HighSpots;
use super::input::PlanInput;
use super::need::Need;
use super::passes::passes;
use super::shell::Shell;
use super::spread::{Draws, root_sum, slopes};
use super::{cure, practice, reasons};
use crate::quantity::{Estimate, Grams, Millilitres, Millimetres, Minutes, SquareMillimetres};
use serde::{Deserialize, Serialize};

/// One coat of the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoatPlan {
    /// Counted from 1, as they are brushed.
    pub number: u32,
    /// The coat that was wanted, counted from 1: one that the wall would not hold goes on in
    /// several passes, each a coat of its own.
    pub wanted: u32,
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
    /// How long the mixed paste stands to thicken before it is brushed.
    pub stand: Minutes,
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
    /// The length of the border's outer edge.
    pub border_edge: Millimetres,
    /// The coats, first to last.
    pub coats: Vec<CoatPlan>,
    /// The extra on high spots, its own line; `None` on a flat piece.
    pub high_spots: Option<HighSpots>,
    /// Paste that stays in containers and tools.
    pub residue: Estimate<Grams>,
    /// The expected need: coats, high spots and residue; its range by [`DRAWS`](super::DRAWS)
    /// draws.
    pub total: Estimate<Grams>,
    /// The same with its range by first-order propagation.
    pub propagated: Estimate<Grams>,
    /// What to bring beyond the expected need.
    pub spare: Grams,
    /// What to bring: enough with the confidence asked for (one-sided), and for all batches as
    /// weighed.
    pub bring: Grams,
    /// Part A of it.
    pub bring_a: Grams,
    /// Part B of it.
    pub bring_b: Grams,
    /// Working time at the temperature of the site, from the start of mixing.
    pub working: Estimate<Minutes>,
    /// The shell that the skin needs.
    pub shell: Shell,
    /// The same piece as a poured block, to compare.
    pub block: Estimate<Grams>,
    /// What makes the total unsure, largest first.
    pub uncertainties: Vec<Uncertainty>,
    /// How each number came about.
    pub why: Vec<Explanation>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl CoatPlan {
    /// Hands-on time of one batch: mixing, standing, brushing.
    pub fn work(&self) -> Minutes {
        self.mix + self.stand + self.brush
    }
}

impl Plan {
    /// All coats together.
    pub fn thickness(&self) -> Millimetres {
        self.coats.iter().map(|coat| coat.thickness).sum()
    }

    /// Hands-on time of all batches.
    pub fn hands_on(&self) -> Minutes {
        let of_coat = |coat: &CoatPlan| coat.work() * coat.batches.len() as f64;
        self.coats.iter().map(of_coat).sum()
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
    let shift = Shift::of(input)?;
    let passes = passes(input, shift.brush, LEAST_BRUSHING)?;
    let need = Need::of(input, &passes);
    let best = need.best();
    let surface = need.surface(&best);
    let border = need.border(&best);
    let mut masses = vec![Grams(0.0); passes.len()];
    need.masses(&best, |i, mass| masses[i] = Grams(mass));

    let mut coats = Vec::new();
    for (i, pass) in passes.iter().enumerate() {
        let number = i as u32 + 1;
        let spots = need.high_spots().filter(|spots| spots.with_coat == number);
        let extra = spots.map_or(Grams(0.0), |spots| spots.mass.value);
        let brushing = (surface.area + border) / pass.choice.speed;
        let count = (brushing / (shift.brush - pass.stand)).ceil().max(1.0);
        let residue = input.hand.residue.value * count;
        let each = (masses[i] + extra + residue) / count;
        let batch = weigh_out(each, input.card.ratio_by_mass, input.scale_step);
        coats.push(CoatPlan {
            number,
            wanted: pass.wanted,
            role: pass.choice.role,
            tool: pass.choice.tool,
            thickness: pass.choice.thickness,
            volume: masses[i] / input.card.density,
            mass: Estimate::exact(masses[i]),
            high_spots: extra,
            residue,
            batches: vec![batch; count as usize],
            mix: shift.mix,
            stand: pass.stand,
            brush: brushing / count,
        });
    }
    let residue: Grams = coats.iter().map(|coat| coat.residue).sum();
    let need = need.leaving(residue);

    let inputs = need.inputs();
    let spread = |result: &dyn Fn(&[f64]) -> f64| root_sum(&slopes(inputs, result));
    for (i, coat) in coats.iter_mut().enumerate() {
        let mass = |z: &[f64]| {
            let mut here = 0.0;
            need.masses(z, |at, mass| here += if at == i { mass } else { 0.0 });
            here
        };
        coat.mass = Estimate::positive(masses[i], spread(&mass));
    }
    let total = |z: &[f64]| need.masses(z, |_, _| {}).total();
    let expected = Grams(total(&best));
    let lines = slopes(inputs, total);
    let mut draws = Draws::of(inputs, total);
    let enough = Grams(draws.quantile(input.confidence));
    let bring = bring(input, enough, &coats);
    let border_sd = spread(&|z: &[f64]| need.border(z).0);

    let edge = need.rim().edge;
    // The split line is unknown: no straight one across is longer than half of the outer edge, and
    // on its way it climbs over the highest point.
    let seam = input.ground().shell_in_parts();
    let seam = seam.then(|| edge / 2.0 + input.highest() * 2.0);
    let skin: Millimetres = coats.iter().map(|coat| coat.thickness).sum();
    let mut plan = Plan {
        surface: Estimate::positive(surface.area, spread(&|z: &[f64]| need.surface(z).area.0)),
        border_area: Estimate::positive(border, border_sd),
        border_edge: edge,
        coats,
        high_spots: need.high_spots().cloned(),
        residue: Estimate::positive(residue, residue.0 * practice::RESIDUE_SPREAD.value),
        total: draws.about(expected),
        propagated: Estimate::positive(expected, root_sum(&lines)),
        spare: bring.mass() - expected,
        bring: bring.mass(),
        bring_a: bring.a,
        bring_b: bring.b,
        working: shift.working,
        shell: Shell::over(input.shell, &surface, border, skin, seam),
        block: block_volume(input).scaled(input.card.density.0),
        uncertainties: uncertainties(&need, &lines),
        why: Vec::new(),
        cautions: Vec::new(),
    };
    plan.why = reasons::of(input, &plan, &surface);
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
        let mix = input.hand.mix.value * f64::from(practice::CONTAINERS_PER_BATCH.value);
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

/// Enough for the total, and never less of either part than the batches as weighed.
fn bring(input: &PlanInput, enough: Grams, coats: &[CoatPlan]) -> Batch {
    let enough = weigh_out(enough, input.card.ratio_by_mass, input.scale_step);
    let batches = || coats.iter().flat_map(|coat| &coat.batches);
    let (a, b): (Grams, Grams) = (batches().map(|x| x.a).sum(), batches().map(|x| x.b).sum());
    Batch {
        a: if a > enough.a { a } else { enough.a },
        b: if b > enough.b { b } else { enough.b },
    }
}

/// What each unsure input does to the total, largest first.
fn uncertainties(need: &Need, slopes: &[f64]) -> Vec<Uncertainty> {
    let mut all: Vec<Uncertainty> = need
        .unsure()
        .into_iter()
        .zip(slopes)
        .filter(|(_, slope)| **slope > 0.0)
        .map(|(unsure, slope)| Uncertainty {
            what: unsure.what,
            sd: Grams(*slope),
            advice: unsure.advice.to_string(),
        })
        .collect();
    all.sort_by(|x, y| y.sd.0.total_cmp(&x.sd.0));
    all
}
