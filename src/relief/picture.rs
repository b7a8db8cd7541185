//! Pictures of a map: in colours by height, or shaded as if a lamp stood at the upper left.

use super::{Frame, HeightMap};
use crate::survey::Mm;

/// Colours from low to high that stay apart and grow lighter for every kind of colour sight:
/// viridis (S. van der Walt, N. Smith, 2015) at five evenly spaced places, from memory, straight
/// between them.
pub const SCALE: [[u8; 3]; 5] = [
    [0x44, 0x01, 0x54],
    [0x3b, 0x52, 0x8b],
    [0x21, 0x91, 0x8c],
    [0x5e, 0xc9, 0x62],
    [0xfd, 0xe7, 0x25],
];

/// The scale's colour for a share between 0 and 1; beyond it the colour of its end.
pub fn colour(share: f64) -> [u8; 3] {
    let along = share.clamp(0.0, 1.0) * (SCALE.len() - 1) as f64;
    let first = (along.floor() as usize).min(SCALE.len() - 2);
    let part = along - first as f64;
    [0, 1, 2].map(|k| {
        let [a, b] = [SCALE[first][k], SCALE[first + 1][k]].map(f64::from);
        (a + part * (b - a)).round() as u8
    })
}

/// How light each place of a map looks, from 0 to 1, under a lamp 45 degrees above the wall at
/// its upper left (Lambert's cosine law); not a number off the piece. `right` and `down` are the
/// wall's directions that are shown to the right and downwards.
pub fn shaded(map: &HeightMap, right: Mm, down: Mm) -> Vec<f32> {
    let [columns, rows] = map.size().map(|n| n as isize);
    let step = map.step().0;
    let half = 0.5_f64.sqrt();
    // Towards the lamp along the wall, and off it.
    let lamp = [0, 1].map(|k| -0.5 * (right[k] + down[k]));
    let light = |c: isize, r: isize| {
        let here = map.at(c, r)?;
        let rise = |dc: isize, dr: isize| {
            let before = map.at(c - dc, r - dr);
            let after = map.at(c + dc, r + dr);
            let apart = f64::from(u8::from(before.is_some()) + u8::from(after.is_some()));
            let climb = after.unwrap_or(here) - before.unwrap_or(here);
            climb / (apart.max(1.0) * step)
        };
        let [zx, zy] = [rise(1, 0), rise(0, 1)];
        let towards = half - zx * lamp[0] - zy * lamp[1];
        Some((towards / (1.0 + zx * zx + zy * zy).sqrt()).max(0.0))
    };
    (0..rows)
        .flat_map(|r| (0..columns).map(move |c| (c, r)))
        .map(|(c, r)| light(c, r).map_or(f32::NAN, |light| light as f32))
        .collect()
}

/// What values that lie on a frame's places are at places of a picture, pixel by pixel: straight
/// between the four around each; not a number where one of them is none.
pub fn sampled(
    frame: Frame,
    values: &[f32],
    size: [usize; 2],
    place: impl Fn([f64; 2]) -> Mm,
) -> Vec<f32> {
    (0..size[1])
        .flat_map(|y| (0..size[0]).map(move |x| [x, y].map(|n| n as f64)))
        .map(|at| HeightMap::between(frame, values, place(at)).map_or(f32::NAN, |v| v as f32))
        .collect()
}

/// Pixels in the scale's colours from `low` to `high`, or in grey; clear where there is no value.
pub fn painted(values: &[f32], low: f64, high: f64, grey: bool) -> Vec<u8> {
    let span = (high - low).max(f64::MIN_POSITIVE);
    let one = |value: &f32| {
        let share = (f64::from(*value) - low) / span;
        match (value.is_nan(), grey) {
            (true, _) => [0; 4],
            (false, true) => {
                let light = (share.clamp(0.0, 1.0) * 255.0).round() as u8;
                [light, light, light, 255]
            }
            (false, false) => {
                let [r, g, b] = colour(share);
                [r, g, b, 255]
            }
        }
    };
    values.iter().flat_map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;

    /// Lightness as eyes see it (relative luminance, WCAG 2.2).
    fn luminance(colour: [u8; 3]) -> f64 {
        let [r, g, b] = colour.map(|c| {
            let share = f64::from(c) / 255.0;
            match share <= 0.04045 {
                true => share / 12.92,
                false => ((share + 0.055) / 1.055).powf(2.4),
            }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    #[test]
    fn higher_is_lighter_all_along_the_scale() {
        let steps: Vec<f64> = (0..=100)
            .map(|n| luminance(colour(f64::from(n) / 100.0)))
            .collect();
        assert!(steps.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!((colour(-1.0), colour(2.0)), (SCALE[0], SCALE[4]));
    }

    #[test]
    fn what_faces_the_lamp_is_light_and_what_turns_away_is_dark() {
        let ramp = |climb: f64| {
            let row = |r: i32| (0..9).map(move |c| Some(20.0 + climb * f64::from(c + r)));
            let rows: Vec<Vec<_>> = (0..9).map(|r| row(r).collect()).collect();
            let map = HeightMap::new(Millimetres(1.0), &rows, 0.0).unwrap();
            f64::from(shaded(&map, [1.0, 0.0], [0.0, 1.0])[40])
        };
        let flat = ramp(0.0);
        assert!((flat - 0.5_f64.sqrt()).abs() < 1e-6);
        // A slope of 45 degrees towards the lower right turns straight to the lamp.
        assert!((ramp(0.5_f64.sqrt()) - 1.0).abs() < 1e-6);
        assert!(ramp(-0.5_f64.sqrt()) < 1e-6);
    }

    #[test]
    fn pixels_lie_where_their_places_are_and_none_beside_the_piece() {
        let rows = vec![
            vec![Some(0.0), Some(10.0), None],
            vec![Some(0.0), Some(10.0), None],
        ];
        let map = HeightMap::new(Millimetres(2.0), &rows, 0.0).unwrap();
        let values = sampled(map.frame(), map.heights(), [3, 1], |[x, y]| [x + 0.5, y]);
        assert_eq!(values[..2], [2.5, 7.5]);
        assert!(values[2].is_nan());
        let pixels = painted(&values, 0.0, 10.0, false);
        assert_eq!(pixels[..4], [0x3b, 0x52, 0x8b, 255]);
        assert_eq!(pixels[8..], [0; 4]);
        assert_eq!(
            painted(&values, 0.0, 10.0, true)[4..8],
            [191, 191, 191, 255]
        );
    }
}
