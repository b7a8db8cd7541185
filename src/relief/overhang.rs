//! Where the piece closes behind its own forms: no photo from the front and no probe shows it, so
//! its user brushes over it.

use super::HeightMap;
use super::cover::Cover;
use super::near::from_stretch;
use super::surface::Grid;
use crate::quantity::{Millimetres, SquareMillimetres};
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A stroke over something that overhangs, on the wall.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Overhang {
    /// The stroke's line, in millimetres on the wall; a tap is one place.
    pub path: Vec<Mm>,
    /// Half of the stroke's width.
    pub radius: Millimetres,
}

impl Overhang {
    /// Refuses strokes that cover nothing.
    pub fn check(&self) -> Result<(), SurveyError> {
        let places = || self.path.iter().flatten();
        if self.path.is_empty() || !places().all(|x| x.abs() <= 1e6) {
            return Err(SurveyError::at(
                "overhang.path",
                tr("An overhang is marked by a stroke over it. Draw it again."),
            ));
        }
        if !(self.radius.0 > 0.0 && self.radius.0 <= 1000.0) {
            return Err(SurveyError::at(
                "overhang.radius",
                tr("The stroke's half width has to be above zero and one metre at most."),
            ));
        }
        Ok(())
    }

    /// Whether it covers the place.
    pub fn covers(&self, place: Mm) -> bool {
        let near = |a: Mm, b: Mm| from_stretch(place, a, b) <= self.radius.0;
        match self.path.as_slice() {
            [only] => near(*only, *only),
            path => path.windows(2).any(|pair| near(pair[0], pair[1])),
        }
    }
}

/// The developed surface under the strokes, each place counted once, as the map shows it from the
/// front. What hides behind it is not in it.
pub fn overhung(map: &HeightMap, cover: &Cover, strokes: &[Overhang]) -> SquareMillimetres {
    let frame = map.frame();
    let square = frame.step.0 * frame.step.0;
    let wide = frame.columns + 1;
    let grid = Grid::of(map.heights(), 1.0, cover);
    let mut area = 0.0;
    grid.for_parts(cover, |part| {
        let [column, row] = [part.index % wide, part.index / wide].map(|n| n as f64 - 0.5);
        let place = frame.place(column, row);
        if strokes.iter().any(|stroke| stroke.covers(place)) {
            area += part.stretch() * part.share * square;
        }
    });
    SquareMillimetres(area)
}
