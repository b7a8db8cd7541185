//! A piece too long for one photo: several that overlap, each tied to the one before by places
//! that both show.

use super::camera::{Camera, Parameters};
use super::edge_error::{Bulge, EdgeError};
use super::footprint::Size;
use super::region::Region;
use super::{Evidence, Footprint, Mm, Px, SurveyError, Wall, WallProblem, fit_wall, polygon};
use crate::quantity::{Estimate, Millimetres, SquareMillimetres};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A place that two photos show.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tie {
    /// Where this photo shows it, in pixels.
    pub here: Px,
    /// Where the photo before shows it, in pixels.
    pub there: Px,
}

/// Fewer ties leave open how the photo was taken.
pub const LEAST_TIES: usize = 4;

/// The wall as a photo sees it that is tied to the one before; `problem` tells of its lens and of
/// gravity, and has no evidence of its own.
///
/// Its spread is that which the photo itself leaves: what is not known of the wall before comes
/// on top of it in [`joined`].
pub fn tied(before: &Wall, problem: &WallProblem, ties: &[Tie]) -> Result<Wall, SurveyError> {
    if ties.len() < LEAST_TIES {
        let left = LEAST_TIES - ties.len();
        return Err(SurveyError::at(
            "ties",
            match left {
                1 => tr("Mark one more place that both photos show.").to_owned(),
                _ => say!(
                    "Mark {left} more places that both photos show, far apart.",
                    left
                ),
            },
        ));
    }
    let evidence = ties.iter().enumerate().map(|(i, tie)| {
        let mm = before.camera().unsee_before(tie.there, 0.0);
        let mm = mm.ok_or_else(|| {
            SurveyError::at(
                format!("ties[{i}]"),
                say!(
                    "Place {i} can't lie on the wall in the photo before.",
                    i = i + 1
                ),
            )
        })?;
        Ok(Evidence::point(tie.here, mm).known_to(tie_sd(problem)))
    });
    fit_wall(&WallProblem {
        evidence: evidence.collect::<Result<_, SurveyError>>()?,
        ..problem.clone()
    })
}

/// A tie is marked twice; both photos show the place about as large.
fn tie_sd(problem: &WallProblem) -> f64 {
    problem.point_sd_px * std::f64::consts::SQRT_2
}

/// A photo of a long piece, and what it shows of it.
#[derive(Clone, Debug)]
pub struct Part {
    /// The wall as this photo sees it; from the second on [`tied`] to the one before.
    pub wall: Wall,
    /// What it shares with the one before; nothing in the first.
    pub ties: Vec<Tie>,
    /// The part of the outline that it shows, as a ring of its own, in pixels.
    pub outline: Vec<Px>,
    /// The holes that it shows.
    pub holes: Vec<Vec<Px>>,
    /// What it shows beside the piece.
    pub neighbours: Vec<Vec<Px>>,
    /// Spread of a tie's mark, in pixels.
    pub marking_sd_px: f64,
    /// How well the outline was traced.
    pub traced: EdgeError,
}

/// The footprint of what all parts show together. The parts have to overlap.
///
/// Its range holds what each photo leaves open, carried on through the ties to all that follow it
/// (first order).
pub fn joined(parts: &[Part]) -> Result<Footprint, SurveyError> {
    for (i, part) in parts.iter().enumerate() {
        polygon::check(&part.outline, &part.holes).map_err(|why| {
            SurveyError::at(
                format!("parts[{i}]"),
                say!("Photo {i}: {why}", i = i + 1, why),
            )
        })?;
    }
    let cameras: Vec<Camera> = parts
        .iter()
        .map(|part| part.wall.camera().clone())
        .collect();
    let rings = together(parts, &cameras)?;
    let mut size = Size::of(&rings);
    let (mut variance, mut in_common) = (Size::default(), Size::default());
    if parts.iter().any(|part| part.traced.curved) {
        let bulge = Bulge::of_all(&rings);
        size = size.plus(&bulge.likely);
        variance = bulge.variance;
    }
    for (cause, part) in parts.iter().enumerate() {
        for pair in part.wall.alternatives(REACH) {
            let measured = |camera: &Camera| {
                let cameras = follow(parts, &cameras, cause, camera);
                Ok::<_, SurveyError>(Size::of(&together(parts, &cameras)?))
            };
            let [a, b] = [measured(&pair[0])?, measured(&pair[1])?];
            variance.area += ((a.area - b.area) / (2.0 * REACH)).powi(2);
            variance.edge += ((a.edge - b.edge) / (2.0 * REACH)).powi(2);
        }
        let fields = [("outline_px".to_owned(), part.outline.as_slice())];
        let on_wall = [on_wall(part, &part.outline, part.wall.camera())?];
        let own = part.traced.variance(&part.wall, &fields, &on_wall);
        variance = variance.plus(&own.apart);
        in_common = in_common.plus(&own.in_common);
    }
    variance = variance.plus(&in_common);
    let tilt = parts[0].wall.tilt();
    let mut rings = rings.into_iter();
    let neighbours = parts
        .iter()
        .zip(&cameras)
        .flat_map(|(part, camera)| part.neighbours.iter().map(move |px| (part, px, camera)));
    let neighbours_mm = neighbours
        .map(|(part, px, camera)| on_wall(part, px, camera))
        .collect::<Result<_, _>>()?;
    Ok(Footprint {
        area: Estimate::positive(SquareMillimetres(size.area), variance.area.sqrt()),
        perimeter: Estimate::positive(Millimetres(size.edge), variance.edge.sqrt()),
        tilt,
        outline_mm: rings.next().unwrap_or_default(),
        holes_mm: rings.collect(),
        neighbours_mm,
        notes: Vec::new(),
        in_common,
    })
}

/// How far the walls are moved to feel what they do to the footprint, in standard deviations.
const REACH: f64 = 0.3;

/// The cameras when the one of `cause` is another: those that follow it go with their ties, each
/// by one step of least squares.
fn follow(parts: &[Part], cameras: &[Camera], cause: usize, other: &Camera) -> Vec<Camera> {
    let mut moved = cameras.to_vec();
    moved[cause] = other.clone();
    for (i, part) in parts.iter().enumerate().skip(cause + 1) {
        let weight = part.marking_sd_px.powi(-2) / 2.0;
        let mut pull = Parameters::zeros();
        for tie in &part.ties {
            let place = |cameras: &[Camera]| cameras[i - 1].unsee_before(tie.there, 0.0);
            let (Some(was), Some(is)) = (place(cameras), place(&moved)) else {
                continue;
            };
            let Some(seen) = cameras[i].see_with_slopes(was, 0.0) else {
                continue;
            };
            for (slopes, on_wall) in seen.slopes.iter().zip(seen.on_wall) {
                let shift = on_wall[0] * (is[0] - was[0]) + on_wall[1] * (is[1] - was[1]);
                pull -= slopes * (shift * weight);
            }
        }
        moved[i] = cameras[i].moved(&(part.wall.covariance() * pull));
    }
    moved
}

fn on_wall(part: &Part, ring: &[Px], camera: &Camera) -> Result<Vec<Mm>, SurveyError> {
    let height = part.wall.height()[0];
    let places = ring.iter().map(|px| camera.unsee_before(*px, height));
    places.collect::<Option<_>>().ok_or_else(|| {
        SurveyError::at(
            "outline_px",
            tr("A point of the outline can't lie on the wall: the picture looks past it there."),
        )
    })
}

/// Outline and holes of all parts on the wall.
fn together(parts: &[Part], cameras: &[Camera]) -> Result<Vec<Vec<Mm>>, SurveyError> {
    let mut outline: Option<Vec<Mm>> = None;
    let mut holes: Vec<Vec<Mm>> = Vec::new();
    for (i, (part, camera)) in parts.iter().zip(cameras).enumerate() {
        let ring = on_wall(part, &part.outline, camera)?;
        outline = Some(match outline {
            None => ring,
            Some(before) => {
                let both = Region::of(&before, &[]).and(&Region::of(&ring, &[]));
                if both.pieces() != 1 {
                    return Err(SurveyError::at(
                        format!("parts[{i}]"),
                        say!(
                            "The outline on photo {i} does not overlap the others. Trace so much \
                             of the piece on each photo that the parts overlap, and check the \
                             shared places.",
                            i = i + 1
                        ),
                    ));
                }
                let mut rings = both.rings().map(<[Mm]>::to_vec);
                let outer = rings.next().unwrap_or_default();
                holes.extend(rings);
                outer
            }
        });
        for hole in &part.holes {
            let hole = on_wall(part, hole, camera)?;
            // Two photos may show the same one.
            let middle = super::fit::middle(hole.iter().copied());
            if !holes.iter().any(|known| polygon::contains(known, middle)) {
                holes.push(hole);
            }
        }
    }
    let outline =
        outline.ok_or_else(|| SurveyError::at("parts", tr("There is no photo to measure.")))?;
    Ok(std::iter::once(outline).chain(holes).collect())
}
