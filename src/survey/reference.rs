//! The reference: the thing of known size that lies on the wall beside the ornament.

use super::{Evidence, Px, SurveyError, Tie};
use crate::quantity::Millimetres;
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A rectangle of known size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum RectangleKind {
    /// A bank card: ISO/IEC 7810 ID-1 (published). Its corners are round: a corner is where the
    /// straight edges would cross.
    Card,
    /// A sheet of A4: ISO 216 (published).
    A4,
    /// A sheet of US Letter, 8 1/2 by 11 inches (from memory).
    Letter,
    /// The user's own rectangle, as it is seen: width from left to right.
    Own {
        /// From left to right.
        width: Millimetres,
        /// From top to bottom.
        height: Millimetres,
    },
}

impl RectangleKind {
    /// Width and height of the rectangle as it lies. A card or a sheet may be turned: it counts
    /// as lying where it is seen wider than high.
    fn size(self, seen_wide: bool) -> Result<[f64; 2], SurveyError> {
        let [long, short] = match self {
            Self::Card => [85.60, 53.98],
            Self::A4 => [297.0, 210.0],
            Self::Letter => [279.4, 215.9],
            Self::Own { width, height } => {
                check_size(width, tr("rectangle's width"))?;
                check_size(height, tr("rectangle's height"))?;
                return Ok([width.0, height.0]);
            }
        };
        Ok(if seen_wide {
            [long, short]
        } else {
            [short, long]
        })
    }
}

/// A measuring tool whose readings are marked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum MarkTool {
    /// A carpenter's square, read along the outer edges of both arms from the outer corner.
    Square,
    /// A straight rule, marked at readings on both of its long edges.
    Rule {
        /// From one long edge to the other.
        width: Millimetres,
    },
    /// One straight edge with readings, or two that lie anyhow to each other.
    Edges {
        /// How the first and the second are held.
        held: [Held; 2],
    },
}

/// How a straight edge is held against the wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Held {
    /// Any way.
    #[default]
    Anyhow,
    /// Level by its bubble, or by a spirit level laid on it.
    Level,
    /// Plumb, in the same way.
    Plumb,
}

/// Which edge of the tool a mark lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Side {
    /// The outer edge of a square's long arm.
    LongArm,
    /// The outer edge of a square's short arm.
    ShortArm,
    /// The edge of a rule that carries the numbers.
    ScaleEdge,
    /// The other long edge of a rule, at the same reading straight across.
    OtherEdge,
    /// The first straight edge.
    FirstRule,
    /// The second straight edge.
    SecondRule,
}

/// A reading and where it is seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleMark {
    /// Where the reading is seen, in pixels.
    pub px: Px,
    /// What the tool reads there.
    pub at: Millimetres,
    /// The edge the mark lies on.
    pub side: Side,
}

/// What is smaller than this fixes no wall, and a typed size beyond the largest is a slip.
const SMALLEST: Millimetres = Millimetres(5.0);
const LARGEST: Millimetres = Millimetres(20_000.0);

/// What the user marked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Reference {
    /// A rectangle by its four corners, in any order.
    Rectangle {
        /// Which rectangle.
        kind: RectangleKind,
        /// Up to four corners, in pixels.
        corners: Vec<Px>,
    },
    /// A square or a rule by marks at known readings.
    Marks {
        /// Which tool.
        tool: MarkTool,
        /// The readings.
        marks: Vec<RuleMark>,
    },
    /// Nothing of known size: places that the photo before shows as well.
    Ties {
        /// The places.
        ties: Vec<Tie>,
    },
}

impl Reference {
    /// The points this reference makes known, in the order of the marks; the wall's x then runs
    /// about to the right of the picture and y about downwards, or along the tool.
    ///
    /// ```
    /// use peelcast::survey::{Evidence, RectangleKind, Reference};
    /// let card = Reference::Rectangle {
    ///     kind: RectangleKind::Card,
    ///     corners: vec![[100.0, 100.0], [300.0, 102.0], [298.0, 228.0], [101.0, 225.0]],
    /// };
    /// let Evidence::Point { mm, .. } = &card.evidence().unwrap()[2] else { unreachable!() };
    /// assert_eq!(*mm, [85.60, 53.98]);
    /// ```
    pub fn evidence(&self) -> Result<Vec<Evidence>, SurveyError> {
        match self {
            Self::Rectangle { kind, corners } => rectangle(*kind, corners),
            Self::Marks { tool, marks } => match tool {
                MarkTool::Square => square(marks),
                MarkTool::Rule { width } => rule(*width, marks),
                MarkTool::Edges { held } => straight(held, marks),
            },
            Self::Ties { .. } => Err(SurveyError::at(
                "reference",
                tr("Shared places tell nothing without the photo before."),
            )),
        }
    }
}

fn minus(a: Px, b: Px) -> Px {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(a: Px, b: Px) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn length(a: Px) -> f64 {
    a[0].hypot(a[1])
}

/// Accepts the measured size of a reference, or says what it has to be. `what` names it, such as
/// "width".
pub fn check_size(size: Millimetres, what: &str) -> Result<(), SurveyError> {
    if (SMALLEST.0..=LARGEST.0).contains(&size.0) {
        return Ok(());
    }
    Err(SurveyError::at(
        "reference",
        say!(
            "The {what} has to be between 5 mm and 20 m (3/16 in and 65 ft): type the measured \
             size.",
            what
        ),
    ))
}

fn rectangle(kind: RectangleKind, corners: &[Px]) -> Result<Vec<Evidence>, SurveyError> {
    if corners.len() != 4 {
        return Err(SurveyError::at(
            "reference.corners",
            match 4_usize.checked_sub(corners.len()) {
                Some(1) => tr("Mark one more corner.").to_owned(),
                Some(left) => say!("Mark {left} more corners.", left),
                None => say!(
                    "A rectangle has four corners, and {corners} are marked: take some away.",
                    corners = corners.len()
                ),
            },
        ));
    }
    if !corners.iter().flatten().all(|x| x.is_finite()) {
        return Err(SurveyError::at(
            "reference.corners",
            tr("A corner isn't at an ordinary place: mark it again."),
        ));
    }
    // A thumb may take the corners in any order: sort them clockwise about their middle, and
    // start with the one nearest to the picture's top left.
    let middle = [0, 1].map(|axis| corners.iter().map(|c| c[axis]).sum::<f64>() / 4.0);
    let mut round: Vec<usize> = (0..4).collect();
    let turn = |i: usize| {
        let d = minus(corners[i], middle);
        d[1].atan2(d[0])
    };
    round.sort_by(|&a, &b| turn(a).total_cmp(&turn(b)));
    let first = (0..4)
        .min_by(|&a, &b| {
            let sum = |k: usize| corners[round[k]][0] + corners[round[k]][1];
            sum(a).total_cmp(&sum(b))
        })
        .unwrap_or(0);
    round.rotate_left(first);
    let quad: [Px; 4] = std::array::from_fn(|k| corners[round[k]]);
    let edge = |k: usize| minus(quad[(k + 1) % 4], quad[k]);
    if (0..4).any(|k| cross(edge(k), edge((k + 1) % 4)) <= 0.0) {
        return Err(SurveyError::at(
            "reference.corners",
            tr(
                "These four marks aren't the corners of a rectangle: one lies between the others. \
             Move each mark to its corner.",
            ),
        ));
    }
    let across = length(edge(0)) + length(edge(2));
    let down = length(edge(1)) + length(edge(3));
    let [width, height] = kind.size(across >= down)?;
    let places = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
    let mut evidence = vec![None; 4];
    for (k, &i) in round.iter().enumerate() {
        evidence[i] = Some(Evidence::Point {
            px: corners[i],
            mm: places[k],
            sd_px: None,
        });
    }
    Ok(evidence.into_iter().flatten().collect())
}

/// Refuses a mark without a reading, or on none of the tool's edges.
fn check_marks(marks: &[RuleMark], names: [(Side, &str); 2]) -> Result<(), SurveyError> {
    for (i, mark) in marks.iter().enumerate() {
        if !(mark.at.0.is_finite() && mark.px.iter().all(|x| x.is_finite())) {
            return Err(SurveyError::at(
                format!("reference.marks[{i}]"),
                tr("This mark has no ordinary reading: type it again."),
            ));
        }
        if !names.iter().any(|(side, _)| *side == mark.side) {
            return Err(SurveyError::at(
                format!("reference.marks[{i}].side"),
                say!(
                    "This mark must lie on the {names} or on the {names_2}.",
                    names = names[0].1,
                    names_2 = names[1].1
                ),
            ));
        }
    }
    Ok(())
}

/// Whether these marks hold two different readings.
fn two_readings(marks: &[&RuleMark]) -> bool {
    marks.iter().any(|m| (m.at.0 - marks[0].at.0).abs() > 1e-6)
}

/// The two edges of a tool, each with two different readings at least.
fn edges<'a>(
    marks: &'a [RuleMark],
    names: [(Side, &str); 2],
) -> Result<[Vec<&'a RuleMark>; 2], SurveyError> {
    check_marks(marks, names)?;
    let on = |side: Side| marks.iter().filter(|m| m.side == side).collect::<Vec<_>>();
    for (side, name) in names {
        let found = on(side);
        if !two_readings(&found) {
            return Err(SurveyError::at(
                "reference.marks",
                say!("Mark at least two different readings on the {name}.", name),
            ));
        }
    }
    Ok([on(names[0].0), on(names[1].0)])
}

/// The direction in which readings grow on this edge, as seen.
fn growing(edge: &[&RuleMark]) -> Px {
    let by = |a: &&&RuleMark, b: &&&RuleMark| a.at.0.total_cmp(&b.at.0);
    match (edge.iter().max_by(by), edge.iter().min_by(by)) {
        (Some(high), Some(low)) => minus(high.px, low.px),
        _ => [0.0, 0.0],
    }
}

/// Whether the turn from `a` to `b` is clockwise as seen: 1 then, else -1. It keeps the wall's
/// coordinates from coming out mirrored.
fn handedness(a: Px, b: Px) -> f64 {
    if cross(a, b) >= 0.0 { 1.0 } else { -1.0 }
}

fn square(marks: &[RuleMark]) -> Result<Vec<Evidence>, SurveyError> {
    let [long, short] = edges(
        marks,
        [
            (Side::LongArm, tr("long arm")),
            (Side::ShortArm, tr("short arm")),
        ],
    )?;
    let hand = handedness(growing(&long), growing(&short));
    Ok(marks
        .iter()
        .map(|m| Evidence::Point {
            px: m.px,
            mm: match m.side {
                Side::LongArm => [m.at.0, 0.0],
                _ => [0.0, hand * m.at.0],
            },
            sd_px: None,
        })
        .collect())
}

fn rule(width: Millimetres, marks: &[RuleMark]) -> Result<Vec<Evidence>, SurveyError> {
    check_size(width, tr("rule's width"))?;
    let [scale, other] = edges(
        marks,
        [
            (Side::ScaleEdge, tr("edge with the numbers")),
            (Side::OtherEdge, tr("other long edge")),
        ],
    )?;
    let hand = handedness(growing(&scale), minus(other[0].px, scale[0].px));
    Ok(marks
        .iter()
        .map(|m| Evidence::Point {
            px: m.px,
            mm: match m.side {
                Side::ScaleEdge => [m.at.0, 0.0],
                _ => [m.at.0, hand * width.0],
            },
            sd_px: None,
        })
        .collect())
}

fn straight(held: &[Held; 2], marks: &[RuleMark]) -> Result<Vec<Evidence>, SurveyError> {
    let rules = [
        (Side::FirstRule, tr("first rule")),
        (Side::SecondRule, tr("second rule")),
    ];
    check_marks(marks, rules)?;
    let on = |side: Side| marks.iter().filter(|m| m.side == side).collect::<Vec<_>>();
    if !two_readings(&on(Side::FirstRule)) {
        return Err(SurveyError::at(
            "reference.marks",
            tr("Mark at least two different readings on the rule."),
        ));
    }
    let name = |side: Side| rules[usize::from(side == Side::SecondRule)].1.to_owned();
    let ticks = marks.iter().map(|m| Evidence::Tick {
        px: m.px,
        at_mm: m.at.0,
        rule: name(m.side),
        sd_px: None,
    });
    let mut evidence: Vec<Evidence> = ticks.collect();
    for ((side, _), held) in rules.into_iter().zip(held) {
        let rule = name(side);
        if on(side).is_empty() {
            continue;
        }
        match held {
            Held::Anyhow => {}
            Held::Level => evidence.push(Evidence::Level { rule }),
            Held::Plumb => evidence.push(Evidence::Plumb { rule }),
        }
    }
    Ok(evidence)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(reference: &Reference) -> Vec<[f64; 2]> {
        reference
            .evidence()
            .unwrap()
            .into_iter()
            .map(|e| match e {
                Evidence::Point { mm, .. } => mm,
                other => panic!("{other:?}"),
            })
            .collect()
    }

    #[test]
    fn corners_may_be_marked_in_any_order() {
        let card = |corners| Reference::Rectangle {
            kind: RectangleKind::Card,
            corners,
        };
        let (tl, tr, br, bl) = ([10.0, 10.0], [180.0, 12.0], [181.0, 118.0], [9.0, 117.0]);
        let round = places(&card(vec![tl, tr, br, bl]));
        let mixed = places(&card(vec![br, tl, bl, tr]));
        assert_eq!(mixed, vec![round[2], round[0], round[3], round[1]]);
    }

    #[test]
    fn a_card_on_end_is_known_by_its_shape() {
        let tall = Reference::Rectangle {
            kind: RectangleKind::Card,
            corners: vec![[0.0, 0.0], [100.0, 0.0], [101.0, 160.0], [1.0, 160.0]],
        };
        assert_eq!(places(&tall)[2], [53.98, 85.60]);
    }

    #[test]
    fn one_corner_inside_the_others_is_refused() {
        let bad = Reference::Rectangle {
            kind: RectangleKind::A4,
            corners: vec![[0.0, 0.0], [100.0, 0.0], [50.0, 20.0], [50.0, 100.0]],
        };
        assert!(
            bad.evidence()
                .unwrap_err()
                .to_string()
                .contains("between the others")
        );
    }

    #[test]
    fn missing_corners_are_asked_for() {
        let card = Reference::Rectangle {
            kind: RectangleKind::Card,
            corners: vec![[0.0, 0.0]; 3],
        };
        assert_eq!(
            card.evidence().unwrap_err().to_string(),
            "Mark one more corner."
        );
    }

    #[test]
    fn a_square_seen_either_way_round_gives_unmirrored_places() {
        let mark = |px, at, side| RuleMark {
            px,
            at: Millimetres(at),
            side,
        };
        // Long arm to the right, short arm up.
        let up = Reference::Marks {
            tool: MarkTool::Square,
            marks: vec![
                mark([100.0, 500.0], 100.0, Side::LongArm),
                mark([400.0, 500.0], 400.0, Side::LongArm),
                mark([0.0, 400.0], 100.0, Side::ShortArm),
                mark([0.0, 300.0], 200.0, Side::ShortArm),
            ],
        };
        assert_eq!(places(&up)[3], [0.0, -200.0]);
    }

    #[test]
    fn one_straight_edge_gives_its_readings_and_how_it_was_held() {
        let mark = |x: f64, at, side| RuleMark {
            px: [x, 500.0],
            at: Millimetres(at),
            side,
        };
        let held = [Held::Level, Held::Plumb];
        let one = |marks| Reference::Marks {
            tool: MarkTool::Edges { held },
            marks,
        };
        let mut marks = vec![mark(100.0, 10.0, Side::FirstRule)];
        let said = one(marks.clone()).evidence().unwrap_err().to_string();
        assert!(said.contains("two different readings"), "{said}");
        marks.push(mark(400.0, 60.0, Side::FirstRule));
        let evidence = one(marks.clone()).evidence().unwrap();
        assert_eq!(evidence.len(), 3);
        assert!(matches!(&evidence[2], Evidence::Level { rule } if rule == "first rule"));
        marks.push(mark(500.0, 0.0, Side::SecondRule));
        assert_eq!(one(marks.clone()).evidence().unwrap().len(), 5);
        marks.push(mark(500.0, 0.0, Side::LongArm));
        assert!(one(marks).evidence().is_err());
    }

    #[test]
    fn a_rule_needs_two_readings_on_each_edge() {
        let mark = |px, at, side| RuleMark {
            px,
            at: Millimetres(at),
            side,
        };
        let mut marks = vec![
            mark([100.0, 500.0], 100.0, Side::ScaleEdge),
            mark([400.0, 500.0], 400.0, Side::ScaleEdge),
            mark([100.0, 530.0], 100.0, Side::OtherEdge),
        ];
        let tool = MarkTool::Rule {
            width: Millimetres(30.0),
        };
        let few = Reference::Marks {
            tool,
            marks: marks.clone(),
        };
        let said = few.evidence().unwrap_err().to_string();
        assert!(said.contains("other long edge"), "{said}");
        marks.push(mark([400.0, 530.0], 400.0, Side::OtherEdge));
        assert_eq!(places(&Reference::Marks { tool, marks })[3], [400.0, 30.0]);
    }
}
