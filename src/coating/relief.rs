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

use crate::quantity::Millimetres;
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

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
            Self::Upright => tr("upright"),
            Self::Flat => tr("flat, face up"),
            Self::Overhead => tr("overhead"),
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
            Self::Low => tr("low relief"),
            Self::Middle => tr("middle relief"),
            Self::High => tr("high relief"),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_egg_crate_has_the_area_of_its_integral() {
        // Amplitude 10 on a pitch of 100, integrated independently: 1.093320.
        assert!((egg_crate(0.2) - 1.093_320).abs() < 5e-7);
        assert_eq!(egg_crate(0.0), 1.0);
        // Small slopes: 1 + slope^2 / 4.
        let slope = PI * 0.01;
        assert!((egg_crate(0.01) - (1.0 + slope * slope / 4.0)).abs() < 1e-6);
    }
}
