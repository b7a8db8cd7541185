//! Why each number of a plan is what it is.

use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::plan::{Plan, Uncertainty};
use super::practice;
use super::relief::Between;
use super::shell::ShellKind;
use super::source::Source;
use super::spread::DRAWS;
use super::surface::Surface;
use crate::quantity::{Amount, show};
use crate::say;
use crate::words::tr;

/// The explanations, in the order in which the numbers are read.
pub(crate) fn of(input: &PlanInput, plan: &Plan, surface: &Surface) -> Vec<Explanation> {
    let computed = |text: &str| Source::Computed(text.to_string());
    let all_surface = plan.surface.value + plan.border_area.value;
    let mut all = vec![surface_of_piece(input, plan), border(input, plan)];
    let (law, mark) = match input.card.activation {
        Some(energy) => (
            (tr("Activation energy, kJ/mol"), Amount::Number(energy.0)),
            &input.card.marks.activation,
        ),
        None => (
            (
                tr("Times as fast ten degrees Celsius warmer"),
                Amount::Number(input.card.q10),
            ),
            &input.card.marks.q10,
        ),
    };
    all.push(explain(
        tr("Working time on site"),
        Amount::DurationRange(plan.working),
        vec![
            (tr("On the sheet"), Amount::Duration(input.card.working)),
            ("at", Amount::Temperature(input.card.reference)),
            (tr("On site"), Amount::Temperature(input.temperature)),
            law,
        ],
        tr("The sheet's working time over the rate at the temperature of the site. If the rate is not from the sheet, the range is what the usual rates leave."),
        mark.clone(),
    ));
    for coat in &plan.coats {
        all.push(explain(
            &coat.name(),
            Amount::MassRange(coat.mass),
            vec![
                (tr("Surface and border"), Amount::Area(all_surface)),
                (tr("Thickness"), Amount::Length(coat.thickness)),
                (
                    tr("Bends outward by"),
                    Amount::Length(surface.mean_curvature),
                ),
                (tr("Volume"), Amount::Volume(coat.volume)),
                (tr("Density"), Amount::Density(input.card.density)),
            ],
            tr("Surface and border times the thickness, plus what the coat gains around outward edges because it lies on the coats below (the surface's mean curvature times the thicknesses squared, and a smaller part for its corners), times the density."),
            computed(tr("the parallel surface of Steiner and Weyl")),
        ));
        let mut of_batch = vec![
            (tr("Surface and border"), Amount::Area(all_surface)),
            (
                tr("Brushed in a minute"),
                Amount::Speed(input.coats[coat.wanted as usize - 1].speed),
            ),
            (
                tr("Working time there, at the least"),
                Amount::Duration(plan.working.low95),
            ),
            (tr("Mixing"), Amount::Duration(coat.mix)),
            (tr("Standing to thicken"), Amount::Duration(coat.stand)),
            (
                tr("Share of the working time planned"),
                Amount::Share(practice::PLANNED_SHARE_OF_WORKING.value),
            ),
            (tr("Brushing each"), Amount::Duration(coat.brush)),
            (tr("Mass of the coat"), Amount::MassRange(coat.mass)),
            (tr("On high spots"), Amount::Mass(coat.high_spots)),
            (tr("In cups and tools"), Amount::Mass(coat.residue)),
            (
                tr("Part A by weight"),
                Amount::Number(input.card.ratio_by_mass.0),
            ),
            (
                tr("Part B by weight"),
                Amount::Number(input.card.ratio_by_mass.1),
            ),
            (tr("The scale reads to"), Amount::Mass(input.scale_step)),
        ];
        let densities = input.card.density_a.zip(input.card.density_b);
        if let Some((a, b)) = densities {
            of_batch.push((tr("Density of part A, for cups"), Amount::Density(a)));
            of_batch.push((tr("Density of part B, for cups"), Amount::Density(b)));
        }
        all.push(explain(
            &say!("Batches of coat {number}", number = coat.number),
            Amount::Count(coat.batches.len() as u32),
            of_batch,
            tr("The surface over what one person brushes between the end of mixing and the planned end of the working time, rounded up to whole, equal batches. Each holds its share of the coat’s mass and of what is put on high spots and stays in cups and tools, parted by the ratio; the smaller part is rounded up to the scale’s step and the larger follows. In cups it is each part’s mass over its density."),
            input.coats[coat.wanted as usize - 1].speed_source.clone(),
        ));
    }
    if let Some(spots) = &plan.high_spots {
        all.push(explain(
            tr("Extra on high spots"),
            Amount::MassRange(spots.mass),
            vec![
                (tr("Surface of the piece"), Amount::Area(plan.surface.value)),
                (tr("Share that is high"), Amount::Share(spots.share)),
                (tr("Thickness"), Amount::Length(spots.thickness)),
                (tr("Density"), Amount::Density(input.card.density)),
            ],
            tr("The share of the surface that starves under the brush, one build coat more, times the density."),
            match spots.share == practice::HIGH_SPOT_SHARE.value {
                false => Source::Computed(
                    tr("where the skin over the height map comes out too thin; how far a paste levels is made up").to_string(),
                ),
                true => practice::HIGH_SPOT_SHARE.source,
            },
        ));
    }
    let residue = &input.hand.residue;
    let mut left = vec![(tr("Batches"), Amount::Count(plan.batch_count()))];
    if residue.source == practice::RESIDUE_PER_CONTAINER.source {
        left.extend([
            (
                tr("In each container"),
                Amount::Mass(practice::RESIDUE_PER_CONTAINER.value),
            ),
            (
                tr("In the brush or on the spatula"),
                Amount::Mass(practice::RESIDUE_PER_TOOL.value),
            ),
        ]);
    } else {
        left.push((tr("In each batch"), Amount::Mass(residue.value)));
    }
    all.push(explain(
        tr("Left in containers and tools"),
        Amount::MassRange(plan.residue),
        left,
        tr("Two containers and one tool for each batch."),
        residue.source.clone(),
    ));
    all.push(explain(
        tr("Expected need"),
        Amount::MassRange(plan.total),
        plan.uncertainties
            .iter()
            .map(|line| (line.what.as_str(), Amount::Mass(line.sd)))
            .chain([(
                tr("First-order propagation gives"),
                Amount::MassRange(plan.propagated),
            )])
            .collect(),
        &say!(
            "All coats, high spots and residue. The list says by how much each unsure input \
             moves it (one standard deviation). The range comes from {value} draws of all of \
             them at once; first-order propagation, which adds their squares, stands beside \
             it.",
            value = show::number(DRAWS as f64, 0)
        ),
        Source::Published(tr("JCGM 100:2008, 5.1, and JCGM 101:2008").to_string()),
    ));
    all.push(explain(
        tr("Bring"),
        Amount::Mass(plan.bring),
        vec![
            (tr("Expected need"), Amount::MassRange(plan.total)),
            (tr("Part A"), Amount::Mass(plan.bring_a)),
            (tr("Part B"), Amount::Mass(plan.bring_b)),
            (tr("The scale reads to"), Amount::Mass(input.scale_step)),
        ],
        &say!(
            "Enough in {confidence} of 100 such pieces (one-sided), and never less than the \
             batches as weighed. The smaller part is rounded up to the scale's step and the \
             larger follows by the ratio.",
            confidence = show::number(input.confidence * 100.0, 1)
        ),
        computed(tr("quantile of the draws of the need")),
    ));
    let (least, most) = practice::POUR_PER_SKIN.value;
    all.push(explain(
        tr("The same as a poured block"),
        Amount::MassRange(plan.block),
        vec![
            (
                tr("Margin around and above"),
                Amount::Length(practice::BLOCK_MARGIN.value),
            ),
            (tr("Highest point"), Amount::Length(input.highest())),
            (
                tr("Times the skin"),
                Amount::Number((plan.block.value / plan.total.value * 10.0).round() / 10.0),
            ),
        ],
        &say!(
            "A box around the outline times the depth, less what the piece fills. Common \
             practice says {least} to {most} times the skin; flat pieces need less, deep ones \
             more.",
            least,
            most
        ),
        practice::BLOCK_MARGIN.source,
    ));
    all.extend(shell(plan));
    all
}

impl Plan {
    /// Why an unsure input moves the expected need by so much.
    pub fn why_unsure(&self, line: &Uncertainty) -> Explanation {
        let share = (line.sd.0 / self.propagated.sd.max(f64::MIN_POSITIVE)).powi(2);
        explain(
            &line.what,
            Amount::Mass(line.sd),
            vec![
                (tr("Expected need"), Amount::MassRange(self.total)),
                (tr("Share of its variance"), Amount::Share(share)),
            ],
            tr(
                "How steeply the expected need rises with this input, times one standard deviation of the input.",
            ),
            Source::Published(tr("JCGM 100:2008, 5.1").to_string()),
        )
    }
}

/// The shell: what is carried there, and what is carried home.
fn shell(plan: &Plan) -> [Explanation; 2] {
    let shell = &plan.shell;
    let mut carried = vec![
        (tr("Skin and border to cover"), Amount::Area(shell.area)),
        (tr("Thickness"), Amount::Length(shell.thickness)),
    ];
    if shell.seam.is_some() {
        carried.push((tr("Flanges of its two parts"), Amount::Area(shell.flanges)));
    }
    let parts = shell.parts.iter();
    carried.extend(parts.map(|part| (&*part.what, Amount::Mass(part.mass))));
    if shell.water.0 > 0.0 {
        carried.push((tr("Water besides"), Amount::Volume(shell.water)));
    }
    let layers = match shell.kind {
        ShellKind::PlasterBandage => tr(
            "The skin's outer face and its border, with the flanges if it comes off in two parts, times the layers, times what one layer of bandage weighs. The water is what it takes up, and as much again to dip it in.",
        ),
        ShellKind::Gypsum => tr(
            "A layer of that thickness on the skin's outer face, its border and the flanges if there are any, times the plaster that a litre of the mix takes; two layers of scrim lie in it.",
        ),
        ShellKind::Laminate => tr(
            "The skin's outer face and its border, with the flanges if it comes off in two parts, times the layers of glass mat, and the resin that the mat takes up.",
        ),
    };
    let finished = match shell.kind {
        ShellKind::Laminate => tr("Mat and resin: nothing dries out of them."),
        _ => tr("What was carried, and the water that the gypsum binds; the rest dries out."),
    };
    [
        explain(
            tr("Shell to carry"),
            Amount::Mass(shell.carried()),
            carried,
            layers,
            shell.source.clone(),
        ),
        explain(
            tr("Finished shell"),
            Amount::Mass(shell.mass),
            vec![(tr("Carried"), Amount::Mass(shell.carried()))],
            finished,
            shell.source.clone(),
        ),
    ]
}

fn surface_of_piece(input: &PlanInput, plan: &Plan) -> Explanation {
    let mut inputs = vec![
        (tr("Footprint"), Amount::AreaRange(input.area)),
        (tr("Perimeter"), Amount::LengthRange(input.perimeter)),
        (tr("Highest point"), Amount::Length(input.highest())),
    ];
    let result = Amount::AreaRange(plan.surface);
    if input.heights.is_some() {
        return explain(
            tr("Surface of the piece"),
            result,
            inputs,
            tr(
                "The footprint, and what the triangles through the measured heights have beyond it, down to the wall around them.",
            ),
            Source::Computed(tr("the triangulated height map").to_string()),
        );
    }
    let flat = input.relief.highest.0 == 0.0;
    let share = |between: Between| Amount::Share(if flat { 0.0 } else { between.value });
    let kind = input.relief.kind;
    inputs.push((tr("Modelling of the front adds"), share(kind.front())));
    inputs.push((tr("Sides, of a square edge"), share(kind.side())));
    explain(
        tr("Surface of the piece"),
        result,
        inputs,
        tr(
            "The footprint, more by its modelling, plus the perimeter times the height times the share of a square edge. Each share lies half way between two shapes with a known area, and those two are one standard deviation away.",
        ),
        Source::Computed(
            tr("closed forms: egg-crate, hemispheres, quarter-round, square and half-round edges")
                .to_string(),
        ),
    )
}

fn border(input: &PlanInput, plan: &Plan) -> Explanation {
    let (formula, source) = match input.rings {
        Some(_) => (
            tr(
                "The strip of that width around the outline and inside its holes, with round corners: where it overlaps itself it counts once, and what you marked as a neighbour is spared.",
            ),
            tr("the outline's parallel curve"),
        ),
        None => (
            tr(
                "The perimeter times the width, plus a full circle of that radius for the corners. Around an outline with notches the strip overlaps itself, and this is more than enough.",
            ),
            tr("Steiner's formula for the parallel curve"),
        ),
    };
    explain(
        tr("Border strip"),
        Amount::AreaRange(plan.border_area),
        vec![
            (tr("Perimeter"), Amount::LengthRange(input.perimeter)),
            (tr("Width"), Amount::Length(input.border)),
        ],
        formula,
        Source::Computed(source.to_string()),
    )
}
