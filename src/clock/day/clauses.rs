//! Statements that are true or false, clauses over them, and what follows.
//!
//! The usual machinery of conflict-driven clause learning: two watched literals, and from each
//! contradiction a clause by its first unique implication point (Marques-Silva and Sakallah, IEEE
//! Transactions on Computers 48, 1999; Moskewicz and others, Design Automation Conference 2001).

/// A statement or its opposite: twice the statement's number, and one more for the opposite.
pub(super) type Lit = u32;

/// The opposite.
pub(super) fn not(lit: Lit) -> Lit {
    lit ^ 1
}

/// Why a literal is true.
#[derive(Clone, Copy, Debug)]
pub(super) enum Reason {
    /// It was tried, or holds for good.
    None,
    /// A clause has no other literal left.
    Clause(u32),
    /// Two windows say so, by their events.
    Times(u32, u32),
}

/// Clauses and what is true now.
#[derive(Clone, Debug, Default)]
pub(super) struct Clauses {
    clauses: Vec<Vec<Lit>>,
    watches: Vec<Vec<u32>>,
    /// By literal: whether it is true, the level at which it became so, and why.
    truth: Vec<bool>,
    level: Vec<u32>,
    reason: Vec<Reason>,
    /// True literals in the order in which they became so, and where each level begins.
    pub trail: Vec<Lit>,
    begins: Vec<usize>,
    seen: usize,
    /// How much each statement had to do with contradictions lately.
    activity: Vec<f64>,
    bump: f64,
}

impl Clauses {
    /// Of so many statements.
    pub fn of(count: usize) -> Self {
        Self {
            watches: vec![Vec::new(); 2 * count],
            truth: vec![false; 2 * count],
            level: vec![0; count],
            reason: vec![Reason::None; count],
            activity: vec![0.0; count],
            bump: 1.0,
            ..Self::default()
        }
    }

    pub fn is_true(&self, lit: Lit) -> bool {
        self.truth[lit as usize]
    }

    pub fn is_open(&self, lit: Lit) -> bool {
        !self.is_true(lit) && !self.is_true(not(lit))
    }

    pub fn levels(&self) -> usize {
        self.begins.len()
    }

    pub fn level_of(&self, lit: Lit) -> u32 {
        self.level[(lit / 2) as usize]
    }

    pub fn reason_of(&self, lit: Lit) -> Reason {
        self.reason[(lit / 2) as usize]
    }

    pub fn activity(&self, lit: Lit) -> f64 {
        self.activity[(lit / 2) as usize]
    }

    /// The clause of a reason.
    pub fn clause(&self, clause: u32) -> &[Lit] {
        &self.clauses[clause as usize]
    }

    /// Makes an open literal true.
    pub fn set(&mut self, lit: Lit, reason: Reason) {
        self.truth[lit as usize] = true;
        self.level[(lit / 2) as usize] = self.begins.len() as u32;
        self.reason[(lit / 2) as usize] = reason;
        self.trail.push(lit);
    }

    /// Begins a level.
    pub fn deeper(&mut self) {
        self.begins.push(self.trail.len());
    }

    /// Goes back to a level.
    pub fn back(&mut self, level: usize) {
        if level < self.begins.len() {
            for lit in self.trail.drain(self.begins[level]..) {
                self.truth[lit as usize] = false;
            }
            self.begins.truncate(level);
            self.seen = self.seen.min(self.trail.len());
        }
    }

    /// Adds a clause of two literals or more, the first two of which are open or became false last;
    /// gives its number.
    pub fn add(&mut self, lits: Vec<Lit>) -> u32 {
        let number = self.clauses.len() as u32;
        for &lit in lits.iter().take(2) {
            self.watches[lit as usize].push(number);
        }
        self.clauses.push(lits);
        number
    }

    /// Draws what follows from the clauses; a clause that is false is a contradiction.
    pub fn follow(&mut self) -> Result<(), u32> {
        while self.seen < self.trail.len() {
            let lie = not(self.trail[self.seen]);
            self.seen += 1;
            let watching = std::mem::take(&mut self.watches[lie as usize]);
            let mut kept = Vec::with_capacity(watching.len());
            let mut contradiction = None;
            for (n, &number) in watching.iter().enumerate() {
                let truth = &self.truth;
                let clause = &mut self.clauses[number as usize];
                if clause[0] == lie {
                    clause.swap(0, 1);
                }
                let other = clause[0];
                if truth[other as usize] {
                    kept.push(number);
                    continue;
                }
                let more = (2..clause.len()).find(|&i| !truth[not(clause[i]) as usize]);
                if let Some(i) = more {
                    clause.swap(1, i);
                    self.watches[clause[1] as usize].push(number);
                    continue;
                }
                kept.push(number);
                if truth[not(other) as usize] {
                    contradiction = Some(number);
                    kept.extend_from_slice(&watching[n + 1..]);
                    break;
                }
                self.set(other, Reason::Clause(number));
            }
            self.watches[lie as usize] = kept;
            if let Some(number) = contradiction {
                self.seen = self.trail.len();
                return Err(number);
            }
        }
        Ok(())
    }

    /// Learns from a contradiction between true literals, the last of which became so at the
    /// deepest level: the clause that would have avoided it, its literal to be set first, and the
    /// level on which that follows. `why` tells which true literals make a literal true.
    pub fn learn(
        &mut self,
        contradiction: &[Lit],
        why: &dyn Fn(&Self, Lit, &mut Vec<Lit>),
    ) -> (Vec<Lit>, usize) {
        let depth = self.begins.len() as u32;
        let mut marked = vec![false; self.level.len()];
        let mut learnt = vec![0];
        let mut open = 0;
        let mut causes = contradiction.to_vec();
        let mut at = self.trail.len();
        loop {
            for &lit in &causes {
                let statement = (lit / 2) as usize;
                if marked[statement] || self.level[statement] == 0 {
                    continue;
                }
                marked[statement] = true;
                self.activity[statement] += self.bump;
                if self.level[statement] == depth {
                    open += 1;
                } else {
                    learnt.push(not(lit));
                }
            }
            let lit = loop {
                at -= 1;
                let lit = self.trail[at];
                if marked[(lit / 2) as usize] {
                    break lit;
                }
            };
            open -= 1;
            if open == 0 {
                learnt[0] = not(lit);
                break;
            }
            causes.clear();
            why(self, lit, &mut causes);
        }
        self.bump /= 0.95;
        if self.bump > 1e100 {
            self.activity.iter_mut().for_each(|a| *a *= 1e-100);
            self.bump *= 1e-100;
        }
        // The second literal watched is the one that became false last.
        let mut level = 0;
        for i in 1..learnt.len() {
            if self.level_of(learnt[i]) as usize > level {
                level = self.level_of(learnt[i]) as usize;
                learnt.swap(1, i);
            }
        }
        (learnt, level)
    }
}
