//! Lines with fewer points: D. Douglas and T. Peucker, "Algorithms for the reduction of the number
//! of points required to represent a digitized line or its caricature", 1973.

use super::Px;

/// An open line with fewer points, its ends kept, none of those left out farther than `tolerance`
/// from it.
pub(super) fn line(points: &[Px], tolerance: f64) -> Vec<Px> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    let keep = kept(points, vec![(0, last)], tolerance);
    picked(points, |i| keep[i] || i == last)
}

/// A closed ring with fewer points, none of those left out farther than `tolerance` from it.
pub(super) fn ring(ring: &[Px], tolerance: f64) -> Vec<Px> {
    let far = |from: Px| {
        let away = |i: &usize| (ring[*i][0] - from[0]).hypot(ring[*i][1] - from[1]);
        (0..ring.len())
            .max_by(|a, b| away(a).total_cmp(&away(b)))
            .unwrap_or(0)
    };
    // Two points that are sure to stay split the ring into two lines.
    let first = far(ring[0]);
    let second = far(ring[first]);
    let (from, to) = (first.min(second), first.max(second));
    let keep = kept(ring, vec![(from, to), (to, from + ring.len())], tolerance);
    picked(ring, |i| keep[i])
}

/// Which points begin a stretch of the simple line; indices of the parts go on past the end.
fn kept(points: &[Px], mut parts: Vec<(usize, usize)>, tolerance: f64) -> Vec<bool> {
    let mut keep = vec![false; points.len()];
    let at = |i: usize| points[i % points.len()];
    while let Some((from, to)) = parts.pop() {
        keep[from % points.len()] = true;
        let (a, b) = (at(from), at(to));
        let worst = (from + 1..to)
            .map(|i| (off(at(i), a, b), i))
            .max_by(|x, y| x.0.total_cmp(&y.0));
        if let Some((distance, i)) = worst
            && distance > tolerance
        {
            parts.push((from, i));
            parts.push((i, to));
        }
    }
    keep
}

fn picked(points: &[Px], wanted: impl Fn(usize) -> bool) -> Vec<Px> {
    let picked = (0..points.len()).filter(|i| wanted(*i));
    picked.map(|i| points[i]).collect()
}

/// The distance of a point from a stretch.
pub(super) fn off(p: Px, a: Px, b: Px) -> f64 {
    let (d, e) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let square = d[0] * d[0] + d[1] * d[1];
    let t = if square > 0.0 {
        ((e[0] * d[0] + e[1] * d[1]) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (e[0] - t * d[0]).hypot(e[1] - t * d[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_keeps_its_ends_and_its_bends() {
        let bent = [[0.0, 0.0], [4.0, 0.3], [8.0, 0.0], [8.2, 5.0], [8.0, 9.0]];
        assert_eq!(line(&bent, 0.5), [[0.0, 0.0], [8.0, 0.0], [8.0, 9.0]]);
        assert_eq!(line(&bent, 0.25), [bent[0], bent[1], bent[2], bent[4]]);
        assert_eq!(line(&bent[..2], 9.0), bent[..2]);
        assert!(line(&[], 1.0).is_empty());
    }
}
