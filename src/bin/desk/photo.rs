//! The photo beside a request: marks are bettered by what it shows near them.

use super::field::Fields;
use super::picture::Picture;
use peelcast::survey::snap::corner;
use peelcast::survey::{Evidence, GreyView, POINT_SD_PX, Px, WallProblem};
use serde_json::{Value, json};
use std::path::Path;

/// What was found in the photo.
#[derive(Default)]
pub struct Found {
    /// The answer's field `found`, where something was asked for.
    pub json: Option<Value>,
    /// What could not be found, a sentence each.
    pub notes: Vec<String>,
}

/// Edges are looked at along this share of the way to the nearest other mark: they reach to the
/// middle at least, and a thumb is off as well.
const REACH_SHARE: f64 = 0.25;

/// Further than this an edge need not be straight through a bent lens, in pixels.
const MOST_REACH: f64 = 150.0;

/// Puts the marks of `problem` where the photo that the request names shows them.
///
/// Where every mark was found and the request doesn't say how well they are known
/// (`point_sd_px`), the largest spread of those found stands for all.
pub fn better(
    fields: &Fields<'_>,
    folder: &Path,
    problem: &mut WallProblem,
) -> Result<Found, String> {
    let wanted = fields
        .optional("find")
        .map_or(Ok(Vec::new()), |f| f.list())?;
    for field in &wanted {
        let name = field.text()?;
        if name != "corners" {
            return Err(field.error(format!(
                "\"{name}\" can't be found in a photo; known is corners."
            )));
        }
    }
    if wanted.is_empty() {
        // A photo that nothing is looked for in is still named as a file is.
        fields.optional("photo").map(|f| f.text()).transpose()?;
        return Ok(Found::default());
    }
    let photo = Picture::open(&fields.required("photo")?, folder, problem.image_size_px)?;
    let (corners, notes) = corners(&photo.view(), &mut problem.evidence);
    let largest = corners.iter().map(|c| c.sd_px).fold(0.0, f64::max);
    if corners.len() == problem.evidence.len()
        && largest > 0.0
        && fields.optional("point_sd_px").is_none()
    {
        problem.point_sd_px = largest.min(POINT_SD_PX);
    }
    let corners: Vec<Value> = corners
        .iter()
        .map(|c| json!({ "evidence": c.index, "px": c.px, "sd_px": c.sd_px }))
        .collect();
    Ok(Found {
        json: Some(json!({ "corners": corners })),
        notes,
    })
}

/// A mark that was put on its corner.
struct Bettered {
    /// Its index among the evidence.
    index: usize,
    px: Px,
    sd_px: f64,
}

/// Puts each marked point on the corner near it, where there is a clear one.
fn corners(grey: &GreyView<'_>, evidence: &mut [Evidence]) -> (Vec<Bettered>, Vec<String>) {
    let marked: Vec<(usize, Px)> = evidence
        .iter()
        .enumerate()
        .filter_map(|(i, e)| match e {
            Evidence::Point { px, .. } => Some((i, *px)),
            _ => None,
        })
        .collect();
    let (mut found, mut notes) = (Vec::new(), Vec::new());
    for &(index, near) in &marked {
        let apart = marked
            .iter()
            .filter(|(i, _)| *i != index)
            .map(|(_, px)| (px[0] - near[0]).hypot(px[1] - near[1]))
            .fold(f64::INFINITY, f64::min);
        match corner(grey, near, (REACH_SHARE * apart).min(MOST_REACH)) {
            Some(there) => {
                if let Evidence::Point { px, .. } = &mut evidence[index] {
                    *px = there.px;
                }
                found.push(Bettered {
                    index,
                    px: there.px,
                    sd_px: there.sd_px,
                });
            }
            None => notes.push(format!(
                "evidence[{index}]: the photo shows no clear corner near this mark, so it was \
                 used as given."
            )),
        }
    }
    (found, notes)
}
