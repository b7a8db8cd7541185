//! How the numbers of a cast came about.

use super::copies::CastPlan;
use super::input::CastInput;
use crate::coating::{Explanation, Source, explain};
use crate::quantity::{Amount, Grams};

fn volume_reason(input: &CastInput, plan: &CastPlan) -> Explanation {
    let name = "Volume of one copy";
    let found = Amount::VolumeRange(plan.volume);
    let area = ("Footprint", Amount::AreaRange(input.area));
    let backing = ("Backing", Amount::Length(input.backing));
    if let Some(thickness) = input.filling.thickness() {
        let mut inputs = vec![("Thickness", Amount::Length(thickness)), backing];
        let (formula, source) = match (&input.heights, input.surface) {
            (Some(_), _) => (
                "What lies nearer to the mould's face than the thickness, by the height map, plus the footprint times the backing; never more than the solid.",
                "the height map eroded by a ball as thick as the shell",
            ),
            (None, surface) => {
                inputs.extend(surface.map(|s| ("Developed surface", Amount::AreaRange(s))));
                (
                    "The developed surface times the thickness, less what bent edges save, plus the footprint times the backing; never more than the solid.",
                    "J. Steiner's formula for parallel surfaces, inwards",
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

pub(super) fn reasons(input: &CastInput, plan: &CastPlan) -> Vec<Explanation> {
    let medium = &input.medium;
    let (share, left) = input.filling.left();
    let mut mix_inputs = vec![
        ("One copy", Amount::MassRange(plan.mass_each)),
        (left, Amount::Share(share)),
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
            "Enough in 95 of 100 such pieces (one-sided), and what is left over, shared out by weight. The smallest part is rounded up to the scale's step and the others follow.",
            medium.mix.source.clone(),
        ),
    ]
}
