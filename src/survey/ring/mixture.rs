//! What the ornament and the wall look like: mixtures of bell curves over colour and texture.
//!
//! Method: as in C. Rother, V. Kolmogorov and A. Blake, "GrabCut: interactive foreground
//! extraction using iterated graph cuts", SIGGRAPH 2004, each sample belonging to one curve; here
//! with texture beside the colour, since plaster on plaster has one colour.

/// Numbers that describe a place: see `cells`.
pub(super) const CHANNELS: usize = 5;

/// What a place looks like.
pub(super) type Look = [f32; CHANNELS];

/// Curves in a mixture.
const CURVES: usize = 5;
/// Spread that is added to each channel, squared: finer differences say nothing.
const LEAST_VARIANCE: f32 = 1.0;
/// Rounds of sorting samples to the nearest curve before the first fit.
const SORTING_ROUNDS: usize = 4;

/// A bell curve, in the form in which it is evaluated.
#[derive(Clone)]
struct Curve {
    middle: Look,
    /// The inverse of the covariance's lower triangular root.
    whitening: [[f32; CHANNELS]; CHANNELS],
    /// Cost at the middle: minus the logarithm of weight and height.
    base: f32,
}

/// A mixture of bell curves.
#[derive(Clone)]
pub(super) struct Mixture {
    curves: Vec<Curve>,
}

impl Mixture {
    /// A first mixture from samples; there must be one or more.
    pub fn first(samples: &[Look]) -> Self {
        let mut middles = spread_out(samples);
        let mut member = vec![0; samples.len()];
        for _ in 0..SORTING_ROUNDS {
            for (to, sample) in member.iter_mut().zip(samples) {
                *to = nearest(&middles, sample).0;
            }
            for (k, middle) in middles.iter_mut().enumerate() {
                if let Some(mean) = mean(samples, &member, k) {
                    *middle = mean;
                }
            }
        }
        Self::fitted(samples, &member, middles.len())
    }

    /// The mixture fitted anew to samples, each of which goes to the curve it lies under now.
    pub fn again(&self, samples: &[Look]) -> Self {
        let member: Vec<usize> = samples.iter().map(|s| self.cheapest(s).0).collect();
        Self::fitted(samples, &member, self.curves.len())
    }

    /// How ill a place fits: minus the logarithm of the likelihood, up to a constant.
    pub fn cost(&self, look: &Look) -> f32 {
        self.cheapest(look).1
    }

    fn cheapest(&self, look: &Look) -> (usize, f32) {
        let mut best = (0, f32::INFINITY);
        for (k, curve) in self.curves.iter().enumerate() {
            let cost = curve.cost(look, best.1);
            if cost < best.1 {
                best = (k, cost);
            }
        }
        best
    }

    fn fitted(samples: &[Look], member: &[usize], curves: usize) -> Self {
        let curves = (0..curves)
            .filter_map(|k| Curve::fitted(samples, member, k))
            .collect();
        Self { curves }
    }
}

impl Curve {
    fn fitted(samples: &[Look], member: &[usize], k: usize) -> Option<Self> {
        let middle = mean(samples, member, k)?;
        let mut count = 0.0_f32;
        let mut covariance = [[0.0_f32; CHANNELS]; CHANNELS];
        for (sample, _) in samples.iter().zip(member).filter(|(_, m)| **m == k) {
            count += 1.0;
            let d: Look = std::array::from_fn(|i| sample[i] - middle[i]);
            for i in 0..CHANNELS {
                for j in 0..=i {
                    covariance[i][j] += d[i] * d[j];
                }
            }
        }
        for (i, row) in covariance.iter_mut().enumerate() {
            row.iter_mut().for_each(|c| *c /= count);
            row[i] += LEAST_VARIANCE;
        }
        let root = cholesky(&covariance);
        let height: f32 = (0..CHANNELS).map(|i| root[i][i].ln()).sum();
        Some(Self {
            middle,
            whitening: inverse(&root),
            base: height - (count / samples.len() as f32).ln(),
        })
    }

    /// The cost of a place; sums that pass `most` are not finished.
    fn cost(&self, look: &Look, most: f32) -> f32 {
        let mut cost = self.base;
        let mut d = [0.0; CHANNELS];
        for i in 0..CHANNELS {
            d[i] = look[i] - self.middle[i];
            let mut white = 0.0;
            for (w, d) in self.whitening[i][..=i].iter().zip(&d) {
                white += w * d;
            }
            cost += 0.5 * white * white;
            if cost > most {
                return cost;
            }
        }
        cost
    }
}

/// Samples that lie far apart: each the farthest from all before it.
fn spread_out(samples: &[Look]) -> Vec<Look> {
    let all = vec![0; samples.len()];
    let mut middles: Vec<Look> = mean(samples, &all, 0).into_iter().collect();
    while middles.len() < CURVES {
        let far = |s: &Look| nearest(&middles, s).1;
        let next = samples.iter().max_by(|a, b| far(a).total_cmp(&far(b)));
        match next {
            Some(next) => middles.push(*next),
            None => break,
        }
    }
    middles
}

fn nearest(middles: &[Look], sample: &Look) -> (usize, f32) {
    let mut best = (0, f32::INFINITY);
    for (k, middle) in middles.iter().enumerate() {
        let far: f32 = (0..CHANNELS).map(|i| (sample[i] - middle[i]).powi(2)).sum();
        if far < best.1 {
            best = (k, far);
        }
    }
    best
}

fn mean(samples: &[Look], member: &[usize], k: usize) -> Option<Look> {
    let mut sum = [0.0_f64; CHANNELS];
    let mut count = 0.0;
    for (sample, _) in samples.iter().zip(member).filter(|(_, m)| **m == k) {
        count += 1.0;
        for i in 0..CHANNELS {
            sum[i] += f64::from(sample[i]);
        }
    }
    (count > 0.0).then(|| sum.map(|s| (s / count) as f32))
}

/// The lower triangular root of a positive definite matrix, of which the lower half is read.
fn cholesky(a: &[[f32; CHANNELS]; CHANNELS]) -> [[f32; CHANNELS]; CHANNELS] {
    let mut root = [[0.0_f32; CHANNELS]; CHANNELS];
    for i in 0..CHANNELS {
        for j in 0..=i {
            let known: f32 = (0..j).map(|k| root[i][k] * root[j][k]).sum();
            root[i][j] = if i == j {
                (a[i][i] - known).max(LEAST_VARIANCE * 1e-3).sqrt()
            } else {
                (a[i][j] - known) / root[j][j]
            };
        }
    }
    root
}

/// The inverse of a lower triangular matrix.
fn inverse(root: &[[f32; CHANNELS]; CHANNELS]) -> [[f32; CHANNELS]; CHANNELS] {
    let mut inverse = [[0.0_f32; CHANNELS]; CHANNELS];
    for j in 0..CHANNELS {
        inverse[j][j] = 1.0 / root[j][j];
        for i in j + 1..CHANNELS {
            let known: f32 = (j..i).map(|k| root[i][k] * inverse[k][j]).sum();
            inverse[i][j] = -known / root[i][i];
        }
    }
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two clouds, the second turned in its first two channels.
    fn clouds() -> [Vec<Look>; 2] {
        [0.0_f32, 60.0].map(|middle| {
            (0..2000)
                .map(|i| {
                    let t = i as f32 * 2.399_963;
                    let r = (i as f32 / 2000.0).sqrt() * 8.0;
                    let (x, y) = (r * t.cos(), r * t.sin());
                    [middle + x + y, x - y, y * 0.2, 0.0, 0.0]
                })
                .collect()
        })
    }

    #[test]
    fn each_cloud_fits_its_own_mixture_better() {
        let [one, other] = clouds();
        let (a, b) = (Mixture::first(&one), Mixture::first(&other));
        assert!(one.iter().all(|look| a.cost(look) < b.cost(look)));
        assert!(other.iter().all(|look| b.cost(look) < a.cost(look)));
    }

    #[test]
    fn a_new_fit_never_costs_more() {
        let all = clouds().concat();
        let sum = |m: &Mixture| all.iter().map(|s| f64::from(m.cost(s))).sum::<f64>();
        let first = Mixture::first(&all);
        let again = first.again(&all);
        // The added spread keeps the fit from being the very best.
        assert!(
            sum(&again) <= sum(&first) * 1.001,
            "{} {}",
            sum(&again),
            sum(&first)
        );
    }

    #[test]
    fn one_look_alone_is_no_trouble() {
        let m = Mixture::first(&[[50.0, 1.0, 2.0, 3.0, 4.0]; 10]);
        assert!(m.cost(&[50.0, 1.0, 2.0, 3.0, 4.0]).is_finite());
        assert!(m.cost(&[90.0, 1.0, 2.0, 3.0, 4.0]) > 100.0);
    }

    #[test]
    fn the_inverse_undoes_the_root() {
        let a: [[f32; CHANNELS]; CHANNELS] = std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                if i == j {
                    5.0
                } else {
                    1.0 / (1 + i + j) as f32
                }
            })
        });
        let (root, inverse) = (cholesky(&a), inverse(&cholesky(&a)));
        for i in 0..CHANNELS {
            for j in 0..CHANNELS {
                let product: f32 = (0..CHANNELS).map(|k| root[i][k] * root[j][k]).sum();
                let one: f32 = (0..CHANNELS).map(|k| root[i][k] * inverse[k][j]).sum();
                assert!((product - a[i][j]).abs() < 1e-5);
                assert!((one - f32::from(u8::from(i == j))).abs() < 1e-5);
            }
        }
    }
}
