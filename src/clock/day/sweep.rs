//! The search over orders of starts, one work more at a time.
//!
//! A state is how far each piece is, when each can go on and when hands are free; it comes from the
//! earliest plan of its order (see [`super::order`]). Of two states with the same works done, one in
//! which nothing is later dominates the other: what completes the later one completes it too, and
//! no later. This is dynamic programming over sets of works with dominance, as Gromicho, van Hoorn,
//! Saldanha-da-Gama and Timmer do it for the job shop (Computers & Operations Research 39, 2012).
//! With maximum gaps it is a good way to find plans, but proves nothing: a later work may have to
//! pull an earlier one after it, and then the dominated state may be the better one.
//!
//! A level that grows too wide keeps its best states; the least bound of those left behind is then
//! all that is proven.

use super::hours::EPS;
use super::load::Load;
use super::model::Model;
use super::order::Hands;
use super::windows::Windows;

/// So many states of a group are compared with a new one at most.
const COMPARED: usize = 200;

/// What a sweep is asked.
pub(super) struct Ask {
    /// Only plans that are left by then count.
    pub leave: f64,
    /// Whether maximum gaps hold.
    pub with_limits: bool,
    /// How many states a level keeps.
    pub width: usize,
}

/// What a sweep found.
pub(super) struct Found {
    /// The order of starts of the best plan.
    pub order: Option<Vec<usize>>,
    /// No plan of those that count is left earlier than this; infinite if all were seen.
    pub left_behind: f64,
    /// How many states were made.
    pub states: usize,
}

/// States of one level, side by side.
#[derive(Default)]
struct Level {
    progress: Vec<u8>,
    times: Vec<f64>,
    bounds: Vec<f64>,
    nodes: Vec<(u32, u32)>,
}

struct Sweep<'a> {
    model: &'a Model<'a>,
    windows: &'a Windows,
    load: Load,
    ask: &'a Ask,
    /// How many times a state has: for each piece when it can go on and (negative, with limits)
    /// until when; when hands are free; the last start; the last end.
    stride: usize,
    heads: Vec<f64>,
}

/// The bound of a day by its windows alone.
pub(super) fn least_leave(model: &Model, windows: &Windows) -> f64 {
    let load = Load::of(model, &windows.late);
    let hands = begun(model);
    let heads: Vec<f64> = model
        .tasks
        .iter()
        .zip(&windows.early)
        .map(|(task, early)| if task.begun { f64::INFINITY } else { *early })
        .collect();
    let chains = model.tasks.iter().zip(&windows.early);
    let chains = chains.map(|(task, early)| early + task.takes + task.tail);
    let chains = chains.fold(f64::NEG_INFINITY, f64::max);
    (0..model.crews.len())
        .map(|crew| load.bound(model, crew, &heads, hands.of_crew(crew)))
        .fold(chains, f64::max)
}

/// The hands after what has begun.
fn begun(model: &Model) -> Hands {
    let mut hands = Hands::of(&model.crews);
    for t in started(model) {
        let task = &model.tasks[t];
        hands.take(task.crew, task.fixed.unwrap_or(model.from) + task.takes);
    }
    hands
}

/// What has begun, by its starts.
fn started(model: &Model) -> Vec<usize> {
    let fixed: Vec<f64> = model
        .tasks
        .iter()
        .map(|task| task.fixed.unwrap_or(f64::INFINITY))
        .collect();
    let mut order = model.by_start(&fixed);
    order.retain(|&t| model.tasks[t].begun);
    order
}

/// Searches; `windows` are those of the day without any leave.
pub(super) fn sweep(model: &Model, windows: &Windows, ask: &Ask) -> Found {
    let count = model.tasks.iter().filter(|task| !task.begun).count();
    let hands: usize = model.crews.iter().sum();
    let pieces = model.chains.len();
    let mut search = Sweep {
        model,
        windows,
        load: Load::of(model, &windows.late),
        ask,
        stride: 2 * pieces + hands + 2,
        heads: vec![f64::INFINITY; model.tasks.len()],
    };
    let mut found = Found {
        order: None,
        left_behind: f64::INFINITY,
        states: 1,
    };
    let mut trail: Vec<(u32, u32)> = Vec::new();
    let mut level = search.first();
    for _ in 0..count {
        let mut next = Level::default();
        for n in 0..level.bounds.len() {
            for piece in 0..pieces {
                search.expand(&level, n, piece, &mut next);
            }
        }
        found.states += next.bounds.len();
        let base = trail.len();
        let kept = search.keep(&next, &mut found.left_behind);
        level = Level::default();
        for (n, &i) in kept.iter().enumerate() {
            trail.push(next.nodes[i]);
            level.push(&next, i, pieces, search.stride, (base + n) as u32);
        }
    }
    let ends = (0..level.bounds.len()).map(|n| (level.times[(n + 1) * search.stride - 1], n));
    let best = ends.min_by(|a, b| a.0.total_cmp(&b.0));
    found.order = best.map(|(_, n)| {
        let mut order = Vec::with_capacity(model.tasks.len());
        let mut node = level.nodes[n].0;
        while node != u32::MAX {
            let (parent, task) = trail[node as usize];
            order.push(task as usize);
            node = parent;
        }
        order.extend(started(model).into_iter().rev());
        order.reverse();
        order
    });
    found
}

impl Level {
    fn push(&mut self, from: &Level, i: usize, pieces: usize, stride: usize, node: u32) {
        let progress = &from.progress[i * pieces..(i + 1) * pieces];
        self.progress.extend_from_slice(progress);
        self.times
            .extend_from_slice(&from.times[i * stride..(i + 1) * stride]);
        self.bounds.push(from.bounds[i]);
        self.nodes.push((node, 0));
    }
}

impl Sweep<'_> {
    /// The state before the first work.
    fn first(&mut self) -> Level {
        let model = self.model;
        let mut level = Level::default();
        let pieces = model.chains.len();
        let mut times = vec![0.0; self.stride];
        let last = times.len() - 1;
        times[last - 1] = model.from;
        times[last] = model.from;
        for (p, chain) in model.chains.iter().enumerate() {
            let done = chain.iter().take_while(|&&t| model.tasks[t].begun).count();
            level.progress.push(done as u8);
            times[pieces + p] = f64::NEG_INFINITY;
            for &t in &chain[..done] {
                let task = &model.tasks[t];
                let end = task.fixed.unwrap_or(model.from) + task.takes;
                times[last] = times[last].max(end);
                if let Some(next) = task.next {
                    times[p] = model.ready(&model.tasks[next], end);
                    if self.ask.with_limits {
                        times[pieces + p] = -model.until(&model.tasks[next], end);
                    }
                }
            }
        }
        let hands = begun(model);
        let mut at = 2 * pieces;
        for crew in 0..model.crews.len() {
            let free = hands.of_crew(crew);
            times[at..at + free.len()].copy_from_slice(free);
            at += free.len();
        }
        let bound = self.assess(&level.progress, &mut times);
        if bound <= self.ask.leave + EPS {
            level.times = times;
            level.bounds.push(bound);
            level.nodes.push((u32::MAX, 0));
        } else {
            level.progress.clear();
        }
        level
    }

    /// Puts the next work of a piece after a state, if it can lead to a plan that counts.
    fn expand(&mut self, level: &Level, n: usize, piece: usize, next: &mut Level) {
        let model = self.model;
        let pieces = model.chains.len();
        let progress = &level.progress[n * pieces..(n + 1) * pieces];
        let Some(&t) = model.chains[piece].get(progress[piece] as usize) else {
            return;
        };
        // Pieces that are alike are taken in their order at every coat.
        if model.twin[piece].is_some_and(|twin| progress[twin] <= progress[piece]) {
            return;
        }
        let task = &model.tasks[t];
        let mut times = level.times[n * self.stride..(n + 1) * self.stride].to_vec();
        let start = times[piece];
        let end = start + task.takes;
        let hands: usize = model.crews[..task.crew].iter().sum();
        let hands = 2 * pieces + hands;
        let crew = &mut times[hands..hands + model.crews[task.crew]];
        if let Some(first) = crew.iter_mut().min_by(|a, b| a.total_cmp(b)) {
            *first = first.max(end);
        }
        // A fixed order of the pairs of hands: states that differ in it alone are the same.
        crew.sort_by(f64::total_cmp);
        let last = self.stride - 1;
        times[last - 1] = start;
        times[last] = times[last].max(end);
        (times[piece], times[pieces + piece]) = (0.0, f64::NEG_INFINITY);
        if let Some(after) = task.next {
            let after = &model.tasks[after];
            times[piece] = model.ready(after, end);
            if self.ask.with_limits {
                times[pieces + piece] = -model.until(after, end);
            }
        }
        let begin = next.progress.len();
        next.progress.extend_from_slice(progress);
        next.progress[begin + piece] += 1;
        let bound = self.assess(&next.progress[begin..], &mut times);
        if bound > self.ask.leave + EPS {
            next.progress.truncate(begin);
            return;
        }
        next.times.extend_from_slice(&times);
        next.bounds.push(bound);
        next.nodes.push((level.nodes[n].0, t as u32));
    }

    /// Takes a state's times as far on as they are bound to go, and tells how early a plan that
    /// begins with it can be left; infinite if there is none.
    fn assess(&mut self, progress: &[u8], times: &mut [f64]) -> f64 {
        let model = self.model;
        let pieces = model.chains.len();
        let size = times.len();
        let last = times[size - 2];
        let mut bound = times[size - 1];
        let hands = |crew: usize| {
            let begin = 2 * pieces + model.crews[..crew].iter().sum::<usize>();
            begin..begin + model.crews[crew]
        };
        self.heads.fill(f64::INFINITY);
        for (p, chain) in model.chains.iter().enumerate() {
            let mut ready = times[p];
            for (n, &t) in chain.iter().enumerate().skip(progress[p] as usize) {
                let task = &model.tasks[t];
                if n > progress[p] as usize && n > 0 {
                    let before = chain[n - 1];
                    ready = model.ready(task, self.heads[before] + model.tasks[before].takes);
                } else if n == 0 {
                    ready = model.from;
                }
                let free = times[hands(task.crew)][0];
                let mut head = ready.max(last).max(free).max(self.windows.early[t]);
                head = model.hours.first(head, task.takes);
                if let Some(fixed) = task.fixed {
                    if !Model::within(head, fixed) {
                        return f64::INFINITY;
                    }
                    head = fixed;
                }
                if !Model::within(head, self.windows.late[t]) {
                    return f64::INFINITY;
                }
                if n == progress[p] as usize {
                    times[p] = head;
                    if self.ask.with_limits && !Model::within(head, -times[pieces + p]) {
                        return f64::INFINITY;
                    }
                }
                self.heads[t] = head;
                bound = bound.max(head + task.takes + task.tail);
            }
        }
        for crew in 0..model.crews.len() {
            let tasks = model.tasks.iter().zip(&self.heads);
            let heads = tasks
                .filter(|(task, _)| task.crew == crew)
                .map(|(_, head)| *head);
            let first = heads.fold(f64::INFINITY, f64::min);
            if first.is_infinite() {
                times[hands(crew)].fill(0.0);
                continue;
            }
            for free in &mut times[hands(crew)] {
                *free = free.max(first);
            }
            let free = &times[hands(crew)];
            bound = bound.max(self.load.bound(model, crew, &self.heads, free));
            if bound > self.ask.leave + EPS {
                return f64::INFINITY;
            }
            if !model.steady && !self.load.fits(model, crew, &self.heads, free) {
                return f64::INFINITY;
            }
        }
        bound
    }

    /// Which states of a level are kept; `left_behind` falls to the least bound of those that are
    /// dropped though nothing dominates them.
    fn keep(&self, level: &Level, left_behind: &mut f64) -> Vec<usize> {
        let pieces = self.model.chains.len();
        let progress = |i: usize| &level.progress[i * pieces..(i + 1) * pieces];
        let times = |i: usize| &level.times[i * self.stride..(i + 1) * self.stride];
        // The last start is in all other times already, and the last end in the bound.
        let compared = self.stride - 2;
        let limits = pieces..2 * pieces;
        let sum = |i: usize| -> f64 {
            let all = times(i)[..compared].iter().enumerate();
            all.filter(|(at, _)| !limits.contains(at))
                .map(|(_, time)| time)
                .sum()
        };
        let sums: Vec<f64> = (0..level.bounds.len()).map(sum).collect();
        let mut sorted: Vec<usize> = (0..level.bounds.len()).collect();
        sorted.sort_by(|&a, &b| {
            let by_progress = progress(a).cmp(progress(b));
            by_progress
                .then(sums[a].total_cmp(&sums[b]))
                .then(level.bounds[a].total_cmp(&level.bounds[b]))
        });
        let mut kept: Vec<usize> = Vec::new();
        let mut group = 0;
        for i in sorted {
            if kept
                .last()
                .is_some_and(|&last| progress(last) != progress(i))
            {
                group = kept.len();
            }
            let dominates = |&j: &usize| {
                times(j)[compared + 1] <= level.bounds[i] + 1e-9
                    && (times(j)[..compared].iter())
                        .zip(&times(i)[..compared])
                        .all(|(a, b)| *a <= b + 1e-9)
            };
            if !kept[group..].iter().take(COMPARED).any(dominates) {
                kept.push(i);
            }
        }
        if kept.len() > self.ask.width {
            kept.sort_by(|&a, &b| {
                let by_bound = level.bounds[a].total_cmp(&level.bounds[b]);
                by_bound.then(sums[a].total_cmp(&sums[b])).then(a.cmp(&b))
            });
            let dropped = kept[self.ask.width..].iter().map(|&i| level.bounds[i]);
            *left_behind = dropped.fold(*left_behind, f64::min);
            kept.truncate(self.ask.width);
        }
        kept
    }
}
