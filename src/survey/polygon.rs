//! Polygons: area, edge length, and whether an outline is one that can be filled.

use super::SurveyError;
use crate::words::tr;
use crate::{count, say};

type Point = [f64; 2];

/// The area by the shoelace formula; positive when the points run clockwise as seen (y down).
pub(crate) fn signed_area(ring: &[Point]) -> f64 {
    // About the first point, so that far away from zero no digits are lost.
    let Some(&o) = ring.first() else { return 0.0 };
    edges(ring)
        .map(|(a, b)| (a[0] - o[0]) * (b[1] - o[1]) - (b[0] - o[0]) * (a[1] - o[1]))
        .sum::<f64>()
        / 2.0
}

/// The length of the closed edge.
pub(crate) fn edge_length(ring: &[Point]) -> f64 {
    edges(ring)
        .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
        .sum()
}

/// How the area grows, and how the edge lengthens, as each point moves.
pub(crate) fn slopes(ring: &[Point]) -> Vec<(Point, Point)> {
    let n = ring.len();
    let turn = signed_area(ring).signum();
    let unit = |from: Point, to: Point| {
        let d = [to[0] - from[0], to[1] - from[1]];
        let length = d[0].hypot(d[1]).max(f64::MIN_POSITIVE);
        [d[0] / length, d[1] / length]
    };
    (0..n)
        .map(|i| {
            let (before, here, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            let area = [
                turn * (after[1] - before[1]) / 2.0,
                turn * (before[0] - after[0]) / 2.0,
            ];
            let (u, v) = (unit(before, here), unit(after, here));
            (area, [u[0] + v[0], u[1] + v[1]])
        })
        .collect()
}

/// Refuses outlines that can't be filled: too few points, repeated points, crossed edges, holes
/// that aren't inside. Errors name the point by its path under `outline_px` or `holes_px`.
pub fn check(outline: &[Point], holes: &[Vec<Point>]) -> Result<(), SurveyError> {
    ring(outline, "outline_px", tr("outline"))?;
    for (h, hole) in holes.iter().enumerate() {
        ring(hole, &format!("holes_px[{h}]"), tr("hole"))?;
        let fail = |what: &str| {
            Err(SurveyError::at(
                format!("holes_px[{h}]"),
                say!("Hole {h} {what}", h = h + 1, what),
            ))
        };
        if touching(hole, outline) {
            return fail(tr("crosses or touches the outline. Keep it inside."));
        }
        if !contains(outline, hole[0]) {
            return fail(tr(
                "lies outside the outline. Move it inside, or take it away.",
            ));
        }
        for (g, other) in holes[..h].iter().enumerate() {
            if touching(hole, other) || contains(other, hole[0]) || contains(hole, other[0]) {
                return fail(&say!(
                    "overlaps hole {g}. Join the two, or move them apart.",
                    g = g + 1
                ));
            }
        }
    }
    Ok(())
}

fn ring(ring: &[Point], field: &str, name: &str) -> Result<(), SurveyError> {
    let n = ring.len();
    if n < 3 {
        return Err(SurveyError::at(
            field,
            count!(
                n,
                "The {name} has {n} point: it needs three or more.",
                "The {name} has {n} points: it needs three or more.",
                name
            ),
        ));
    }
    for i in 0..n {
        if let Some(j) = (0..i).find(|&j| ring[j] == ring[i]) {
            return Err(SurveyError::at(
                format!("{field}[{i}]"),
                say!(
                    "Points {j} and {i} of the {name} are at the same place. Take one away; the \
                     {name} closes by itself.",
                    j = j + 1,
                    i = i + 1,
                    name
                ),
            ));
        }
    }
    for i in 0..n {
        let (a, b) = (ring[i], ring[(i + 1) % n]);
        let after = ring[(i + 2) % n];
        // Neighbours share a point; they may not fold back over each other.
        if side(a, b, after) == 0.0 && dot(minus(a, b), minus(after, b)) > 0.0 {
            return Err(crossed(field, name, i, (i + 1) % n));
        }
        for j in i + 2..n {
            let next = (j + 1) % n;
            if next != i && meet(a, b, ring[j], ring[next]) {
                return Err(crossed(field, name, i, j));
            }
        }
    }
    Ok(())
}

fn crossed(field: &str, name: &str, i: usize, j: usize) -> SurveyError {
    SurveyError::at(
        format!("{field}[{j}]"),
        say!(
            "The {name} crosses itself: the edge after point {i} meets the edge after point {j}. \
             Move or take away one of these points.",
            name,
            i = i + 1,
            j = j + 1
        ),
    )
}

fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let n = ring.len();
    (0..n).map(move |i| (ring[i], ring[(i + 1) % n]))
}

fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// On which side of the line from `a` to `b` the point `c` lies; 0 on it.
fn side(a: Point, b: Point, c: Point) -> f64 {
    let (u, v) = (minus(b, a), minus(c, a));
    u[0] * v[1] - u[1] * v[0]
}

/// Whether two closed stretches have a point in common.
fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (sc, sd) = (side(a, b, c), side(a, b, d));
    let (sa, sb) = (side(c, d, a), side(c, d, b));
    if sc * sd < 0.0 && sa * sb < 0.0 {
        return true;
    }
    let on = |p: Point, q: Point, r: Point| {
        (0..2).all(|k| r[k] >= p[k].min(q[k]) && r[k] <= p[k].max(q[k]))
    };
    (sc == 0.0 && on(a, b, c))
        || (sd == 0.0 && on(a, b, d))
        || (sa == 0.0 && on(c, d, a))
        || (sb == 0.0 && on(c, d, b))
}

pub(super) fn touching(one: &[Point], other: &[Point]) -> bool {
    edges(one).any(|(a, b)| edges(other).any(|(c, d)| meet(a, b, c, d)))
}

/// Whether the ring goes round the point, which doesn't lie on it (even-odd rule).
pub(crate) fn contains(ring: &[Point], p: Point) -> bool {
    edges(ring)
        .filter(|(a, b)| {
            (a[1] > p[1]) != (b[1] > p[1])
                && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]
        })
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<Point> {
        vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
    }

    fn refusal(outline: &[Point], holes: &[Vec<Point>]) -> (String, String) {
        let e = check(outline, holes).unwrap_err();
        (e.field().to_owned(), e.to_string())
    }

    #[test]
    fn a_square_has_its_area_and_edge() {
        let s = square(1e6, -1e6, 3.0);
        assert_eq!(signed_area(&s), 9.0);
        assert_eq!(edge_length(&s), 12.0);
        assert!(check(&s, &[]).is_ok());
    }

    #[test]
    fn a_bow_tie_is_crossed() {
        let tie = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
        let (field, said) = refusal(&tie, &[]);
        assert_eq!(field, "outline_px[2]");
        assert!(said.contains("crosses itself"), "{said}");
    }

    #[test]
    fn a_spike_and_a_touch_are_refused() {
        let spike = [[0.0, 0.0], [4.0, 0.0], [2.0, 0.0], [2.0, 3.0]];
        assert!(check(&spike, &[]).is_err());
        let touch = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 0.0], [0.0, 4.0]];
        assert!(check(&touch, &[]).is_err());
    }

    #[test]
    fn a_closing_point_is_told_to_go() {
        let mut s = square(0.0, 0.0, 2.0);
        s.push(s[0]);
        assert!(refusal(&s, &[]).1.contains("closes by itself"));
        assert!(refusal(&s[..2], &[]).1.contains("three or more"));
    }

    #[test]
    fn holes_must_lie_inside_and_apart() {
        let s = square(0.0, 0.0, 10.0);
        let hole = square(2.0, 2.0, 3.0);
        assert!(check(&s, &[hole.clone(), square(6.0, 6.0, 2.0)]).is_ok());
        assert!(refusal(&s, &[square(20.0, 0.0, 1.0)]).1.contains("outside"));
        assert!(refusal(&s, &[square(8.0, 8.0, 5.0)]).1.contains("crosses"));
        let (field, said) = refusal(&s, &[hole.clone(), square(3.0, 3.0, 1.0)]);
        assert!(
            field == "holes_px[1]" && said.contains("overlaps hole 1"),
            "{field} {said}"
        );
        assert!(check(&s, &[square(3.0, 3.0, 1.0), hole]).is_err());
    }

    proptest! {
        #[test]
        fn slopes_are_those_of_small_moves(
            radii in proptest::collection::vec(1.0..3.0f64, 3..12), turned in any::<bool>(),
        ) {
            let n = radii.len() as f64;
            let mut ring: Vec<Point> = radii
                .iter()
                .enumerate()
                .map(|(i, r)| {
                    let a = i as f64 / n * std::f64::consts::TAU;
                    [r * a.cos(), r * a.sin()]
                })
                .collect();
            if turned {
                ring.reverse();
            }
            for (i, (area, edge)) in slopes(&ring).into_iter().enumerate() {
                for axis in 0..2 {
                    let moved = |by: f64| {
                        let mut near = ring.clone();
                        near[i][axis] += by;
                        near
                    };
                    let (high, low) = (moved(1e-5), moved(-1e-5));
                    let grown = (signed_area(&high).abs() - signed_area(&low).abs()) / 2e-5;
                    let longer = (edge_length(&high) - edge_length(&low)) / 2e-5;
                    prop_assert!((grown - area[axis]).abs() < 1e-6);
                    prop_assert!((longer - edge[axis]).abs() < 1e-6);
                }
            }
        }
    }
}
