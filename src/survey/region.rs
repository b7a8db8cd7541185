//! A region of the wall: a few closed rings with holes, and what widening, joining and cutting
//! makes of it. The crate `i_overlay` does the polygon algebra.

use super::Mm;
use super::polygon::{edge_length, signed_area};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

/// The length of one straight piece of a round corner, as a share of its radius: a quarter
/// circle in 32, short of the true area by 4e-4 of the corner.
const ROUND: f64 = 0.05;

/// A part of the plane, in millimetres. Outer rings and holes turn in opposite senses.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region(Vec<Vec<Vec<Mm>>>);

impl Region {
    /// What lies inside the ring and in none of the holes. The sense of the rings is of no matter.
    pub fn of(ring: &[Mm], holes: &[Vec<Mm>]) -> Self {
        let turned = |ring: &[Mm], sense: f64| {
            let mut ring = ring.to_vec();
            if signed_area(&ring) * sense < 0.0 {
                ring.reverse();
            }
            ring
        };
        let holes = holes.iter().map(|hole| turned(hole, -1.0));
        let rings = std::iter::once(turned(ring, 1.0)).chain(holes).collect();
        Self(vec![rings])
    }

    /// What lies in this or in the other.
    pub fn and(&self, other: &Self) -> Self {
        self.overlay(other, OverlayRule::Union)
    }

    /// What lies in this and not in the other.
    pub fn without(&self, other: &Self) -> Self {
        self.overlay(other, OverlayRule::Difference)
    }

    fn overlay(&self, other: &Self, rule: OverlayRule) -> Self {
        Self(self.0.overlay(&other.0, rule, FillRule::NonZero))
    }

    /// Everything within this distance of the region: its true parallel curve with round corners,
    /// holes that become too narrow are filled.
    pub fn widened(&self, by: f64) -> Self {
        if by <= 0.0 {
            return self.clone();
        }
        let style = OutlineStyle::new(by).line_join(LineJoin::Round(ROUND));
        Self(self.0.outline(&style))
    }

    /// Its area in square millimetres.
    pub fn area(&self) -> f64 {
        self.rings().map(signed_area).sum::<f64>().abs()
    }

    /// The length of all its edges in millimetres.
    pub fn edge_length(&self) -> f64 {
        self.rings().map(edge_length).sum()
    }

    /// In how many pieces it lies.
    pub fn pieces(&self) -> usize {
        self.0.len()
    }

    /// All rings, each piece's outer one before its holes.
    pub fn rings(&self) -> impl Iterator<Item = &[Mm]> {
        self.0.iter().flatten().map(Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn square(x: f64, y: f64, side: f64) -> Vec<Mm> {
        vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
    }

    fn plain(ring: &[Mm]) -> Region {
        Region::of(ring, &[])
    }

    #[test]
    fn a_widened_rectangle_has_its_parallel_curve() {
        // Steiner: 200 x 150 and 25 wide, a ring of 19,463.4954 mm2 with an edge of 857.0796 mm.
        let mut ring = vec![[0.0, 0.0], [200.0, 0.0], [200.0, 150.0], [0.0, 150.0]];
        for _ in 0..2 {
            let wide = plain(&ring).widened(25.0);
            let strip = wide.without(&plain(&ring)).area();
            assert!((strip - 19_463.495).abs() < 1.0, "{strip}");
            assert!((wide.edge_length() - 857.0796).abs() < 0.1);
            ring.reverse();
        }
    }

    #[test]
    fn a_hole_is_narrowed_or_filled_and_a_notch_counts_once() {
        let ring = square(0.0, 0.0, 200.0);
        let strip = |hole: f64| {
            let piece = Region::of(&ring, &[square(60.0, 60.0, hole)]);
            piece.widened(25.0).without(&piece).area()
        };
        let around = 200.0 * 100.0 + PI * 625.0;
        assert!((strip(40.0) - around - 1600.0).abs() < 1.5);
        assert!((strip(80.0) - around - (6400.0 - 900.0)).abs() < 1.5);
        // Two arms 20 mm apart: what lies between them is covered once.
        let fork = [
            [0.0, 0.0],
            [100.0, 0.0],
            [100.0, 100.0],
            [60.0, 100.0],
            [60.0, 20.0],
            [40.0, 20.0],
            [40.0, 100.0],
            [0.0, 100.0],
        ];
        let strip = plain(&fork).widened(25.0).without(&plain(&fork)).area();
        let slot = 20.0 * 80.0;
        // Over the mouth of the slot the arms' round corners meet: two sectors and a triangle.
        let (r, half) = (25.0_f64, 10.0_f64);
        let mouth = half * (r * r - half * half).sqrt() + r * r * (half / r).asin();
        let outside = 100.0 * 25.0 * 3.0 + 80.0 * 25.0 + PI * 625.0;
        assert!((strip - (outside + slot + mouth)).abs() < 2.0, "{strip}");
    }

    #[test]
    fn two_squares_that_overlap_cover_less_than_both() {
        let both = plain(&square(0.0, 0.0, 10.0)).and(&plain(&square(6.0, 3.5, 10.0)));
        assert_eq!(both.pieces(), 1);
        assert!((both.area() - (200.0 - 4.0 * 6.5)).abs() < 1e-4);
        let apart = plain(&square(0.0, 0.0, 10.0)).and(&plain(&square(20.0, 0.0, 3.0)));
        assert_eq!(apart.pieces(), 2);
    }

    proptest! {
        /// Steiner's formula holds for every convex shape, and is the most for all others.
        #[test]
        fn a_strip_is_steiners_or_less(
            radii in prop::collection::vec(30.0..90.0_f64, 9),
            by in 1.0..40.0_f64,
        ) {
            let star: Vec<Mm> = radii.iter().enumerate().map(|(i, r)| {
                let angle = i as f64 / 9.0 * std::f64::consts::TAU;
                [r * angle.cos(), r * angle.sin()]
            }).collect();
            let convex = (0..9).all(|i| {
                let [a, b, c] = [0, 1, 2].map(|k| star[(i + k) % 9]);
                (b[0] - a[0]) * (c[1] - b[1]) > (b[1] - a[1]) * (c[0] - b[0])
            });
            let region = plain(&star);
            let strip = region.widened(by).without(&region).area();
            let steiner = region.edge_length() * by + PI * by * by;
            prop_assert!(strip <= steiner + 0.01);
            prop_assert!(!convex || strip > steiner * 0.9995);
        }
    }
}
