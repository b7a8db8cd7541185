//! What to tell the person who took the photo: what hurts the measure, and what would help it.

use super::camera::Parameters;
use super::fit::middle;
use super::footprint::{pose_spread, stretch};
use super::{GRAVITY_SD_DEG, Mm, POINT_SD_PX, Px, Wall};
use crate::quantity::show;
use crate::quantity::{Degrees, Estimate, SquareMillimetres, Z95};
use crate::say;
use crate::words::tr;

/// Beyond this slant the far side of the ornament is seen too short for good marks (common
/// practice, no source).
const STEEP_DEG: f64 = 40.0;
/// From this half width of the 95 % range on, as a share of the area, the range is worth a remark.
const WIDE: f64 = 0.05;
/// From this standard deviation on, in degrees, the wall's turn counts as open.
const OPEN_DEG: f64 = 5.0;
/// Advice is worth its sentence when it leaves less than this share of the variance.
const WORTH: f64 = 0.5;
/// How well a phone's lens is known once it was measured: log focal length, centre in pixels,
/// bending (from memory).
const LENS_SD: f64 = 0.003;
const LENS_CENTRE_PX: f64 = 10.0;
const LENS_BEND_SD: f64 = 0.01;
/// Where a pixel covers more of the wall than this, edges can't be traced well.
const COARSE_MM: f64 = 1.0;
/// A curve cut short by more than this share of the area is worth a remark.
const CUT_SHORT: f64 = 0.005;

/// Remarks on a measured outline, the wall's own first. `bulge_mm2` is what its curves seem to
/// have beyond its straight pieces.
pub(super) fn notes(
    wall: &Wall,
    area: &Estimate<SquareMillimetres>,
    tilt: &Estimate<Degrees>,
    rings: &[(String, &[Px])],
    bulge_mm2: f64,
) -> Vec<String> {
    let mut notes = wall.notes().to_vec();
    if tilt.value.0 > STEEP_DEG {
        notes.push(say!(
            "The photo was taken at a slant of {tilt} degrees. Take it more squarely to the wall: \
             the range will shrink.",
            tilt = show::fixed(tilt.value.0, 0)
        ));
    }
    if wall.turn_sd().0 > OPEN_DEG {
        notes.push(
            tr("The marks hardly show how the wall is turned away from the camera, so the range is \
             wide.")
                .into(),
        );
    }
    let half = (area.high95.0 - area.low95.0) / (2.0 * area.value.0);
    if half > WIDE {
        let range = if half < 1.0 {
            say!(
                "The range is wide, about {half} % either way.",
                half = show::fixed(100.0 * half, 0)
            )
        } else {
            tr("The range is so wide that it says next to nothing.").to_owned()
        };
        notes.push(format!("{range} {}", remedy(wall, rings, area)));
    }
    let outline = rings[0].1;
    let pixel = outline
        .iter()
        .map(|px| {
            let [x, y] = stretch(wall, *px);
            (x[0] * y[1] - x[1] * y[0]).abs().sqrt()
        })
        .fold(0.0, f64::max);
    if pixel > COARSE_MM {
        notes.push(say!(
            "One pixel covers {pixel} mm of the wall: step closer, or use the photo in its \
             full size.",
            pixel = show::fixed(pixel, 1)
        ));
    }
    let short = bulge_mm2 / area.value.0;
    if short > CUT_SHORT {
        notes.push(say!(
            "The outline's straight pieces cut its curves short by about {short} % of the area. \
             Add points along the curves.",
            short = show::fixed(100.0 * short, 1)
        ));
    }
    notes
}

/// Something that the user could still give, as the estimator would take it in.
struct Gift {
    sentence: &'static str,
    /// Slopes in the camera's numbers, divided by the spread.
    slopes: Vec<Parameters>,
    /// Whether it would tell two ways of the wall's turn apart that fit the marks alike.
    settles: bool,
}

/// Which one thing more would narrow the range most, by the variance that each would leave (the
/// linear update of R. Kalman, J. Basic Eng. 82, 1960).
fn remedy(wall: &Wall, rings: &[(String, &[Px])], area: &Estimate<SquareMillimetres>) -> String {
    let left = |gift: &Gift| {
        let mut known = *wall.covariance();
        for slope in &gift.slopes {
            let pull = known * slope;
            known -= pull * pull.transpose() / (1.0 + slope.dot(&pull));
        }
        pose_spread(&wall.known_by(known, gift.settles), rings)
            .map_or(f64::INFINITY, |size| size.area)
    };
    let now = pose_spread(wall, rings).map_or(f64::INFINITY, |size| size.area);
    let gifts = gifts(wall);
    let best = gifts
        .iter()
        .map(|gift| (left(gift), gift))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((left, gift)) if left < WORTH * now => {
            // What the tracing adds stays.
            let rest = (area.sd.powi(2) - now).max(0.0);
            say!(
                "{sentence} It would come down to about {area} %.",
                sentence = gift.sentence,
                area = show::fixed(100.0 * Z95 * (left + rest).sqrt() / area.value.0, 1)
            )
        }
        _ => tr("Trace the outline more closely, or take the photo from nearer.").into(),
    }
}

/// What a person on the spot can give.
fn gifts(wall: &Wall) -> Vec<Gift> {
    let camera = wall.camera();
    let unit = |i: usize, sd: f64| {
        let mut slope = Parameters::zeros();
        slope[i] = sd.recip();
        slope
    };
    let mut gifts = Vec::new();
    if !wall.lens_known() {
        gifts.push(Gift {
            sentence: tr(
                "What helps most is to know this phone's lens, or else to take the photo \
                       more squarely and from further away.",
            ),
            slopes: vec![
                unit(6, LENS_SD),
                unit(7, LENS_CENTRE_PX),
                unit(8, LENS_CENTRE_PX),
                unit(9, LENS_BEND_SD),
                unit(10, LENS_BEND_SD),
            ],
            settles: false,
        });
    }
    if wall.level_helps() {
        let stance = wall.stance();
        gifts.push(Gift {
            sentence: if stance.angle() == 0.0 {
                tr("What helps most is the phone's level at the moment of the picture, if the wall \
                 is upright.")
            } else {
                tr("What helps most is the phone's level at the moment of the picture.")
            },
            slopes: stance.told_by_gravity(camera.normal(), GRAVITY_SD_DEG.to_radians()),
            settles: true,
        });
    }
    let mark = |along: f64, across: f64| {
        let [middle, way, reach] = stretch_of(wall.marks());
        let (a, c) = (along * reach[0], across * reach[0]);
        let at = [
            middle[0] + a * way[0] - c * way[1],
            middle[1] + a * way[1] + c * way[0],
        ];
        let seen = camera.see_with_slopes(at, 0.0)?;
        Some(seen.slopes.map(|slope| slope / POINT_SD_PX).to_vec())
    };
    for (along, across, sentence) in [
        (
            0.0,
            1.5,
            tr(
                "What helps most is one more mark of known place, well to the side of the others: a \
             square, or a second rule.",
            ),
        ),
        (
            3.0,
            0.0,
            tr("What helps most is a longer reference: a mark of known place much further out."),
        ),
    ] {
        if let Some(slopes) = mark(along, across) {
            gifts.push(Gift {
                sentence,
                slopes,
                settles: across > 0.0,
            });
        }
    }
    gifts
}

/// The middle of some marks, the way in which they are stretched most, and (first) how far they
/// reach that way, in millimetres.
fn stretch_of(marks: &[Mm]) -> [Mm; 3] {
    let middle = middle(marks.iter().copied());
    let past = |m: &Mm| [m[0] - middle[0], m[1] - middle[1]];
    let (mut difference, mut mixed) = (0.0, 0.0);
    for [x, y] in marks.iter().map(past) {
        difference += x * x - y * y;
        mixed += 2.0 * x * y;
    }
    let angle = mixed.atan2(difference) / 2.0;
    let way = [angle.cos(), angle.sin()];
    let along = |m: &Mm| (past(m)[0] * way[0] + past(m)[1] * way[1]).abs();
    let reach = marks.iter().map(along).fold(0.0, f64::max);
    [middle, way, [reach, 0.0]]
}
