//! Where one more reading tells most of the volume.

use super::coarse::Coarse;
use super::gaussian::{Conditioned, Spot};
use crate::survey::Mm;
use nalgebra::DVector;
use serde::{Deserialize, Serialize};

/// A place worth a reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Probe {
    /// The place on the wall.
    pub at: Mm,
    /// The share that a reading there takes from the volume's standard deviation.
    pub gain: f64,
}

/// How surely a height is read with a probe, in millimetres.
const PROBE_SD: f64 = 0.5;

/// The place at which a further reading lowers the volume's spread most: by the square of how far
/// height and volume go together there, over the height's own variance and the reading's. Looked
/// for on every second place of the coarse grid, where the surface is taken for linear: what is
/// cut off at the wall does not count.
pub(super) fn next_probe(
    held: &Conditioned,
    coarse: &Coarse,
    on_piece: &dyn Fn(Mm) -> bool,
    places: &[Spot],
    left: &[f64],
) -> Option<Probe> {
    let frame = coarse.frame;
    let even = |at: &usize| {
        (at % frame.columns).is_multiple_of(2) && (at / frame.columns).is_multiple_of(2)
    };
    let chosen: Vec<usize> = (0..frame.len())
        .filter(even)
        .filter(|at| on_piece(frame.place_of(*at)))
        .collect();
    let spots: Vec<Spot> = chosen.iter().map(|at| places[*at]).collect();
    let towards = held.towards(&spots);
    // How each seen place goes together with the whole volume, solved once.
    let whole: DVector<f64> = towards.column_sum();
    let solved = held.cholesky.solve(&whole);
    let mut with_volume: Vec<f64> = spots
        .iter()
        .map(|spot| {
            spots
                .iter()
                .map(|other| spot.with(other, held.length))
                .sum()
        })
        .collect();
    let seen = towards.tr_mul(&solved);
    for (with, seen) in with_volume.iter_mut().zip(&seen) {
        *with -= seen;
    }
    let variance: f64 = with_volume.iter().sum();
    let gains = chosen.iter().zip(&with_volume).map(|(at, with)| {
        let gain = with * with / (left[*at] + PROBE_SD * PROBE_SD);
        (*at, gain / variance)
    });
    let (at, gain) = gains
        .filter(|(_, gain)| gain.is_finite())
        .max_by(|one, other| one.1.total_cmp(&other.1))?;
    (variance > 0.0).then(|| Probe {
        at: frame.place_of(at),
        gain: 1.0 - (1.0 - gain.clamp(0.0, 1.0)).sqrt(),
    })
}
