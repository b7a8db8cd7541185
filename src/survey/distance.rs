//! The distance between two places on the wall, with its range.

use super::footprint::{pose_spread, stretch};
use super::{Px, SurveyError, Wall};
use crate::quantity::{Estimate, Millimetres};
use crate::words::tr;

/// Measures from one place marked on the photo to another, in the plane of what is traced.
///
/// `marking_sd_px` is the spread of each mark along x and along y, in pixels.
///
/// # Errors
///
/// Where a mark looks past the wall, or the reference leaves the wall so open that no range can
/// be given.
///
/// ```
/// use peelcast::survey::{Evidence, ImageSize, WallProblem, distance, fit_wall};
/// let point = |px, mm| Evidence::point(px, mm);
/// let size = ImageSize { width: 1600, height: 1200 };
/// let wall = fit_wall(&WallProblem::new(size, vec![
///     point([400.0, 300.0], [0.0, 0.0]),
///     point([800.0, 300.0], [200.0, 0.0]),
///     point([800.0, 600.0], [200.0, 150.0]),
///     point([400.0, 600.0], [0.0, 150.0]),
/// ]))?;
/// let across = distance(&wall, [[400.0, 300.0], [800.0, 600.0]], 0.5)?;
/// assert!((across.value.0 - 250.0).abs() < 1e-6);
/// assert!(across.low95 < across.value && across.value < across.high95);
/// # Ok::<(), peelcast::survey::SurveyError>(())
/// ```
pub fn distance(
    wall: &Wall,
    ends: [Px; 2],
    marking_sd_px: f64,
) -> Result<Estimate<Millimetres>, SurveyError> {
    let past = || {
        SurveyError::at(
            "distance",
            tr("This place can't lie on the wall. Tap another."),
        )
    };
    let [a, b] = ends.map(|px| wall.to_wall(px));
    let (a, b) = (a.ok_or_else(past)?, b.ok_or_else(past)?);
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = along[0].hypot(along[1]);
    // There and back: the edge of a shape of two corners.
    let there_and_back = [("distance".to_owned(), ends.as_slice())];
    let of_pose = pose_spread(wall, &there_and_back).ok_or_else(|| {
        SurveyError::at(
            "evidence",
            tr(
                "The reference leaves the wall's tilt so open that no range can be given. Use a \
             larger reference, or mark it closer.",
            ),
        )
    })?;
    let mut variance = of_pose.edge / 4.0;
    for step in ends.iter().flat_map(|px| stretch(wall, *px)) {
        let moved = (along[0] * step[0] + along[1] * step[1]) / length.max(f64::EPSILON);
        variance += (marking_sd_px * moved).powi(2);
    }
    Ok(Estimate::positive(Millimetres(length), variance.sqrt()))
}
