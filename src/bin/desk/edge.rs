//! The outline of a request, made exact by the photo: its points go to the edge beside them, and
//! the edge is followed between them.

use super::field::Fields;
use peelcast::survey::{GreyView, Px, Settled, settle, trace};
use serde_json::{Value, json};

/// What is done with the outline.
#[derive(Clone, Copy, Default)]
pub struct Wanted {
    /// Each point goes to the edge beside it.
    pub settle: bool,
    /// The edge is followed from point to point.
    pub trace: bool,
}

/// An outline that was put on the edge.
pub struct OnEdge {
    /// It, in place of the one given.
    pub outline: Vec<Px>,
    settled: Option<Vec<Option<Settled>>>,
    /// Where no edge was seen, a sentence each.
    pub notes: Vec<String>,
}

/// How far points may be off where the request doesn't say so, as a share of the outline's width
/// and height, and at least in pixels: three standard deviations of a thumb on a phone.
const REACH: f64 = 0.012;
const LEAST_REACH_PX: f64 = 3.0;

impl OnEdge {
    /// Puts the request's outline on the edge that the picture shows.
    pub fn find(fields: &Fields<'_>, grey: &GreyView<'_>, wanted: Wanted) -> Result<Self, String> {
        let field = fields.required("outline_px")?;
        let mut outline = field.pairs()?;
        if outline.len() < 3 {
            return Err(field.error("an outline needs three points or more."));
        }
        let (mut notes, mut settled) = (Vec::new(), None);
        if wanted.settle {
            let reach = match fields.optional("settle_reach_px") {
                Some(reach) => reach.positive()?,
                None => (REACH * size(&outline)).max(LEAST_REACH_PX),
            };
            let found = settle(grey, &outline, true, reach);
            for (i, (px, found)) in outline.iter_mut().zip(&found).enumerate() {
                match found {
                    Some(found) => *px = found.px,
                    None => notes.push(format!(
                        "outline_px[{i}]: the photo shows no clear edge beside this point, so it \
                         was used as given."
                    )),
                }
            }
            settled = Some(found);
        }
        if wanted.trace {
            outline = followed(grey, &outline, &mut notes);
        }
        Ok(Self {
            outline,
            settled,
            notes,
        })
    }

    /// Adds what was found to the answer's field `found`.
    pub fn tell(&self, found: &mut Value) {
        found["outline_px"] = json!(self.outline);
        if let Some(settled) = &self.settled {
            let one = |s: &Settled| json!({ "px": s.px, "sd_px": s.sd_px });
            found["settled"] = settled.iter().map(|s| s.as_ref().map(one)).collect();
        }
    }
}

/// The edge from each point to the next; a straight line where there is none to follow.
fn followed(grey: &GreyView<'_>, points: &[Px], notes: &mut Vec<String>) -> Vec<Px> {
    let count = points.len();
    let mut outline = vec![points[0]];
    for i in 0..count {
        let (from, to) = (outline[outline.len() - 1], points[(i + 1) % count]);
        match trace(grey, from, to) {
            Ok(path) => outline.extend(path),
            Err(why) => {
                outline.push(to);
                notes.push(format!(
                    "outline_px[{i}]: from here on the outline goes straight to the next point. \
                     {why}"
                ));
            }
        }
    }
    // The last path ends where the outline began.
    outline.pop();
    outline
}

/// The mean of an outline's width and height.
fn size(outline: &[Px]) -> f64 {
    let span = |k: usize| {
        let along = outline.iter().map(|px| px[k]);
        along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
    };
    (span(0) + span(1)) / 2.0
}
