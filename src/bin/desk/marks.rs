//! Marks of a card, a sheet or a rule, put where the photo shows them.

use peelcast::survey::snap::{Division, Ticks, corner, ticks};
use peelcast::survey::{Evidence, GreyView, Px};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Which marks are looked for.
#[derive(Clone, Copy, Default)]
pub struct Wanted {
    /// Points, at the corners of cards and sheets.
    pub corners: bool,
    /// Readings, at the ticks of rules.
    pub ticks: bool,
    /// What is found counts by the spread with which it was found, unless its own was given.
    pub spreads: bool,
}

/// What was found for the marks.
pub struct Marks {
    corners: Option<Vec<Bettered>>,
    rules: Option<Vec<Rule>>,
    /// What could not be found, a sentence each.
    pub notes: Vec<String>,
}

/// Edges are looked at along this share of the way to the nearest other mark: they reach to the
/// middle at least, and a thumb is off as well.
const REACH_SHARE: f64 = 0.25;

/// A reading is marked this near to the edge of its rule, in millimetres on it, and within the
/// bounds that follow in pixels.
const READING_REACH_MM: f64 = 3.0;
const READING_REACH_PX: [f64; 2] = [8.0, 40.0];

/// Further than this an edge need not be straight through a bent lens, in pixels.
const MOST_REACH: f64 = 150.0;

impl Marks {
    /// Puts marks where the picture shows them; those that it doesn't show clearly stay.
    pub fn find(grey: &GreyView<'_>, evidence: &mut Vec<Evidence>, wanted: Wanted) -> Self {
        let mut notes = Vec::new();
        let corners = wanted
            .corners
            .then(|| corners(grey, evidence, wanted.spreads, &mut notes));
        let rules = wanted
            .ticks
            .then(|| rules(grey, evidence, wanted.spreads, &mut notes));
        Self {
            corners,
            rules,
            notes,
        }
    }

    /// The answer's field `found`, as far as it speaks of marks.
    pub fn json(&self) -> Value {
        let mut found = json!({});
        if let Some(corners) = &self.corners {
            found["corners"] = corners
                .iter()
                .map(|c| json!({ "evidence": c.index, "px": c.px, "sd_px": c.sd_px }))
                .collect();
        }
        if let Some(rules) = &self.rules {
            found["rules"] = rules.iter().map(Rule::json).collect();
        }
        found
    }
}

/// A mark that was put on its corner.
struct Bettered {
    /// Its index among the evidence.
    index: usize,
    px: Px,
    sd_px: f64,
}

/// Puts each marked point on the corner near it, where there is a clear one.
fn corners(
    grey: &GreyView<'_>,
    evidence: &mut [Evidence],
    spreads: bool,
    notes: &mut Vec<String>,
) -> Vec<Bettered> {
    let marked: Vec<(usize, Px)> = evidence
        .iter()
        .enumerate()
        .filter_map(|(i, e)| match e {
            Evidence::Point { px, .. } => Some((i, *px)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    for &(index, near) in &marked {
        let apart = marked
            .iter()
            .filter(|(i, _)| *i != index)
            .map(|(_, px)| (px[0] - near[0]).hypot(px[1] - near[1]))
            .fold(f64::INFINITY, f64::min);
        match corner(grey, near, (REACH_SHARE * apart).min(MOST_REACH)) {
            Some(there) => {
                if let Evidence::Point { px, sd_px, .. } = &mut evidence[index] {
                    *px = there.px;
                    *sd_px = sd_px.or(spreads.then_some(there.sd_px));
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
    found
}

/// A rule that was read in the photo.
struct Rule {
    name: String,
    read: Ticks,
}

impl Rule {
    fn json(&self) -> Value {
        let ticks: Vec<Value> = self
            .read
            .ticks
            .iter()
            .map(|t| json!({ "px": t.px, "at_mm": t.at_mm, "sd_px": t.sd_px }))
            .collect();
        let division = match self.read.division {
            Division::Millimetre => "millimetre",
            Division::SixteenthInch => "sixteenth inch",
        };
        json!({ "rule": self.name, "division": division, "ticks": ticks })
    }
}

/// Puts all ticks of each rule in the place of those given. What was given keeps its index, so
/// that an error names the right one; further ticks follow at the end.
fn rules(
    grey: &GreyView<'_>,
    evidence: &mut Vec<Evidence>,
    spreads: bool,
    notes: &mut Vec<String>,
) -> Vec<Rule> {
    let mut marked: BTreeMap<String, Vec<(usize, Px, f64)>> = BTreeMap::new();
    for (i, e) in evidence.iter().enumerate() {
        if let Evidence::Tick {
            px, at_mm, rule, ..
        } = e
        {
            let readings = marked.entry(rule.clone()).or_default();
            readings.push((i, *px, *at_mm));
        }
    }
    let mut found = Vec::new();
    for (rule, mut readings) in marked {
        readings.sort_by(|a, b| a.2.total_cmp(&b.2));
        let (first, last) = (readings[0], readings[readings.len() - 1]);
        let apart = (last.1[0] - first.1[0]).hypot(last.1[1] - first.1[1]);
        let [least, most] = READING_REACH_PX;
        let reach = (READING_REACH_MM * apart / (last.2 - first.2)).clamp(least, most);
        match ticks(grey, [(first.1, first.2), (last.1, last.2)], reach) {
            Ok(read) => {
                let mut places: Vec<usize> = readings.iter().map(|r| r.0).collect();
                places.sort_unstable();
                for (i, tick) in read.ticks.iter().enumerate() {
                    let tick = Evidence::Tick {
                        px: tick.px,
                        at_mm: tick.at_mm,
                        rule: rule.clone(),
                        sd_px: spreads.then_some(tick.sd_px),
                    };
                    match places.get(i) {
                        Some(place) => evidence[*place] = tick,
                        None => evidence.push(tick),
                    }
                }
                found.push(Rule { name: rule, read });
            }
            Err(why) => notes.push(format!(
                "evidence[{}]: rule \"{rule}\" was used as marked. {why}",
                first.0
            )),
        }
    }
    found
}
