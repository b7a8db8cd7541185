//! The exact search, with maximum gaps too: it learns from every dead end.
//!
//! For each two works of a crew on different pieces there is a statement, "this one ends before
//! that one begins". With what is said so far every work has a window (see [`super::windows`]);
//! where the earliest starts keep more hands busy than there are, one of the statements among the
//! works that overlap is tried. When a window closes, the statements that closed it become a clause
//! that is never broken again. This is lazy clause generation as Schutt, Feydy, Stuckey and Wallace
//! apply it to projects with minimal and maximal time lags (Journal of Scheduling 16, 2013), over
//! the branching of De Reyck and Herroelen (European Journal of Operational Research 111, 1998).

use super::clauses::{Clauses, Lit, Reason, not};
use super::hours::EPS;
use super::model::Model;
use std::collections::BTreeSet;

/// An end of a window.
const EARLY: usize = 0;
const LATE: usize = 1;

/// The event before all.
const START: u32 = u32::MAX;

/// So many conflicts, and the search begins at the root again with what it learnt.
const RESTART: usize = 150;

/// What the search found.
pub(super) struct Found {
    /// The starts of the best plan, if one counts.
    pub starts: Option<Vec<f64>>,
    /// Whether it is proven that no plan is better, or that none counts.
    pub complete: bool,
    /// How many dead ends it learnt from.
    pub conflicts: usize,
}

/// One end of a window moved.
#[derive(Clone, Copy, Debug)]
struct Event {
    task: u32,
    side: u8,
    value: f64,
    /// The event of the same end before this one, and what `value` follows from: the event of
    /// another end, and a statement.
    before: u32,
    source: u32,
    lit: Option<Lit>,
}

struct Search<'a> {
    model: &'a Model<'a>,
    clauses: Clauses,
    /// The two works of each statement.
    pairs: Vec<(usize, usize)>,
    /// The statements that each work comes first in, and those that it comes second in.
    firsts: Vec<Vec<Lit>>,
    seconds: Vec<Vec<Lit>>,
    /// By two works: the statement.
    statement: Vec<Option<Lit>>,
    /// Works that start no earlier than another, for good.
    after_twin: Vec<Option<usize>>,
    before_twin: Vec<Option<usize>>,
    ends: [Vec<f64>; 2],
    latest: [Vec<u32>; 2],
    events: Vec<Event>,
    begins: Vec<usize>,
    queue: Vec<u32>,
    /// Sets of works that are known not to overlap all.
    known: BTreeSet<Vec<usize>>,
    /// How many true literals have had their say on the windows.
    told: usize,
    /// The true literals that contradict each other.
    conflict: Vec<Lit>,
    gave_up: bool,
    /// Whether windows have moved so often that they may move for ever.
    long: bool,
}

/// Searches for the earliest plan that is left by `leave`, learning from so many dead ends at most.
/// With `first_only` any plan ends the search.
pub(super) fn search(model: &Model, leave: f64, most: usize, first_only: bool) -> Found {
    let mut search = Search::of(model);
    let mut found = Found {
        starts: None,
        complete: false,
        conflicts: 0,
    };
    let mut leave = leave;
    let mut since = 0;
    if !search.begin(leave) {
        found.complete = true;
        return found;
    }
    loop {
        let mut sound = search.follow();
        if sound {
            let Some(works) = search.overlap() else {
                let starts = search.ends[EARLY].clone();
                leave = model.leave(&starts) - model.step;
                found.starts = Some(starts);
                search.back(0);
                if first_only || !search.begin(leave) {
                    found.complete = true;
                    return found;
                }
                continue;
            };
            sound = search.try_one(&works);
        }
        if !sound {
            if search.gave_up {
                return found;
            }
            found.conflicts += 1;
            since += 1;
            if !search.resolve() {
                found.complete = true;
                return found;
            }
            if found.conflicts >= most {
                return found;
            }
            if since >= RESTART {
                since = 0;
                search.back(0);
            }
        }
    }
}

impl<'a> Search<'a> {
    fn of(model: &'a Model<'a>) -> Self {
        let n = model.tasks.len();
        let mut pairs = Vec::new();
        let mut statement = vec![None; n * n];
        let mut firsts = vec![Vec::new(); n];
        let mut seconds = vec![Vec::new(); n];
        for (a, first) in model.tasks.iter().enumerate() {
            for (b, second) in model.tasks.iter().enumerate() {
                let apart = first.piece != second.piece && first.crew == second.crew;
                if apart && !(first.begun && second.begun) {
                    let lit = 2 * pairs.len() as Lit;
                    statement[a * n + b] = Some(lit);
                    firsts[a].push(lit);
                    seconds[b].push(lit);
                    pairs.push((a, b));
                }
            }
        }
        let mut clauses = Clauses::of(pairs.len());
        for (i, &(a, b)) in pairs.iter().enumerate() {
            if let (true, Some(other)) = (a < b, statement[b * n + a]) {
                let lit = 2 * i as Lit;
                clauses.add(vec![not(lit), not(other)]);
                if model.crews[model.tasks[a].crew] == 1 {
                    clauses.add(vec![lit, other]);
                }
            }
        }
        let mut after_twin = vec![None; n];
        let mut before_twin = vec![None; n];
        for (piece, twin) in model.twin.iter().enumerate() {
            let Some(twin) = *twin else { continue };
            for (&from, &to) in model.chains[twin].iter().zip(&model.chains[piece]) {
                before_twin[to] = Some(from);
                after_twin[from] = Some(to);
            }
        }
        Self {
            model,
            clauses,
            pairs,
            firsts,
            seconds,
            statement,
            after_twin,
            before_twin,
            ends: [vec![model.from; n], vec![f64::INFINITY; n]],
            latest: [vec![START; n], vec![START; n]],
            events: Vec::new(),
            begins: Vec::new(),
            queue: Vec::new(),
            known: BTreeSet::new(),
            told: 0,
            conflict: Vec::new(),
            gave_up: false,
            long: false,
        }
    }

    /// Sets the windows at the root for a day that is left by `leave`.
    fn begin(&mut self, leave: f64) -> bool {
        for t in 0..self.model.tasks.len() {
            let task = &self.model.tasks[t];
            let (early, late) = match task.fixed {
                Some(fixed) if task.begun => (fixed, fixed),
                Some(fixed) => (fixed, fixed.min(leave - task.takes)),
                None => {
                    let hours = self.model.hours;
                    let early = hours.first(self.model.from, task.takes);
                    (early, hours.last(leave - task.takes, task.takes))
                }
            };
            if early > late + EPS || early.is_infinite() {
                return false;
            }
            self.ends[EARLY][t] = self.ends[EARLY][t].max(early);
            self.ends[LATE][t] = self.ends[LATE][t].min(late);
            for side in [EARLY, LATE] {
                self.events.push(Event {
                    task: t as u32,
                    side: side as u8,
                    value: self.ends[side][t],
                    before: self.latest[side][t],
                    source: START,
                    lit: None,
                });
                let event = self.events.len() as u32 - 1;
                self.latest[side][t] = event;
                self.queue.push(event);
            }
        }
        true
    }

    fn back(&mut self, level: usize) {
        if level >= self.begins.len() {
            return;
        }
        for event in self.events.drain(self.begins[level]..).rev() {
            self.latest[event.side as usize][event.task as usize] = event.before;
        }
        self.begins.truncate(level);
        for side in [EARLY, LATE] {
            for (t, &event) in self.latest[side].iter().enumerate() {
                if event != START {
                    self.ends[side][t] = self.events[event as usize].value;
                }
            }
        }
        self.clauses.back(level);
        self.told = self.told.min(self.clauses.trail.len());
        self.queue.clear();
    }

    /// Draws all that follows; false at a contradiction, which is then in `conflict`.
    fn follow(&mut self) -> bool {
        let (before, count) = (self.events.len(), self.model.tasks.len());
        loop {
            if let Err(clause) = self.clauses.follow() {
                let lits = self.clauses.clause(clause).iter();
                self.conflict = lits.map(|&lit| not(lit)).collect();
                self.queue.clear();
                return false;
            }
            while self.told < self.clauses.trail.len() {
                let lit = self.clauses.trail[self.told];
                self.told += 1;
                if lit.is_multiple_of(2) && !self.tell(lit) {
                    self.queue.clear();
                    return false;
                }
            }
            let Some(event) = self.queue.pop() else {
                if self.clauses.trail.len() > self.told {
                    continue;
                }
                if !self.loads_fit() {
                    return false;
                }
                return true;
            };
            self.long = self.events.len() > before + 4 * count;
            if self.events.len() > before + 5_000 * count {
                self.gave_up = true;
                self.queue.clear();
                return false;
            }
            if !self.spread(event) {
                self.queue.clear();
                return false;
            }
        }
    }

    /// A statement that became true moves the windows of its works.
    fn tell(&mut self, lit: Lit) -> bool {
        let (a, b) = self.pairs[(lit / 2) as usize];
        let takes = self.model.tasks[a].takes;
        let early = self.ends[EARLY][a] + takes;
        let late = self.ends[LATE][b] - takes;
        self.narrow(EARLY, b, early, self.latest[EARLY][a], Some(lit))
            && self.narrow(LATE, a, late, self.latest[LATE][b], Some(lit))
    }

    /// Narrows a window at one end.
    fn narrow(&mut self, side: usize, t: usize, to: f64, source: u32, lit: Option<Lit>) -> bool {
        let model = self.model;
        let task = &model.tasks[t];
        if task.begun {
            // What has begun isn't judged by gaps, but hands that are busy are busy.
            let kept = match side {
                EARLY => to <= self.ends[LATE][t] + EPS,
                _ => to >= self.ends[EARLY][t] - EPS,
            };
            if lit.is_none() || kept {
                return true;
            }
        }
        let old = self.ends[side][t];
        let (further, to) = match side {
            EARLY => (to > old + 1e-9, model.hours.first(to, task.takes)),
            _ => (to < old - 1e-9, model.hours.last(to, task.takes)),
        };
        if !further {
            return true;
        }
        let other = self.ends[1 - side][t];
        let closed = match side {
            EARLY => to > other + EPS,
            _ => to < other - EPS,
        };
        if closed {
            let mut causes = Vec::from_iter(lit);
            // It is enough that the two ends just pass each other.
            let beyond = if side == EARLY { 2.0 * EPS } else { -2.0 * EPS };
            let event = Event {
                task: t as u32,
                side: side as u8,
                value: to,
                before: START,
                source,
                lit,
            };
            let need = self.needed(&event, other + beyond);
            let spare = self.walk(source, need, &mut causes);
            let other = if side == EARLY {
                other + spare
            } else {
                other - spare
            };
            self.walk(self.latest[1 - side][t], other, &mut causes);
            self.conflict = causes;
            return false;
        }
        if task.fixed.is_some()
            || (self.long && model.steady && self.comes_round(side, t, source, lit))
        {
            return task.fixed.is_some();
        }
        self.events.push(Event {
            task: t as u32,
            side: side as u8,
            value: to,
            before: self.latest[side][t],
            source,
            lit,
        });
        let event = self.events.len() as u32 - 1;
        self.latest[side][t] = event;
        self.ends[side][t] = to;
        self.queue.push(event);
        true
    }

    /// Whether an end would move because it moved. In a steady day it would then move for ever,
    /// and the statements on the way round are the contradiction.
    fn comes_round(&mut self, side: usize, t: usize, source: u32, lit: Option<Lit>) -> bool {
        let mut causes = Vec::from_iter(lit);
        let mut at = source;
        while at != START {
            let event = &self.events[at as usize];
            if event.task as usize == t && event.side as usize == side {
                self.conflict = causes;
                return true;
            }
            causes.extend(event.lit);
            at = event.source;
        }
        false
    }

    /// What follows from an end of a window that moved.
    fn spread(&mut self, event: u32) -> bool {
        let model = self.model;
        let Event { task, side, .. } = self.events[event as usize];
        let (t, side) = (task as usize, side as usize);
        // A later move of the same end says more.
        if self.latest[side][t] != event {
            return true;
        }
        let task = &model.tasks[t];
        let at = self.ends[side][t];
        let end = at + task.takes;
        if side == EARLY {
            if let Some(next) = task.next {
                let ready = model.ready(&model.tasks[next], end);
                if !self.narrow(EARLY, next, ready, event, None) {
                    return false;
                }
            }
            if let Some(prev) = task.prev.filter(|_| task.most.is_finite() && !task.begun) {
                let holds = model.holds(task, at) - model.tasks[prev].takes;
                if !self.narrow(EARLY, prev, holds, event, None) {
                    return false;
                }
            }
            if let Some(twin) = self.after_twin[t]
                && !self.narrow(EARLY, twin, at, event, None)
            {
                return false;
            }
            for n in 0..self.firsts[t].len() {
                let lit = self.firsts[t][n];
                let b = self.pairs[(lit / 2) as usize].1;
                if self.clauses.is_true(lit) {
                    if !self.narrow(EARLY, b, end, event, Some(lit)) {
                        return false;
                    }
                } else if self.clauses.is_open(lit) && end > self.ends[LATE][b] + EPS {
                    let why = Reason::Times(event, self.latest[LATE][b]);
                    self.clauses.set(not(lit), why);
                }
            }
        } else {
            if let Some(prev) = task.prev.filter(|_| !task.begun) {
                let needs = model.needs(task, at) - model.tasks[prev].takes;
                if !self.narrow(LATE, prev, needs, event, None) {
                    return false;
                }
            }
            if let Some(next) = task.next.filter(|&next| model.tasks[next].most.is_finite()) {
                let until = model.until(&model.tasks[next], end);
                if !self.narrow(LATE, next, until, event, None) {
                    return false;
                }
            }
            if let Some(twin) = self.before_twin[t]
                && !self.narrow(LATE, twin, at, event, None)
            {
                return false;
            }
            for n in 0..self.seconds[t].len() {
                let lit = self.seconds[t][n];
                let a = self.pairs[(lit / 2) as usize].0;
                let takes = model.tasks[a].takes;
                if self.clauses.is_true(lit) {
                    if !self.narrow(LATE, a, at - takes, event, Some(lit)) {
                        return false;
                    }
                } else if self.clauses.is_open(lit) && self.ends[EARLY][a] + takes > at + EPS {
                    let why = Reason::Times(self.latest[EARLY][a], event);
                    self.clauses.set(not(lit), why);
                }
            }
        }
        true
    }

    /// The statements that make an end go as far as `need`, the event and those before it of the
    /// same end. An earlier event may do, and what that follows from need not have gone further
    /// than `need` asks for. Gives by how much, in a steady day, all of it goes too far.
    fn walk(&self, event: u32, need: f64, causes: &mut Vec<Lit>) -> f64 {
        let (mut at, mut need) = (event, need);
        while at != START {
            let mut event = &self.events[at as usize];
            let early = event.side as usize == EARLY;
            while event.before != START {
                let before = &self.events[event.before as usize];
                let far = if early {
                    before.value >= need
                } else {
                    before.value <= need
                };
                if !far {
                    break;
                }
                event = before;
            }
            causes.extend(event.lit);
            if event.source == START {
                return if self.model.steady {
                    (event.value - need).abs()
                } else {
                    0.0
                };
            }
            need = self.needed(event, need);
            at = event.source;
        }
        0.0
    }

    /// How far the source of an event has to go for the event to go as far as `need`.
    fn needed(&self, event: &Event, need: f64) -> f64 {
        let model = self.model;
        let t = event.task as usize;
        let task = &model.tasks[t];
        let source = self.events[event.source as usize].task as usize;
        // Up to an opening it is enough to miss the closing before it.
        let need = match event.side as usize {
            _ if model.hours.is_always() => need,
            EARLY if model.hours.first(need - 3.0 * EPS, task.takes) < need - 1e-9 => need,
            EARLY => need.min(model.hours.last(need - 3.0 * EPS, task.takes) + 4.0 * EPS),
            _ if model.hours.last(need + 3.0 * EPS, task.takes) > need + 1e-9 => need,
            _ => need.max(model.hours.first(need + 3.0 * EPS, task.takes) - 4.0 * EPS),
        };
        let lag = |first: usize| model.tasks[first].takes;
        let early = event.side as usize == EARLY;
        match event.lit {
            Some(_) if early => need - lag(source),
            Some(_) => need + lag(t),
            None if task.prev == Some(source) && early => model.needs(task, need) - lag(source),
            None if task.next == Some(source) && early => {
                model.until(&model.tasks[source], need + lag(t))
            }
            None if task.next == Some(source) => model.ready(&model.tasks[source], need + lag(t)),
            None if task.prev == Some(source) => model.holds(task, need) - lag(source),
            None => need,
        }
    }

    /// Whether the works between any two times are not more than hands can do; else they are the
    /// contradiction.
    fn loads_fit(&mut self) -> bool {
        let model = self.model;
        for crew in 0..model.crews.len() {
            let tasks = model.tasks.iter().enumerate();
            let mut tasks: Vec<usize> = tasks
                .filter(|(_, task)| task.crew == crew && !task.begun)
                .map(|(t, _)| t)
                .collect();
            let late = |t: usize| self.ends[LATE][t] + model.tasks[t].takes;
            tasks.sort_by(|&a, &b| late(a).total_cmp(&late(b)));
            let hands = model.crews[crew] as f64;
            for &first in &tasks {
                let r = self.ends[EARLY][first];
                let mut work = 0.0;
                for (n, &t) in tasks.iter().enumerate() {
                    if self.ends[EARLY][t] < r {
                        continue;
                    }
                    work += model.tasks[t].takes;
                    let done = model.hours.after(r, work / hands);
                    if done > late(t) + EPS {
                        let deadline = late(t);
                        // In a steady day all may be as much earlier as they are too late.
                        let over = done - deadline - 2.0 * EPS;
                        let over = if model.steady { over } else { 0.0 };
                        let mut causes = Vec::new();
                        for &u in &tasks[..=n] {
                            if self.ends[EARLY][u] < r {
                                continue;
                            }
                            let late = deadline - model.tasks[u].takes;
                            self.walk(self.latest[EARLY][u], r - over, &mut causes);
                            self.walk(self.latest[LATE][u], late, &mut causes);
                        }
                        self.conflict = causes;
                        return false;
                    }
                }
            }
        }
        true
    }

    /// Works that can't all overlap and do, at their earliest starts.
    fn overlap(&self) -> Option<Vec<usize>> {
        let model = self.model;
        let early = &self.ends[EARLY];
        let mut busy: Vec<Vec<usize>> = vec![Vec::new(); model.crews.len()];
        for t in model.by_start(early) {
            let task = &model.tasks[t];
            let running = &mut busy[task.crew];
            let end = |t: usize| early[t] + model.tasks[t].takes;
            running.retain(|&other| end(other) > early[t] + EPS);
            if running.len() >= model.crews[task.crew] && !task.begun {
                // Of more than are needed, those that end first.
                running.sort_by(|&a, &b| end(a).total_cmp(&end(b)));
                let mut works = running[..model.crews[task.crew]].to_vec();
                works.push(t);
                return Some(works);
            }
            running.push(t);
        }
        None
    }

    /// Tries a statement about works that can't all overlap; false if none is open, which is a
    /// contradiction.
    fn try_one(&mut self, works: &[usize]) -> bool {
        let n = self.model.tasks.len();
        let mut lits = Vec::new();
        for &a in works {
            for &b in works {
                lits.extend(self.statement[a * n + b]);
            }
        }
        let push = |lit: Lit| {
            let (a, b) = self.pairs[(lit / 2) as usize];
            self.ends[EARLY][a] + self.model.tasks[a].takes - self.ends[EARLY][b]
        };
        let open = lits
            .iter()
            .copied()
            .filter(|&lit| self.clauses.is_open(lit));
        let best = open.clone().max_by(|&a, &b| {
            let by_activity = self
                .clauses
                .activity(a)
                .total_cmp(&self.clauses.activity(b));
            by_activity.then(push(b).total_cmp(&push(a)))
        });
        let count = open.clone().count();
        // One of them has to hold. Those that are open come first, and then those that became
        // false last, to be watched.
        let mut known = None;
        if self.known.insert(works.to_vec()) {
            let clauses = &self.clauses;
            lits.sort_by_key(|&lit| (!clauses.is_open(lit), u32::MAX - clauses.level_of(lit)));
            known = Some(self.clauses.add(lits.clone()));
        }
        match (best, known) {
            (Some(lit), Some(clause)) if count == 1 => {
                self.clauses.set(lit, Reason::Clause(clause))
            }
            (Some(lit), _) => {
                self.begins.push(self.events.len());
                self.clauses.deeper();
                self.clauses.set(lit, Reason::None);
            }
            (None, _) => {
                self.conflict = lits.into_iter().map(not).collect();
                return false;
            }
        }
        true
    }

    /// Learns from the contradiction and goes back to where it could have been avoided; false if
    /// it can't be.
    fn resolve(&mut self) -> bool {
        let deepest = self.conflict.iter().map(|&lit| self.clauses.level_of(lit));
        let deepest = deepest.max().unwrap_or(0) as usize;
        if deepest == 0 {
            return false;
        }
        let conflict = std::mem::take(&mut self.conflict);
        // Nothing that came later has to do with it.
        if deepest < self.clauses.levels() {
            self.back(deepest);
        }
        let mut clauses = std::mem::take(&mut self.clauses);
        let (learnt, level) = clauses.learn(&conflict, &|clauses, lit, causes| match clauses
            .reason_of(lit)
        {
            Reason::None => {}
            Reason::Clause(number) => {
                let others = clauses.clause(number).iter();
                causes.extend(
                    others
                        .filter(|&&other| other != lit)
                        .map(|&other| not(other)),
                );
            }
            Reason::Times(early, late) => {
                let at = self.events[late as usize].value;
                let a = self.pairs[(lit / 2) as usize].0;
                let need = at - self.model.tasks[a].takes + 2.0 * EPS;
                let spare = self.walk(early, need, causes);
                self.walk(late, at + spare, causes);
            }
        });
        self.clauses = clauses;
        self.back(level);
        let first = learnt[0];
        if learnt.len() == 1 {
            self.clauses.set(first, Reason::None);
        } else {
            let number = self.clauses.add(learnt);
            self.clauses.set(first, Reason::Clause(number));
        }
        true
    }
}
