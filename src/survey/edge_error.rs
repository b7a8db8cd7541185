//! How far a traced outline is off the ornament's true edge, and what that does to its area and
//! its length.
//!
//! Three errors are kept apart. Each point is set a little wrong by itself. Neighbouring points
//! are wrong together, since one follows a blurred edge or one line of a moulding for a while:
//! this falls off along the edge as exp(-d / reach), round the whole outline. And between two
//! points the outline runs straight where the ornament may not.

use super::footprint::{Size, stretch};
use super::{Mm, Px, SurveyError, Wall, polygon};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// How well an outline was traced. All spreads are standard deviations in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct EdgeError {
    /// Of each point by itself, along x and along y.
    pub point_px: f64,
    /// Across the edge, of what neighbouring points have in common.
    pub drift_px: f64,
    /// How far that reaches along the edge, as a share of the outline's length: at this distance
    /// two places still have 37 % in common.
    pub drift_reach: f64,
    /// Across the edge, of what all points have in common, holes too: ornament taken for wall, or
    /// the reverse.
    pub whole_px: f64,
    /// Whether the ornament curves between the points; else the outline is the polygon itself.
    pub curved: bool,
}

/// What neighbours have in common, and what all points have, as shares of a point's own spread;
/// and how far the first reaches. Figures of this program's own, no source.
const DRIFT_SHARE: f64 = 0.7;
const DRIFT_REACH: f64 = 0.1;
const WHOLE_SHARE: f64 = 0.4;

/// A reach below this would be less than the spacing of points, and takes the arithmetic long.
const SHORTEST_REACH: f64 = 0.005;
/// A stretch of edge this share of the reach long moves as one.
const PIECE: f64 = 0.25;
/// At a sharp corner the edge's two sides push the corner out further than this many times their
/// own way only on spikes.
const LONGEST_MITRE: f64 = 3.0;

/// Nobody follows a curve with fewer points than this: they are corners.
const FEWEST_ON_CURVE: usize = 6;
/// A turn up to the first is no corner by its size, one beyond the second is (in radians; 40 and
/// 85 degrees). Tuned with the next two on shapes drawn by chance, smooth and cornered, of 8 to 64
/// points, so that the range holds the truth in both.
const CORNER_TURN: [f64; 2] = [0.698, 1.484];
/// How much a turn stands out from its neighbours, 0 on a circle and 1 between straight lines:
/// the same two bounds.
const CORNER_ALONE: [f64; 2] = [0.35, 0.75];
/// Turns by less than this, in radians, are as good as none (3 degrees).
const NO_TURN: f64 = 0.052;
/// What is not known of a bulge, as a share of it: by itself, and together with all others; the
/// second number of each counts where turns differ from their neighbours.
const OWN_SHARE: [f64; 2] = [0.3, 0.3];
const COMMON_SHARE: [f64; 2] = [0.05, 0.2];

impl EdgeError {
    /// Points that are off each by itself, on an outline that is the polygon through them.
    pub fn points(point_px: f64) -> Self {
        Self {
            point_px,
            drift_px: 0.0,
            drift_reach: DRIFT_REACH,
            whole_px: 0.0,
            curved: false,
        }
    }

    /// An outline traced by hand round an ornament, whose points are set to `point_px`.
    ///
    /// ```
    /// use peelcast::survey::EdgeError;
    /// let traced = EdgeError::traced(2.0);
    /// assert!(traced.drift_px > traced.whole_px && traced.curved);
    /// ```
    pub fn traced(point_px: f64) -> Self {
        Self {
            point_px,
            drift_px: DRIFT_SHARE * point_px,
            drift_reach: DRIFT_REACH,
            whole_px: WHOLE_SHARE * point_px,
            curved: true,
        }
    }

    /// Refuses spreads that no outline has.
    pub(super) fn check(&self) -> Result<(), SurveyError> {
        for (field, sd) in [
            ("point_sd_px", self.point_px),
            ("edge_sd_px", self.drift_px),
            ("edge_common_sd_px", self.whole_px),
        ] {
            if !(sd >= 0.0 && sd.is_finite()) {
                return Err(SurveyError::at(
                    field,
                    tr("The spread of the traced edge must be 0 or more."),
                ));
            }
        }
        if !(self.drift_reach >= SHORTEST_REACH && self.drift_reach <= 1.0) {
            return Err(SurveyError::at(
                "edge_reach",
                say!(
                    "What neighbouring points have in common reaches from {SHORTEST_REACH} to 1 \
                     of the outline's length.",
                    SHORTEST_REACH
                ),
            ));
        }
        Ok(())
    }

    /// Variances of area and edge length from how the points were set.
    pub(super) fn variance(
        &self,
        wall: &Wall,
        rings: &[(String, &[Px])],
        on_wall: &[Vec<Mm>],
    ) -> Setting {
        let (mut sum, mut whole) = (Size::default(), Size::default());
        for (i, ((_, ring), places)) in rings.iter().zip(on_wall).enumerate() {
            let slopes = polygon::slopes(places);
            for (px, (area, edge)) in ring.iter().zip(&slopes) {
                for step in stretch(wall, *px) {
                    sum.area += (self.point_px * dot(*area, step)).powi(2);
                    sum.edge += (self.point_px * dot(*edge, step)).powi(2);
                }
            }
            let pushes = Pushes::round(wall, ring, &slopes, self.drift_reach);
            let drift = self.drift_px.powi(2);
            sum.area += drift * pushes.in_common(&pushes.area);
            sum.edge += drift * pushes.in_common(&pushes.edge);
            // More ornament is a wider outline and narrower holes.
            let outward = if i == 0 { 1.0 } else { -1.0 };
            whole.area += pushes.area.iter().map(|push| push.1).sum::<f64>();
            whole.edge += outward * pushes.edge.iter().map(|push| push.1).sum::<f64>();
        }
        Setting {
            apart: sum,
            in_common: Size {
                area: (self.whole_px * whole.area).powi(2),
                edge: (self.whole_px * whole.edge).powi(2),
            },
        }
    }
}

/// Variances of area and edge length from how the points were set.
pub(super) struct Setting {
    /// What another tracing would set differently.
    pub(super) apart: Size,
    /// What the same person would set alike on another photo.
    pub(super) in_common: Size,
}

/// What it does to a ring's area and edge length when the edge is pushed outwards by one pixel,
/// piece by piece: where along the edge (as a share of its reach), and how much.
struct Pushes {
    area: Vec<(f64, f64)>,
    edge: Vec<(f64, f64)>,
    /// The ring's length, in reaches.
    length: f64,
}

impl Pushes {
    fn round(wall: &Wall, ring: &[Px], slopes: &[(Mm, Mm)], reach: f64) -> Self {
        let n = ring.len();
        let reach = reach * polygon::edge_length(ring);
        let outwards = polygon::signed_area(ring).signum();
        let way = |i: usize| {
            let (a, b) = (ring[i % n], ring[(i + 1) % n]);
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = d[0].hypot(d[1]);
            ([d[0] / length, d[1] / length], length)
        };
        let (mut area, mut edge, mut at) = (Vec::new(), Vec::new(), 0.0);
        for (i, corner) in ring.iter().enumerate() {
            let ((before, _), (along, length)) = (way(i + n - 1), way(i));
            // Both sides pushed by one move the corner along the middle of their normals.
            let middle = [before[0] + along[0], before[1] + along[1]];
            let square = dot(middle, middle) / 2.0;
            let mitre = square.recip().min(LONGEST_MITRE);
            let push = [middle[1] * mitre * outwards, -middle[0] * mitre * outwards];
            let [x, y] = stretch(wall, *corner);
            let moved = [0, 1].map(|axis| x[axis] * push[0] + y[axis] * push[1]);
            edge.push((at / reach, dot(slopes[i].1, moved)));
            let pieces = (length / (PIECE * reach)).ceil().max(1.0);
            for piece in 0..pieces as usize {
                let past = (piece as f64 + 0.5) / pieces * length;
                let px = [corner[0] + past * along[0], corner[1] + past * along[1]];
                let [x, y] = stretch(wall, px);
                let grown = (x[0] * y[1] - x[1] * y[0]).abs();
                area.push(((at + past) / reach, grown * length / pieces));
            }
            at += length;
        }
        Self {
            area,
            edge,
            length: at / reach,
        }
    }

    /// The variance of the sum of all pushes where each has variance 1 and two of them, a distance
    /// `d` apart, have exp(-d) in common, taken both ways round and any number of times. One walk
    /// round gathers what lies behind, since it all fades alike.
    fn in_common(&self, pushes: &[(f64, f64)]) -> f64 {
        let once = (-self.length).exp();
        let walk = |mut behind: f64, sum: &mut f64| {
            let mut last = 0.0;
            for (at, push) in pushes {
                behind *= (last - at).exp();
                *sum += push * (push + 2.0 * behind);
                behind += push;
                last = *at;
            }
            behind * (last - self.length).exp()
        };
        let behind = walk(0.0, &mut 0.0) / (1.0 - once);
        let mut sum = 0.0;
        walk(behind, &mut sum);
        sum * (1.0 - once) / (1.0 + once)
    }
}

/// What lies between a ring's straight pieces and the curve that they seem to follow.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Bulge {
    /// Area and length to be added.
    pub(super) likely: Size,
    /// Their variances.
    pub(super) variance: Size,
}

impl Bulge {
    /// Of an outline (first) and its holes.
    pub(super) fn of_all(rings: &[Vec<Mm>]) -> Self {
        let mut all = Self::default();
        for (i, ring) in rings.iter().enumerate() {
            let mut one = Self::of(ring);
            if i > 0 {
                one.likely.area *= -1.0;
            }
            all.likely = all.likely.plus(&one.likely);
            all.variance = all.variance.plus(&one.variance);
        }
        all
    }

    /// Of a ring on the wall. A curve that turns by `k` a millimetre leaves k L³ / 12 beyond a
    /// chord of length L and is k² L³ / 24 longer. Whether a turn is a curve's or a corner's is
    /// told by its size and by its neighbours', as far as they tell.
    fn of(ring: &[Mm]) -> Self {
        let n = ring.len();
        if n < FEWEST_ON_CURVE {
            return Self::default();
        }
        let inwards = polygon::signed_area(ring).signum();
        let edges: Vec<Mm> = (0..n)
            .map(|i| [0, 1].map(|axis| ring[(i + 1) % n][axis] - ring[i][axis]))
            .collect();
        let turns: Vec<f64> = (0..n)
            .map(|i| {
                let (a, b) = (edges[(i + n - 1) % n], edges[i]);
                inwards * (a[0] * b[1] - a[1] * b[0]).atan2(dot(a, b))
            })
            .collect();
        let mut bulge = Self::default();
        let (mut open, mut common) = (0.0, 0.0);
        for (i, turn) in turns.iter().enumerate() {
            let length = |i: usize| edges[i % n][0].hypot(edges[i % n][1]);
            let (before, after) = (length(i + n - 1), length(i));
            let bend = 2.0 * turn / (before + after);
            let cubes = before.powi(3) + after.powi(3);
            let area = bend * cubes / 24.0;
            let size = turn.abs();
            let beside = (turns[(i + n - 1) % n].abs() + turns[(i + 1) % n].abs()) / 2.0;
            let alone = (size - beside) / (size + beside + NO_TURN);
            let no_corner =
                |x: f64, [low, high]: [f64; 2]| 1.0 - ((x - low) / (high - low)).clamp(0.0, 1.0);
            let curve = no_corner(size, CORNER_TURN) * no_corner(alone, CORNER_ALONE);
            bulge.likely.area += curve * area;
            bulge.likely.edge += curve * bend * bend * cubes / 48.0;
            open += (curve * (1.0 - curve)).sqrt() * area.abs();
            let not_known = |[steady, uneven]: [f64; 2]| steady + uneven * alone.abs();
            bulge.variance.area += (not_known(OWN_SHARE) * area).powi(2);
            common += curve * not_known(COMMON_SHARE) * area.abs();
        }
        bulge.variance.area += open.powi(2) + common.powi(2);
        // The length follows the area's doubt, in proportion.
        let share = bulge.variance.area.sqrt() / bulge.likely.area.abs().max(f64::MIN_POSITIVE);
        bulge.variance.edge = (share.min(1.0) * bulge.likely.edge).powi(2);
        bulge
    }
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(n: usize) -> Vec<Mm> {
        let angle = |i: usize| i as f64 / n as f64 * std::f64::consts::TAU;
        (0..n)
            .map(|i| [100.0 * angle(i).cos(), 100.0 * angle(i).sin()])
            .collect()
    }

    #[test]
    fn a_circle_of_sixteen_points_gets_its_bulge_back() {
        let circle = std::f64::consts::PI * 1e4;
        let ring = round(16);
        let bulge = Bulge::of(&ring);
        let off = (polygon::signed_area(&ring) + bulge.likely.area) / circle - 1.0;
        assert!(off.abs() < 0.002, "{off}");
        let edge = polygon::edge_length(&ring) + bulge.likely.edge;
        assert!((edge / (std::f64::consts::TAU * 100.0) - 1.0).abs() < 2e-4);
        // Run round the other way it is the same ring.
        let back: Vec<Mm> = ring.into_iter().rev().collect();
        assert!((Bulge::of(&back).likely.area / bulge.likely.area - 1.0).abs() < 1e-9);
    }

    #[test]
    fn corners_get_none() {
        // A long box with points along its sides.
        let mut ring: Vec<Mm> = (0..8).map(|i| [f64::from(i) * 40.0, 0.0]).collect();
        ring.extend((0..8).map(|i| [280.0 - f64::from(i) * 40.0, 100.0]));
        let bulge = Bulge::of(&ring);
        assert!(bulge.likely.area.abs() < 1.0, "{bulge:?}");
    }

    #[test]
    fn what_all_have_in_common_adds_up_and_what_none_has_does_not() {
        let of = |length: f64| {
            let area: Vec<_> = (0..100)
                .map(|i| (length * f64::from(i) / 100.0, 0.01))
                .collect();
            let pushes = Pushes {
                area: area.clone(),
                edge: Vec::new(),
                length,
            };
            pushes.in_common(&area)
        };
        // One reach is a hundred rounds: all in common. A hundredth of the spacing: nothing.
        assert!((of(0.01) - 1.0).abs() < 1e-3, "{}", of(0.01));
        assert!((of(1e4) - 0.01).abs() < 1e-6, "{}", of(1e4));
        // Ten reaches round: the kernel's integral, 2 / 10, exactly so for an endless sum.
        assert!((of(10.0) - 0.2).abs() < 1e-3, "{}", of(10.0));
    }
}
