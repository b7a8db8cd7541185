//! Rings of points: which point or edge a finger means, and the order of four corners.

use super::view::{Place, distance};

/// The point nearest to `at`, if one lies within `reach`.
pub fn nearest_point(points: &[Place], at: Place, reach: f64) -> Option<usize> {
    let (index, away) = points
        .iter()
        .map(|p| distance(*p, at))
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    (away <= reach).then_some(index)
}

/// How many edges lie between the points; a closed ring has one more, back to the first.
fn edges(points: &[Place], closed: bool) -> usize {
    match points.len() {
        0 | 1 => 0,
        n if closed => n,
        n => n - 1,
    }
}

/// The edge nearest to `at`, if one lies within `reach`: the index that a point inserted there
/// gets (the edge runs from the point before it), and the foot of the perpendicular.
pub fn nearest_edge(ring: &[Place], closed: bool, at: Place, reach: f64) -> Option<(usize, Place)> {
    let feet = (0..edges(ring, closed)).map(|i| {
        let foot = foot_on(ring[i], ring[(i + 1) % ring.len()], at);
        (i + 1, foot, distance(foot, at))
    });
    let (index, foot, away) = feet.min_by(|a, b| a.2.total_cmp(&b.2))?;
    (away <= reach).then_some((index, foot))
}

/// Whether a place on the edge before `index` lies in its middle third, where a finger means the
/// edge rather than one of its ends.
pub fn is_mid_edge(ring: &[Place], index: usize, on: Place) -> bool {
    let (a, b) = (ring[index - 1], ring[index % ring.len()]);
    distance(a, on).min(distance(b, on)) >= distance(a, b) / 3.0
}

/// The point of the stretch from `a` to `b` nearest to `at`.
fn foot_on(a: Place, b: Place, at: Place) -> Place {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length2 = along[0] * along[0] + along[1] * along[1];
    if length2 == 0.0 {
        return a;
    }
    let dot = (at[0] - a[0]) * along[0] + (at[1] - a[1]) * along[1];
    let share = (dot / length2).clamp(0.0, 1.0);
    [a[0] + share * along[0], a[1] + share * along[1]]
}

/// The middles of the edges that are at least `long` in length, each with the index that a point
/// inserted there gets.
pub fn middles(ring: &[Place], closed: bool, long: f64) -> Vec<(usize, Place)> {
    (0..edges(ring, closed))
        .filter_map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
            (distance(a, b) >= long).then_some((i + 1, middle))
        })
        .collect()
}

/// Corners in the order clockwise as seen (x right, y down), starting with the one that lies
/// most to the top left. People tap corners in any order.
pub fn clockwise(mut corners: Vec<Place>) -> Vec<Place> {
    let count = corners.len() as f64;
    let middle = [0, 1].map(|i| corners.iter().map(|c| c[i]).sum::<f64>() / count);
    corners.sort_by(|a, b| {
        let angle = |c: &Place| (c[1] - middle[1]).atan2(c[0] - middle[0]);
        angle(a).total_cmp(&angle(b))
    });
    let first = corners
        .iter()
        .enumerate()
        .min_by(|a, b| (a.1[0] + a.1[1]).total_cmp(&(b.1[0] + b.1[1])))
        .map_or(0, |(index, _)| index);
    corners.rotate_left(first);
    corners
}

#[cfg(test)]
mod tests {
    use super::*;

    const SQUARE: [Place; 4] = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];

    #[test]
    fn the_nearest_of_two_close_points_is_meant() {
        let points = [[0.0, 0.0], [6.0, 0.0]];
        assert_eq!(nearest_point(&points, [4.0, 1.0], 24.0), Some(1));
        assert_eq!(nearest_point(&points, [4.0, 99.0], 24.0), None);
        assert_eq!(nearest_point(&[], [0.0, 0.0], 24.0), None);
    }

    #[test]
    fn a_point_is_inserted_between_the_two_it_lies_between() {
        assert_eq!(
            nearest_edge(&SQUARE, true, [11.0, 4.0], 2.0),
            Some((2, [10.0, 4.0]))
        );
        // On the closing edge it goes to the end.
        assert_eq!(
            nearest_edge(&SQUARE, true, [-1.0, 4.0], 2.0),
            Some((4, [0.0, 4.0]))
        );
        assert_eq!(nearest_edge(&SQUARE, true, [5.0, 5.0], 2.0), None);
        // An open line has no edge from its last point to its first.
        assert_eq!(nearest_edge(&SQUARE, false, [-1.0, 4.0], 2.0), None);
        assert_eq!(middles(&SQUARE, false, 1.0).len(), 3);
    }

    #[test]
    fn the_middle_third_of_an_edge_is_told_from_its_ends() {
        assert!(is_mid_edge(&SQUARE, 2, [10.0, 4.0]));
        assert!(!is_mid_edge(&SQUARE, 2, [10.0, 8.0]));
        assert!(is_mid_edge(&SQUARE, 4, [0.0, 5.0]));
    }

    #[test]
    fn an_edge_without_length_gives_its_point() {
        assert_eq!(
            nearest_edge(&[[3.0, 3.0], [3.0, 3.0]], true, [4.0, 3.0], 2.0),
            Some((1, [3.0, 3.0]))
        );
    }

    #[test]
    fn only_long_edges_offer_their_middle() {
        let ring = [[0.0, 0.0], [100.0, 0.0], [100.0, 10.0]];
        let found: Vec<usize> = middles(&ring, true, 50.0).iter().map(|m| m.0).collect();
        assert_eq!(found, [1, 3]);
    }

    #[test]
    fn corners_tapped_in_any_order_come_out_clockwise_from_the_top_left() {
        let seen = [[10.0, 12.0], [95.0, 20.0], [90.0, 71.0], [8.0, 66.0]];
        for order in [[0, 1, 2, 3], [3, 1, 0, 2], [2, 0, 3, 1], [1, 0, 3, 2]] {
            let tapped = order.iter().map(|&i| seen[i]).collect();
            assert_eq!(clockwise(tapped), seen);
        }
    }
}
