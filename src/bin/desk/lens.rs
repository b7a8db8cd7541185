//! `desk lens`: focal length, centre and bend of a lens from photos of a flat grid.

use super::field::{Field, Fields};
use super::picture::Picture;
use peelcast::survey::calibrate::{GridCorner, GridView, Target, calibrate, find_grid};
use peelcast::survey::{GreyView, ImageSize};
use serde_json::{Value, json};
use std::path::Path;

/// Answers one request; `folder` is where its photos' paths start.
pub fn answer(request: &Field<'_>, folder: &Path) -> Result<Value, String> {
    let fields = request.fields()?;
    let [width, height] = fields.required("image_size_px")?.size()?;
    let size = ImageSize { width, height };
    let target = target(&fields)?;
    let mut notes = Vec::new();
    let (mut views, mut answers, mut places) = (Vec::new(), Vec::new(), Vec::new());
    for field in fields.required("views")?.list()? {
        match view(&field, folder, size, target)? {
            Ok(seen) => {
                places.push(answers.len());
                answers.push(json!({ "corners": seen.corners }));
                views.push(seen);
            }
            Err(sentence) => {
                answers.push(json!({ "corners": [], "rms_px": null, "used": false }));
                notes.push(sentence);
            }
        }
    }
    let found = calibrate(&views).map_err(|e| {
        let mut said = format!("{}: {e}", e.field());
        for note in &notes {
            said = format!("{said} {note}");
        }
        said
    })?;
    for (i, (at, rms)) in places.into_iter().zip(&found.view_rms_px).enumerate() {
        answers[at]["rms_px"] = json!(rms);
        answers[at]["used"] = json!(!found.left_out.contains(&i));
    }
    notes.extend(found.notes);
    notes.extend(found.advice);
    let unknown = fields.unknown(&KNOWN).into_iter();
    notes.extend(unknown.map(|name| format!("{name}: this field isn't known and wasn't used.")));
    let lens = found.lens;
    let known = |value: f64, sd: f64| json!({ "value": value, "sd": sd });
    Ok(json!({
        "focal_px": known(lens.focal_px, lens.focal_sd_px),
        "center_px": { "value": lens.center_px, "sd": found.center_sd_px },
        "k1": known(lens.k1, found.k1_sd),
        "k2": known(lens.k2, found.k2_sd),
        "lens": lens,
        "stretch": found.stretch,
        "rms_px": found.rms_px,
        "views": answers,
        "notes": notes,
    }))
}

const KNOWN: [&str; 4] = ["image_size_px", "grid", "square_mm", "views"];

/// The grid that the request names; the app's own sheet where it names none.
fn target(fields: &Fields<'_>) -> Result<Target, String> {
    if let Some(side) = fields.optional("square_mm")
        && side.number()? <= 0.0
    {
        return Err(side.error("the side of a square is more than 0 mm."));
    }
    let Some(grid) = fields.optional("grid") else {
        return Ok(Target::SHEET);
    };
    let [columns, rows] = grid.size()?;
    let target = Target {
        columns,
        rows,
        dots: false,
    };
    target.check("grid").map_err(|e| grid.error(e))?;
    Ok(target)
}

/// One photo's corners, given or found; the inner error is a photo in which none were.
fn view(
    field: &Field<'_>,
    folder: &Path,
    size: ImageSize,
    target: Target,
) -> Result<Result<GridView, String>, String> {
    let fields = field.fields()?;
    if let Some(corners) = fields.optional("corners_px") {
        let given = corners.pairs()?;
        let wanted = target.columns as usize * target.rows as usize;
        if given.len() != wanted {
            return Err(corners.error(format!(
                "a grid of {} x {} has {wanted} corners, found {}. Give them row by row.",
                target.columns,
                target.rows,
                given.len()
            )));
        }
        let places = (0..target.rows).flat_map(|row| (0..target.columns).map(move |c| (c, row)));
        let corners = places
            .zip(given)
            .map(|((column, row), px)| GridCorner { column, row, px });
        return Ok(Ok(GridView {
            size,
            corners: corners.collect(),
        }));
    }
    let photo = fields.required("photo")?;
    let picture = Picture::open(&photo, folder, size)?;
    let grey = GreyView {
        width: size.width,
        height: size.height,
        data: &picture.grey(),
    };
    Ok(find_grid(&grey, target).map_err(|e| photo.error(e)))
}
