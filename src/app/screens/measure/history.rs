//! Undo and redo of one value.

/// How many steps back are kept.
const STEPS: usize = 200;

/// The states before and after the present one.
#[derive(Clone, Debug)]
pub struct History<T> {
    past: Vec<T>,
    future: Vec<T>,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        Self {
            past: Vec::new(),
            future: Vec::new(),
        }
    }
}

impl<T> History<T> {
    /// Keeps the state that a change is about to leave behind.
    pub fn keep(&mut self, before: T) {
        self.future.clear();
        if self.past.len() == STEPS {
            self.past.remove(0);
        }
        self.past.push(before);
    }

    /// The state before, in exchange for the present one.
    pub fn undo(&mut self, present: T) -> Option<T> {
        let before = self.past.pop()?;
        self.future.push(present);
        Some(before)
    }

    /// The state that the last undo left, in exchange for the present one.
    pub fn redo(&mut self, present: T) -> Option<T> {
        let after = self.future.pop()?;
        self.past.push(present);
        Some(after)
    }

    /// Forgets the last kept state, when its change was taken back before anyone saw it.
    pub fn forget(&mut self) -> Option<T> {
        self.past.pop()
    }

    /// Whether there is a step back.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is a step forward.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undo_and_redo_walk_the_same_states() {
        let mut history = History::default();
        history.keep(1);
        history.keep(2);
        assert_eq!(history.undo(3), Some(2));
        assert_eq!(history.undo(2), Some(1));
        assert_eq!(history.undo(1), None);
        assert_eq!(history.redo(1), Some(2));
        assert_eq!(history.redo(2), Some(3));
        assert!(!history.can_redo() && history.can_undo());
    }

    #[test]
    fn a_new_change_ends_the_redo() {
        let mut history = History::default();
        history.keep(1);
        history.undo(2);
        history.keep(1);
        assert_eq!(history.redo(5), None);
    }

    #[test]
    fn a_change_taken_back_leaves_no_step() {
        let mut history = History::default();
        history.keep(1);
        history.keep(2);
        assert_eq!(history.forget(), Some(2));
        assert_eq!(history.undo(2), Some(1));
    }

    #[test]
    fn the_oldest_steps_are_let_go() {
        let mut history = History::default();
        for i in 0..=STEPS {
            history.keep(i);
        }
        let mut last = None;
        while let Some(state) = history.undo(0) {
            last = Some(state);
        }
        assert_eq!(last, Some(1));
    }
}
