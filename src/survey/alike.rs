//! The same reference in several photos: its corners get the same names in each.

use super::{Evidence, Mm, Px, Reference};

/// Whether both are marks on a thing of the same kind and size, which may be the same thing.
pub fn same_kind(one: &Reference, other: &Reference) -> bool {
    match (one, other) {
        (Reference::Rectangle { kind: a, .. }, Reference::Rectangle { kind: b, .. }) => a == b,
        (Reference::Marks { tool: a, .. }, Reference::Marks { tool: b, .. }) => a == b,
        _ => false,
    }
}

/// Names the corners of a rectangle in `other` as they are named in `base`: whichever corner comes
/// first in a photo, the wall's axes then run the same way in both. A rectangle looks the same
/// turned by half; the photos are taken to show it in about the same position. What is no
/// rectangle stays as it is.
pub fn name_alike(base: &[Evidence], other: &mut [Evidence]) {
    let (Some(named), Some(seen)) = (corners(base), corners(other)) else {
        return;
    };
    let side = |ring: &[(usize, Px, Mm); 4], k: usize| {
        let (a, b) = (ring[k % 4].2, ring[(k + 1) % 4].2);
        (b[0] - a[0]).hypot(b[1] - a[1])
    };
    let fits =
        |turn: &usize| (0..4).all(|k| (side(&seen, k) - side(&named, k + turn)).abs() < 1e-6);
    let (shown, wanted) = (shape(&seen), shape(&named));
    let unlike = |turn: usize| -> f64 {
        let pairs = (0..4).map(|k| (shown[k], wanted[(k + turn) % 4]));
        pairs
            .map(|(a, b)| (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2))
            .sum()
    };
    let best = (0..4)
        .filter(fits)
        .min_by(|a, b| unlike(*a).total_cmp(&unlike(*b)));
    let Some(turn) = best else { return };
    for (k, (at, ..)) in seen.iter().enumerate() {
        if let Evidence::Point { mm, .. } = &mut other[*at] {
            *mm = named[(k + turn) % 4].2;
        }
    }
}

/// The four corners of a rectangle in order around it: which evidence, where seen, where it lies.
fn corners(evidence: &[Evidence]) -> Option<[(usize, Px, Mm); 4]> {
    let points = evidence.iter().enumerate().map(|(at, one)| match one {
        Evidence::Point { px, mm, .. } => Some((at, *px, *mm)),
        _ => None,
    });
    let mut points: Vec<_> = points.collect::<Option<_>>()?;
    let middle = middle(points.iter().map(|p| p.2));
    let turn = |mm: &Mm| (mm[1] - middle[1]).atan2(mm[0] - middle[0]);
    points.sort_by(|a, b| turn(&a.2).total_cmp(&turn(&b.2)));
    points.try_into().ok()
}

/// Where the corners are seen about their middle, all of one size.
fn shape(ring: &[(usize, Px, Mm); 4]) -> [Px; 4] {
    let middle = middle(ring.iter().map(|p| p.1));
    let off = ring.map(|(_, px, _)| [px[0] - middle[0], px[1] - middle[1]]);
    let size = off.iter().map(|p| p[0].hypot(p[1])).sum::<f64>();
    off.map(|p| p.map(|x| x / size.max(f64::MIN_POSITIVE)))
}

fn middle(places: impl Iterator<Item = [f64; 2]>) -> [f64; 2] {
    let (sum, count) = places.fold(([0.0; 2], 0.0), |(sum, count), p| {
        ([sum[0] + p[0], sum[1] + p[1]], count + 1.0)
    });
    sum.map(|x| x / f64::max(count, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::RectangleKind;

    /// A card about `middle`, turned by so many degrees in the picture.
    fn card(middle: Px, degrees: f64) -> Reference {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let turned =
            |x: f64, y: f64| [middle[0] + x * cos - y * sin, middle[1] + x * sin + y * cos];
        Reference::Rectangle {
            kind: RectangleKind::Card,
            corners: vec![
                turned(-214.0, -135.0),
                turned(214.0, -135.0),
                turned(214.0, 135.0),
                turned(-214.0, 135.0),
            ],
        }
    }

    /// Where the card's own corners lie on the wall, in the order they were marked.
    fn names(evidence: &[Evidence]) -> Vec<Mm> {
        let mm = |one: &Evidence| match one {
            Evidence::Point { mm, .. } => *mm,
            _ => unreachable!(),
        };
        evidence.iter().map(mm).collect()
    }

    #[test]
    fn a_card_that_lies_slanted_is_named_alike_in_both_photos() {
        // At 44 degrees another corner comes first than at 46, and the card counts as upright.
        for (a, b) in [(44.0, 46.0), (-46.0, -44.0), (80.0, 100.0), (2.0, -3.0)] {
            let base = card([800.0, 600.0], a).evidence().unwrap();
            let mut other = card([500.0, 700.0], b).evidence().unwrap();
            name_alike(&base, &mut other);
            assert_eq!(names(&base), names(&other), "{a} {b}");
        }
    }

    #[test]
    fn what_is_no_rectangle_of_the_same_size_stays_as_it_is() {
        let base = card([800.0, 600.0], 0.0).evidence().unwrap();
        let other = Reference::Rectangle {
            kind: RectangleKind::A4,
            corners: vec![[0.0, 0.0], [297.0, 0.0], [297.0, 210.0], [0.0, 210.0]],
        };
        let evidence = other.evidence().unwrap();
        let mut named = evidence.clone();
        name_alike(&base, &mut named);
        assert_eq!(named, evidence);
        assert!(!same_kind(&card([0.0; 2], 0.0), &other));
        let mut few = vec![Evidence::point([1.0, 2.0], [0.0, 0.0])];
        name_alike(&base, &mut few);
        assert_eq!(few, vec![Evidence::point([1.0, 2.0], [0.0, 0.0])]);
    }
}
