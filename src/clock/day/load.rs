//! How early a day can be left at best, by what the hands still have to do.

use super::hours::EPS;
use super::model::Model;

/// The works in the two orders in which the bounds go through them, by crew.
#[derive(Clone, Debug)]
pub(super) struct Load {
    by_tail: Vec<Vec<usize>>,
    by_deadline: Vec<Vec<usize>>,
    deadline: Vec<f64>,
    /// The open minutes until each deadline.
    open: Vec<f64>,
}

impl Load {
    /// For works that have to start by `late`.
    pub fn of(model: &Model, late: &[f64]) -> Self {
        let crew = |c: usize| {
            let tasks = model.tasks.iter().enumerate();
            tasks.filter(move |(_, task)| task.crew == c && !task.begun)
        };
        let deadline: Vec<f64> = model
            .tasks
            .iter()
            .zip(late)
            .map(|(task, late)| late + task.takes)
            .collect();
        let sorted = |key: &dyn Fn(usize) -> f64| {
            let crews = 0..model.crews.len();
            crews
                .map(|c| {
                    let mut tasks: Vec<usize> = crew(c).map(|(t, _)| t).collect();
                    tasks.sort_by(|&a, &b| key(a).total_cmp(&key(b)));
                    tasks
                })
                .collect()
        };
        Self {
            by_tail: sorted(&|t| -model.tasks[t].tail),
            by_deadline: sorted(&|t| deadline[t]),
            open: deadline
                .iter()
                .map(|&at| model.hours.open_until(at))
                .collect(),
            deadline,
        }
    }

    /// A time before which the works of a crew can't all be done, nor what follows on their
    /// pieces. `heads` are their earliest starts, infinite for works that are done; `free` says
    /// when each pair of hands is free.
    ///
    /// For each set of works that can't start before `r` and are followed by at least `q`: `r`, the
    /// set's work over the pairs of hands, and `q`. For one pair of hands the greatest of these is
    /// the end of Jackson's preemptive schedule (Carlier, European Journal of Operational Research
    /// 11, 1982), for more it is the bound of Carlier's (the same, 29, 1987).
    pub fn bound(&self, model: &Model, crew: usize, heads: &[f64], free: &[f64]) -> f64 {
        let mut bound = f64::NEG_INFINITY;
        self.each_start(crew, heads, |r| {
            let mut work = 0.0;
            for &t in &self.by_tail[crew] {
                if heads[t] >= r && heads[t].is_finite() {
                    work += model.tasks[t].takes;
                    let done = done(model, r, work, free);
                    bound = bound.max(done + model.tasks[t].tail);
                }
            }
            true
        });
        bound
    }

    /// Whether the works of a crew can be done by their deadlines, by the same count.
    pub fn fits(&self, model: &Model, crew: usize, heads: &[f64], free: &[f64]) -> bool {
        let hands = free.len() as f64;
        self.each_start(crew, heads, |r| {
            let mut work = 0.0;
            // Most fit by far, as a count of open minutes shows.
            let begin = model
                .hours
                .open_until(free.iter().fold(r, |r, &free| r.max(free)));
            self.by_deadline[crew].iter().all(|&t| {
                if heads[t] < r || heads[t].is_infinite() {
                    return true;
                }
                work += model.tasks[t].takes;
                work <= (self.open[t] - begin) * hands - EPS
                    || done(model, r, work, free) <= self.deadline[t] + EPS
            })
        })
    }

    /// Goes through the different heads until one says no.
    fn each_start(&self, crew: usize, heads: &[f64], mut check: impl FnMut(f64) -> bool) -> bool {
        let tasks = &self.by_tail[crew];
        tasks.iter().enumerate().all(|(n, &t)| {
            let r = heads[t];
            let seen = tasks[..n].iter().any(|&other| heads[other] == r);
            seen || r.is_infinite() || check(r)
        })
    }
}

/// When so much work that starts from `r` on can be done at best, the hands being free as they are
/// (sorted).
fn done(model: &Model, r: f64, work: f64, free: &[f64]) -> f64 {
    if !model.hours.is_always() {
        return model.hours.after(r, work / free.len() as f64);
    }
    // With the first hand alone, the first two, and so on: whoever is free too late is no help.
    let mut begins = 0.0;
    let mut best = f64::INFINITY;
    for (n, free) in free.iter().enumerate() {
        begins += free.max(r);
        best = best.min((work + begins) / (n + 1) as f64);
    }
    best
}
