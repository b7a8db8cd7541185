//! What can be the reference, and the edges on which a tool is read.

use crate::quantity::Millimetres;
use crate::survey::{Held, MarkTool, RectangleKind, Reference, Side};
use crate::words::tr;

/// What the reference is, without its marks: the choice that the page offers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Card,
    A4,
    Letter,
    Own,
    Square,
    Rule,
    Edge,
    Shared,
}

impl Kind {
    /// All kinds in the order in which they are offered.
    pub const ALL: [Self; 8] = [
        Self::Card,
        Self::A4,
        Self::Letter,
        Self::Own,
        Self::Square,
        Self::Rule,
        Self::Edge,
        Self::Shared,
    ];

    /// Its name in the page's source.
    pub fn key(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::A4 => "a4",
            Self::Letter => "letter",
            Self::Own => "own",
            Self::Square => "square",
            Self::Rule => "rule",
            Self::Edge => "edge",
            Self::Shared => "shared",
        }
    }

    /// Its name as people read it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Card => tr("Bank card"),
            Self::A4 => tr("A4 sheet"),
            Self::Letter => tr("US Letter sheet"),
            Self::Own => tr("Own rectangle"),
            Self::Square => tr("Carpenter’s square"),
            Self::Rule => tr("Broad rule, both edges"),
            Self::Edge => tr("Rule, one edge"),
            Self::Shared => tr("Places shared with the photo before"),
        }
    }

    /// The kind of a reference.
    pub fn of(reference: &Reference) -> Self {
        match reference {
            Reference::Rectangle { kind, .. } => match kind {
                RectangleKind::Card => Self::Card,
                RectangleKind::A4 => Self::A4,
                RectangleKind::Letter => Self::Letter,
                RectangleKind::Own { .. } => Self::Own,
            },
            Reference::Marks { tool, .. } => match tool {
                MarkTool::Square => Self::Square,
                MarkTool::Rule { .. } => Self::Rule,
                MarkTool::Edges { .. } => Self::Edge,
            },
            Reference::Ties { .. } => Self::Shared,
        }
    }

    /// Whether it is marked by its four corners, rather than at readings.
    pub fn has_corners(self) -> bool {
        !matches!(self, Self::Square | Self::Rule | Self::Edge | Self::Shared)
    }

    /// The two edges on which readings lie, with their names; `None` for rectangles.
    pub fn sides(self) -> Option<[(Side, &'static str); 2]> {
        match self {
            Self::Square => Some(square_sides()),
            Self::Rule => Some([
                (Side::ScaleEdge, tr("Numbered edge")),
                (Side::OtherEdge, tr("Other edge")),
            ]),
            Self::Edge => Some([
                (Side::FirstRule, tr("First rule")),
                (Side::SecondRule, tr("Second rule")),
            ]),
            _ => None,
        }
    }

    /// A reference of this kind without marks; sizes that only the user knows are still zero,
    /// which the survey asks to be typed.
    pub fn bare(self) -> Reference {
        let unknown = Millimetres(0.0);
        let rectangle = |kind| Reference::Rectangle {
            kind,
            corners: Vec::new(),
        };
        let tool = |tool| Reference::Marks {
            tool,
            marks: Vec::new(),
        };
        match self {
            Self::Card => rectangle(RectangleKind::Card),
            Self::A4 => rectangle(RectangleKind::A4),
            Self::Letter => rectangle(RectangleKind::Letter),
            Self::Own => rectangle(RectangleKind::Own {
                width: unknown,
                height: unknown,
            }),
            Self::Square => tool(MarkTool::Square),
            Self::Rule => tool(MarkTool::Rule { width: unknown }),
            Self::Edge => tool(MarkTool::Edges {
                held: [Held::default(); 2],
            }),
            Self::Shared => Reference::Ties { ties: Vec::new() },
        }
    }
}

/// The edge of the new tool that stands for an edge of the old one.
pub fn side_of(kind: Kind, side: Side) -> Side {
    let first = matches!(side, Side::LongArm | Side::ScaleEdge | Side::FirstRule);
    let sides = kind.sides().unwrap_or_else(square_sides);
    sides[usize::from(!first)].0
}

fn square_sides() -> [(Side, &'static str); 2] {
    [
        (Side::LongArm, tr("Long arm")),
        (Side::ShortArm, tr("Short arm")),
    ]
}
