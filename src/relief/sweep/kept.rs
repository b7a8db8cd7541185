//! A swept map as a record keeps it, without the maps beside it that may as well be true.

use super::spread::Knots;
use super::{Draw, HeightMap, Heights};
use crate::quantity::Dice;
use crate::relief::DRAWS;
use crate::relief::heights::{picked, sparse};

/// The map with others that may as well be true: the whole of it is too high or too low by the
/// spread of its scale, and each place by its own, which its neighbours share.
pub fn remembered(map: HeightMap) -> Heights {
    let frame = map.frame();
    let sparse = sparse(frame);
    let [heights, sds] = [map.heights(), map.sds()].map(|of| picked(frame, sparse, of));
    let mut dice = Dice::seeded(3);
    let scales = even(&mut dice);
    let draw = |scale: f64| {
        let waves = Knots::waves(&frame, &mut dice);
        let scale = (1.0 + map.sd() * scale) as f32;
        let rows = (0..frame.rows).step_by(sparse);
        let waves = rows.flat_map(|row| {
            let row = waves.row(row, frame.columns);
            row.into_iter().step_by(sparse)
        });
        let places = heights.iter().zip(&sds).zip(waves);
        let heights = places.map(|((height, sd), wave)| {
            // Off the piece it stays no number.
            let moved = height * scale + wave * sd;
            if moved < 0.0 { 0.0 } else { moved }
        });
        Draw {
            heights: heights.collect(),
            scale: 1.0,
        }
    };
    let draws = scales.map(draw).into();
    Heights { map, draws, sparse }
}

/// Normal numbers of mean 0 and variance 1, as far as so few can be.
fn even(dice: &mut Dice) -> [f64; DRAWS] {
    let drawn: [f64; DRAWS] = std::array::from_fn(|_| dice.normal());
    let count = DRAWS as f64;
    let mean = drawn.iter().sum::<f64>() / count;
    let variance = drawn.iter().map(|z| (z - mean).powi(2)).sum::<f64>() / count;
    drawn.map(|z| (z - mean) / variance.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;
    use crate::relief::{Frame, measures};

    #[test]
    fn its_volume_is_as_unsure_as_its_scale_and_its_places_as_their_own_spread() {
        let outline = [[0.0, 0.0], [160.0, 0.0], [160.0, 120.0], [0.0, 120.0]];
        let frame = Frame::stepped(&outline, Millimetres(1.0)).unwrap();
        let map = HeightMap::of(frame, vec![15.0; frame.len()], vec![0.6; frame.len()], 0.03);
        let heights = remembered(map.unwrap());
        let volume = measures(&heights, &outline, &[]).volume.relative_sd();
        assert!((0.028..0.034).contains(&volume), "{volume}");
        let middle = heights.drawn().nearest([80.0, 60.0]).unwrap();
        let square = |draw: &Draw| (draw.heights[middle] - 15.0).powi(2);
        let sum: f32 = heights.draws.iter().map(square).sum();
        let sd = (sum / DRAWS as f32).sqrt();
        // 0.6 of its own, which varies from place to place, and 0.45 of the scale's.
        assert!((0.45..1.1).contains(&sd), "{sd}");
    }
}
