//! The time axis of the day's picture: straight in time, but a long stretch in which nothing begins
//! or ends (a night) is drawn short.

/// Where moments of the day lie on the picture. Minutes and places both count from the top.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Minutes and places of the corners, both rising.
    corners: Vec<(f64, f64)>,
}

/// Picture units for a minute.
const PER_MINUTE: f64 = 1.5;
/// A stretch longer than this many minutes is drawn as if it lasted so long.
const LONGEST: f64 = 90.0;

impl Axis {
    /// An axis that shows these moments, in minutes, in any order; at least one.
    pub fn of(mut moments: Vec<f64>) -> Self {
        moments.retain(|moment| moment.is_finite());
        moments.sort_by(f64::total_cmp);
        moments.dedup();
        let mut corners: Vec<(f64, f64)> = Vec::new();
        for moment in moments {
            let place = corners.last().map_or(0.0, |(before, place)| {
                place + (moment - before).min(LONGEST) * PER_MINUTE
            });
            corners.push((moment, place));
        }
        if corners.is_empty() {
            corners.push((0.0, 0.0));
        }
        Self { corners }
    }

    /// How long the picture is.
    pub fn length(&self) -> f64 {
        self.corners[self.corners.len() - 1].1
    }

    /// The place of a moment; beyond the ends the axis goes straight on.
    pub fn place(&self, minute: f64) -> f64 {
        along(&self.corners, minute, |corner| *corner, PER_MINUTE)
    }

    /// The moment at a place.
    pub fn minute(&self, place: f64) -> f64 {
        along(&self.corners, place, |(a, b)| (*b, *a), 1.0 / PER_MINUTE)
    }

    /// The stretches that are drawn short: from and to, in minutes.
    pub fn short(&self) -> impl Iterator<Item = (f64, f64)> {
        let pairs = self.corners.windows(2);
        let short = pairs.filter(|pair| pair[1].0 - pair[0].0 > LONGEST);
        short.map(|pair| (pair[0].0, pair[1].0))
    }
}

/// Follows a broken line whose corners rise both ways.
fn along(
    corners: &[(f64, f64)],
    at: f64,
    of: impl Fn(&(f64, f64)) -> (f64, f64),
    slope: f64,
) -> f64 {
    let next = corners.partition_point(|corner| of(corner).0 < at);
    let (first, last) = (of(&corners[0]), of(&corners[corners.len() - 1]));
    if next == 0 {
        return first.1 + (at - first.0) * slope;
    }
    if next == corners.len() {
        return last.1 + (at - last.0) * slope;
    }
    let ((x0, y0), (x1, y1)) = (of(&corners[next - 1]), of(&corners[next]));
    y0 + (at - x0) / (x1 - x0) * (y1 - y0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_night_is_short_and_places_lead_back_to_their_minutes() {
        let axis = Axis::of(vec![600.0, 0.0, 20.0, 1200.0, 80.0]);
        assert_eq!(axis.length(), (20.0 + 60.0 + 90.0 + 90.0) * PER_MINUTE);
        let short: Vec<_> = axis.short().collect();
        assert_eq!(short, [(80.0, 600.0), (600.0, 1200.0)]);
        for minute in [-30.0, 0.0, 7.0, 20.0, 79.0, 300.0, 600.0, 1199.0, 1300.0] {
            let back = axis.minute(axis.place(minute));
            assert!((back - minute).abs() < 1e-9, "{minute} became {back}");
        }
    }

    #[test]
    fn one_moment_is_an_axis_too() {
        let axis = Axis::of(vec![f64::NAN]);
        assert_eq!((axis.length(), axis.place(10.0)), (0.0, 15.0));
    }
}
