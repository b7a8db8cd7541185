//! Counting strokes: the one-dimensional projective comb that they are the teeth of.

use super::robust::fit;

/// A stroke with its number, counted from an unknown start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tooth {
    /// Its number; it grows along the edge.
    pub number: i64,
    /// Its place along the edge, in pixels.
    pub s: f64,
}

/// Strokes that were counted.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Comb {
    /// By their numbers, upwards; none twice.
    pub teeth: Vec<Tooth>,
    /// Standard deviation of their places about the comb, in pixels.
    pub scatter: f64,
    /// The comb as the map from places to numbers.
    map: [f64; 4],
    range: [f64; 2],
}

/// So many strokes in a row that stand evenly begin the count.
const SEED: usize = 9;

/// Their distances differ by no more than this share of one.
const EVEN: f64 = 0.13;

/// The next stroke is looked for within this share of a tick about where it should be.
const NEAR: f64 = 0.27;

/// The strokes before the next one that say where it should be.
const MEMORY: usize = 24;

/// So many strokes in a row may be hidden by glare or wear.
const HIDDEN: usize = 12;

/// The share of a comb's teeth that must be seen.
const SEEN: f64 = 0.6;

/// A tooth is off its place in the comb by no more than this share of a tick.
const OFF: f64 = 0.2;

impl Comb {
    /// The comb of at least `least` teeth among strokes whose distance is within `apart`, in
    /// pixels.
    ///
    /// Teeth are counted outwards from the most even stretch; then the whole must be one comb: a
    /// place `s` along the edge reads `(a s + b + d s³) / (c s + 1)`, the projective map of a
    /// straight rule with a term for the lens.
    pub fn of(places: &[f64], apart: [f64; 2], least: usize) -> Option<Self> {
        let mut seeds: Vec<(f64, usize)> = (0..places.len().saturating_sub(SEED - 1))
            .filter_map(|i| Some((unevenness(&places[i..i + SEED], apart)?, i)))
            .filter(|(uneven, _)| *uneven < EVEN)
            .collect();
        seeds.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut tried: Vec<usize> = Vec::new();
        for (_, seed) in seeds {
            if tried.iter().any(|t| t.abs_diff(seed) < SEED) {
                continue;
            }
            if tried.len() == 3 {
                break;
            }
            tried.push(seed);
            if let Some(comb) = Self::whole(counted(places, seed), least) {
                return Some(comb);
            }
        }
        None
    }

    fn whole(teeth: Vec<Tooth>, least: usize) -> Option<Self> {
        let range = [teeth.first()?.s, teeth.last()?.s];
        let data: Vec<([f64; 4], f64)> = teeth
            .iter()
            .map(|t| {
                let (u, n) = (within(t.s, range), t.number as f64);
                ([1.0, u, u * u * u, -n * u], n)
            })
            .collect();
        let found = fit(&data, 0.01)?;
        let mut comb = Self {
            teeth: Vec::new(),
            scatter: 0.0,
            map: found.x.into(),
            range,
        };
        comb.teeth = teeth
            .iter()
            .filter(|t| (comb.number(t.s) - t.number as f64).abs() < OFF)
            .copied()
            .collect();
        let (first, last) = (comb.teeth.first()?.number, comb.teeth.last()?.number);
        let seen = comb.teeth.len() as f64 / (last - first + 1) as f64;
        let square: f64 = comb
            .teeth
            .iter()
            .map(|t| ((comb.number(t.s) - t.number as f64) * comb.apart(t.s)).powi(2))
            .sum();
        comb.scatter = (square / comb.teeth.len() as f64).sqrt();
        let strays = teeth.len() - comb.teeth.len();
        (comb.teeth.len() >= least && seen >= SEEN && strays * 8 <= teeth.len()).then_some(comb)
    }

    /// What number a place along the edge reads, teeth being whole numbers.
    pub fn number(&self, s: f64) -> f64 {
        let u = within(s, self.range);
        let [b, a, d, c] = self.map;
        (b + a * u + d * u * u * u) / (1.0 + c * u)
    }

    /// Pixels from one tooth to the next at a place.
    pub fn apart(&self, s: f64) -> f64 {
        2.0 / (self.number(s + 1.0) - self.number(s - 1.0))
    }
}

fn within(s: f64, range: [f64; 2]) -> f64 {
    2.0 * (s - range[0]) / (range[1] - range[0]) - 1.0
}

fn unevenness(places: &[f64], apart: [f64; 2]) -> Option<f64> {
    let n = (places.len() - 1) as f64;
    let mean = (places[places.len() - 1] - places[0]) / n;
    if !(apart[0]..=apart[1]).contains(&mean) {
        return None;
    }
    let square: f64 = places
        .windows(2)
        .map(|w| (w[1] - w[0] - mean).powi(2))
        .sum();
    Some((square / n).sqrt() / mean)
}

/// Counts outwards from a stretch of even strokes.
fn counted(places: &[f64], seed: usize) -> Vec<Tooth> {
    let mut teeth: Vec<Tooth> = (0..SEED)
        .map(|i| Tooth {
            number: i as i64,
            s: places[seed + i],
        })
        .collect();
    grow(&mut teeth, places, 1);
    teeth.reverse();
    grow(&mut teeth, places, -1);
    teeth.reverse();
    teeth
}

/// Adds the teeth that follow the last one.
fn grow(teeth: &mut Vec<Tooth>, places: &[f64], step: i64) {
    let mut hidden = 0;
    let mut number = teeth[teeth.len() - 1].number;
    while hidden <= HIDDEN {
        number += step;
        let Some((s, apart)) = ahead(teeth, number) else {
            return;
        };
        let next = places.partition_point(|p| *p < s);
        let nearest = places[next.saturating_sub(1)..(next + 1).min(places.len())]
            .iter()
            .copied()
            .min_by(|a, b| (a - s).abs().total_cmp(&(b - s).abs()));
        match nearest {
            Some(found) if (found - s).abs() < NEAR * apart => {
                teeth.push(Tooth { number, s: found });
                hidden = 0;
            }
            _ => hidden += 1,
        }
    }
}

/// Where the teeth before it say a tooth should be, and the pixels from tooth to tooth there.
fn ahead(teeth: &[Tooth], number: i64) -> Option<(f64, f64)> {
    let last = &teeth[teeth.len().saturating_sub(MEMORY)..];
    let from = last[last.len() - 1].number;
    let data: Vec<([f64; 3], f64)> = last
        .iter()
        .map(|t| {
            let n = (t.number - from) as f64 / MEMORY as f64;
            ([1.0, n, n * n], t.s)
        })
        .collect();
    let curve = fit(&data, 0.05)?;
    let at = |n: i64| {
        let n = (n - from) as f64 / MEMORY as f64;
        curve.at([1.0, n, n * n])
    };
    let apart = (at(number) - at(number - 1)).abs();
    (apart > 0.0).then(|| (at(number), apart))
}
