//! The wall from all evidence at once: one least-squares estimate over the camera's pose and
//! lens, in which every piece of evidence counts by its own spread.

use super::camera::{Camera, PARAMETERS};
use super::gather::{Direction, Gathered, Mark, Rule, Spot, check_spread, gravity};
use super::least_squares::{LeastSquares, Normal, solve};
use super::lens::LensPrior;
use super::scene::{Lay, Layout, Scene};
use super::stance::Stance;
use super::{Mm, Px, SurveyError, Wall, WallProblem};
use crate::say;
use crate::words::tr;
use nalgebra::{DMatrix, DVector, Unit, Vector2, Vector3};

/// Marks count as lying in one line when their spread across it is less than this many times the
/// spread of a mark: the plane could then turn about the line freely.
const LINE_SPREADS: f64 = 2.0;

/// The same on the wall, as a share of the spread along the line.
const LINE_SHARE: f64 = 1e-3;

/// A mark further off than this many of its spreads pulls no harder than one that far off
/// (P. Huber, Ann. Math. Statist. 35(1), 1964): one slip then spoils little.
const SLIP: f64 = 3.0;

/// People stand before a piece, not beside it: the photo is square to the wall within 20 degrees
/// in two cases of three (common practice, no source). It counts only where the marks leave the
/// wall free to turn.
const SQUARE_SD: f64 = 0.35;

/// Two ends of the search that differ by less than this turn are the same, in radians.
const SAME_TURN: f64 = 0.01;

/// The sum of squares to be made least.
#[derive(Clone)]
pub(super) struct View {
    pub(super) marks: Vec<Mark>,
    pub(super) rules: Vec<Rule>,
    pub(super) layout: Layout,
    pub(super) prior: LensPrior,
    /// Whether the known points alone span the wall.
    pub(super) spans: bool,
    /// Whether gravity was measured.
    pub(super) measured_down: bool,
    pub(super) gravity: Direction,
    pub(super) stance: Stance,
}

/// Finds the wall plane, the camera before it and how well they are known.
///
/// ```
/// use peelcast::survey::{Evidence, ImageSize, WallProblem, fit_wall};
/// let point = Evidence::point;
/// let sheet = vec![
///     point([400.0, 300.0], [0.0, 0.0]),
///     point([800.0, 300.0], [200.0, 0.0]),
///     point([800.0, 600.0], [200.0, 150.0]),
///     point([400.0, 600.0], [0.0, 150.0]),
/// ];
/// let size = ImageSize { width: 1600, height: 1200 };
/// let wall = fit_wall(&WallProblem::new(size, sheet)).unwrap();
/// let place = wall.to_wall([600.0, 450.0]).unwrap();
/// assert!((place[0] - 100.0).abs() < 1e-6 && (place[1] - 75.0).abs() < 1e-6);
/// ```
pub fn fit_wall(problem: &WallProblem) -> Result<Wall, SurveyError> {
    let view = View::new(problem)?;
    let starts = view.starts()?.into_iter();
    let mut ends: Vec<(Scene, Normal)> = starts
        .map(|start| solve(&view, start))
        .filter_map(|end| Some((end.state, end.normal?)))
        .collect();
    let by_cost = |a: &usize, b: &usize| ends[*a].1.cost.total_cmp(&ends[*b].1.cost);
    let best = (0..ends.len()).min_by(by_cost).ok_or_else(swapped)?;
    ends.swap(0, best);
    let rivals = rivals(&ends);
    let (scene, normal) = ends.swap_remove(0);
    let covariance = inverse(normal.full()).ok_or_else(|| {
        SurveyError::at(
            "evidence",
            tr("The marks don't fix the wall. Add a mark well away from the others."),
        )
    })?;
    let (notes, widened) = view.contradiction(&scene, &covariance);
    let of_camera = covariance.fixed_view::<PARAMETERS, PARAMETERS>(0, 0);
    let known = view.places(&scene.lays).map(|place| place.1);
    Ok(Wall::new(
        problem,
        view.stance,
        scene.camera,
        of_camera * widened,
        rivals,
        known.collect(),
        notes,
    ))
}

/// The other ends of the search that are not the first one again, with their shares of the
/// likelihood of all.
fn rivals(ends: &[(Scene, Normal)]) -> Vec<(Camera, f64)> {
    let mut apart: Vec<(&Scene, f64)> = Vec::new();
    for (scene, normal) in ends {
        let likely = (0.5 * (ends[0].1.cost - normal.cost)).exp();
        let same = |other: &(&Scene, f64)| {
            let angle = scene.camera.rotation.angle_to(&other.0.camera.rotation);
            angle < SAME_TURN
        };
        if likely > 1e-3 && !apart.iter().any(same) {
            apart.push((scene, likely));
        }
    }
    let all: f64 = apart.iter().map(|end| end.1).sum();
    let others = apart.into_iter().skip(1);
    others
        .map(|(scene, likely)| (scene.camera.clone(), likely / all))
        .collect()
}

pub(super) fn swapped() -> SurveyError {
    SurveyError::at(
        "evidence",
        tr(
            "No view of a flat wall fits these marks. Two of them may be swapped: check each mark's \
         place and reading.",
        ),
    )
}

pub(super) fn middle(places: impl ExactSizeIterator<Item = Mm>) -> Mm {
    let n = places.len() as f64;
    let sum = places.fold([0.0, 0.0], |s, p| [s[0] + p[0], s[1] + p[1]]);
    [sum[0] / n, sum[1] / n]
}

/// The inverse of a positive definite matrix whose parameters have very different units.
pub(super) fn inverse(matrix: DMatrix<f64>) -> Option<DMatrix<f64>> {
    let scale = DVector::from_fn(matrix.nrows(), |i, _| matrix[(i, i)].sqrt().recip());
    let scaled = |m: &DMatrix<f64>| {
        DMatrix::from_fn(m.nrows(), m.ncols(), |r, c| m[(r, c)] * scale[r] * scale[c])
    };
    let inverse = scaled(&scaled(&matrix).cholesky()?.inverse());
    inverse.iter().all(|x| x.is_finite()).then_some(inverse)
}

/// One known place as it is seen: how far off, and how that grows with every number.
pub(super) struct Miss {
    /// Divided by the mark's spread.
    pub(super) off: Vector2<f64>,
    /// In pixels.
    pub(super) off_px: f64,
    pub(super) slopes: [DVector<f64>; 2],
    /// Its index among the evidence.
    pub(super) index: usize,
}

impl View {
    pub(super) fn new(problem: &WallProblem) -> Result<Self, SurveyError> {
        let size = problem.image_size_px;
        if size.width < 2 || size.height < 2 {
            return Err(SurveyError::at(
                "image_size_px",
                tr("The picture's size must be at least 2 x 2 pixels."),
            ));
        }
        check_spread(problem.point_sd_px, size, "point_sd_px")?;
        let prior = match &problem.lens {
            Some(lens) => {
                lens.check(size, "lens")?;
                LensPrior::known(lens)
            }
            None => LensPrior::phone(size),
        };
        let Gathered { marks, mut rules } = Gathered::read(problem)?;
        // The wall's frame is that of the points, or of the rule with the most readings.
        rules.sort_by_key(|rule| std::cmp::Reverse(rule.ticks.len()));
        let fixed = marks.len() < 2;
        let measured = gravity(problem)?;
        let stance = Stance::read(problem)?;
        stance.check(&rules)?;
        let held = rules.iter().any(|rule| rule.level || rule.plumb);
        let free = (0..rules.len()).map(|i| !(fixed && i == 0));
        let view = Self {
            layout: Layout::new(free, measured.is_some() || held),
            spans: spans(&marks, problem)?,
            measured_down: measured.is_some(),
            gravity: stance.down(measured),
            stance,
            marks,
            rules,
            prior,
        };
        if fixed && view.rules.is_empty() {
            return Err(SurveyError::at(
                "evidence",
                say!(
                    "{marks}: nothing tells how large the ornament is. Mark two places whose distance \
                     you know, better the four corners of a card or sheet.",
                    marks = [tr("No point is marked"), tr("One point is marked")][view.marks.len()]
                ),
            ));
        }
        if view.measured_down
            && let Some([x, y]) = view.prior.mean.unsee(view.anchor_px())
        {
            let sight = Vector3::new(x, y, 1.0);
            view.stance.check_sight(sight, view.down())?;
        }
        Ok(view)
    }

    /// Down as it was measured, or as a phone is usually held.
    pub(super) fn down(&self) -> Unit<Vector3<f64>> {
        self.gravity.0
    }

    /// How the rule lies that the wall's frame is fixed to: along x, its zero at zero.
    pub(super) fn fixed_lay(&self) -> Lay {
        let middle = self.rules[0].middle();
        Lay {
            middle,
            at: [middle, 0.0],
            angle: 0.0,
        }
    }

    /// Every known place and where it is seen: the points, then the readings.
    fn places<'a>(&'a self, lays: &'a [Lay]) -> impl Iterator<Item = (Px, Mm)> + 'a {
        let readings = self.rules.iter().zip(lays).flat_map(|(rule, lay)| {
            let ticks = rule.ticks.iter();
            ticks.map(|tick| (tick.spot.px, lay.place(tick.at)))
        });
        self.marks.iter().map(|m| (m.spot.px, m.mm)).chain(readings)
    }

    /// The places that are known before anything is estimated.
    fn fixed_places(&self) -> Vec<(Px, Mm)> {
        if self.layout.rules.first() == Some(&None) {
            let lay = [self.fixed_lay()];
            self.places(&lay).collect()
        } else {
            self.places(&[]).collect()
        }
    }

    /// The middle of the known places.
    pub(super) fn anchor(&self) -> Mm {
        middle(self.fixed_places().iter().map(|place| place.1))
    }

    /// The middle of where they are seen.
    fn anchor_px(&self) -> Px {
        middle(self.fixed_places().iter().map(|place| place.0))
    }

    /// The two known places that are furthest from each other.
    pub(super) fn farthest(&self) -> Option<[(Px, Mm); 2]> {
        let places = self.fixed_places();
        let from = |a: Mm| {
            let distance = |p: &(Px, Mm)| (p.1[0] - a[0]).hypot(p.1[1] - a[1]);
            let places = places.iter().copied();
            places.max_by(|p, q| distance(p).total_cmp(&distance(q)))
        };
        let first = from(places.first()?.1)?;
        Some([first, from(first.1)?])
    }

    /// How far off each known place is seen, divided by a mark's spread.
    pub(super) fn misses(&self, scene: &Scene) -> Option<Vec<Miss>> {
        let mut misses = Vec::new();
        let mut add = |mm: Mm, spot: &Spot, lay: Option<(usize, [f64; 2])>| {
            let Spot { px, sd, index } = *spot;
            let seen = scene.camera.see_with_slopes(mm, 0.0)?;
            let off = Vector2::new(seen.px[0] - px[0], seen.px[1] - px[1]) / sd;
            let slopes = [0, 1].map(|axis| {
                let mut slope = DVector::zeros(self.layout.len);
                let camera = seen.slopes[axis] / sd;
                slope.rows_mut(0, PARAMETERS).copy_from(&camera);
                if let Some((start, turned)) = lay {
                    let [x, y] = seen.on_wall[axis].map(|s| s / sd);
                    slope[start] = x;
                    slope[start + 1] = y;
                    slope[start + 2] = x * turned[0] + y * turned[1];
                }
                slope
            });
            misses.push(Miss {
                off,
                off_px: off.norm() * sd,
                slopes,
                index,
            });
            Some(())
        };
        for mark in &self.marks {
            add(mark.mm, &mark.spot, None)?;
        }
        for (i, (rule, lay)) in self.rules.iter().zip(&scene.lays).enumerate() {
            let way = lay.way();
            for tick in &rule.ticks {
                let past = tick.at - lay.middle;
                let start = self.layout.rules[i];
                let turned = start.map(|start| (start, [-way[1] * past, way[0] * past]));
                add(lay.place(tick.at), &tick.spot, turned)?;
            }
        }
        Some(misses)
    }

    /// Residuals of what was known of the lens.
    pub(super) fn lens_miss(&self, scene: &Scene) -> [f64; 5] {
        let (now, mean, sd) = (scene.camera.optics, self.prior.mean, self.prior.sd);
        [
            (now.focal / mean.focal).ln() / sd[0],
            (now.center[0] - mean.center[0]) / sd[1],
            (now.center[1] - mean.center[1]) / sd[2],
            (now.k1 - mean.k1) / sd[3],
            (now.k2 - mean.k2) / sd[4],
        ]
    }
}

impl LeastSquares for View {
    type State = Scene;

    fn normal(&self, scene: &Scene) -> Option<Normal> {
        let mut normal = Normal::zero(self.layout.len);
        for Miss { off, slopes, .. } in self.misses(scene)? {
            let far = off.norm();
            let weight = if far > SLIP { SLIP / far } else { 1.0 };
            normal.cost += weight * (2.0 - weight) * far * far;
            normal.add_weighted(weight, off.x, &slopes[0]);
            normal.add_weighted(weight, off.y, &slopes[1]);
        }
        for (i, miss) in self.lens_miss(scene).into_iter().enumerate() {
            let mut slope = DVector::zeros(self.layout.len);
            slope[6 + i] = self.prior.sd[i].recip();
            normal.add(miss, &slope);
        }
        self.add_down(scene, &mut normal);
        if !self.spans {
            let n = scene.camera.normal();
            for (lean, turn) in [(n.x, [0.0, n.z, -n.y]), (n.y, [-n.z, 0.0, n.x])] {
                let mut slope = DVector::zeros(self.layout.len);
                slope
                    .rows_mut(0, 3)
                    .copy_from(&(Vector3::from(turn) / SQUARE_SD));
                normal.add(lean / SQUARE_SD, &slope);
            }
        }
        normal.cost.is_finite().then_some(normal)
    }

    fn moved(&self, scene: &Scene, step: &DVector<f64>) -> Scene {
        scene.moved(&self.layout, step)
    }
}

/// Whether known points span the wall by themselves; refused where they would but are not seen
/// to, and where there are many of them in one line and nothing else.
fn spans(marks: &[Mark], problem: &WallProblem) -> Result<bool, SurveyError> {
    if marks.len() < 3 {
        return Ok(false);
    }
    let (along, across) = spread(marks.iter().map(|m| m.mm));
    let (_, across_px) = spread(marks.iter().map(|m| m.spot.px));
    let sd = marks.iter().map(|m| m.spot.sd).fold(0.0, f64::max);
    let in_line = across <= LINE_SHARE * along;
    let seen_in_line = across_px <= LINE_SPREADS * sd;
    let alone = marks.len() == problem.evidence.len() && problem.gravity.is_none();
    if seen_in_line && (alone || !in_line) {
        return Err(SurveyError::at(
            "evidence",
            tr(
                "The marks lie in one line, so the wall could be turned any way about it. Add a \
             mark well away from that line.",
            ),
        ));
    }
    Ok(marks.len() > 3 && !in_line && !seen_in_line)
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
