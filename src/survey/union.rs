//! What two outlines that overlap cover together.
//!
//! K. Weiler and P. Atherton, "Hidden surface removal using polygon area sorting", SIGGRAPH 1977,
//! as far as a union of two simple rings needs it: a library for all that polygons can be asked
//! would weigh ten times as much on the phone as this page.

use super::polygon::{contains, signed_area};

type Point = [f64; 2];

/// A corner of one ring, or a crossing with the other.
#[derive(Clone, Copy)]
struct Node {
    at: Point,
    /// For a crossing, its place in the other ring's list.
    twin: Option<usize>,
}

/// The union of two rings whose edges don't lie along each other: the outer ring first, then the
/// holes between the two. `None` if they lie apart.
///
/// Rings come back with the sense of the first.
pub(super) fn union(one: &[Point], other: &[Point]) -> Option<Vec<Vec<Point>>> {
    let sense = signed_area(one).signum();
    let mut other = other.to_vec();
    if signed_area(&other).signum() != sense {
        other.reverse();
    }
    let lists = woven(one, &other);
    if lists[0].iter().all(|node| node.twin.is_none()) {
        return match (contains(&other, one[0]), contains(one, other[0])) {
            (true, _) => Some(vec![other]),
            (_, true) => Some(vec![one.to_vec()]),
            _ => None,
        };
    }
    let rings = [one, &other];
    let mut used = lists.each_ref().map(|list| vec![false; list.len()]);
    let mut found = Vec::new();
    for list in 0..2 {
        for start in 0..lists[list].len() {
            let [from, to] = [start, start + 1].map(|i| lists[list][i % lists[list].len()].at);
            let middle = [0, 1].map(|k| (from[k] + to[k]) / 2.0);
            if !used[list][start] && !contains(rings[1 - list], middle) {
                found.push(around(&lists, &mut used, list, start));
            }
        }
    }
    let size = |ring: &Vec<Point>| sense * signed_area(ring);
    found.sort_by(|a, b| size(b).total_cmp(&size(a)));
    Some(found)
}

/// Walks the edge of the union from a node whose edge runs outside the other ring, changing rings
/// at every crossing.
fn around(
    lists: &[Vec<Node>; 2],
    used: &mut [Vec<bool>; 2],
    mut list: usize,
    mut at: usize,
) -> Vec<Point> {
    let mut ring = Vec::new();
    while !used[list][at] {
        used[list][at] = true;
        ring.push(lists[list][at].at);
        at = (at + 1) % lists[list].len();
        if let Some(twin) = lists[list][at].twin {
            list = 1 - list;
            at = twin;
        }
    }
    ring
}

/// Both rings with their crossings put in, each crossing knowing its place in the other list.
fn woven(one: &[Point], other: &[Point]) -> [Vec<Node>; 2] {
    // Crossings by edge of each ring: how far along, and which.
    let mut crossings: Vec<Point> = Vec::new();
    let mut along = [vec![Vec::new(); one.len()], vec![Vec::new(); other.len()]];
    for i in 0..one.len() {
        for j in 0..other.len() {
            let ends = [one[i], one[(i + 1) % one.len()]];
            let others = [other[j], other[(j + 1) % other.len()]];
            if let Some([s, t]) = crossing(ends, others) {
                let at = [0, 1].map(|k| ends[0][k] + s * (ends[1][k] - ends[0][k]));
                along[0][i].push((s, crossings.len()));
                along[1][j].push((t, crossings.len()));
                crossings.push(at);
            }
        }
    }
    let mut places = [vec![0; crossings.len()], vec![0; crossings.len()]];
    let mut lists = [Vec::new(), Vec::new()];
    for (k, ring) in [one, other].into_iter().enumerate() {
        for (corner, on_edge) in ring.iter().zip(&mut along[k]) {
            lists[k].push(Node {
                at: *corner,
                twin: None,
            });
            on_edge.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, which) in on_edge {
                places[k][*which] = lists[k].len();
                lists[k].push(Node {
                    at: crossings[*which],
                    twin: Some(*which),
                });
            }
        }
    }
    for k in 0..2 {
        for node in &mut lists[k] {
            node.twin = node.twin.map(|which| places[1 - k][which]);
        }
    }
    lists
}

/// How far along each of two stretches they cross.
fn crossing([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Option<[f64; 2]> {
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let w = [c[0] - a[0], c[1] - a[1]];
    let turn = u[0] * v[1] - u[1] * v[0];
    let s = (w[0] * v[1] - w[1] * v[0]) / turn;
    let t = (w[0] * u[1] - w[1] * u[0]) / turn;
    let on = |x: f64| (0.0..1.0).contains(&x);
    (on(s) && on(t)).then_some([s, t])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<Point> {
        vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
    }

    #[test]
    fn two_squares_that_overlap_cover_less_than_both() {
        let mut other = square(6.0, 3.5, 10.0);
        other.reverse();
        let rings = union(&square(0.0, 0.0, 10.0), &other).unwrap();
        assert_eq!((rings.len(), rings[0].len()), (1, 8));
        assert!((signed_area(&rings[0]) - (200.0 - 4.0 * 6.5)).abs() < 1e-9);
    }

    #[test]
    fn one_inside_the_other_is_the_other_and_apart_is_none() {
        let (large, small) = (square(0.0, 0.0, 10.0), square(2.0, 3.0, 4.0));
        for both in [union(&large, &small), union(&small, &large)] {
            assert_eq!(both.unwrap(), vec![large.clone()]);
        }
        assert!(union(&large, &square(20.0, 0.0, 3.0)).is_none());
    }

    #[test]
    fn two_brackets_leave_a_hole_between_them() {
        let bracket = |x: f64, way: f64| {
            [
                [0.0, 0.0],
                [7.0, 0.0],
                [7.0, 2.0],
                [2.0, 2.0],
                [2.0, 8.0],
                [7.0, 8.0],
                [7.0, 10.0],
                [0.0, 10.0],
            ]
            .map(|[px, py]| [x + way * px, py + x / 100.0])
            .to_vec()
        };
        let rings = union(&bracket(0.0, 1.0), &bracket(12.0, -1.0)).unwrap();
        assert_eq!(rings.len(), 2);
        assert!(signed_area(&rings[0]) > 0.0 && signed_area(&rings[1]) < 0.0);
    }

    proptest! {
        /// Against counting points on a fine grid; shapes so near that they overlap.
        #[test]
        fn the_union_covers_what_either_covers(
            radii in prop::collection::vec(3.0..9.0_f64, 14),
            shift in (-3.5..3.5_f64, -3.5..3.5_f64),
        ) {
            let star = |radii: &[f64], at: Point, turn: f64| -> Vec<Point> {
                radii.iter().enumerate().map(|(i, r)| {
                    let angle = (i as f64 + turn) / radii.len() as f64 * std::f64::consts::TAU;
                    [at[0] + r * angle.cos(), at[1] + r * angle.sin()]
                }).collect()
            };
            let (a, b) = (star(&radii[..7], [0.0, 0.0], 0.37), star(&radii[7..], [shift.0, shift.1], 0.81));
            let rings = union(&a, &b).unwrap_or_default();
            let both: f64 = rings.iter().map(|r| signed_area(r)).sum();
            let step = 0.1;
            let mut count = 0.0;
            for i in -160..160 {
                for j in -160..160 {
                    let p = [f64::from(i) * step, f64::from(j) * step];
                    count += f64::from(u8::from(contains(&a, p) || contains(&b, p)));
                }
            }
            let counted = count * step * step;
            prop_assert!((both - counted).abs() < 0.02 * counted, "{} {}", both, counted);
        }
    }
}
