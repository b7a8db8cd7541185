//! Several photos of one piece become one area and one edge length.
//!
//! Each photo counts by the inverse of its own variance, on a logarithmic scale: a photo that
//! reads low would else also claim to be the surest. What all photos have in common (which line
//! of a moulding the person takes for the edge, the height that was typed in) stays as it is,
//! however many they are.

use super::Footprint;
use super::doubt::most_by_chance;
use crate::quantity::show;
use crate::quantity::{Estimate, Millimetres, Quantity, SquareMillimetres};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// One piece by all its photos.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Combined {
    /// The area within the outline, less the holes.
    pub area: Estimate<SquareMillimetres>,
    /// The length of all edges.
    pub perimeter: Estimate<Millimetres>,
    /// Where the photos contradict each other: which one, and what was done.
    pub notes: Vec<String>,
}

/// The footprint by all photos together; `None` without any.
///
/// Photos that differ by more than chance allows in one case of a hundred (chi-square) are told
/// of, and the range is widened by their disagreement (R. Birge, Phys. Rev. 40, 1932).
///
/// ```
/// use peelcast::survey::{
///     EdgeError, Evidence, ImageSize, WallProblem, combine, fit_wall, footprint,
/// };
/// # let corners = [[400.0, 300.0], [800.0, 300.0], [800.0, 600.0], [400.0, 600.0]];
/// # let sheet = corners.map(|[x, y]| Evidence::point([x, y], [x / 2.0, y / 2.0])).to_vec();
/// # let size = ImageSize { width: 1600, height: 1200 };
/// # let wall = fit_wall(&WallProblem::new(size, sheet)).unwrap();
/// # let outline = [[900.0, 350.0], [1200.0, 360.0], [1190.0, 640.0], [880.0, 620.0]];
/// let one = footprint(&wall, &outline, &[], EdgeError::traced(0.5)).unwrap();
/// let both = combine(&[one.clone(), one.clone()]).unwrap();
/// assert!(both.area.sd < one.area.sd && both.area.sd > one.area.sd / 2.0_f64.sqrt());
/// ```
pub fn combine(photos: &[Footprint]) -> Option<Combined> {
    let areas: Vec<Reading> = photos
        .iter()
        .map(|photo| Reading::of(&photo.area, photo.in_common.area))
        .collect();
    let edges: Vec<Reading> = photos
        .iter()
        .map(|photo| Reading::of(&photo.perimeter, photo.in_common.edge))
        .collect();
    let (area, odd) = together(&areas)?;
    let (perimeter, _) = together(&edges)?;
    let notes = odd.map(|odd| said(&areas, odd)).into_iter().collect();
    Some(Combined {
        area,
        perimeter,
        notes,
    })
}

/// One photo's reading: its logarithm, and the variances of that which are its own and which all
/// photos share.
struct Reading {
    log: f64,
    own: f64,
    shared: f64,
}

/// No photo is surer than this share by itself: a range of zero would outweigh all others.
const SUREST: f64 = 1e-6;

impl Reading {
    fn of<Q: Quantity>(estimate: &Estimate<Q>, in_common: f64) -> Self {
        let value = estimate.value.number();
        let all = estimate.relative_sd().powi(2);
        let shared = (in_common / value.powi(2)).min(all);
        Self {
            log: value.ln(),
            own: (all - shared).max(SUREST * SUREST),
            shared,
        }
    }
}

/// The middle of some readings, weighed, and the weights' sum.
fn middle<'a>(readings: impl Iterator<Item = &'a Reading> + Clone) -> (f64, f64) {
    let weight: f64 = readings.clone().map(|r| r.own.recip()).sum();
    let sum: f64 = readings.map(|r| r.log / r.own).sum();
    (sum / weight, weight)
}

/// All readings together, and the odd one where they contradict each other.
fn together<Q: Quantity>(readings: &[Reading]) -> Option<(Estimate<Q>, Option<usize>)> {
    if readings.is_empty() {
        return None;
    }
    let (mean, weight) = middle(readings.iter());
    let chi2: f64 = readings
        .iter()
        .map(|r| (r.log - mean).powi(2) / r.own)
        .sum();
    let free = (readings.len() - 1) as f64;
    let agree = readings.len() < 2 || chi2 <= most_by_chance(free);
    let widened = if agree { 1.0 } else { chi2 / free };
    // Errors in common add up with the weights of the readings, not as squares.
    let shared: f64 = readings
        .iter()
        .map(|r| r.shared.sqrt() / r.own)
        .sum::<f64>()
        / weight;
    let sd = (widened / weight + shared * shared).sqrt();
    let value = mean.exp();
    let odd = (!agree).then(|| odd_one(readings));
    Some((Estimate::positive(Q::of(value), sd * value), odd))
}

/// The reading that is furthest from the middle of the others, in spreads.
fn odd_one(readings: &[Reading]) -> usize {
    let off = |i: usize| {
        let others = readings.iter().enumerate().filter(|(j, _)| *j != i);
        let (mean, weight) = middle(others.map(|(_, r)| r));
        (readings[i].log - mean).powi(2) / (readings[i].own + weight.recip())
    };
    (0..readings.len())
        .max_by(|a, b| off(*a).total_cmp(&off(*b)))
        .unwrap_or_default()
}

fn said(readings: &[Reading], odd: usize) -> String {
    let others = readings.iter().enumerate().filter(|(i, _)| *i != odd);
    let (mean, _) = middle(others.map(|(_, r)| r));
    let off = 100.0 * ((readings[odd].log - mean).exp() - 1.0);
    let way = if off > 0.0 {
        tr("larger")
    } else {
        tr("smaller")
    };
    let off = off.abs();
    if readings.len() == 2 {
        return say!(
            "The two photos differ by {off} % of the area, more than chance allows. Check the \
             reference and the outline in both. The range was widened for it.",
            off = show::fixed(off, 1)
        );
    }
    say!(
        "Photo {odd} shows the piece {off} % {way} than the others do, more than chance allows. \
         Check its reference and its outline, or leave it out. The range was widened for it.",
        odd = odd + 1,
        off = show::fixed(off, 1),
        way
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Degrees;
    use crate::survey::footprint::Size;

    fn photo(area: f64, sd: f64, in_common: f64) -> Footprint {
        Footprint {
            area: Estimate::positive(SquareMillimetres(area), sd),
            perimeter: Estimate::positive(Millimetres(400.0), 2.0),
            tilt: Estimate::exact(Degrees(0.0)),
            outline_mm: Vec::new(),
            holes_mm: Vec::new(),
            neighbours_mm: Vec::new(),
            notes: Vec::new(),
            in_common: Size {
                area: in_common * in_common,
                edge: 1.0,
            },
        }
    }

    #[test]
    fn photos_count_by_their_own_variance() {
        let both = combine(&[photo(10_000.0, 100.0, 0.0), photo(10_100.0, 200.0, 0.0)]).unwrap();
        // Weights of four to one.
        assert!((both.area.value.0 - 10_020.0).abs() < 2.0, "{both:?}");
        assert!(
            (both.area.sd - 100.0 / 1.25_f64.sqrt()).abs() < 1.0,
            "{both:?}"
        );
        assert!(both.notes.is_empty());
        assert_eq!(combine(&[]), None);
        let one = photo(10_000.0, 100.0, 60.0);
        let alone = combine(std::slice::from_ref(&one)).unwrap();
        assert!(
            (alone.area.sd - 100.0).abs() < 1e-6 && (alone.area.value.0 - 10_000.0).abs() < 1e-6
        );
    }

    #[test]
    fn what_all_photos_have_in_common_does_not_average_out() {
        let many: Vec<_> = (0..100).map(|_| photo(10_000.0, 100.0, 60.0)).collect();
        let sd = combine(&many).unwrap().area.sd;
        assert!((sd - 60.0_f64.hypot(8.0)).abs() < 0.5, "{sd}");
    }

    #[test]
    fn the_odd_photo_is_named_and_the_range_widened() {
        let odd = [10_000.0, 10_050.0, 11_000.0, 9_980.0].map(|a| photo(a, 100.0, 0.0));
        let all = combine(&odd).unwrap();
        assert!(
            all.notes[0].starts_with("Photo 3 shows the piece 9.9 % larger"),
            "{:?}",
            all.notes
        );
        assert!(all.area.sd > 200.0, "{:?}", all.area);
        let two = combine(&[odd[0].clone(), odd[2].clone()]).unwrap();
        assert!(
            two.notes[0].starts_with("The two photos differ by 10.0 %"),
            "{:?}",
            two.notes
        );
        // Half the difference lies within the range.
        assert!(two.area.low95.0 < 10_000.0 && two.area.high95.0 > 11_000.0);
    }
}
