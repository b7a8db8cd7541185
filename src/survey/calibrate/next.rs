//! Which photo more would tell most of the lens.

use super::bundle::{Bundle, Information, Setup};
use super::grid::GridCorner;
use crate::say;
use crate::survey::camera::Camera;
use crate::words::tr;
use nalgebra::{Rotation3, Vector3};
use std::f64::consts::FRAC_PI_2;

/// The focal length is known well enough to this share: an area measured by it is then good to a
/// few thousandths.
const FOCAL_GOAL: f64 = 0.005;
/// So is the principal point, as a share of the picture's longer side.
const CENTER_GOAL: f64 = 0.005;
/// So is the bend at the picture's corner, as a share of the longer side.
const BEND_GOAL: f64 = 0.002;

/// A slant that is easy to hold, in radians.
const SLANT: f64 = 0.6;
/// How much of the picture's width the sheet takes in a usual photo, and in one from close by.
const USUAL: f64 = 0.7;
const CLOSE: f64 = 1.3;

/// What is the least well known, by its goal, and how many times worse.
fn worst(covariance: &Information, bundle: &Bundle, setup: &Setup) -> (f64, &'static str) {
    let longer = bundle.size.longer();
    let optics = setup.optics();
    let variance = |i: usize| covariance[(i, i)];
    let [x, y] = bundle.size.middle();
    let corner = x.hypot(y) / optics.focal;
    let [a, b] = [corner.powi(3), corner.powi(5)];
    let bend = a * a * variance(3) + 2.0 * a * b * covariance[(3, 4)] + b * b * variance(4);
    [
        (variance(0).sqrt() / FOCAL_GOAL, tr("focal length")),
        (
            variance(1).max(variance(2)).sqrt() / longer / CENTER_GOAL,
            "middle",
        ),
        (
            optics.focal * bend.max(0.0).sqrt() / longer / BEND_GOAL,
            tr("bend near the picture's corners"),
        ),
    ]
    .into_iter()
    .fold(
        (0.0, ""),
        |most, one| if one.0 > most.0 { one } else { most },
    )
}

/// The photo that brings the worst known number nearest to its goal, in words; `None` where all
/// are known well enough.
pub(super) fn advice(bundle: &Bundle, setup: &Setup, covariance: &Information) -> Option<String> {
    let (now, what) = worst(covariance, bundle, setup);
    if now <= 1.0 {
        return None;
    }
    let before = covariance.cholesky()?.inverse();
    let best = photos()
        .into_iter()
        .filter_map(|(turn, fill, words)| {
            let (camera, corners) = shot(bundle, setup, turn, fill);
            let more = bundle.would_say(&camera, setup.stretch, &corners)?;
            let then = (before + more).cholesky()?.inverse();
            Some((worst(&then, bundle, setup).0, words))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(say!(
        "The lens's {what} isn't known well enough yet. Take one more photo {best}.",
        what,
        best = best.1
    ))
}

/// Photos that can be asked for: how the sheet is turned before the camera, how much of the
/// picture it takes, and the words.
fn photos() -> [(Rotation3<f64>, f64, &'static str); 7] {
    let turn = Rotation3::from_axis_angle;
    let (x, y, z) = (Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis());
    [
        (turn(&y, -SLANT), USUAL, tr("from further left, at a slant")),
        (turn(&y, SLANT), USUAL, tr("from further right, at a slant")),
        (turn(&x, SLANT), USUAL, tr("from further up, at a slant")),
        (turn(&x, -SLANT), USUAL, tr("from further down, at a slant")),
        (
            turn(&y, -SLANT) * turn(&z, FRAC_PI_2),
            USUAL,
            tr("with the sheet turned by a quarter, from one side, at a slant"),
        ),
        (
            turn(&x, SLANT) * turn(&z, FRAC_PI_2),
            USUAL,
            tr("with the sheet turned by a quarter, from above, at a slant"),
        ),
        (
            turn(&x, SLANT / 2.0),
            CLOSE,
            tr("from so close that the grid reaches into the picture's corners"),
        ),
    ]
}

/// The camera of such a photo, and the corners that it would show.
fn shot(
    bundle: &Bundle,
    setup: &Setup,
    turn: Rotation3<f64>,
    fill: f64,
) -> (Camera, Vec<GridCorner>) {
    let size = bundle.size;
    let optics = setup.optics();
    let [across, down] = bundle.anchor.map(|half| 2.0 * half);
    // The grid's longer side lies along the picture's.
    let lying = (across > down) == (size.width > size.height);
    let roll = if lying { 0.0 } else { FRAC_PI_2 };
    let camera = Camera {
        rotation: turn * Rotation3::from_axis_angle(&Vector3::z_axis(), roll),
        translation: Vector3::z() * (optics.focal * across.max(down) / (fill * size.longer())),
        anchor: bundle.anchor,
        optics,
    };
    let inside = |px: [f64; 2]| {
        let within = |at: f64, side: u32| (0.0..=f64::from(side) - 1.0).contains(&at);
        within(px[0], size.width) && within(px[1], size.height)
    };
    let corners = (0..=down as u32).flat_map(|row| (0..=across as u32).map(move |c| (c, row)));
    let seen = corners.filter_map(|(column, row)| {
        let px = camera.see_before([f64::from(column), f64::from(row)], 0.0)?;
        inside(px).then_some(GridCorner { column, row, px })
    });
    let seen = seen.collect();
    (camera, seen)
}
