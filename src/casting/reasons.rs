//! How the numbers of a cast came about.

use super::copies::CastPlan;
use super::input::CastInput;
use crate::coating::{Explanation, Source, explain};
use crate::quantity::{Amount, Grams};
use crate::words::tr;

fn volume_reason(input: &CastInput, plan: &CastPlan) -> Explanation {
    let name = tr("Volume of one copy");
    let found = Amount::VolumeRange(plan.volume);
    let area = (tr("Footprint"), Amount::AreaRange(input.area));
    let backing = (tr("Backing"), Amount::Length(input.backing));
    if let Some(thickness) = input.filling.thickness() {
        let mut inputs = vec![(tr("Thickness"), Amount::Length(thickness)), backing];
        let (formula, source) = match (&input.heights, input.surface) {
            (Some(_), _) => (
                tr(
                    "What lies nearer to the mould's face than the thickness, by the height map, plus the footprint times the backing; never more than the solid.",
                ),
                tr("the height map eroded by a ball as thick as the shell"),
            ),
            (None, surface) => {
                inputs.extend(surface.map(|s| (tr("Developed surface"), Amount::AreaRange(s))));
                (
                    tr(
                        "The developed surface times the thickness, less what bent edges save, plus the footprint times the backing; never more than the solid.",
                    ),
                    tr("J. Steiner's formula for parallel surfaces, inwards"),
                )
            }
        };
        return explain(
            name,
            found,
            inputs,
            formula,
            Source::Computed(source.to_string()),
        );
    }
    if let Some(known) = input.known() {
        return explain(
            name,
            found,
            vec![
                area,
                (tr("Volume over the wall"), Amount::VolumeRange(known)),
                backing,
            ],
            tr("What the height map has over the wall, plus the footprint times the backing."),
            Source::Computed(tr("your readings and photos of the heights").to_string()),
        );
    }
    let mean = input.relief.kind.mean_height();
    explain(
        name,
        found,
        vec![
            area,
            (tr("Highest point"), Amount::Length(input.relief.highest)),
            (tr("Mean height over highest"), Amount::Share(mean.value)),
            (tr("give or take"), Amount::Share(mean.sd)),
            backing,
        ],
        tr(
            "The footprint times its mean height, plus the footprint times the backing. The mean height lies between two bodies with a known volume.",
        ),
        Source::Computed(
            tr("closed forms: cone 1/3, paraboloid 1/2, half-ellipsoid 2/3, slab 1").to_string(),
        ),
    )
}

pub(super) fn reasons(input: &CastInput, plan: &CastPlan) -> Vec<Explanation> {
    let medium = &input.medium;
    let (share, left) = input.filling.left();
    let mut mix_inputs = vec![
        (tr("One copy"), Amount::MassRange(plan.mass_each)),
        (left, Amount::Share(share)),
    ];
    for part in &medium.mix.value {
        mix_inputs.push((part.name.as_str(), Amount::Number(part.parts)));
    }
    let mixed: Grams = plan.parts.iter().map(|(_, grams)| *grams).sum();
    vec![
        volume_reason(input, plan),
        explain(
            tr("Mass of one copy"),
            Amount::MassRange(plan.mass_each),
            vec![
                (tr("Volume"), Amount::VolumeRange(plan.volume)),
                (
                    tr("Density as poured"),
                    Amount::Density(medium.density.value),
                ),
            ],
            tr("The volume times the density with which the medium fills the mould."),
            medium.density.source.clone(),
        ),
        explain(
            tr("Mix for one copy"),
            Amount::Mass(mixed),
            mix_inputs,
            tr(
                "Enough in 95 of 100 such pieces (one-sided), and what is left over, shared out by weight. The smallest part is rounded up to the scale's step and the others follow.",
            ),
            medium.mix.source.clone(),
        ),
    ]
}
