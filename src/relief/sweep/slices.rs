//! The first sweep: planes rise from the wall, each photo is laid on each, and the photos are
//! compared place by place.
//!
//! R. Collins, "A space-sweep approach to true multi-image matching", CVPR 1996.

use super::census;
use super::paths::Volume;
use super::{Frame, Seen};

/// Brightness is compared in so many parts of a level.
const PARTS: f32 = 64.0;

/// What each height costs at each place of the grid: `from + label · apart` millimetres before the
/// wall. Off the piece only the wall itself is free.
pub(super) fn swept(
    seen: &[Seen],
    grid: &Frame,
    inside: &[bool],
    from: f32,
    apart: f32,
    labels: usize,
    progress: &mut dyn FnMut(f64),
) -> Volume {
    let places = grid.len();
    let mut cost = vec![census::MOST; places * labels];
    let pairs = pairs(seen.len());
    let mut laid: Vec<Vec<i16>> = vec![vec![0; places]; seen.len()];
    let mut whole: Vec<Vec<bool>> = vec![vec![false; places]; seen.len()];
    let mut of_pair = vec![vec![0_u8; places]; pairs.len()];
    for label in 0..labels {
        let height = from + label as f32 * apart;
        for ((of, whole), laid) in seen.iter().zip(&mut whole).zip(&mut laid) {
            for row in 0..grid.rows {
                let start = row * grid.columns;
                for column in 0..grid.columns {
                    let [x, y] = of.eye.see(column as f32, row as f32, height);
                    let value = of.photo.at(x, y);
                    whole[start + column] = !value.is_nan();
                    // NaN becomes 0.
                    laid[start + column] = (value * PARTS) as i16;
                }
            }
        }
        for (pair, out) in pairs.iter().zip(&mut of_pair) {
            census::differences(&laid[pair[0]], &laid[pair[1]], grid.columns, grid.rows, out);
            for place in 0..places {
                if !(whole[pair[0]][place] && whole[pair[1]][place]) {
                    out[place] = census::MOST / 2;
                }
            }
        }
        let wall = height.abs() < apart / 2.0;
        for place in 0..places {
            cost[place * labels + label] = if inside[place] {
                best_half(of_pair.iter().map(|of| f32::from(of[place]))) as u8
            } else if wall {
                0
            } else {
                census::MOST
            };
        }
        progress((label + 1) as f64 / labels as f64);
    }
    Volume {
        columns: grid.columns,
        rows: grid.rows,
        labels,
        cost,
    }
}

/// Which photos are compared: each with each, as long as these are few.
pub(super) fn pairs(photos: usize) -> Vec<[usize; 2]> {
    let all = (0..photos).flat_map(|a| (a + 1..photos).map(move |b| [a, b]));
    let few = |pair: &[usize; 2]| photos <= 4 || pair[0] == 0 || pair[1] == pair[0] + 1;
    all.filter(few).collect()
}

/// The mean of the better half of the pairs, or of two of three: the others may not see the place.
pub(super) fn best_half(costs: impl Iterator<Item = f32>) -> f32 {
    let mut list = [0.0_f32; 10];
    let mut count = 0;
    for cost in costs.take(10) {
        // Sorted as they come: there are a few.
        let mut at = count;
        while at > 0 && list[at - 1] > cost {
            list[at] = list[at - 1];
            at -= 1;
        }
        list[at] = cost;
        count += 1;
    }
    let half = count / 2 + count % 2;
    list[..half].iter().sum::<f32>() / half.max(1) as f32
}

/// Where the wall's picture shows nothing: neighbours differ from their mean by no more than the
/// grain does. Light that falls off across an even surface is no texture.
pub(super) fn even(seen: &Seen, grid: &Frame) -> Vec<bool> {
    let (columns, rows) = (grid.columns, grid.rows);
    let value = |column: usize, row: usize| {
        let [x, y] = seen.eye.see(column as f32, row as f32, 0.0);
        seen.photo.at(x, y)
    };
    let laid: Vec<f32> = (0..grid.len())
        .map(|p| value(p % columns, p / columns))
        .collect();
    let bend = |place: usize| {
        let (column, row) = (place % columns, place / columns);
        let inside = column >= 2 && row >= 2 && column + 2 < columns && row + 2 < rows;
        if !inside {
            return 0.0;
        }
        let around = laid[place - 2]
            + laid[place + 2]
            + laid[place - 2 * columns]
            + laid[place + 2 * columns];
        let bend = laid[place] - around / 4.0;
        // Off the photo nothing is even.
        if bend.is_nan() { f32::MAX } else { bend * bend }
    };
    let mut bends: Vec<f32> = (0..grid.len()).map(bend).collect();
    let mut across = bends.clone();
    super::again::square_sums(&mut bends, &mut across, grid, EVEN_REACH);
    let count = ((2 * EVEN_REACH + 1) * (2 * EVEN_REACH + 1)) as f32;
    bends.iter().map(|sum| *sum < EVEN_BEND * count).collect()
}

/// So many places to either side are looked at.
const EVEN_REACH: usize = 3;
/// The mean square of what a place differs from its neighbours by, in levels squared, that is no
/// more than grain.
const EVEN_BEND: f32 = 1.5;
