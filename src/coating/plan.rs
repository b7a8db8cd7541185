//! The plan: coats, batches, and the paste to bring.

use super::batch::{Batch, weigh_out};
use super::caution::{self, Caution};
use super::coat::{CoatRole, Tool};
use super::error::CoatingError;
use super::explain::Explanation;
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

/// The extra paste on high spots.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HighSpots {
    /// The number of the coat it is brushed with.
    pub with_coat: u32,
    /// Share of the piece's surface.
    pub share: f64,
    /// Its thickness.
    pub thickness: Millimetres,
    /// Its mass.
    pub mass: Estimate<Grams>,
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
    let developed = Developed::of(&input.area, &input.perimeter, &input.relief, input.border);
    let density = input.card.density;

    // Volumes and masses on the piece.
    let mut below = Millimetres(0.0);
    let mut volumes = Vec::new();
    for coat in &input.coats {
        let above = below + coat.thickness;
        let extra = growth(input.perimeter.value, &input.relief, above)
            - growth(input.perimeter.value, &input.relief, below);
        volumes.push(developed.all() * coat.thickness + Millilitres(extra / 1000.0));
        below = above;
    }
    let masses: Vec<Grams> = volumes.iter().map(|v| *v * density).collect();

    // High spots, in the last build coat (the last coat of all, if none builds).
    let spots_with = input
        .coats
        .iter()
        .rposition(|coat| coat.role == CoatRole::Build)
        .unwrap_or(input.coats.len() - 1);
    let spots_thickness = input.coats[spots_with].thickness * practice::HIGH_SPOT_LAYERS.value;
    let spots_share = if input.relief.highest.0 > 0.0 {
        practice::HIGH_SPOT_SHARE.value
    } else {
        0.0
    };
    let spots_mass = developed.surface.value * spots_share * spots_thickness * density;

    // Batches: what one person puts on before a mix sets.
    let working = cure::at_temperature(input.card.working, &input.card, input.temperature);
    let mix = practice::MIX_PER_CONTAINER.value * f64::from(practice::CONTAINERS_PER_BATCH.value);
    let time_to_brush = working.value * practice::PLANNED_SHARE_OF_WORKING.value - mix;
    if time_to_brush.0 < 1.0 {
        return Err(CoatingError::SetsTooFast {
            temperature: input.temperature,
            working: working.value,
        });
    }
    let residue_per_batch = practice::RESIDUE_PER_TOOL.value
        + practice::RESIDUE_PER_CONTAINER.value * f64::from(practice::CONTAINERS_PER_BATCH.value);
    let mut coats = Vec::new();
    for (i, choice) in input.coats.iter().enumerate() {
        let brushing = developed.all() / choice.speed;
        let count = (brushing / time_to_brush).ceil().max(1.0);
        let high_spots = if i == spots_with {
            spots_mass
        } else {
            Grams(0.0)
        };
        let residue = residue_per_batch * count;
        let each = (masses[i] + high_spots + residue) / count;
        let batch = weigh_out(each, input.card.ratio_by_mass, input.scale_step);
        coats.push(CoatPlan {
            number: i as u32 + 1,
            role: choice.role,
            tool: choice.tool,
            thickness: choice.thickness,
            volume: volumes[i],
            mass: Estimate::exact(masses[i]),
            high_spots,
            residue,
            batches: vec![batch; count as usize],
            mix,
            brush: brushing / count,
        });
    }
    let residue: Grams = coats.iter().map(|coat| coat.residue).sum();

    let lines = spread::lines(input, &developed, &masses, spots_mass, residue);
    for (i, coat) in coats.iter_mut().enumerate() {
        let sd = spread::root_sum(lines.iter().map(|line| line.coats[i]));
        coat.mass = Estimate::positive(masses[i], sd);
    }
    let expected = masses.iter().copied().sum::<Grams>() + spots_mass + residue;
    let sd = spread::root_sum(lines.iter().map(ErrorLine::total));
    let total = Estimate::positive(expected, sd);

    // Enough for the total with 95 %, and never less than the batches as they are weighed.
    let weighed: Batch = coats.iter().flat_map(|coat| &coat.batches).fold(
        Batch {
            a: Grams(0.0),
            b: Grams(0.0),
        },
        |sum, batch| Batch {
            a: sum.a + batch.a,
            b: sum.b + batch.b,
        },
    );
    let enough = weigh_out(total.enough95(), input.card.ratio_by_mass, input.scale_step);
    let bring = if weighed.mass() > enough.mass() {
        weighed
    } else {
        enough
    };

    let mut uncertainties: Vec<Uncertainty> = lines
        .iter()
        .map(|line| Uncertainty {
            what: line.what.to_string(),
            sd: Grams(line.total()),
            advice: line.advice.to_string(),
        })
        .filter(|line| line.sd.0 > 0.0)
        .collect();
    uncertainties.sort_by(|x, y| y.sd.0.total_cmp(&x.sd.0));

    let high_spots = (spots_mass.0 > 0.0).then(|| HighSpots {
        with_coat: spots_with as u32 + 1,
        share: spots_share,
        thickness: spots_thickness,
        mass: Estimate::positive(spots_mass, spots_mass.0 * practice::HIGH_SPOT_SPREAD.value),
    });
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
        working,
        uncertainties,
        why: Vec::new(),
        cautions: Vec::new(),
    };
    plan.why = reasons::of(input, &plan, &developed);
    plan.cautions = caution::of(input, &plan);
    Ok(plan)
}
