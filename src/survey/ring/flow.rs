//! The cut of least cost through a net of places, by growing two trees.
//!
//! Method: Y. Boykov and V. Kolmogorov, "An experimental comparison of min-cut/max-flow
//! algorithms for energy minimization in vision", PAMI 26 (2004). After a cut the costs of single
//! places may change and the flow found so far stays good: P. Kohli and P. Torr, "Dynamic graph
//! cuts for efficient inference in Markov random fields", PAMI 29 (2007).
//!
//! Costs are whole numbers, so that a cut is the same on every machine.

use std::collections::VecDeque;

/// No neighbour, or no parent.
pub(super) const NONE: u32 = u32::MAX;
/// The parent is the source or the sink itself.
const ROOT: u8 = 8;
/// The parent was lost and another is being looked for.
const ORPHAN: u8 = 9;
/// In neither tree.
const FREE: u8 = 10;

/// A net of places with up to eight neighbours each; neighbour `k` sees this place as its
/// neighbour `7 - k`.
pub(super) struct Flow {
    neighbours: Vec<[u32; 8]>,
    /// What still can flow to each neighbour.
    room: Vec<[i32; 8]>,
    /// What still can flow from the source (positive) or to the sink (negative).
    excess: Vec<i32>,
    parent: Vec<u8>,
    in_sink_tree: Vec<bool>,
    /// When the distance to the root was last known to be right.
    seen: Vec<u32>,
    distance: Vec<u32>,
    active: VecDeque<u32>,
    queued: Vec<bool>,
    orphans: VecDeque<u32>,
    clock: u32,
}

impl Flow {
    /// A net in which nothing flows yet. `room` is what cutting each tie costs, both ways.
    pub fn new(neighbours: Vec<[u32; 8]>, room: Vec<[i32; 8]>) -> Self {
        let n = neighbours.len();
        Self {
            neighbours,
            room,
            excess: vec![0; n],
            parent: vec![FREE; n],
            in_sink_tree: vec![false; n],
            seen: vec![0; n],
            distance: vec![0; n],
            active: VecDeque::new(),
            queued: vec![false; n],
            orphans: VecDeque::new(),
            clock: 0,
        }
    }

    /// Makes it dearer (or, below zero, cheaper) by `cost` for a place to be on the sink's side.
    pub fn favour(&mut self, place: usize, cost: i32) {
        self.excess[place] += cost;
    }

    /// Whether a place is on the source's side of the last cut.
    pub fn is_source(&self, place: usize) -> bool {
        self.parent[place] != FREE && !self.in_sink_tree[place]
    }

    /// Finds the cut for the costs as they are now.
    pub fn cut(&mut self) {
        self.plant();
        while let Some(place) = self.next_active() {
            // The place stays the first to be looked at while it still finds ways.
            while self.parent[place] != FREE {
                let Some((from, slot)) = self.grow(place) else {
                    break;
                };
                self.clock += 1;
                self.augment(from, slot);
                self.adopt();
            }
        }
    }

    fn plant(&mut self) {
        self.active.clear();
        self.clock = 0;
        for place in 0..self.excess.len() {
            self.queued[place] = false;
            self.seen[place] = 0;
            self.distance[place] = 1;
            self.in_sink_tree[place] = self.excess[place] < 0;
            self.parent[place] = if self.excess[place] == 0 { FREE } else { ROOT };
            if self.excess[place] != 0 && self.has_free_neighbour(place) {
                self.queued[place] = true;
                self.active.push_back(place as u32);
            }
        }
    }

    /// Whether a neighbour is not on the same side by its own cost: the others need no look.
    fn has_free_neighbour(&self, place: usize) -> bool {
        let side = self.excess[place].signum();
        self.neighbours[place]
            .iter()
            .any(|&q| q != NONE && self.excess[q as usize].signum() != side)
    }

    fn activate(&mut self, place: usize) {
        if !self.queued[place] {
            self.queued[place] = true;
            self.active.push_back(place as u32);
        }
    }

    fn next_active(&mut self) -> Option<usize> {
        while let Some(place) = self.active.pop_front() {
            let place = place as usize;
            self.queued[place] = false;
            if self.parent[place] != FREE {
                return Some(place);
            }
        }
        None
    }

    /// The room left from a place to its neighbour at a slot, or the other way.
    fn room_between(&self, place: usize, slot: usize, next: usize, back: bool) -> i32 {
        if back {
            self.room[next][7 - slot]
        } else {
            self.room[place][slot]
        }
    }

    /// Grows the tree from a place. Where it meets the other tree, the tie is given, seen from
    /// the source's side.
    fn grow(&mut self, place: usize) -> Option<(usize, usize)> {
        let sink = self.in_sink_tree[place];
        for slot in 0..8 {
            let next = self.neighbours[place][slot];
            if next == NONE {
                continue;
            }
            let next = next as usize;
            let room = self.room_between(place, slot, next, sink);
            if room == 0 {
                continue;
            }
            if self.parent[next] == FREE {
                self.in_sink_tree[next] = sink;
                self.parent[next] = (7 - slot) as u8;
                self.seen[next] = self.seen[place];
                self.distance[next] = self.distance[place] + 1;
                self.activate(next);
            } else if self.in_sink_tree[next] != sink {
                return Some(if sink {
                    (next, 7 - slot)
                } else {
                    (place, slot)
                });
            } else if self.seen[next] <= self.seen[place]
                && self.distance[next] > self.distance[place]
                && self.parent[next] < ROOT
            {
                // A shorter way to the root.
                self.parent[next] = (7 - slot) as u8;
                self.seen[next] = self.seen[place];
                self.distance[next] = self.distance[place] + 1;
            }
        }
        None
    }

    /// Sends what can flow along the way through a tie from `from`.
    fn augment(&mut self, from: usize, slot: usize) {
        let to = self.neighbours[from][slot] as usize;
        let mut most = self.room[from][slot];
        let mut place = from;
        while self.parent[place] != ROOT {
            let up = self.parent[place] as usize;
            place = self.neighbours[place][up] as usize;
            most = most.min(self.room[place][7 - up]);
        }
        most = most.min(self.excess[place]);
        place = to;
        while self.parent[place] != ROOT {
            let up = self.parent[place] as usize;
            most = most.min(self.room[place][up]);
            place = self.neighbours[place][up] as usize;
        }
        most = most.min(-self.excess[place]);

        self.room[from][slot] -= most;
        self.room[to][7 - slot] += most;
        place = from;
        while self.parent[place] != ROOT {
            let up = self.parent[place] as usize;
            let above = self.neighbours[place][up] as usize;
            self.room[place][up] += most;
            self.room[above][7 - up] -= most;
            if self.room[above][7 - up] == 0 {
                self.orphan(place);
            }
            place = above;
        }
        self.excess[place] -= most;
        if self.excess[place] == 0 {
            self.orphan(place);
        }
        place = to;
        while self.parent[place] != ROOT {
            let up = self.parent[place] as usize;
            let above = self.neighbours[place][up] as usize;
            self.room[above][7 - up] += most;
            self.room[place][up] -= most;
            if self.room[place][up] == 0 {
                self.orphan(place);
            }
            place = above;
        }
        self.excess[place] += most;
        if self.excess[place] == 0 {
            self.orphan(place);
        }
    }

    fn orphan(&mut self, place: usize) {
        self.parent[place] = ORPHAN;
        self.orphans.push_front(place as u32);
    }

    /// Finds a new parent for each place that lost its own, or sets it free.
    fn adopt(&mut self) {
        while let Some(place) = self.orphans.pop_front() {
            let place = place as usize;
            let sink = self.in_sink_tree[place];
            let mut best = None;
            for slot in 0..8 {
                let next = self.neighbours[place][slot];
                if next == NONE {
                    continue;
                }
                let next = next as usize;
                let room = self.room_between(place, slot, next, !sink);
                if room == 0 || self.parent[next] == FREE || self.in_sink_tree[next] != sink {
                    continue;
                }
                if let Some(far) = self.steps_to_root(next)
                    && best.is_none_or(|(least, _)| far < least)
                {
                    best = Some((far, slot));
                }
            }
            if let Some((far, slot)) = best {
                self.parent[place] = slot as u8;
                self.seen[place] = self.clock;
                self.distance[place] = far + 1;
                continue;
            }
            for slot in 0..8 {
                let next = self.neighbours[place][slot];
                if next == NONE {
                    continue;
                }
                let next = next as usize;
                if self.parent[next] == FREE || self.in_sink_tree[next] != sink {
                    continue;
                }
                let room = self.room_between(place, slot, next, !sink);
                if room > 0 {
                    self.activate(next);
                }
                if self.parent[next] == (7 - slot) as u8 {
                    self.parent[next] = ORPHAN;
                    self.orphans.push_back(next as u32);
                }
            }
            self.parent[place] = FREE;
        }
    }

    /// Steps from a place to its tree's root; `None` when the way ends at an orphan.
    fn steps_to_root(&mut self, from: usize) -> Option<u32> {
        let mut steps = 0;
        let mut place = from;
        let whole = loop {
            if self.seen[place] == self.clock {
                break steps + self.distance[place];
            }
            match self.parent[place] {
                ROOT => {
                    self.seen[place] = self.clock;
                    self.distance[place] = 1;
                    break steps + 1;
                }
                ORPHAN => return None,
                up => {
                    steps += 1;
                    place = self.neighbours[place][up as usize] as usize;
                }
            }
        };
        // What was learnt is kept along the way.
        let mut far = whole;
        let mut place = from;
        while self.seen[place] != self.clock {
            self.seen[place] = self.clock;
            self.distance[place] = far;
            far -= 1;
            place = self.neighbours[place][self.parent[place] as usize] as usize;
        }
        Some(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grid in which each place is tied to the places right and below, by chance.
    struct Small {
        wide: usize,
        ties: Vec<[i32; 8]>,
        neighbours: Vec<[u32; 8]>,
        own: Vec<i32>,
    }

    fn small(seed: u64) -> Small {
        let (wide, high) = (4, 3);
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        let mut chance = |most: u64| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state % most) as i32
        };
        let mut net = Small {
            wide,
            ties: vec![[0; 8]; wide * high],
            neighbours: vec![[NONE; 8]; wide * high],
            own: (0..wide * high).map(|_| chance(41) - 20).collect(),
        };
        for place in 0..wide * high {
            // Slot 4 is to the right and slot 6 below; 3 and 1 are their opposites.
            for (slot, next, is) in [
                (4, place + 1, (place + 1) % wide != 0),
                (6, place + wide, place + wide < wide * high),
            ] {
                if is {
                    let cost = chance(12);
                    net.neighbours[place][slot] = next as u32;
                    net.neighbours[next][7 - slot] = place as u32;
                    net.ties[place][slot] = cost;
                    net.ties[next][7 - slot] = cost;
                }
            }
        }
        net
    }

    impl Small {
        /// The cost of a labelling; bit set: on the source's side.
        fn cost(&self, sides: usize) -> i32 {
            let on = |p: usize| sides >> p & 1 == 1;
            let own: i32 = (0..self.own.len())
                .map(|p| match (on(p), self.own[p]) {
                    (false, cost) if cost > 0 => cost,
                    (true, cost) if cost < 0 => -cost,
                    _ => 0,
                })
                .sum();
            let ties: i32 = (0..self.own.len())
                .flat_map(|p| [(p, 4), (p, 6)])
                .filter(|&(p, slot)| {
                    let next = self.neighbours[p][slot];
                    next != NONE && on(p) != on(next as usize)
                })
                .map(|(p, slot)| self.ties[p][slot])
                .sum();
            own + ties
        }

        fn least(&self) -> i32 {
            (0..1 << self.own.len())
                .map(|s| self.cost(s))
                .min()
                .unwrap()
        }

        fn found(&self, flow: &Flow) -> i32 {
            let sides = (0..self.own.len()).filter(|&p| flow.is_source(p));
            self.cost(sides.map(|p| 1 << p).sum())
        }
    }

    #[test]
    fn the_cut_costs_the_least_also_after_a_change() {
        for seed in 1..60 {
            let mut net = small(seed);
            let mut flow = Flow::new(net.neighbours.clone(), net.ties.clone());
            for (place, cost) in net.own.iter().enumerate() {
                flow.favour(place, *cost);
            }
            flow.cut();
            assert_eq!(net.found(&flow), net.least(), "net {seed}");
            for place in [0, 5, net.wide * 2] {
                let change = if seed % 2 == 0 { 60 } else { -60 };
                net.own[place] += change;
                flow.favour(place, change);
            }
            flow.cut();
            assert_eq!(net.found(&flow), net.least(), "net {seed}, changed");
        }
    }
}
