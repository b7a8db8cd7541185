//! How thick the skin comes out, place by place: a wet coat draws back from what bulges and pools
//! in hollows.
//!
//! Where a surface of mean curvature `H` (1/mm, positive outward) is coated, a coat keeps the share
//! `1 / (1 + L H)` of itself where it bulges, and gains `1 + L |H|` in hollows, but for a most
//! ([`practice::MOST_POOLED`]); then all is set in proportion so that the coat's volume is that of
//! the plan. `L` is the levelling length: so many times the coat's own thickness as the card says,
//! or [`practice::LEVELLING`] at a yield stress of [`practice::LEVELLING_STRESS`] and less in
//! proportion for a stiffer paste, since a layer moves only where its weight and its surface's
//! tension pass the yield stress. The form is chosen for its ends (nothing moves on a flat, or
//! with a stiff paste; nothing falls below zero); its numbers are made up until skins were
//! measured. The surface is felt blurred, since coats fill what is finer than themselves.

use super::card::MaterialCard;
use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::passes::Pass;
use super::plan::Plan;
use super::practice;
use super::sag::yield_stress;
use super::source::Marked;
use crate::quantity::{Amount, Grams, Millimetres};
use crate::relief::{Cover, Frame, HeightMap, areas, felt_curvature};
use crate::survey::Mm;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A place where the skin comes out thinnest around.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ThinSpot {
    /// The place on the wall.
    pub at: Mm,
    /// The skin there, all coats together.
    pub thickness: Millimetres,
    /// What a dab around it takes to bring it to the planned thickness.
    pub dab: Grams,
    /// Whether it is thinner there than the skin has to be.
    pub too_thin: bool,
}

/// The skin over the whole piece, after all coats.
#[derive(Clone, Debug, PartialEq)]
pub struct SkinMap {
    /// Where its places lie.
    pub frame: Frame,
    /// The thickness of all coats at each place in millimetres, row after row; not a number off
    /// the piece. Extra paste on high spots is not in it.
    pub thickness: Vec<f32>,
    /// The developed surface over each place's square, in square millimetres.
    pub areas: Vec<f64>,
    /// The planned thickness.
    pub planned: Millimetres,
    /// The least thickness the skin has to have everywhere, and where that comes from.
    pub least: Marked<Millimetres>,
    /// The thinnest spots, thinnest first, apart from each other; none where the skin comes out
    /// even.
    pub thinnest: Vec<ThinSpot>,
    /// The share of the surface that is thinner than it has to be.
    pub too_thin: f64,
    /// So many times as thick each coat would have to be for the least thickness everywhere
    /// without dabs; one where it is reached. `None` where no thickness that can be brushed
    /// reaches it.
    pub grow: Option<f64>,
}

impl SkinMap {
    /// How the skin's thickness came about, for its thinnest spot, or for all of it where it comes
    /// out even.
    pub fn why(&self) -> Explanation {
        let spot = self.thinnest.first();
        let mut inputs = vec![
            (tr("Planned, all coats"), Amount::Length(self.planned)),
            (tr("Least thickness"), Amount::Length(self.least.value)),
            (
                tr("Thinner than that, of the surface"),
                Amount::Share(self.too_thin),
            ),
        ];
        inputs.extend(spot.map(|spot| (tr("Its dab"), Amount::Mass(spot.dab))));
        inputs.extend(self.grow.filter(|grow| *grow > 1.0).map(|grow| {
            (
                tr("Or each coat so many times as thick"),
                Amount::Number(grow),
            )
        }));
        explain(
            tr("Thinnest spot"),
            Amount::Length(spot.map_or(self.planned, |spot| spot.thickness)),
            inputs,
            tr(
                "By the height map, a wet coat draws back from what bulges and pools in hollows, the more so the farther the paste levels, and its volume stays that of the plan. A dab is what brings the spot and what lies around it to the planned thickness, times the density.",
            ),
            practice::LEVELLING.source,
        )
    }
}

/// The most spots that are told.
const SPOTS: usize = 5;
/// Spots lie apart by this part of the piece's longer side, and a dab reaches half as far.
const APART: f64 = 0.12;
/// A skin this near to the planned one, as a share, has no thin spot.
const EVEN: f64 = 0.02;
/// Places of a map that lie closer than this share of what the coats feel tell them nothing more.
const FINEST: f64 = 1.0 / 3.0;
/// Coats are not made thicker than this many times.
const MOST_GROWN: f64 = 4.0;

/// How thick the skin comes out; `None` where no heights are known.
pub fn skin_map(input: &PlanInput, plan: &Plan) -> Option<SkinMap> {
    let map = input.heights.as_ref()?;
    let coats: Vec<f64> = plan.coats.iter().map(|coat| coat.thickness.0).collect();
    let skin = Skin::of(map, input, &coats);
    let thickness = skin.thickness(&coats);
    let planned = coats.iter().sum::<f64>();
    let least = match input.card.least_skin {
        Some(value) => Marked {
            value,
            source: input.card.marks.least_skin.clone(),
        },
        None => practice::LEAST_SKIN,
    };
    let total: f64 = skin.areas.iter().sum();
    let thin = thickness.iter().zip(&skin.areas);
    let thin = thin.filter(|(t, _)| f64::from(**t) < least.value.0 - 1e-9);
    Some(SkinMap {
        frame: skin.frame,
        planned: Millimetres(planned),
        too_thin: thin.fold(0.0, |sum, (_, area)| sum + area) / total.max(f64::MIN_POSITIVE),
        grow: skin.grow(&coats, least.value.0),
        thinnest: skin.thinnest(&thickness, planned, least.value.0, &input.card),
        least,
        thickness,
        areas: skin.areas,
    })
}

/// The share of the surface where the skin comes out thinner than planned by
/// [`practice::STARVED`]: the high spots. `None` too where the map's places lie farther apart than
/// the skin is thick: it does not show them.
pub(super) fn starved_share(input: &PlanInput, passes: &[Pass]) -> Option<f64> {
    let map = input.heights.as_ref()?;
    let coats: Vec<f64> = passes.iter().map(|pass| pass.choice.thickness.0).collect();
    if map.step().0 > coats.iter().sum() {
        return None;
    }
    let skin = Skin::of(map, input, &coats);
    let limit = coats.iter().sum::<f64>() * (1.0 - practice::STARVED.value);
    let thickness = skin.thickness(&coats);
    let starved = thickness.iter().zip(&skin.areas);
    let starved = starved.filter(|(t, _)| f64::from(**t) < limit);
    let total: f64 = skin.areas.iter().sum();
    (total > 0.0).then(|| starved.map(|(_, area)| area).sum::<f64>() / total)
}

/// What of the map is the piece: the outline where the map was laid on it, and the map's own
/// places otherwise.
pub(super) fn cover_of(map: &HeightMap, input: &PlanInput) -> Cover {
    let rings = input.rings.as_ref();
    rings
        .map(|rings| Cover::of_rings(map.frame(), &rings.outline, &rings.holes))
        .filter(|cover| cover.agrees(map))
        .unwrap_or_else(|| Cover::of_map(map, input.perimeter.value))
}

/// How far a coat of one millimetre levels, in millimetres.
fn levelling(card: &MaterialCard) -> f64 {
    let usual = practice::LEVELLING.value;
    match (card.levelling, yield_stress(card)) {
        (Some(times), _) => times,
        (None, Some(stress)) => usual * practice::LEVELLING_STRESS.value.0 / stress.0,
        (None, None) => usual,
    }
}

/// The surface as coats meet it.
struct Skin {
    frame: Frame,
    curvature: Vec<f32>,
    areas: Vec<f64>,
    levelling: f64,
}

impl Skin {
    fn of(map: &HeightMap, input: &PlanInput, coats: &[f64]) -> Self {
        let felt = coats.iter().sum::<f64>() * practice::FELT_SHARE.value;
        let coarse = map.coarser((felt * FINEST / map.step().0) as usize);
        let map = &coarse;
        let cover = &cover_of(map, input);
        let curvature = felt_curvature(map, cover, Millimetres(felt));
        let mut areas = areas(map, cover);
        // The little surface beside the edge that belongs to no place is spread over all others.
        let known = |at: usize| !curvature[at].is_nan();
        let whole: f64 = areas.iter().sum();
        let on: f64 = (0..areas.len())
            .filter(|at| known(*at))
            .map(|at| areas[at])
            .sum();
        for (at, area) in areas.iter_mut().enumerate() {
            *area = if known(at) { *area * whole / on } else { 0.0 };
        }
        Self {
            frame: map.frame(),
            curvature,
            areas,
            levelling: levelling(&input.card),
        }
    }

    /// The thickness of all coats at each place.
    fn thickness(&self, coats: &[f64]) -> Vec<f32> {
        let laid: f64 = self.areas.iter().sum();
        // Off the piece it stays no number.
        let mut all: Vec<f64> = self.curvature.iter().map(|h| f64::from(*h) * 0.0).collect();
        let mut shares = vec![0.0; all.len()];
        for coat in coats {
            let length = self.levelling * coat;
            let mut kept = 0.0;
            for ((share, h), area) in shares.iter_mut().zip(&self.curvature).zip(&self.areas) {
                let bent = length * f64::from(*h);
                *share = match bent > 0.0 {
                    true => 1.0 / (1.0 + bent),
                    false => (1.0 - bent).min(practice::MOST_POOLED.value),
                };
                if !h.is_nan() {
                    kept += *share * area;
                }
            }
            if kept <= 0.0 {
                continue;
            }
            for (sum, share) in all.iter_mut().zip(&shares) {
                *sum += coat * share * laid / kept;
            }
        }
        all.into_iter().map(|thickness| thickness as f32).collect()
    }

    fn thinner_than(&self, coats: &[f64], least: f64) -> bool {
        let thickness = self.thickness(coats);
        let known = thickness.iter().filter(|t| !t.is_nan());
        known.fold(f32::INFINITY, |least, t| least.min(*t)) < least as f32 * (1.0 - 1e-4)
    }

    /// How much thicker each coat has to be. Thicker coats level more, so it is looked for by
    /// halving.
    fn grow(&self, coats: &[f64], least: f64) -> Option<f64> {
        let short = |times: f64| {
            let coats: Vec<f64> = coats.iter().map(|coat| coat * times).collect();
            self.thinner_than(&coats, least)
        };
        if !short(1.0) {
            return Some(1.0);
        }
        if short(MOST_GROWN) {
            return None;
        }
        let (mut low, mut high) = (1.0, MOST_GROWN);
        for _ in 0..10 {
            let middle = (low + high) / 2.0;
            match short(middle) {
                true => low = middle,
                false => high = middle,
            }
        }
        Some(high)
    }

    fn thinnest(
        &self,
        thickness: &[f32],
        planned: f64,
        least: f64,
        card: &MaterialCard,
    ) -> Vec<ThinSpot> {
        let columns = self.frame.columns;
        let (mut low, mut high) = ([usize::MAX; 2], [0; 2]);
        let known = || (0..thickness.len()).filter(|at| !thickness[*at].is_nan());
        for at in known() {
            for (k, n) in [at % columns, at / columns].into_iter().enumerate() {
                low[k] = low[k].min(n);
                high[k] = high[k].max(n);
            }
        }
        let longest = (0..2).map(|k| high[k].saturating_sub(low[k])).max();
        let apart = APART * longest.unwrap_or(0) as f64 * self.frame.step.0;
        let off = |a: Mm, b: Mm| (a[0] - b[0]).hypot(a[1] - b[1]);
        let mut order: Vec<usize> = known()
            .filter(|at| f64::from(thickness[*at]) < planned * (1.0 - EVEN))
            .filter(|at| self.is_least_around(thickness, *at))
            .collect();
        order.sort_by(|one, other| thickness[*one].total_cmp(&thickness[*other]));
        let mut spots: Vec<ThinSpot> = Vec::new();
        for at in order {
            let place = self.frame.place_of(at);
            if spots.iter().any(|spot| off(spot.at, place) < apart) {
                continue;
            }
            let around = known().filter(|n| off(self.frame.place_of(*n), place) < apart / 2.0);
            let missing: f64 = around
                .map(|n| (planned - f64::from(thickness[n])).max(0.0) * self.areas[n])
                .sum();
            spots.push(ThinSpot {
                at: place,
                thickness: Millimetres(thickness[at].into()),
                dab: Grams(missing / 1000.0 * card.density.0),
                too_thin: f64::from(thickness[at]) < least,
            });
            if spots.len() == SPOTS {
                break;
            }
        }
        spots
    }

    /// Whether none of the eight places around is thinner.
    fn is_least_around(&self, thickness: &[f32], at: usize) -> bool {
        let Frame { columns, rows, .. } = self.frame;
        let (c, r) = (at % columns, at / columns);
        let near = |n: usize, most: usize| n.saturating_sub(1)..(n + 2).min(most);
        near(r, rows).all(|row| {
            near(c, columns).all(|column| {
                let there = thickness[row * columns + column];
                there.is_nan() || there >= thickness[at]
            })
        })
    }
}
