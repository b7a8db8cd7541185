//! The evidence of a request, checked and in order.

use super::{Evidence, Mm, Px, SurveyError, WallProblem};
use nalgebra::{Unit, Vector3};

/// No wall is longer than a kilometre.
pub(super) const FARTHEST_MM: f64 = 1e6;

/// A mark of known place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    pub(super) px: Px,
    pub(super) mm: Mm,
    /// Its index among the evidence.
    pub(super) index: usize,
}

/// A reading on a rule.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tick {
    pub(super) px: Px,
    /// What the rule reads there, in millimetres.
    pub(super) at: f64,
    /// Its index among the evidence.
    pub(super) index: usize,
}

/// A straight rule on the wall.
#[derive(Clone, Debug)]
pub(super) struct Rule {
    pub(super) name: String,
    pub(super) ticks: Vec<Tick>,
    /// It was held level.
    pub(super) level: bool,
    /// It was held plumb.
    pub(super) plumb: bool,
}

impl Rule {
    /// The reading about the middle of its marks.
    pub(super) fn middle(&self) -> f64 {
        self.ticks.iter().map(|tick| tick.at).sum::<f64>() / self.ticks.len() as f64
    }

    /// The two readings furthest apart.
    pub(super) fn ends(&self) -> [Tick; 2] {
        let by_reading = |a: &&Tick, b: &&Tick| a.at.total_cmp(&b.at);
        let first = self.ticks.iter().min_by(by_reading);
        let last = self.ticks.iter().max_by(by_reading);
        [first, last].map(|tick| *tick.expect("a rule has its two readings"))
    }
}

/// Known points and rules, each sound in itself.
#[derive(Clone, Debug)]
pub(super) struct Gathered {
    pub(super) marks: Vec<Mark>,
    pub(super) rules: Vec<Rule>,
}

impl Gathered {
    /// Reads the evidence, or says what is wrong with it by its path in the request.
    pub(super) fn read(problem: &WallProblem) -> Result<Self, SurveyError> {
        let mut all = Self {
            marks: Vec::new(),
            rules: Vec::new(),
        };
        for (index, evidence) in problem.evidence.iter().enumerate() {
            let field = |part: &str| format!("evidence[{index}].{part}");
            let seen = |px: Px| problem.image_size_px.check(px, &field("px"));
            let near = |x: f64, part: &str| {
                if x.abs() <= FARTHEST_MM {
                    return Ok(());
                }
                Err(SurveyError::at(
                    field(part),
                    "A known place must lie within a kilometre, in millimetres.",
                ))
            };
            match evidence {
                Evidence::Point { px, mm } => {
                    seen(*px)?;
                    mm.iter().try_for_each(|x| near(*x, "mm"))?;
                    let (px, mm) = (*px, *mm);
                    all.marks.push(Mark { px, mm, index });
                }
                Evidence::Tick { px, at_mm, rule } => {
                    seen(*px)?;
                    near(*at_mm, "at_mm")?;
                    let (px, at) = (*px, *at_mm);
                    all.rule(rule).ticks.push(Tick { px, at, index });
                }
                Evidence::Level { rule } => all.rule(rule).level = true,
                Evidence::Plumb { rule } => all.rule(rule).plumb = true,
            }
        }
        all.check()?;
        Ok(all)
    }

    fn rule(&mut self, name: &str) -> &mut Rule {
        let found = self.rules.iter().position(|rule| rule.name == name);
        let place = found.unwrap_or_else(|| {
            self.rules.push(Rule {
                name: name.to_owned(),
                ticks: Vec::new(),
                level: false,
                plumb: false,
            });
            self.rules.len() - 1
        });
        &mut self.rules[place]
    }

    fn check(&self) -> Result<(), SurveyError> {
        let places = self.marks.iter().map(|mark| (mark.index, mark.px, mark.mm));
        apart(places.collect(), "mm")?;
        for rule in &self.rules {
            let name = &rule.name;
            let Some(first) = rule.ticks.first() else {
                return Err(SurveyError::at(
                    "evidence",
                    format!("Rule {name} has no readings. Mark two of its readings, well apart."),
                ));
            };
            if rule.ticks.len() < 2 {
                return Err(SurveyError::at(
                    format!("evidence[{}]", first.index),
                    format!(
                        "Rule {name} has one reading only, which says nothing of its length. Mark \
                         a second one, well away from the first."
                    ),
                ));
            }
            let places = rule.ticks.iter();
            apart(
                places.map(|t| (t.index, t.px, [t.at, 0.0])).collect(),
                "at_mm",
            )?;
            if rule.level && rule.plumb {
                return Err(SurveyError::at(
                    "evidence",
                    format!("Rule {name} can't be level and plumb at once. Keep the true one."),
                ));
            }
        }
        Ok(())
    }
}

/// Refuses two marks at one place.
fn apart(places: Vec<(usize, Px, Mm)>, part: &str) -> Result<(), SurveyError> {
    for (i, a) in places.iter().enumerate() {
        for b in &places[..i] {
            if a.1 == b.1 || a.2 == b.2 {
                let part = if a.1 == b.1 { "px" } else { part };
                return Err(SurveyError::at(
                    format!("evidence[{}].{part}", a.0),
                    format!(
                        "Marks {} and {} are at the same place. Move one of them, or take it away.",
                        b.0 + 1,
                        a.0 + 1
                    ),
                ));
            }
        }
    }
    Ok(())
}

/// A direction in the camera's frame, and its spread in radians.
pub(super) type Direction = (Unit<Vector3<f64>>, f64);

/// Gravity as it was measured.
pub(super) fn gravity(problem: &WallProblem) -> Result<Option<Direction>, SurveyError> {
    let Some(g) = problem.gravity else {
        return Ok(None);
    };
    let down = Vector3::from(g);
    let length = down.norm();
    if !(length > 0.5 && length < 2.0) {
        return Err(SurveyError::at(
            "gravity",
            "Gravity must be a direction of length 1: x right, y down, z forward.",
        ));
    }
    let sd = problem.gravity_sd_deg;
    if !(sd > 0.0 && sd <= 90.0) {
        return Err(SurveyError::at(
            "gravity_sd_deg",
            "The spread of gravity must be more than 0 and at most 90 degrees.",
        ));
    }
    Ok(Some((Unit::new_normalize(down), sd.to_radians())))
}
