//! The footprint: the outline's true area and edge on the wall, with their ranges.

use super::camera::Camera;
use super::edge_error::{Bulge, EdgeError};
use super::gather::FARTHEST_MM;
use super::{Mm, Px, SurveyError, Wall, advice, polygon};
use crate::quantity::{Degrees, Estimate, Millimetres, SquareMillimetres};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What an outline covers on the wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Footprint {
    /// The area within the outline, less the holes.
    pub area: Estimate<SquareMillimetres>,
    /// The length of all edges: the outline's and the holes'.
    pub perimeter: Estimate<Millimetres>,
    /// The angle between the camera's axis and the wall's normal.
    pub tilt: Estimate<Degrees>,
    /// The outline on the wall, in the order of its points.
    pub outline_mm: Vec<Mm>,
    /// The holes on the wall.
    pub holes_mm: Vec<Vec<Mm>>,
    /// What stands beside it and was traced too, on the wall.
    pub neighbours_mm: Vec<Vec<Mm>>,
    /// What the user should know, each a sentence or two.
    pub notes: Vec<String>,
    /// Variances that further photos of the same piece, marked by the same person, would share.
    pub(super) in_common: Size,
}

/// Measures an outline traced on the photo, with holes if it has any.
///
/// `traced` says how well the outline follows the ornament's edge. Where the ornament curves
/// between the points, what lies there beyond the straight pieces is added to area and perimeter.
pub fn footprint(
    wall: &Wall,
    outline: &[Px],
    holes: &[Vec<Px>],
    traced: EdgeError,
) -> Result<Footprint, SurveyError> {
    let fields = rings(outline, holes);
    for (field, ring) in &fields {
        for (i, px) in ring.iter().enumerate() {
            wall.image_size().check(*px, &format!("{field}[{i}]"))?;
        }
    }
    polygon::check(outline, holes)?;
    traced.check()?;
    let mut on_wall = Vec::with_capacity(fields.len());
    for (field, ring) in &fields {
        let mut places = Vec::with_capacity(ring.len());
        for (i, px) in ring.iter().enumerate() {
            let place = wall.to_wall(*px);
            let near = place.filter(|p| p.iter().all(|x| x.abs() <= FARTHEST_MM));
            places.push(near.ok_or_else(|| {
                SurveyError::at(
                    format!("{field}[{i}]"),
                    say!(
                        "Point {i} can't lie on the wall: the picture looks past the wall there. \
                         Check the point and the reference.",
                        i = i + 1
                    ),
                )
            })?);
        }
        on_wall.push(places);
    }
    let straight = Size::of(&on_wall);
    if straight.area <= 0.0 {
        return Err(SurveyError::at(
            "outline_px",
            tr("The outline covers no area. Move its points apart."),
        ));
    }
    let set = traced.variance(wall, &fields, &on_wall);
    let bulge = Bulge::of_all(&on_wall);
    let spread = pose_spread(wall, &fields)
        .filter(|s| s.area.is_finite() && s.edge.is_finite())
        .ok_or_else(|| {
            SurveyError::at(
                "evidence",
                tr("The reference leaves the wall's tilt so open that no range can be given. Use a \
                 larger reference, or mark it closer."),
            )
        })?
        .plus(&set.apart)
        .plus(&set.in_common);
    let (size, spread) = if traced.curved {
        (straight.plus(&bulge.likely), spread.plus(&bulge.variance))
    } else {
        (straight, spread)
    };
    let area = Estimate::positive(SquareMillimetres(size.area), spread.area.sqrt());
    let perimeter = Estimate::positive(Millimetres(size.edge), spread.edge.sqrt());
    let tilt = wall.tilt();
    let notes = advice::notes(wall, &area, &tilt, &fields, bulge.likely.area);
    let of_height = height_spread(wall, &fields).unwrap_or_default();
    let mut on_wall = on_wall.into_iter();
    Ok(Footprint {
        area,
        perimeter,
        tilt,
        outline_mm: on_wall.next().unwrap_or_default(),
        holes_mm: on_wall.collect(),
        neighbours_mm: Vec::new(),
        notes,
        in_common: set.in_common.plus(&of_height),
    })
}

/// Rings beside an outline are no holes: its neighbours on the wall. Those that cross it stay among
/// the holes, to be refused there.
pub fn holes_and_neighbours(outline: &[Px], rings: &[Vec<Px>]) -> (Vec<Vec<Px>>, Vec<Vec<Px>>) {
    let beside = |ring: &Vec<Px>| {
        ring.first()
            .is_some_and(|px| !polygon::contains(outline, *px))
            && !polygon::touching(ring, outline)
            && !polygon::contains(ring, outline[0])
    };
    rings
        .iter()
        .cloned()
        .partition(|ring| outline.is_empty() || !beside(ring))
}

/// All rings with their paths in the request, the outline first.
fn rings<'a>(outline: &'a [Px], holes: &'a [Vec<Px>]) -> Vec<(String, &'a [Px])> {
    let holes = holes
        .iter()
        .enumerate()
        .map(|(h, hole)| (format!("holes_px[{h}]"), hole.as_slice()));
    std::iter::once(("outline_px".to_owned(), outline))
        .chain(holes)
        .collect()
}

/// Area and edge length, or their variances, or parts of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Size {
    pub(super) area: f64,
    pub(super) edge: f64,
}

impl Size {
    /// Of an outline (first) and its holes.
    pub(super) fn of(rings: &[Vec<Mm>]) -> Self {
        let mut size = Self::default();
        for (i, ring) in rings.iter().enumerate() {
            let area = polygon::signed_area(ring).abs();
            size.area += if i == 0 { area } else { -area };
            size.edge += polygon::edge_length(ring);
        }
        size
    }

    pub(super) fn plus(&self, other: &Self) -> Self {
        Self {
            area: self.area + other.area,
            edge: self.edge + other.edge,
        }
    }
}

/// Variances from what is not known of camera and lens: the outline is measured with walls one
/// standard deviation to either side, which also feels how strongly the map is bent there. A
/// smaller reach serves where such a wall would no longer show the whole outline.
pub(super) fn pose_spread(wall: &Wall, rings: &[(String, &[Px])]) -> Option<Size> {
    let [height, _] = wall.height();
    let here = measure(wall.camera(), rings, height)?;
    let near = [1.0, 0.1, 0.01]
        .into_iter()
        .find_map(|reach| spread_at(wall, rings, here, reach))?;
    // The mean square about this measure, over all ways that the wall may be turned.
    let near = near.plus(&height_spread(wall, rings)?);
    let rivals = wall.rivals().iter();
    Some(rivals.fold(near, |sum, (camera, likely)| {
        let other = measure(camera, rings, height).unwrap_or(here);
        let square = |a: f64, b: f64| likely * (a - b).powi(2);
        sum.plus(&Size {
            area: square(other.area, here.area),
            edge: square(other.edge, here.edge),
        })
    }))
}

/// Variances from what is not known of the traced plane's height.
fn height_spread(wall: &Wall, rings: &[(String, &[Px])]) -> Option<Size> {
    let [height, sd] = wall.height();
    let here = measure(wall.camera(), rings, height)?;
    let nearer = measure(wall.camera(), rings, height + sd)?;
    Some(Size {
        area: (nearer.area - here.area).powi(2),
        edge: (nearer.edge - here.edge).powi(2),
    })
}

fn spread_at(wall: &Wall, rings: &[(String, &[Px])], here: Size, reach: f64) -> Option<Size> {
    let height = wall.height()[0];
    let pairs = wall.alternatives(reach);
    if pairs.is_empty() {
        return None;
    }
    let mut sum = Size::default();
    for pair in &pairs {
        let [a, b] = [
            measure(&pair[0], rings, height)?,
            measure(&pair[1], rings, height)?,
        ];
        // A map bent by `q` a square spread adds 3 q² to the mean square about `here`.
        let part = |a: f64, b: f64, here: f64| {
            let (slope, bent) = ((a - b) / (2.0 * reach), (a + b) / 2.0 - here);
            slope.powi(2) + 3.0 * (bent / (reach * reach)).powi(2)
        };
        sum.area += part(a.area, b.area, here.area);
        sum.edge += part(a.edge, b.edge, here.edge);
    }
    Some(sum)
}

fn measure(camera: &Camera, rings: &[(String, &[Px])], height: f64) -> Option<Size> {
    let mut on_wall = Vec::with_capacity(rings.len());
    for (_, ring) in rings {
        on_wall.push(
            ring.iter()
                .map(|px| camera.unsee_before(*px, height))
                .collect::<Option<Vec<Mm>>>()?,
        );
    }
    Some(Size::of(&on_wall))
}

/// By how much the place on the wall moves as the pixel moves right and down; nothing where the
/// wall ends beside the pixel.
pub(super) fn stretch(wall: &Wall, px: Px) -> [Mm; 2] {
    const STEP: f64 = 0.01;
    let along = |dx: f64, dy: f64| {
        let ahead = wall.to_wall([px[0] + dx * STEP, px[1] + dy * STEP]);
        let behind = wall.to_wall([px[0] - dx * STEP, px[1] - dy * STEP]);
        match (ahead, behind) {
            (Some(a), Some(b)) => [(a[0] - b[0]) / (2.0 * STEP), (a[1] - b[1]) / (2.0 * STEP)],
            _ => [0.0, 0.0],
        }
    };
    [along(1.0, 0.0), along(0.0, 1.0)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Evidence, ImageSize, WallProblem, fit_wall};

    /// Square on, half a millimetre a pixel.
    fn wall() -> Wall {
        let point = |px: Px| Evidence::point(px, [px[0] / 2.0, px[1] / 2.0]);
        let size = ImageSize {
            width: 1600,
            height: 1200,
        };
        let corners = [
            [200.0, 200.0],
            [1000.0, 200.0],
            [1000.0, 900.0],
            [200.0, 900.0],
        ];
        fit_wall(&WallProblem::new(size, corners.map(point).to_vec())).unwrap()
    }

    fn round(n: usize, radius: f64) -> Vec<Px> {
        (0..n)
            .map(|i| {
                let a = i as f64 / n as f64 * std::f64::consts::TAU;
                [600.0 + radius * a.cos(), 600.0 + radius * a.sin()]
            })
            .collect()
    }

    #[test]
    fn holes_are_taken_out_of_the_area_and_added_to_the_edge() {
        let outline = [
            [300.0, 300.0],
            [900.0, 300.0],
            [900.0, 800.0],
            [300.0, 800.0],
        ];
        let hole = vec![
            [400.0, 400.0],
            [500.0, 400.0],
            [500.0, 500.0],
            [400.0, 500.0],
        ];
        let f = footprint(&wall(), &outline, &[hole], EdgeError::points(0.5)).unwrap();
        assert!((f.area.value.0 - (300.0 * 250.0 - 2500.0)).abs() < 1e-6);
        assert!((f.perimeter.value.0 - (1100.0 + 200.0)).abs() < 1e-9);
        assert!(f.area.low95 < f.area.value && f.area.value < f.area.high95);
        assert!(
            f.tilt.value.0 < 1e-6 && f.tilt.low95.0 == 0.0,
            "{:?}",
            f.tilt
        );
    }

    #[test]
    fn tracing_alone_spreads_a_square_by_the_rule_of_each_error() {
        // 200 mm on each side, half a millimetre a pixel.
        let outline = [
            [300.0, 300.0],
            [700.0, 300.0],
            [700.0, 700.0],
            [300.0, 700.0],
        ];
        let wall = wall();
        let rings = rings(&outline, &[]);
        let places = vec![outline.map(|p| wall.to_wall(p).unwrap()).to_vec()];
        let sds = |traced: EdgeError| {
            let set = traced.variance(&wall, &rings, &places);
            let variance = set.apart.plus(&set.in_common);
            [variance.area.sqrt(), variance.edge.sqrt()]
        };
        let near = |found: [f64; 2], wanted: [f64; 2]| {
            let close = |i: usize| (found[i] / wanted[i] - 1.0).abs() < 0.01;
            assert!(close(0) && close(1), "{found:?} {wanted:?}");
        };
        // Points moved by 1 mm on both axes: the area's variance is 2 s² sd², the edge's 8 sd².
        near(
            sds(EdgeError::points(2.0)),
            [200.0 * 2_f64.sqrt(), 8_f64.sqrt()],
        );
        // All four sides moved out by 1 mm: 800 mm² and 8 mm more.
        let none = EdgeError::points(0.0);
        near(
            sds(EdgeError {
                whole_px: 2.0,
                ..none
            }),
            [800.0, 8.0],
        );
        // A tenth of the way round in common: the share of the kernel is 2 x 0.1.
        let drift = sds(EdgeError {
            drift_px: 2.0,
            ..none
        });
        near([drift[0], 1.0], [800.0 * 0.2_f64.sqrt(), 1.0]);
    }

    #[test]
    fn a_circle_of_few_points_is_told_to_take_more() {
        let few = footprint(&wall(), &round(12, 250.0), &[], EdgeError::points(0.5)).unwrap();
        assert!(
            few.notes
                .iter()
                .any(|n| n.contains("cut its curves short by about 4.")),
            "{:?}",
            few.notes
        );
        let many = footprint(&wall(), &round(60, 250.0), &[], EdgeError::points(0.5)).unwrap();
        assert!(many.notes.is_empty(), "{:?}", many.notes);
    }

    #[test]
    fn an_outline_off_the_picture_is_refused_by_its_point() {
        let bad = [[0.0, 0.0], [9000.0, 0.0], [0.0, 500.0]];
        let e = footprint(&wall(), &bad, &[], EdgeError::points(0.5)).unwrap_err();
        assert_eq!(e.field(), "outline_px[1]");
    }
}
