//! The search: two lists that grow kind by kind, and the pairs of them.

use super::goal::{Goal, Outside, Steps};
use super::pairs::best_pair;
use super::way::{Note, Way, with_lot};
use super::worth::Worth;
use super::{Cover, Kind, Slack};
use std::cmp::Ordering;

/// The longest a list may get: first for a good way to start from, then to be exact. What a list
/// would have more is thinned out. That bounds memory; it happens where sizes are told to the
/// microgram and prices are all but in proportion to them.
const LONGEST: [usize; 2] = [128, 40_000];

/// After so many steps lists are kept as short as at first: bounds the time, to about a second on
/// a slow phone.
const MOST_STEPS: usize = 6_000_000;

/// Where a list is longer than this, ways that are better by fewer packs alone aren't looked for.
const PACKS_COUNT_UP_TO: usize = 4000;

/// Pairs are tried early once a list has more than this and has doubled.
const WORTH_TRYING: usize = 500;

const NOTHING: (i64, f64) = (0, 0.0);

pub(super) struct Search<'a> {
    kinds: &'a [Kind],
    goal: Goal,
    /// The best way known.
    best_counts: Vec<u32>,
    /// The base's place among the kinds.
    base: Option<usize>,
    /// The other kinds that count: the shelf first, then by price per mass.
    order: Vec<usize>,
    /// How many of them are in the lists, and in which.
    sides: Vec<usize>,
    lists: [Vec<Way>; 2],
    notes: Vec<Note>,
    /// The kind that is being added.
    adding: usize,
    longest: usize,
    steps: usize,
    thinned: bool,
}

impl<'a> Search<'a> {
    pub fn new(need: i64, kinds: &'a [Kind], slack: Slack) -> Option<Self> {
        let mut order: Vec<usize> = (0..kinds.len())
            .filter(|i| kinds[*i].on_shelf != Some(0) && !is_beaten(kinds, *i))
            .collect();
        // Masses go in steps, and so do costs.
        let mass_step = order.iter().fold(0, |a, i| gcd(a, kinds[*i].size)).max(1);
        let cost_step = order.iter().fold(0, |a, i| gcd(a, kinds[*i].price)).max(1);
        let need = (need + mass_step - 1) / mass_step * mass_step;
        order.sort_by(|i, j| by_value(&kinds[*i], &kinds[*j]));
        let bought = order.iter().position(|i| kinds[*i].on_shelf.is_none());
        let base = bought.map(|at| order.remove(at));

        // To start from: everything on the shelf, then packs of one kind.
        let (shelf, bought): (Vec<usize>, Vec<usize>) = order
            .iter()
            .copied()
            .chain(base)
            .partition(|i| kinds[*i].on_shelf.is_some());
        let mut best_counts = vec![0; kinds.len()];
        let mut free = Worth::default();
        for i in shelf {
            let count = kinds[i].most_for(need);
            free = free.plus(kinds[i].worth().times(count));
            best_counts[i] = count as u32;
        }
        let missing = (need - free.mass).max(0);
        let mut best = free;
        if missing > 0 {
            let alone = |i: &usize| kinds[*i].worth().times(kinds[*i].most_for(missing));
            let i = bought.iter().copied().min_by_key(alone)?;
            best = free.plus(alone(&i));
            best_counts[i] = kinds[i].most_for(missing) as u32;
        }
        let bought: Vec<&Kind> = bought.iter().map(|i| &kinds[*i]).collect();
        Some(Self {
            kinds,
            goal: Goal {
                need,
                base: base.map(|i| kinds[i]),
                steps: Steps::best(missing, &bought),
                largest: kinds.iter().map(|kind| kind.size).max().unwrap_or(1),
                slack: Slack {
                    cost: slack.cost.max(cost_step - 1),
                    mass: slack.mass,
                },
                best,
            },
            best_counts,
            base,
            order,
            sides: Vec::new(),
            lists: Default::default(),
            notes: vec![Note::default()],
            adding: 0,
            longest: 0,
            steps: 0,
            thinned: false,
        })
    }

    pub fn solve(mut self) -> Cover {
        for longest in LONGEST {
            self.longest = longest;
            self.steps = 0;
            self.thinned = false;
            self.go_through();
            if !self.thinned {
                break;
            }
        }
        Cover {
            proven: !self.thinned || self.goal.is_close(self.free(&self.order)),
            counts: self.best_counts,
        }
    }

    fn go_through(&mut self) {
        self.lists = [vec![Way::default()], vec![Way::default()]];
        self.notes.truncate(1);
        self.sides.clear();
        self.try_pairs();
        for at in 0..self.order.len() {
            if self.lists.iter().any(Vec::is_empty) {
                // Not even an empty list promises anything.
                return;
            }
            let side = usize::from(self.lists[0].len() > self.lists[1].len());
            self.sides.push(side);
            if self.add(self.order[at], side) {
                self.try_pairs();
                for side in 0..2 {
                    let outside = self.outside(side, NOTHING);
                    self.drop_hopeless(side, &outside);
                    self.thin_out(side);
                }
            }
        }
    }

    fn try_pairs(&mut self) {
        let [one, other] = &self.lists;
        let (pair, steps) = best_pair(one, other, &self.goal);
        self.steps += steps;
        if let Some(pair) = pair {
            self.take(pair.worth, &pair.parts, pair.filled);
        }
    }

    /// Takes a way as the best one: its parts and so many base packs.
    fn take(&mut self, worth: Worth, parts: &[Way], filled: i64) {
        self.goal.best = worth;
        self.best_counts.fill(0);
        if let Some(base) = self.base {
            self.best_counts[base] = filled as u32;
        }
        for part in parts {
            self.best_counts[self.adding] += part.count;
            let mut at = part.note;
            while at > 0 {
                let note = self.notes[at as usize];
                self.best_counts[note.kind as usize] += note.count;
                at = note.before;
            }
        }
    }

    fn drop_hopeless(&mut self, side: usize, outside: &Outside) {
        let goal = &self.goal;
        self.steps += self.lists[side].len();
        self.lists[side].retain(|way| goal.promises(&way.worth, outside, true));
    }

    /// What may be added to a list's ways: all kinds that are not in it, and so much more of the
    /// kind that is being added to it.
    fn outside(&self, side: usize, at_hand: (i64, f64)) -> Outside {
        let elsewhere = |at: &usize| self.sides.get(*at) != Some(&side);
        let others: Vec<usize> = (0..self.order.len())
            .filter(elsewhere)
            .map(|at| self.order[at])
            .collect();
        let bought = others.iter().filter(|i| self.kinds[**i].on_shelf.is_none());
        Outside {
            free: self.free(&others),
            ratio: bought.fold(f64::INFINITY, |least, i| least.min(self.kinds[*i].ratio())),
            at_hand,
        }
    }

    /// The mass of the packs on the shelf among some kinds.
    fn free(&self, among: &[usize]) -> i64 {
        let kinds = among.iter().map(|i| &self.kinds[*i]);
        kinds
            .filter(|kind| kind.on_shelf.is_some())
            .map(|kind| kind.size * kind.most_for(self.goal.need))
            .sum()
    }

    /// Adds any number of a kind to the ways of a list; says whether any is of use.
    fn add(&mut self, i: usize, side: usize) -> bool {
        let kind = self.kinds[i];
        self.adding = i;
        let mut most = kind.most_for(self.goal.need);
        if kind.price > 0 {
            most = most.min(self.goal.best.cost / kind.price);
        }
        let mut lots = lots(most);
        let mut tried = self.lists[side].len();
        while let Some(lot) = lots.pop() {
            let left = lots.iter().sum::<i64>() * kind.size;
            let outside = match kind.on_shelf {
                None => self.outside(side, (left, kind.ratio())),
                Some(_) => {
                    let others = self.outside(side, NOTHING);
                    Outside {
                        free: others.free + left,
                        ..others
                    }
                }
            };
            let (mut list, covering) =
                with_lot(&self.lists[side], &kind, lot, &self.goal, &outside);
            self.steps += self.lists[side].len() + list.len();
            if let Some(way) = covering
                && way.worth < self.goal.best
            {
                self.take(way.worth, &[way], 0);
            }
            if list.len() > PACKS_COUNT_UP_TO {
                list.retain(|way| self.goal.promises(&way.worth, &outside, false));
            }
            self.lists[side] = list;
            self.thin_out(side);
            if self.lists[side].len() > WORTH_TRYING.max(2 * tried) {
                self.try_pairs();
                self.drop_hopeless(side, &outside);
                tried = self.lists[side].len();
            }
        }
        let mut more = false;
        for way in self.lists[side].iter_mut().filter(|way| way.count > 0) {
            more = true;
            self.notes.push(Note {
                before: way.note,
                kind: i as u32,
                count: way.count,
            });
            way.note = self.notes.len() as u32 - 1;
            way.count = 0;
        }
        more
    }

    /// Thins a list out evenly if it is too long.
    fn thin_out(&mut self, side: usize) {
        if self.steps > MOST_STEPS {
            self.longest = LONGEST[0];
        }
        let list = &mut self.lists[side];
        if list.len() > self.longest {
            self.thinned = true;
            let every = list.len().div_ceil(self.longest);
            *list = list.iter().copied().step_by(every).collect();
        }
    }
}

/// Whether a kind to buy is never part of a best way, since another one covers as much for less;
/// or is the same as one before it.
fn is_beaten(kinds: &[Kind], i: usize) -> bool {
    let kind = &kinds[i];
    let beats = |j: usize, other: &Kind| {
        if j == i || other.on_shelf.is_some() {
            return false;
        }
        let instead = i128::from(other.price) * i128::from(other.most_for(kind.size));
        let same = (other.size, other.price) == (kind.size, kind.price);
        instead < i128::from(kind.price) || (same && j < i)
    };
    kind.on_shelf.is_none() && kinds.iter().enumerate().any(|(j, other)| beats(j, other))
}

/// The shelf first, large ones before small ones; then by price per mass, among equals the larger
/// one first.
fn by_value(a: &Kind, b: &Kind) -> Ordering {
    let across = |a: &Kind, b: &Kind| i128::from(a.price) * i128::from(b.size);
    a.on_shelf
        .is_none()
        .cmp(&b.on_shelf.is_none())
        .then_with(|| across(a, b).cmp(&across(b, a)))
        .then_with(|| b.size.cmp(&a.size))
}

/// Lots that make up every number up to the most, the largest last: 1, 2, 4 and so on, and what
/// then is left of it.
fn lots(most: i64) -> Vec<i64> {
    let (mut lots, mut left, mut lot) = (Vec::new(), most, 1);
    while left > 0 {
        lots.push(lot.min(left));
        left -= lot.min(left);
        lot *= 2;
    }
    lots.sort_unstable();
    lots
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
