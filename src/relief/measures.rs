//! What follows from heights: the developed surface, the volume, the highest point.

use super::cover::Cover;
use super::{Heights, Modelling};
use crate::quantity::{
    Estimate, Millilitres, Millimetres, Quantity, Ratio, SquareMillimetres, Z95,
};
use crate::survey::Mm;
use serde::{Deserialize, Serialize};

/// A piece as its heights tell it. The ranges follow from the plausible maps; that of the
/// outline, which all maps share, is not in them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measures {
    /// The area on the wall.
    pub footprint: Estimate<SquareMillimetres>,
    /// The developed surface: the front and the sides down to the wall.
    pub surface: Estimate<SquareMillimetres>,
    /// Surface over footprint; never below one.
    pub ratio: Estimate<Ratio>,
    /// What stands out from the wall.
    pub volume: Estimate<Millilitres>,
    /// The highest point over the wall.
    pub highest: Estimate<Millimetres>,
    /// Where it lies on the wall.
    pub highest_at: Mm,
}

/// Measures the heights inside an outline and outside its holes, all in millimetres on the wall.
///
/// The values are those of the likely map; one standard deviation is how far the plausible maps
/// lie from it at their places (the root of the mean square), and the ranges are cut where nothing
/// real can lie:
/// no surface is smaller than its footprint.
pub fn measures(heights: &Heights, outline: &[Mm], holes: &[Vec<Mm>]) -> Measures {
    let map = &heights.map;
    let cover = Cover::of_rings(map.frame(), outline, holes);
    let best = Numbers::of(map.heights(), &cover);
    let sparse = match heights.sparse {
        1 => cover.clone(),
        _ => Cover::of_rings(heights.drawn(), outline, holes),
    };
    let likely = Numbers::of(&heights.likely(), &sparse);
    let draws: Vec<Numbers> = heights
        .draws
        .iter()
        .map(|draw| match draw.scale == 1.0 {
            true => Numbers::of(&draw.heights, &sparse),
            false => Numbers::of(&draw.heights, &sparse.stretched(draw.scale)),
        })
        .collect();
    let about = |of: fn(&Numbers) -> f64, least: f64| {
        let square = draws.iter().map(|draw| (of(draw) - of(&likely)).powi(2));
        let count = draws.len().max(1) as f64;
        (of(&best), (square.sum::<f64>() / count).sqrt(), least)
    };
    let top = highest(map.heights(), &cover);
    Measures {
        footprint: ranged(about(|n| n.footprint, 0.0)),
        surface: ranged(about(|n| n.surface, best.footprint)),
        ratio: ranged(about(|n| n.surface / n.footprint, 1.0)),
        volume: ranged(about(|n| n.volume / 1000.0, 0.0)),
        highest: ranged(about(|n| n.highest, 0.0)),
        highest_at: top.map_or(map.frame().origin, |(at, _)| map.frame().place_of(at)),
    }
}

/// What a map leaves out that shows nothing finer than some millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail {
    /// The surface beyond the footprint is larger by this share.
    pub share: f64,
    /// One standard deviation of that share.
    pub sd: f64,
    /// One standard deviation of the highest point: a peak may be finer than what is shown, or a
    /// mistake.
    pub top: Millimetres,
}

impl Measures {
    /// The same where the map leaves out fine [detail](Detail).
    #[must_use]
    pub fn with_detail(mut self, detail: &Detail) -> Self {
        let Detail { share, sd, top } = *detail;
        let excess = (self.surface.value.0 - self.footprint.value.0).max(0.0);
        let grown = |estimate: &mut Estimate<SquareMillimetres>| {
            let value = estimate.value.0 + share * excess;
            let sd = estimate.sd.hypot(sd * excess);
            *estimate = Estimate {
                value: SquareMillimetres(value),
                sd,
                low95: SquareMillimetres((value - Z95 * sd).max(self.footprint.value.0.min(value))),
                high95: SquareMillimetres(value + Z95 * sd),
            };
        };
        grown(&mut self.surface);
        let foot = self.footprint.value.0.max(f64::MIN_POSITIVE);
        let ratio = self.surface.value.0 / foot;
        let spread = self.ratio.sd.hypot(sd * excess / foot);
        self.ratio = Estimate {
            value: Ratio(ratio),
            sd: spread,
            low95: Ratio((ratio - Z95 * spread).max(1.0_f64.min(ratio))),
            high95: Ratio(ratio + Z95 * spread),
        };
        let highest = self.highest.value.0;
        let spread = self.highest.sd.hypot(top.0);
        self.highest = Estimate {
            value: Millimetres(highest),
            sd: spread,
            low95: Millimetres((highest - Z95 * spread).max(0.0_f64.min(highest))),
            high95: Millimetres(highest + Z95 * spread),
        };
        self
    }
}

/// The measures of one map, in millimetres.
struct Numbers {
    footprint: f64,
    surface: f64,
    volume: f64,
    highest: f64,
}

impl Numbers {
    fn of(heights: &[f32], cover: &Cover) -> Self {
        let modelling = Modelling::unbent(heights, cover);
        Self {
            footprint: cover.footprint,
            surface: cover.footprint + modelling.excess,
            volume: modelling.volume,
            highest: highest(heights, cover).map_or(0.0, |(_, height)| height.into()),
        }
    }
}

fn highest(heights: &[f32], cover: &Cover) -> Option<(usize, f32)> {
    let known = heights.iter().copied().enumerate();
    known
        .filter(|(at, height)| cover.inside[*at] && !height.is_nan())
        .max_by(|one, other| one.1.total_cmp(&other.1))
}

/// A value with its standard deviation and the least that it can be.
fn ranged<Q: Quantity>((value, sd, least): (f64, f64, f64)) -> Estimate<Q> {
    Estimate {
        value: Q::of(value),
        sd,
        low95: Q::of((value - Z95 * sd).max(least.min(value))),
        high95: Q::of(value + Z95 * sd),
    }
}
