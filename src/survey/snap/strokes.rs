//! The ticks of a rule as strokes in a profile along its edge, not yet counted.

use super::edge::Edge;
use super::robust::fit;
use crate::survey::GreyView;
use crate::survey::rank::nth;

/// One side of an edge, where ticks may stand.
pub(super) struct Strokes<'a> {
    grey: GreyView<'a>,
    edge: &'a Edge,
    /// 1 or -1: on which side of the edge the ticks stand.
    side: f64,
    /// Pixels along the edge for each pixel of depth, at its two ends: the ticks' slant.
    slant: [f64; 2],
    /// Pixels a millimetre, on average.
    scale: f64,
    /// 1 where ticks are darker than the rule, -1 where they are brighter.
    sign: f64,
    /// Where strokes are, in pixels along the edge.
    pub places: Vec<f64>,
}

/// From one sample of the profile to the next, in pixels.
const STEP: f64 = 0.5;

/// The depths beside the edge where all ticks are, also the shortest, in millimetres.
const BAND_MM: [f64; 2] = [0.6, 2.2];

/// The slants that are tried first: ticks seen at 40 degrees through a wide lens stay within.
const SLANTS: [f64; 13] = [
    -0.6, -0.5, -0.4, -0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6,
];

/// A stroke is at least this share of the usual one's strength.
const FAINTEST: f64 = 0.2;

impl<'a> Strokes<'a> {
    /// The strokes on one side of an edge, `scale` pixels to a millimetre.
    pub fn along(grey: &GreyView<'a>, edge: &'a Edge, side: f64, scale: f64) -> Self {
        let mut strokes = Self {
            grey: *grey,
            edge,
            side,
            slant: [0.0; 2],
            scale,
            sign: 1.0,
            places: Vec::new(),
        };
        // Each half of the rule has the slant that makes its ticks sharpest.
        let halves = [[0.0, 0.5], [0.5, 1.0]].map(|part| strokes.sharpest(part));
        // From the middles of the halves to the rule's ends.
        let change = (halves[1] - halves[0]) / 2.0;
        strokes.slant = [halves[0] - change, halves[1] + change];
        let skew: f64 = strokes.whole(BAND_MM).iter().map(|x| x.powi(3)).sum();
        if skew < 0.0 {
            strokes.sign = -1.0;
        }
        strokes.straighten();
        strokes.places = strokes.peaks(BAND_MM);
        strokes
    }

    /// Betters the slant: with the right one ticks stand at the same places in the upper and in
    /// the lower part of the band. Lines to a vanishing point change their slant evenly along
    /// the edge.
    fn straighten(&mut self) {
        let [top, low] = BAND_MM;
        let middle = (top + low) / 2.0;
        for _ in 0..2 {
            let [upper, lower] = [[top, middle], [middle, low]].map(|band| self.peaks(band));
            let pairs: Vec<([f64; 2], f64)> = upper
                .iter()
                .filter_map(|s| {
                    let next = lower.partition_point(|p| p < s);
                    let off = lower[next.saturating_sub(1)..(next + 1).min(lower.len())]
                        .iter()
                        .map(|p| p - s)
                        .min_by(|a, b| a.abs().total_cmp(&b.abs()))?;
                    let share = s / self.edge.length;
                    (off.abs() < 0.3 * self.scale).then_some(([1.0 - share, share], off))
                })
                .collect();
            if let Some(found) = fit(&pairs, 0.02) {
                let apart = (low - top) / 2.0 * self.scale;
                self.slant = [0, 1].map(|end| self.slant[end] + found.x[end] / apart);
            }
        }
    }

    /// Where strokes are in a band of depths in millimetres, in pixels along the edge.
    fn peaks(&self, band: [f64; 2]) -> Vec<f64> {
        let mut profile = self.whole(band);
        profile.iter_mut().for_each(|x| *x *= self.sign);
        peaks(&profile)
            .into_iter()
            .map(|at| at * STEP - self.margin())
            .collect()
    }

    /// Marks may lie so far inside the stretch that is read, in pixels.
    fn margin(&self) -> f64 {
        3.0 * self.scale
    }

    /// The profile from mark to mark and a little beyond.
    fn whole(&self, band: [f64; 2]) -> Vec<f64> {
        let margin = self.margin();
        self.profile([-margin, self.edge.length + margin], band, |s| {
            self.slant_at(s)
        })
    }

    fn slant_at(&self, s: f64) -> f64 {
        let share = s / self.edge.length;
        self.slant[0] * (1.0 - share) + self.slant[1] * share
    }

    fn sharpest(&self, part: [f64; 2]) -> f64 {
        let range = part.map(|share| share * self.edge.length);
        let energy = |slant: f64| -> f64 {
            let profile = self.profile(range, BAND_MM, |_| slant);
            profile.iter().map(|x| x * x).sum()
        };
        SLANTS
            .map(|slant| (energy(slant), slant))
            .into_iter()
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |best| best.1)
    }

    /// Brightness at a place along the edge and a depth beside it; the border's outside it.
    fn brightness(&self, s: f64, depth: f64) -> f64 {
        let px = self.edge.place(s, self.side * depth);
        let inside = |at: f64, side: u32| at.clamp(0.0, f64::from(side) - 1.0);
        let px = [
            inside(px[0], self.grey.width),
            inside(px[1], self.grey.height),
        ];
        self.grey.at(px).unwrap_or(0.0)
    }

    /// How much darker than its surroundings of three millimetres each place of the range is, in
    /// a band of depths in millimetres.
    fn profile(&self, range: [f64; 2], band: [f64; 2], slant: impl Fn(f64) -> f64) -> Vec<f64> {
        let [from, to] = band.map(|mm| mm * self.scale);
        let rows = ((to - from).ceil() as usize).max(2);
        let count = ((range[1] - range[0]) / STEP).ceil() as usize + 1;
        let raw: Vec<f64> = (0..count)
            .map(|i| {
                let s = range[0] + i as f64 * STEP;
                let slant = slant(s);
                (0..rows)
                    .map(|row| {
                        let depth = from + (to - from) * row as f64 / (rows - 1) as f64;
                        self.brightness(s + slant * depth, depth)
                    })
                    .sum::<f64>()
                    / rows as f64
            })
            .collect();
        let reach = (1.5 * self.scale / STEP).ceil() as usize;
        let mut sums = vec![0.0];
        for x in &raw {
            sums.push(sums[sums.len() - 1] + x);
        }
        let flat: Vec<f64> = (0..count)
            .map(|i| {
                let (low, high) = (i.saturating_sub(reach), (i + reach + 1).min(count));
                (sums[high] - sums[low]) / (high - low) as f64 - raw[i]
            })
            .collect();
        // A little smoother, against noise: about half a pixel.
        (0..count)
            .map(|i| {
                let (low, high) = (i.saturating_sub(1), (i + 1).min(count - 1));
                (flat[low] + 2.0 * flat[i] + flat[high]) / 4.0
            })
            .collect()
    }

    /// How long the tick at a place is, in millimetres, nearly: the depth to which it is darker
    /// than what lies half a tick, `half` pixels, beside it.
    pub fn length(&self, s: f64, half: f64) -> f64 {
        let step = 0.25;
        let slant = self.slant_at(s);
        let contrast = |mm: f64| {
            let depth = mm * self.scale;
            let at = |off: f64| self.brightness(s + off + slant * depth, depth);
            self.sign * ((at(-half) + at(half)) / 2.0 - at(0.0))
        };
        let shallow: f64 = (0..6)
            .map(|i| contrast(0.6 + 0.25 * f64::from(i)))
            .sum::<f64>()
            / 6.0;
        if shallow <= 0.0 {
            return 0.0;
        }
        (0..32)
            .map(|i| (contrast(0.6 + step * f64::from(i)) / shallow).clamp(0.0, 1.0) * step)
            .sum()
    }
}

/// Where a profile is highest about each stroke, in samples, to a part of one.
fn peaks(profile: &[f64]) -> Vec<f64> {
    let all: Vec<(f64, f64)> = profile
        .windows(3)
        .enumerate()
        .filter(|(_, w)| w[1] > w[0] && w[1] >= w[2] && w[1] > 0.0)
        .map(|(i, w)| {
            let bend = w[0] - 2.0 * w[1] + w[2];
            (i as f64 + 1.0 + 0.5 * (w[0] - w[2]) / bend, w[1])
        })
        .collect();
    let mut heights: Vec<f64> = all.iter().map(|p| p.1).collect();
    if heights.is_empty() {
        return Vec::new();
    }
    let high = heights.len() * 3 / 4;
    let usual = nth(&mut heights, high, f64::total_cmp);
    let least = FAINTEST * usual;
    all.into_iter()
        .filter(|p| p.1 >= least)
        .map(|p| p.0)
        .collect()
}
