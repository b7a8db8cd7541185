//! `desk relief`: heights, surface and volume from photos and readings.

use super::field::{Field, Fields};
use super::picture::Picture;
use super::survey::{holes, how_far, named, problem};
use peelcast::quantity::{Estimate, Millimetres, SquareMillimetres};
use peelcast::relief::sweep::{DETAIL, SweepPhoto, SweepProblem, Swept, sweep};
use peelcast::relief::{
    Edge, Frame, Heights, Known, Measures, Reading, Sounded, corrected, measures, readings,
};
use peelcast::survey::{EdgeError, GreyView, Mm, Px, Wall, WallProblem, fit_wall, footprint};
use serde_json::{Value, json};
use std::path::Path;

const KNOWN: [&str; 9] = [
    "photos",
    "outline_of",
    "outline_px",
    "holes_px",
    "max_height_mm",
    "grid_mm",
    "readings",
    "reference_height_mm",
    "reference_height_sd_mm",
];
/// Places times heights: a minute of work at most, and 200 MB.
const MOST: usize = 60_000_000;
/// The reference's plane before the wall where nothing is said: a print lies on it, a bank card
/// is 0.76 mm thick (ISO/IEC 7810). The photos tell the rest.
const REFERENCE: [f64; 2] = [0.0, 0.5];
const HIGHEST_MM: f64 = 50.0;
const STEP_MM: f64 = 1.0;
/// How well a probe is read where nothing is said, in millimetres (common practice, no source).
const READING_SD_MM: f64 = 0.5;

/// A height that was read, as the request says it.
struct Asked {
    of: usize,
    px: Px,
    height: Millimetres,
    sd: Millimetres,
}

/// What was found, from whichever evidence.
struct Found {
    wall: Wall,
    outline: Vec<Mm>,
    holes: Vec<Vec<Mm>>,
    heights: Heights,
    parts: usize,
    confident: Option<f64>,
    next: Option<Mm>,
    notes: Vec<String>,
}

/// Answers one request; `folder` is where its photos' paths start.
pub fn answer(request: &Field<'_>, folder: &Path) -> Result<Value, String> {
    let fields = request.fields()?;
    let photos = fields.required("photos")?.list()?;
    let problems: Vec<WallProblem> = photos
        .iter()
        .map(|photo| problem(&photo.fields()?))
        .collect::<Result<_, _>>()?;
    let outline_of = match fields.optional("outline_of") {
        Some(field) => field.count()? as usize,
        None => 0,
    };
    let asked = asked(&fields, problems.len())?;
    if outline_of >= problems.len() {
        return Err("outline_of: there is no such photo; they are counted from 0.".into());
    }
    let outline_px = fields.required("outline_px")?.pairs()?;
    let holes_px = holes(&fields)?;
    let said = ["reference_height_mm", "reference_height_sd_mm"];
    let reference = if said.iter().any(|name| fields.optional(name).is_some()) {
        how_far(&fields, "reference_height")?
    } else {
        Estimate::normal(Millimetres(REFERENCE[0]), REFERENCE[1])
    };
    let max_height = Millimetres(within(&fields, "max_height_mm", HIGHEST_MM, [1.0, 400.0])?);
    let step = Millimetres(within(&fields, "grid_mm", STEP_MM, [0.1, 50.0])?);
    let found = if problems.len() == 1 {
        sounded(&problems, outline_of, &outline_px, &holes_px, step, &asked)?
    } else {
        let mut pictures = Vec::new();
        for (photo, problem) in photos.iter().zip(&problems) {
            let name = photo.fields()?.required("photo")?;
            pictures.push(Picture::open(&name, folder, problem.image_size_px)?.grey());
        }
        let photos = problems
            .iter()
            .zip(&pictures)
            .map(|(problem, grey)| SweepPhoto {
                grey: GreyView {
                    width: problem.image_size_px.width,
                    height: problem.image_size_px.height,
                    data: grey,
                },
                problem: problem.clone(),
            });
        let swept = sweep(
            &SweepProblem {
                photos: photos.collect(),
                outline_of,
                outline_px: outline_px.clone(),
                reference,
                max_height,
                step,
                most: MOST,
            },
            &mut |_| {},
        );
        match swept {
            Ok(swept) => combined(swept, &holes_px, &asked)?,
            // The photos show too little, but there are readings.
            Err(why) if why.field() == "photos" && !asked.is_empty() => {
                let mut found =
                    sounded(&problems, outline_of, &outline_px, &holes_px, step, &asked)?;
                found
                    .notes
                    .push(format!("{why} The heights are from the readings alone."));
                found
            }
            Err(why) => return Err(named(why)),
        }
    };
    let print = footprint(
        &found.wall,
        &outline_px,
        &holes_px,
        EdgeError::points(problems[outline_of].point_sd_px),
    )
    .map_err(named)?;
    let mut told = measures(&found.heights, &found.outline, &found.holes);
    if found.confident.is_some() {
        told = told.with_detail(&DETAIL);
    }
    let mut notes = print.notes;
    notes.extend(found.notes.iter().cloned());
    notes.extend(
        fields
            .unknown(&KNOWN)
            .into_iter()
            .map(|name| format!("{name}: this field isn't known and wasn't used.")),
    );
    Ok(told_as_json(&found, &print.area, &told, &notes))
}

fn told_as_json(
    found: &Found,
    area: &Estimate<SquareMillimetres>,
    told: &Measures,
    notes: &[String],
) -> Value {
    let map = &found.heights.map;
    let frame = map.frame();
    let every = |count: usize| (0..count).step_by(found.parts);
    let rows: Vec<Vec<Option<f64>>> = every(frame.rows)
        .map(|row| {
            let line = &map.heights()[row * frame.columns..];
            let height = |column: usize| {
                let height = line[column];
                (!height.is_nan()).then(|| (f64::from(height) * 1000.0).round() / 1000.0)
            };
            every(frame.columns).map(height).collect()
        })
        .collect();
    json!({
        "footprint_mm2": area,
        "surface_mm2": told.surface,
        "surface_over_footprint": told.ratio,
        "volume_mm3": told.volume.scaled::<peelcast::quantity::Millilitres>(1000.0),
        "highest_mm": told.highest,
        "highest_at_mm": told.highest_at,
        "matched_share": found.confident,
        "next_probe_mm": found.next,
        "grid": {
            "origin_mm": frame.origin,
            "step_mm": frame.step.0 * found.parts as f64,
            "nx": every(frame.columns).count(),
            "ny": every(frame.rows).count(),
            "height_mm": rows,
        },
        "notes": notes,
    })
}

/// A swept map, corrected by readings where there are some.
fn combined(swept: Swept, holes_px: &[Vec<Px>], asked: &[Asked]) -> Result<Found, String> {
    let on_wall = |px: Px| swept.wall.to_wall(px);
    let holes = holes_px
        .iter()
        .map(|hole| {
            hole.iter()
                .map(|px| on_wall(*px))
                .collect::<Option<Vec<Mm>>>()
        })
        .collect::<Option<Vec<_>>>()
        .ok_or("holes_px: a hole looks past the wall.")?;
    let read = placed(asked, |asked| swept.place(asked.of, asked.px, asked.height))?;
    let mut notes = swept.notes;
    let mut found = Found {
        wall: swept.wall,
        outline: swept.outline,
        holes,
        heights: swept.heights,
        parts: swept.parts,
        confident: Some(swept.confident),
        next: None,
        notes: Vec::new(),
    };
    if !read.is_empty() {
        let known = Known {
            outline: &found.outline,
            holes: &found.holes,
            edge: Edge::Unknown,
            readings: &read,
            profiles: &[],
        };
        let better = corrected(&found.heights, &known, 1).map_err(named)?;
        notes.extend(better.notes);
        found.next = better.next.map(|probe| probe.at);
        found.heights = better.heights;
    }
    found.notes = notes;
    Ok(found)
}

/// Heights from readings alone.
fn sounded(
    problems: &[WallProblem],
    outline_of: usize,
    outline_px: &[Px],
    holes_px: &[Vec<Px>],
    step: Millimetres,
    asked: &[Asked],
) -> Result<Found, String> {
    if asked.is_empty() {
        return Err(
            "photos: one photo shows no heights. Add a second one from another place, or readings."
                .into(),
        );
    }
    let walls: Vec<Wall> = problems
        .iter()
        .enumerate()
        .map(|(i, p)| fit_wall(p).map_err(|e| format!("photos[{i}].{}: {e}", e.field())))
        .collect::<Result<_, _>>()?;
    let wall = &walls[outline_of];
    let ring = |name: &str, ring: &[Px]| -> Result<Vec<Mm>, String> {
        let places = ring
            .iter()
            .map(|px| wall.to_wall(*px))
            .collect::<Option<_>>();
        places.ok_or(format!("{name}: a point looks past the wall."))
    };
    let outline = ring("outline_px", outline_px)?;
    let holes = holes_px
        .iter()
        .map(|hole| ring("holes_px", hole))
        .collect::<Result<Vec<_>, _>>()?;
    let read = placed(asked, |asked| {
        let before = Estimate::exact(asked.height);
        let wall = walls[asked.of].traced(&before, &Estimate::exact(Millimetres(0.0)));
        wall.to_wall(asked.px)
    })?;
    let known = Known {
        outline: &outline,
        holes: &holes,
        edge: Edge::MeetsWall,
        readings: &read,
        profiles: &[],
    };
    let frame = Frame::stepped(&outline, step).map_err(named)?;
    let Sounded {
        heights,
        next,
        notes,
    } = readings(frame, &known, None, 1).map_err(named)?;
    Ok(Found {
        wall: wall.clone(),
        outline,
        holes,
        heights,
        parts: 1,
        confident: None,
        next: next.map(|probe| probe.at),
        notes: wall.notes().iter().cloned().chain(notes).collect(),
    })
}

fn asked(fields: &Fields<'_>, photos: usize) -> Result<Vec<Asked>, String> {
    let list = fields
        .optional("readings")
        .map_or(Ok(Vec::new()), |f| f.list())?;
    let one = |field: &Field<'_>| {
        let own = field.fields()?;
        let of = match own.optional("of") {
            Some(of) => of.count()? as usize,
            None => 0,
        };
        if of >= photos {
            return Err(field.error(format!("there is no photo {of}; they are counted from 0.")));
        }
        Ok(Asked {
            of,
            px: own.required("px")?.pair()?,
            height: Millimetres(between(&own.required("height_mm")?, [0.0, 1000.0])?),
            sd: Millimetres(within(&own, "sd_mm", READING_SD_MM, [0.0, 100.0])?),
        })
    };
    list.iter().map(one).collect()
}

/// A number of millimetres from a field, or another where there is none.
fn within(fields: &Fields<'_>, name: &str, otherwise: f64, ends: [f64; 2]) -> Result<f64, String> {
    let field = fields.optional(name);
    field.map_or(Ok(otherwise), |field| between(&field, ends))
}

fn between(field: &Field<'_>, [low, high]: [f64; 2]) -> Result<f64, String> {
    let number = field.number()?;
    if (low..=high).contains(&number) {
        return Ok(number);
    }
    Err(field.error(format!(
        "give a number of millimetres from {low} to {high}."
    )))
}

fn placed(asked: &[Asked], place: impl Fn(&Asked) -> Option<Mm>) -> Result<Vec<Reading>, String> {
    let reading = |(n, asked): (usize, &Asked)| {
        let at = place(asked)
            .ok_or_else(|| format!("readings[{n}].px: this place looks past the wall."))?;
        Ok(Reading {
            at,
            height: asked.height,
            sd: asked.sd,
        })
    };
    asked.iter().enumerate().map(reading).collect()
}
