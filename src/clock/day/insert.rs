//! A quick plan: one piece after the other, each as early as the pieces before leave hands for it.
//!
//! A piece's chain is pushed to the right until every work fits between what is there and every gap
//! is kept; that is a least solution again (see [`super::order`]). Where the site is always open and
//! nothing is settled it always finds a plan. The order of the pieces is improved by swaps.

use super::hours::EPS;
use super::model::Model;

/// So many orders of the pieces are tried at most.
const TRIES: usize = 150;
/// How often a chain is gone through.
const ROUNDS: usize = 300;

/// The best plan that was found, if any.
pub(super) fn insert(model: &Model) -> Option<Vec<f64>> {
    let mut order: Vec<usize> = (0..model.chains.len()).collect();
    // What is settled can't make room, so it goes first; then what takes longest.
    let settled = |p: usize| {
        !model.chains[p]
            .iter()
            .any(|&t| model.tasks[t].fixed.is_some())
    };
    let length = |p: usize| {
        let first = model.chains[p].first().map(|&t| &model.tasks[t]);
        first.map_or(0.0, |task| task.takes + task.tail)
    };
    order.sort_by(|&a, &b| {
        let by_settled = settled(a).cmp(&settled(b));
        by_settled.then(length(b).total_cmp(&length(a)))
    });
    let value = |starts: &Option<Vec<f64>>| match starts {
        Some(starts) => model.leave(starts),
        None => f64::INFINITY,
    };
    let mut best = one_by_one(model, &order);
    let mut tries = 1;
    let mut better = true;
    while better {
        better = false;
        for a in 0..order.len() {
            for b in a + 1..order.len() {
                if tries >= TRIES {
                    return best;
                }
                if model.twin[order[b]] == Some(order[a]) {
                    continue;
                }
                tries += 1;
                order.swap(a, b);
                let other = one_by_one(model, &order);
                if value(&other) < value(&best) - EPS {
                    best = other;
                    better = true;
                } else {
                    order.swap(a, b);
                }
            }
        }
    }
    best
}

fn one_by_one(model: &Model, order: &[usize]) -> Option<Vec<f64>> {
    let mut starts = vec![model.from; model.tasks.len()];
    let mut busy: Vec<Vec<(f64, f64)>> = vec![Vec::new(); model.crews.len()];
    for (t, task) in model.tasks.iter().enumerate() {
        if let Some(fixed) = task.fixed {
            starts[t] = fixed;
            busy[task.crew].push((fixed, fixed + task.takes));
        }
    }
    for &piece in order {
        place(model, piece, &busy, &mut starts)?;
        for &t in &model.chains[piece] {
            let task = &model.tasks[t];
            if task.fixed.is_none() {
                busy[task.crew].push((starts[t], starts[t] + task.takes));
            }
        }
    }
    model.keeps_all(&starts).then_some(starts)
}

/// Finds the earliest starts of a piece's works beside what hands are busy with.
fn place(model: &Model, piece: usize, busy: &[Vec<(f64, f64)>], starts: &mut [f64]) -> Option<()> {
    for _ in 0..ROUNDS {
        let mut moved = false;
        for &t in &model.chains[piece] {
            let task = &model.tasks[t];
            if task.begun {
                continue;
            }
            let end = task.prev.map(|prev| starts[prev] + model.tasks[prev].takes);
            let ready = end.map_or(model.from, |end| model.ready(task, end));
            let mut start = starts[t].max(ready);
            match task.fixed {
                Some(fixed) if !Model::within(start, fixed) => return None,
                Some(fixed) => start = fixed,
                None => start = slot(model, &busy[task.crew], task.crew, start, task.takes)?,
            }
            moved |= start > starts[t] + 1e-9;
            starts[t] = start;
            let (Some(prev), Some(end)) = (task.prev, end) else {
                continue;
            };
            if !Model::within(start, model.until(task, end)) {
                if model.tasks[prev].fixed.is_some() {
                    return None;
                }
                let pulled = model.holds(task, start) - model.tasks[prev].takes;
                moved |= pulled > starts[prev] + 1e-9;
                starts[prev] = starts[prev].max(pulled);
            }
        }
        if !moved {
            return Some(());
        }
    }
    None
}

/// The first time from `from` on at which a pair of hands is free for so long.
fn slot(model: &Model, busy: &[(f64, f64)], crew: usize, from: f64, takes: f64) -> Option<f64> {
    let mut start = from;
    loop {
        start = model.hours.first(start, takes);
        if start.is_infinite() {
            return None;
        }
        let end = start + takes;
        // Hands are needed at the start, and at each start of another work under way.
        let at = |now: f64| {
            busy.iter()
                .filter(move |(a, b)| *a <= now + EPS && *b > now + EPS)
        };
        let begins = busy.iter().map(|(a, _)| *a);
        let full = std::iter::once(start)
            .chain(begins.filter(|&a| a > start + EPS && a < end - EPS))
            .find(|&now| at(now).count() >= model.crews[crew]);
        match full {
            Some(now) => start = at(now).map(|(_, b)| *b).fold(f64::INFINITY, f64::min),
            None => return Some(start),
        }
    }
}
