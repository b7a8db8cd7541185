//! How high the ornament stands over the wall, place by place, and how sure that is.

use super::{Frame, stored::Written};
use crate::quantity::{Millilitres, Millimetres};
use crate::say;
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Heights over the wall on a square grid, each with its spread. Off the ornament there is none,
/// and the wall counts.
///
/// It is stored as compact text: heights to a fiftieth of a millimetre, spreads coarser
/// (`stored.rs`).
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct HeightMap {
    frame: Frame,
    heights: Vec<f32>,
    sds: Vec<f32>,
    scale_sd: f64,
    /// The spreads as they were read from a record: written as they were, they don't blur with
    /// each time.
    pub(super) sds_read: Option<Box<str>>,
}

/// Two maps are the same where they have the same numbers; none is the same as none.
impl PartialEq for HeightMap {
    fn eq(&self, other: &Self) -> bool {
        let same = |one: &[f32], other: &[f32]| {
            let pairs = one.iter().zip(other);
            one.len() == other.len()
                && pairs.fold(true, |all, (a, b)| {
                    all & (a == b || a.is_nan() && b.is_nan())
                })
        };
        self.frame == other.frame
            && self.scale_sd == other.scale_sd
            && same(&self.heights, &other.heights)
            && same(&self.sds, &other.sds)
    }
}

impl HeightMap {
    /// A map from its rows, in millimetres over the wall, `None` off the ornament. Places stand
    /// `step` apart both ways, the first at the wall's origin. `sd` is one standard deviation of
    /// the whole map's scale, as a share of the heights; each height by itself is exact.
    pub fn new(step: Millimetres, rows: &[Vec<Option<f64>>], sd: f64) -> Result<Self, SurveyError> {
        let frame = Frame {
            origin: [0.0; 2],
            step,
            columns: rows.first().map_or(0, Vec::len),
            rows: rows.len(),
        };
        frame.check()?;
        let columns = frame.columns;
        if let Some(row) = rows.iter().position(|row| row.len() != columns) {
            return Err(SurveyError::at(
                format!("rows[{row}]"),
                say!(
                    "This row is not as long as the first, which has {columns} heights.",
                    columns
                ),
            ));
        }
        let heights = rows.iter().flatten().map(|height| match height {
            // What is no number is refused, and not taken for a place off the ornament.
            Some(height) if height.is_nan() => -1.0,
            Some(height) => *height as f32,
            None => f32::NAN,
        });
        Self::of(frame, heights.collect(), vec![0.0; frame.len()], sd)
    }

    /// A map from all its heights, row after row, in millimetres over the wall, and their
    /// standard deviations in millimetres. Off the ornament, and where nothing is known, the
    /// height is not a number. `scale_sd` is one standard deviation of the whole map's scale
    /// beside them, as a share of the heights.
    pub fn of(
        frame: Frame,
        heights: Vec<f32>,
        mut sds: Vec<f32>,
        scale_sd: f64,
    ) -> Result<Self, SurveyError> {
        frame.check()?;
        if heights.len() != frame.len() || sds.len() != frame.len() {
            return Err(SurveyError::at(
                "rows",
                tr("A height map needs one height and one spread for each of its places."),
            ));
        }
        let place = |at: usize| format!("rows[{}][{}]", at / frame.columns, at % frame.columns);
        let wrong = |h: &f32| !h.is_nan() && !(0.0..=1000.0).contains(h);
        if let Some(at) = heights.iter().position(wrong) {
            return Err(SurveyError::at(
                place(at),
                tr(
                    "A height has to be between 0 and 1000 mm over the wall; off the piece it is null.",
                ),
            ));
        }
        for (at, (height, sd)) in heights.iter().zip(&mut sds).enumerate() {
            if height.is_nan() {
                *sd = f32::NAN;
            } else if !(0.0..=1000.0).contains(sd) {
                return Err(SurveyError::at(
                    place(at),
                    tr("The spread of a height has to be between 0 and 1000 mm."),
                ));
            }
        }
        if !(0.0..=1.0).contains(&scale_sd) {
            return Err(SurveyError::at(
                "sd",
                tr("The spread of the heights has to be a share between 0 and 1."),
            ));
        }
        Ok(Self {
            frame,
            heights,
            sds,
            scale_sd,
            sds_read: None,
        })
    }

    /// The same in places so many times as far apart: each the mean of the heights about it, where
    /// at least half of those are known. It tells no spread.
    pub fn coarser(&self, times: usize) -> Self {
        let Frame {
            origin,
            step,
            columns,
            rows,
        } = self.frame;
        let times = times.max(1);
        let aside = step.0 * (times - 1) as f64 / 2.0;
        let frame = Frame {
            origin: origin.map(|at| at + aside),
            step: step * times as f64,
            columns: columns.div_ceil(times),
            rows: rows.div_ceil(times),
        };
        let mean = |at: usize| {
            let [column, row] = [at % frame.columns, at / frame.columns].map(|n| n * times);
            let (mut sum, mut known) = (0.0, 0);
            for row in row..rows.min(row + times) {
                let line = &self.heights[row * columns..][column..columns.min(column + times)];
                for height in line.iter().filter(|height| !height.is_nan()) {
                    sum += height;
                    known += 1;
                }
            }
            match 2 * known >= times * times {
                true => sum / known as f32,
                false => f32::NAN,
            }
        };
        let heights: Vec<f32> = (0..frame.len()).map(mean).collect();
        let sds = heights.iter().map(|height| height * 0.0).collect();
        Self {
            frame,
            heights,
            sds,
            scale_sd: 0.0,
            sds_read: None,
        }
    }

    /// Where its places lie on the wall.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// How far the places are apart.
    pub fn step(&self) -> Millimetres {
        self.frame.step
    }

    /// Spread of the heights' scale, as a share.
    pub fn sd(&self) -> f64 {
        self.scale_sd
    }

    /// Columns and rows.
    pub fn size(&self) -> [usize; 2] {
        [self.frame.columns, self.frame.rows]
    }

    /// All heights in millimetres, row after row; not a number off the ornament.
    pub fn heights(&self) -> &[f32] {
        &self.heights
    }

    /// Their standard deviations in millimetres, without the spread of the whole map's scale.
    pub fn sds(&self) -> &[f32] {
        &self.sds
    }

    /// The whole spread of each place, with that of the scale, in millimetres; not a number off the
    /// ornament.
    pub fn spreads(&self) -> impl Iterator<Item = f32> + '_ {
        let both = self.heights.iter().zip(&self.sds);
        both.map(|(height, sd)| f64::from(*sd).hypot(self.scale_sd * f64::from(*height)) as f32)
    }

    /// The height there, in millimetres; `None` off the ornament and off the map.
    pub fn at(&self, column: isize, row: isize) -> Option<f64> {
        let column = usize::try_from(column)
            .ok()
            .filter(|c| *c < self.frame.columns)?;
        let row = usize::try_from(row).ok()?;
        let height = *self.heights.get(row * self.frame.columns + column)?;
        (!height.is_nan()).then(|| height.into())
    }

    /// The height at a place on the wall and its standard deviation, that of the whole map's
    /// scale with it, straight between the four places around it; `None` where one of them is
    /// off the ornament.
    pub fn over(&self, place: Mm) -> Option<(Millimetres, f64)> {
        let height = Self::between(self.frame, &self.heights, place)?;
        let sd = Self::between(self.frame, &self.sds, place)?;
        (!height.is_nan()).then(|| (Millimetres(height), sd.hypot(self.scale_sd * height)))
    }

    /// The height and its own spread at a place on the wall, mixed from those of the four places
    /// around it that are on the ornament.
    pub(super) fn beside(&self, place: Mm) -> Option<(f32, f32)> {
        let [x, y] = self.frame.grid(place);
        let (c, r) = (x.floor(), y.floor());
        let (u, v) = ((x - c) as f32, (y - r) as f32);
        let corners = [
            (0.0, 0.0, (1.0 - u) * (1.0 - v)),
            (1.0, 0.0, u * (1.0 - v)),
            (0.0, 1.0, (1.0 - u) * v),
            (1.0, 1.0, u * v),
        ];
        let (mut height, mut sd, mut all) = (0.0, 0.0, 0.0);
        for (right, down, weight) in corners {
            let Some(at) = self.frame.nearest(self.frame.place(c + right, r + down)) else {
                continue;
            };
            if !self.heights[at].is_nan() {
                // A weight of nothing still counts where nothing else is known.
                let weight = weight + 1e-6;
                height += weight * self.heights[at];
                sd += weight * self.sds[at];
                all += weight;
            }
        }
        (all > 0.0).then(|| (height / all, sd / all))
    }

    /// What lies between the four places around one on the wall; not a number where one of them
    /// is none.
    pub(super) fn between(frame: Frame, values: &[f32], place: Mm) -> Option<f64> {
        let [x, y] = frame.grid(place);
        let most = [frame.columns, frame.rows].map(|n| n as f64 - 1.0);
        if !(x >= 0.0 && y >= 0.0 && x <= most[0] && y <= most[1]) {
            return None;
        }
        let (c, r) = (x.floor().min(most[0] - 1.0), y.floor().min(most[1] - 1.0));
        let (u, v) = (x - c, y - r);
        let first = r as usize * frame.columns + c as usize;
        let line = |at: usize| f64::from(values[at]) * (1.0 - u) + f64::from(values[at + 1]) * u;
        Some(line(first) * (1.0 - v) + line(first + frame.columns) * v)
    }

    /// The same map with another spread of its whole scale, as a share between 0 and 1.
    pub fn with_sd(mut self, sd: f64) -> Self {
        self.scale_sd = sd.clamp(0.0, 1.0);
        self
    }

    /// The highest point, and its place on the wall; the wall itself where nothing is known.
    pub fn top(&self) -> (Millimetres, Mm) {
        let known = self.heights.iter().enumerate().filter(|(_, h)| !h.is_nan());
        let top = known.max_by(|one, other| one.1.total_cmp(other.1));
        top.map_or((Millimetres(0.0), self.frame.origin), |(at, height)| {
            (Millimetres((*height).into()), self.frame.place_of(at))
        })
    }

    /// The highest point.
    pub fn highest(&self) -> Millimetres {
        self.top().0
    }

    /// The ornament's volume over the wall, each place for its own square of the grid.
    pub fn volume(&self) -> Millilitres {
        let known = self.heights.iter().filter(|h| !h.is_nan());
        let sum: f64 = known.map(|h| f64::from(*h)).sum();
        Millilitres(sum * self.frame.step.0 * self.frame.step.0 / 1000.0)
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
        assert_eq!(map.size(), [3, 2]);
        assert_eq!(map.top(), (Millimetres(10.0), [5.0, 0.0]));
        assert_eq!(
            (map.at(1, 0), map.at(2, 0), map.at(-1, 0), map.at(0, 9)),
            (Some(10.0), None, None, None)
        );
        // Four places of 25 mm2, 16 mm in all.
        assert!((map.volume().0 - 0.4).abs() < 1e-12);
        let (height, sd) = map.over([2.5, 2.5]).unwrap();
        assert!((height.0 - 4.0).abs() < 1e-9 && (sd - 0.08).abs() < 1e-9);
        assert_eq!(map.over([7.0, 2.0]), None);
        // The mean of the four lies in their middle; beside them less than half is known.
        let coarse = map.coarser(2);
        assert_eq!(coarse.frame().place_of(0), [2.5, 2.5]);
        assert_eq!((coarse.at(0, 0), coarse.at(1, 0)), (Some(4.0), None));
        let wrong = [
            (vec![rows[0].clone()], 5.0, "rows"),
            (vec![rows[0].clone(), vec![None]], 5.0, "rows[1]"),
            (
                vec![rows[0].clone(), vec![None, Some(-1.0), None]],
                5.0,
                "rows[1][1]",
            ),
            (
                vec![rows[0].clone(), vec![None, None, Some(f64::NAN)]],
                5.0,
                "rows[1][2]",
            ),
            (rows.clone(), f64::NAN, "step_mm"),
        ];
        for (rows, step, field) in wrong {
            let why = HeightMap::new(Millimetres(step), &rows, 0.0).unwrap_err();
            assert_eq!(why.field(), field);
        }
    }
}
