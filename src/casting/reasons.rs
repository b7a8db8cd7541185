//! How the numbers of a cast came about.

use super::copies::CastPlan;
use super::input::CastInput;
use crate::coating::{Explanation, Source, explain};
use crate::quantity::{Amount, Grams, show};
use crate::say;
use crate::words::{mark, tr};

/// What the mould takes for all copies.
pub const ALL_COPIES: &str = mark("The mould takes, for all copies");
/// What is to be mixed for all copies.
pub const HAVE_READY: &str = mark("Have ready");

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
    let mut all = vec![
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
        explain(
            tr(ALL_COPIES),
            Amount::MassRange(plan.mass_total),
            vec![
                (tr("One copy"), Amount::MassRange(plan.mass_each)),
                (tr("Copies"), Amount::Count(input.copies)),
            ],
            tr(
                "One copy times the copies. They come from the same mould, so what is wrong with one is wrong with all, and the range grows with them.",
            ),
            medium.density.source.clone(),
        ),
        explain(
            tr(HAVE_READY),
            Amount::Mass(plan.parts_total.iter().map(|(_, grams)| *grams).sum()),
            vec![
                (tr("Mix for one copy"), Amount::Mass(mixed)),
                (tr("Copies"), Amount::Count(input.copies)),
            ],
            tr(
                "What is mixed for one copy, as the scale shows it, times the copies. It covers the range of what the mould takes, and what is left over.",
            ),
            medium.mix.source.clone(),
        ),
    ];
    all.extend(brim(plan));
    all.push(time(input, plan));
    all.extend(cost(input, plan));
    all.push(life(input, plan));
    all.extend(size(input, plan));
    all
}

/// What fills the mould once, where most of it flows back.
fn brim(plan: &CastPlan) -> Option<Explanation> {
    let brim = plan.to_the_brim?;
    Some(explain(
        tr("To fill the mould for one shell"),
        Amount::Mass(brim.enough95()),
        vec![(tr("Filled to the brim"), Amount::MassRange(brim))],
        tr(
            "What the mould holds when it is full, its backing with it, times the density: enough in 95 of 100 such moulds (one-sided).",
        ),
        Source::Computed(tr("quantile of a log-normal spread").to_string()),
    ))
}

fn time(input: &CastInput, plan: &CastPlan) -> Explanation {
    explain(
        tr("Time for all copies"),
        Amount::Duration(plan.batch.time),
        vec![
            (tr("Copies"), Amount::Count(input.copies)),
            (tr("Moulds"), Amount::Count(input.moulds)),
            (tr("Hands on each"), Amount::Duration(plan.batch.handling)),
            (tr("Sets for"), Amount::Duration(plan.set_time)),
            (
                tr("That is for each copy"),
                Amount::Duration(plan.batch.time_each),
            ),
        ],
        tr(
            "One pair of hands goes round the moulds. Each copy takes its hands-on time and then sets, and its mould is free again once it is out; it ends when the last copy is out.",
        ),
        super::batch::HANDLING.source,
    )
}

/// What one copy costs; nothing while no price is known.
fn cost(input: &CastInput, plan: &CastPlan) -> Option<Explanation> {
    let priced = || plan.batch.cost.iter().filter(|line| line.cost.is_some());
    let money = |cost: f64| Amount::Text(show::number(cost, 2));
    let mut inputs: Vec<(&str, Amount)> = priced()
        .filter_map(|line| Some((line.what.as_str(), money(line.cost?))))
        .collect();
    if inputs.is_empty() {
        return None;
    }
    let prices = &input.prices;
    inputs.extend(
        prices
            .medium_kg
            .map(|each| (tr("A kilogram of the medium"), money(each))),
    );
    inputs.extend(prices.hour.map(|each| (tr("An hour of work"), money(each))));
    inputs.extend(prices.mould.map(|mould| (tr("The mould"), money(mould))));
    Some(explain(
        tr("One copy costs"),
        money(plan.batch.cost_each),
        inputs,
        tr(
            "What is mixed for one copy, without its water, times the price of a kilogram; the hands-on time times the price of an hour; and the mould's price over all copies that it gives in its life. What has no price is left out.",
        ),
        Source::YourChoice,
    ))
}

fn life(input: &CastInput, plan: &CastPlan) -> Explanation {
    let number = |copies: f64| show::number(copies, 0);
    let still = &plan.life.still;
    explain(
        tr("Copies until the mould spoils one"),
        Amount::Text(say!(
            "{still} ({low} to {high})",
            still = number(still.value.0),
            low = number(still.low95.0),
            high = number(still.high95.0)
        )),
        vec![
            (
                tr("Usual for this medium"),
                Amount::Number(input.medium.family.usual_copies().value.0),
            ),
            (tr("Copies so far"), Amount::Count(plan.life.made)),
            (
                tr("Times it spoiled some"),
                Amount::Count(plan.life.spoiled),
            ),
        ],
        tr(
            "Each copy wears the mould by one over the copies that are usual for its medium. Moulds differ in how soon they spoil a copy: what was logged moves what is usual, the more of it the further. A mould that is done for gives none.",
        ),
        plan.life.source.clone(),
    )
}

/// How much the copy differs in size; nothing while a number is missing.
fn size(input: &CastInput, plan: &CastPlan) -> Option<Explanation> {
    let first = plan.generations.first()?;
    let shrinkage = input.card.shrinkage?;
    let change = input.medium.linear_change.as_ref()?;
    let percent = |share: f64| Amount::Text(format!("{} %", show::number(share * 100.0, 2)));
    Some(explain(
        tr("Size of a copy beside the original"),
        percent(first.change.value.0),
        vec![
            (tr("The paste shrinks by"), percent(shrinkage)),
            (tr("The medium grows by"), percent(change.value)),
            (
                tr("An original is made longer by"),
                percent(first.make_longer.0),
            ),
        ],
        tr(
            "One less the paste's shrinkage, times one more the medium's growth, less one; below zero it is shorter. A copy of a copy changes by that factor once more for each mould. An original of your own is made longer by one over that factor, less one.",
        ),
        input.card.marks.shrinkage.clone(),
    ))
}
