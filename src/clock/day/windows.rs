//! Between which times each work can start, by all rules but that of the hands.

use super::hours::EPS;
use super::model::{Model, Task};

/// How often the rules are gone through. Rules that contradict each other push works on and on;
/// most often they soon are pushed out of their windows.
const ROUNDS: usize = 300;

/// The earliest and the latest start of each work.
#[derive(Clone, Debug)]
pub(super) struct Windows {
    pub early: Vec<f64>,
    pub late: Vec<f64>,
}

/// The work whose window closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Closed {
    pub task: usize,
}

impl Windows {
    /// The widest windows of a day that is left by `leave`.
    pub fn open(model: &Model, leave: f64) -> Self {
        let fixed_or = |task: &Task, other: f64| task.fixed.unwrap_or(other);
        let tasks = model.tasks.iter();
        Self {
            early: tasks
                .clone()
                .map(|task| fixed_or(task, model.from))
                .collect(),
            late: tasks
                .map(|task| fixed_or(task, leave - task.takes))
                .collect(),
        }
    }

    /// The windows of a day that is left by `leave`, and with maximum gaps where
    /// `with_limits` says so.
    pub fn of(model: &Model, leave: f64, with_limits: bool) -> Result<Self, Closed> {
        let mut windows = Self::open(model, leave);
        // A pin that the leave cuts off, or that lies before now or outside the hours.
        for (t, task) in model.tasks.iter().enumerate() {
            let Some(fixed) = task.fixed.filter(|_| !task.begun) else {
                continue;
            };
            let opens = model.hours.first(fixed, task.takes);
            if fixed < model.from - EPS || opens > fixed + EPS || fixed + task.takes > leave + EPS {
                return Err(Closed { task: t });
            }
        }
        windows.close(model, with_limits)?;
        Ok(windows)
    }

    /// Narrows the windows until every rule is kept at both ends.
    pub fn close(&mut self, model: &Model, with_limits: bool) -> Result<(), Closed> {
        for _ in 0..ROUNDS {
            let mut moved = false;
            for t in 0..model.tasks.len() {
                moved |= self.forward(model, t, with_limits)?;
            }
            for t in (0..model.tasks.len()).rev() {
                moved |= self.backward(model, t, with_limits)?;
            }
            if !moved {
                break;
            }
        }
        Ok(())
    }

    fn forward(&mut self, model: &Model, t: usize, limits: bool) -> Result<bool, Closed> {
        let task = &model.tasks[t];
        let Some(prev) = task.prev.filter(|_| !task.begun) else {
            return self.raise(model, t, self.early[t]);
        };
        let takes = model.tasks[prev].takes;
        let ready = model.ready(task, self.early[prev] + takes);
        let mut moved = self.raise(model, t, ready)?;
        if limits && task.most.is_finite() {
            moved |= self.raise(model, prev, model.holds(task, self.early[t]) - takes)?;
        }
        Ok(moved)
    }

    fn backward(&mut self, model: &Model, t: usize, limits: bool) -> Result<bool, Closed> {
        let task = &model.tasks[t];
        let Some(prev) = task.prev.filter(|_| !task.begun) else {
            return self.lower(model, t, self.late[t]);
        };
        let takes = model.tasks[prev].takes;
        let mut moved = false;
        if limits && task.most.is_finite() {
            moved |= self.lower(model, t, model.until(task, self.late[prev] + takes))?;
        }
        let needs = model.needs(task, self.late[t]);
        Ok(self.lower(model, prev, needs - takes)? || moved)
    }

    /// Lifts the earliest start to `to`, or to when the site opens after it.
    pub fn raise(&mut self, model: &Model, t: usize, to: f64) -> Result<bool, Closed> {
        let task = &model.tasks[t];
        if task.begun {
            return Ok(false);
        }
        let mut to = to.max(self.early[t]);
        if task.fixed.is_none() {
            to = model.hours.first(to, task.takes);
        }
        if to > self.late[t] + EPS || to == f64::INFINITY {
            return Err(Closed { task: t });
        }
        let moved = to > self.early[t] + 1e-9;
        if moved && task.fixed.is_none() {
            self.early[t] = to;
        }
        Ok(moved && task.fixed.is_none())
    }

    /// Brings the latest start down to `to`, or to where the site is open before it.
    pub fn lower(&mut self, model: &Model, t: usize, to: f64) -> Result<bool, Closed> {
        let task = &model.tasks[t];
        if task.begun {
            return Ok(false);
        }
        let mut to = to.min(self.late[t]);
        if task.fixed.is_none() && to.is_finite() {
            to = model.hours.last(to, task.takes);
        }
        if to < self.early[t] - EPS {
            return Err(Closed { task: t });
        }
        let moved = to < self.late[t] - 1e-9;
        if moved && task.fixed.is_none() {
            self.late[t] = to;
        }
        Ok(moved && task.fixed.is_none())
    }
}
