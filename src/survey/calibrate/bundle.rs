//! The lens and the pose of every view, adjusted together so that the corners' distances from
//! where they are seen are least.

use super::grid::GridCorner;
use super::zhang;
use crate::survey::camera::{Camera, PARAMETERS};
use crate::survey::least_squares::{LeastSquares, Normal, solve};
use crate::survey::lens::{LensPrior, Optics};
use crate::survey::{Homography, ImageSize, Mm};
use nalgebra::{DVector, SMatrix, SVector, Vector2};

/// The numbers that all views share: log focal length, centre x, centre y, k1, k2, and the log of
/// how much longer than wide the squares were printed.
pub(super) const SHARED: usize = 6;
/// The numbers of one view's pose.
pub(super) const POSE: usize = 6;
const BLOCK: usize = SHARED + POSE;

/// What the views say of the shared numbers: the inverse of their covariance.
pub(super) type Information = SMatrix<f64, SHARED, SHARED>;
type Block = SMatrix<f64, BLOCK, BLOCK>;

/// The principal point is within so much of the picture's middle, as a share of its longer side
/// (from memory): it counts only where the views hardly tell.
const CENTER_SD_SHARE: f64 = 0.05;
/// Lenses bend less than this, straightened or not (from memory): as above.
const BEND_SD: f64 = 1.0;
/// Printers draw out one way by about a half of a hundredth (from memory).
const STRETCH_SD: f64 = 0.005;

/// A corner further off than this many spreads pulls no harder than one that far off (P. Huber,
/// Ann. Math. Statist. 35(1), 1964).
const SLIP: f64 = 3.0;

/// Where the search stands.
#[derive(Clone, Debug)]
pub(super) struct Setup {
    /// One a view; all have the same lens. A square's side is the unit of length.
    pub(super) cameras: Vec<Camera>,
    /// The log of how much longer than wide the squares are.
    pub(super) stretch: f64,
}

impl Setup {
    pub(super) fn optics(&self) -> Optics {
        self.cameras[0].optics
    }

    /// The same without one view.
    pub(super) fn without(&self, view: usize) -> Self {
        let mut fewer = self.clone();
        fewer.cameras.remove(view);
        fewer
    }
}

/// The sum of squares to be made least.
#[derive(Clone)]
pub(super) struct Bundle {
    /// The corners of each view.
    pub(super) views: Vec<Vec<GridCorner>>,
    /// Of the pictures.
    pub(super) size: ImageSize,
    /// The middle of the grid, in squares.
    pub(super) anchor: Mm,
    /// Standard deviation of a corner of each view along x and along y, in pixels.
    pub(super) sd: Vec<f64>,
}

/// A corner as the setup has it.
struct Miss {
    /// From where it is seen, in pixels.
    off: Vector2<f64>,
    slopes: [SVector<f64, BLOCK>; 2],
}

impl Bundle {
    pub(super) fn new(views: Vec<Vec<GridCorner>>, size: ImageSize) -> Self {
        let corners = views.iter().flatten();
        let (columns, rows) = corners.fold((0, 0), |(c, r), corner| {
            (c.max(corner.column), r.max(corner.row))
        });
        Self {
            anchor: [f64::from(columns) / 2.0, f64::from(rows) / 2.0],
            sd: vec![1.0; views.len()],
            views,
            size,
        }
    }

    /// The closed form: maps of all views, the focal length that they show, the poses.
    pub(super) fn start(&self) -> Option<Setup> {
        let (longer, middle) = (self.size.longer(), self.size.middle());
        let maps = self.views.iter().filter_map(|corners| {
            map(self.anchor, corners, |px| {
                Some([0, 1].map(|k| (px[k] - middle[k]) / longer))
            })
        });
        let phone = LensPrior::phone(self.size).mean;
        let focal = zhang::focal(&maps.collect::<Vec<_>>())
            .map(|share| share * longer)
            .filter(|focal| (0.2 * longer..20.0 * longer).contains(focal));
        let optics = Optics {
            focal: focal.unwrap_or(phone.focal),
            ..phone
        };
        let cameras = self.views.iter().map(|corners| {
            let map = map(self.anchor, corners, |px| optics.unsee(px))?;
            Camera::from_homography(&map, self.anchor, optics)
        });
        Some(Setup {
            cameras: cameras.collect::<Option<_>>()?,
            stretch: 0.0,
        })
    }

    fn miss(&self, corner: &GridCorner, camera: &Camera, stretch: f64) -> Option<Miss> {
        let down = (f64::from(corner.row) - self.anchor[1]) * stretch.exp();
        let seen =
            camera.see_with_slopes([f64::from(corner.column), self.anchor[1] + down], 0.0)?;
        let slopes = [0, 1].map(|axis| {
            let of_camera = seen.slopes[axis];
            let mut slope = SVector::<f64, BLOCK>::zeros();
            slope
                .fixed_rows_mut::<5>(0)
                .copy_from(&of_camera.fixed_rows::<5>(POSE));
            slope[5] = seen.on_wall[axis][1] * down;
            slope
                .fixed_rows_mut::<POSE>(SHARED)
                .copy_from(&of_camera.fixed_rows::<POSE>(0));
            slope
        });
        Some(Miss {
            off: Vector2::new(seen.px[0] - corner.px[0], seen.px[1] - corner.px[1]),
            slopes,
        })
    }

    /// How far off each corner of a view is seen, in pixels.
    pub(super) fn misses(&self, setup: &Setup, view: usize) -> Option<Vec<Vector2<f64>>> {
        let corners = self.views[view].iter();
        corners
            .map(|corner| Some(self.miss(corner, &setup.cameras[view], setup.stretch)?.off))
            .collect()
    }

    /// One view's share of the sum of squares, of the normal matrix and of the gradient.
    fn block(&self, setup: &Setup, view: usize) -> Option<(f64, Block, SVector<f64, BLOCK>)> {
        let sd = self.sd[view];
        let mut cost = 0.0;
        let mut gradient = SVector::zeros();
        // The lower half alone, in plain numbers: nine tenths of the time are spent here.
        let mut half = [[0.0; BLOCK]; BLOCK];
        for corner in &self.views[view] {
            let Miss { off, slopes } = self.miss(corner, &setup.cameras[view], setup.stretch)?;
            let far = off.norm() / sd;
            let weight = if far > SLIP { SLIP / far } else { 1.0 };
            cost += weight * (2.0 - weight) * far * far;
            let weight = weight / (sd * sd);
            for (off, slope) in off.iter().zip(&slopes) {
                gradient += slope * (weight * off);
                let slope: &[f64; BLOCK] = slope.as_ref();
                for (i, row) in half.iter_mut().enumerate() {
                    let own = weight * slope[i];
                    for (sum, other) in row[..=i].iter_mut().zip(slope) {
                        *sum += own * other;
                    }
                }
            }
        }
        let matrix = Block::from_fn(|r, c| half[r.max(c)][r.min(c)]);
        Some((cost, matrix, gradient))
    }

    /// What is known of the shared numbers beforehand: how far the setup is from it, and its
    /// spread.
    fn before(&self, setup: &Setup) -> [(usize, f64, f64); 5] {
        let (optics, middle) = (setup.optics(), self.size.middle());
        let center_sd = CENTER_SD_SHARE * self.size.longer();
        [
            (1, optics.center[0] - middle[0], center_sd),
            (2, optics.center[1] - middle[1], center_sd),
            (3, optics.k1, BEND_SD),
            (4, optics.k2, BEND_SD),
            (5, setup.stretch, STRETCH_SD),
        ]
    }

    /// What all views together say of the shared numbers, whatever the poses.
    pub(super) fn information(&self, setup: &Setup) -> Option<Information> {
        let mut all = Information::zeros();
        for (i, _, sd) in self.before(setup) {
            all[(i, i)] += (sd * sd).recip();
        }
        for view in 0..self.views.len() {
            all += about_shared(&self.block(setup, view)?.1)?;
        }
        Some(all)
    }

    /// Of each view, near the best setup: by how much the sum of squares would fall without it,
    /// and the sum. The others' shared numbers move by what it pulled.
    pub(super) fn falls(&self, setup: &Setup) -> Option<(Vec<f64>, f64)> {
        let information = self.information(setup)?;
        let mut sum = 0.0;
        let fall = |view: usize| {
            let (cost, matrix, gradient) = self.block(setup, view)?;
            sum += cost;
            let others = information - about_shared(&matrix)?;
            let pull = gradient.fixed_rows::<SHARED>(0).into_owned();
            Some(cost + pull.dot(&others.cholesky()?.solve(&pull)))
        };
        let falls = (0..self.views.len()).map(fall).collect::<Option<_>>()?;
        Some((falls, sum))
    }

    /// What one more view from a camera would say, were these corners seen in it.
    pub(super) fn would_say(
        &self,
        camera: &Camera,
        stretch: f64,
        corners: &[GridCorner],
    ) -> Option<Information> {
        let sd = self.sd.iter().sum::<f64>() / self.sd.len() as f64;
        let mut matrix = Block::zeros();
        for corner in corners {
            for slope in self.miss(corner, camera, stretch)?.slopes {
                matrix += slope * slope.transpose() / (sd * sd);
            }
        }
        about_shared(&matrix)
    }

    /// The best setup from a start.
    pub(super) fn solved(&self, start: Setup) -> Option<Setup> {
        let end = solve(self, start);
        end.normal.map(|_| end.state)
    }

    /// The same without one view.
    pub(super) fn without(&self, view: usize) -> Self {
        let mut fewer = self.clone();
        fewer.views.remove(view);
        fewer.sd.remove(view);
        fewer
    }
}

/// What a view says of the shared numbers: its pose is eliminated (the Schur complement).
fn about_shared(block: &Block) -> Option<Information> {
    let shared = block.fixed_view::<SHARED, SHARED>(0, 0);
    let both = block.fixed_view::<POSE, SHARED>(SHARED, 0);
    let pose = block.fixed_view::<POSE, POSE>(SHARED, SHARED).into_owned();
    Some(shared - both.transpose() * pose.cholesky()?.solve(&both))
}

/// The map from the grid, about its middle, to what the pixels see.
fn map(
    anchor: Mm,
    corners: &[GridCorner],
    unsee: impl Fn([f64; 2]) -> Option<[f64; 2]>,
) -> Option<Homography> {
    let from: Vec<[f64; 2]> = corners
        .iter()
        .map(|c| {
            [
                f64::from(c.column) - anchor[0],
                f64::from(c.row) - anchor[1],
            ]
        })
        .collect();
    let to: Vec<[f64; 2]> = corners.iter().map(|c| unsee(c.px)).collect::<Option<_>>()?;
    Homography::fit(&from, &to).ok()
}

impl LeastSquares for Bundle {
    type State = Setup;

    fn normal(&self, setup: &Setup) -> Option<Normal> {
        let mut normal = Normal::zero(SHARED + POSE * self.views.len());
        for view in 0..self.views.len() {
            let at = SHARED + POSE * view;
            let (cost, matrix, gradient) = self.block(setup, view)?;
            normal.cost += cost;
            let mut shared = normal.matrix.fixed_view_mut::<SHARED, SHARED>(0, 0);
            shared += matrix.fixed_view::<SHARED, SHARED>(0, 0);
            let mut both = normal.matrix.fixed_view_mut::<POSE, SHARED>(at, 0);
            both.copy_from(&matrix.fixed_view::<POSE, SHARED>(SHARED, 0));
            let mut pose = normal.matrix.fixed_view_mut::<POSE, POSE>(at, at);
            pose.copy_from(&matrix.fixed_view::<POSE, POSE>(SHARED, SHARED));
            let mut shared = normal.gradient.fixed_rows_mut::<SHARED>(0);
            shared += gradient.fixed_rows::<SHARED>(0);
            let mut pose = normal.gradient.fixed_rows_mut::<POSE>(at);
            pose.copy_from(&gradient.fixed_rows::<POSE>(SHARED));
        }
        for (i, off, sd) in self.before(setup) {
            normal.cost += (off / sd).powi(2);
            normal.gradient[i] += off / (sd * sd);
            normal.matrix[(i, i)] += (sd * sd).recip();
        }
        normal.cost.is_finite().then_some(normal)
    }

    fn moved(&self, setup: &Setup, step: &DVector<f64>) -> Setup {
        let cameras = setup.cameras.iter().enumerate().map(|(view, camera)| {
            let mut own = SVector::<f64, PARAMETERS>::zeros();
            own.fixed_rows_mut::<POSE>(0)
                .copy_from(&step.fixed_rows::<POSE>(SHARED + POSE * view));
            own.fixed_rows_mut::<5>(POSE)
                .copy_from(&step.fixed_rows::<5>(0));
            camera.moved(&own)
        });
        Setup {
            cameras: cameras.collect(),
            stretch: setup.stretch + step[5],
        }
    }
}
