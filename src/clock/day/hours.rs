//! The working hours of the site.

use crate::quantity::Minutes;
use serde::{Deserialize, Serialize};

/// Slack for the rounding of numbers, in minutes.
pub(super) const EPS: f64 = 1e-6;

/// When the site is open. A piece of hands-on work never goes on over a closing; cure does.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Hours {
    /// Opening and closing, by their times; none for a site that is always open.
    windows: Vec<(f64, f64)>,
}

impl Hours {
    /// The site is always open.
    pub fn always() -> Self {
        Self::default()
    }

    /// Open from and until these minutes, in any order; what touches or overlaps is one. A window
    /// without length is none. With no windows at all the site is always open.
    pub fn of(windows: &[(Minutes, Minutes)]) -> Self {
        let mut sorted: Vec<(f64, f64)> = windows
            .iter()
            .map(|&(open, close)| (open.0, close.0))
            .filter(|(open, close)| open < close)
            .collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut windows: Vec<(f64, f64)> = Vec::new();
        for (open, close) in sorted {
            match windows.last_mut() {
                Some(last) if open <= last.1 => last.1 = last.1.max(close),
                _ => windows.push((open, close)),
            }
        }
        Self { windows }
    }

    /// Opening and closing of each window.
    pub fn windows(&self) -> impl Iterator<Item = (Minutes, Minutes)> + '_ {
        let minutes = |&(open, close): &(f64, f64)| (Minutes(open), Minutes(close));
        self.windows.iter().map(minutes)
    }

    pub(super) fn is_always(&self) -> bool {
        self.windows.is_empty()
    }

    /// The first start from `from` on of a work that takes so long; infinite if there is none.
    pub(super) fn first(&self, from: f64, takes: f64) -> f64 {
        if self.windows.is_empty() {
            return from;
        }
        let begin = self
            .windows
            .partition_point(|(_, close)| *close + EPS < from + takes);
        self.windows[begin..]
            .iter()
            .map(|&(open, close)| (open.max(from), close))
            .find(|(start, close)| start + takes <= close + EPS)
            .map_or(f64::INFINITY, |(start, _)| start)
    }

    /// The last start up to `by` of such a work; minus infinity if there is none.
    pub(super) fn last(&self, by: f64, takes: f64) -> f64 {
        if self.windows.is_empty() {
            return by;
        }
        let end = self.windows.partition_point(|(open, _)| *open <= by + EPS);
        self.windows[..end]
            .iter()
            .rev()
            .map(|&(open, close)| (open, by.min(close - takes)))
            .find(|(open, start)| *start >= open - EPS)
            .map_or(f64::NEG_INFINITY, |(_, start)| start)
    }

    /// The open minutes before a time, from some time on that is always the same.
    pub(super) fn open_until(&self, at: f64) -> f64 {
        if self.windows.is_empty() {
            return at;
        }
        let spans = self.windows.iter();
        let spans = spans.map(|&(open, close)| at.clamp(open, close) - open);
        spans.sum()
    }

    /// When so many open minutes have passed since `from`; infinite if there aren't as many.
    pub(super) fn after(&self, from: f64, minutes: f64) -> f64 {
        if self.windows.is_empty() || minutes <= EPS {
            return from + minutes.max(0.0);
        }
        let mut left = minutes;
        let begin = self.windows.partition_point(|(_, close)| *close <= from);
        for &(open, close) in &self.windows[begin..] {
            let begin = open.max(from);
            if begin + left <= close + EPS {
                return begin + left;
            }
            left -= close - begin;
        }
        f64::INFINITY
    }

    /// The last time from which so many open minutes have passed by `by`; minus infinity if there
    /// aren't as many.
    pub(super) fn before(&self, by: f64, minutes: f64) -> f64 {
        if self.windows.is_empty() || minutes <= EPS {
            return by - minutes.max(0.0);
        }
        let mut left = minutes;
        let end = self.windows.partition_point(|(open, _)| *open < by);
        for &(open, close) in self.windows[..end].iter().rev() {
            let end = close.min(by);
            if end - left >= open - EPS {
                return end - left;
            }
            left -= end - open;
        }
        f64::NEG_INFINITY
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn days() -> Hours {
        let window = |open, close| (Minutes(open), Minutes(close));
        Hours::of(&[
            window(1440.0, 1900.0),
            window(0.0, 300.0),
            window(300.0, 480.0),
            window(7.0, 7.0),
        ])
    }

    #[test]
    fn work_starts_where_it_ends_before_the_closing() {
        let hours = days();
        assert_eq!(hours.windows().count(), 2);
        assert_eq!(hours.first(-20.0, 20.0), 0.0);
        assert_eq!(hours.first(460.0, 20.0), 460.0);
        assert_eq!(hours.first(461.0, 20.0), 1440.0);
        assert_eq!(hours.first(0.0, 470.0), 0.0);
        assert_eq!(hours.first(0.0, 481.0), f64::INFINITY);
        assert_eq!(hours.first(1881.0, 20.0), f64::INFINITY);
        assert_eq!(Hours::always().first(-3.0, 1e9), -3.0);
    }

    #[test]
    fn looking_back_finds_the_last_start() {
        let hours = days();
        assert_eq!(hours.last(470.0, 20.0), 460.0);
        assert_eq!(hours.last(1439.0, 20.0), 460.0);
        assert_eq!(hours.last(1440.0, 20.0), 1440.0);
        assert_eq!(hours.last(-1.0, 20.0), f64::NEG_INFINITY);
    }

    #[test]
    fn open_minutes_skip_the_night() {
        let hours = days();
        assert_eq!(hours.after(400.0, 80.0), 480.0);
        assert_eq!(hours.after(400.0, 81.0), 1441.0);
        assert_eq!(hours.after(600.0, 1.0), 1441.0);
        assert_eq!(hours.after(0.0, 941.0), f64::INFINITY);
        assert_eq!(hours.before(480.0, 80.0), 400.0);
        assert_eq!(hours.before(1441.0, 81.0), 400.0);
        assert_eq!(hours.before(1200.0, 1.0), 479.0);
        assert_eq!(hours.before(1900.0, 941.0), f64::NEG_INFINITY);
        let open = [-5.0, 480.0, 900.0, 1441.0, 2000.0].map(|at| hours.open_until(at));
        assert_eq!(open, [0.0, 480.0, 480.0, 481.0, 940.0]);
    }
}
