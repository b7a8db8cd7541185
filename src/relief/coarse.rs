//! A coarse grid over a fine one: the surfaces between readings are smooth, so few places tell
//! them, and the others follow from a cubic (R. Keys, IEEE Trans. ASSP 29(6), 1981) through them.

use super::Frame;
use crate::quantity::Millimetres;

/// Places along the longer side of the coarse grid: four to the shortest length at which a
/// surface changes.
const ALONG: usize = 40;

/// A coarse grid that reaches beyond a fine one on all sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Coarse {
    pub fine: Frame,
    pub frame: Frame,
}

impl Coarse {
    /// Over a frame.
    pub fn over(fine: Frame) -> Self {
        let sides = [fine.columns, fine.rows].map(|n| (n - 1) as f64 * fine.step.0);
        let step = (sides[0].max(sides[1]) / (ALONG - 3) as f64).max(fine.step.0);
        // One place before the first, and two after the last, for the cubic.
        let count = |side: f64| (side / step).floor() as usize + 4;
        Self {
            fine,
            frame: Frame {
                origin: fine.origin.map(|x| x - step),
                step: Millimetres(step),
                columns: count(sides[0]),
                rows: count(sides[1]),
            },
        }
    }

    /// The values of the fine grid from those of the coarse one.
    pub fn refine(&self, values: &[f64]) -> Vec<f32> {
        let taps = |count: usize| -> Vec<(usize, [f32; 4])> {
            let at = |n: usize| {
                let x = n as f64 * self.fine.step.0 / self.frame.step.0 + 1.0;
                let first = x.floor();
                (first as usize - 1, cubic(x - first))
            };
            (0..count).map(at).collect()
        };
        let (across, down) = (taps(self.fine.columns), taps(self.fine.rows));
        let mut wide = Vec::with_capacity(self.frame.rows * self.fine.columns);
        for line in values.chunks_exact(self.frame.columns) {
            wide.extend(across.iter().map(|(first, weights)| {
                let four = line[*first..*first + 4].iter().zip(weights);
                four.map(|(value, weight)| *value as f32 * weight)
                    .sum::<f32>()
            }));
        }
        let width = self.fine.columns;
        let mut fine = Vec::with_capacity(self.fine.len());
        for (first, [a, b, c, d]) in &down {
            let line = |n: usize| &wide[(first + n) * width..(first + n + 1) * width];
            let lines = line(0).iter().zip(line(1)).zip(line(2)).zip(line(3));
            fine.extend(lines.map(|(((p, q), r), s)| p * a + q * b + r * c + s * d));
        }
        fine
    }
}

/// The weights of the four places around, so far from the second of them.
fn cubic(x: f64) -> [f32; 4] {
    let (square, cube) = (x * x, x * x * x);
    [
        -0.5 * x + square - 0.5 * cube,
        1.0 - 2.5 * square + 1.5 * cube,
        0.5 * x + 2.0 * square - 1.5 * cube,
        -0.5 * square + 0.5 * cube,
    ]
    .map(|weight| weight as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smooth_surface_is_refined_as_it_was() {
        let fine = Frame {
            origin: [3.0, -8.0],
            step: Millimetres(0.7),
            columns: 300,
            rows: 171,
        };
        let coarse = Coarse::over(fine);
        let height = |[x, y]: [f64; 2]| {
            10.0 + 0.1 * x - 0.05 * y + 3.0 * (x / 30.0).sin() * (y / 25.0).cos()
        };
        let values: Vec<f64> = (0..coarse.frame.len())
            .map(|at| height(coarse.frame.place_of(at)))
            .collect();
        for (at, found) in coarse.refine(&values).into_iter().enumerate() {
            let off = f64::from(found) - height(fine.place_of(at));
            assert!(off.abs() < 0.02, "{off} at {at}");
        }
    }
}
