//! Two surfaces from planes, and which of them the fine texture speaks for.
//!
//! Planes lie across a slope, and the shade on it is alike on all of them: on plain plaster in
//! raking light the first sweep may find a steep side where there is none. Photos without what
//! changes slowly show no shade, but less of all else. So both are swept, and a place takes the
//! second surface only where the fine texture, compared on the surfaces themselves, agrees clearly
//! better there.

use super::again::{self, Again};
use super::{Seen, Surface, Sweeper, visible};

/// What changes over more than so many pixels may be shade.
const GRAIN_REACH: usize = 4;
/// How the fine texture is compared: on the surface as it is.
const AS_IT_IS: Again = Again {
    apart: 0.2,
    labels: 1,
    half: 4,
};
/// Where the photos agree so well on the whole, in costs of 0 to 80, shade misleads nothing: on
/// rendered stone the mean is below, on plaster above (found with tests/outside/check_relief.py,
/// as all here).
const CLEAR: f32 = 5.0;
/// Surfaces no further apart than this, in millimetres, are the same to the sweeps that follow.
const APART: f32 = 1.0;
/// By how much less the second has to cost.
const GAIN: f32 = 3.0;
/// The mean over so many millimetres to either side counts, ...
const ABOUT_MM: f64 = 6.0;
/// ... and where the surfaces differ in less than this share of that square, nothing changes.
const LEAST: f32 = 0.25;
/// Surfaces further apart than this, in millimetres, are two readings of the piece.
const FAR: f32 = 2.0;
/// What is left of the doubt where fine texture speaks for the second.
const SPOKEN_FOR: f32 = 0.25;

/// What became of both surfaces.
pub(super) struct Chosen {
    pub(super) surface: Surface,
    /// How far off each place may be since the other surface stays another reading of the photos, in
    /// millimetres: a mean over its neighbourhood.
    pub(super) doubt: Vec<f32>,
}

/// The surface of the first sweep, but where fine texture speaks for one swept without shade.
pub(super) fn chosen(
    sweeper: &Sweeper,
    mut first: Surface,
    sweep: impl FnOnce(&Sweeper) -> Surface,
) -> Chosen {
    let (inside, frame) = (&sweeper.inside, &sweeper.frame);
    let places: Vec<usize> = (0..frame.len()).filter(|p| inside[*p]).collect();
    let fine = Sweeper {
        frame: *frame,
        inside: inside.clone(),
        seen: sweeper.seen.iter().map(without_shade).collect(),
        base: sweeper.base,
    };
    let costs = fine.costs(&first.heights);
    let sum: f32 = places.iter().map(|p| costs[*p]).sum();
    if sum < CLEAR * places.len() as f32 {
        return Chosen {
            surface: first,
            doubt: vec![0.0; frame.len()],
        };
    }
    let second = sweep(&fine).heights;
    let others = fine.costs(&second);
    let off: Vec<f32> = first
        .heights
        .iter()
        .zip(&second)
        .map(|(a, b)| (a - b).abs())
        .collect();
    let mut gain = vec![0.0; frame.len()];
    let mut count = gain.clone();
    for p in places.iter().copied() {
        if off[p] > APART {
            (gain[p], count[p]) = (costs[p] - others[p], 1.0);
        }
    }
    let reach = (ABOUT_MM / frame.step.0).round() as usize;
    let mut across = gain.clone();
    again::square_sums(&mut gain, &mut across, frame, reach);
    again::square_sums(&mut count, &mut across, frame, reach);
    let least = LEAST * ((2 * reach + 1) * (2 * reach + 1)) as f32;
    let mut doubt = vec![0.0; frame.len()];
    for p in places {
        // A little further than where they differ, so that the seam lies where they meet.
        let better = off[p] > APART / 2.0 && count[p] > least && gain[p] > GAIN * count[p];
        if off[p] > FAR {
            doubt[p] = if better { SPOKEN_FOR * off[p] } else { off[p] };
        }
        if better {
            first.heights[p] = second[p];
        }
    }
    again::square_sums(&mut doubt, &mut across, frame, reach);
    let square = ((2 * reach + 1) * (2 * reach + 1)) as f32;
    doubt.iter_mut().for_each(|sum| *sum /= square);
    Chosen {
        surface: first,
        doubt,
    }
}

fn without_shade(seen: &Seen) -> Seen {
    let sharp = seen.sharp.detailed(GRAIN_REACH);
    Seen {
        photo: sharp.softened(),
        sharp,
        eye: seen.eye.clone(),
    }
}

impl Sweeper {
    /// What each place costs on the surface as it is.
    fn costs(&self, heights: &[f32]) -> Vec<f32> {
        let eyes = self.seen.iter().map(|of| &of.eye);
        let visible: Vec<Vec<bool>> = eyes
            .map(|eye| visible::visible(eye, &self.frame, heights))
            .collect();
        let (seen, frame, inside) = (&self.seen, &self.frame, &self.inside);
        let volume = again::swept(seen, frame, inside, heights, &visible, &AS_IT_IS);
        (0..frame.len())
            .map(|place| f32::from(volume.cost(place, 0)))
            .collect()
    }
}
