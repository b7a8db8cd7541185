//! The first sweep: planes rise from the wall, each photo is laid on each, and the photos are
//! compared place by place.
//!
//! R. Collins, "A space-sweep approach to true multi-image matching", CVPR 1996.

use super::census;
use super::paths::Volume;
use super::{Frame, Seen, spans};

/// Brightness is compared in so many parts of a level.
const PARTS: f32 = 64.0;
/// So many labels are found before they are put into the volume: whole lines of memory at once.
const BLOCK: usize = 16;
/// What a place off the photo shows: darker than all.
const NOTHING: i16 = -1;

/// What each height costs at each place of the grid: `from + label · apart` millimetres before the
/// wall. Off the piece only the wall itself is free.
pub(super) fn swept(
    seen: &[Seen],
    grid: &Frame,
    inside: &[bool],
    from: f32,
    apart: f32,
    labels: usize,
) -> Volume {
    let places = grid.len();
    let mut volume = Volume::of(grid.columns, grid.rows, labels, census::MOST);
    let pairs = pairs(seen.len());
    let (own, about) = (spans(inside, grid, 0), spans(inside, grid, census::REACH));
    let mut laid: Vec<Vec<i16>> = vec![vec![NOTHING; places]; seen.len()];
    let mut of_pair = vec![vec![0_u8; places]; pairs.len()];
    let mut block = vec![vec![0_u8; places]; BLOCK];
    let mut line = vec![0.0; grid.columns];
    for first in (0..labels).step_by(BLOCK) {
        let last = labels.min(first + BLOCK);
        for (label, out) in (first..last).zip(&mut block) {
            let heights = vec![from + label as f32 * apart; grid.columns];
            for (of, laid) in seen.iter().zip(&mut laid) {
                for (row, span) in about.iter().enumerate() {
                    let line = &mut line[..span.len()];
                    of.photo
                        .lay(&of.eye, span.start, row, &heights[..span.len()], line);
                    let laid = &mut laid[row * grid.columns..][span.clone()];
                    for (laid, value) in laid.iter_mut().zip(line) {
                        *laid = if value.is_nan() {
                            NOTHING
                        } else {
                            (*value * PARTS) as i16
                        };
                    }
                }
            }
            for (pair, out) in pairs.iter().zip(&mut of_pair) {
                let [a, b] = pair.map(|n| &laid[n]);
                census::differences(a, b, grid.columns, &own, out);
                for ((out, a), b) in out.iter_mut().zip(a).zip(b) {
                    if *a == NOTHING || *b == NOTHING {
                        *out = census::MOST / 2;
                    }
                }
            }
            match of_pair.as_slice() {
                [only] => out.copy_from_slice(only),
                all => {
                    for (place, out) in out.iter_mut().enumerate() {
                        *out = best_half(all.iter().map(|of| f32::from(of[place]))) as u8;
                    }
                }
            }
        }
        for place in (0..places).filter(|place| inside[*place]) {
            let costs = &mut volume.at(place)[first..last];
            for (cost, of_label) in costs.iter_mut().zip(&block) {
                *cost = of_label[place];
            }
        }
    }
    let wall = (0..labels).find(|label| (from + *label as f32 * apart).abs() < apart / 2.0);
    for place in (0..places).filter(|place| !inside[*place]) {
        wall.iter().for_each(|wall| volume.at(place)[*wall] = 0);
    }
    volume
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
