//! `desk stereo`: the matching core on a pair of pictures whose rows lie on each other.

use super::field::Field;
use super::picture::Picture;
use peelcast::relief::sweep::disparity;
use peelcast::survey::{GreyView, ImageSize};
use serde_json::{Value, json};
use std::path::Path;

/// The most pixels times disparities.
const MOST: u64 = 300_000_000;

/// Answers one request; `folder` is where its pictures' paths start.
pub fn answer(request: &Field<'_>, folder: &Path) -> Result<Value, String> {
    let fields = request.fields()?;
    let most = fields.required("most_px")?;
    let (left, right) = (fields.required("left")?, fields.required("right")?);
    let open = |field: &Field<'_>, wanted: Option<ImageSize>| Picture::sized(field, folder, wanted);
    let one = open(&left, None)?;
    let size = one.size();
    let other = open(&right, Some(size))?;
    let count = most.count()?;
    if count == 0 || u64::from(count) + 1 > MOST / size.pixels().max(1) {
        return Err(most.error("give at least 1, and not so many that they fit no memory."));
    }
    let (left, right) = (one.grey(), other.grey());
    let grey = |data| GreyView {
        width: size.width,
        height: size.height,
        data,
    };
    let found = disparity(&grey(&left), &grey(&right), count as usize);
    let rows: Vec<Vec<Option<f32>>> = found
        .chunks(size.width as usize)
        .map(|row| row.iter().map(|d| (!d.is_nan()).then_some(*d)).collect())
        .collect();
    Ok(json!({
        "width": size.width,
        "height": size.height,
        "disparity_px": rows,
    }))
}
