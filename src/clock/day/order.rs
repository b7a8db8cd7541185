//! The earliest plan that keeps a given order of starts.
//!
//! Every rule of a day only ever says that one time can't lie before another, which may depend on a
//! third: a minimum gap and a busy hand push a work back, a maximum gap pushes back the work before
//! it, a closing pushes a work into the next window. All of them rise with what they depend on. So
//! for a fixed order of starts there is a least solution, found by pushing until nothing has to
//! move, and no plan of that order ends earlier.

use super::hours::EPS;
use super::model::Model;

/// How often the works are gone through before an order counts as one that can't be kept. Each
/// round pulls at least one work to the right; a day needs a handful.
const ROUNDS: usize = 500;

impl Model<'_> {
    /// The earliest starts of all works, if they start in this order and each no earlier than its
    /// release; `None` if no plan has that order. `with_limits` says whether maximum gaps hold.
    pub fn earliest(
        &self,
        order: &[usize],
        release: &[f64],
        with_limits: bool,
    ) -> Option<Vec<f64>> {
        let mut starts = release.to_vec();
        for _ in 0..ROUNDS {
            let mut moved = false;
            let mut hands = Hands::of(&self.crews);
            let mut last = f64::NEG_INFINITY;
            for &t in order {
                let task = &self.tasks[t];
                let mut start = starts[t];
                if task.begun {
                    start = task.fixed.unwrap_or(start);
                } else {
                    start = start.max(last).max(hands.free(task.crew));
                    if let Some(prev) = task.prev {
                        let end = starts[prev] + self.tasks[prev].takes;
                        start = start.max(self.ready(task, end));
                    }
                    start = self.hours.first(start, task.takes);
                    if let Some(fixed) = task.fixed {
                        if !Self::within(start, fixed) {
                            return None;
                        }
                        start = fixed;
                    }
                    if start.is_infinite() {
                        return None;
                    }
                }
                moved |= start > starts[t] + 1e-9;
                starts[t] = start;
                last = last.max(start);
                hands.take(task.crew, start + task.takes);
                let Some(prev) = task.prev.filter(|_| with_limits && !task.begun) else {
                    continue;
                };
                let before = &self.tasks[prev];
                if Self::within(start, self.until(task, starts[prev] + before.takes)) {
                    continue;
                }
                let pulled = self.holds(task, start) - before.takes;
                let pulled = self.hours.first(pulled, before.takes);
                if before.fixed.is_some() || pulled.is_infinite() {
                    return None;
                }
                if pulled > starts[prev] + 1e-9 {
                    starts[prev] = pulled;
                    moved = true;
                }
            }
            if !moved {
                return Some(starts);
            }
        }
        None
    }

    /// The works by their starts; works of one start in the order of their ends.
    pub fn by_start(&self, starts: &[f64]) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.tasks.len()).collect();
        let key = |t: &usize| (starts[*t], starts[*t] + self.tasks[*t].takes);
        order.sort_by(|a, b| {
            let ((a_start, a_end), (b_start, b_end)) = (key(a), key(b));
            a_start
                .total_cmp(&b_start)
                .then(a_end.total_cmp(&b_end))
                .then(a.cmp(b))
        });
        order
    }

    /// Whether starts keep every rule that is still to be kept.
    pub fn keeps_all(&self, starts: &[f64]) -> bool {
        let mut hands = Hands::of(&self.crews);
        self.by_start(starts).into_iter().all(|t| {
            let (task, start) = (&self.tasks[t], starts[t]);
            let free = hands.free(task.crew);
            hands.take(task.crew, start + task.takes);
            if task.begun {
                return true;
            }
            let gap = task.prev.is_none_or(|prev| {
                let end = starts[prev] + self.tasks[prev].takes;
                Self::within(self.ready(task, end), start)
                    && Self::within(start, self.until(task, end))
            });
            gap && Self::within(free, start)
                && Self::within(self.from, start)
                && (self.hours.first(start, task.takes) - start).abs() <= EPS
                && task.fixed.is_none_or(|fixed| (fixed - start).abs() <= EPS)
        })
    }
}

/// When each pair of hands is free, by crew. With works taken in the order of their starts these
/// are the greatest ends so far, as many as there are pairs, so nobody has to be told which pair
/// does what.
pub(super) struct Hands {
    free: Vec<Vec<f64>>,
}

impl Hands {
    pub fn of(crews: &[usize]) -> Self {
        let free = crews.iter().map(|&n| vec![f64::NEG_INFINITY; n]).collect();
        Self { free }
    }

    /// When each pair of a crew is free, by time.
    pub fn of_crew(&self, crew: usize) -> &[f64] {
        &self.free[crew]
    }

    /// When the first pair of a crew is free.
    pub fn free(&self, crew: usize) -> f64 {
        self.free[crew].first().copied().unwrap_or(f64::INFINITY)
    }

    /// The pair that is free first is busy until `end`.
    pub fn take(&mut self, crew: usize, end: f64) {
        let free = &mut self.free[crew];
        if let Some(first) = free.first_mut() {
            *first = first.max(end);
            free.sort_by(f64::total_cmp);
        }
    }
}
