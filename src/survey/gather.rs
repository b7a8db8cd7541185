//! The evidence of a request, checked and in order.

use super::{Evidence, ImageSize, Mm, Px, SurveyError, WallProblem};
use crate::say;
use crate::words::tr;
use nalgebra::{Unit, Vector3};

/// No wall is longer than a kilometre.
pub(super) const FARTHEST_MM: f64 = 1e6;

/// Where a mark is seen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) px: Px,
    /// Standard deviation along x and along y, in pixels.
    pub(super) sd: f64,
    /// Its index among the evidence.
    pub(super) index: usize,
}

/// A mark of known place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    pub(super) spot: Spot,
    pub(super) mm: Mm,
}

/// A reading on a rule.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tick {
    pub(super) spot: Spot,
    /// What the rule reads there, in millimetres.
    pub(super) at: f64,
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
    #[expect(
        clippy::expect_used,
        reason = "rules with fewer readings are refused before"
    )]
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
            let size = problem.image_size_px;
            let spot = |px: Px, own_sd: Option<f64>| {
                size.check(px, &field("px"))?;
                let sd = own_sd.unwrap_or(problem.point_sd_px);
                check_spread(sd, size, &field("sd_px"))?;
                Ok(Spot { px, sd, index })
            };
            let near = |x: f64, part: &str| {
                if x.abs() <= FARTHEST_MM {
                    return Ok(());
                }
                Err(SurveyError::at(
                    field(part),
                    tr("A known place must lie within a kilometre, in millimetres."),
                ))
            };
            match evidence {
                Evidence::Point { px, mm, sd_px } => {
                    let (spot, mm) = (spot(*px, *sd_px)?, *mm);
                    mm.iter().try_for_each(|x| near(*x, "mm"))?;
                    all.marks.push(Mark { spot, mm });
                }
                Evidence::Tick {
                    px,
                    at_mm,
                    rule,
                    sd_px,
                } => {
                    let (spot, at) = (spot(*px, *sd_px)?, *at_mm);
                    near(at, "at_mm")?;
                    all.rule(rule).ticks.push(Tick { spot, at });
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
        let places = self.marks.iter().map(|mark| (mark.spot, mark.mm));
        apart(places.collect(), "mm")?;
        for rule in &self.rules {
            let name = &rule.name;
            let Some(first) = rule.ticks.first() else {
                return Err(SurveyError::at(
                    "evidence",
                    say!(
                        "Rule {name} has no readings. Mark two of its readings, well apart.",
                        name
                    ),
                ));
            };
            if rule.ticks.len() < 2 {
                return Err(SurveyError::at(
                    format!("evidence[{}]", first.spot.index),
                    say!(
                        "Rule {name} has one reading only, which says nothing of its length. Mark \
                         a second one, well away from the first.",
                        name
                    ),
                ));
            }
            let places = rule.ticks.iter();
            apart(places.map(|t| (t.spot, [t.at, 0.0])).collect(), "at_mm")?;
            if rule.level && rule.plumb {
                return Err(SurveyError::at(
                    "evidence",
                    say!(
                        "Rule {name} can't be level and plumb at once. Keep the true one.",
                        name
                    ),
                ));
            }
        }
        Ok(())
    }
}

/// Refuses a mark's spread that no mark has; `field` is its path in the request.
pub(super) fn check_spread(sd: f64, size: ImageSize, field: &str) -> Result<(), SurveyError> {
    if sd > 0.0 && sd <= size.longer() {
        return Ok(());
    }
    Err(SurveyError::at(
        field,
        tr(
            "The spread of a mark must be more than 0 and less than the picture. Half a pixel is \
         usual.",
        ),
    ))
}

/// Refuses two marks at one place.
fn apart(places: Vec<(Spot, Mm)>, part: &str) -> Result<(), SurveyError> {
    for (i, a) in places.iter().enumerate() {
        for b in &places[..i] {
            let seen_alike = a.0.px == b.0.px;
            if seen_alike || a.1 == b.1 {
                let part = if seen_alike { "px" } else { part };
                return Err(SurveyError::at(
                    format!("evidence[{}].{part}", a.0.index),
                    say!(
                        "Marks {index} and {index_2} are at the same place. Move one of them, or take it away.",
                        index = b.0.index + 1,
                        index_2 = a.0.index + 1
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
            tr("Gravity must be a direction of length 1: x right, y down, z forward."),
        ));
    }
    let sd = problem.gravity_sd_deg;
    if !(sd > 0.0 && sd <= 90.0) {
        return Err(SurveyError::at(
            "gravity_sd_deg",
            tr("The spread of gravity must be more than 0 and at most 90 degrees."),
        ));
    }
    Ok(Some((Unit::new_normalize(down), sd.to_radians())))
}
