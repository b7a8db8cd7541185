//! What each way of finding heights answers: the likely map, and others that may as well be true.

use super::{Frame, HeightMap};

/// How many plausible maps are enough for a range.
pub const DRAWS: usize = 24;

/// One plausible map: what is true of the piece may look like this.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// Its heights in millimetres over the wall, at the places of [`Heights::drawn`].
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
    /// The plausible maps have every so manieth place of the likely one, both ways: a range needs
    /// no more than two digits.
    pub sparse: usize,
}

/// Plausible maps of a lone map have about so many places along its longer side.
const ALONG: usize = 128;

impl Heights {
    /// A map that comes without others beside it: all its places are taken to be too high or too
    /// low together, which spreads the volume the most.
    pub fn of(map: HeightMap) -> Self {
        let sparse = sparse(map.frame());
        Self::drawn_at(map, sparse)
    }

    fn drawn_at(map: HeightMap, sparse: usize) -> Self {
        let [heights, sds] = [map.heights(), map.sds()].map(|of| picked(map.frame(), sparse, of));
        let draw = |z: f64| {
            let scale = 1.0 + z * map.sd();
            let moved = |(height, sd): (&f32, &f32)| match height.is_nan() {
                true => f32::NAN,
                false => (f64::from(*height) * scale + z * f64::from(*sd)).max(0.0) as f32,
            };
            Draw {
                heights: heights.iter().zip(&sds).map(moved).collect(),
                scale: 1.0,
            }
        };
        let draws = SCORES.iter().flat_map(|z| [draw(-z), draw(*z)]).collect();
        Self { map, draws, sparse }
    }

    /// Where the places of the plausible maps lie.
    pub fn drawn(&self) -> Frame {
        self.map.frame().sparse(self.sparse)
    }

    /// The likely heights at the places of the plausible maps.
    pub(super) fn likely(&self) -> Vec<f32> {
        picked(self.map.frame(), self.sparse, self.map.heights())
    }
}

/// How many places of a lone map make one of its plausible ones.
pub(super) fn sparse(frame: Frame) -> usize {
    (frame.columns.max(frame.rows) / ALONG).max(1)
}

/// The values at every so manieth place.
pub(super) fn picked(frame: Frame, sparse: usize, values: &[f32]) -> Vec<f32> {
    let rows = values.chunks_exact(frame.columns).step_by(sparse);
    rows.flat_map(|row| row.iter().step_by(sparse))
        .copied()
        .collect()
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
    use crate::relief::{Cover, Edge, Known, Reading, corrected, measures};
    use crate::survey::Mm;

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

    #[test]
    fn sparse_draws_tell_the_ranges_of_all_places() {
        let outline: Vec<Mm> = (0..120)
            .map(|n| f64::from(n) / 120.0 * std::f64::consts::TAU)
            .map(|a| [80.0 * a.cos(), 60.0 * a.sin() + 5.0 * (3.0 * a).cos()])
            .collect();
        let frame = Frame::around(&outline, 512).unwrap();
        let cover = Cover::of_rings(frame, &outline, &[]);
        let heights: Vec<f32> = (0..frame.len())
            .map(|n| {
                let [x, y] = frame.place_of(n);
                let high = 14.0 + 0.05 * x + 5.0 * (x / 4.0).sin() * (y / 5.0).cos();
                if cover.inside()[n] {
                    high as f32
                } else {
                    f32::NAN
                }
            })
            .collect();
        let sds = heights.iter().map(|h| 0.1 + 0.02 * h).collect();
        let map = HeightMap::of(frame, heights, sds, 0.01).unwrap();
        let readings = [[0.0, 0.0], [30.0, -20.0], [-50.0, 10.0]].map(|at| Reading {
            at,
            height: Millimetres(16.0),
            sd: Millimetres(0.4),
        });
        let known = Known {
            outline: &outline,
            holes: &[],
            edge: Edge::Unknown,
            readings: &readings,
            profiles: &[],
        };
        let found = |heights: &Heights| measures(heights, &outline, &[]);
        let read = |heights: &Heights| corrected(heights, &known, 1).unwrap().heights;
        let (all, few) = (Heights::drawn_at(map.clone(), 1), Heights::of(map));
        assert_eq!((all.sparse, few.sparse), (1, 4));
        for (all, few) in [
            (found(&all), found(&few)),
            (found(&read(&all)), found(&read(&few))),
        ] {
            let sds = [
                [all.volume.sd, few.volume.sd],
                [all.surface.sd, few.surface.sd],
                [all.ratio.sd, few.ratio.sd],
                [all.highest.sd, few.highest.sd],
            ];
            for [all, few] in sds {
                println!("{all:.4} {few:.4}");
                assert!((few / all - 1.0).abs() < 0.04, "{all} {few}");
            }
            assert_eq!(all.volume.value, few.volume.value);
        }
    }
}
