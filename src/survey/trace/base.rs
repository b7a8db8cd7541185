//! A line through the picture with stations at even distances, and the direction across it at
//! each.

use crate::survey::Px;

/// One place of the line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Station {
    pub at: Px,
    /// The direction along, a quarter turn from x to y.
    pub across: Px,
}

/// Stations along a line.
pub(super) struct Base {
    pub stations: Vec<Station>,
    /// From station to station, in pixels.
    pub step: f64,
    pub closed: bool,
    /// The station at which each of the points stands that the line goes through.
    pub feet: Vec<usize>,
}

impl Base {
    /// The line through points, its corners rounded by a Gauss curve of `smooth` pixels, an open
    /// one made longer by `longer` pixels at both ends; stations stand about `step` pixels apart.
    /// `None` when all points are at one place, as far as pixels tell.
    pub fn through(
        points: &[Px],
        closed: bool,
        step: f64,
        smooth: f64,
        longer: f64,
    ) -> Option<Self> {
        let mut corners = points.to_vec();
        if closed {
            corners.push(points[0]);
        } else {
            let ends = [(0, 1), (points.len() - 1, points.len().checked_sub(2)?)];
            let [first, last] = ends.map(|(end, next)| beyond(points[end], points[next], longer));
            corners.insert(0, first);
            corners.push(last);
        }
        let mut lengths = vec![0.0];
        for pair in corners.windows(2) {
            lengths.push(lengths[lengths.len() - 1] + distance(pair[0], pair[1]));
        }
        let whole = lengths[lengths.len() - 1];
        // The blur would reach over any number of stations of a line that is shorter.
        if whole < 1.0 {
            return None;
        }
        let gaps = (whole / step).ceil().max(8.0) as usize;
        let step = whole / gaps as f64;
        let count = if closed { gaps } else { gaps + 1 };
        let foot = |length: &f64| ((length / step).round() as usize).min(gaps) % count;
        let given = if closed { 0 } else { 1 };
        let feet = lengths[given..given + points.len()]
            .iter()
            .map(foot)
            .collect();
        let mut part = 0;
        let even: Vec<Px> = (0..count)
            .map(|i| {
                let s = i as f64 * step;
                while part + 2 < corners.len() && lengths[part + 1] < s {
                    part += 1;
                }
                let long = lengths[part + 1] - lengths[part];
                let t = if long > 0.0 {
                    ((s - lengths[part]) / long).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                let (a, b) = (corners[part], corners[part + 1]);
                [0, 1].map(|k| a[k] + t * (b[k] - a[k]))
            })
            .collect();
        let line = smoothed(&even, closed, smooth / step);
        let stations = (0..count)
            .map(|i| {
                let at = line[i];
                let ahead = sideways(&line, closed, i as isize + 1);
                let behind = sideways(&line, closed, i as isize - 1);
                let d = [ahead[0] - behind[0], ahead[1] - behind[1]];
                let long = d[0].hypot(d[1]).max(f64::MIN_POSITIVE);
                Station {
                    at,
                    across: [-d[1] / long, d[0] / long],
                }
            })
            .collect();
        Some(Self {
            stations,
            step,
            closed,
            feet,
        })
    }

    /// The station so many places on; `None` past the end of an open line.
    pub fn index(&self, from: usize, by: isize) -> Option<usize> {
        let (at, count) = (from as isize + by, self.stations.len() as isize);
        if self.closed {
            Some(at.rem_euclid(count) as usize)
        } else {
            (0..count).contains(&at).then_some(at as usize)
        }
    }
}

impl Station {
    /// The place so many pixels across.
    pub fn place(&self, off: f64) -> Px {
        [0, 1].map(|k| self.at[k] + off * self.across[k])
    }

    /// How far across a place lies.
    pub fn off(&self, px: Px) -> f64 {
        (px[0] - self.at[0]) * self.across[0] + (px[1] - self.at[1]) * self.across[1]
    }
}

pub(super) fn distance(a: Px, b: Px) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// A place so far beyond the end, as seen from the point before it.
fn beyond(end: Px, next: Px, far: f64) -> Px {
    let apart = distance(end, next).max(f64::MIN_POSITIVE);
    [0, 1].map(|k| end[k] + (end[k] - next[k]) / apart * far)
}

/// A point of the line; past the ends of an open one it goes on as its mirror image.
fn sideways(line: &[Px], closed: bool, i: isize) -> Px {
    let count = line.len() as isize;
    if closed {
        return line[i.rem_euclid(count) as usize];
    }
    let last = count - 1;
    let mirrored = |end: isize| {
        let other = line[(2 * end - i).clamp(0, last) as usize];
        let end = line[end as usize];
        [0, 1].map(|k| 2.0 * end[k] - other[k])
    };
    match i {
        _ if i < 0 => mirrored(0),
        _ if i > last => mirrored(last),
        _ => line[i as usize],
    }
}

/// The line blurred by a Gauss curve of so many stations.
fn smoothed(line: &[Px], closed: bool, sd: f64) -> Vec<Px> {
    let reach = (3.0 * sd).ceil() as isize;
    let weights: Vec<f64> = (-reach..=reach)
        .map(|i| (-0.5 * (i as f64 / sd.max(f64::MIN_POSITIVE)).powi(2)).exp())
        .collect();
    let sum: f64 = weights.iter().sum();
    (0..line.len() as isize)
        .map(|i| {
            let mut mean = [0.0; 2];
            for (by, weight) in (-reach..=reach).zip(&weights) {
                let px = sideways(line, closed, i + by);
                mean[0] += weight * px[0] / sum;
                mean[1] += weight * px[1] / sum;
            }
            mean
        })
        .collect()
}
