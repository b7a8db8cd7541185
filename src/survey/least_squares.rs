//! Levenberg–Marquardt for a handful of parameters (D. Marquardt, SIAM J. Appl. Math. 11(2),
//! 1963): damped by the diagonal of the normal matrix, so that parameters may have any unit.

use nalgebra::{DMatrix, DVector};

/// The normal equations at one state: half the gradient, JᵀJ, and the sum of squares.
#[derive(Clone, Debug)]
pub(crate) struct Normal {
    pub(crate) cost: f64,
    pub(crate) matrix: DMatrix<f64>,
    pub(crate) gradient: DVector<f64>,
}

impl Normal {
    /// Of so many numbers, before any residual.
    pub(crate) fn zero(numbers: usize) -> Self {
        Self {
            cost: 0.0,
            matrix: DMatrix::zeros(numbers, numbers),
            gradient: DVector::zeros(numbers),
        }
    }

    /// Adds one residual, already divided by its spread, with its derivatives.
    pub(crate) fn add(&mut self, residual: f64, slope: &DVector<f64>) {
        self.cost += residual * residual;
        self.add_weighted(1.0, residual, slope);
    }

    /// Adds a residual's pull without its cost; `weight` below 1 weakens it.
    pub(crate) fn add_weighted(&mut self, weight: f64, residual: f64, slope: &DVector<f64>) {
        self.gradient.axpy(weight * residual, slope, 1.0);
        self.matrix.syger(weight, slope, slope, 1.0);
    }

    /// The whole matrix, of which [`Self::add`] keeps the lower half only.
    pub(crate) fn full(&self) -> DMatrix<f64> {
        let mut full = self.matrix.clone();
        full.fill_upper_triangle_with_lower_triangle();
        full
    }
}

/// A sum of squares to be made least.
pub(crate) trait LeastSquares {
    /// Where the search stands; a rotation need not be a vector.
    type State: Clone;
    /// The normal equations there; `None` where the residuals have no meaning.
    fn normal(&self, state: &Self::State) -> Option<Normal>;
    /// The state a step further on.
    fn moved(&self, state: &Self::State, step: &DVector<f64>) -> Self::State;
}

/// The end of a search.
#[derive(Clone, Debug)]
pub(crate) struct Solution<S> {
    pub(crate) state: S,
    /// `None` when even the start had no meaning.
    pub(crate) normal: Option<Normal>,
}

/// Far more rounds than a search from a fair start needs (about ten).
const ROUNDS: usize = 200;
const FIRST_DAMPING: f64 = 1e-3;
/// With damping this strong no step moves anything any more.
const MOST_DAMPING: f64 = 1e12;
/// A round that lowers the cost by less than this share of it changes no digit that counts.
const SETTLED: f64 = 1e-15;

/// Walks from `start` to the nearest minimum.
pub(crate) fn solve<P: LeastSquares>(problem: &P, start: P::State) -> Solution<P::State> {
    let mut state = start;
    let Some(mut here) = problem.normal(&state) else {
        return Solution {
            state,
            normal: None,
        };
    };
    let mut damping = FIRST_DAMPING;
    for _ in 0..ROUNDS {
        let step = damped_step(&here, damping);
        let tried = step.and_then(|step| {
            let next = problem.moved(&state, &step);
            problem.normal(&next).map(|normal| (next, normal))
        });
        match tried {
            Some((next, normal)) if normal.cost <= here.cost => {
                let gained = here.cost - normal.cost;
                state = next;
                here = normal;
                if gained <= SETTLED * here.cost || here.cost == 0.0 {
                    break;
                }
                damping = (damping * 0.1).max(1e-15);
            }
            _ => {
                damping *= 10.0;
                if damping > MOST_DAMPING {
                    break;
                }
            }
        }
    }
    Solution {
        state,
        normal: Some(here),
    }
}

fn damped_step(normal: &Normal, damping: f64) -> Option<DVector<f64>> {
    let mut matrix = normal.full();
    for i in 0..matrix.nrows() {
        matrix[(i, i)] += damping * matrix[(i, i)] + f64::MIN_POSITIVE;
    }
    let step = -matrix.cholesky()?.solve(&normal.gradient);
    step.iter().all(|x| x.is_finite()).then_some(step)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock's valley, whose lowest point is (1, 1).
    struct Valley;

    impl LeastSquares for Valley {
        type State = DVector<f64>;
        fn normal(&self, s: &Self::State) -> Option<Normal> {
            let mut normal = Normal::zero(2);
            normal.add(
                10.0 * (s[1] - s[0] * s[0]),
                &DVector::from_vec(vec![-20.0 * s[0], 10.0]),
            );
            normal.add(1.0 - s[0], &DVector::from_vec(vec![-1.0, 0.0]));
            Some(normal)
        }
        fn moved(&self, s: &Self::State, step: &DVector<f64>) -> Self::State {
            s + step
        }
    }

    #[test]
    fn the_bent_valley_is_walked_to_its_end() {
        let end = solve(&Valley, DVector::from_vec(vec![-1.2, 1.0]));
        assert!((end.state - DVector::from_vec(vec![1.0, 1.0])).norm() < 1e-9);
    }
}
