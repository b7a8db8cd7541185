//! Where the places of a map lie on the wall.

use super::near::bounds;
use crate::quantity::Millimetres;
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// A square grid of places on the wall: columns to the right, rows down.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    /// The place of column 0 in row 0, in millimetres on the wall.
    pub origin: Mm,
    /// How far neighbouring places are apart, both ways.
    pub step: Millimetres,
    /// How many columns.
    pub columns: usize,
    /// How many rows.
    pub rows: usize,
}

/// The most places of a map: 1024 by 1024.
const MOST: usize = 1 << 20;

impl Frame {
    /// The frame around an outline, with `longest` places along its longer side and one step of
    /// wall beyond the outline on every side.
    pub fn around(outline: &[Mm], longest: usize) -> Result<Self, SurveyError> {
        let (low, high) = bounds(outline);
        let sides = [high[0] - low[0], high[1] - low[1]];
        let side = sides[0].max(sides[1]);
        if outline.len() < 3 || !side.is_finite() || side <= 0.0 || longest < 8 {
            return Err(SurveyError::at(
                "outline",
                tr("Trace the outline first: the heights lie inside it."),
            ));
        }
        let step = (side / (longest - 3) as f64).clamp(0.05, 100.0);
        let count = |side: f64| (side / step).ceil() as usize + 3;
        let frame = Self {
            origin: [low[0] - step, low[1] - step],
            step: Millimetres(step),
            columns: count(sides[0]),
            rows: count(sides[1]),
        };
        frame.check()?;
        Ok(frame)
    }

    /// A frame of this step around an outline, with about a fifth of its longer side to spare: what
    /// is known along the outline has room beyond it.
    pub fn stepped(outline: &[Mm], step: Millimetres) -> Result<Self, SurveyError> {
        let whole = Self::around(outline, 8)?;
        let last = whole.place(whole.columns as f64, whole.rows as f64);
        Self::between(whole.origin, last, step)
    }

    /// The same with a place to spare on all sides.
    pub(super) fn fitted(outline: &[Mm], step: Millimetres) -> Result<Self, SurveyError> {
        // What is no outline has no frame of any kind.
        Self::around(outline, 8)?;
        let (low, high) = bounds(outline);
        let beside = |place: Mm, by: f64| place.map(|c| c + by * step.0);
        Self::between(beside(low, -1.0), beside(high, 1.0), step)
    }

    fn between(low: Mm, high: Mm, step: Millimetres) -> Result<Self, SurveyError> {
        let first = low.map(|c| (c / step.0).floor() * step.0);
        let count = |k: usize| ((high[k] - first[k]) / step.0).ceil() as usize + 1;
        let frame = Self {
            origin: first,
            step,
            columns: count(0),
            rows: count(1),
        };
        frame.check()?;
        Ok(frame)
    }

    /// Refuses frames that hold no map, or too large a one.
    pub(in crate::relief) fn check(&self) -> Result<(), SurveyError> {
        let Self { columns, rows, .. } = *self;
        if columns < 2 || rows < 2 || columns.saturating_mul(rows) > MOST {
            return Err(SurveyError::at(
                "rows",
                tr(
                    "A height map needs two rows and two columns at least, and a million places at most.",
                ),
            ));
        }
        if !(self.step.0 >= 0.05 && self.step.0 <= 100.0) {
            return Err(SurveyError::at(
                "step_mm",
                tr("The places of a height map have to be 0.05 to 100 mm apart."),
            ));
        }
        if !self.origin.iter().all(|x| x.abs() <= 1e6) {
            return Err(SurveyError::at(
                "origin_mm",
                tr(
                    "The first place of a height map has to lie within a kilometre of the wall's origin.",
                ),
            ));
        }
        Ok(())
    }

    /// Every so manieth place of it, both ways, from its first on.
    pub(super) fn sparse(&self, every: usize) -> Self {
        Self {
            step: self.step * every as f64,
            columns: self.columns.div_ceil(every),
            rows: self.rows.div_ceil(every),
            ..*self
        }
    }

    /// How many places.
    pub fn len(&self) -> usize {
        self.columns * self.rows
    }

    /// Whether there is no place at all.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The place on the wall; between the grid's own places too.
    pub fn place(&self, column: f64, row: f64) -> Mm {
        [
            self.origin[0] + column * self.step.0,
            self.origin[1] + row * self.step.0,
        ]
    }

    /// The place on the wall of the place with this number, counted along the rows.
    pub fn place_of(&self, index: usize) -> Mm {
        self.place((index % self.columns) as f64, (index / self.columns) as f64)
    }

    /// Column and row of a place on the wall; whole numbers at the grid's own places, and beyond
    /// the grid where the place lies beyond it.
    pub fn grid(&self, place: Mm) -> [f64; 2] {
        [0, 1].map(|k| (place[k] - self.origin[k]) / self.step.0)
    }

    /// The number of the place that lies nearest; `None` beyond the grid.
    pub fn nearest(&self, place: Mm) -> Option<usize> {
        let [column, row] = self.grid(place).map(f64::round);
        let inside =
            column >= 0.0 && row >= 0.0 && column < self.columns as f64 && row < self.rows as f64;
        inside.then(|| row as usize * self.columns + column as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_knows_its_places_and_finds_them_again() {
        let outline = [[10.0, 20.0], [110.0, 20.0], [110.0, 70.0], [10.0, 70.0]];
        let frame = Frame::around(&outline, 53).unwrap();
        assert_eq!((frame.step, frame.columns), (Millimetres(2.0), 53));
        assert_eq!(frame.place(1.0, 1.0), [10.0, 20.0]);
        assert_eq!(frame.grid(frame.place(3.5, 7.25)), [3.5, 7.25]);
        let at = frame.nearest([10.9, 20.9]).unwrap();
        assert_eq!(frame.place_of(at), [10.0, 20.0]);
        assert_eq!(frame.nearest([1e4, 0.0]), None);
        assert!(frame.place((frame.columns - 2) as f64, 0.0)[0] >= 110.0);
        assert!(frame.place(0.0, (frame.rows - 2) as f64)[1] >= 70.0);
    }

    #[test]
    fn a_fitted_frame_has_a_place_to_spare_and_no_more() {
        let outline = [[10.3, 20.0], [110.0, 20.0], [110.0, 69.2]];
        let frame = Frame::fitted(&outline, Millimetres(0.5)).unwrap();
        assert_eq!(frame.origin, [9.5, 19.5]);
        let last = frame.place_of(frame.len() - 1);
        assert_eq!(last, [110.5, 70.0]);
    }

    #[test]
    fn what_is_no_outline_has_no_frame() {
        for bad in [
            vec![],
            vec![[0.0, 0.0]; 4],
            vec![[0.0, 0.0], [f64::NAN, 1.0], [1.0, f64::INFINITY]],
        ] {
            assert!(Frame::around(&bad, 100).is_err(), "{bad:?}");
        }
    }
}
