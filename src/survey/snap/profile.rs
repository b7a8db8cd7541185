//! Brightness across an edge, and where in it the edge is.

use crate::survey::{GreyView, Px};

/// Half the distance over which a slope of brightness is taken, in pixels.
const HALF: f64 = 0.75;

/// From one sample across an edge to the next, in pixels.
const STEP: f64 = 0.25;

/// So far on both sides of the steepest place its neighbours count, in pixels: a photo's blur.
const BLUR: f64 = 3.0;

/// The light at a place, from 0 to 1.
///
/// A blurred edge lies in the middle of its slope of light, not of its slope of bytes: these
/// follow the square root of light, nearly (IEC 61966-2-1, here by the power 2.2).
fn light(grey: &GreyView<'_>, px: Px) -> Option<f64> {
    grey.at(px).map(|byte| (byte / 255.0).powf(2.2))
}

/// How steeply the light rises at a place towards `across` (of length 1), a pixel.
pub(super) fn slope(grey: &GreyView<'_>, px: Px, across: Px) -> Option<f64> {
    let at = |t: f64| light(grey, [px[0] + t * across[0], px[1] + t * across[1]]);
    Some((at(HALF)? - at(-HALF)?) / (2.0 * HALF))
}

/// A place where the light rises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::survey) struct Rise {
    /// How far from the place that was looked at, towards `across`, in pixels.
    pub off: f64,
    /// How steep it is at its steepest, a pixel.
    pub steep: f64,
    /// How blurred it is: the standard deviation of its slope, in pixels.
    pub blur: f64,
}

/// Where the light rises most within `reach` pixels of a place towards `across`, to a part of a
/// pixel: the middle of the slope, each part weighed by its steepness.
pub(in crate::survey) fn rise(grey: &GreyView<'_>, px: Px, across: Px, reach: f64) -> Option<Rise> {
    let count = ((reach + BLUR) / STEP).ceil() as i32;
    let slopes: Vec<(f64, f64)> = (-count..=count)
        .map(|i| {
            let t = f64::from(i) * STEP;
            let at = [px[0] + t * across[0], px[1] + t * across[1]];
            slope(grey, at, across).map(|s| (t, s))
        })
        .collect::<Option<_>>()?;
    let (middle, steep) = slopes
        .iter()
        .filter(|(t, _)| t.abs() <= reach)
        .copied()
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    for (t, s) in &slopes {
        let (t, weight) = (t - middle, (s - 0.25 * steep).max(0.0));
        if t.abs() <= BLUR {
            sum += weight;
            first += weight * t;
            second += weight * t * t;
        }
    }
    (sum > 0.0).then(|| Rise {
        off: middle + first / sum,
        steep,
        blur: (second / sum - (first / sum).powi(2)).max(0.0).sqrt(),
    })
}
