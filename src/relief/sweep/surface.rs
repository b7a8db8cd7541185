//! From labels to a surface: what is not known is filled in, and noise is taken out but no edge.

use super::Frame;

/// So many places are smoothed at once.
const LANES: usize = 4;

/// Fills the places that are not known: each becomes the mean of its neighbours, as a skin
/// stretched between those that are known. What is off the piece pulls at nothing: a plaque's side
/// falls off all at once.
pub(super) fn fill(heights: &mut [f32], known: &[bool], inside: &[bool], grid: &Frame) {
    let (columns, rows) = (grid.columns as isize, grid.rows as isize);
    let around = |place: usize| {
        let (column, row) = (place as isize % columns, place as isize / columns);
        let aside = [(1, 0), (-1, 0), (0, 1), (0, -1)];
        aside.into_iter().filter_map(move |(dx, dy)| {
            let (c, r) = (column + dx, row + dy);
            let there = c >= 0 && r >= 0 && c < columns && r < rows;
            let there = there.then_some((r * columns + c) as usize);
            there.filter(|q| inside[*q])
        })
    };
    let mut reached: Vec<bool> = known.iter().zip(inside).map(|(k, i)| *k || !i).collect();
    // From the rim of the hole inward, so that the relaxation starts near its end.
    let mut rim: Vec<usize> = (0..heights.len())
        .filter(|p| !reached[*p] && around(*p).any(|q| reached[q]))
        .collect();
    let mut holes = Vec::new();
    while !rim.is_empty() {
        let values: Vec<f32> = rim
            .iter()
            .map(|place| {
                let near = around(*place).filter(|q| reached[*q]);
                let (sum, count) = near.fold((0.0, 0.0), |(s, n), q| (s + heights[q], n + 1.0));
                sum / count
            })
            .collect();
        for (place, value) in rim.iter().zip(values) {
            heights[*place] = value;
            reached[*place] = true;
        }
        holes.extend_from_slice(&rim);
        let mut next: Vec<usize> = rim
            .iter()
            .flat_map(|p| around(*p))
            .filter(|q| !reached[*q])
            .collect();
        next.sort_unstable();
        next.dedup();
        rim = next;
    }
    for _ in 0..FILL_ROUNDS {
        for place in &holes {
            let (sum, count) =
                around(*place).fold((0.0, 0.0), |(s, n), q| (s + heights[q], n + 1.0));
            // Over-relaxed (D. Young, 1954).
            heights[*place] += 1.6 * (sum / count - heights[*place]);
        }
    }
}

const FILL_ROUNDS: usize = 60;

/// Which places belong to no island: parts of the surface that stand apart from all around them by
/// more than `apart` millimetres and have fewer than `least` places are mistakes.
pub(super) fn mainland(
    heights: &[f32],
    inside: &[bool],
    grid: &Frame,
    apart: f32,
    least: usize,
) -> Vec<bool> {
    let (columns, rows) = (grid.columns, grid.rows);
    let mut good = vec![true; heights.len()];
    let mut seen = vec![false; heights.len()];
    let mut part = Vec::new();
    for start in 0..heights.len() {
        if seen[start] || !inside[start] {
            continue;
        }
        part.clear();
        part.push(start);
        seen[start] = true;
        let mut next = 0;
        while let Some(&place) = part.get(next) {
            next += 1;
            let (column, row) = (place % columns, place / columns);
            let mut visit = |there: bool, other: usize| {
                if there
                    && inside[other]
                    && !seen[other]
                    && (heights[other] - heights[place]).abs() < apart
                {
                    seen[other] = true;
                    part.push(other);
                }
            };
            visit(column > 0, place.wrapping_sub(1));
            visit(column + 1 < columns, place + 1);
            visit(row > 0, place.wrapping_sub(columns));
            visit(row + 1 < rows, place + columns);
        }
        if part.len() < least {
            part.iter().for_each(|place| good[*place] = false);
        }
    }
    good
}

/// Takes the trust from places about which less than a `share` of the piece is trusted, in a square.
pub(super) fn alone(trust: &mut [f32], inside: &[bool], grid: &Frame, reach: usize, share: f32) {
    let (columns, rows) = (grid.columns, grid.rows);
    // Sums over all above and to the left (F. Crow, SIGGRAPH 1984).
    let wide = columns + 1;
    let sums = |counts: &dyn Fn(usize) -> bool| {
        let mut sums = vec![0_i32; wide * (rows + 1)];
        for row in 0..rows {
            let mut along = 0;
            for column in 0..columns {
                along += i32::from(counts(row * columns + column));
                sums[(row + 1) * wide + column + 1] = sums[row * wide + column + 1] + along;
            }
        }
        sums
    };
    let trusted = sums(&|place| trust[place] > 0.0);
    let all = sums(&|place| inside[place]);
    for row in 0..rows {
        let (top, low) = (row.saturating_sub(reach), (row + reach + 1).min(rows));
        for column in 0..columns {
            let (left, right) = (
                column.saturating_sub(reach),
                (column + reach + 1).min(columns),
            );
            let count = |sums: &[i32]| {
                sums[low * wide + right] + sums[top * wide + left]
                    - sums[top * wide + right]
                    - sums[low * wide + left]
            };
            if (count(&trusted) as f32) < share * count(&all) as f32 {
                trust[row * columns + column] = 0.0;
            }
        }
    }
}

/// Cuts down what stands higher than all that is sure nearby: a place that was filled in, or that
/// stands alone, is no peak.
pub(super) fn cut_spikes(heights: &mut [f32], trust: &[f32], inside: &[bool], grid: &Frame) {
    let (columns, rows) = (grid.columns as isize, grid.rows as isize);
    let near = |place: usize, reach: isize| {
        let (column, row) = (place as isize % columns, place as isize / columns);
        let rows = (row - reach).max(0)..=(row + reach).min(rows - 1);
        rows.flat_map(move |r| {
            let across = (column - reach).max(0)..=(column + reach).min(columns - 1);
            across.map(move |c| (r * columns + c) as usize)
        })
    };
    let sound = |place: usize| inside[place] && trust[place] > 0.0;
    // The second highest of its neighbours: what a lone place claims counts for nothing.
    let held: Vec<f32> = (0..heights.len())
        .map(|place| {
            if !sound(place) {
                return f32::NEG_INFINITY;
            }
            let (mut first, mut second) = (f32::NEG_INFINITY, f32::NEG_INFINITY);
            for height in near(place, 1).filter(|q| sound(*q)).map(|q| heights[q]) {
                if height > first {
                    (first, second) = (height, first);
                } else if height > second {
                    second = height;
                }
            }
            heights[place].min(second)
        })
        .collect();
    for place in (0..heights.len()).filter(|p| inside[*p]) {
        let top = near(place, SPIKE_REACH)
            .map(|q| held[q])
            .fold(f32::NEG_INFINITY, f32::max);
        if top.is_finite() {
            heights[place] = heights[place].min(top);
        }
    }
}

/// How far about a place is looked for what is as high, in places.
const SPIKE_REACH: isize = 4;

/// The middle value of the square about each place, `half` to either side, of those that count.
pub(super) fn median(heights: &[f32], counts: &[bool], grid: &Frame, half: isize) -> Vec<f32> {
    let (columns, rows) = (grid.columns as isize, grid.rows as isize);
    let mut near = Vec::with_capacity(25);
    let mut out = heights.to_vec();
    for row in 0..rows {
        for column in 0..columns {
            let place = (row * columns + column) as usize;
            if !counts[place] {
                continue;
            }
            near.clear();
            for r in (row - half).max(0)..=(row + half).min(rows - 1) {
                for c in (column - half).max(0)..=(column + half).min(columns - 1) {
                    let q = (r * columns + c) as usize;
                    if counts[q] {
                        near.push(heights[q]);
                    }
                }
            }
            let middle = near.len() / 2;
            out[place] = *near.select_nth_unstable_by(middle, f32::total_cmp).1;
        }
    }
    out
}

/// Each place moves onto the plane through its neighbours that lie about as high as this plane:
/// slopes stay slopes and edges stay edges (local regression with bilateral weights; C. Tomasi and
/// R. Manduchi, ICCV 1998; W. Cleveland, J. Amer. Statist. Assoc. 74, 1979).
///
/// `trust` weighs each place; those with none are moved but move nothing. `range` is how far apart
/// in height, in millimetres, places of one surface lie.
pub(super) fn smoothed(
    heights: &[f32],
    trust: &[f32],
    inside: &[bool],
    grid: &Frame,
    half: usize,
    range: f32,
) -> Vec<f32> {
    let (columns, rows) = (grid.columns, grid.rows);
    let spread = half as f32 / 1.8;
    // Nothing is trusted beyond the grid, as far as the neighbours of whole lanes reach.
    let wide = columns.next_multiple_of(LANES) + 2 * half;
    let padded = |values: &[f32]| {
        let mut wider = vec![0.0; wide * (rows + 2 * half)];
        let lines = wider[half * wide..].chunks_exact_mut(wide);
        for (to, from) in lines.zip(values.chunks_exact(columns)) {
            to[half..half + columns].copy_from_slice(from);
        }
        wider
    };
    let (near, trusted) = (padded(heights), padded(trust));
    let side = 2 * half + 1;
    let about: Vec<[f32; 3]> = (0..side * side)
        .map(|n| [n % side, n / side].map(|n| n as f32 - half as f32))
        .map(|[x, y]| [x, y, (-0.5 * (x * x + y * y) / (spread * spread)).exp()])
        .collect();
    #[expect(clippy::expect_used, reason = "rows are padded to whole lanes")]
    let lanes = |of: &[f32], from: usize| -> [f32; LANES] {
        *of[from..].first_chunk().expect("a padded row")
    };
    let mut out = heights.to_vec();
    for place in
        (0..rows).flat_map(|row| (0..columns).step_by(LANES).map(move |c| row * columns + c))
    {
        let (column, row) = (place % columns, place / columns);
        let count = LANES.min(columns - column);
        if !inside[place..place + count].contains(&true) {
            continue;
        }
        // The plane h = a + b x + c y about each place, twice: the second time by how far the
        // neighbours are from the first plane, so that a slope doesn't count as a step.
        let mut a = lanes(&near, (row + half) * wide + column + half);
        let (mut b, mut c) = ([0.0; LANES], [0.0; LANES]);
        for _ in 0..2 {
            let mut m = [[0.0; LANES]; 6];
            let mut g = [[0.0; LANES]; 3];
            for (n, [x, y, bell]) in about.iter().enumerate() {
                let from = (row + n / side) * wide + column + n % side;
                let (h, trust) = (lanes(&near, from), lanes(&trusted, from));
                for i in 0..LANES {
                    let off = (h[i] - a[i] - b[i] * x - c[i] * y) / range;
                    let w = trust[i] * bell / (1.0 + off * off * off * off);
                    m[0][i] += w;
                    m[1][i] += w * x;
                    m[2][i] += w * y;
                    m[3][i] += w * x * x;
                    m[4][i] += w * x * y;
                    m[5][i] += w * y * y;
                    g[0][i] += w * h[i];
                    g[1][i] += w * x * h[i];
                    g[2][i] += w * y * h[i];
                }
            }
            for i in 0..LANES {
                let mut m = m.map(|m| m[i]);
                if m[0] < 1e-3 {
                    continue;
                }
                let ridge = 0.02 * m[0];
                m[3] += ridge;
                m[5] += ridge;
                if let Some(plane) = solved(m, g.map(|g| g[i])) {
                    [a[i], b[i], c[i]] = plane;
                }
            }
        }
        for (i, to) in out[place..place + count].iter_mut().enumerate() {
            *to = if inside[place + i] { a[i] } else { *to };
        }
    }
    out
}

/// Solves a symmetric system of three, given its upper half.
fn solved(m: [f32; 6], g: [f32; 3]) -> Option<[f32; 3]> {
    let [a, b, c, d, e, f] = m;
    let (ca, cb, cc) = (d * f - e * e, c * e - b * f, b * e - c * d);
    let det = a * ca + b * cb + c * cc;
    if det.abs() < 1e-9 || det.is_nan() {
        return None;
    }
    let (cd, ce, cf) = (a * f - c * c, b * c - a * e, a * d - b * b);
    Some([
        (ca * g[0] + cb * g[1] + cc * g[2]) / det,
        (cb * g[0] + cd * g[1] + ce * g[2]) / det,
        (cc * g[0] + ce * g[1] + cf * g[2]) / det,
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;

    fn grid(columns: usize, rows: usize) -> Frame {
        Frame {
            origin: [0.0; 2],
            step: Millimetres(1.0),
            columns,
            rows,
        }
    }

    #[test]
    fn a_hole_in_a_slope_is_filled_as_the_slope_goes() {
        let grid = grid(21, 15);
        let slope: Vec<f32> = (0..grid.len()).map(|p| (p % 21) as f32).collect();
        let mut heights = slope.clone();
        let mut known = vec![true; grid.len()];
        for place in 0..grid.len() {
            let (c, r) = (place % 21, place / 21);
            if (7..14).contains(&c) && (5..10).contains(&r) {
                (heights[place], known[place]) = (99.0, false);
            }
        }
        fill(&mut heights, &known, &vec![true; grid.len()], &grid);
        for (found, wanted) in heights.iter().zip(&slope) {
            assert!((found - wanted).abs() < 0.01, "{found} {wanted}");
        }
    }

    #[test]
    fn smoothing_takes_the_noise_and_leaves_slope_and_cliff() {
        let grid = grid(40, 30);
        let mut chance = fastrand::Rng::with_seed(5);
        let true_height = |c: usize| if c < 20 { 0.5 * c as f32 } else { 30.0 };
        let noisy: Vec<f32> = (0..grid.len())
            .map(|p| true_height(p % 40) + 0.6 * (chance.f32() - 0.5))
            .collect();
        let all = vec![true; grid.len()];
        let found = smoothed(&noisy, &vec![1.0; grid.len()], &all, &grid, 2, 0.8);
        let error = |of: &[f32]| {
            let off = of
                .iter()
                .enumerate()
                .map(|(p, h)| (h - true_height(p % 40)).powi(2));
            (off.sum::<f32>() / of.len() as f32).sqrt()
        };
        assert!(
            error(&found) < 0.6 * error(&noisy),
            "{} {}",
            error(&found),
            error(&noisy)
        );
    }

    #[test]
    fn islands_and_lone_peaks_go() {
        let grid = grid(20, 20);
        let mut heights = vec![5.0; grid.len()];
        heights[10 * 20 + 10] = 25.0;
        heights[10 * 20 + 11] = 25.0;
        let all = vec![true; grid.len()];
        let good = mainland(&heights, &all, &grid, 1.6, 30);
        assert_eq!(good.iter().filter(|g| !**g).count(), 2);
        let mut trust = vec![1.0; grid.len()];
        trust[10 * 20 + 10] = 0.0;
        trust[10 * 20 + 11] = 0.0;
        cut_spikes(&mut heights, &trust, &all, &grid);
        assert!(heights.iter().all(|h| *h == 5.0));
        let mut few = vec![0.0; grid.len()];
        few[45] = 1.0;
        alone(&mut few, &all, &grid, 3, 0.4);
        assert!(few.iter().all(|t| *t == 0.0));
    }
}
