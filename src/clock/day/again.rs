//! Planning anew with the least change.
//!
//! "Least" means, in this order: the day is left no later than it has to be; as few works as can be
//! found swap their order; as many as can be found keep their starts. The first is what
//! [`plan`](super::plan) finds. For the second the order before is tried whole, then the best
//! plan's order with neighbours swapped back one by one; for the third every start is held where
//! that costs nothing. Both go step by step, so a plan with still less change may exist.

use super::clash::{self, Clash};
use super::model::Model;
use super::request::{Day, DayPlan, DayStep};
use super::solve;
use super::windows::Windows;

/// The plan of a day of which `before` was the plan. Steps of works that the day no longer has are
/// passed over.
pub fn replan(day: &Day, before: &[DayStep]) -> Result<DayPlan, Clash> {
    clash::check(day)?;
    let model = Model::of(day);
    let mut best = solve::solve(&model).map_err(|failed| clash::explain(day, &model, failed))?;
    let old = starts_before(&model, before);
    let early = Windows::open(&model, model.horizon()).early;
    let leaves = |order: &[usize], release: &[f64]| {
        let starts = model.earliest(order, release, true)?;
        model
            .keeps_all(&starts)
            .then(|| (model.leave(&starts), starts))
    };

    let mut order = order_before(&model, &old, &best.starts);
    match leaves(&order, &early) {
        Some((leave, starts)) if leave < best.leave + 1e-6 => {
            best.leave = best.leave.min(leave);
            best.bound = best.bound.min(best.leave);
            best.starts = starts;
        }
        _ => {
            let rank = ranks(&order);
            order = model.by_start(&best.starts);
            swap_back(&mut order, &rank, |order| {
                leaves(order, &early).is_some_and(|(leave, _)| leave < best.leave + 1e-6)
            });
            if let Some((_, starts)) = leaves(&order, &early) {
                best.starts = starts;
            }
        }
    }

    let mut release = early;
    for &t in &order {
        let Some(start) = old[t].filter(|&start| start > best.starts[t] + 1e-9) else {
            continue;
        };
        let free = std::mem::replace(&mut release[t], start);
        match leaves(&order, &release) {
            Some((leave, starts)) if leave < best.leave + 1e-6 => best.starts = starts,
            _ => release[t] = free,
        }
    }
    best.leave = model.leave(&best.starts);
    Ok(best.plan(&model))
}

/// The start of each work in the plan before.
fn starts_before(model: &Model, before: &[DayStep]) -> Vec<Option<f64>> {
    let mut old = vec![None; model.tasks.len()];
    for step in before {
        let task = model
            .chains
            .get(step.piece)
            .and_then(|chain| chain.get(step.work));
        if let Some(&t) = task {
            old[t] = Some(step.start.0);
        }
    }
    old
}

/// The works in the order of the plan before; what has begun in the order in which it did, and what
/// the plan before doesn't have where the new one has it.
fn order_before(model: &Model, old: &[Option<f64>], new: &[f64]) -> Vec<usize> {
    let mut starts: Vec<f64> = (0..old.len()).map(|t| old[t].unwrap_or(new[t])).collect();
    for (t, task) in model.tasks.iter().enumerate() {
        if let Some(fixed) = task.fixed.filter(|_| task.begun) {
            starts[t] = fixed.min(model.from);
        }
    }
    // A coat never comes before the one below it.
    for chain in &model.chains {
        for pair in chain.windows(2) {
            starts[pair[1]] = starts[pair[1]].max(starts[pair[0]]);
        }
    }
    let mut order: Vec<usize> = (0..old.len()).collect();
    order.sort_by(|&a, &b| {
        let begun = |t: usize| !model.tasks[t].begun;
        let by_start = begun(a)
            .cmp(&begun(b))
            .then(starts[a].total_cmp(&starts[b]));
        by_start.then(a.cmp(&b))
    });
    order
}

fn ranks(order: &[usize]) -> Vec<usize> {
    let mut rank = vec![0; order.len()];
    for (n, &t) in order.iter().enumerate() {
        rank[t] = n;
    }
    rank
}

/// Swaps neighbours that stood the other way round, as long as that is accepted.
fn swap_back(order: &mut [usize], rank: &[usize], accepted: impl Fn(&[usize]) -> bool) {
    let mut swapped = true;
    while swapped {
        swapped = false;
        for n in 1..order.len() {
            if rank[order[n - 1]] > rank[order[n]] {
                order.swap(n - 1, n);
                if accepted(order) {
                    swapped = true;
                } else {
                    order.swap(n - 1, n);
                }
            }
        }
    }
}
