//! Where dark and light meet crosswise, as at the inner corners of a grid of squares.

use crate::survey::{GreyView, Px};
use std::f64::consts::{PI, TAU};

/// A place where two edges cross and opposite sectors are alike.
#[derive(Clone, Copy, Debug)]
pub(super) struct Saddle {
    pub(super) px: Px,
    /// The directions of both edges, from 0 to π (x right, y down). Going round from the first
    /// edge with growing angle it gets bright; from the second, dark.
    pub(super) edges: [f64; 2],
    /// Between dark and light, in steps of brightness.
    pub(super) contrast: f64,
}

/// Radius of the ring on which the four sectors are told, in pixels.
const RING: f64 = 4.5;
const SAMPLES: usize = 32;
/// Dark and light differ by more than this many steps of brightness.
const LEAST_CONTRAST: f64 = 14.0;
/// A straight edge looks straight through the corner within this, in radians.
const STRAIGHT: f64 = 0.45;
/// Edges seen at a smaller angle belong to no grid that can be measured on, in radians.
const LEAST_ANGLE: f64 = 0.35;
/// More candidates than this are texture: the strongest count.
const MOST_CANDIDATES: usize = 4000;
/// Half the side of the square in which a candidate's response is the largest, in pixels.
const ALONE: usize = 2;
/// A response as weak as this share of what the least contrast gives is noise.
const FAINT: f32 = 0.06;

/// All of them in a picture, the strongest first.
///
/// The response is minus the determinant of the second derivatives (P. Beaudet, IJCPR 1978):
/// largest where the picture bends up one way and down across it. What responds must then show
/// four sectors on a ring about it.
pub(super) fn saddles(grey: &GreyView<'_>) -> Vec<Saddle> {
    let (width, height) = (grey.width as usize, grey.height as usize);
    if width < 16 || height < 16 || grey.data.len() < width * height {
        return Vec::new();
    }
    let smooth = smoothed(grey);
    let response = responses(&smooth, width, height);
    let least = (LEAST_CONTRAST * 256.0) as f32;
    let least = FAINT * least * least;
    let mut peaks: Vec<(f32, usize, usize)> = Vec::new();
    for y in EDGE..height - EDGE {
        for x in EDGE..width - EDGE {
            let here = response[y * width + x];
            if here > least && is_peak(&response, width, [x, y]) {
                peaks.push((here, x, y));
            }
        }
    }
    peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
    peaks.truncate(MOST_CANDIDATES);
    let smooth_view = Smooth {
        width,
        height,
        data: &smooth,
    };
    let mut found: Vec<Saddle> = peaks
        .into_iter()
        .filter_map(|(_, x, y)| {
            let px = top(&response, width, [x, y]);
            smooth_view.saddle(px)
        })
        .collect();
    found.sort_by(|a, b| b.contrast.total_cmp(&a.contrast));
    found
}

/// So far from the picture's border nothing is looked for, in pixels.
const EDGE: usize = 6;

/// Brightness times 256, smoothed by a binomial of five.
fn smoothed(grey: &GreyView<'_>) -> Vec<u16> {
    let (width, height) = (grey.width as usize, grey.height as usize);
    let mut rows = vec![0_u16; width * height];
    for (from, to) in grey
        .data
        .chunks_exact(width)
        .zip(rows.chunks_exact_mut(width))
    {
        for (five, to) in from.windows(5).zip(&mut to[2..]) {
            let [a, b, c, d, e] = [0, 1, 2, 3, 4].map(|i| u16::from(five[i]));
            *to = a + e + 4 * (b + d) + 6 * c;
        }
    }
    let mut smooth = vec![0_u16; width * height];
    for y in 2..height - 2 {
        let row = |dy: usize| &rows[(y + dy - 2) * width..(y + dy - 1) * width];
        let [a, b, c, d, e] = [0, 1, 2, 3, 4].map(row);
        for (x, to) in smooth[y * width..(y + 1) * width].iter_mut().enumerate() {
            *to = a[x] + e[x] + 4 * (b[x] + d[x]) + 6 * c[x];
        }
    }
    smooth
}

/// Minus the determinant of the second derivatives at each pixel.
fn responses(smooth: &[u16], width: usize, height: usize) -> Vec<f32> {
    let mut response = vec![0.0_f32; width * height];
    for y in 4..height - 4 {
        let row = |dy: usize| &smooth[(y + dy - 2) * width..(y + dy - 1) * width];
        let (up, here, low) = (row(0), row(2), row(4));
        let to = &mut response[y * width..(y + 1) * width];
        for (x, to) in to.iter_mut().enumerate().take(width - 4).skip(4) {
            let at = |r: &[u16], x: usize| f32::from(r[x]);
            let middle = 2.0 * at(here, x);
            let xx = at(here, x - 2) + at(here, x + 2) - middle;
            let yy = at(up, x) + at(low, x) - middle;
            let xy = (at(up, x - 2) + at(low, x + 2) - at(up, x + 2) - at(low, x - 2)) / 4.0;
            *to = xy * xy - xx * yy;
        }
    }
    response
}

fn is_peak(response: &[f32], width: usize, [x, y]: [usize; 2]) -> bool {
    let here = response[y * width + x];
    (y - ALONE..=y + ALONE).all(|row| {
        (x - ALONE..=x + ALONE).all(|column| {
            let there = response[row * width + column];
            // Of two that are equal the first is the peak.
            there < here || (there == here && (row, column) >= (y, x))
        })
    })
}

/// The top of the response to a part of a pixel, by a parabola each way.
fn top(response: &[f32], width: usize, [x, y]: [usize; 2]) -> Px {
    let part = |low: f32, here: f32, high: f32| {
        let bend = low + high - 2.0 * here;
        if bend < 0.0 {
            f64::from((low - high) / (2.0 * bend)).clamp(-0.5, 0.5)
        } else {
            0.0
        }
    };
    let i = y * width + x;
    let here = response[i];
    [
        x as f64 + part(response[i - 1], here, response[i + 1]),
        y as f64 + part(response[i - width], here, response[i + width]),
    ]
}

struct Smooth<'a> {
    width: usize,
    height: usize,
    data: &'a [u16],
}

impl Smooth<'_> {
    fn at(&self, px: Px) -> f64 {
        let x = px[0].clamp(0.0, (self.width - 2) as f64);
        let y = px[1].clamp(0.0, (self.height - 2) as f64);
        let (c, r) = (x as usize, y as usize);
        let (fx, fy) = (x - c as f64, y - r as f64);
        let at = |i: usize| f64::from(self.data[i]);
        let i = r * self.width + c;
        let high = at(i) * (1.0 - fx) + at(i + 1) * fx;
        let low = at(i + self.width) * (1.0 - fx) + at(i + self.width + 1) * fx;
        (high * (1.0 - fy) + low * fy) / 256.0
    }

    /// The four sectors about a place, if it has them.
    fn saddle(&self, px: Px) -> Option<Saddle> {
        sectors(px, |at| self.at(at))
    }
}

/// The four sectors about a place between pixels, if it has them.
pub(super) fn sectors_at(grey: &GreyView<'_>, px: Px) -> Option<Saddle> {
    let far = RING + 1.0;
    let inside = |at: f64, side: u32| at >= far && at <= f64::from(side) - 1.0 - far;
    let whole = inside(px[0], grey.width) && inside(px[1], grey.height);
    whole
        .then(|| sectors(px, |at| grey.at(at).unwrap_or_default()))
        .flatten()
}

/// The four sectors on the ring about a place, if there are four, opposite ones of them alike.
fn sectors(px: Px, light: impl Fn(Px) -> f64) -> Option<Saddle> {
    let ring: [f64; SAMPLES] = std::array::from_fn(|i| {
        let (s, c) = (TAU * i as f64 / SAMPLES as f64).sin_cos();
        light([px[0] + RING * c, px[1] + RING * s])
    });
    let darkest = ring.iter().copied().fold(f64::INFINITY, f64::min);
    let brightest = ring.iter().copied().fold(0.0, f64::max);
    let contrast = brightest - darkest;
    if contrast < LEAST_CONTRAST {
        return None;
    }
    let middle = (darkest + brightest) / 2.0;
    let mut turns = ring.iter().enumerate().filter_map(|(i, a)| {
        let b = ring[(i + 1) % SAMPLES];
        let (a, b) = (a - middle, b - middle);
        ((a < 0.0) != (b < 0.0)).then(|| {
            let angle = TAU * (i as f64 + a / (a - b)) / SAMPLES as f64;
            (angle, b > a)
        })
    });
    let four = [turns.next()?, turns.next()?, turns.next()?, turns.next()?];
    if turns.next().is_some() {
        return None;
    }
    // Each edge is seen on both sides of the corner.
    let through = |a: f64, b: f64| {
        let bent = b - a - PI;
        (bent.abs() <= STRAIGHT).then_some((a + bent / 2.0).rem_euclid(PI))
    };
    let (first, second) = (
        through(four[0].0, four[2].0)?,
        through(four[1].0, four[3].0)?,
    );
    (apart(first, second) >= LEAST_ANGLE).then(|| Saddle {
        px,
        edges: if four[0].1 {
            [first, second]
        } else {
            [second, first]
        },
        contrast,
    })
}

/// The angle between two undirected lines, from 0 to π/2.
pub(super) fn apart(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(PI);
    turn.min(PI - turn)
}

const ROUNDS: usize = 30;
/// A round that moves the corner by less, in pixels, is the last.
const SETTLED: f64 = 1e-3;

/// The corner near a place to a small part of a pixel: the point nearest to all edges in a round
/// window, each pixel's edge weighed by its steepness (W. Förstner and E. Gülch, ISPRS
/// Intercommission Workshop, 1987). `None` where it runs away.
pub(super) fn refined(grey: &GreyView<'_>, start: Px, window: f64) -> Option<Px> {
    let mut px = start;
    for _ in 0..ROUNDS {
        let next = nearest_to_edges(grey, px, window)?;
        let far = (next[0] - start[0]).hypot(next[1] - start[1]);
        if far > window {
            return None;
        }
        let moved = (next[0] - px[0]).hypot(next[1] - px[1]);
        px = next;
        if moved < SETTLED {
            break;
        }
    }
    Some(px)
}

fn nearest_to_edges(grey: &GreyView<'_>, px: Px, window: f64) -> Option<Px> {
    let span = |at: f64, side: u32| {
        let (low, high) = ((at - window).ceil(), (at + window).floor());
        // The window must lie in the picture, with a pixel about it for the slopes.
        (low >= 1.0 && high <= f64::from(side) - 2.0).then_some(low as usize..=high as usize)
    };
    let (columns, rows) = (span(px[0], grey.width)?, span(px[1], grey.height)?);
    let width = grey.width as usize;
    let fall = 2.0 / (window * window);
    let (mut xx, mut xy, mut yy, mut x, mut y) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for row in rows {
        let dy = row as f64 - px[1];
        for column in columns.clone() {
            let dx = column as f64 - px[0];
            let r2 = dx * dx + dy * dy;
            if r2 > window * window {
                continue;
            }
            let i = row * width + column;
            let at = |i: usize| grey.data.get(i).copied().map(f64::from);
            let gx = at(i + 1)? - at(i - 1)?;
            let gy = at(i + width)? - at(i - width)?;
            let weight = (-fall * r2).exp();
            let (wx, wy) = (weight * gx, weight * gy);
            xx += wx * gx;
            xy += wx * gy;
            yy += wy * gy;
            let along = gx * dx + gy * dy;
            x += wx * along;
            y += wy * along;
        }
    }
    let det = xx * yy - xy * xy;
    // Edges of one direction only leave the corner free along them.
    (det > 1e-3 * (xx + yy) * (xx + yy)).then(|| {
        [
            px[0] + (yy * x - xy * y) / det,
            px[1] + (xx * y - xy * x) / det,
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Squares of `side` pixels turned by `turn`, with a corner at `at`, softened over a pixel.
    fn squares(at: Px, side: f64, turn: f64) -> Vec<u8> {
        let (s, c) = turn.sin_cos();
        let light = |x: f64, y: f64| {
            let (dx, dy) = (x - at[0], y - at[1]);
            let wave = |t: f64| (PI * t / side).sin() * side / PI;
            let soft = |t: f64| wave(t).tanh();
            128.0 + 100.0 * soft(c * dx + s * dy) * soft(c * dy - s * dx)
        };
        (0..80 * 60)
            .map(|i| light(f64::from(i % 80), f64::from(i / 80)).round() as u8)
            .collect()
    }

    #[test]
    fn corners_of_squares_are_found_with_their_edges() {
        for turn in [0.0, 0.3, 0.785] {
            let at = [40.3, 29.6];
            let data = squares(at, 14.0, turn);
            let grey = GreyView {
                width: 80,
                height: 60,
                data: &data,
            };
            let found = saddles(&grey);
            let near = found
                .iter()
                .find(|s| (s.px[0] - at[0]).hypot(s.px[1] - at[1]) < 1.0)
                .expect("the middle one");
            assert!(apart(near.edges[0], turn) < 0.05, "{near:?}");
            assert!(apart(near.edges[1], turn + PI / 2.0) < 0.05, "{near:?}");
            let exact = refined(&grey, near.px, 5.0).unwrap();
            let off = (exact[0] - at[0]).hypot(exact[1] - at[1]);
            assert!(off < 0.02, "{off}");
        }
    }

    #[test]
    fn a_plain_edge_and_a_flat_picture_have_none() {
        let edge: Vec<u8> = (0..80 * 60)
            .map(|i| if i % 80 < 40 { 20 } else { 230 })
            .collect();
        for data in [edge, vec![90; 80 * 60]] {
            let grey = GreyView {
                width: 80,
                height: 60,
                data: &data,
            };
            assert!(saddles(&grey).is_empty());
            assert_eq!(refined(&grey, [40.0, 30.0], 5.0), None);
        }
    }
}
