//! How high the ornament stands over the wall, place by place.

use super::SurveyError;
use crate::quantity::{Millilitres, Millimetres};
use serde::{Deserialize, Serialize};

/// Heights over the wall on a square grid. Off the ornament there is none, and the wall counts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeightMap {
    step: Millimetres,
    columns: usize,
    heights: Vec<Option<f64>>,
    sd: f64,
}

/// The most places of a map: 1024 by 1024.
const MOST: usize = 1 << 20;

impl HeightMap {
    /// A map from its rows, in millimetres over the wall, `None` off the ornament. Places stand
    /// `step` apart both ways. `sd` is one standard deviation of the whole map's scale, as a share
    /// of the heights.
    pub fn new(step: Millimetres, rows: &[Vec<Option<f64>>], sd: f64) -> Result<Self, SurveyError> {
        let columns = rows.first().map_or(0, Vec::len);
        if columns < 2 || rows.len() < 2 || columns * rows.len() > MOST {
            return Err(SurveyError::at(
                "rows",
                "A height map needs two rows and two columns at least, and a million places at most.",
            ));
        }
        if let Some(row) = rows.iter().position(|row| row.len() != columns) {
            return Err(SurveyError::at(
                format!("rows[{row}]"),
                format!("This row is not as long as the first, which has {columns} heights."),
            ));
        }
        for (r, row) in rows.iter().enumerate() {
            let wrong = |h: &Option<f64>| h.is_some_and(|h| !(0.0..=1000.0).contains(&h));
            if let Some(c) = row.iter().position(wrong) {
                return Err(SurveyError::at(
                    format!("rows[{r}][{c}]"),
                    "A height has to be between 0 and 1000 mm over the wall; off the piece it is null.",
                ));
            }
        }
        if !(step.0 >= 0.05 && step.0 <= 100.0) {
            return Err(SurveyError::at(
                "step_mm",
                "The places of a height map have to be 0.05 to 100 mm apart.",
            ));
        }
        if !(0.0..=1.0).contains(&sd) {
            return Err(SurveyError::at(
                "sd",
                "The spread of the heights has to be a share between 0 and 1.",
            ));
        }
        Ok(Self {
            step,
            columns,
            heights: rows.concat(),
            sd,
        })
    }

    /// How far the places are apart.
    pub fn step(&self) -> Millimetres {
        self.step
    }

    /// Spread of the heights' scale, as a share.
    pub fn sd(&self) -> f64 {
        self.sd
    }

    /// Columns and rows.
    pub fn size(&self) -> [usize; 2] {
        [self.columns, self.heights.len() / self.columns]
    }

    /// The height there, in millimetres; `None` off the ornament and off the map.
    pub fn at(&self, column: isize, row: isize) -> Option<f64> {
        let column = usize::try_from(column).ok().filter(|c| *c < self.columns)?;
        let row = usize::try_from(row).ok()?;
        *self.heights.get(row * self.columns + column)?
    }

    /// The highest point.
    pub fn highest(&self) -> Millimetres {
        Millimetres(self.heights.iter().flatten().copied().fold(0.0, f64::max))
    }

    /// The ornament's volume over the wall.
    pub fn volume(&self) -> Millilitres {
        let sum: f64 = self.heights.iter().flatten().sum();
        Millilitres(sum * self.step.0 * self.step.0 / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_is_checked_and_tells_what_it_holds() {
        let rows = vec![
            vec![Some(0.0), Some(10.0), None],
            vec![Some(2.0), Some(4.0), None],
        ];
        let map = HeightMap::new(Millimetres(5.0), &rows, 0.02).unwrap();
        assert_eq!((map.size(), map.highest()), ([3, 2], Millimetres(10.0)));
        assert_eq!(
            (map.at(1, 0), map.at(2, 0), map.at(-1, 0), map.at(0, 9)),
            (Some(10.0), None, None, None)
        );
        // Four places of 25 mm2, 16 mm in all.
        assert!((map.volume().0 - 0.4).abs() < 1e-12);
        let wrong = [
            (vec![rows[0].clone()], 5.0, "rows"),
            (vec![rows[0].clone(), vec![None]], 5.0, "rows[1]"),
            (
                vec![rows[0].clone(), vec![None, Some(-1.0), None]],
                5.0,
                "rows[1][1]",
            ),
            (rows.clone(), f64::NAN, "step_mm"),
        ];
        for (rows, step, field) in wrong {
            let why = HeightMap::new(Millimetres(step), &rows, 0.0).unwrap_err();
            assert_eq!(why.field(), field);
        }
    }
}
