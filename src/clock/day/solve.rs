//! Which search is asked, and in which order.
//!
//! A narrow sweep finds a good plan at once, and most often its leave equals the first bound. If
//! not, a wide sweep that leaves maximum gaps aside goes over all orders: without maximum gaps it
//! finds the best plan, with them a bound. The learning search does the rest.

use super::insert;
use super::learn::Search;
use super::model::Model;
use super::sweep::{self, Ask};
use super::windows::Windows;

/// States that the narrow sweep keeps of each level.
const NARROW: usize = 24;
/// States that the second sweep keeps, where there are maximum gaps.
const MIDDLE: usize = 200;
/// States that the first sweep without maximum gaps keeps, where there are such gaps.
const ASIDE: usize = 20;
/// States that the wide sweep keeps at most.
const WIDE: usize = 4_000;
/// What a wide sweep may cost: its width times the works cubed times the pieces. Six pieces of four
/// works reach [`WIDE`].
const SWEEP_COST: usize = 340_000_000;
/// What the learning search may cost: its dead ends times the works squared.
const LEARN_COST: usize = 12_000_000;

/// The best plan that was found.
pub(super) struct Best {
    pub starts: Vec<f64>,
    pub leave: f64,
    /// No plan is left earlier, but for the model's step.
    pub bound: f64,
    pub proven: bool,
}

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Failed {
    /// The windows of the works close by the gaps, the hours and what is settled alone.
    Windows,
    /// There are not hands enough for all of it.
    Hands,
    /// None was found, and none was ruled out.
    NotFound,
}

struct Solver<'m> {
    model: &'m Model<'m>,
    best: Option<(Vec<f64>, f64)>,
    bound: f64,
    search: Option<Search<'m>>,
}

/// Finds the plan that is left earliest.
pub(super) fn solve<'m>(model: &'m Model<'m>) -> Result<Best, Failed> {
    let limits = model.has_limits();
    let horizon = model.horizon();
    let root = Windows::of(model, horizon, true).map_err(|_| Failed::Windows)?;
    let mut solver = Solver {
        model,
        best: None,
        bound: f64::NEG_INFINITY,
        search: None,
    };
    solver.raise(sweep::least_leave(model, &root));
    let count = model.tasks.len().max(1);
    let wide = SWEEP_COST / (count.pow(3) * model.chains.len().max(1));
    let wide = wide.clamp(8, WIDE);
    let narrow = (wide / 8).clamp(6, NARROW);
    let conflicts = (LEARN_COST / count.pow(2)).clamp(300, 20_000);

    solver.sweep(limits, narrow, horizon);
    if limits {
        if let Some(starts) = insert::insert(model) {
            solver.offer(starts);
        }
        solver.sweep(true, MIDDLE.min(wide), horizon);
        solver.sweep(false, ASIDE.min(wide), horizon);
        if solver.learn(conflicts / 2, horizon) {
            return solver.done();
        }
        solver.sweep(true, wide / 2, horizon);
    }
    if !limits && solver.learn(conflicts / 10, horizon) {
        return solver.done();
    }
    if solver.sweep(false, wide, horizon) && !limits {
        return solver.done();
    }
    solver.learn(conflicts / 2, horizon);
    solver.done()
}

impl<'m> Solver<'m> {
    fn done(self) -> Result<Best, Failed> {
        let proven = self.is_proven();
        match self.best {
            Some((starts, leave)) => Ok(Best {
                starts,
                leave,
                bound: if proven { leave } else { self.bound.min(leave) },
                proven,
            }),
            None if self.bound.is_infinite() => Err(Failed::Hands),
            None => Err(Failed::NotFound),
        }
    }

    fn is_proven(&self) -> bool {
        let step = self.model.step;
        self.best
            .as_ref()
            .is_some_and(|(_, leave)| leave - self.bound < step - 1e-6)
    }

    /// Raises the bound; where only whole minutes can come out, to the next one.
    fn raise(&mut self, bound: f64) {
        let bound = match self.model.step {
            1.0 => (bound - 1e-6).ceil(),
            _ => bound,
        };
        self.bound = self.bound.max(bound);
    }

    fn offer(&mut self, starts: Vec<f64>) {
        let leave = self.model.leave(&starts);
        let better = self.best.as_ref().is_none_or(|(_, best)| leave < *best);
        if better && self.model.keeps_all(&starts) {
            self.best = Some((starts, leave));
        }
    }

    /// What a plan that is looked for has to be left by.
    fn target(&self, horizon: f64) -> f64 {
        match &self.best {
            Some((_, leave)) => leave - self.model.step,
            None => horizon,
        }
    }

    /// Sweeps, unless the best plan is known; whether it is then.
    fn sweep(&mut self, with_limits: bool, width: usize, horizon: f64) -> bool {
        if self.is_proven() {
            return true;
        }
        let target = self.target(horizon);
        // No plan better than the best one is one step better at least.
        let otherwise = match self.best {
            Some(_) => target + self.model.step,
            None => f64::INFINITY,
        };
        let exact = !with_limits || !self.model.has_limits();
        let Ok(windows) = Windows::of(self.model, target, with_limits) else {
            self.raise(otherwise);
            return self.is_proven() || otherwise.is_infinite();
        };
        let ask = Ask {
            leave: target,
            with_limits,
            width,
        };
        let found = sweep::sweep(self.model, &windows, &ask);
        let mut value = otherwise;
        if let Some(order) = found.order {
            let early = Windows::open(self.model, horizon).early;
            if let Some(starts) = self.model.earliest(&order, &early, with_limits) {
                value = self.model.leave(&starts);
                self.offer(starts);
            }
            if exact && !with_limits {
                // Its order may be one that maximum gaps can be kept in.
                if let Some(starts) = self.model.earliest(&order, &early, true) {
                    self.offer(starts);
                }
            }
        }
        if exact {
            self.raise(value.min(found.left_behind));
        }
        self.is_proven() || self.bound.is_infinite()
    }

    /// Asks the learning search, unless the best plan is known; whether it is then.
    fn learn(&mut self, conflicts: usize, horizon: f64) -> bool {
        if self.is_proven() || self.bound.is_infinite() {
            return true;
        }
        let target = self.target(horizon);
        let search = self.search.get_or_insert_with(|| Search::of(self.model));
        if let Some((starts, _)) = &self.best {
            search.guide.clone_from(starts);
        }
        let found = search.go(target, conflicts, false);
        if let Some(starts) = found.starts {
            self.offer(starts);
        }
        if found.complete {
            let leave = self.best.as_ref().map(|(_, leave)| *leave);
            self.bound = leave.unwrap_or(f64::INFINITY);
        }
        found.complete
    }
}
