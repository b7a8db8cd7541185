//! How alike two pictures are about each place: the census.
//!
//! R. Zabih and J. Woodfill, "Non-parametric local transforms for computing visual correspondence",
//! ECCV 1994: which neighbours are darker than the middle, in a square of 7 x 7. How bright and how
//! contrasty either picture is does not count.

/// Neighbours to either side.
pub(super) const REACH: usize = 3;
/// So many neighbours can differ.
pub(super) const MOST: u8 = 48;

/// For each place the number of neighbours that are darker than the middle in one picture and not
/// in the other; half of all at the border, which has too few neighbours.
pub(super) fn differences(a: &[i16], b: &[i16], columns: usize, rows: usize, out: &mut [u8]) {
    out.fill(MOST / 2);
    if columns <= 2 * REACH || rows <= 2 * REACH {
        return;
    }
    let width = columns - 2 * REACH;
    for row in REACH..rows - REACH {
        let start = row * columns + REACH;
        let line = &mut out[start..start + width];
        line.fill(0);
        let (middle_a, middle_b) = (&a[start..start + width], &b[start..start + width]);
        for dy in 0..=2 * REACH {
            for dx in 0..=2 * REACH {
                if (dy, dx) == (REACH, REACH) {
                    continue;
                }
                let from = (row + dy - REACH) * columns + dx;
                let (near_a, near_b) = (&a[from..from + width], &b[from..from + width]);
                for i in 0..width {
                    let darker = (near_a[i] < middle_a[i]) ^ (near_b[i] < middle_b[i]);
                    line[i] += u8::from(darker);
                }
            }
        }
    }
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
        differences(&a, &brighter, 20, 20, &mut out);
        assert!(out[3 * 20 + 3] == 0 && out[10 * 20 + 10] == 0 && out[0] == MOST / 2);
        differences(&a, &other, 20, 20, &mut out);
        // Half of all neighbours differ by chance.
        let inside: Vec<u32> = (3..17).map(|r| u32::from(out[r * 20 + 9])).collect();
        let mean = f64::from(inside.iter().sum::<u32>()) / inside.len() as f64;
        assert!((14.0..34.0).contains(&mean), "{inside:?}");
    }
}
