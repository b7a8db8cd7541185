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

/// The two ends of a window.
pub(super) const EARLY: usize = 0;
pub(super) const LATE: usize = 1;

/// The event before all.
pub(super) const START: u32 = u32::MAX;

/// So many conflicts, and the search begins at the root again with what it learnt.
const RESTART: usize = 150;

/// What the search found.
pub(super) struct Found {
    /// The starts of the best plan, if one counts.
    pub starts: Option<Vec<f64>>,
    /// Whether it is proven that no plan is better, or that none counts.
    pub complete: bool,
}

/// One end of a window moved.
#[derive(Clone, Copy, Debug)]
pub(super) struct Event {
    pub task: u32,
    pub side: u8,
    pub value: f64,
    /// The event of the same end before this one, and what `value` follows from: the event of
    /// another end, and a statement.
    pub before: u32,
    pub source: u32,
    pub lit: Option<Lit>,
}

/// The search, with all that it has learnt.
pub(super) struct Search<'a> {
    pub model: &'a Model<'a>,
    pub clauses: Clauses,
    /// The two works of each statement.
    pub pairs: Vec<(usize, usize)>,
    /// The statements that each work comes first in, and those that it comes second in, each with
    /// the other work.
    pub firsts: Vec<Vec<(Lit, usize)>>,
    pub seconds: Vec<Vec<(Lit, usize)>>,
    /// By two works: the statement.
    pub statement: Vec<Option<Lit>>,
    /// Works that start no earlier than another, for good.
    pub after_twin: Vec<Option<usize>>,
    pub before_twin: Vec<Option<usize>>,
    pub ends: [Vec<f64>; 2],
    pub latest: [Vec<u32>; 2],
    pub events: Vec<Event>,
    pub begins: Vec<usize>,
    pub queue: Vec<u32>,
    /// Sets of works that are known not to overlap all.
    pub known: BTreeSet<Vec<usize>>,
    /// How many true literals have had their say on the windows.
    pub told: usize,
    /// The true literals that contradict each other.
    pub conflict: Vec<Lit>,
    pub gave_up: bool,
    /// The best starts that are known; none at first. Which of two works goes first is tried as
    /// they have it: better plans often lie near by.
    pub guide: Vec<f64>,
    /// Whether windows have moved so often that they may move for ever.
    pub long: bool,
}

impl<'a> Search<'a> {
    /// Searches for the earliest plan that is left by `leave`, learning from so many dead ends at
    /// most. With `first_only` any plan ends the search. What was learnt is kept for the next time;
    /// `leave` may not be later then.
    pub fn go(&mut self, leave: f64, most: usize, first_only: bool) -> Found {
        let mut found = Found {
            starts: None,
            complete: false,
        };
        let mut conflicts = 0;
        self.back(0);
        if !self.begin(leave) {
            found.complete = true;
            return found;
        }
        while conflicts < most {
            let mut sound = self.follow();
            if sound {
                let Some(works) = self.overlap() else {
                    let starts = self.ends[EARLY].clone();
                    self.guide.clone_from(&starts);
                    let better = self.model.leave(&starts) - self.model.step;
                    found.starts = Some(starts);
                    // A plan takes from the budget too, so that the search ends whatever it finds.
                    conflicts += 1;
                    self.back(0);
                    if first_only || !self.begin(better) {
                        found.complete = true;
                        return found;
                    }
                    continue;
                };
                sound = self.try_one(&works);
            }
            if self.gave_up {
                return found;
            }
            if !sound {
                conflicts += 1;
                if !self.resolve() {
                    found.complete = true;
                    return found;
                }
                if conflicts % RESTART == 0 {
                    self.back(0);
                }
            }
        }
        found
    }

    /// Of a day.
    pub fn of(model: &'a Model<'a>) -> Self {
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
                    firsts[a].push((lit, b));
                    seconds[b].push((lit, a));
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
            guide: Vec::new(),
            long: false,
        }
    }

    /// Sets the windows at the root for a day that is left by `leave`.
    fn begin(&mut self, leave: f64) -> bool {
        for t in 0..self.model.tasks.len() {
            let task = &self.model.tasks[t];
            let (early, late) = match task.fixed {
                // What has begun ends when it ends: nobody leaves before.
                Some(fixed) if task.begun && fixed + task.takes > leave + EPS => return false,
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
        let best = best.map(|lit| {
            let (a, b) = self.pairs[(lit / 2) as usize];
            let other = self.statement[b * n + a].filter(|&other| self.clauses.is_open(other));
            match other {
                Some(other) if !self.guide.is_empty() && self.guide[a] > self.guide[b] => other,
                _ => lit,
            }
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
                self.clauses.set(lit, Reason::Clause(clause));
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
