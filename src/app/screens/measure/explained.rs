//! How the figures came about: what went in, the formula in words, and whose word it is.

use super::bench::Findings;
use super::kind::Kind;
use super::marks::Marks;
use crate::coating::{Explanation, Source};
use crate::job::sides;
use crate::quantity::{Amount, Estimate, Millimetres, Z95, show};
use crate::words::tr;

/// The camera's stand, the footprint, its edge, tilt and size, explained; nothing before all are known.
pub fn explained(findings: &Findings, marks: &Marks) -> Vec<Explanation> {
    let (Ok(wall), Some(Ok(footprint))) = (&findings.wall, &findings.footprint) else {
        return Vec::new();
    };
    let text = |text: &str| Amount::Text(text.to_owned());
    let count = |n: usize| Amount::Count(u32::try_from(n).unwrap_or(u32::MAX));
    let kind = marks.kind();
    let points = marks.outline().len() + marks.holes().iter().map(Vec::len).sum::<usize>();
    let mut wall_inputs = vec![
        (tr("Reference").to_owned(), text(kind.name())),
        (
            tr("Its marks").to_owned(),
            count(marks.reference_places().len()),
        ),
        (
            tr("Lens").to_owned(),
            text(if wall.lens_known() {
                tr("known, from the lens card or from what the photo’s file says")
            } else {
                tr("taken as a phone’s main camera, not digitally zoomed")
            }),
        ),
    ];
    let ring_inputs = vec![
        (tr("Points traced").to_owned(), count(points)),
        (tr("Holes").to_owned(), count(footprint.holes_mm.len())),
        (
            tr("Neighbours, spared by the border").to_owned(),
            count(footprint.neighbours_mm.len()),
        ),
        (
            tr("A mark’s spread, in photo pixels").to_owned(),
            Amount::Number(findings.marking_sd_px),
        ),
    ];
    let tilted = Amount::Text(show::angle_range(&footprint.tilt));
    let tilt = Explanation {
        what: tr("Tilt").to_owned(),
        result: tilted.clone(),
        inputs: wall_inputs.clone(),
        formula: tr("The angle between the way the camera looked and straight onto the wall, from the same stand. The flatter it looked, the more a mark’s error counts.").to_owned(),
        source: size_source(kind),
    };
    wall_inputs.push((tr("Tilt").to_owned(), tilted));
    let size = sides(&footprint.outline_mm).map(|[long, short]| Explanation {
        what: tr("Longer side").to_owned(),
        result: Amount::Length(Millimetres(long.0.round())),
        inputs: vec![
            (
                tr("Shorter side").to_owned(),
                Amount::Length(Millimetres(short.0.round())),
            ),
            (tr("Points traced").to_owned(), count(points)),
        ],
        formula: tr(
            "How far the outline reaches on the wall, along and across the photo’s own sides.",
        )
        .to_owned(),
        source: Source::Computed(tr("the outline laid back onto the wall").to_owned()),
    });
    let mut all = vec![
        Explanation {
            what: tr("Camera’s distance").to_owned(),
            result: Amount::LengthRange(wall.distance()),
            inputs: wall_inputs,
            formula: tr("The marks on the reference, whose true places are known, fix how the camera stood before the wall: the stand that puts them where they are seen, by least squares.").to_owned(),
            source: size_source(kind),
        },
        Explanation {
            what: tr("Footprint").to_owned(),
            result: Amount::AreaRange(footprint.area),
            inputs: ring_inputs.clone(),
            formula: tr("Each point of the outline is laid back onto the wall; the area is what the points enclose there, less the holes. The range holds the truth 95 times in 100, if the marks are set no worse than that spread and all lie on the flat ground of the ornament.").to_owned(),
            source: Source::Computed(tr("area of a polygon from its corners").to_owned()),
        },
        Explanation {
            what: tr("Edge").to_owned(),
            result: Amount::LengthRange(footprint.perimeter),
            inputs: ring_inputs,
            formula: tr("The lengths from point to point on the wall, added up; the edges of holes count as well.").to_owned(),
            source: Source::Computed(tr("length of a polygon").to_owned()),
        },
        tilt,
    ];
    all.extend(size);
    all
}

/// How the section on a gauge came about; nothing while its line is not done.
pub fn of_section(findings: &Findings, marks: &Marks) -> Option<Explanation> {
    let found = findings.section.as_ref()?.as_ref().ok()?;
    let tenth = |mm: f64| Amount::Length(Millimetres((mm * 10.0).round() / 10.0));
    Some(Explanation {
        what: tr("Length of the section").to_owned(),
        result: tenth(found.length().0),
        inputs: vec![
            (tr("Highest point").to_owned(), tenth(found.highest().0)),
            (tr("Each height give or take").to_owned(), tenth(Z95 * found.sd.0)),
            (
                tr("Reference").to_owned(),
                Amount::Text(marks.kind().name().to_owned()),
            ),
            (
                tr("A mark’s spread, in photo pixels").to_owned(),
                Amount::Number(findings.marking_sd_px),
            ),
        ],
        formula: tr("The tapped line is laid back onto the plane of the reference. Its length runs from the first point to the last; heights stand square on the line between these two.").to_owned(),
        source: size_source(marks.kind()),
    })
}

/// How a distance between two taps came about.
pub fn of_distance(
    length: Estimate<Millimetres>,
    findings: &Findings,
    marks: &Marks,
) -> Explanation {
    Explanation {
        what: tr("Distance").to_owned(),
        result: Amount::LengthRange(length),
        inputs: vec![
            (
                tr("Reference").to_owned(),
                Amount::Text(marks.kind().name().to_owned()),
            ),
            (
                tr("A mark’s spread, in photo pixels").to_owned(),
                Amount::Number(findings.marking_sd_px),
            ),
        ],
        formula: tr("Both taps are laid back onto the wall; the distance is the straight line between them there. The range comes from the taps’ spread and from what is not known of the camera’s stand.").to_owned(),
        source: size_source(marks.kind()),
    }
}

/// Whose word the size of the reference is.
fn size_source(kind: Kind) -> Source {
    match kind {
        Kind::Card => Source::Published(tr("ISO/IEC 7810, format ID-1").to_owned()),
        Kind::A4 => Source::Published("ISO 216".to_owned()),
        Kind::Letter => Source::FromMemory,
        Kind::Own | Kind::Square | Kind::Rule | Kind::Edge | Kind::Shared => Source::YourChoice,
    }
}
