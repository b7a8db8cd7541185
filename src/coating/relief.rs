//! From the footprint on the wall to the surface a brush really covers.
//!
//! The surface is `A (1 + s) + P h k`: the footprint `A` with its modelled front (share `s`
//! more than flat), and the sides that rise along the perimeter `P` by the height `h` of the
//! highest point (share `k` of a full square edge). For each kind of relief `s` and `k` lie
//! between two shapes with a closed form. The middle of the two is the value, and the two
//! shapes stand one standard deviation to either side, since a real piece may lie beyond both.
//!
//! Fronts, developed area over flat area:
//! - smooth: 1.
//! - egg-crate `z = a sin(2 pi x / L) sin(2 pi y / L)`: the mean of `sqrt(1 + |grad z|^2)`,
//!   integrated here. With depth `2a` a fifth of the pitch it is 1.093, at two fifths 1.316.
//! - hemispheres side by side on a square pitch: `(pi + 4) / 4` = 1.785.
//!
//! Edges, extra surface per length of perimeter, over the height:
//! - fades into the ground: 0.
//! - quarter-round (half a half-bead): arc less the footprint under it, `pi/2 - 1` = 0.571.
//! - square: 1.
//! - half-round that turns back to the wall (undercut bead): `pi / 2` = 1.571.

use super::practice;
use crate::quantity::{Estimate, Millimetres, SquareMillimetres};
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};

/// How the piece stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Posture {
    /// On a wall.
    #[default]
    Upright,
    /// Lying, face up.
    Flat,
    /// On a ceiling or a soffit.
    Overhead,
}

impl Posture {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Upright => "upright",
            Self::Flat => "flat, face up",
            Self::Overhead => "overhead",
        }
    }
}

/// How strongly the front is modelled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReliefKind {
    /// Bas-relief: shallow, nearly flat front, edges that fade out or stand square.
    Low,
    /// Mezzo-rilievo: rounded forms, about half their depth stands out.
    #[default]
    Middle,
    /// Alto-rilievo: forms that stand out fully and turn back to the wall.
    High,
}

/// What is known of the third dimension.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Relief {
    /// The kind of modelling.
    pub kind: ReliefKind,
    /// The highest point over the wall.
    pub highest: Millimetres,
}

/// A share that lies between those of two shapes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// Half way between the two.
    pub value: f64,
    /// Standard deviation: half of what lies between them.
    pub sd: f64,
}

impl Between {
    fn shapes(one: f64, other: f64) -> Self {
        Self {
            value: (one + other) / 2.0,
            sd: (other - one).abs() / 2.0,
        }
    }
}

impl ReliefKind {
    /// All kinds, from flat to deep.
    pub const ALL: [Self; 3] = [Self::Low, Self::Middle, Self::High];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Low => "low relief",
            Self::Middle => "middle relief",
            Self::High => "high relief",
        }
    }

    /// The extra of the modelled front, as a share of the footprint.
    pub fn front(self) -> Between {
        let hemispheres = (PI + 4.0) / 4.0 - 1.0;
        match self {
            Self::Low => Between::shapes(0.0, egg_crate(0.2) - 1.0),
            Self::Middle => Between::shapes(egg_crate(0.2) - 1.0, egg_crate(0.4) - 1.0),
            Self::High => Between::shapes(egg_crate(0.4) - 1.0, hemispheres),
        }
    }

    /// The share of a square edge that the sides have.
    pub fn side(self) -> Between {
        match self {
            Self::Low => Between::shapes(0.0, 1.0),
            Self::Middle => Between::shapes(FRAC_PI_2 - 1.0, 1.0),
            Self::High => Between::shapes(1.0, FRAC_PI_2),
        }
    }

    /// Mean height over the footprint, as a share of the highest point: cone 1/3, paraboloid or
    /// waves 1/2, half-ellipsoid 2/3, slab 1.
    pub fn mean_height(self) -> Between {
        match self {
            // A nearly flat front: waves to slab.
            Self::Low => Between::shapes(1.0 / 2.0, 1.0),
            // Single forms on a ground: cone to half-ellipsoid.
            Self::Middle | Self::High => Between::shapes(1.0 / 3.0, 2.0 / 3.0),
        }
    }

    /// The share of the perimeter where the surface turns outward by a right angle.
    pub(crate) fn turning(self) -> f64 {
        match self {
            Self::Low => 0.5,
            Self::Middle | Self::High => 1.0,
        }
    }
}

/// Developed over flat area of an egg-crate whose depth (top to bottom) is `depth_per_pitch`
/// of its pitch. The midpoint rule on a periodic integrand converges to machine precision.
pub(crate) fn egg_crate(depth_per_pitch: f64) -> f64 {
    const STEPS: usize = 32;
    let slope = PI * depth_per_pitch;
    let at = |i: usize| TAU * (i as f64 + 0.5) / STEPS as f64;
    let sum: f64 = (0..STEPS)
        .flat_map(|i| (0..STEPS).map(move |j| (at(i), at(j))))
        .map(|(x, y)| {
            let (zx, zy) = (slope * x.cos() * y.sin(), slope * x.sin() * y.cos());
            (1.0 + zx * zx + zy * zy).sqrt()
        })
        .sum();
    sum / (STEPS * STEPS) as f64
}

/// The surface to coat, and what it is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Developed {
    /// The ornament's own surface.
    pub surface: Estimate<SquareMillimetres>,
    /// The border strip on the wall around it (and inside its holes).
    pub border: Estimate<SquareMillimetres>,
    /// Standard deviation of both together from the outline: area and perimeter come from the
    /// same picture and scale, so their errors add up.
    pub sd_outline: SquareMillimetres,
    /// The same from the modelling of the front.
    pub sd_front: SquareMillimetres,
    /// The same from the sides.
    pub sd_side: SquareMillimetres,
    /// The same from the reading of the highest point.
    pub sd_highest: SquareMillimetres,
}

impl Developed {
    /// The developed surface of a relief with a border strip of the given width.
    ///
    /// The strip is `P b + pi b^2` (Steiner): exact around a convex outline, an upper bound
    /// around one with notches, where the strip overlaps itself.
    pub fn of(
        area: &Estimate<SquareMillimetres>,
        perimeter: &Estimate<Millimetres>,
        relief: &Relief,
        border: Millimetres,
    ) -> Self {
        let (a, p) = (area.value.0, perimeter.value.0);
        let (h, b) = (relief.highest.0, border.0);
        // A front with no height has no modelling.
        let (front, side) = if h > 0.0 {
            (relief.kind.front(), relief.kind.side())
        } else {
            let flat = Between {
                value: 0.0,
                sd: 0.0,
            };
            (flat, flat)
        };
        let sd_h = if h > 0.0 {
            practice::HIGHEST_SPREAD.value.0.min(h)
        } else {
            0.0
        };

        let sd_front = a * front.sd;
        let sd_side = p * h * side.sd;
        let sd_highest = p * side.value * sd_h;
        let outline_on_piece = (1.0 + front.value) * area.sd + h * side.value * perimeter.sd;
        let outline_on_border = b * perimeter.sd;

        let surface = a * (1.0 + front.value) + p * h * side.value;
        let sd_surface = [outline_on_piece, sd_front, sd_side, sd_highest]
            .iter()
            .fold(0.0, |sum: f64, sd| sum.hypot(*sd));
        let strip = p * b + PI * b * b;

        Self {
            surface: Estimate::positive(SquareMillimetres(surface), sd_surface),
            border: Estimate::positive(SquareMillimetres(strip), outline_on_border),
            sd_outline: SquareMillimetres(outline_on_piece + outline_on_border),
            sd_front: SquareMillimetres(sd_front),
            sd_side: SquareMillimetres(sd_side),
            sd_highest: SquareMillimetres(sd_highest),
        }
    }

    /// Piece and border together.
    pub fn all(&self) -> SquareMillimetres {
        self.surface.value + self.border.value
    }
}

/// What a skin of thickness `t` has beyond area times thickness, in cubic millimetres: each
/// coat lies on the ones before it, and around an outward edge the outer face is the larger.
///
/// First order of the parallel surface (Steiner): `t^2` times the integral of the mean
/// curvature, `pi/4` per length of an edge that turns by a right angle, and `pi h` for the
/// sides of a convex outline. The edge can't grow further than the relief is high. The hollow
/// at the foot of the edge would take paste back; it is not subtracted, since paste pools there.
pub(crate) fn growth(perimeter: Millimetres, relief: &Relief, t: Millimetres) -> f64 {
    let reach = t.0.min(relief.highest.0);
    let edge = FRAC_PI_4 * relief.kind.turning() * perimeter.0 * reach * reach;
    let sides = PI * relief.highest.0 * t.0 * t.0;
    edge + sides
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(area: f64, perimeter: f64) -> (Estimate<SquareMillimetres>, Estimate<Millimetres>) {
        (
            Estimate::exact(SquareMillimetres(area)),
            Estimate::exact(Millimetres(perimeter)),
        )
    }

    #[test]
    fn an_egg_crate_has_the_area_of_its_integral() {
        // Amplitude 10 on a pitch of 100, integrated independently: 1.093320.
        assert!((egg_crate(0.2) - 1.093_320).abs() < 5e-7);
        assert_eq!(egg_crate(0.0), 1.0);
        // Small slopes: 1 + slope^2 / 4.
        let slope = PI * 0.01;
        assert!((egg_crate(0.01) - (1.0 + slope * slope / 4.0)).abs() < 1e-6);
    }

    #[test]
    fn the_border_strip_of_a_rectangle_is_its_offset() {
        // 200 x 150, offset by 25: the ring is 19,463.4954 mm2.
        let (area, perimeter) = exact(30_000.0, 700.0);
        let flat = Relief {
            kind: ReliefKind::Low,
            highest: Millimetres(0.0),
        };
        let developed = Developed::of(&area, &perimeter, &flat, Millimetres(25.0));
        assert!((developed.border.value.0 - 19_463.495_4).abs() < 1e-3);
        assert_eq!(developed.surface.value.0, 30_000.0);
    }

    #[test]
    fn closed_form_bodies_lie_inside_the_range_of_their_kind() {
        // A box 300 x 200 x 40 on a wall (square edges, smooth front) has 100,000 mm2.
        let (area, perimeter) = exact(60_000.0, 1000.0);
        let relief = Relief {
            kind: ReliefKind::Middle,
            highest: Millimetres(40.0),
        };
        let developed = Developed::of(&area, &perimeter, &relief, Millimetres(0.0)).surface;
        assert!(
            developed.low95.0 < 100_000.0 && 100_000.0 < developed.high95.0,
            "{developed:?}"
        );

        // A spherical cap, base radius 40, height 20: pi (a^2 + h^2) = 6283.2 mm2.
        let (area, perimeter) = exact(PI * 1600.0, TAU * 40.0);
        let relief = Relief {
            kind: ReliefKind::Low,
            highest: Millimetres(20.0),
        };
        let developed = Developed::of(&area, &perimeter, &relief, Millimetres(0.0)).surface;
        assert!(
            developed.low95.0 < 6283.2 && 6283.2 < developed.high95.0,
            "{developed:?}"
        );

        // A half-bead frame, tube radius 10 round a circle of 50: 2 pi^2 R r = 9869.6 mm2 over
        // a ring with two rims.
        let ring = PI * (60.0 * 60.0 - 40.0 * 40.0);
        let (area, perimeter) = exact(ring, TAU * 100.0);
        let relief = Relief {
            kind: ReliefKind::Middle,
            highest: Millimetres(10.0),
        };
        let developed = Developed::of(&area, &perimeter, &relief, Millimetres(0.0)).surface;
        assert!(
            developed.low95.0 < 9869.6 && 9869.6 < developed.high95.0,
            "{developed:?}"
        );
    }

    #[test]
    fn a_box_on_a_wall_grows_by_the_parallel_surface() {
        // 300 x 200 x 40, coat 6.35: edges 36,736.29 mm3 beyond area times thickness.
        let relief = Relief {
            kind: ReliefKind::Middle,
            highest: Millimetres(40.0),
        };
        let extra = growth(Millimetres(1000.0), &relief, Millimetres(6.35));
        assert!((extra - 36_736.29).abs() < 0.01, "{extra}");
    }
}
