//! The matching core by itself, on a pair of pictures whose rows lie on each other: the same costs
//! and the same paths as in the sweep, so that it can be held to other matchers.

use super::census;
use super::paths::{Penalty, Volume, agree};
use crate::survey::GreyView;

/// Penalties for costs of 0 to 48, as H. Hirschmüller weighs them: a disparity has no slope to
/// speak of.
const PENALTY: Penalty = Penalty { step: 7, jump: 40 };
/// Both pictures have to name the same place, to so many pixels.
const ALIKE_PX: f32 = 1.5;

/// For each pixel of `left` by how many pixels its place lies further left in `right`, up to
/// `most`; NaN where the two pictures don't name the same place.
///
/// Both pictures have one size, and the same row of both shows the same line.
pub fn disparity(left: &GreyView<'_>, right: &GreyView<'_>, most: usize) -> Vec<f32> {
    let (columns, rows) = (left.width as usize, left.height as usize);
    let labels = most + 1;
    let bright =
        |view: &GreyView<'_>| -> Vec<i16> { view.data.iter().map(|b| i16::from(*b)).collect() };
    let (a, b) = (bright(left), bright(right));
    let mut volume = Volume::of(columns, rows, labels, census::MOST);
    let spans = vec![0..columns; rows];
    let mut shifted = vec![0_i16; columns * rows];
    let mut differ = vec![0_u8; columns * rows];
    for label in 0..labels {
        for row in 0..rows {
            let line = &b[row * columns..][..columns];
            let to = &mut shifted[row * columns..][..columns];
            for (column, value) in to.iter_mut().enumerate() {
                *value = line[column.saturating_sub(label)];
            }
        }
        census::differences(&a, &shifted, columns, &spans, &mut differ);
        for (place, differ) in differ.iter().enumerate() {
            let seen = place % columns >= label;
            volume.at(place)[label] = if seen { *differ } else { census::MOST };
        }
    }
    let mut out = agree(&volume, PENALTY, None);
    // The other way round: what the right picture's pixels cost lies along the same volume.
    let mut other = Volume::of(columns, rows, labels, census::MOST);
    for row in 0..rows {
        for column in 0..columns {
            for label in 0..labels.min(columns - column) {
                let place = row * columns + column;
                other.at(place)[label] = volume.cost(place + label, label);
            }
        }
    }
    let back = agree(&other, PENALTY, None);
    for row in 0..rows {
        for column in 0..columns {
            let place = row * columns + column;
            let there = column as f32 - out[place];
            let agrees = there >= -0.5 && {
                let there = there.round().max(0.0) as usize;
                (back[row * columns + there] - out[place]).abs() <= ALIKE_PX
            };
            if !agrees {
                out[place] = f32::NAN;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_moved_aside_is_found_by_how_far() {
        let mut chance = fastrand::Rng::with_seed(3);
        let (width, height) = (60_usize, 30_usize);
        let scene: Vec<u8> = (0..(width + 20) * height).map(|_| chance.u8(..)).collect();
        let view = |from: usize| -> Vec<u8> {
            (0..height)
                .flat_map(|row| scene[row * (width + 20) + from..][..width].to_vec())
                .collect()
        };
        // What the left picture shows at 9 the right one shows at 2.
        let (left, right) = (view(0), view(7));
        let grey = |data| GreyView {
            width: width as u32,
            height: height as u32,
            data,
        };
        let found = disparity(&grey(&left), &grey(&right), 16);
        let inside = (5..height - 5).flat_map(|row| (20..width - 5).map(move |c| row * width + c));
        for place in inside {
            assert!((found[place] - 7.0).abs() < 0.5, "{}", found[place]);
        }
    }
}
