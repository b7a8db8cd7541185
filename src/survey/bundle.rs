//! Several photos of one wall at once: bundle adjustment over all their cameras.
//!
//! Each photo keeps its own evidence ([`View`]); places on the wall beside the reference that are
//! seen in several photos tie the photos together, wherever on the wall they are. Their places are
//! eliminated, as they always lie where the cameras say at best (variable projection: G. Golub and
//! V. Pereyra, SIAM J. Numer. Anal. 10(2), 1973; B. Triggs and others, "Bundle adjustment – a
//! modern synthesis", 2000, section 6.1). A small reference shows nearly the same from two sides:
//! both poses of every photo are tried.

use super::camera::{Camera, PARAMETERS, Parameters};
use super::fit::{View, inverse, swapped};
use super::least_squares::{LeastSquares, Normal, solve};
use super::scene::Scene;
use super::{Mm, Px, SurveyError, Wall, WallProblem, nth};
use crate::quantity::{Estimate, Millimetres};
use crate::say;
use crate::words::tr;
use nalgebra::{DMatrix, DVector, Matrix2, SMatrix, Vector2};

/// A place on the wall as one photo shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spotted {
    /// Which photo.
    pub(crate) photo: usize,
    /// Where in it.
    pub(crate) px: Px,
    /// How well that is known along x and along y, in pixels.
    pub(crate) sd: f64,
}

/// One place on the wall as the photos show it, each photo once.
pub(crate) type Track = Vec<Spotted>;

/// A place seen further off than this many of its spreads pulls no harder than one that far off.
const SLIP: f64 = 2.5;
/// One phone's photos are taken with one lens; focusing moves log focal length, the centre (in
/// pixels) and the distortion by no more than this (from memory).
const SAME_LENS_SD: [f64; 5] = [2e-3, 2.0, 2.0, 3e-3, 3e-3];
/// Poses that differ by less than this turn are the same, in radians.
const SAME_TURN: f64 = 0.01;
/// So many tracks tell which of a photo's two poses is right.
const JUDGES: usize = 40;
/// Rounds of Newton's method for a place on the wall: it is nearly linear.
const ROUNDS: usize = 3;

/// The cameras of all photos before one wall.
#[derive(Clone, Debug)]
pub(crate) struct Bundle {
    /// One for each photo; the wall itself is their plane.
    pub(crate) cameras: Vec<Camera>,
    /// What the user should know.
    pub(crate) notes: Vec<String>,
    /// How far the reference's plane stands before the wall, in millimetres.
    lift: f64,
    scenes: Vec<Scene>,
    offsets: Vec<usize>,
    covariance: DMatrix<f64>,
}

/// Finds all cameras at once. `reference` is how far the evidence's plane stands before the wall;
/// `tracks` lie on the wall.
pub(crate) fn bundle(
    problems: &[WallProblem],
    tracks: &[Track],
    reference: Estimate<Millimetres>,
) -> Result<Bundle, SurveyError> {
    let views = problems
        .iter()
        .enumerate()
        .map(|(i, problem)| View::new(problem).map_err(|e| e.under(&format!("photos[{i}]"))));
    let mut joint = Joint {
        same_lens: same_lens(problems),
        views: views.collect::<Result<_, _>>()?,
        offsets: Vec::new(),
        len: 0,
        tracks: tracks.to_vec(),
        reference,
    };
    for view in &joint.views {
        joint.offsets.push(joint.len);
        joint.len += view.layout.len;
    }
    let start = joint.start()?;
    let end = solve(&joint, start);
    // How well the places are known shows in how far they are off; known to less than they said
    // they may be, but not much better.
    let widen = joint.scale(&end.state).clamp(0.5, 20.0);
    for spotted in joint.tracks.iter_mut().flatten() {
        spotted.sd *= widen;
    }
    let end = solve(&joint, end.state);
    let normal = end.normal.ok_or_else(swapped)?;
    let covariance = inverse(normal.full()).ok_or_else(|| {
        SurveyError::at(
            "photos",
            tr("The marks don't fix the wall. Add a mark well away from the others."),
        )
    })?;
    let state = end.state;
    let mut notes = Vec::new();
    for (i, (view, scene)) in joint.views.iter().zip(&state.scenes).enumerate() {
        let (from, size) = (joint.offsets[i], view.layout.len);
        let own = covariance.view((from, from), (size, size)).into_owned();
        let said = view.contradiction(scene, &own).0;
        notes.extend(
            said.into_iter()
                .map(|note| say!("Photo {i}: {note}", i = i + 1, note)),
        );
    }
    let cameras = state.scenes.iter();
    Ok(Bundle {
        cameras: cameras
            .map(|scene| on_wall(&scene.camera, state.lift))
            .collect(),
        notes,
        lift: state.lift,
        scenes: state.scenes,
        offsets: joint.offsets,
        covariance,
    })
}

impl Bundle {
    /// The wall as photo `at` sees it, with the spread that is left when all photos have told.
    pub(crate) fn wall(&self, at: usize, problem: &WallProblem) -> Result<Wall, SurveyError> {
        let view = View::new(problem)?;
        let (from, last) = (self.offsets[at], self.covariance.nrows() - 1);
        let normal = self.cameras[at].normal();
        let away = normal.dot(&self.cameras[at].translation).signum();
        // The camera's own numbers, and how it moves with the plane of the reference.
        let picked: Vec<usize> = (from..from + PARAMETERS).chain([last]).collect();
        let own = SMatrix::<f64, 12, 12>::from_fn(|r, c| self.covariance[(picked[r], picked[c])]);
        let mut slope = SMatrix::<f64, PARAMETERS, 12>::identity();
        for axis in 0..3 {
            slope[(3 + axis, PARAMETERS)] = normal[axis] * away;
        }
        let known = view.marks.iter().map(|mark| mark.mm).collect();
        Ok(Wall::new(
            problem,
            view.stance,
            self.cameras[at].clone(),
            slope * own * slope.transpose(),
            Vec::new(),
            known,
            Vec::new(),
        ))
    }

    /// Cameras as they might be as well: `count` draws from the spread that is left. `normal`
    /// gives numbers of mean 0 and standard deviation 1.
    pub(crate) fn draws(&self, count: usize, normal: &mut impl FnMut() -> f64) -> Vec<Vec<Camera>> {
        let n = self.covariance.nrows();
        let scale = DVector::from_fn(n, |i, _| self.covariance[(i, i)].sqrt());
        let correlation =
            DMatrix::from_fn(n, n, |r, c| self.covariance[(r, c)] / (scale[r] * scale[c]));
        let Some(root) = correlation.cholesky() else {
            return Vec::new();
        };
        let mut draw = || {
            let step = root.l() * DVector::from_fn(n, |_, _| normal());
            let step = step.component_mul(&scale);
            let lift = self.lift + step[n - 1];
            let moved = self.scenes.iter().zip(&self.offsets).map(|(scene, from)| {
                let step = Parameters::from_fn(|i, _| step[from + i]);
                on_wall(&scene.camera.moved(&step), lift)
            });
            moved.collect()
        };
        (0..count).map(|_| draw()).collect()
    }
}

/// The same camera, spoken of from the wall that lies `lift` behind its evidence's plane.
fn on_wall(camera: &Camera, lift: f64) -> Camera {
    let normal = camera.normal();
    let away = normal.dot(&camera.translation).signum();
    Camera {
        translation: camera.translation + normal * (lift * away),
        ..camera.clone()
    }
}

/// Whether all photos were taken with one lens, as far as is said.
fn same_lens(problems: &[WallProblem]) -> bool {
    let same = |p: &WallProblem| {
        (p.lens, p.image_size_px) == (problems[0].lens, problems[0].image_size_px)
    };
    problems.iter().all(same)
}

struct Joint {
    views: Vec<View>,
    /// Where each photo's numbers start; the lift comes last.
    offsets: Vec<usize>,
    len: usize,
    tracks: Vec<Track>,
    reference: Estimate<Millimetres>,
    same_lens: bool,
}

#[derive(Clone)]
struct State {
    scenes: Vec<Scene>,
    lift: f64,
}

/// A track at its best place on the wall.
struct Placed {
    /// Divided by the spreads.
    off: Vec<Vector2<f64>>,
    by_place: Vec<Matrix2<f64>>,
    by_camera: Vec<SMatrix<f64, 2, PARAMETERS>>,
    by_lift: Vec<Vector2<f64>>,
}

impl Joint {
    /// The likeliest choice of one of each photo's two poses.
    fn start(&self) -> Result<State, SurveyError> {
        let mut poses: Vec<Vec<Scene>> = Vec::new();
        for (i, view) in self.views.iter().enumerate() {
            let named = |e: SurveyError| e.under(&format!("photos[{i}]"));
            let ends = view.starts().map_err(named)?.into_iter();
            let mut ends: Vec<_> = ends
                .map(|start| solve(view, start))
                .filter_map(|end| Some((end.normal?.cost, end.state)))
                .collect();
            ends.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut apart: Vec<Scene> = Vec::new();
            for (_, scene) in ends {
                let mirrored = Scene {
                    camera: scene.camera.mirrored(),
                    ..scene.clone()
                };
                for scene in [scene, mirrored] {
                    let same = |other: &Scene| {
                        other.camera.rotation.angle_to(&scene.camera.rotation) < SAME_TURN
                    };
                    if apart.len() < 2 && !apart.iter().any(same) {
                        apart.push(scene);
                    }
                }
            }
            if apart.is_empty() {
                return Err(named(swapped()));
            }
            poses.push(apart);
        }
        let judge = Self {
            views: self.views.clone(),
            offsets: self.offsets.clone(),
            tracks: spread_out(&self.tracks, JUDGES),
            ..*self
        };
        let choices: usize = poses.iter().map(Vec::len).product();
        let mut best: Option<(f64, State)> = None;
        for choice in 0..choices {
            let mut rest = choice;
            let scenes = poses.iter().map(|of| {
                let scene = of[rest % of.len()].clone();
                rest /= of.len();
                scene
            });
            let state = State {
                scenes: scenes.collect(),
                lift: self.reference.value.0,
            };
            let end = solve(&judge, state);
            if let Some(normal) = end.normal
                && best.as_ref().is_none_or(|best| normal.cost < best.0)
            {
                best = Some((normal.cost, end.state));
            }
        }
        best.map(|best| best.1).ok_or_else(swapped)
    }

    /// Where on the wall a track lies, and how far off it is seen there.
    fn placed(state: &State, track: &Track) -> Option<Placed> {
        let first = track.first()?;
        let camera = |at: usize| &state.scenes[at].camera;
        let mut mm: Mm = camera(first.photo).unsee_before(first.px, -state.lift)?;
        for round in 0..=ROUNDS {
            let mut placed = Placed {
                off: Vec::new(),
                by_place: Vec::new(),
                by_camera: Vec::new(),
                by_lift: Vec::new(),
            };
            let (mut pull, mut hold) = (Vector2::zeros(), Matrix2::zeros());
            for spotted in track {
                let seen = camera(spotted.photo).see_with_slopes(mm, -state.lift)?;
                let off = Vector2::new(seen.px[0] - spotted.px[0], seen.px[1] - spotted.px[1]);
                let by_place = Matrix2::from_fn(|r, c| seen.on_wall[r][c]) / spotted.sd;
                placed.off.push(off / spotted.sd);
                placed.by_place.push(by_place);
                let slopes = SMatrix::from_fn(|r, c| seen.slopes[r][c] / spotted.sd);
                placed.by_camera.push(slopes);
                placed
                    .by_lift
                    .push(-Vector2::from(seen.by_height) / spotted.sd);
                pull += by_place.transpose() * off / spotted.sd;
                hold += by_place.transpose() * by_place;
            }
            if round == ROUNDS {
                return Some(placed);
            }
            let step = hold.try_inverse()? * pull;
            mm = [mm[0] - step.x, mm[1] - step.y];
        }
        None
    }

    /// How far each track is off, in spreads.
    fn misses(&self, state: &State) -> Vec<f64> {
        let miss = |track: &Track| {
            let Some(placed) = Self::placed(state, track) else {
                return f64::INFINITY;
            };
            // A place takes two numbers from what could be off.
            let free = (2 * track.len()).saturating_sub(2).max(1) as f64;
            (placed.off.iter().map(Vector2::norm_squared).sum::<f64>() / free).sqrt()
        };
        self.tracks.iter().map(miss).collect()
    }

    /// How many times further off the tracks are than they say they may be.
    fn scale(&self, state: &State) -> f64 {
        let mut misses = self.misses(state);
        if misses.is_empty() {
            return 1.0;
        }
        let middle = misses.len() / 2;
        // The median of the root mean square of two normal numbers is 0.83.
        nth(&mut misses, middle, f64::total_cmp) / 0.83
    }

    fn add_track(&self, state: &State, track: &Track, normal: &mut Normal) -> Option<()> {
        let placed = Self::placed(state, track)?;
        let seen = track.len();
        let size = PARAMETERS * seen + 1;
        // Huber's weights; the whole track counts as one.
        let far = placed.off.iter().map(Vector2::norm_squared).sum::<f64>();
        let free = (2 * seen - 2).max(1) as f64;
        let slip = SLIP * free.sqrt();
        let far = far.sqrt();
        let weight = if far > slip { slip / far } else { 1.0 };
        normal.cost += weight * (2.0 - weight) * far * far;
        let mut slopes = DMatrix::<f64>::zeros(2 * seen, size);
        let mut by_place = DMatrix::<f64>::zeros(2 * seen, 2);
        let mut off = DVector::<f64>::zeros(2 * seen);
        for k in 0..seen {
            slopes
                .view_mut((2 * k, PARAMETERS * k), (2, PARAMETERS))
                .copy_from(&placed.by_camera[k]);
            slopes
                .view_mut((2 * k, size - 1), (2, 1))
                .copy_from(&placed.by_lift[k]);
            by_place
                .view_mut((2 * k, 0), (2, 2))
                .copy_from(&placed.by_place[k]);
            off.rows_mut(2 * k, 2).copy_from(&placed.off[k]);
        }
        let hold = (by_place.transpose() * &by_place).try_inverse()?;
        let across = by_place.transpose() * &slopes;
        let matrix = slopes.transpose() * &slopes - across.transpose() * &hold * &across;
        let gradient =
            slopes.transpose() * &off - across.transpose() * &hold * (by_place.transpose() * &off);
        let place = |i: usize| match i / PARAMETERS {
            k if k < seen => self.offsets[track[k].photo] + i % PARAMETERS,
            _ => self.len,
        };
        for r in 0..size {
            normal.gradient[place(r)] += weight * gradient[r];
            for c in 0..size {
                let (row, column) = (place(r), place(c));
                if row >= column {
                    normal.matrix[(row, column)] += weight * matrix[(r, c)];
                }
            }
        }
        Some(())
    }
}

impl LeastSquares for Joint {
    type State = State;

    fn normal(&self, state: &State) -> Option<Normal> {
        let mut normal = Normal::zero(self.len + 1);
        for (i, (view, scene)) in self.views.iter().zip(&state.scenes).enumerate() {
            let own = view.normal(scene)?;
            let (from, size) = (self.offsets[i], view.layout.len);
            normal.cost += own.cost;
            for r in 0..size {
                normal.gradient[from + r] += own.gradient[r];
                for c in 0..=r {
                    normal.matrix[(from + r, from + c)] += own.matrix[(r, c)];
                }
            }
        }
        if self.same_lens {
            for (scene, from) in state.scenes.iter().zip(&self.offsets).skip(1) {
                let (a, b) = (scene.camera.optics, state.scenes[0].camera.optics);
                let apart = [
                    (a.focal / b.focal).ln(),
                    a.center[0] - b.center[0],
                    a.center[1] - b.center[1],
                    a.k1 - b.k1,
                    a.k2 - b.k2,
                ];
                for (k, (apart, sd)) in apart.into_iter().zip(SAME_LENS_SD).enumerate() {
                    let mut slope = DVector::zeros(self.len + 1);
                    slope[from + 6 + k] = sd.recip();
                    slope[self.offsets[0] + 6 + k] = -sd.recip();
                    normal.add(apart / sd, &slope);
                }
            }
        }
        let sd = self.reference.sd.max(1e-3);
        let mut slope = DVector::zeros(self.len + 1);
        slope[self.len] = sd.recip();
        normal.add((state.lift - self.reference.value.0) / sd, &slope);
        for track in &self.tracks {
            self.add_track(state, track, &mut normal)?;
        }
        normal.cost.is_finite().then_some(normal)
    }

    fn moved(&self, state: &State, step: &DVector<f64>) -> State {
        let scenes = self.views.iter().zip(&state.scenes).zip(&self.offsets);
        State {
            scenes: scenes
                .map(|((view, scene), from)| {
                    let own = step.rows(*from, view.layout.len).into_owned();
                    scene.moved(&view.layout, &own)
                })
                .collect(),
            lift: state.lift + step[self.len],
        }
    }
}

/// At most so many tracks, evenly from the list.
fn spread_out(tracks: &[Track], most: usize) -> Vec<Track> {
    let every = tracks.len().div_ceil(most).max(1);
    tracks.iter().step_by(every).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Dice;
    use crate::survey::lens::Optics;
    use crate::survey::{Evidence, ImageSize, Lens};
    use nalgebra::{Rotation3, Vector3};

    /// A camera before the middle of a wall, leaning so far to one side.
    fn camera(turn: f64) -> Camera {
        let rotation = Rotation3::from_axis_angle(&Vector3::y_axis(), turn);
        Camera {
            translation: Vector3::new(0.0, 0.0, 620.0) - rotation * Vector3::new(150.0, 30.0, 0.0),
            rotation,
            anchor: [0.0, 0.0],
            optics: Optics {
                focal: 1500.0,
                center: [999.5, 749.5],
                k1: 0.0,
                k2: 0.0,
            },
        }
    }

    /// A card whose corners are seen to half a pixel, 0.76 mm before the wall.
    fn problem(camera: &Camera, dice: &mut Dice) -> WallProblem {
        let corners = [[0.0, 0.0], [85.6, 0.0], [85.6, 53.98], [0.0, 53.98]];
        let evidence = corners.map(|mm| {
            let px = camera.see_before(mm, 0.76).unwrap();
            Evidence::point(px.map(|c| c + 0.5 * dice.normal()), mm)
        });
        WallProblem {
            lens: Some(Lens {
                focal_px: 1500.0,
                focal_sd_px: 4.5,
                center_px: [999.5, 749.5],
                k1: 0.0,
                k2: 0.0,
                k_sd: 0.001,
            }),
            ..WallProblem::new(
                ImageSize {
                    width: 2000,
                    height: 1500,
                },
                evidence.to_vec(),
            )
        }
    }

    #[test]
    fn the_wall_around_a_card_makes_it_flat_where_corners_alone_do_not() {
        let mut dice = Dice::seeded(11);
        let true_cameras = [camera(0.16), camera(-0.16)];
        let none = Estimate::normal(Millimetres(0.0), 0.5);
        let (mut alone, mut together, mut held) = (0.0_f64, 0.0_f64, 0);
        for _ in 0..6 {
            let problems: Vec<WallProblem> =
                true_cameras.iter().map(|c| problem(c, &mut dice)).collect();
            let tracks: Vec<Track> = (0..120)
                .map(|_| {
                    let mm = [400.0 * dice.even() - 50.0, 300.0 * dice.even() - 120.0];
                    let see = |(photo, camera): (usize, &Camera)| Spotted {
                        photo,
                        px: camera
                            .see_before(mm, 0.0)
                            .unwrap()
                            .map(|c| c + 0.1 * dice.normal()),
                        sd: 0.15,
                    };
                    true_cameras.iter().enumerate().map(see).collect()
                })
                .collect();
            // What stands 20 mm before the wall at the far side, by its true pixels.
            let height = |cameras: &[Camera]| {
                let at = [290.0, 30.0];
                let px = true_cameras
                    .each_ref()
                    .map(|c| c.see_before(at, 20.0).unwrap());
                let off = |h: f64| {
                    let [a, b] = [0, 1].map(|i| cameras[i].unsee_before(px[i], h).unwrap());
                    a[0] - b[0]
                };
                // The height at which both see one place: the secant's.
                let (low, high) = (off(0.0), off(40.0));
                40.0 * low / (low - high)
            };
            let lone = bundle(&problems, &[], none).unwrap();
            alone = alone.max((height(&lone.cameras) - 20.0).abs());
            let found = bundle(&problems, &tracks, none).unwrap();
            let error = (height(&found.cameras) - 20.0).abs();
            together = together.max(error);
            let draws = found.draws(60, &mut || dice.normal());
            let square: f64 = draws.iter().map(|d| (height(d) - 20.0).powi(2)).sum();
            held += usize::from(error < 2.5 * (square / 60.0).sqrt());
            assert!((found.lift - 0.76).abs() < 1.2, "{}", found.lift);
        }
        assert!(
            together < 0.4 && alone > 4.0 * together,
            "{alone} {together}"
        );
        assert!(held >= 5, "{held}");
    }
}
