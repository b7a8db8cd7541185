//! `desk survey`: footprint, perimeter and tilt from marks and an outline.

use super::field::{Field, Fields};
use super::photo::better;
use peelcast::quantity::{Estimate, Millimetres};
use peelcast::survey::{
    EdgeError, Evidence, ImageSize, Lens, Px, RingOutline, SurveyError, WallProblem, fit_wall,
    footprint,
};
use serde_json::{Value, json};
use std::path::Path;

/// Answers one request; `folder` is where its photo's path starts.
pub fn answer(request: &Field<'_>, folder: &Path) -> Result<Value, String> {
    let fields = request.fields()?;
    let mut problem = problem(&fields)?;
    let traced = traced(&fields, problem.point_sd_px)?;
    let found = better(&fields, folder, &mut problem)?;
    let (outline, holes) = match found.outline {
        Some(RingOutline { outline, holes }) => (outline, holes),
        None => outlined(&fields)?,
    };
    let outline_height = how_far(&fields, "outline_height")?;
    let reference_height = how_far(&fields, "reference_height")?;
    let wall = fit_wall(&problem)
        .map_err(named)?
        .traced(&outline_height, &reference_height);
    let print = footprint(&wall, &outline, &holes, traced).map_err(named)?;
    let mut notes = print.notes;
    notes.extend(found.notes);
    notes.extend(
        fields
            .unknown(&KNOWN)
            .into_iter()
            .map(|name| format!("{name}: this field isn't known and wasn't used.")),
    );
    let mut answer = json!({
        "footprint_mm2": print.area,
        "perimeter_mm": print.perimeter,
        "tilt_deg": print.tilt,
        "notes": notes,
    });
    if let Some(found) = found.json {
        answer["found"] = found;
    }
    Ok(answer)
}

/// What is known of one photo's wall.
pub fn problem(fields: &Fields<'_>) -> Result<WallProblem, String> {
    let [width, height] = fields.required("image_size_px")?.size()?;
    let usual = WallProblem::new(ImageSize { width, height }, Vec::new());
    Ok(WallProblem {
        lens: fields.optional("lens").map(|f| lens(&f)).transpose()?,
        gravity: fields.optional("gravity").map(|f| f.triple()).transpose()?,
        gravity_sd_deg: number_or(fields.optional("gravity_sd_deg"), usual.gravity_sd_deg)?,
        wall_angle_deg: number_or(fields.optional("wall_angle_deg"), usual.wall_angle_deg)?,
        wall_angle_sd_deg: number_or(
            fields.optional("wall_angle_sd_deg"),
            usual.wall_angle_sd_deg,
        )?,
        point_sd_px: number_or(fields.optional("point_sd_px"), usual.point_sd_px)?,
        evidence: fields
            .required("evidence")?
            .list()?
            .iter()
            .map(evidence)
            .collect::<Result<_, _>>()?,
        ..usual
    })
}

/// How well the outline follows the edge: by default it is the polygon itself, each of its points
/// as well known as a mark.
fn traced(fields: &Fields<'_>, point_sd_px: f64) -> Result<EdgeError, String> {
    let usual = EdgeError::points(point_sd_px);
    let number = |name: &str, otherwise: f64| number_or(fields.optional(name), otherwise);
    Ok(EdgeError {
        point_px: point_sd_px,
        drift_px: number("edge_sd_px", usual.drift_px)?,
        drift_reach: number("edge_reach", usual.drift_reach)?,
        whole_px: number("edge_common_sd_px", usual.whole_px)?,
        curved: fields
            .optional("outline_curved")
            .map_or(Ok(usual.curved), |f| f.truth())?,
    })
}

/// How far something stands before the wall: `name_mm` with its spread `name_sd_mm`.
pub fn how_far(fields: &Fields<'_>, name: &str) -> Result<Estimate<Millimetres>, String> {
    let read = |part: &str, least: f64| {
        let name = format!("{name}{part}");
        let number = number_or(fields.optional(&name), 0.0)?;
        if (least..=FARTHEST_MM).contains(&number) {
            return Ok(number);
        }
        Err(format!(
            "{name}: give a number of millimetres from {least} to {FARTHEST_MM}."
        ))
    };
    let mm = read("_mm", -FARTHEST_MM)?;
    Ok(Estimate::normal(Millimetres(mm), read("_sd_mm", 0.0)?))
}

/// No ornament stands further before its wall, in millimetres.
const FARTHEST_MM: f64 = 10_000.0;

const KNOWN: [&str; 23] = [
    "image_size_px",
    "lens",
    "gravity",
    "gravity_sd_deg",
    "wall_angle_deg",
    "wall_angle_sd_deg",
    "point_sd_px",
    "evidence",
    "outline_px",
    "holes_px",
    "photo",
    "find",
    "ring_px",
    "strokes",
    "settle_reach_px",
    "edge_sd_px",
    "edge_reach",
    "edge_common_sd_px",
    "outline_curved",
    "outline_height_mm",
    "outline_height_sd_mm",
    "reference_height_mm",
    "reference_height_sd_mm",
];

/// The outline and the holes that the request gives.
fn outlined(fields: &Fields<'_>) -> Result<(Vec<Px>, Vec<Vec<Px>>), String> {
    let outline = fields.required("outline_px")?.pairs()?;
    Ok((outline, holes(fields)?))
}

/// The holes that the request gives.
pub fn holes(fields: &Fields<'_>) -> Result<Vec<Vec<Px>>, String> {
    match fields.optional("holes_px") {
        Some(holes) => holes.list()?.iter().map(Field::pairs).collect(),
        None => Ok(Vec::new()),
    }
}

pub fn named(error: SurveyError) -> String {
    format!("{}: {error}", error.field())
}

pub fn number_or(field: Option<Field<'_>>, otherwise: f64) -> Result<f64, String> {
    field.map_or(Ok(otherwise), |f| f.number())
}

fn lens(field: &Field<'_>) -> Result<Lens, String> {
    let fields = field.fields()?;
    let number = |name: &str| fields.required(name)?.number();
    Ok(Lens {
        focal_px: number("focal_px")?,
        focal_sd_px: number("focal_sd_px")?,
        center_px: fields.required("center_px")?.pair()?,
        k1: number("k1")?,
        k2: number("k2")?,
        k_sd: number("k_sd")?,
    })
}

fn evidence(field: &Field<'_>) -> Result<Evidence, String> {
    let fields = field.fields()?;
    let kind = fields.required("kind")?;
    let px = || fields.required("px")?.pair();
    let sd_px = || fields.optional("sd_px").map(|f| f.number()).transpose();
    let rule = || fields.required("rule")?.text();
    Ok(match kind.text()?.as_str() {
        "point" => Evidence::Point {
            px: px()?,
            mm: fields.required("mm")?.pair()?,
            sd_px: sd_px()?,
        },
        "tick" => Evidence::Tick {
            px: px()?,
            at_mm: fields.required("at_mm")?.number()?,
            rule: rule()?,
            sd_px: sd_px()?,
        },
        "level" => Evidence::Level { rule: rule()? },
        "plumb" => Evidence::Plumb { rule: rule()? },
        other => {
            return Err(kind.error(format!(
                "the kind \"{other}\" isn't known; known are point, tick, level and plumb."
            )));
        }
    })
}
