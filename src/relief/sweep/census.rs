//! How alike two pictures are about each place: the census.
//!
//! R. Zabih and J. Woodfill, "Non-parametric local transforms for computing visual correspondence",
//! ECCV 1994: which neighbours are darker than the middle, in a square of 7 x 7. How bright and how
//! contrasty either picture is does not count.

use std::ops::Range;

/// Neighbours to either side.
pub(super) const REACH: usize = 3;
/// So many neighbours can differ.
pub(super) const MOST: u8 = 48;
/// So many places are counted at once.
const LANES: usize = 16;

/// For each place the number of neighbours that are darker than the middle in one picture and not
/// in the other; half of all at the border, which has too few neighbours. Row by row within `spans`
/// alone.
pub(super) fn differences(
    a: &[i16],
    b: &[i16],
    columns: usize,
    spans: &[Range<usize>],
    out: &mut [u8],
) {
    let rows = spans.len();
    out.fill(MOST / 2);
    if columns <= 2 * REACH || rows <= 2 * REACH {
        return;
    }
    for row in REACH..rows - REACH {
        let line = &mut out[row * columns..][..columns];
        let mut column = spans[row].start.max(REACH);
        let end = spans[row].end.min(columns - REACH);
        while column + LANES <= end {
            counted::<LANES>([a, b], columns, row, column, line);
            column += LANES;
        }
        for column in column..end {
            counted::<1>([a, b], columns, row, column, line);
        }
    }
}

/// The same of `N` places from this one on.
#[inline]
fn counted<const N: usize>(
    pictures: [&[i16]; 2],
    columns: usize,
    row: usize,
    column: usize,
    line: &mut [u8],
) {
    let middle = pictures.map(|of| places::<N>(of, row * columns + column));
    let mut count = [0_i16; N];
    for dy in 0..=2 * REACH {
        let first = (row + dy - REACH) * columns + column - REACH;
        for dx in 0..=2 * REACH {
            let [a, b] = pictures.map(|of| places::<N>(of, first + dx));
            for i in 0..N {
                count[i] += i16::from((a[i] < middle[0][i]) ^ (b[i] < middle[1][i]));
            }
        }
    }
    for (to, count) in line[column..].iter_mut().zip(count) {
        *to = count as u8;
    }
}

#[expect(clippy::expect_used, reason = "rows are as long as the loop that asks")]
fn places<const N: usize>(of: &[i16], from: usize) -> &[i16; N] {
    of[from..].first_chunk().expect("a whole row")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_brighter_picture_is_alike_and_another_one_is_not() {
        let mut chance = fastrand::Rng::with_seed(1);
        let a: Vec<i16> = (0..400).map(|_| chance.i16(0..1000)).collect();
        let brighter: Vec<i16> = a.iter().map(|v| 3 * v + 200).collect();
        let other: Vec<i16> = (0..400).map(|_| chance.i16(0..1000)).collect();
        let mut out = vec![0; 400];
        let spans = vec![0..20; 20];
        differences(&a, &brighter, 20, &spans, &mut out);
        assert!(out[3 * 20 + 3] == 0 && out[10 * 20 + 10] == 0 && out[0] == MOST / 2);
        differences(&a, &other, 20, &spans, &mut out);
        // Half of all neighbours differ by chance.
        let inside: Vec<u32> = (3..17).map(|r| u32::from(out[r * 20 + 9])).collect();
        let mean = f64::from(inside.iter().sum::<u32>()) / inside.len() as f64;
        assert!((14.0..34.0).contains(&mean), "{inside:?}");
    }
}
