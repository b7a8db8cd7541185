//! The surface as a layer of some thickness feels it: what is finer than the layer is evened out.

use super::HeightMap;
use super::cover::Cover;
use super::surface::{Bend, Grid};
use crate::quantity::Millimetres;

/// How much developed surface lies over the square of each place, row after row, in square
/// millimetres; the sides at the edge belong to the places beside them. All together it is the
/// surface of [`super::measures`].
pub fn areas(map: &HeightMap, cover: &Cover) -> Vec<f64> {
    let grid = Grid::of(map.heights(), 1.0, cover);
    let frame = map.frame();
    let square = frame.step.0 * frame.step.0;
    let mut all = vec![0.0; frame.len()];
    let mut add = |[column, row]: [isize; 2], area: f64| {
        let c = column.clamp(0, frame.columns as isize - 1) as usize;
        let r = row.clamp(0, frame.rows as isize - 1) as usize;
        all[r * frame.columns + c] += area;
    };
    let wide = frame.columns + 1;
    grid.for_parts(cover, |part| {
        // A cell lies between four places; those on the piece share it.
        let (c, r) = ((part.index % wide) as isize, (part.index / wide) as isize);
        let corners = [[c - 1, r - 1], [c, r - 1], [c - 1, r], [c, r]];
        let on = corners.map(|place| is_on(cover, place));
        let count = on.iter().filter(|on| **on).count().max(1) as f64;
        let area = part.stretch() * part.share * square;
        if !on.contains(&true) {
            add(corners[3], area);
        }
        for (place, _) in corners.into_iter().zip(on).filter(|(_, on)| *on) {
            add(place, area / count);
        }
    });
    for stretch in &cover.edge {
        let [c, r] = stretch.at.map(|n| n.floor() as isize);
        let corners = [[c, r], [c + 1, r], [c, r + 1], [c + 1, r + 1]];
        let far = |[x, y]: [isize; 2]| (x as f64 - stretch.at[0]).hypot(y as f64 - stretch.at[1]);
        let nearest = corners
            .into_iter()
            .filter(|place| is_on(cover, *place))
            .min_by(|one, other| far(*one).total_cmp(&far(*other)));
        add(
            nearest.unwrap_or(corners[0]),
            stretch.length * grid.side(stretch),
        );
    }
    all
}

fn is_on(cover: &Cover, [column, row]: [isize; 2]) -> bool {
    let frame = cover.frame;
    (0..frame.columns as isize).contains(&column)
        && (0..frame.rows as isize).contains(&row)
        && cover.inside[row as usize * frame.columns + column as usize]
}

/// The mean curvature at each place in 1/mm, positive where the surface bulges outward, of the
/// surface blurred over a length (the standard deviation of a Gaussian window); not a number off
/// the piece. The wall around the piece is part of the surface, so that its foot is hollow.
pub fn felt_curvature(map: &HeightMap, cover: &Cover, over: Millimetres) -> Vec<f32> {
    let frame = map.frame();
    let step = frame.step.0;
    let sigma = over.0 / step;
    let reach = (3.0 * sigma).ceil().clamp(1.0, 400.0) as usize;
    let weight = |n: usize| match sigma > 0.0 {
        true => (-0.5 * (n as f64 / sigma).powi(2)).exp() as f32,
        false => f32::from(u8::from(n == 0)),
    };
    let half: Vec<f32> = (0..=reach).map(weight).collect();
    let whole = half[0] + 2.0 * half[1..].iter().sum::<f32>();
    // One place more than the window on all sides, for the differences.
    let pad = reach + 1;
    let (columns, rows) = (frame.columns + 2 * pad, frame.rows + 2 * pad);
    let mut wide = vec![0.0_f32; columns * rows];
    for (at, height) in map.heights().iter().enumerate() {
        if cover.inside[at] && !height.is_nan() {
            let (c, r) = (at % frame.columns + pad, at / frame.columns + pad);
            wide[r * columns + c] = *height;
        }
    }
    let mut blurred = vec![0.0_f32; wide.len()];
    for (line, out) in wide
        .chunks_exact(columns)
        .zip(blurred.chunks_exact_mut(columns))
    {
        for c in reach..columns - reach {
            let pairs = (1..=reach).map(|n| half[n] * (line[c - n] + line[c + n]));
            out[c] = (half[0] * line[c] + pairs.sum::<f32>()) / whole;
        }
    }
    for r in reach..rows - reach {
        let out = &mut wide[r * columns..(r + 1) * columns];
        out.iter_mut()
            .zip(&blurred[r * columns..])
            .for_each(|(out, here)| *out = half[0] * here);
        for (n, weight) in half.iter().enumerate().skip(1) {
            let (above, below) = (&blurred[(r - n) * columns..], &blurred[(r + n) * columns..]);
            for ((out, a), b) in out.iter_mut().zip(above).zip(below) {
                *out += weight * (a + b);
            }
        }
        out.iter_mut().for_each(|out| *out /= whole);
    }
    let bend = |at: usize| {
        let middle = (at / frame.columns + pad) * columns + at % frame.columns + pad;
        let z = |dx: isize, dy: isize| {
            f64::from(wide[(middle as isize + dy * columns as isize + dx) as usize])
        };
        let square = step * step;
        Bend {
            zx: (z(1, 0) - z(-1, 0)) / (2.0 * step),
            zy: (z(0, 1) - z(0, -1)) / (2.0 * step),
            zxx: (z(1, 0) - 2.0 * z(0, 0) + z(-1, 0)) / square,
            zyy: (z(0, 1) - 2.0 * z(0, 0) + z(0, -1)) / square,
            zxy: (z(1, 1) - z(1, -1) - z(-1, 1) + z(-1, -1)) / (4.0 * square),
        }
    };
    let on = |at: usize| cover.inside[at] && !map.heights()[at].is_nan();
    (0..frame.len())
        .map(|at| match on(at) {
            true => bend(at).mean_curvature() as f32,
            false => f32::NAN,
        })
        .collect()
}
