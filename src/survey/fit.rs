//! The wall from all evidence at once: one least-squares estimate over the camera's pose and
//! lens, in which every piece of evidence counts by its own spread.

use super::camera::{Camera, Covariance, PARAMETERS, Parameters};
use super::least_squares::{LeastSquares, Normal, solve};
use super::lens::LensPrior;
use super::{Evidence, Homography, Mm, Px, SurveyError, Wall, WallProblem};
use nalgebra::{Matrix2, Vector2, Vector3};

/// The standard normal quantile of 99 %: evidence further off than chance allows in one case of
/// a hundred contradicts itself.
const Z99: f64 = 2.326_347_874;

/// Marks count as lying in one line when their spread across it is less than this many times the
/// spread of a mark: the plane could then turn about the line freely.
const LINE_SPREADS: f64 = 2.0;

/// The same on the wall, as a share of the spread along the line.
const LINE_SHARE: f64 = 1e-3;

/// No wall is longer than a kilometre.
pub(super) const FARTHEST_MM: f64 = 1e6;

/// A mark of known place.
#[derive(Clone, Copy, Debug)]
struct Mark {
    px: Px,
    mm: Mm,
    /// Its index among the evidence.
    index: usize,
}

/// The sum of squares to be made least.
struct View {
    marks: Vec<Mark>,
    point_sd: f64,
    prior: LensPrior,
    /// Unit vector, and its spread in radians.
    gravity: Option<(Vector3<f64>, f64)>,
}

/// Finds the wall plane, the camera before it and how well they are known.
///
/// ```
/// use peelcast::survey::{Evidence, ImageSize, WallProblem, fit_wall};
/// let point = |px, mm| Evidence::Point { px, mm };
/// let wall = fit_wall(&WallProblem {
///     image_size_px: ImageSize { width: 1600, height: 1200 },
///     lens: None,
///     gravity: None,
///     gravity_sd_deg: 0.5,
///     point_sd_px: 0.5,
///     evidence: vec![
///         point([400.0, 300.0], [0.0, 0.0]),
///         point([800.0, 300.0], [200.0, 0.0]),
///         point([800.0, 600.0], [200.0, 150.0]),
///         point([400.0, 600.0], [0.0, 150.0]),
///     ],
/// })
/// .unwrap();
/// let place = wall.to_wall([600.0, 450.0]).unwrap();
/// assert!((place[0] - 100.0).abs() < 1e-6 && (place[1] - 75.0).abs() < 1e-6);
/// ```
pub fn fit_wall(problem: &WallProblem) -> Result<Wall, SurveyError> {
    let view = View::new(problem)?;
    let anchor = middle(view.marks.iter().map(|m| m.mm));
    let start = view.start(anchor)?;
    let first = solve(&view, start);
    // A small reference shows nearly the same from two sides: try the other, keep the better.
    let second = solve(&view, first.state.mirrored());
    let [best, _] = match (&first.normal, &second.normal) {
        (Some(a), Some(b)) if b.cost < a.cost => [second, first],
        _ => [first, second],
    };
    let normal = best.normal.ok_or_else(swapped)?;
    let camera = best.state;
    let covariance = inverse(&normal.full()).ok_or_else(|| {
        SurveyError::at(
            "evidence",
            "The marks don't fix the wall. Add a mark well away from the others.",
        )
    })?;
    let (notes, widened) = view.contradiction(&camera, normal.cost, &covariance);
    Ok(Wall::new(
        problem,
        camera,
        covariance * widened,
        view.marks.iter().map(|m| m.mm).collect(),
        notes,
    ))
}

fn swapped() -> SurveyError {
    SurveyError::at(
        "evidence",
        "No view of a flat wall fits these marks. Two of them may be swapped: check each mark's \
         place and reading.",
    )
}

fn middle(places: impl ExactSizeIterator<Item = Mm>) -> Mm {
    let n = places.len() as f64;
    let sum = places.fold([0.0, 0.0], |s, p| [s[0] + p[0], s[1] + p[1]]);
    [sum[0] / n, sum[1] / n]
}

/// The inverse of a positive definite matrix whose parameters have very different units.
fn inverse(matrix: &Covariance) -> Option<Covariance> {
    let scale = Parameters::from_fn(|i, _| matrix[(i, i)].sqrt().recip());
    let scaled = Covariance::from_fn(|r, c| matrix[(r, c)] * scale[r] * scale[c]);
    let inverse = scaled.cholesky()?.inverse();
    let unscaled = Covariance::from_fn(|r, c| inverse[(r, c)] * scale[r] * scale[c]);
    unscaled.iter().all(|x| x.is_finite()).then_some(unscaled)
}

impl View {
    fn new(problem: &WallProblem) -> Result<Self, SurveyError> {
        let size = problem.image_size_px;
        if size.width < 2 || size.height < 2 {
            return Err(SurveyError::at(
                "image_size_px",
                "The picture's size must be at least 2 x 2 pixels.",
            ));
        }
        if !(problem.point_sd_px > 0.0 && problem.point_sd_px <= size.longer()) {
            return Err(SurveyError::at(
                "point_sd_px",
                "The spread of a mark must be more than 0 and less than the picture. Half a \
                 pixel is usual.",
            ));
        }
        let prior = match &problem.lens {
            Some(lens) => {
                lens.check(size, "lens")?;
                LensPrior::known(lens)
            }
            None => LensPrior::phone(size),
        };
        let view = Self {
            marks: marks(problem)?,
            point_sd: problem.point_sd_px,
            prior,
            gravity: gravity(problem)?,
        };
        view.check_spread()?;
        Ok(view)
    }

    /// Refuses marks that leave the plane free: too few, repeated, or in one line.
    fn check_spread(&self) -> Result<(), SurveyError> {
        let n = self.marks.len();
        if n < 4 {
            return Err(SurveyError::at(
                "evidence",
                format!(
                    "{} known {}: the wall needs four or more, no three of them in a line.",
                    ["No", "One", "Two", "Three"][n],
                    if n == 1 {
                        "point is marked"
                    } else {
                        "points are marked"
                    },
                ),
            ));
        }
        for (i, a) in self.marks.iter().enumerate() {
            for b in &self.marks[..i] {
                if a.px == b.px || a.mm == b.mm {
                    let part = if a.px == b.px { "px" } else { "mm" };
                    return Err(SurveyError::at(
                        format!("evidence[{}].{part}", a.index),
                        format!(
                            "Marks {} and {} are at the same place. Move one of them, or take \
                             it away.",
                            b.index + 1,
                            a.index + 1
                        ),
                    ));
                }
            }
        }
        let (along, across) = spread(self.marks.iter().map(|m| m.mm));
        let (_, across_px) = spread(self.marks.iter().map(|m| m.px));
        if across <= LINE_SHARE * along || across_px <= LINE_SPREADS * self.point_sd {
            return Err(SurveyError::at(
                "evidence",
                "The marks lie in one line, so the wall could be turned any way about it. Add a \
                 mark well away from that line.",
            ));
        }
        Ok(())
    }

    /// A fair guess from the homography of the marks and the lens as it was known before.
    fn start(&self, anchor: Mm) -> Result<Camera, SurveyError> {
        let optics = self.prior.mean;
        let mut ideal = Vec::with_capacity(self.marks.len());
        for mark in &self.marks {
            ideal.push(optics.unsee(mark.px).ok_or_else(|| {
                SurveyError::at(
                    format!("evidence[{}].px", mark.index),
                    format!(
                        "The lens, as it is described, can't see mark {}: its k1 and k2 fold the \
                         picture there. Check the lens, or leave it out.",
                        mark.index + 1
                    ),
                )
            })?);
        }
        let places: Vec<Mm> = self
            .marks
            .iter()
            .map(|m| [m.mm[0] - anchor[0], m.mm[1] - anchor[1]])
            .collect();
        let map = Homography::fit(&places, &ideal)
            .map_err(|e| SurveyError::at("evidence", e.to_string()))?;
        Camera::from_homography(&map, anchor, optics).ok_or_else(swapped)
    }

    /// Residuals of one mark and their slopes, both divided by the mark's spread.
    fn miss(&self, camera: &Camera, mark: &Mark) -> Option<(Vector2<f64>, [Parameters; 2])> {
        let (seen, slopes) = camera.see_with_slopes(mark.mm)?;
        let miss = Vector2::new(seen[0] - mark.px[0], seen[1] - mark.px[1]) / self.point_sd;
        Some((miss, slopes.map(|s| s / self.point_sd)))
    }

    /// Residuals of what was known of the lens.
    fn lens_miss(&self, camera: &Camera) -> [f64; 5] {
        let (now, mean, sd) = (camera.optics, self.prior.mean, self.prior.sd);
        [
            (now.focal / mean.focal).ln() / sd[0],
            (now.center[0] - mean.center[0]) / sd[1],
            (now.center[1] - mean.center[1]) / sd[2],
            (now.k1 - mean.k1) / sd[3],
            (now.k2 - mean.k2) / sd[4],
        ]
    }

    /// Does the evidence agree with itself? The chi-square test at 99 %; where it fails, a
    /// sentence, and the factor by which the covariance must grow (R. Birge, Phys. Rev. 40,
    /// 1932).
    fn contradiction(
        &self,
        camera: &Camera,
        cost: f64,
        covariance: &Covariance,
    ) -> (Vec<String>, f64) {
        let residuals = 2 * self.marks.len() + 5 + usize::from(self.gravity.is_some());
        let free = (residuals - PARAMETERS) as f64;
        // E. Wilson and M. Hilferty's cube for the quantile of chi-square, PNAS 17, 1931.
        let small = 2.0 / (9.0 * free);
        let most = free * (1.0 - small + Z99 * small.sqrt()).powi(3);
        if cost <= most {
            return (Vec::new(), 1.0);
        }
        let blame = if self.marks.len() > 4 {
            let worst = self
                .marks
                .iter()
                .map(|mark| (self.gain_without(camera, mark, covariance), mark))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            worst.map_or(String::new(), |(_, mark)| {
                let off = self.miss(camera, mark).map_or(0.0, |(m, _)| m.norm() * self.point_sd);
                format!(
                    "Mark {} (known place {}, {} mm) fits worst, {off:.1} pixels off: is it really there?",
                    mark.index + 1,
                    mark.mm[0],
                    mark.mm[1],
                )
            })
        } else {
            "Check every mark, and the size of the reference.".to_owned()
        };
        let note = format!(
            "The marks contradict each other by more than chance allows. {blame} The range was \
             widened for it."
        );
        (vec![note], cost / free)
    }

    /// By how much the sum of squares would fall without this mark.
    fn gain_without(&self, camera: &Camera, mark: &Mark, covariance: &Covariance) -> f64 {
        let Some((miss, slopes)) = self.miss(camera, mark) else {
            return f64::INFINITY;
        };
        let hat = Matrix2::from_fn(|r, c| slopes[r].dot(&(covariance * slopes[c])));
        match (Matrix2::identity() - hat).try_inverse() {
            Some(left) => miss.dot(&(left * miss)),
            None => 0.0,
        }
    }
}

impl LeastSquares<PARAMETERS> for View {
    type State = Camera;

    fn normal(&self, camera: &Camera) -> Option<Normal<PARAMETERS>> {
        let mut normal = Normal::zero();
        for mark in &self.marks {
            let (miss, slopes) = self.miss(camera, mark)?;
            normal.add(miss.x, &slopes[0]);
            normal.add(miss.y, &slopes[1]);
        }
        for (i, miss) in self.lens_miss(camera).into_iter().enumerate() {
            let mut slope = Parameters::zeros();
            slope[6 + i] = self.prior.sd[i].recip();
            normal.add(miss, &slope);
        }
        if let Some((down, sd)) = self.gravity {
            // The wall is upright: its normal is level.
            let wall = camera.normal();
            let turn = wall.cross(&down) / sd;
            let mut slope = Parameters::zeros();
            slope.fixed_rows_mut::<3>(0).copy_from(&turn);
            normal.add(wall.dot(&down) / sd, &slope);
        }
        normal.cost.is_finite().then_some(normal)
    }

    fn moved(&self, camera: &Camera, step: &Parameters) -> Camera {
        camera.moved(step)
    }
}

/// The known points among the evidence, each checked.
fn marks(problem: &WallProblem) -> Result<Vec<Mark>, SurveyError> {
    let mut marks = Vec::new();
    for (index, evidence) in problem.evidence.iter().enumerate() {
        let Evidence::Point { px, mm } = evidence else {
            return Err(SurveyError::at(
                format!("evidence[{index}].kind"),
                "Readings on a single rule, and rules held level or plumb, come with the survey \
                 work; use marked points.",
            ));
        };
        problem
            .image_size_px
            .check(*px, &format!("evidence[{index}].px"))?;
        if !mm.iter().all(|x| x.abs() <= FARTHEST_MM) {
            return Err(SurveyError::at(
                format!("evidence[{index}].mm"),
                "A known place must lie within a kilometre, in millimetres.",
            ));
        }
        marks.push(Mark {
            px: *px,
            mm: *mm,
            index,
        });
    }
    Ok(marks)
}

fn gravity(problem: &WallProblem) -> Result<Option<(Vector3<f64>, f64)>, SurveyError> {
    let Some(g) = problem.gravity else {
        return Ok(None);
    };
    let down = Vector3::from(g);
    let length = down.norm();
    if !(length > 0.5 && length < 2.0) {
        return Err(SurveyError::at(
            "gravity",
            "Gravity must be a direction of length 1: x right, y down, z forward.",
        ));
    }
    let sd = problem.gravity_sd_deg;
    if !(sd > 0.0 && sd <= 90.0) {
        return Err(SurveyError::at(
            "gravity_sd_deg",
            "The spread of gravity must be more than 0 and at most 90 degrees.",
        ));
    }
    Ok(Some((down / length, sd.to_radians())))
}

/// Root-mean-square extent along and across the best line through some places.
fn spread(places: impl ExactSizeIterator<Item = [f64; 2]> + Clone) -> (f64, f64) {
    let n = places.len() as f64;
    let m = middle(places.clone());
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in places {
        let (x, y) = (p[0] - m[0], p[1] - m[1]);
        xx += x * x / n;
        xy += x * y / n;
        yy += y * y / n;
    }
    let (half, root) = ((xx + yy) / 2.0, ((xx - yy) / 2.0).hypot(xy));
    let along = half + root;
    // The product of both is the determinant, which keeps the digits that a difference loses.
    let across = if along > 0.0 {
        (xx * yy - xy * xy).max(0.0) / along
    } else {
        0.0
    };
    (along.sqrt(), across.sqrt())
}
