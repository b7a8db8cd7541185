//! Why each number of a plan is what it is.

use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::plan::Plan;
use super::practice;
use super::relief::Between;
use super::source::Source;
use super::spread::DRAWS;
use super::surface::Surface;
use crate::quantity::{Amount, show};

/// The explanations, in the order in which the numbers are read.
pub(crate) fn of(input: &PlanInput, plan: &Plan, surface: &Surface) -> Vec<Explanation> {
    let computed = |text: &str| Source::Computed(text.to_string());
    let all_surface = plan.surface.value + plan.border_area.value;
    let mut all = vec![surface_of_piece(input, plan), border(input, plan)];
    all.push(explain(
        "Working time on site",
        Amount::DurationRange(plan.working),
        vec![
            ("On the sheet", Amount::Duration(input.card.working)),
            ("at", Amount::Temperature(input.card.reference)),
            ("On site", Amount::Temperature(input.temperature)),
            ("Times as fast ten degrees Celsius warmer", Amount::Number(input.card.q10)),
        ],
        "The sheet's working time over the rate at the temperature of the site. If the rate is not from the sheet, the range is what the usual rates leave.",
        input.card.marks.q10.clone(),
    ));
    for coat in &plan.coats {
        all.push(explain(
            &format!("Coat {}, {}", coat.number, coat.role.name()),
            Amount::MassRange(coat.mass),
            vec![
                ("Surface and border", Amount::Area(all_surface)),
                ("Thickness", Amount::Length(coat.thickness)),
                (
                    "Bends outward by",
                    Amount::Length(surface.mean_curvature),
                ),
                ("Volume", Amount::Volume(coat.volume)),
                ("Density", Amount::Density(input.card.density)),
            ],
            "Surface and border times the thickness, plus what the coat gains around outward edges because it lies on the coats below (the surface's mean curvature times the thicknesses squared, and a smaller part for its corners), times the density.",
            computed("the parallel surface of Steiner and Weyl"),
        ));
        all.push(explain(
            &format!("Batches of coat {}", coat.number),
            Amount::Count(coat.batches.len() as u32),
            vec![
                ("Surface and border", Amount::Area(all_surface)),
                (
                    "Brushed in a minute",
                    Amount::Speed(input.coats[coat.wanted as usize - 1].speed),
                ),
                ("Working time there, at the least", Amount::Duration(plan.working.low95)),
                ("Mixing", Amount::Duration(coat.mix)),
                ("Standing to thicken", Amount::Duration(coat.stand)),
                (
                    "Share of the working time planned",
                    Amount::Share(practice::PLANNED_SHARE_OF_WORKING.value),
                ),
            ],
            "The surface over what one person brushes between the end of mixing and the planned end of the working time, rounded up to whole, equal batches.",
            input.coats[coat.wanted as usize - 1].speed_source.clone(),
        ));
    }
    if let Some(spots) = &plan.high_spots {
        all.push(explain(
            "Extra on high spots",
            Amount::MassRange(spots.mass),
            vec![
                ("Surface of the piece", Amount::Area(plan.surface.value)),
                ("Share that is high", Amount::Share(spots.share)),
                ("Thickness", Amount::Length(spots.thickness)),
                ("Density", Amount::Density(input.card.density)),
            ],
            "The share of the surface that starves under the brush, one build coat more, times the density.",
            practice::HIGH_SPOT_SHARE.source,
        ));
    }
    all.push(explain(
        "Left in containers and tools",
        Amount::MassRange(plan.residue),
        vec![
            ("Batches", Amount::Count(plan.batch_count())),
            (
                "In each container",
                Amount::Mass(practice::RESIDUE_PER_CONTAINER.value),
            ),
            (
                "In the brush or on the spatula",
                Amount::Mass(practice::RESIDUE_PER_TOOL.value),
            ),
        ],
        "Two containers and one tool for each batch.",
        practice::RESIDUE_PER_CONTAINER.source,
    ));
    all.push(explain(
        "Expected need",
        Amount::MassRange(plan.total),
        plan.uncertainties
            .iter()
            .map(|line| (line.what.as_str(), Amount::Mass(line.sd)))
            .chain([(
                "First-order propagation gives",
                Amount::MassRange(plan.propagated),
            )])
            .collect(),
        &format!("All coats, high spots and residue. The list says by how much each unsure input moves it (one standard deviation). The range comes from {} draws of all of them at once; first-order propagation, which adds their squares, stands beside it.", show::number(DRAWS as f64, 0)),
        Source::Published("JCGM 100:2008, 5.1, and JCGM 101:2008".to_string()),
    ));
    all.push(explain(
        "Bring",
        Amount::Mass(plan.bring),
        vec![
            ("Expected need", Amount::MassRange(plan.total)),
            ("Part A", Amount::Mass(plan.bring_a)),
            ("Part B", Amount::Mass(plan.bring_b)),
            ("The scale reads to", Amount::Mass(input.scale_step)),
        ],
        &format!("Enough in {} of 100 such pieces (one-sided), and never less than the batches as weighed. The smaller part is rounded up to the scale's step and the larger follows by the ratio.", show::number(input.confidence * 100.0, 1)),
        computed("quantile of the draws of the need"),
    ));
    let (least, most) = practice::POUR_PER_SKIN.value;
    all.push(explain(
        "The same as a poured block",
        Amount::MassRange(plan.block),
        vec![
            ("Margin around and above", Amount::Length(practice::BLOCK_MARGIN.value)),
            ("Highest point", Amount::Length(input.highest())),
            (
                "Times the skin",
                Amount::Number((plan.block.value / plan.total.value * 10.0).round() / 10.0),
            ),
        ],
        &format!("A box around the outline times the depth, less what the piece fills. Common practice says {least} to {most} times the skin; flat pieces need less, deep ones more."),
        practice::BLOCK_MARGIN.source,
    ));
    all
}

fn surface_of_piece(input: &PlanInput, plan: &Plan) -> Explanation {
    let mut inputs = vec![
        ("Footprint", Amount::AreaRange(input.area)),
        ("Perimeter", Amount::LengthRange(input.perimeter)),
        ("Highest point", Amount::Length(input.highest())),
    ];
    let result = Amount::AreaRange(plan.surface);
    if input.heights.is_some() {
        return explain(
            "Surface of the piece",
            result,
            inputs,
            "The footprint, and what the triangles through the measured heights have beyond it, down to the wall around them.",
            Source::Computed("the triangulated height map".to_string()),
        );
    }
    let flat = input.relief.highest.0 == 0.0;
    let share = |between: Between| Amount::Share(if flat { 0.0 } else { between.value });
    let kind = input.relief.kind;
    inputs.push(("Modelling of the front adds", share(kind.front())));
    inputs.push(("Sides, of a square edge", share(kind.side())));
    explain(
        "Surface of the piece",
        result,
        inputs,
        "The footprint, more by its modelling, plus the perimeter times the height times the share of a square edge. Each share lies half way between two shapes with a known area, and those two are one standard deviation away.",
        Source::Computed(
            "closed forms: egg-crate, hemispheres, quarter-round, square and half-round edges"
                .to_string(),
        ),
    )
}

fn border(input: &PlanInput, plan: &Plan) -> Explanation {
    let (formula, source) = match input.rings {
        Some(_) => (
            "The strip of that width around the outline and inside its holes, with round corners: where it overlaps itself it counts once, and what you marked as a neighbour is spared.",
            "the outline's parallel curve",
        ),
        None => (
            "The perimeter times the width, plus a full circle of that radius for the corners. Around an outline with notches the strip overlaps itself, and this is more than enough.",
            "Steiner's formula for the parallel curve",
        ),
    };
    explain(
        "Border strip",
        Amount::AreaRange(plan.border_area),
        vec![
            ("Perimeter", Amount::LengthRange(input.perimeter)),
            ("Width", Amount::Length(input.border)),
        ],
        formula,
        Source::Computed(source.to_string()),
    )
}
