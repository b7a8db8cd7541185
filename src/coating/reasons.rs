//! Why each number of a plan is what it is.

use super::cost::{Cost, Prices};
use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::packs::PackChoice;
use super::plan::Plan;
use super::practice;
use super::relief::Between;
use super::shell::ShellKind;
use super::source::Source;
use super::spread::DRAWS;
use super::surface::Surface;
use crate::quantity::{Amount, show};

/// The explanations, in the order in which the numbers are read.
pub(crate) fn of(input: &PlanInput, plan: &Plan, surface: &Surface) -> Vec<Explanation> {
    let computed = |text: &str| Source::Computed(text.to_string());
    let all_surface = plan.surface.value + plan.border_area.value;
    let mut all = vec![surface_of_piece(input, plan), border(input, plan)];
    let (law, mark) = match input.card.activation {
        Some(energy) => (
            ("Activation energy, kJ/mol", Amount::Number(energy.0)),
            &input.card.marks.activation,
        ),
        None => (
            (
                "Times as fast ten degrees Celsius warmer",
                Amount::Number(input.card.q10),
            ),
            &input.card.marks.q10,
        ),
    };
    all.push(explain(
        "Working time on site",
        Amount::DurationRange(plan.working),
        vec![
            ("On the sheet", Amount::Duration(input.card.working)),
            ("at", Amount::Temperature(input.card.reference)),
            ("On site", Amount::Temperature(input.temperature)),
            law,
        ],
        "The sheet's working time over the rate at the temperature of the site. If the rate is not from the sheet, the range is what the usual rates leave.",
        mark.clone(),
    ));
    for coat in &plan.coats {
        all.push(explain(
            &coat.name(),
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
            match spots.share == practice::HIGH_SPOT_SHARE.value {
                false => Source::Computed(
                    "where the skin over the height map comes out too thin; how far a paste levels is made up".to_string(),
                ),
                true => practice::HIGH_SPOT_SHARE.source,
            },
        ));
    }
    let residue = &input.hand.residue;
    let mut left = vec![("Batches", Amount::Count(plan.batch_count()))];
    if residue.source == practice::RESIDUE_PER_CONTAINER.source {
        left.extend([
            (
                "In each container",
                Amount::Mass(practice::RESIDUE_PER_CONTAINER.value),
            ),
            (
                "In the brush or on the spatula",
                Amount::Mass(practice::RESIDUE_PER_TOOL.value),
            ),
        ]);
    } else {
        left.push(("In each batch", Amount::Mass(residue.value)));
    }
    all.push(explain(
        "Left in containers and tools",
        Amount::MassRange(plan.residue),
        left,
        "Two containers and one tool for each batch.",
        residue.source.clone(),
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
    all.extend(shell(plan));
    all
}

/// The shell: what is carried there, and what is carried home.
fn shell(plan: &Plan) -> [Explanation; 2] {
    let shell = &plan.shell;
    let mut carried = vec![
        ("Skin and border to cover", Amount::Area(shell.area)),
        ("Thickness", Amount::Length(shell.thickness)),
    ];
    if shell.seam.is_some() {
        carried.push(("Flanges of its two parts", Amount::Area(shell.flanges)));
    }
    let parts = shell.parts.iter();
    carried.extend(parts.map(|part| (&*part.what, Amount::Mass(part.mass))));
    if shell.water.0 > 0.0 {
        carried.push(("Water besides", Amount::Volume(shell.water)));
    }
    let layers = match shell.kind {
        ShellKind::PlasterBandage => {
            "The skin's outer face and its border, with the flanges if it comes off in two parts, times the layers, times what one layer of bandage weighs. The water is what it takes up, and as much again to dip it in."
        }
        ShellKind::Gypsum => {
            "A layer of that thickness on the skin's outer face, its border and the flanges if there are any, times the plaster that a litre of the mix takes; two layers of scrim lie in it."
        }
        ShellKind::Laminate => {
            "The skin's outer face and its border, with the flanges if it comes off in two parts, times the layers of glass mat, and the resin that the mat takes up."
        }
    };
    let finished = match shell.kind {
        ShellKind::Laminate => "Mat and resin: nothing dries out of them.",
        _ => "What was carried, and the water that the gypsum binds; the rest dries out.",
    };
    [
        explain(
            "Shell to carry",
            Amount::Mass(shell.carried()),
            carried,
            layers,
            shell.source.clone(),
        ),
        explain(
            "Finished shell",
            Amount::Mass(shell.mass),
            vec![("Carried", Amount::Mass(shell.carried()))],
            finished,
            shell.source.clone(),
        ),
    ]
}

/// Why each line of a bill is what it is, in the order of its lines; then the whole, and a copy's
/// share.
pub fn of_cost(
    cost: &Cost,
    plan: &Plan,
    packs: Option<&PackChoice>,
    prices: &Prices,
    copies: u32,
) -> Vec<Explanation> {
    let money = |cost: Option<f64>| match cost {
        Some(cost) => Amount::Text(show::number(cost, 2)),
        None => Amount::Text("no price yet".to_string()),
    };
    let bought = packs.map_or(Amount::Mass(plan.bring), |packs| {
        Amount::Mass(packs.bought())
    });
    let lines: [(Vec<(&str, Amount)>, &str); 5] = [
        (
            vec![
                ("Brought", Amount::Mass(plan.bring)),
                ("Bought, in whole sets", bought),
            ],
            "The sets to buy, times the price that you typed to each on the paste's card.",
        ),
        (
            vec![
                ("Batches", Amount::Count(plan.batch_count())),
                ("One batch uses up", money(prices.batch)),
            ],
            "Batches times what one uses up.",
        ),
        (
            vec![
                ("Carried for the shell", Amount::Mass(plan.shell.carried())),
                ("A kilogram", money(prices.shell_kg)),
            ],
            "What the shell is built of, without its water, times the price of a kilogram.",
        ),
        (
            vec![
                (
                    "Mixing, standing, brushing",
                    Amount::Duration(cost.hands_on),
                ),
                (
                    "Other hours",
                    Amount::Number(prices.other_hours.unwrap_or(0.0)),
                ),
                ("An hour", money(prices.hour)),
            ],
            "The hands-on time of all batches and the other hours, times the price of an hour. Waiting between coats is not counted.",
        ),
        (Vec::new(), "As you typed it."),
    ];
    let mut all: Vec<Explanation> = cost
        .lines
        .iter()
        .zip(lines)
        .map(|(line, (inputs, formula))| {
            explain(
                &line.what,
                money(line.cost),
                inputs,
                formula,
                Source::YourChoice,
            )
        })
        .collect();
    let mould = money(Some(cost.mould));
    all.push(explain(
        "The mould",
        mould.clone(),
        cost.lines
            .iter()
            .map(|line| (&*line.what, money(line.cost)))
            .collect(),
        "All lines that have a price.",
        Source::YourChoice,
    ));
    all.push(explain(
        "In each copy",
        money(Some(cost.copy)),
        vec![
            ("The mould", mould),
            ("Copies", Amount::Count(copies.max(1))),
        ],
        "The mould's price shared among the copies; what is cast comes on top.",
        Source::YourChoice,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{Relief, plan};
    use crate::quantity::{Estimate, Millimetres, SquareMillimetres};

    #[test]
    fn each_line_of_the_bill_has_its_reason_in_its_place() {
        let mut input = PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(6e4)),
            Estimate::exact(Millimetres(1000.0)),
            Relief::default(),
        );
        for kind in ShellKind::ALL {
            input.shell = kind;
            let plan = plan(&input).unwrap();
            let named = |name| plan.why.iter().find(|why| why.what == name).unwrap();
            let carried = named("Shell to carry");
            assert_eq!(carried.result, Amount::Mass(plan.shell.carried()));
            assert_eq!(
                named("Finished shell").result,
                Amount::Mass(plan.shell.mass)
            );
            let prices = Prices {
                hour: Some(30.0),
                ..Prices::default()
            };
            let cost = Cost::of(&plan, None, &prices, 4);
            let why = of_cost(&cost, &plan, None, &prices, 4);
            assert_eq!(why.len(), cost.lines.len() + 2);
            for (why, line) in why.iter().zip(&cost.lines) {
                assert_eq!(why.what, line.what);
            }
            assert_eq!(why[0].result, Amount::Text("no price yet".to_string()));
            let each = show::number(cost.mould / 4.0, 2);
            assert_eq!(why[6].result, Amount::Text(each));
        }
    }
}
