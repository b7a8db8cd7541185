//! The temperature of the site over time.

use crate::quantity::{Celsius, Minutes};

/// A temperature that changes by steps: readings with their times, or a forecast. Minutes count
/// from an origin of the caller's choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Warmth {
    before: Celsius,
    steps: Vec<(Minutes, Celsius)>,
}

impl Warmth {
    /// The same temperature all the time.
    pub fn steady(temperature: Celsius) -> Self {
        Self::of(temperature, Vec::new())
    }

    /// `before` until the first step, and the temperature of each step from its minute on. Steps
    /// may come in any order; of two at the same minute the later one in the list counts.
    pub fn of(before: Celsius, mut steps: Vec<(Minutes, Celsius)>) -> Self {
        steps.sort_by(|(a, _), (b, _)| a.0.total_cmp(&b.0));
        Self { before, steps }
    }

    /// The temperature before the first step.
    pub fn before(&self) -> Celsius {
        self.before
    }

    /// The steps, by their times.
    pub fn steps(&self) -> &[(Minutes, Celsius)] {
        &self.steps
    }

    /// The temperature at a minute.
    pub fn at(&self, minute: Minutes) -> Celsius {
        let begun = self.steps.partition_point(|(from, _)| *from <= minute);
        match begun.checked_sub(1) {
            Some(last) => self.steps[last].1,
            None => self.before,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_holds_from_its_minute_on() {
        let steps = vec![
            (Minutes(120.0), Celsius(20.0)),
            (Minutes(0.0), Celsius(10.0)),
            (Minutes(120.0), Celsius(21.0)),
        ];
        let warmth = Warmth::of(Celsius(5.0), steps);
        for (minute, celsius) in [(-1.0, 5.0), (0.0, 10.0), (119.9, 10.0), (120.0, 21.0)] {
            assert_eq!(warmth.at(Minutes(minute)), Celsius(celsius));
        }
        assert_eq!(
            Warmth::steady(Celsius(5.0)).at(Minutes(9.0)),
            warmth.before()
        );
    }
}
