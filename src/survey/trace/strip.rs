//! The strip of the picture about a line, laid straight, and the edge that runs along it.
//!
//! The edge is a path through the strip, one offset a station, as in D. Geiger, A. Gupta,
//! L. Costa and J. Vlontzos, "Dynamic programming for detecting, tracking, and matching deformable
//! contours", IEEE PAMI 17, 1995 (after A. Amini, T. Weymouth and R. Jain, PAMI 12, 1990). Here
//! all paths are summed up, each by its likelihood (a hidden Markov chain, forwards and
//! backwards: L. Rabiner, Proc. IEEE 77, 1989), so that it is known how sure the edge is at each
//! station.

use super::base::Base;
use crate::survey::GreyView;
use crate::survey::rank::nth;

/// The logarithm of the odds that a pixel's length of clear edge gives to a path along it.
const EDGE: f32 = 1.0;
/// Chances that the edge goes straight on, and that it bends by one cell to each side.
const BENDS: [f32; 3] = [0.25, 0.5, 0.25];
/// Chance that it breaks off within a pixel and goes on anywhere.
const BREAK: f64 = 0.01;
/// A slope so many times as steep as those of grain and noise is surely one of an edge.
const CLEAR: f32 = 2.5;
/// No picture has less grain and noise than this, in brightness a pixel (of 255).
const FAINTEST: f32 = 0.25;
/// So much of the picture to both sides tells an edge from grain, in pixels.
pub(super) const BESIDE: f64 = 12.0;
/// No more than one edge lies within this distance, in pixels.
const ALONE: f64 = 2.5;

/// How clear an edge is at each place of the strip: cells by station, the offset from -half to
/// half, first for light that rises across the line, then for light that falls.
pub(super) struct Strip {
    half: usize,
    step: f64,
    clear: [Vec<f32>; 2],
    /// How steeply the light rises across the line, in standard deviations of grain and noise.
    slopes: Vec<f32>,
}

/// Where the edge is at a station.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    /// How far across the line, in pixels.
    pub off: f64,
    /// 1 where the light rises across the line, -1 where it falls.
    pub rises: f64,
    /// The chance that it is there and no further than 2 pixels off.
    pub sure: f64,
    /// How steep it is there, in standard deviations of grain and noise.
    pub steep: f64,
}

impl Strip {
    /// The strip so many pixels to both sides of a line.
    pub fn about(grey: &GreyView<'_>, base: &Base, reach: f64) -> Self {
        let half = (reach / base.step).ceil().max(1.0) as usize;
        let (wide, high) = (2 * half + 1, base.stations.len());
        // Brightness by the byte: grain and noise are then alike in light and shade.
        let margin = half as isize + 2;
        let lit: Vec<Vec<f32>> = base
            .stations
            .iter()
            .map(|station| {
                let at = |i: isize| grey.at(station.place(i as f64 * base.step));
                (-margin..=margin)
                    .map(|i| at(i).map_or(f32::NAN, |byte| byte as f32))
                    .collect()
            })
            .collect();
        // A derivative across, then blurred along; both by binomial weights.
        let across: Vec<Vec<f32>> = lit
            .iter()
            .map(|row| {
                row.windows(5)
                    .map(|w| (w[4] - w[0] + 2.0 * (w[3] - w[1])) / (8.0 * base.step as f32))
                    .collect()
            })
            .collect();
        let mut slopes = Vec::with_capacity(wide * high);
        for i in 0..high {
            let rows = [-2, -1, 0, 1, 2].map(|by| &across[base.index(i, by).unwrap_or(i)]);
            slopes.extend((0..wide).map(|j| {
                let [a, b, c, d, e] = rows.map(|row| row[j]);
                let slope = (a + e + 4.0 * (b + d) + 6.0 * c) / 16.0;
                if slope.is_nan() { 0.0 } else { slope }
            }));
        }
        let grain = grain(&slopes).max(FAINTEST);
        slopes.iter_mut().for_each(|slope| *slope /= grain);
        let alone = (ALONE / base.step).round().max(1.0) as usize;
        let clear = [1.0, -1.0].map(|sign| {
            let mut clear = Vec::with_capacity(slopes.len());
            for row in slopes.chunks_exact(wide) {
                clear.extend((0..wide).map(|j| {
                    let here = sign * row[j];
                    if here <= 0.0 {
                        return 0.0;
                    }
                    let near = &row[j.saturating_sub(alone)..(j + alone + 1).min(wide)];
                    let most = near.iter().map(|s| sign * s).fold(here, f32::max);
                    let steep = here / CLEAR;
                    (1.0 - (-0.5 * steep * steep).exp()) * (here / most).powi(2)
                }));
            }
            clear
        });
        Self {
            half,
            step: base.step,
            clear,
            slopes,
        }
    }

    fn wide(&self) -> usize {
        2 * self.half + 1
    }

    /// The edge at each station. `before` is the logarithm of how likely it was held there,
    /// station and offset in pixels being given, before the picture was looked at.
    pub fn follow(&self, base: &Base, before: impl Fn(usize, f64) -> f64) -> Vec<Found> {
        let (wide, high) = (self.wide(), base.stations.len());
        let off = |j: usize| (j as f64 - self.half as f64) * self.step;
        let weight = EDGE * self.step as f32;
        // Both signs of the light side by side.
        let mut likely = Vec::with_capacity(2 * wide * high);
        for i in 0..high {
            let held: Vec<f32> = (0..wide).map(|j| before(i, off(j)) as f32).collect();
            for clear in &self.clear {
                let row = &clear[i * wide..(i + 1) * wide];
                likely.extend(row.iter().zip(&held).map(|(c, h)| (weight * c + h).exp()));
            }
        }
        let breaks = (BREAK * self.step).min(0.5) as f32;
        let forwards = passed(&likely, wide, breaks, base.closed, false);
        let backwards = passed(&likely, wide, breaks, base.closed, true);
        let near = (2.0 / self.step).ceil() as usize;
        (0..high)
            .map(|i| {
                let row = 2 * wide * i..2 * wide * (i + 1);
                let both: Vec<f32> = row
                    .map(|k| forwards[k] * backwards[k] * likely[k])
                    .collect();
                let sum: f32 = both.iter().sum();
                let most = (0..2 * wide)
                    .max_by(|a, b| both[*a].total_cmp(&both[*b]))
                    .unwrap_or(0);
                let (sign, j) = (most / wide, most % wide);
                let around = j.saturating_sub(near)..(j + near + 1).min(wide);
                let here: f32 = both[sign * wide..][around].iter().sum();
                let rises = if sign == 0 { 1.0 } else { -1.0 };
                Found {
                    off: off(j),
                    rises,
                    sure: if sum > 0.0 {
                        f64::from(here / sum)
                    } else {
                        0.0
                    },
                    steep: rises * f64::from(self.slopes[i * wide + j]),
                }
            })
            .collect()
    }
}

/// How steep the slopes of grain and noise are: their standard deviation, from the gentlest third,
/// which holds no edges.
fn grain(slopes: &[f32]) -> f32 {
    let mut sizes: Vec<f32> = slopes.iter().map(|s| s.abs()).collect();
    let third = sizes.len() * 3 / 10;
    let size = nth(&mut sizes, third, f32::total_cmp);
    // A normal error is smaller than 0.385 standard deviations in 3 of 10 cases.
    size / 0.385
}

/// What comes from the stations before each (or after it), the station itself left out, each row
/// making up 1. A ring is gone round twice, so that its start is no start.
fn passed(likely: &[f32], wide: usize, breaks: f32, closed: bool, back: bool) -> Vec<f32> {
    let row = 2 * wide;
    let high = likely.len() / row;
    let mut passed = vec![0.0; likely.len()];
    let mut message = vec![1.0 / row as f32; row];
    let mut here = vec![0.0; row];
    for turn in 0..(if closed { 2 * high } else { high }) {
        let i = if back {
            high - 1 - turn % high
        } else {
            turn % high
        };
        passed[i * row..(i + 1) * row].copy_from_slice(&message);
        let mut sum = 0.0;
        for ((here, message), likely) in here.iter_mut().zip(&message).zip(&likely[i * row..]) {
            *here = message * likely;
            sum += *here;
        }
        let scale = if sum > 0.0 { (1.0 - breaks) / sum } else { 0.0 };
        let anew = (1.0 - scale * sum) / row as f32;
        for (to, from) in message.chunks_exact_mut(wide).zip(here.chunks_exact(wide)) {
            for j in 0..wide {
                let left = if j > 0 { from[j - 1] } else { 0.0 };
                let right = if j + 1 < wide { from[j + 1] } else { 0.0 };
                let [a, b, c] = BENDS;
                to[j] = anew + scale * (a * left + b * from[j] + c * right);
            }
        }
    }
    passed
}
