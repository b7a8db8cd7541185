//! From the corners of several photos to the lens, its spread, and what is wrong with the photos.

use super::LensCard;
use super::bundle::{Bundle, Information, POSE, SHARED, Setup};
use super::card::turned;
use super::grid::{GridCorner, GridView};
use super::next;
use crate::say;
use crate::survey::rank::nth;
use crate::survey::{ImageSize, Lens, SurveyError};
use crate::words::tr;
use nalgebra::Vector2;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A lens as it was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// The size of the pictures it belongs to: that of the first photo.
    pub size: ImageSize,
    /// The lens; its `k_sd` makes the bend as uncertain over the picture as `k1` and `k2` are
    /// together.
    pub lens: Lens,
    /// Standard deviation of the principal point along x and along y, in pixels.
    pub center_sd_px: [f64; 2],
    /// Standard deviation of `k1`.
    pub k1_sd: f64,
    /// Standard deviation of `k2`.
    pub k2_sd: f64,
    /// How much longer than wide the grid's squares were printed, as a share.
    pub stretch: f64,
    /// Root mean square of the corners' distance from where the lens has them, in pixels.
    pub rms_px: f64,
    /// The same for each photo, those left out as well.
    pub view_rms_px: Vec<f64>,
    /// How many photos it comes from.
    pub views: u32,
    /// The photos that contradict the others, counted from 0.
    pub left_out: Vec<usize>,
    /// What to know of it, a sentence or two each.
    pub notes: Vec<String>,
    /// Which photo more would help most; none where the lens is known well enough.
    pub advice: Option<String>,
}

impl Calibration {
    /// What the record keeps: the lens of this camera at this focal length.
    pub fn card(&self, model: &str, focal_mm: Option<f64>) -> LensCard {
        LensCard {
            model: model.to_owned(),
            focal_mm,
            size: self.size,
            lens: self.lens,
            views: self.views,
            rms_px: self.rms_px,
        }
    }
}

/// Two views fix the focal length only with luck; with three it can be seen how well.
const LEAST_VIEWS: usize = 3;
/// A photo of fewer corners says less of the lens than it costs for its own place.
const LEAST_CORNERS: usize = 12;
/// No printed sheet has more columns or rows.
const MOST_LINES: u32 = 500;
/// No corner is known better than this, in pixels.
const LEAST_SD_PX: f64 = 0.01;
/// A corner further off than this many times the others of its photo is no corner of the grid.
const STRAY: f64 = 6.0;
/// A photo contradicts the others when its corners would lie so many times closer (in square)
/// without them: chance gives 1.5, a slightly bent sheet 3.
const CONTRADICTS: f64 = 6.0;
/// Photos that fit no better than this share of the picture's longer side are of several lenses
/// or sheets.
const MOST_RMS_SHARE: f64 = 1e-3;

/// Measures a lens from photos of one flat grid.
///
/// Z. Zhang's method: a closed form, then the least-squares estimate of all poses and of focal
/// length, centre, k1 and k2 together, with square pixels. Spreads are those of the normal
/// equations, with the residuals' own size, raised where neighbouring corners err together. The
/// squares' true size doesn't matter, and they may be printed a little longer than wide. A photo
/// held the other way up (upright instead of lying) counts as turned by a quarter.
pub fn calibrate(views: &[GridView]) -> Result<Calibration, SurveyError> {
    let Some(first) = views.first().filter(|_| views.len() >= LEAST_VIEWS) else {
        return Err(SurveyError::at(
            "views",
            say!(
                "Photos of the sheet so far: {n}. Take at least {LEAST_VIEWS}, better five, each from \
                 another side.",
                n = views.len(),
                LEAST_VIEWS
            ),
        ));
    };
    let size = first.size;
    let corners = views.iter().enumerate();
    let corners = corners
        .map(|(i, view)| checked(view, size, i))
        .collect::<Result<Vec<_>, _>>()?;
    let mut kept: Vec<usize> = (0..views.len()).collect();
    let mut left_out = Vec::new();
    let mut fit = Fit::new(Bundle::new(corners, size)).ok_or_else(no_fit)?;
    let mut view_rms_px = fit.view_rms();
    while kept.len() > LEAST_VIEWS && left_out.len() * 3 < views.len() {
        let Some((worst, fewer)) = fit.contradicting() else {
            break;
        };
        left_out.push(kept.remove(worst));
        fit = fewer;
    }
    let fit = Fit::from(fit.bundle, fit.setup, Spread::OfEach).ok_or_else(no_fit)?;
    for (view, rms) in kept.iter().zip(fit.view_rms()) {
        view_rms_px[*view] = rms;
    }
    let mut notes: Vec<String> = left_out
        .iter()
        .map(|view| {
            say!("Photo {view} contradicts the others and was left out: the sheet may have been bent, \
                 or the camera zoomed or changed its lens.", view = view + 1)
        })
        .collect();
    if fit.rms() > MOST_RMS_SHARE * size.longer() {
        notes.push(
            tr("The photos don't agree well with each other. Lay the sheet on something flat, don't \
             zoom, and take them all with one lens.")
                .to_owned(),
        );
    }
    let covariance = fit.covariance().ok_or_else(no_fit)?;
    let optics = fit.setup.optics();
    let sd = |i: usize| covariance[(i, i)].sqrt();
    let lens = Lens {
        focal_px: optics.focal,
        focal_sd_px: optics.focal * sd(0),
        center_px: optics.center,
        k1: optics.k1,
        k2: optics.k2,
        k_sd: bend_sd(&covariance, size.longer() / optics.focal / 2.0),
    };
    lens.check(size, "views").map_err(|_| no_fit())?;
    Ok(Calibration {
        size,
        lens,
        center_sd_px: [sd(1), sd(2)],
        k1_sd: sd(3),
        k2_sd: sd(4),
        stretch: fit.setup.stretch.exp_m1(),
        rms_px: fit.rms(),
        view_rms_px,
        views: kept.len() as u32,
        left_out,
        notes,
        advice: next::advice(&fit.bundle, &fit.setup, &covariance),
    })
}

fn no_fit() -> SurveyError {
    SurveyError::at(
        "views",
        tr(
            "No lens fits these photos. Take them anew: the sheet flat and whole in each, from \
         different sides, all with one lens and without zoom.",
        ),
    )
}

/// The corners of a view as of a picture held like the first one.
fn checked(view: &GridView, size: ImageSize, index: usize) -> Result<Vec<GridCorner>, SurveyError> {
    let field = format!("views[{index}]");
    let photo = index + 1;
    let turn = view.size != size;
    if turn && (view.size.width, view.size.height) != (size.height, size.width) {
        return Err(SurveyError::at(
            field,
            say!(
                "Photo {photo} has {width} x {height} pixels, the first one {width_2} x {height_2}. Take all of them with \
                 the same camera and setting.",
                photo,
                width = view.size.width,
                height = view.size.height,
                width_2 = size.width,
                height_2 = size.height
            ),
        ));
    }
    if view.corners.len() < LEAST_CORNERS {
        return Err(SurveyError::at(
            field,
            say!(
                "Photo {photo} shows only {corners} corners of the grid; {LEAST_CORNERS} are needed.",
                photo,
                corners = view.corners.len(),
                LEAST_CORNERS
            ),
        ));
    }
    for corner in &view.corners {
        view.size.check(corner.px, &field)?;
        let line = corner.column.max(corner.row);
        if line > MOST_LINES {
            return Err(SurveyError::at(
                field,
                say!(
                    "Photo {photo} has a corner in line {line} of the grid; a printed sheet has {MOST_LINES} at most. \
                     Count columns and rows from 0.",
                    photo,
                    line,
                    MOST_LINES
                ),
            ));
        }
    }
    let upright = |corner: &GridCorner| GridCorner {
        px: if turn {
            turned(corner.px, view.size)
        } else {
            corner.px
        },
        ..*corner
    };
    Ok(view.corners.iter().map(upright).collect())
}

/// The one spread of both k1 and k2 with which the bend is as uncertain, in the mean over the
/// picture, as with their own spreads and correlation; `reach` is the picture's half as a tangent.
fn bend_sd(covariance: &Information, reach: f64) -> f64 {
    // The bend k1 r³ + k2 r⁵ in square, over a disc.
    let weight = |power: i32| reach.powi(power) / f64::from(power);
    let (a, b, c) = (weight(8), weight(10), weight(12));
    let spread = a * covariance[(3, 3)] + 2.0 * b * covariance[(3, 4)] + c * covariance[(4, 4)];
    (spread / (a + c)).max(0.0).sqrt()
}

/// Of which corners the spread is taken.
#[derive(Clone, Copy)]
enum Spread {
    /// One of all: no view can be excused by its own.
    OfAll,
    /// Each view's own: a blurred photo counts less.
    OfEach,
}

/// A view's own spread is not taken as smaller or larger than so many times that of all.
const SPREADS: [f64; 2] = [0.4, 4.0];

/// All views fitted.
struct Fit {
    bundle: Bundle,
    setup: Setup,
    /// How far off each corner of each view is, in pixels.
    misses: Vec<Vec<Vector2<f64>>>,
}

impl Fit {
    /// From nothing; corners that are none are dropped.
    fn new(bundle: Bundle) -> Option<Self> {
        let setup = bundle.start()?;
        let mut fit = Self::from(bundle, setup, Spread::OfAll)?;
        let views = fit.bundle.views.iter_mut().zip(&fit.bundle.sd);
        for ((corners, sd), misses) in views.zip(&fit.misses) {
            let most = STRAY * spread(misses.iter()).max(*sd);
            let mut misses = misses.iter();
            corners.retain(|_| misses.next().is_some_and(|off| off.norm() <= most));
        }
        let (bundle, setup) = (fit.bundle, fit.setup);
        Self::from(bundle, setup, Spread::OfAll)
    }

    /// From a setup near the best one: the corners' spread and the best setup by turns.
    fn from(mut bundle: Bundle, mut setup: Setup, of: Spread) -> Option<Self> {
        let mut misses = all_misses(&bundle, &setup)?;
        for _ in 0..SPREAD_ROUNDS {
            let all = spread(misses.iter().flatten()).max(LEAST_SD_PX);
            let [least, most] = SPREADS.map(|share| share * all);
            for (sd, misses) in bundle.sd.iter_mut().zip(&misses) {
                *sd = match of {
                    Spread::OfAll => all,
                    Spread::OfEach => spread(misses.iter()).clamp(least, most),
                };
            }
            setup = bundle.solved(setup)?;
            misses = all_misses(&bundle, &setup)?;
        }
        Some(Self {
            bundle,
            setup,
            misses,
        })
    }

    fn view_rms(&self) -> Vec<f64> {
        self.misses
            .iter()
            .map(|misses| rms(misses.iter()))
            .collect()
    }

    fn rms(&self) -> f64 {
        rms(self.misses.iter().flatten())
    }

    /// How many more numbers were seen than sought.
    fn free(&self) -> f64 {
        let seen = 2 * self.misses.iter().flatten().count();
        (seen as f64 - (SHARED + POSE * self.misses.len()) as f64).max(1.0)
    }

    /// The view that contradicts the others most, if one does, and the fit without it: an F test
    /// of the squares that it adds against those that are left.
    fn contradicting(&self) -> Option<(usize, Self)> {
        let (falls, sum) = self.bundle.falls(&self.setup)?;
        let free = self.free();
        let times = |view: usize| {
            let own = (2 * self.misses[view].len()) as f64 - POSE as f64;
            (falls[view] / own) / ((sum - falls[view]).max(0.0) / (free - own))
        };
        let worst = (0..falls.len()).max_by(|a, b| times(*a).total_cmp(&times(*b)))?;
        if times(worst) <= CONTRADICTS {
            return None;
        }
        let fewer = Self::from(
            self.bundle.without(worst),
            self.setup.without(worst),
            Spread::OfAll,
        )?;
        Some((worst, fewer))
    }

    /// How the shared numbers are spread.
    fn covariance(&self) -> Option<Information> {
        let views = self.misses.iter().zip(&self.bundle.sd);
        let sum: f64 = views
            .map(|(misses, sd)| misses.iter().map(|m| (m / *sd).norm_squared()).sum::<f64>())
            .sum();
        let mut bundle = self.bundle.clone();
        let grown = (sum / self.free()).sqrt();
        for sd in &mut bundle.sd {
            *sd = (*sd * grown).max(LEAST_SD_PX);
        }
        let alike = self.alike();
        let covariance = bundle.information(&self.setup)?.cholesky()?.inverse();
        // Once along the rows and once along the columns.
        Some(covariance * ((1.0 + alike) / (1.0 - alike)).powi(2))
    }

    /// How alike neighbouring corners err: the correlation of their residuals.
    ///
    /// What neighbours share doesn't average out: the variance of a mean of corners in a row
    /// whose neighbours correlate by a is larger by (1 + a) / (1 - a).
    fn alike(&self) -> f64 {
        let (mut both, mut pairs, mut own, mut all) = (0.0, 0, 0.0, 0);
        let views = self.bundle.views.iter().zip(&self.bundle.sd);
        for ((corners, sd), misses) in views.zip(&self.misses) {
            let by_place: BTreeMap<(u32, u32), Vector2<f64>> = corners
                .iter()
                .map(|c| (c.column, c.row))
                .zip(misses.iter().map(|off| off / *sd))
                .collect();
            for (&(column, row), off) in &by_place {
                own += off.norm_squared();
                all += 1;
                for beside in [(column + 1, row), (column, row + 1)] {
                    if let Some(other) = by_place.get(&beside) {
                        both += off.dot(other);
                        pairs += 1;
                    }
                }
            }
        }
        let alike = (both / f64::from(pairs.max(1))) / (own / f64::from(all.max(1)));
        if alike.is_finite() {
            alike.clamp(0.0, MOST_ALIKE)
        } else {
            0.0
        }
    }
}

const SPREAD_ROUNDS: usize = 3;
/// Residuals more alike than this are a bent sheet: the raise has an end.
const MOST_ALIKE: f64 = 0.8;

fn all_misses(bundle: &Bundle, setup: &Setup) -> Option<Vec<Vec<Vector2<f64>>>> {
    (0..bundle.views.len())
        .map(|view| bundle.misses(setup, view))
        .collect()
}

fn rms<'a>(misses: impl Iterator<Item = &'a Vector2<f64>>) -> f64 {
    let (sum, n) = misses.fold((0.0, 0.0), |(s, n), off| (s + off.norm_squared(), n + 1.0));
    (sum / n).sqrt()
}

/// Standard deviation along x and along y that the median distance tells (Rayleigh's).
fn spread<'a>(misses: impl Iterator<Item = &'a Vector2<f64>>) -> f64 {
    let mut far: Vec<f64> = misses.map(|off| off.norm()).collect();
    if far.is_empty() {
        return 0.0;
    }
    let middle = far.len() / 2;
    let median = nth(&mut far, middle, f64::total_cmp);
    median / (2.0 * std::f64::consts::LN_2).sqrt()
}
