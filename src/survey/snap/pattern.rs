//! Which numbers ticks bear: the pattern of the longer ones, and two readings.

use super::NoTicks;
use super::comb::{Comb, Tooth};
use super::strokes::Strokes;
use serde::{Deserialize, Serialize};

/// What one tick is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Division {
    /// A millimetre; every tenth tick is the longest, every fifth longer.
    Millimetre,
    /// The sixteenth part of an inch of 25.4 mm; halves, quarters and eighths each longer.
    SixteenthInch,
}

/// How well the ticks' lengths must follow a rule's pattern, as a correlation.
const LEAST_LIKENESS: f64 = 0.5;

/// A start of the pattern that fits so much worse than the best one is not meant.
const WORSE: f64 = 0.12;

/// A thumb is off by no more ticks than this.
const THUMB_TICKS: f64 = 2.2;

/// The two marks' errors together, in ticks.
const BOTH_THUMBS_TICKS: f64 = 2.8;

impl Division {
    /// What one tick is, in millimetres.
    pub fn mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::SixteenthInch => 25.4 / 16.0,
        }
    }

    /// After so many ticks the pattern begins anew.
    fn period(self) -> i64 {
        match self {
            Self::Millimetre => 10,
            Self::SixteenthInch => 16,
        }
    }

    /// The rank of a tick by its length; 0 is the shortest.
    pub(super) fn rank(self, number: i64) -> f64 {
        let by = |n: i64| number.rem_euclid(n) == 0;
        f64::from(match self {
            Self::Millimetre => u8::from(by(10)) + u8::from(by(5)),
            Self::SixteenthInch => [2, 4, 8, 16].into_iter().map(|n| u8::from(by(n))).sum(),
        })
    }
}

/// Gives the teeth of a comb their numbers on the rule.
pub(super) struct Reader<'a> {
    teeth: &'a [Tooth],
    /// The length of each tooth's stroke.
    lengths: Vec<f64>,
}

impl<'a> Reader<'a> {
    /// The teeth of a comb with the lengths of their strokes.
    pub fn new(strokes: &Strokes<'_>, comb: &'a Comb) -> Self {
        let lengths = comb
            .teeth
            .iter()
            .map(|t| strokes.length(t.s, comb.apart(t.s) / 2.0))
            .collect();
        Self {
            teeth: &comb.teeth,
            lengths,
        }
    }

    /// The division, and what is added to a tooth's number to give its number on the rule. The
    /// marks are places on the comb and readings.
    pub fn read(&self, marks: [(f64, f64); 2]) -> Result<(Division, i64), NoTicks> {
        let mut why = NoTicks::NoPattern;
        let mut found = Vec::new();
        for division in [Division::Millimetre, Division::SixteenthInch] {
            match self.start(division, marks) {
                Ok(zero) => found.push((division, zero)),
                Err(NoTicks::Contradiction) => why = NoTicks::Contradiction,
                Err(_) => {}
            }
        }
        match found[..] {
            [one] => Ok(one),
            [] => Err(why),
            _ => Err(NoTicks::NoPattern),
        }
    }

    fn start(&self, division: Division, marks: [(f64, f64); 2]) -> Result<i64, NoTicks> {
        let all = 0..self.teeth.len();
        let likeness: Vec<f64> = (0..division.period())
            .map(|zero| self.likeness(division, zero, all.clone()))
            .collect();
        let best = likeness.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if best < LEAST_LIKENESS {
            return Err(NoTicks::NoPattern);
        }
        let zeros = marks.map(|(number, mm)| mm / division.mm() - number);
        if (zeros[0] - zeros[1]).abs() > BOTH_THUMBS_TICKS {
            return Err(NoTicks::Contradiction);
        }
        let middle = (zeros[0] + zeros[1]) / 2.0;
        let near = |zero: i64| {
            let off = zeros.map(|z| (z - zero as f64).abs());
            off[0].max(off[1]) <= THUMB_TICKS
        };
        let around = middle.floor() as i64 - 3..=middle.floor() as i64 + 4;
        let fitting: Vec<i64> = around
            .filter(|zero| {
                near(*zero) && likeness[zero.rem_euclid(division.period()) as usize] >= best - WORSE
            })
            .collect();
        let [zero] = fitting[..] else {
            return Err(NoTicks::Contradiction);
        };
        // A tick passed over where some are hidden would shift the pattern from there on.
        self.stretches()
            .into_iter()
            .all(|stretch| self.in_step(division, zero, stretch))
            .then_some(zero)
            .ok_or(NoTicks::NoComb)
    }

    /// The runs of teeth between places where two or more in a row are hidden.
    fn stretches(&self) -> Vec<std::ops::Range<usize>> {
        let mut ends: Vec<usize> = (1..self.teeth.len())
            .filter(|&i| self.teeth[i].number - self.teeth[i - 1].number > 2)
            .collect();
        ends.push(self.teeth.len());
        let mut start = 0;
        ends.into_iter()
            .map(|end| {
                let stretch = start..end;
                start = end;
                stretch
            })
            .collect()
    }

    /// Whether a stretch, where it is long enough to tell, follows the pattern best from the
    /// start that the whole has.
    fn in_step(&self, division: Division, zero: i64, stretch: std::ops::Range<usize>) -> bool {
        if stretch.len() < 2 * division.period() as usize {
            return true;
        }
        let here = self.likeness(division, zero, stretch.clone());
        [-2, -1, 1, 2]
            .into_iter()
            .all(|off| self.likeness(division, zero + off, stretch.clone()) < here)
    }

    /// How well the lengths of some teeth follow the pattern from a start: their correlation.
    fn likeness(&self, division: Division, zero: i64, teeth: std::ops::Range<usize>) -> f64 {
        let pairs: Vec<[f64; 2]> = teeth
            .map(|i| [self.lengths[i], division.rank(self.teeth[i].number + zero)])
            .collect();
        let n = pairs.len() as f64;
        let mean = [0, 1].map(|k| pairs.iter().map(|p| p[k]).sum::<f64>() / n);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for p in &pairs {
            let (x, y) = (p[0] - mean[0], p[1] - mean[1]);
            xx += x * x;
            xy += x * y;
            yy += y * y;
        }
        if xx > 0.0 && yy > 0.0 {
            xy / (xx * yy).sqrt()
        } else {
            0.0
        }
    }
}
