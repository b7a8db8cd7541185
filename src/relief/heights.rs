//! What each way of finding heights answers: the likely map, and others that may as well be true.

use super::HeightMap;

/// How many plausible maps are enough for a range.
pub const DRAWS: usize = 24;

/// One plausible map: what is true of the piece may look like this.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// Its heights in millimetres over the wall, at the places of the likely map.
    pub heights: Vec<f32>,
    /// How long lengths along the wall are in it, beside those of the likely map.
    pub scale: f64,
}

/// The likely heights with as many plausible ones as a range needs ([`DRAWS`]).
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// The likely map.
    pub map: HeightMap,
    /// Plausible maps, all as likely as each other.
    pub draws: Vec<Draw>,
}

impl Heights {
    /// A map that comes without others beside it: all its places are taken to be too high or too
    /// low together, which spreads the volume the most.
    pub fn of(map: HeightMap) -> Self {
        let draw = |z: f64| {
            let scale = 1.0 + z * map.sd();
            let moved = |(height, sd): (&f32, &f32)| match height.is_nan() {
                true => f32::NAN,
                false => (f64::from(*height) * scale + z * f64::from(*sd)).max(0.0) as f32,
            };
            Draw {
                heights: map.heights().iter().zip(map.sds()).map(moved).collect(),
                scale: 1.0,
            }
        };
        let draws = SCORES.iter().flat_map(|z| [draw(-z), draw(*z)]).collect();
        Self { map, draws }
    }
}

/// Half of the standard normal scores of [`DRAWS`] equal shares, the middle of each; the others
/// are their mirror images.
const SCORES: [f64; DRAWS / 2] = [
    0.0522, 0.1573, 0.2641, 0.3741, 0.4888, 0.6103, 0.7416, 0.8871, 1.0545, 1.2582, 1.5341, 2.0368,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;

    #[test]
    fn a_lone_map_is_too_high_or_too_low_as_a_whole() {
        let rows = vec![vec![Some(10.0), None], vec![Some(20.0), Some(0.0)]];
        let map = HeightMap::new(Millimetres(1.0), &rows, 0.1).unwrap();
        let heights = Heights::of(map);
        assert_eq!(heights.draws.len(), DRAWS);
        let at = |n: usize| heights.draws.iter().map(move |d| f64::from(d.heights[n]));
        let mean = at(2).sum::<f64>() / DRAWS as f64;
        let square: f64 = at(2).map(|h| (h - mean).powi(2)).sum();
        assert!((mean - 20.0).abs() < 1e-4);
        assert!(((square / DRAWS as f64).sqrt() - 2.0).abs() < 0.1);
        assert!(at(1).all(f64::is_nan) && at(3).all(|h| h == 0.0));
    }
}
