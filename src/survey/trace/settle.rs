//! Points of an outline go to the edge that the picture shows near them.

use super::base::{Base, Station, distance};
use super::strip::{BESIDE, Found, Strip};
use crate::survey::snap::profile::rise;
use crate::survey::snap::robust::fit;
use crate::survey::{GreyView, Px};
use serde::{Deserialize, Serialize};

/// A point that lies on the edge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Settled {
    /// Where it lies, in pixels.
    pub px: Px,
    /// Standard deviation of that place across the edge, in pixels.
    pub sd_px: f64,
}

/// A hand is off by this share of the reach, in one standard deviation.
pub(super) const HAND: f64 = 0.35;
/// Points beside each other to both sides that must not be off together,
const TOGETHER: isize = 3;
/// by so many standard deviations of their mean: the edge is then another than the one meant.
const OTHER_EDGE: f64 = 2.6;
/// The strip is so many times as wide as the reach: corners are rounded in it, and between the
/// points the edge may be further off.
const WIDE: f64 = 1.8;
/// The polygon's corners are rounded by this share of the reach, so that the direction across it
/// does not jump.
const ROUNDED: f64 = 0.5;
/// Cells of the strip, at most; a longer outline is looked at in larger steps.
const MOST_CELLS: f64 = 250_000.0;
/// A place is given only where the chance that the edge is there is at least this,
const SURE: f64 = 0.6;
/// and where it is so many times steeper than the chance of grain and noise,
const CLEAR: f64 = 5.0;
/// on the mean over so many pixels to both sides along it,
const SEEN_ALONG: f64 = 8.0;
/// of which so many see the same grain.
const SAME_GRAIN: f64 = 3.5;
/// The edge's place is the mean over so many pixels to both sides along it.
const ALONG: f64 = 4.0;
/// A shadow beside a blurred edge moves it as a whole by about this share of the blur (from the
/// drawn photos of the tests).
const BLURRED: f64 = 0.12;
/// The wall is a little darker close to what stands before it, which moves every edge by about
/// this much, in pixels (from the drawn photos of the tests).
const SHADED: f64 = 0.25;
/// Least scatter of single places along an edge, in pixels: the pixels' own raster.
const LEAST_SCATTER: f64 = 0.06;

/// Moves each point of an outline across it to the edge that the picture shows within `reach_px`;
/// `None` where there is no clear one. A point alone looks for the edge in all directions.
///
/// All points are settled at once: of two edges, such as a moulding's, the one counts that runs
/// on from point to point (`strip`). The place is then the middle of the slope of light.
pub fn settle(
    grey: &GreyView<'_>,
    ring: &[Px],
    closed: bool,
    reach_px: f64,
) -> Vec<Option<Settled>> {
    let nothing = || vec![None; ring.len()];
    let sound = reach_px > 0.0 && reach_px.is_finite() && !ring.is_empty();
    let picture = f64::from(grey.width).hypot(f64::from(grey.height));
    let beside = |c: &f64| !c.is_finite() || c.abs() > FURTHEST * picture;
    if !sound || ring.iter().flatten().any(beside) {
        return nothing();
    }
    let reach = reach_px.min(picture).max(LEAST_REACH);
    if let [alone] = ring {
        let Some(along) = direction(grey, *alone, reach) else {
            return nothing();
        };
        let end = |far: f64| [0, 1].map(|k| alone[k] + far * along[k]);
        let chain = [end(-2.0 * reach), *alone, end(2.0 * reach)];
        return vec![settle(grey, &chain, false, reach_px)[1]];
    }
    let closed = closed && ring.len() > 2;
    let length: f64 = ring.windows(2).map(|pair| distance(pair[0], pair[1])).sum();
    let step = (2.0 * (WIDE * reach).max(BESIDE) * (length + 4.0 * reach) / MOST_CELLS)
        .sqrt()
        .max(1.0);
    let Some(base) = Base::through(ring, closed, step, ROUNDED * reach, 2.0 * reach) else {
        return nothing();
    };
    let strip = Strip::about(grey, &base, (WIDE * reach).max(BESIDE));
    let mut held: Vec<Option<f64>> = vec![None; base.stations.len()];
    for (px, foot) in ring.iter().zip(&base.feet) {
        held[*foot] = Some(base.stations[*foot].off(*px));
    }
    let found = strip.follow(&base, |i, off| match held[i] {
        Some(hand) if (off - hand).abs() > reach => NEVER,
        Some(hand) => -0.5 * ((off - hand) / (HAND * reach)).powi(2),
        None => 0.0,
    });
    let places: Vec<Option<(f64, f64)>> = ring
        .iter()
        .zip(&base.feet)
        .map(|(px, foot)| {
            let (off, sd_px) = place(grey, &base, &found, *foot)?;
            let moved = off - base.stations[*foot].off(*px);
            (moved.abs() <= reach).then_some((moved, sd_px))
        })
        .collect();
    (0..ring.len())
        .map(|i| {
            let (moved, sd_px) = places[i]?;
            if together(&places, closed, i) > OTHER_EDGE * HAND * reach {
                return None;
            }
            let across = base.stations[base.feet[i]].across;
            let px = [0, 1].map(|k| ring[i][k] + moved * across[k]);
            Some(Settled { px, sd_px })
        })
        .collect()
}

/// By how much a point and those beside it moved together: their mean, times the root of their
/// number, which is as large as the move of one point if each was off by itself.
fn together(places: &[Option<(f64, f64)>], closed: bool, point: usize) -> f64 {
    let count = places.len() as isize;
    let beside = TOGETHER.min((count - 1) / 2);
    let moves: Vec<f64> = (-beside..=beside)
        .filter_map(|by| {
            let at = point as isize + by;
            let at = if closed { at.rem_euclid(count) } else { at };
            places.get(usize::try_from(at).ok()?).copied().flatten()
        })
        .map(|(moved, _)| moved)
        .collect();
    moves.iter().sum::<f64>().abs() / (moves.len() as f64).sqrt()
}

/// An outline that goes further from the picture, in its diagonals, belongs to no photo.
const FURTHEST: f64 = 10.0;
/// With less there is nothing to choose from, in pixels.
const LEAST_REACH: f64 = 2.0;
/// The logarithm of a likelihood that no evidence makes good.
const NEVER: f64 = -60.0;

/// The edge's place across the line at a station and its standard deviation, from the slope of
/// light at the stations about it; `None` where it is not clear.
pub(super) fn place(
    grey: &GreyView<'_>,
    base: &Base,
    found: &[Found],
    station: usize,
) -> Option<(f64, f64)> {
    let here = found[station];
    if here.sure < SURE || steepness(base, found, station) < CLEAR {
        return None;
    }
    let span = (ALONG / base.step).round().max(2.0) as isize;
    let (mut data, mut blur) = (Vec::new(), 0.0);
    for (by, there, station) in near(base, found, station, span) {
        let across = station.across.map(|c| c * here.rises);
        let reach = (1.5 * base.step).max(1.5);
        if let Some(rise) = rise(grey, station.place(there.off), across, reach) {
            let u = by / ALONG;
            data.push(([1.0, u, u * u], there.off + here.rises * rise.off));
            blur += rise.blur;
        }
    }
    let count = data.len() as f64;
    let line = fit(&data, LEAST_SCATTER)?;
    let kept = line.kept.iter().filter(|k| **k).count() as f64;
    // In the middle of a bent line the place has 9/4 of a mean's variance; neighbours see the
    // same pixels, so that two count as one.
    let variance = line.scatter.powi(2) * 9.0 / 4.0 * 2.0 / (kept * base.step).max(1.0);
    let blurred = BLURRED * blur / count;
    let sd = variance + blurred * blurred + SHADED * SHADED;
    Some((line.at([1.0, 0.0, 0.0]), sd.sqrt()))
}

/// How much steeper the edge is about a station than grain and noise would be, in standard
/// deviations.
fn steepness(base: &Base, found: &[Found], station: usize) -> f64 {
    let span = (SEEN_ALONG / base.step).round().max(2.0) as isize;
    let sum: f64 = near(base, found, station, span)
        .map(|(_, there, _)| there.steep)
        .sum();
    let count = (2 * span + 1) as f64;
    let alike = (SAME_GRAIN / base.step).max(1.0);
    sum / count * (count / alike).sqrt()
}

/// The stations to both sides through which the same edge runs on, each with its distance along.
fn near<'a>(
    base: &'a Base,
    found: &'a [Found],
    station: usize,
    span: isize,
) -> impl Iterator<Item = (f64, &'a Found, &'a Station)> {
    let here = found[station];
    (-span..=span).filter_map(move |by| {
        let i = base.index(station, by)?;
        let (there, along) = (&found[i], by as f64 * base.step);
        let same =
            there.rises == here.rises && (there.off - here.off).abs() <= along.abs() + base.step;
        same.then_some((along, there, &base.stations[i]))
    })
}

/// The direction along the strongest edge near a place: across the mean square slope
/// (W. Förstner and E. Gülch, 1987).
fn direction(grey: &GreyView<'_>, px: Px, reach: f64) -> Option<Px> {
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    let whole = reach.ceil() as i32;
    for (dy, dx) in (-whole..=whole).flat_map(|y| (-whole..=whole).map(move |x| (y, x))) {
        let at = |x: i32, y: i32| grey.at([px[0] + f64::from(x), px[1] + f64::from(y)]);
        let slopes = [
            at(dx - 2, dy).zip(at(dx + 2, dy)),
            at(dx, dy - 2).zip(at(dx, dy + 2)),
        ];
        let far = f64::from(dx).hypot(f64::from(dy)) / (2.0 * HAND * reach);
        let weight = (-0.5 * far * far).exp();
        if let [Some((left, right)), Some((up, low))] = slopes {
            let (x, y) = (right - left, low - up);
            xx += weight * x * x;
            xy += weight * x * y;
            yy += weight * y * y;
        }
    }
    let across = 0.5 * (2.0 * xy).atan2(xx - yy);
    (xx + yy > 0.0).then(|| [-across.sin(), across.cos()])
}
