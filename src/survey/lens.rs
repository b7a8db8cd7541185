//! The lens: from a ray in front of the camera to a pixel, and back.

use super::{Px, SurveyError};
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Marks and outline may lie outside the picture by its own size (it may have been cropped), not
/// further.
const OUTSIDE: f64 = 1.0;

/// The size of the upright full-size picture, in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ImageSize {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
}

impl ImageSize {
    /// The longer side, in pixels.
    pub fn longer(self) -> f64 {
        f64::from(self.width.max(self.height))
    }

    /// The middle of the picture, in pixels.
    pub fn middle(self) -> Px {
        [
            (f64::from(self.width) - 1.0) / 2.0,
            (f64::from(self.height) - 1.0) / 2.0,
        ]
    }

    /// How many pixels the picture has.
    pub fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// Refuses a pixel far outside the picture; `field` is its path in the request.
    pub(crate) fn check(self, px: Px, field: &str) -> Result<(), SurveyError> {
        let inside = |at: f64, side: u32| {
            let side = f64::from(side);
            at >= -OUTSIDE * side && at <= (1.0 + OUTSIDE) * side
        };
        if inside(px[0], self.width) && inside(px[1], self.height) {
            return Ok(());
        }
        Err(SurveyError::at(
            field,
            say!(
                "The point [{x}, {y}] lies far outside the picture of {width} x {height} pixels.",
                x = px[0],
                y = px[1],
                width = self.width,
                height = self.height
            ),
        ))
    }
}

/// What is known of the lens, with its spread.
///
/// The seen `x' = x (1 + k1 r² + k2 r⁴)` of the ideal `x = X/Z`; then `u = focal_px x' + center_px`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lens {
    /// Focal length, in pixels.
    pub focal_px: f64,
    /// Standard deviation of the focal length, in pixels.
    pub focal_sd_px: f64,
    /// Principal point, in pixels.
    pub center_px: Px,
    /// Radial distortion of the second degree (no unit).
    pub k1: f64,
    /// Radial distortion of the fourth degree (no unit).
    pub k2: f64,
    /// Standard deviation of `k1` and of `k2`.
    pub k_sd: f64,
}

/// How the five numbers of a lens are known before the marks are looked at: mean and
/// standard deviation of log focal length, principal point, k1 and k2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LensPrior {
    pub(crate) mean: Optics,
    /// Of log focal length, centre x, centre y, k1, k2.
    pub(crate) sd: [f64; 5],
}

/// A phone's main camera has the view of a 24 to 28 mm lens on 36 x 24 mm film, so its focal
/// length is 0.69 to 0.81 of the longer side of a 4:3 picture (common practice, no source).
const PHONE_FOCAL_SHARE: f64 = 0.76;
/// Spread of log focal length: one standard deviation holds the phones above, two hold a
/// picture cropped or zoomed by half.
const PHONE_LOG_FOCAL_SD: f64 = 0.2;
/// Spread of the principal point, as a share of the longer side: pictures may be cropped.
const PHONE_CENTER_SD_SHARE: f64 = 0.02;
/// Phones straighten their pictures; what is left stays within 0.05 in six cases of seven (from
/// memory).
const PHONE_K1_SD: f64 = 0.035;
/// What straightening leaves in the fourth degree.
const PHONE_K2_SD: f64 = 0.02;
/// A spread of exactly zero would stop the arithmetic; this one is as good as zero.
const SMALLEST_SD: f64 = 1e-9;

impl LensPrior {
    /// The lens of a phone's main camera, when nothing better is known.
    pub(crate) fn phone(size: ImageSize) -> Self {
        let longer = size.longer();
        Self {
            mean: Optics {
                focal: PHONE_FOCAL_SHARE * longer,
                center: size.middle(),
                k1: 0.0,
                k2: 0.0,
            },
            sd: [
                PHONE_LOG_FOCAL_SD,
                PHONE_CENTER_SD_SHARE * longer,
                PHONE_CENTER_SD_SHARE * longer,
                PHONE_K1_SD,
                PHONE_K2_SD,
            ],
        }
    }

    /// A lens that was measured. Its principal point is about as well known as its focal
    /// length, since one calibration gives both.
    pub(crate) fn known(lens: &Lens) -> Self {
        let center_sd = lens.focal_sd_px.max(SMALLEST_SD);
        Self {
            mean: Optics {
                focal: lens.focal_px,
                center: lens.center_px,
                k1: lens.k1,
                k2: lens.k2,
            },
            sd: [
                (lens.focal_sd_px / lens.focal_px).max(SMALLEST_SD),
                center_sd,
                center_sd,
                lens.k_sd.max(SMALLEST_SD),
                lens.k_sd.max(SMALLEST_SD),
            ],
        }
    }
}

/// The diagonal of 36 x 24 mm film, in millimetres.
const FILM_DIAGONAL_MM: f64 = 43.266_615_305_567_87;
/// Makers round, leave out how the picture was straightened, or compare widths instead of
/// diagonals (4 % apart): one standard deviation, as a share (from memory).
const FILM_FOCAL_SD_SHARE: f64 = 0.03;
/// The tag is a whole number: the spread of what was rounded away, in millimetres.
const ROUNDED_SD_MM: f64 = 0.288_675;

impl Lens {
    /// The lens that EXIF's tag FocalLengthIn35mmFilm tells of: the same angle across the
    /// diagonal as on 36 x 24 mm film (CIPA DC-008 and DCG-001, from memory).
    ///
    /// `focal_35mm` is in millimetres and above 0. The tag speaks of the whole sensor, which is
    /// 4:3 in phones: a picture of another shape may be cut from it, so what is between its own
    /// diagonal and that of the whole goes into the spread. A digital zoom that the tag doesn't
    /// tell of is not in it: the marks then contradict the lens. The distortion is that of a
    /// phone's main camera.
    ///
    /// ```
    /// use peelcast::survey::{ImageSize, Lens};
    /// let lens = Lens::from_35mm(26.0, ImageSize { width: 4000, height: 3000 });
    /// // 5000 pixels of diagonal are as 43.27 mm.
    /// assert!((lens.focal_px - 3004.6).abs() < 0.1);
    /// assert!(lens.focal_sd_px > 90.0 && lens.focal_sd_px < 100.0);
    /// ```
    pub fn from_35mm(focal_35mm: f64, size: ImageSize) -> Self {
        let (longer, shorter) = (size.longer(), f64::from(size.width.min(size.height)));
        let own = longer.hypot(shorter);
        // The sides of a whole sensor are as 4, 3 and its diagonal 5.
        let whole = (longer / 4.0).max(shorter / 3.0) * 5.0;
        let share = (whole - own).abs() / (whole + own);
        let share = share
            .hypot(FILM_FOCAL_SD_SHARE)
            .hypot(ROUNDED_SD_MM / focal_35mm);
        let focal_px = focal_35mm / FILM_DIAGONAL_MM * (own + whole) / 2.0;
        Self {
            focal_px,
            focal_sd_px: share * focal_px,
            center_px: size.middle(),
            k1: 0.0,
            k2: 0.0,
            k_sd: PHONE_K1_SD,
        }
    }

    /// Refuses numbers that no lens has; `field` is the path of this lens in the request.
    pub fn check(&self, size: ImageSize, field: &str) -> Result<(), SurveyError> {
        let longer = size.longer();
        let fail = |name: &str, sentence: String| {
            Err(SurveyError::at(format!("{field}.{name}"), sentence))
        };
        if !(self.focal_px >= 0.1 * longer && self.focal_px <= 50.0 * longer) {
            return fail(
                "focal_px",
                say!(
                    "A focal length of {focal_px} pixels doesn't belong to a picture {longer} pixels long: \
                     phones have about {longer_2}. Check the lens, or leave it out.",
                    focal_px = self.focal_px,
                    longer,
                    longer_2 = show::fixed(PHONE_FOCAL_SHARE * longer, 0)
                ),
            );
        }
        if !(self.focal_sd_px >= 0.0 && self.focal_sd_px <= self.focal_px) {
            return fail(
                "focal_sd_px",
                tr("The spread of the focal length must lie between 0 and the focal length itself. \
                 If the lens isn't known that well, leave it out.")
                    .into(),
            );
        }
        for (axis, side) in [(0, size.width), (1, size.height)] {
            let side = f64::from(side);
            if !(self.center_px[axis] >= -0.5 * side && self.center_px[axis] <= 1.5 * side) {
                return fail(
                    "center_px",
                    say!(
                        "The lens's centre [{x}, {y}] lies far outside the picture. \
                         Check that it belongs to this picture's size.",
                        x = self.center_px[0],
                        y = self.center_px[1]
                    ),
                );
            }
        }
        for (name, k) in [("k1", self.k1), ("k2", self.k2)] {
            if !(-10.0..=10.0).contains(&k) {
                return fail(
                    name,
                    say!(
                        "A distortion of {bend} is out of range: give a number from -10 to 10.",
                        bend = k
                    ),
                );
            }
        }
        if !(self.k_sd >= 0.0 && self.k_sd <= 10.0) {
            return fail(
                "k_sd",
                tr("The spread of the distortion must lie between 0 and 10.").into(),
            );
        }
        Ok(())
    }
}

/// The five numbers of a lens as the estimator uses them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Optics {
    /// Focal length, in pixels.
    pub(crate) focal: f64,
    /// Principal point, in pixels.
    pub(crate) center: Px,
    pub(crate) k1: f64,
    pub(crate) k2: f64,
}

/// Newton's method on the radius doubles its digits each round; from the seen radius it has
/// settled long before this many.
const UNBEND_ROUNDS: usize = 30;

impl Optics {
    /// The pixel that sees the ideal point `(X/Z, Y/Z)`.
    pub(crate) fn see(&self, ideal: [f64; 2]) -> Px {
        let r2 = ideal[0] * ideal[0] + ideal[1] * ideal[1];
        let bend = 1.0 + r2 * (self.k1 + r2 * self.k2);
        [
            self.focal * bend * ideal[0] + self.center[0],
            self.focal * bend * ideal[1] + self.center[1],
        ]
    }

    /// The ideal point `(X/Z, Y/Z)` that the pixel sees; `None` where the radial model folds
    /// over itself, so that no ray or several rays would reach the pixel.
    pub(crate) fn unsee(&self, px: Px) -> Option<[f64; 2]> {
        let seen = [
            (px[0] - self.center[0]) / self.focal,
            (px[1] - self.center[1]) / self.focal,
        ];
        let goal = seen[0].hypot(seen[1]);
        if goal == 0.0 || (self.k1 == 0.0 && self.k2 == 0.0) {
            return Some(seen);
        }
        let mut r = goal;
        for _ in 0..UNBEND_ROUNDS {
            let r2 = r * r;
            let slope = 1.0 + r2 * (3.0 * self.k1 + r2 * 5.0 * self.k2);
            if slope <= 0.0 {
                // Past the fold: the way back to the first branch leads towards the middle.
                r *= 0.7;
                continue;
            }
            let miss = r * (1.0 + r2 * (self.k1 + r2 * self.k2)) - goal;
            let next = (r - miss / slope).max(0.0);
            let settled = (next - r).abs() <= 1e-15 * (1.0 + r);
            r = next;
            if settled {
                break;
            }
        }
        let missed = r * (1.0 + r * r * (self.k1 + r * r * self.k2)) - goal;
        let good = missed.abs() <= 1e-9 * (1.0 + goal) && self.unfolded(r * r);
        good.then(|| [seen[0] * r / goal, seen[1] * r / goal])
    }

    /// Whether the model still grows with the radius everywhere up to the ideal radius²`r2`.
    pub(crate) fn unfolded(&self, r2: f64) -> bool {
        let slope = |s: f64| 1.0 + s * (3.0 * self.k1 + s * 5.0 * self.k2);
        // The slope is a parabola in r²: its lowest point matters where that lies within.
        let lowest = -3.0 * self.k1 / (10.0 * self.k2);
        let within = self.k2 > 0.0 && lowest > 0.0 && lowest < r2;
        slope(r2) > 0.0 && (!within || slope(lowest) > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn unseeing_undoes_seeing(
            x in -0.7..0.7f64, y in -0.7..0.7f64, k1 in -0.3..0.3f64, k2 in -0.1..0.1f64,
        ) {
            let optics = Optics { focal: 3000.0, center: [2000.0, 1500.0], k1, k2 };
            prop_assume!(optics.unfolded(x * x + y * y));
            let back = optics.unsee(optics.see([x, y])).expect("the model doesn't fold here");
            prop_assert!((back[0] - x).abs() < 1e-9 && (back[1] - y).abs() < 1e-9, "{back:?}");
        }
    }

    #[test]
    fn a_pixel_past_the_fold_has_no_ray() {
        let optics = Optics {
            focal: 1000.0,
            center: [0.0, 0.0],
            k1: -0.3,
            k2: 0.0,
        };
        // r (1 - 0.3 r²) is largest, 0.703, at r = 1.054.
        assert!(optics.unsee([702.0, 0.0]).is_some());
        assert!(optics.unsee([704.0, 0.0]).is_none());
    }

    #[test]
    fn a_picture_cut_from_a_whole_sensor_keeps_its_lens_within_the_spread() {
        let size = |width, height| ImageSize { width, height };
        let whole = Lens::from_35mm(26.0, size(4000, 3000));
        for cut in [size(4000, 2250), size(2250, 4000), size(3000, 3000)] {
            let lens = Lens::from_35mm(26.0, cut);
            let off = (lens.focal_px - whole.focal_px).abs();
            assert!(off < 1.5 * lens.focal_sd_px, "{cut:?}: {off} {lens:?}");
            assert!(lens.focal_sd_px > whole.focal_sd_px);
            lens.check(cut, "lens").unwrap();
        }
    }

    #[test]
    fn a_lens_that_cannot_be_is_refused_by_field() {
        let size = ImageSize {
            width: 4000,
            height: 3000,
        };
        let lens = Lens {
            focal_px: -3000.0,
            focal_sd_px: 10.0,
            center_px: [2000.0, 1500.0],
            k1: 0.0,
            k2: 0.0,
            k_sd: 0.01,
        };
        assert_eq!(
            lens.check(size, "lens").unwrap_err().field(),
            "lens.focal_px"
        );
        let lens = Lens {
            focal_px: 3000.0,
            k2: f64::NAN,
            ..lens
        };
        assert_eq!(lens.check(size, "lens").unwrap_err().field(), "lens.k2");
    }
}
