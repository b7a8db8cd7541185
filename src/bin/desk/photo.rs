//! The photo beside a request: marks are bettered by what it shows near them, and the outline is
//! found in a ring drawn round the ornament, or the one given is put on the edge.

use super::edge::{self, OnEdge};
use super::field::{Field, Fields};
use super::marks::{Marks, Wanted};
use super::picture::Picture;
use peelcast::survey::{GreyView, RgbaView, Ring, RingOutline, Stroke, WallProblem};
use serde_json::{Value, json};
use std::path::Path;

/// What was found in the photo.
#[derive(Default)]
pub struct Found {
    /// The answer's field `found`, where something was asked for.
    pub json: Option<Value>,
    /// The outline, where it was asked for.
    pub outline: Option<RingOutline>,
    /// What could not be found, and what is to be looked at, a sentence or two each.
    pub notes: Vec<String>,
}

/// Puts the marks of `problem` where the photo that the request names shows them, and finds the
/// outline.
///
/// Where the request doesn't say how well marks are known (`sd_px`, `point_sd_px`), each that was
/// found counts by the spread with which it was found.
pub fn better(
    fields: &Fields<'_>,
    folder: &Path,
    problem: &mut WallProblem,
) -> Result<Found, String> {
    let wanted = fields
        .optional("find")
        .map_or(Ok(Vec::new()), |f| f.list())?;
    let mut marks = Wanted {
        spreads: fields.optional("point_sd_px").is_none(),
        ..Wanted::default()
    };
    let (mut want_outline, mut edge) = (false, edge::Wanted::default());
    for field in &wanted {
        match field.text()?.as_str() {
            "corners" => marks.corners = true,
            "ticks" => marks.ticks = true,
            "outline" => want_outline = true,
            "settle" => edge.settle = true,
            "trace" => edge.trace = true,
            name => {
                return Err(field.error(format!(
                    "\"{name}\" can't be found in a photo; known are corners, ticks, \
                     outline, settle and trace."
                )));
            }
        }
    }
    if wanted.is_empty() {
        // A photo that nothing is looked for in is still named as a file is.
        fields.optional("photo").map(|f| f.text()).transpose()?;
        return Ok(Found::default());
    }
    let photo = Picture::open(&fields.required("photo")?, folder, problem.image_size_px)?;
    let (mut json, mut notes, mut outline) = (json!({}), Vec::new(), None);
    let (size, bytes) = (photo.view(), photo.grey());
    let grey = GreyView {
        width: size.width,
        height: size.height,
        data: &bytes,
    };
    if marks.corners || marks.ticks {
        let found = Marks::find(&grey, &mut problem.evidence, marks);
        json = found.json();
        notes = found.notes;
    }
    if edge.settle || edge.trace {
        if want_outline {
            return Err(fields.required("find")?.error(
                "outline looks for an outline; settle and trace take the one given. Leave one out.",
            ));
        }
        let found = OnEdge::find(fields, &grey, edge)?;
        found.tell(&mut json);
        notes.extend(found.notes);
        notes.push(LOOK_AT_IT.to_owned());
        outline = Some(RingOutline {
            outline: found.outline,
            holes: super::survey::holes(fields)?,
        });
    }
    if want_outline {
        let found = ringed(fields, &photo.view())?;
        json["outline_px"] = json!(found.outline);
        json["holes_px"] = json!(found.holes);
        notes.push(LOOK_AT_IT.to_owned());
        outline = Some(found);
    }
    Ok(Found {
        json: Some(json),
        outline,
        notes,
    })
}

/// What a person has to know of an outline that was found.
const LOOK_AT_IT: &str = "The outline was found in the photo. Look at it before you trust the \
    area: a shadow may have been taken in or a pale edge left out, and the range doesn't know of \
    it. Put it right with strokes or by hand.";

/// Finds the outline in the request's ring, its strokes taken into account one by one.
fn ringed(fields: &Fields<'_>, photo: &RgbaView<'_>) -> Result<RingOutline, String> {
    let refused = |e: peelcast::survey::SurveyError| format!("{}: {e}", e.field());
    let drawn = fields.required("ring_px")?.pairs()?;
    let mut ring = Ring::draw(photo, &drawn).map_err(refused)?;
    let strokes = fields
        .optional("strokes")
        .map_or(Ok(Vec::new()), |f| f.list())?;
    for field in &strokes {
        let stroke = stroke(field)?;
        ring.stroke(stroke).map_err(|e| field.error(e))?;
    }
    ring.outline(photo).map_err(refused)
}

fn stroke(field: &Field<'_>) -> Result<Stroke, String> {
    let fields = field.fields()?;
    let says = fields.required("says")?;
    let ornament = match says.text()?.as_str() {
        "this" => true,
        "not this" => false,
        other => {
            return Err(says.error(format!(
                "a stroke says \"this\" or \"not this\", found \"{other}\"."
            )));
        }
    };
    Ok(Stroke {
        ornament,
        path: fields.required("path_px")?.pairs()?,
        radius_px: fields.required("radius_px")?.number()?,
    })
}
