//! Why an end of a window lies where it lies.

use super::clauses::Lit;
use super::hours::EPS;
use super::learn::{EARLY, Event, START, Search};

impl Search<'_> {
    /// The statements that make an end go as far as `need`, the event and those before it of the
    /// same end. An earlier event may do, and what that follows from need not have gone further
    /// than `need` asks for. Gives by how much, in a steady day, all of it goes too far.
    pub(super) fn walk(&self, event: u32, need: f64, causes: &mut Vec<Lit>) -> f64 {
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
    pub(super) fn needed(&self, event: &Event, need: f64) -> f64 {
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

    /// Whether an end would move because it moved. In a steady day it would then move for ever,
    /// and the statements on the way round are the contradiction.
    pub(super) fn comes_round(
        &mut self,
        side: usize,
        t: usize,
        source: u32,
        lit: Option<Lit>,
    ) -> bool {
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
}
