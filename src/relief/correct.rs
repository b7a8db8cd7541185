//! Readings that correct a map which was found another way, as far as its own spread allows.

use super::coarse::Coarse;
use super::gaussian::{Conditioned, Seen, Spot};
use super::probe::next_probe;
use super::sounding::{Known, Sounded, errors};
use super::{Draw, Frame, HeightMap, Heights, contains};
use crate::quantity::Dice;
use crate::quantity::show;
use crate::say;
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use nalgebra::DVector;

/// The share of a map's variance that is the same everywhere on it.
const COMMON: f64 = 0.5;
/// The length over which the rest of its error changes, as a part of the piece's longer side.
const LENGTH: f64 = 0.15;
/// A reading this many standard deviations off contradicts the map.
const CONTRADICTS: f64 = 4.0;

/// A map corrected by readings and profiles.
///
/// The map's error is a Gaussian process of the map's own spread: one half of its variance is
/// the same everywhere, the other changes along the wall, and its scale is unsure besides. So a
/// map that is surer than the readings hardly moves, one that is unsure follows them, and what is
/// far from all readings moves only with what all places share.
pub fn corrected(prior: &Heights, known: &Known<'_>, seed: u64) -> Result<Sounded, SurveyError> {
    known.check()?;
    let map = &prior.map;
    let frame = map.frame();
    let found = |seen: &Seen| map.over(seen.at).map(|(height, _)| (*seen, height.0));
    let on_map: Vec<(Seen, f64)> = known.seen().iter().filter_map(found).collect();
    let as_it_is = || Sounded {
        heights: prior.clone(),
        next: None,
        notes: Vec::new(),
    };
    let coarse = Coarse::over(frame);
    let error = MapError::of(map, &coarse);
    let (seen, heights): (Vec<Seen>, Vec<f64>) = on_map.into_iter().unzip();
    let spots = seen.iter().map(|s| error.spot(s.at)).collect();
    let Some(held) = Conditioned::on(spots, &seen, error.length) else {
        return Ok(as_it_is());
    };
    let places: Vec<Spot> = (0..coarse.frame.len())
        .map(|at| error.spot(coarse.frame.place_of(at)))
        .collect();
    let towards = held.towards(&places);
    let moved = |off: &DVector<f64>, fine: Frame| {
        let shift = towards.tr_mul(&held.cholesky.solve(off));
        Coarse { fine, ..coarse }.refine(shift.as_slice())
    };
    let add = |heights: &[f32], shift: Vec<f32>| {
        let sum = heights
            .iter()
            .zip(shift)
            .map(|(height, shift)| match height.is_nan() {
                true => f32::NAN,
                false => (height + shift).clamp(0.0, 1000.0),
            });
        sum.collect::<Vec<f32>>()
    };
    let off = seen
        .iter()
        .zip(&heights)
        .map(|(s, height)| s.height - height);
    let off = DVector::from_iterator(seen.len(), off);
    let left = held.left(&towards, &places);
    let narrower: Vec<f64> = left
        .iter()
        .zip(&places)
        .map(|(left, place)| match place.variance() > 0.0 {
            true => (left / place.variance()).sqrt(),
            false => 1.0,
        })
        .collect();
    let narrower = coarse.refine(&narrower);
    // The scale's spread goes into that of each place, since it is no longer one with the map.
    let sds = map.spreads().zip(&narrower);
    let sds = sds.map(|(whole, narrower)| whole * narrower.clamp(0.0, 1.0));
    let sds = sds.collect();

    let mut dice = Dice::seeded(seed);
    let drawn = prior.drawn();
    let draws = prior.draws.iter().map(|draw| {
        let errors = errors(&seen, &mut dice);
        let there = |at: Mm| over(drawn, &draw.heights, at);
        let misses = seen
            .iter()
            .zip(&heights)
            .zip(errors)
            .map(|((s, height), error)| s.height + error - there(s.at).unwrap_or(*height));
        let misses = DVector::from_iterator(seen.len(), misses);
        Draw {
            heights: add(&draw.heights, moved(&misses, drawn)),
            scale: draw.scale,
        }
    });
    let draws = draws.collect();
    let corrected = HeightMap::of(frame, add(map.heights(), moved(&off, frame)), sds, 0.0)?;
    let on_piece = |at: Mm| contains(known.outline, known.holes, at);
    Ok(Sounded {
        notes: contradictions(&held.spots, &seen, &off),
        next: next_probe(&held, &coarse, &on_piece, &places, &left),
        heights: Heights {
            map: corrected,
            draws,
            sparse: prior.sparse,
        },
    })
}

/// A height of a draw between its places, or that of the nearest one where the piece ends.
fn over(frame: Frame, heights: &[f32], at: Mm) -> Option<f64> {
    let between = HeightMap::between(frame, heights, at).filter(|height| !height.is_nan());
    let nearest = || frame.nearest(at).map(|near| f64::from(heights[near]));
    between.or_else(|| nearest().filter(|height| !height.is_nan()))
}

/// Readings that lie too far from the map, each with a sentence.
fn contradictions(spots: &[Spot], seen: &[Seen], off: &DVector<f64>) -> Vec<String> {
    let pairs = spots.iter().zip(seen).zip(off).enumerate();
    let far = pairs.filter(|(_, ((spot, seen), off))| {
        let shared = seen.shared.map_or(0.0, |(_, sd)| sd);
        let spread = (spot.variance() + seen.sd * seen.sd + shared * shared).sqrt();
        off.abs() > CONTRADICTS * spread
    });
    far.map(|(n, ((_, seen), off))| {
        let what = match seen.shared {
            None => say!("Reading {n}", n = n + 1),
            Some((group, _)) => say!("Profile {group}", group = group + 1),
        };
        let way = if *off > 0.0 {
            tr("higher")
        } else {
            tr("lower")
        };
        let said = say!(
            "{what} is {apart} mm {way} than the photos show there, far more than either is unsure. \
             Read it again, and check that the photos show the piece as it is now.",
            what,
            apart = show::fixed(off.abs(), 1),
            way
        );
        (what, said)
    })
    // Of a profile once.
    .fold(Vec::new(), |mut all: Vec<(String, String)>, note| {
        if all.iter().all(|(what, _)| *what != note.0) {
            all.push(note);
        }
        all
    })
    .into_iter()
    .map(|(_, said)| said)
    .collect()
}

/// The error of a map as its spread tells it, on the coarse grid.
struct MapError<'a> {
    map: &'a HeightMap,
    length: f64,
    usual: (f64, f64),
}

impl<'a> MapError<'a> {
    fn of(map: &'a HeightMap, coarse: &Coarse) -> Self {
        let known = map
            .heights()
            .iter()
            .zip(map.sds())
            .filter(|(h, _)| !h.is_nan());
        let (mut count, mut height, mut square) = (0.0, 0.0, 0.0);
        for (h, sd) in known {
            count += 1.0;
            height += f64::from(*h);
            square += f64::from(*sd).powi(2);
        }
        let count = f64::max(count, 1.0);
        let frame = coarse.fine;
        let side = frame.columns.max(frame.rows) as f64 * frame.step.0;
        Self {
            map,
            length: LENGTH * side,
            usual: (height / count, (square / count).sqrt()),
        }
    }

    /// Off the piece the error is that of the map's usual place.
    fn spot(&self, at: Mm) -> Spot {
        let frame = self.map.frame();
        let near = frame.nearest(at).map(|near| {
            let height = self.map.heights()[near];
            (f64::from(height), f64::from(self.map.sds()[near]))
        });
        let (height, sd) = near
            .filter(|(height, _)| !height.is_nan())
            .unwrap_or(self.usual);
        Spot {
            at,
            local: sd * (1.0 - COMMON).sqrt(),
            common: sd * COMMON.sqrt(),
            scale: height * self.map.sd(),
        }
    }
}
