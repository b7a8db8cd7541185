//! What a shell of even thickness on the mould's inner face holds.
//!
//! Where a height map is known, the hollow behind the shell is what a ball as thick as the shell
//! can't reach from the surface: the map eroded by the ball (the difference of two bodies, one the
//! parallel body of the other). So edges, corners and deep places count as they are, and the
//! shell is never more than the solid. The back is open there, as the mould is.
//!
//! Where only the developed surface is known, it is J. Steiner's formula ("Über parallele
//! Flächen", 1840) to the first order of the curvature, inwards: `A t - M t²`.

use crate::quantity::{Millilitres, Millimetres, SquareMillimetres};
use crate::relief::HeightMap;

/// Places of the finer grid on which a ball is rolled, at most: a tenth of a second on a phone.
const MOST_PLACES: f64 = 200_000.0;
/// Places to the shell's thickness that are wanted.
const TO_THE_THICKNESS: f64 = 8.0;

/// The share of the solid that a shell of this thickness takes, by the heights.
pub(crate) fn share(map: &HeightMap, thickness: Millimetres) -> f64 {
    let coarse = (thickness.0 / map.step().0 / TO_THE_THICKNESS / 1.5) as usize;
    if coarse > 1 {
        return share(&map.coarser(coarse), thickness);
    }
    let step = map.step().0;
    let [columns, rows] = map.size();
    let wanted = (step * TO_THE_THICKNESS / thickness.0).ceil();
    let most = (MOST_PLACES / (columns * rows).max(1) as f64)
        .sqrt()
        .floor();
    let parts = wanted.min(most).max(1.0) as usize;
    let fine = Fine::of(map, parts);
    let (mut solid, mut hollow) = (0.0, 0.0);
    let ball = fine.ball(thickness.0);
    for row in 0..fine.rows {
        for column in 0..fine.columns {
            if let Some(height) = fine.at(column as isize, row as isize) {
                solid += height;
                hollow += fine.hollow(column, row, thickness.0, &ball);
            }
        }
    }
    if solid > 0.0 {
        1.0 - hollow / solid
    } else {
        1.0
    }
}

/// The heights on a grid with so many times the places each way, straight between those known.
struct Fine {
    step: f64,
    columns: usize,
    rows: usize,
    heights: Vec<f32>,
}

/// A place of the ball: how far aside it lies, and how far out its surface; nothing where only the
/// wall beside the piece is asked.
struct Touch {
    aside: [isize; 2],
    far: f64,
    out: Option<f64>,
}

impl Fine {
    fn of(map: &HeightMap, parts: usize) -> Self {
        let [columns, rows] = map.size();
        let of_part = |at: usize| ((at % parts) as f64 + 0.5) / parts as f64 - 0.5;
        let mut heights = Vec::with_capacity(columns * rows * parts * parts);
        for row in 0..rows * parts {
            for column in 0..columns * parts {
                let own = [column / parts, row / parts].map(|at| at as isize);
                let known = map.at(own[0], own[1]);
                let height =
                    known.map_or(f64::NAN, |_| mixed(map, own, of_part(column), of_part(row)));
                heights.push(height as f32);
            }
        }
        Self {
            step: map.step().0 / parts as f64,
            columns: columns * parts,
            rows: rows * parts,
            heights,
        }
    }

    fn at(&self, column: isize, row: isize) -> Option<f64> {
        let column = usize::try_from(column).ok().filter(|c| *c < self.columns)?;
        let row = usize::try_from(row).ok().filter(|r| *r < self.rows)?;
        let height = f64::from(self.heights[row * self.columns + column]);
        (!height.is_nan()).then_some(height)
    }

    /// Its places, the nearest first: these settle most.
    fn ball(&self, radius: f64) -> Vec<Touch> {
        let n = (radius / self.step).floor() as isize + 1;
        let aside = (-n..=n).flat_map(|down| (-n..=n).map(move |right| [right, down]));
        let mut all: Vec<Touch> = aside
            .map(|aside| {
                let far = self.step * (aside[0] as f64).hypot(aside[1] as f64);
                let square = radius * radius - far * far;
                Touch {
                    aside,
                    far,
                    out: (square >= 0.0).then(|| square.sqrt()),
                }
            })
            .filter(|touch| touch.far < radius + self.step)
            .collect();
        all.sort_by(|one, other| one.far.total_cmp(&other.far));
        all
    }

    /// How high the hollow stands there. The piece ends half a place before the first that is
    /// beyond it: where the side's shell ends within a place, that counts by its part.
    fn hollow(&self, column: usize, row: usize, radius: f64, ball: &[Touch]) -> f64 {
        let (mut least, mut part) = (f64::INFINITY, 1.0);
        for touch in ball {
            let [right, down] = touch.aside;
            match (
                self.at(column as isize + right, row as isize + down),
                touch.out,
            ) {
                (None, Some(_)) => return 0.0,
                (None, None) => part = f64::min(part, (touch.far - radius) / self.step),
                (Some(height), Some(out)) => least = least.min(height - out),
                (Some(_), None) => {}
            }
            if least <= 0.0 {
                return 0.0;
            }
        }
        least * part
    }
}

/// The height aside of a known place, straight between the four around; those that are not known
/// don't count.
fn mixed(map: &HeightMap, own: [isize; 2], right: f64, down: f64) -> f64 {
    let toward = |part: f64| if part < 0.0 { -1 } else { 1 };
    let (mut sum, mut all) = (0.0, 0.0);
    for (column, u) in [(0, 1.0 - right.abs()), (toward(right), right.abs())] {
        for (row, v) in [(0, 1.0 - down.abs()), (toward(down), down.abs())] {
            if let Some(height) = map.at(own[0] + column, own[1] + row) {
                sum += u * v * height;
                all += u * v;
            }
        }
    }
    sum / all
}

/// The same by the developed surface and, where it is known, the integral of its mean curvature.
pub(crate) fn by_surface(
    surface: SquareMillimetres,
    mean_curvature: Option<Millimetres>,
    thickness: Millimetres,
) -> Millilitres {
    let bend = mean_curvature.map_or(0.0, |bend| bend.0.max(0.0));
    // From here on the inner face would have no area left: the shell is closed.
    let t = if bend > 0.0 {
        thickness.0.min(surface.0 / (2.0 * bend))
    } else {
        thickness.0
    };
    Millilitres((surface.0 * t - bend * t * t) / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A map of `height(x, y)` at the middles of squares around the origin.
    fn map(step: f64, reach: f64, height: impl Fn(f64, f64) -> Option<f64>) -> HeightMap {
        let n = (reach / step).round() as i32;
        let at = |i: i32| (f64::from(i) + 0.5) * step;
        let rows: Vec<Vec<_>> = (-n..n)
            .map(|y| (-n..n).map(|x| height(at(x), at(y))).collect())
            .collect();
        HeightMap::new(Millimetres(step), &rows, 0.0).unwrap()
    }

    #[test]
    fn a_boxs_shell_is_the_difference_of_two_boxes() {
        // 120 x 80 x 40, open at the back: inside remains (120 - 2t) (80 - 2t) (40 - t).
        for step in [1.0, 2.0, 4.0] {
            let block = map(step, 64.0, |x, y| {
                (x.abs() < 60.0 && y.abs() < 40.0).then_some(40.0)
            });
            for t in [2.0, 5.0, 9.0] {
                let inner = (120.0 - 2.0 * t) * (80.0 - 2.0 * t) * (40.0 - t);
                let wanted = 1.0 - inner / (120.0 * 80.0 * 40.0);
                let found = share(&block, Millimetres(t));
                assert!(
                    (found / wanted - 1.0).abs() < 0.01,
                    "{step} {t}: {found} for {wanted}"
                );
            }
        }
    }

    #[test]
    fn a_caps_shell_is_the_difference_of_two_caps() {
        let cap_volume = |r: f64, h: f64| PI * h * h * (3.0 * r - h) / 3.0;
        let (r, h) = (50.0_f64, 20.0);
        let cap = map(1.0, 42.0, |x, y| {
            (x * x + y * y < 1600.0).then(|| (r * r - x * x - y * y).sqrt() - (r - h))
        });
        for t in [2.0, 4.0, 8.0] {
            let wanted = 1.0 - cap_volume(r - t, h - t) / cap_volume(r, h);
            let found = share(&cap, Millimetres(t));
            assert!(
                (found / wanted - 1.0).abs() < 0.01,
                "{t}: {found} for {wanted}"
            );
        }
    }

    #[test]
    fn a_shell_thicker_than_the_piece_is_the_solid() {
        let block = map(1.0, 20.0, |_, _| Some(6.0));
        assert_eq!(share(&block, Millimetres(6.5)), 1.0);
        assert!(share(&block, Millimetres(5.5)) < 1.0);
    }

    #[test]
    fn by_the_surface_it_is_steiners_formula_inwards() {
        // A ball's shell from outside in, without its last term: 4 pi (r² t - r t²).
        let (r, t) = (30.0_f64, 3.0);
        let ball = SquareMillimetres(4.0 * PI * r * r);
        let found = by_surface(ball, Some(Millimetres(4.0 * PI * r)), Millimetres(t)).0 * 1000.0;
        let exact = 4.0 / 3.0 * PI * (r.powi(3) - (r - t).powi(3));
        let last = 4.0 / 3.0 * PI * t.powi(3);
        assert!((found + last - exact).abs() < 1e-6);
        // Without the curvature it is the surface times the thickness.
        let plain = by_surface(ball, None, Millimetres(t)).0 * 1000.0;
        assert!((plain - ball.0 * t).abs() < 1e-9);
        // It never falls again with the thickness.
        let closed = by_surface(ball, Some(Millimetres(4.0 * PI * r)), Millimetres(29.0));
        let more = by_surface(ball, Some(Millimetres(4.0 * PI * r)), Millimetres(99.0));
        assert!(closed <= more);
    }
}
