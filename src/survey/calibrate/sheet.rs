//! The sheet that is printed and photographed: a grid of black and white squares, with three dots
//! near its middle that tell which way up it is, and how it is to be used.

use super::grid::Target;
use crate::words::{mark, tr};
use std::fmt::Write as _;

/// What the sheet is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm: ISO 216 (published).
    A4,
    /// 8 1/2 by 11 inches (from memory).
    Letter,
}

impl Paper {
    /// Width and height of the upright sheet, in millimetres.
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

/// The side of a square, in millimetres: the grid then fits both papers, and a phone that takes in
/// the whole sheet sees each square some fifty pixels wide or more.
pub const SQUARE_MM: f64 = 18.0;

/// The radius of a dot, as a share of a square's side: clear of the corners' surroundings.
const DOT: f64 = 0.22;

/// Printers leave out a border of a few millimetres (common practice, no source).
const MARGIN_MM: f64 = 13.0;

/// The length of the line that shows whether the printer kept the size, in millimetres.
const LINE_MM: f64 = 150.0;

/// The sheet as an SVG of its true size, black on white.
///
/// ```
/// use peelcast::survey::calibrate::{Paper, sheet};
/// let drawn = sheet(Paper::A4);
/// assert!(drawn.starts_with("<svg") && drawn.contains("width=\"210mm\" height=\"297mm\""));
/// ```
pub fn sheet(paper: Paper) -> String {
    let [width, height] = paper.size_mm();
    // A grid of so many inner corners has a square more each way.
    let (columns, rows) = (Target::SHEET.columns + 1, Target::SHEET.rows + 1);
    let left = (width - f64::from(columns) * SQUARE_MM) / 2.0;
    let top = MARGIN_MM;
    let corner = |column: u32, row: u32| {
        [
            left + f64::from(column) * SQUARE_MM,
            top + f64::from(row) * SQUARE_MM,
        ]
    };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\">\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n<path d=\""
    );
    // Writing to a text never fails.
    for row in 0..rows {
        for column in (0..columns).filter(|column| dark(*column, row)) {
            let [x, y] = corner(column, row);
            let _ = write!(svg, "M{x:.2} {y:.2}h{SQUARE_MM}v{SQUARE_MM}h-{SQUARE_MM}z");
        }
    }
    svg.push_str("\" shape-rendering=\"crispEdges\"/>\n");
    for (column, row) in Target::DOTS {
        let (column, row) = (column + 1, row + 1);
        let [x, y] = corner(column, row).map(|c| c + SQUARE_MM / 2.0);
        let fill = if dark(column, row) { "#fff" } else { "#000" };
        let radius = DOT * SQUARE_MM;
        let _ = writeln!(
            svg,
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{radius}\" fill=\"{fill}\"/>"
        );
    }
    let below = top + f64::from(rows) * SQUARE_MM;
    let (from, to) = ((width - LINE_MM) / 2.0, (width + LINE_MM) / 2.0);
    let line = below + 7.0;
    let _ = writeln!(
        svg,
        "<path d=\"M{from:.2} {line}H{to:.2}M{from:.2} {high}v4M{to:.2} {high}v4\" \
         fill=\"none\" stroke=\"#000\" stroke-width=\"0.3\"/>",
        high = line - 2.0
    );
    let _ = writeln!(
        svg,
        "<text x=\"{middle}\" y=\"{text}\" font-family=\"sans-serif\" font-size=\"3.4\" \
         text-anchor=\"middle\">{says}</text>\n</svg>",
        middle = width / 2.0,
        text = below + 12.5,
        says = tr(SAYS)
    );
    svg
}

const SAYS: &str = mark(
    "Print at 100 %: this line is 150 mm. Lay the sheet flat and photograph it \
    five times, each from another side.",
);

/// Whether a square of the grid is dark: those in the corners are.
fn dark(column: u32, row: u32) -> bool {
    (column + row).is_multiple_of(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_is_drawn_stands_within_what_printers_keep() {
        for paper in [Paper::A4, Paper::Letter] {
            let [width, height] = paper.size_mm();
            let wide = f64::from(Target::SHEET.columns + 1) * SQUARE_MM;
            let tall = f64::from(Target::SHEET.rows + 1) * SQUARE_MM;
            assert!((width - wide.max(LINE_MM)) / 2.0 >= 12.0);
            // The lowest is the text, whose letters hang a millimetre below its line.
            assert!(height - (MARGIN_MM + tall + 13.5) >= 12.0);
        }
    }

    #[test]
    fn half_the_squares_are_dark_and_three_bear_a_dot() {
        let drawn = sheet(Paper::Letter);
        assert_eq!(drawn.matches('M').count(), 9 * 13 / 2 + 1 + 3);
        assert_eq!(drawn.matches("<circle").count(), 3);
        // Two of the dots lie in squares of one colour, the third in the other.
        let white = drawn.matches("fill=\"#fff\"").count() - 1;
        assert!(white == 1 || white == 2, "{white}");
    }
}
