//! Crossings joined to a grid: from a seed outwards, each next one where its neighbours predict
//! it.

use super::saddle::{Saddle, apart, refined, sectors_at};
use crate::survey::{GreyView, Px};
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

/// A grid line's crossing: across, down.
pub(super) type Node = (i32, i32);

/// Crossings with their places in a grid. Across and down are right-handed in the picture, and
/// nothing else is known of them: the first node may be any.
#[derive(Clone, Debug, Default)]
pub(super) struct Lattice {
    pub(super) nodes: BTreeMap<Node, Px>,
}

/// A crossing is looked for about its predicted place within this share of the distance to its
/// neighbours.
const REACH: f64 = 0.3;
/// From crossing to crossing an edge keeps its direction within this, in radians.
const TURN: f64 = 0.4;
/// A seed's first neighbour lies this near to its edge's direction, in radians.
const CONE: f64 = 0.25;
/// Seeds that are tried before the largest grid so far is taken.
const SEEDS: usize = 40;
/// The window of the finest place, as a share of the distance to a neighbour.
pub(super) const WINDOW: f64 = 0.28;

/// The largest grid among the crossings, which come the strongest first; the search ends as soon
/// as one has `enough` nodes.
pub(super) fn largest(grey: &GreyView<'_>, saddles: &[Saddle], enough: usize) -> Lattice {
    let mut used = vec![false; saddles.len()];
    let mut best = Lattice::default();
    let mut tried = 0;
    for seed in 0..saddles.len() {
        if used[seed] || tried == SEEDS {
            continue;
        }
        let mut growth = Growth::new(grey, saddles);
        if !growth.begin(seed) {
            continue;
        }
        tried += 1;
        growth.grow();
        for grown in growth.nodes.values() {
            if let Some(i) = grown.index {
                used[i] = true;
            }
        }
        if growth.nodes.len() > best.nodes.len() {
            best.nodes = growth
                .nodes
                .iter()
                .map(|(&node, grown)| (node, grown.saddle.px))
                .collect();
        }
        if best.nodes.len() >= enough {
            break;
        }
    }
    best
}

#[derive(Clone, Copy)]
struct Grown {
    saddle: Saddle,
    /// Among the candidates; none where it was looked for by its prediction.
    index: Option<usize>,
}

struct Growth<'a> {
    grey: &'a GreyView<'a>,
    saddles: &'a [Saddle],
    taken: BTreeSet<usize>,
    nodes: BTreeMap<Node, Grown>,
}

const SIDES: [Node; 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

impl<'a> Growth<'a> {
    fn new(grey: &'a GreyView<'a>, saddles: &'a [Saddle]) -> Self {
        Self {
            grey,
            saddles,
            taken: BTreeSet::new(),
            nodes: BTreeMap::new(),
        }
    }

    /// A seed and its neighbours: false where it has none on two sides that meet.
    fn begin(&mut self, seed: usize) -> bool {
        let middle = self.saddles[seed];
        let [a, b] = middle.edges;
        // Down lies clockwise of across, as seen.
        let down = if (b - a).sin() > 0.0 { b } else { b + PI };
        self.put((0, 0), seed);
        for (way, side) in [a, down, a + PI, down + PI].into_iter().zip(SIDES) {
            if let Some(i) = self.along(&middle, way) {
                self.put(side, i);
            }
        }
        let has = |side: Node| self.nodes.contains_key(&side);
        (has((1, 0)) || has((-1, 0))) && (has((0, 1)) || has((0, -1)))
    }

    fn put(&mut self, node: Node, index: usize) {
        self.taken.insert(index);
        let grown = Grown {
            saddle: self.saddles[index],
            index: Some(index),
        };
        self.nodes.insert(node, grown);
    }

    /// The nearest candidate along an edge of a crossing.
    fn along(&self, from: &Saddle, way: f64) -> Option<usize> {
        let (s, c) = way.sin_cos();
        let ahead = |to: &Saddle| {
            let d = [to.px[0] - from.px[0], to.px[1] - from.px[1]];
            let (along, across) = (c * d[0] + s * d[1], c * d[1] - s * d[0]);
            (along > 0.0 && across.abs() <= CONE.tan() * along).then_some(along)
        };
        (0..self.saddles.len())
            .filter(|i| !self.taken.contains(i) && alternates(from, &self.saddles[*i]))
            .filter_map(|i| Some((i, ahead(&self.saddles[i])?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(i, _)| i)
    }

    fn at(&self, node: Node) -> Option<Px> {
        self.nodes.get(&node).map(|grown| grown.saddle.px)
    }

    /// Adds crossings for as long as there are any, the best predicted ones first.
    fn grow(&mut self) {
        let mut refused: BTreeMap<Node, usize> = BTreeMap::new();
        loop {
            let mut next: Vec<(Node, Px, usize)> = self
                .border()
                .into_iter()
                .filter_map(|node| self.predicted(node).map(|(px, by)| (node, px, by)))
                .filter(|(node, _, by)| refused.get(node).is_none_or(|before| by > before))
                .collect();
            let Some(most) = next.iter().map(|n| n.2).max() else {
                return;
            };
            next.retain(|n| n.2 == most);
            for (node, px, by) in next {
                match self.found(node, px) {
                    Some(grown) => {
                        self.taken.extend(grown.index);
                        self.nodes.insert(node, grown);
                    }
                    None => {
                        refused.insert(node, by);
                    }
                }
            }
        }
    }

    /// Places of the grid beside those that are filled.
    fn border(&self) -> BTreeSet<Node> {
        let sides = |&(i, j): &Node| SIDES.map(|(a, b)| (i + a, j + b));
        let all = self.nodes.keys().flat_map(sides);
        all.filter(|node| !self.nodes.contains_key(node)).collect()
    }

    /// Where a crossing should be, by how many guesses: lines go on as they went, and a cell is
    /// nearly a parallelogram.
    fn predicted(&self, (i, j): Node) -> Option<(Px, usize)> {
        let mut sum = [0.0, 0.0];
        let mut guesses = 0;
        let mut add = |plus: [Option<Px>; 2], minus: Option<Px>| {
            if let ([Some(a), Some(b)], Some(c)) = (plus, minus) {
                sum = [0, 1].map(|k| sum[k] + a[k] + b[k] - c[k]);
                guesses += 1;
            }
        };
        for (a, b) in SIDES {
            let beside = self.at((i + a, j + b));
            add([beside, beside], self.at((i + 2 * a, j + 2 * b)));
            // The side a quarter turn on, and the place across the cell.
            let next = self.at((i - b, j + a));
            add([beside, next], self.at((i + a - b, j + b + a)));
        }
        (guesses > 0).then(|| (sum.map(|c| c / guesses as f64), guesses))
    }

    /// The shortest way from a predicted place to a neighbour.
    fn step(&self, (i, j): Node, px: Px) -> f64 {
        SIDES
            .iter()
            .filter_map(|(a, b)| self.at((i + a, j + b)))
            .map(|p| distance(p, px))
            .fold(f64::INFINITY, f64::min)
    }

    /// The crossing at a predicted place: a candidate, or what a closer look finds there.
    fn found(&self, node: Node, px: Px) -> Option<Grown> {
        let step = self.step(node, px);
        let reach = REACH * step;
        let candidate = (0..self.saddles.len())
            .filter(|i| !self.taken.contains(i))
            .map(|i| (i, distance(self.saddles[i].px, px)))
            .filter(|(i, far)| *far <= reach && self.fits(node, &self.saddles[*i]))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((i, _)) = candidate {
            return Some(Grown {
                saddle: self.saddles[i],
                index: Some(i),
            });
        }
        let near = refined(self.grey, px, (WINDOW * step).max(3.0))?;
        let saddle = sectors_at(self.grey, near)?;
        (distance(near, px) <= reach && self.fits(node, &saddle)).then_some(Grown {
            saddle,
            index: None,
        })
    }

    /// Whether a crossing looks as its neighbours want it.
    fn fits(&self, (i, j): Node, saddle: &Saddle) -> bool {
        let mut beside = SIDES
            .iter()
            .filter_map(|(a, b)| self.nodes.get(&(i + a, j + b)));
        beside.all(|other| alternates(&other.saddle, saddle))
    }
}

/// Whether two crossings can be neighbours: along a line of the grid dark and light change sides
/// at each crossing.
fn alternates(a: &Saddle, b: &Saddle) -> bool {
    apart(a.edges[0], b.edges[1]) <= TURN && apart(a.edges[1], b.edges[0]) <= TURN
}

fn distance(a: Px, b: Px) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
