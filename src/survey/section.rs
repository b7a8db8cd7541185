//! A section that was photographed: a contour gauge, or a line on a sheet, beside the reference.

use super::camera::Camera;
use super::footprint::stretch;
use super::{Mm, Px, SurveyError, Wall};
use crate::quantity::Millimetres;
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A point that lies this near to where it would be allowed is where it may be: three standard
/// deviations of a mark, and no less than this many millimetres, a pin of a contour gauge (from
/// memory).
const ALLOWED: (f64, f64) = (3.0, 1.0);
/// Points of a steep edge lie at least so far apart along the section, in millimetres.
const APART: f64 = 0.01;

/// A section by the edge that was tapped.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Section {
    /// Each point: how far along the straight line from the first to the last, and how high over
    /// it, in millimetres.
    pub points: Vec<[f64; 2]>,
    /// One standard deviation of a height between the ends, by marks, reference and camera; what
    /// the gauge itself does not keep comes on top.
    pub sd: Millimetres,
}

impl Section {
    /// How long it is from end to end.
    pub fn length(&self) -> Millimetres {
        Millimetres(self.points.last().map_or(0.0, |point| point[0]))
    }

    /// Its highest point.
    pub fn highest(&self) -> Millimetres {
        Millimetres(self.points.iter().fold(0.0, |most, p| p[1].max(most)))
    }

    /// The same section, counted from its other end.
    #[must_use]
    pub fn turned(&self) -> Self {
        let long = self.length().0;
        let points = self.points.iter().rev();
        Self {
            points: points.map(|[x, y]| [long - x, *y]).collect(),
            ..self.clone()
        }
    }
}

/// Measures an edge that was tapped from one end to the other on a photo of it. The ends are where
/// it met the wall: heights count from the straight line between them, to the side on which the
/// edge lies.
///
/// `plane` is the plane of the edge, `sd_px` the spread of each point along x and along y, in
/// pixels.
///
/// # Errors
///
/// Where the edge is no section: too few points, one that falls behind the line between the ends
/// or doubles back, or a plane that the reference leaves open.
///
/// ```
/// use peelcast::survey::{Evidence, ImageSize, WallProblem, fit_wall, section};
/// # let point = Evidence::point;
/// let size = ImageSize { width: 1600, height: 1200 };
/// let table = fit_wall(&WallProblem::new(size, vec![
///     point([400.0, 300.0], [0.0, 0.0]),
///     point([800.0, 300.0], [200.0, 0.0]),
///     point([800.0, 600.0], [200.0, 150.0]),
///     point([400.0, 600.0], [0.0, 150.0]),
/// ]))?;
/// // Two pixels are a millimetre: a roof of 100 mm, 30 mm high.
/// let found = section(&table, &[[500.0, 800.0], [600.0, 740.0], [700.0, 800.0]], 0.5)?;
/// assert!((found.length().0 - 100.0).abs() < 1e-3);
/// assert!((found.highest().0 - 30.0).abs() < 1e-3);
/// assert!(found.sd.0 > 0.2 && found.sd.0 < 1.0);
/// # Ok::<(), peelcast::survey::SurveyError>(())
/// ```
pub fn section(plane: &Wall, places: &[Px], sd_px: f64) -> Result<Section, SurveyError> {
    let fail = |said: String| Err(SurveyError::at("section", said));
    if places.len() < 3 {
        return fail(
            tr("Tap along the edge from one end to the other, three points at least.").into(),
        );
    }
    let [height, height_sd] = plane.height();
    let Some(places_mm) = laid(plane.camera(), places, height) else {
        return fail(tr("A point can't lie on the table. Take it out and tap it again.").into());
    };
    let here = over(&places_mm);
    let long = here.last().map_or(0.0, |end| end[0]);
    let side = side(&here);
    let mm_per_px = places.iter().map(|px| norm(stretch(plane, *px)[0]));
    let mm_per_px = mm_per_px.fold(0.0, f64::max);
    let allowed = (ALLOWED.0 * sd_px * mm_per_px).max(ALLOWED.1);
    let mut points: Vec<[f64; 2]> = Vec::with_capacity(here.len());
    for (n, [along, over]) in here.iter().enumerate() {
        let before = points.last().map_or(-APART, |before| before[0]);
        let n = n + 1;
        if *along < before - allowed || n == places.len() && long <= allowed {
            return fail(say!(
                "The line doubles back at point {n}. A gauge’s edge only goes on from end to end: \
                 move the point or take it out.",
                n
            ));
        }
        if side * over < -allowed {
            return fail(say!(
                "Point {n} lies behind the straight line between the two ends. Begin and end where \
                 the gauge met the wall, and tap the edge between them.",
                n
            ));
        }
        points.push([along.max(before + APART), (side * over).max(0.0)]);
    }
    let open = || {
        SurveyError::at(
            "evidence",
            tr(
                "The reference leaves the table’s tilt so open that no range can be given. Use a \
             larger reference, or mark it closer.",
            ),
        )
    };
    let of_pose = pose_spread(plane, places, &here, [height, height_sd]).ok_or_else(open)?;
    let of_marks = mark_spread(plane, places, &here, sd_px);
    Ok(Section {
        points,
        sd: Millimetres((of_pose + of_marks).sqrt()),
    })
}

fn laid(camera: &Camera, places: &[Px], height: f64) -> Option<Vec<Mm>> {
    let place = |px: &Px| camera.unsee_before(*px, height);
    places.iter().map(place).collect()
}

fn norm(a: Mm) -> f64 {
    a[0].hypot(a[1])
}

/// Right and up over the line from the first place to the last, as seen with that line level.
fn ways(places: &[Mm]) -> [Mm; 2] {
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        return [[1.0, 0.0], [0.0, -1.0]];
    };
    let way = [last[0] - first[0], last[1] - first[1]];
    let [x, y] = way.map(|w| w / norm(way).max(f64::EPSILON));
    [[x, y], [y, -x]]
}

/// Along and over the line from the first place to the last.
fn over(places: &[Mm]) -> Vec<[f64; 2]> {
    let ways = ways(places);
    let first = places.first().copied().unwrap_or_default();
    let of = |place: &Mm| {
        let from = [place[0] - first[0], place[1] - first[1]];
        ways.map(|way| from[0] * way[0] + from[1] * way[1])
    };
    places.iter().map(of).collect()
}

/// 1 where the edge lies up from its line, -1 where it lies down: by the surface between them.
fn side(over: &[[f64; 2]]) -> f64 {
    let strip = |pair: &[[f64; 2]]| (pair[1][0] - pair[0][0]) * (pair[0][1] + pair[1][1]);
    let surface: f64 = over.windows(2).map(strip).sum();
    if surface < 0.0 { -1.0 } else { 1.0 }
}

/// The mean of `one` over all points but the ends, which are the wall by what is meant.
fn mean(count: usize, one: impl Fn(usize) -> f64) -> f64 {
    let between = 1..count - 1;
    let n = between.len() as f64;
    between.map(one).sum::<f64>() / n
}

/// The mean variance of a height from what is not known of camera, lens and the plane's height,
/// as `footprint` has it for its sizes.
fn pose_spread(
    plane: &Wall,
    places: &[Px],
    here: &[[f64; 2]],
    [height, height_sd]: [f64; 2],
) -> Option<f64> {
    let by = |camera: &Camera, height: f64| Some(over(&laid(camera, places, height)?));
    let count = here.len();
    let near = [1.0, 0.1, 0.01].into_iter().find_map(|reach| {
        let pairs = plane.alternatives(reach);
        let mut sum = 0.0;
        for pair in &pairs {
            let (a, b) = (by(&pair[0], height)?, by(&pair[1], height)?);
            sum += mean(count, |n| {
                let (slope, bent) = (
                    (a[n][1] - b[n][1]) / (2.0 * reach),
                    (a[n][1] + b[n][1]) / 2.0 - here[n][1],
                );
                slope.powi(2) + 3.0 * (bent / (reach * reach)).powi(2)
            });
        }
        (!pairs.is_empty() && sum.is_finite()).then_some(sum)
    })?;
    let off = |other: &[[f64; 2]]| mean(count, |n| (other[n][1] - here[n][1]).powi(2));
    let nearer = by(plane.camera(), height + height_sd)?;
    let rivals = plane.rivals().iter().filter_map(|(camera, likely)| {
        let other = by(camera, height)?;
        Some(likely * off(&other))
    });
    Some(near + off(&nearer) + rivals.sum::<f64>())
}

/// The mean variance of a height from the marks: the point's own, and the ends' that make the line.
fn mark_spread(plane: &Wall, places: &[Px], here: &[[f64; 2]], sd_px: f64) -> f64 {
    let Some(places_mm) = laid(plane.camera(), places, plane.height()[0]) else {
        return 0.0;
    };
    let [_, up] = ways(&places_mm);
    let of = |px: Px| -> f64 {
        let steps = stretch(plane, px).map(|step| step[0] * up[0] + step[1] * up[1]);
        steps.iter().map(|step| (sd_px * step).powi(2)).sum()
    };
    let last = places.len() - 1;
    let long = here[last][0].max(f64::EPSILON);
    let ends = [of(places[0]), of(places[last])];
    mean(places.len(), |n| {
        let share = here[n][0] / long;
        of(places[n]) + (1.0 - share).powi(2) * ends[0] + share.powi(2) * ends[1]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Evidence, ImageSize, WallProblem, fit_wall};

    /// Two pixels a millimetre, seen square on.
    fn table() -> Wall {
        let size = ImageSize {
            width: 1600,
            height: 1200,
        };
        let corner = |x: f64, y: f64| Evidence::point([400.0 + 2.0 * x, 300.0 + 2.0 * y], [x, y]);
        let sheet = [[0.0, 0.0], [200.0, 0.0], [200.0, 150.0], [0.0, 150.0]];
        let sheet = sheet.map(|[x, y]| corner(x, y)).to_vec();
        fit_wall(&WallProblem::new(size, sheet)).unwrap()
    }

    fn by(places: &[Mm]) -> Result<Section, String> {
        let px: Vec<Px> = places
            .iter()
            .map(|[x, y]| [400.0 + 2.0 * x, 700.0 - 2.0 * y])
            .collect();
        section(&table(), &px, 0.5).map_err(|why| why.to_string())
    }

    #[test]
    fn either_end_may_come_first_and_either_side_may_be_up() {
        let edge = [[10.0, 0.0], [30.0, 12.0], [50.0, 20.0], [110.0, 0.0]];
        let found = by(&edge).unwrap();
        for (point, [x, y]) in found.points.iter().zip(edge) {
            assert!((point[0] - (x - 10.0)).abs() < 1e-3 && (point[1] - y).abs() < 1e-3);
        }
        let back: Vec<Mm> = edge.iter().rev().copied().collect();
        let same = |a: &Section, b: &Section| {
            let mut pairs = a.points.iter().zip(&b.points);
            pairs.all(|(a, b)| (a[0] - b[0]).abs() < 1e-3 && (a[1] - b[1]).abs() < 1e-3)
        };
        assert!(same(&by(&back).unwrap(), &found.turned()));
        // The gauge lies with its points towards the reader.
        let down = edge.map(|[x, y]| [x, -y]);
        assert!(same(&by(&down).unwrap(), &found));
    }

    #[test]
    fn a_steep_edge_and_a_trembling_thumb_are_forgiven() {
        let steep = [
            [0.0, 0.0],
            [20.0, -0.6],
            [40.0, 0.3],
            [40.0, 15.0],
            [39.5, 18.0],
            [80.0, 18.0],
            [100.0, 0.0],
        ];
        let found = by(&steep).unwrap();
        assert!(found.points.windows(2).all(|pair| pair[0][0] < pair[1][0]));
        assert!(found.points.iter().all(|point| point[1] >= 0.0));
        assert!((found.length().0 - 100.0).abs() < 1e-3);
    }

    #[test]
    fn what_is_no_section_says_at_which_point() {
        let why = |places: &[Mm]| by(places).unwrap_err();
        assert!(why(&[[0.0, 0.0], [9.0, 0.0]]).starts_with("Tap along the edge"));
        let behind = [[0.0, 0.0], [20.0, 20.0], [60.0, -6.0], [100.0, 0.0]];
        assert!(
            why(&behind).starts_with("Point 3 lies behind"),
            "{}",
            why(&behind)
        );
        let back = [[0.0, 0.0], [40.0, 20.0], [30.0, 25.0], [100.0, 0.0]];
        assert!(why(&back).contains("doubles back at point 3"));
        let beyond = [[0.0, 0.0], [40.0, 20.0], [110.0, 20.0], [100.0, 0.0]];
        assert!(why(&beyond).contains("doubles back at point 4"));
        let round = [[0.0, 0.0], [40.0, 20.0], [60.0, 10.0], [0.0, 0.0]];
        assert!(why(&round).contains("doubles back"), "{}", why(&round));
    }
}
