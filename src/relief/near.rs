//! Where a place lies beside an outline.

use crate::survey::{self, Mm};

/// Whether a place lies inside the outline and in none of the holes.
pub fn contains(outline: &[Mm], holes: &[Vec<Mm>], place: Mm) -> bool {
    survey::contains(outline, place) && !holes.iter().any(|hole| survey::contains(hole, place))
}

/// The smallest and the largest x and y of places; the smallest is the larger where there is none.
pub(super) fn bounds(places: &[Mm]) -> (Mm, Mm) {
    let none = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    places.iter().fold(none, |(low, high), place| {
        (
            [0, 1].map(|k| low[k].min(place[k])),
            [0, 1].map(|k| high[k].max(place[k])),
        )
    })
}

/// How long a ring is, all around.
pub(super) fn around(ring: &[Mm]) -> f64 {
    sides(ring).map(|(a, b)| apart(a, b)).sum()
}

/// How far a place lies from a stretch between two others.
pub(super) fn from_stretch(place: Mm, a: Mm, b: Mm) -> f64 {
    square_from_stretch(place, a, b).sqrt()
}

fn square_from_stretch(place: Mm, a: Mm, b: Mm) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let from = [place[0] - a[0], place[1] - a[1]];
    let square = along[0] * along[0] + along[1] * along[1];
    let share = match square > 0.0 {
        true => ((from[0] * along[0] + from[1] * along[1]) / square).clamp(0.0, 1.0),
        false => 0.0,
    };
    let off = [0, 1].map(|k| from[k] - share * along[k]);
    off[0] * off[0] + off[1] * off[1]
}

/// How far a place lies from the nearest ring.
pub(super) fn from_rings(place: Mm, rings: &[Vec<Mm>]) -> f64 {
    let mut least = f64::INFINITY;
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            least = least.min(square_from_stretch(place, *a, ring[(i + 1) % ring.len()]));
        }
    }
    least.sqrt()
}

/// Places along the rings, `count` in all or a few more, evenly spaced on each.
pub(super) fn along(rings: &[Vec<Mm>], count: usize) -> Vec<Vec<Mm>> {
    let all: f64 = rings.iter().map(|ring| around(ring)).sum();
    let of_ring = |ring: &Vec<Mm>| {
        let length = around(ring);
        let share = length / all.max(f64::MIN_POSITIVE);
        let count = ((share * count as f64).ceil() as usize).max(3);
        let mut places = Vec::with_capacity(count);
        let mut walked = 0.0;
        for (a, b) in sides(ring) {
            let side = apart(a, b);
            while places.len() < count {
                let next = length * places.len() as f64 / count as f64;
                if next > walked + side || side <= 0.0 {
                    break;
                }
                let share = (next - walked) / side;
                places.push([0, 1].map(|k| a[k] + share * (b[k] - a[k])));
            }
            walked += side;
        }
        places
    };
    rings.iter().map(of_ring).collect()
}

fn sides(ring: &[Mm]) -> impl Iterator<Item = (Mm, Mm)> + '_ {
    let next = |i: usize| ring[(i + 1) % ring.len()];
    ring.iter().enumerate().map(move |(i, a)| (*a, next(i)))
}

pub(super) fn apart(a: Mm, b: Mm) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
