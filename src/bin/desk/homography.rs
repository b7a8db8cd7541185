//! `desk homography`: the map from one plane to another from pairs of points.

use super::field::Field;
use peelcast::survey::Homography;
use serde_json::{Value, json};

/// `{"from": [[u, v], ...], "to": [[x, y], ...]}` gives `{"h": [[...], [...], [...]]}`, the map
/// that makes the sum of squared distances in `to` least.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let from = fields.required("from")?.pairs()?;
    let to = fields.required("to")?.pairs()?;
    let map = Homography::fit(&from, &to).map_err(|e| format!("{}: {e}", e.field()))?;
    Ok(json!(map))
}
