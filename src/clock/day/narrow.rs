//! How windows narrow while the learning search says more.

use super::clauses::{Lit, Reason, not};
use super::hours::EPS;
use super::learn::{EARLY, Event, LATE, START, Search};

impl Search<'_> {
    /// A statement that became true moves the windows of its works.
    pub(super) fn tell(&mut self, lit: Lit) -> bool {
        let (a, b) = self.pairs[(lit / 2) as usize];
        let takes = self.model.tasks[a].takes;
        let early = self.ends[EARLY][a] + takes;
        let late = self.ends[LATE][b] - takes;
        self.narrow(EARLY, b, early, self.latest[EARLY][a], Some(lit))
            && self.narrow(LATE, a, late, self.latest[LATE][b], Some(lit))
    }

    /// Narrows a window at one end.
    pub(super) fn narrow(
        &mut self,
        side: usize,
        t: usize,
        to: f64,
        source: u32,
        lit: Option<Lit>,
    ) -> bool {
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

    /// What follows from an end of a window that moved.
    pub(super) fn spread(&mut self, event: u32) -> bool {
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
                let (lit, b) = self.firsts[t][n];
                if end <= self.ends[EARLY][b] {
                    continue;
                }
                if self.clauses.is_true(lit) {
                    if !self.narrow(EARLY, b, end, event, Some(lit)) {
                        return false;
                    }
                } else if end > self.ends[LATE][b] + EPS && self.clauses.is_open(lit) {
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
                let (lit, a) = self.seconds[t][n];
                let takes = model.tasks[a].takes;
                if self.ends[LATE][a] + takes <= at {
                    continue;
                }
                if self.clauses.is_true(lit) {
                    if !self.narrow(LATE, a, at - takes, event, Some(lit)) {
                        return false;
                    }
                } else if self.ends[EARLY][a] + takes > at + EPS && self.clauses.is_open(lit) {
                    let why = Reason::Times(self.latest[EARLY][a], event);
                    self.clauses.set(not(lit), why);
                }
            }
        }
        true
    }

    /// Whether the works between any two times are not more than hands can do; else they are the
    /// contradiction.
    pub(super) fn loads_fit(&mut self) -> bool {
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
            // Most sets fit by far, as a count of open minutes shows: what is left is looked at.
            let open = |at: f64| model.hours.open_until(at);
            let spans: Vec<(f64, f64, f64, f64)> = tasks
                .iter()
                .map(|&t| {
                    let early = self.ends[EARLY][t];
                    (early, open(early), open(late(t)), model.tasks[t].takes)
                })
                .collect();
            for (i, &(r, begin, ..)) in spans.iter().enumerate() {
                if spans[..i].iter().any(|other| other.0 == r) {
                    continue;
                }
                let mut work = 0.0;
                for (n, &(early, _, end, takes)) in spans.iter().enumerate() {
                    if early < r {
                        continue;
                    }
                    work += takes;
                    if work <= (end - begin) * hands - EPS {
                        continue;
                    }
                    let t = tasks[n];
                    let done = model.hours.after(r, work / hands);
                    if done > late(t) + EPS {
                        let deadline = late(t);
                        // It is enough that the works can't begin before the last time from
                        // which hands could do them.
                        let need = model.hours.before(deadline, work / hands) + 2.0 * EPS;
                        let mut causes = Vec::new();
                        for &u in &tasks[..=n] {
                            if self.ends[EARLY][u] < r {
                                continue;
                            }
                            let late = deadline - model.tasks[u].takes;
                            self.walk(self.latest[EARLY][u], need.min(r), &mut causes);
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
}
