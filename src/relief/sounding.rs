//! Heights from readings, profiles and the kind of relief, without photos.

use super::coarse::Coarse;
use super::gaussian::{Conditioned, Seen, Spot};
use super::near::{along, contains, from_rings};
use super::probe::{Probe, next_probe};
use super::waves::Waves;
use super::{Cover, DRAWS, Draw, Edge, Frame, HeightMap, Heights, Profile, Reading};
use crate::quantity::{Dice, Millimetres};
use crate::say;
use crate::survey::{Mm, SurveyError};
use crate::words::tr;
use nalgebra::DVector;

/// What is taken of the heights before any was read: from the kind of relief, for one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// The mean height away from the edges.
    pub mean: Millimetres,
    /// One standard deviation of that.
    pub mean_sd: Millimetres,
    /// One standard deviation of single heights about the mean.
    pub rough: Millimetres,
}

/// What is known of a piece beside its photos.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known<'a> {
    /// The outline on the wall.
    pub outline: &'a [Mm],
    /// Its holes.
    pub holes: &'a [Vec<Mm>],
    /// How it meets the wall there.
    pub edge: Edge,
    /// Heights that were read.
    pub readings: &'a [Reading],
    /// Sections that were drawn.
    pub profiles: &'a [Profile],
}

/// What readings tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Sounded {
    /// The heights.
    pub heights: Heights,
    /// Where a further reading would tell the volume best.
    pub next: Option<Probe>,
    /// What the user should know, a sentence or two each.
    pub notes: Vec<String>,
}

/// Ornament is no Gaussian process: on made-up forms the ranges as they come out held the true
/// volume in 89 of 100 with three and with twenty readings, so they are widened by this.
const WIDER: f64 = 1.3;
/// So many choices of roughness and length share the draws.
const CHOICES: usize = 4;
/// How many places of the outline count as seen.
const ALONG_EDGE: usize = 48;
/// The least spread of what was seen, in millimetres: a probe's own.
const LEAST_SD: f64 = 0.05;
/// The share of a profile's spread that lifts or lowers all of it: it lay a little off the wall.
const PROFILE_SHARED: f64 = 0.7;
/// The rise from the edge to the mean height goes on over so great a part of the piece's width.
const RISE: f64 = 0.1;

impl Known<'_> {
    /// Refuses what can't be right, naming the reading.
    pub fn check(&self) -> Result<(), SurveyError> {
        self.edge.check()?;
        for (n, reading) in self.readings.iter().enumerate() {
            reading.check(n + 1, self.outline, self.holes)?;
        }
        for (n, profile) in self.profiles.iter().enumerate() {
            profile.check(n + 1)?;
            let on = |(place, _): &(Mm, f64)| contains(self.outline, self.holes, *place);
            if profile.places().iter().filter(|place| on(place)).count() < 2 {
                return Err(SurveyError::at(
                    format!("profiles[{n}].from"),
                    say!(
                        "Profile {n} does not cross the piece. Move its line onto it.",
                        n = n + 1
                    ),
                ));
            }
        }
        Ok(())
    }

    /// All that was seen: readings, and what profiles tell inside the outline.
    pub(super) fn seen(&self) -> Vec<Seen> {
        let read = |reading: &Reading| Seen {
            at: reading.at,
            height: reading.height.0,
            sd: reading.sd.0.max(LEAST_SD),
            shared: None,
        };
        let mut all: Vec<Seen> = self.readings.iter().map(read).collect();
        for (group, profile) in self.profiles.iter().enumerate() {
            let sd = profile.sd.0.max(LEAST_SD);
            let own = sd * (1.0 - PROFILE_SHARED * PROFILE_SHARED).sqrt();
            let places = profile.places().into_iter();
            let on = places.filter(|(place, _)| contains(self.outline, self.holes, *place));
            all.extend(on.map(|(at, height)| Seen {
                at,
                height,
                sd: own,
                shared: Some((group, sd * PROFILE_SHARED)),
            }));
        }
        all
    }

    pub(super) fn rings(&self) -> Vec<Vec<Mm>> {
        std::iter::once(self.outline.to_vec())
            .chain(self.holes.iter().cloned())
            .collect()
    }
}

/// Heights from readings and profiles alone; from the guess alone where there are none.
///
/// The surface is a Gaussian process about a mean that rises from the edge to the guess, itself
/// unsure. Along the outline it is pinned to the edge's height. How rough it is and over what
/// length it changes (between a tenth and the whole of the piece's width) is weighed by how
/// likely the readings are under each (marginal likelihood, Rasmussen & Williams 5.4.1). Draws
/// are whole surfaces, conditioned by Matheron's rule (J. Wilson et al., "Efficiently sampling
/// functions from Gaussian process posteriors", 2020). Nothing lies below the wall.
pub fn readings(
    frame: Frame,
    known: &Known<'_>,
    guess: Option<Guess>,
    seed: u64,
) -> Result<Sounded, SurveyError> {
    frame.check()?;
    known.check()?;
    let seen = known.seen();
    let guess = match guess {
        Some(guess) => guess,
        None => of_seen(&seen)?,
    };
    let ground = Ground::of(frame, known, guess);
    ground.conditioned(&seen, seed).ok_or_else(|| {
        SurveyError::at(
            "readings",
            tr("These readings contradict each other too far. Take the doubtful ones away."),
        )
    })
}

/// Where no kind of relief is known, the readings tell their own mean and roughness.
fn of_seen(seen: &[Seen]) -> Result<Guess, SurveyError> {
    if seen.is_empty() {
        return Err(SurveyError::at(
            "readings",
            tr("Read a height first, or say how the piece is modelled."),
        ));
    }
    let n = seen.len() as f64;
    let mean = (seen.iter().map(|s| s.height).sum::<f64>() / n).max(1.0);
    Ok(Guess {
        mean: Millimetres(mean),
        mean_sd: Millimetres(mean / 2.0),
        rough: Millimetres(mean / 2.0),
    })
}

/// The piece before anything is seen.
struct Ground {
    coarse: Coarse,
    cover: Cover,
    rings: Vec<Vec<Mm>>,
    width: f64,
    edge: Option<(f64, f64)>,
    guess: Guess,
    pins: Vec<Seen>,
}

impl Ground {
    fn of(frame: Frame, known: &Known<'_>, guess: Guess) -> Self {
        let rings = known.rings();
        let edge = known.edge.height();
        let pin = |(at, (height, sd)): (Mm, (f64, f64))| Seen {
            at,
            height,
            sd: sd.max(LEAST_SD),
            shared: None,
        };
        let places = along(&rings, ALONG_EDGE).concat();
        let pins = places.into_iter().filter_map(|at| Some(pin((at, edge?))));
        let extent = |k: usize| {
            let all = || known.outline.iter().map(|place| place[k]);
            all().fold(f64::MIN, f64::max) - all().fold(f64::MAX, f64::min)
        };
        Self {
            coarse: Coarse::over(frame),
            cover: Cover::of_rings(frame, known.outline, known.holes),
            pins: pins.collect(),
            // Few places are enough to tell how far away the edge is.
            rings: match known.outline.len() > 256 {
                true => along(&rings, 256),
                false => rings,
            },
            width: extent(0).max(extent(1)),
            edge,
            guess,
        }
    }

    /// How far the mean has risen at a place, from none at the edge to one.
    fn risen(&self, at: Mm) -> f64 {
        match self.edge {
            Some(_) => 1.0 - (-from_rings(at, &self.rings) / (RISE * self.width)).exp(),
            None => 1.0,
        }
    }

    fn mean(&self, risen: f64) -> f64 {
        let low = self.edge.map_or(0.0, |(height, _)| height);
        low + (self.guess.mean.0.max(low) - low) * risen
    }

    /// A place where the mean has risen so far, and the mean there.
    fn spot(&self, at: Mm, risen: f64, rough: f64) -> (Spot, f64) {
        let spot = Spot {
            at,
            local: rough,
            common: self.guess.mean_sd.0 * risen,
            scale: 0.0,
        };
        (spot, self.mean(risen))
    }

    /// Choices of roughness and length, as likely as each other: taken at even shares of how likely
    /// all choices are, from the shortest length to the longest, so that a few readings don't make
    /// the surface surer than they can. What the pinned edge tells of them is left out: it is
    /// pinned by us.
    fn choices(&self, seen: &[Seen]) -> [(f64, f64); CHOICES] {
        let usual = self.guess.rough.0.max(0.05);
        let all: Vec<Seen> = self.pins.iter().chain(seen).copied().collect();
        let risen: Vec<f64> = all.iter().map(|s| self.risen(s.at)).collect();
        let mut tried = Vec::new();
        for long in [0.1, 0.18, 0.32, 0.56, 1.0] {
            for more in [0.6, 1.0, 1.6, 2.6, 4.2] {
                let (length, rough) = (self.width * long, usual * more);
                let likely = |count: usize| {
                    let spots = (0..count).map(|i| Spot {
                        at: all[i].at,
                        local: rough,
                        common: self.guess.mean_sd.0 * risen[i],
                        scale: 0.0,
                    });
                    let off = (0..count).map(|i| all[i].height - self.mean(risen[i]));
                    let off = DVector::from_iterator(count, off);
                    let held = Conditioned::on(spots.collect(), &all[..count], length);
                    held.map_or(f64::NEG_INFINITY, |held| held.likelihood(&off))
                };
                // Before any reading: as the guess says, give or take a half, and a quarter of
                // the width, give or take as much.
                let prior = normal(more.ln() / 0.5) + normal((long / 0.25_f64).ln() / 0.7);
                let log = prior
                    + match seen.is_empty() {
                        true => 0.0,
                        false => likely(all.len()) - likely(self.pins.len()),
                    };
                if log.is_finite() {
                    tried.push((rough, length, log));
                }
            }
        }
        let best = tried.iter().map(|t| t.2).fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = tried.iter().map(|t| (t.2 - best).exp()).collect();
        let whole: f64 = weights.iter().sum();
        let mut chosen = [(usual, 0.25 * self.width); CHOICES];
        for (n, chosen) in chosen.iter_mut().enumerate() {
            let share = (n as f64 + 0.5) / CHOICES as f64 * whole;
            let mut passed = 0.0;
            let reached = tried.iter().zip(&weights).find(|(_, weight)| {
                passed += **weight;
                passed >= share
            });
            if let Some(((rough, length, _), _)) = reached {
                *chosen = (*rough, *length);
            }
        }
        chosen
    }

    /// The surface under all choices together.
    fn conditioned(&self, seen: &[Seen], seed: u64) -> Option<Sounded> {
        let all: Vec<Seen> = self.pins.iter().chain(seen).copied().collect();
        let grid = self.coarse.frame;
        let mut dice = Dice::seeded(seed);
        let mut draws = Vec::with_capacity(DRAWS);
        let mut likely = vec![0.0; grid.len()];
        let mut squares = vec![0.0; grid.len()];
        let mut next = None;
        let share = 1.0 / CHOICES as f64;
        let risen_at: Vec<f64> = all.iter().map(|s| self.risen(s.at)).collect();
        let risen_over: Vec<f64> = (0..grid.len())
            .map(|at| self.risen(grid.place_of(at)))
            .collect();
        for (n, (rough, length)) in self.choices(seen).into_iter().enumerate() {
            let (spots, means): (Vec<Spot>, Vec<f64>) = all
                .iter()
                .zip(&risen_at)
                .map(|(s, risen)| self.spot(s.at, *risen, rough))
                .unzip();
            let held = Conditioned::on(spots, &all, length)?;
            let places = risen_over
                .iter()
                .enumerate()
                .map(|(at, risen)| self.spot(grid.place_of(at), *risen, rough));
            let (places, prior): (Vec<Spot>, Vec<f64>) = places.unzip();
            let towards = held.towards(&places);
            let off = all.iter().zip(&means).map(|(s, mean)| s.height - mean);
            let off = DVector::from_iterator(all.len(), off);
            let shift = towards.tr_mul(&held.cholesky.solve(&off));
            let left = held.left(&towards, &places);
            for (at, left) in left.iter().enumerate() {
                let height = prior[at] + shift[at];
                likely[at] += height * share;
                squares[at] += (WIDER * WIDER * left + height * height) * share;
            }
            for _ in 0..DRAWS / CHOICES {
                let waves = Waves::draw(&mut dice, length);
                let errors = errors(&all, &mut dice);
                let misses = held.spots.iter().zip(&off).zip(&errors);
                let misses = misses.map(|((spot, off), error)| off + error - waves.at(spot));
                let misses = DVector::from_iterator(all.len(), misses);
                let pull = towards.tr_mul(&held.cholesky.solve(&misses));
                let free = waves.over(grid, &places);
                let drawn = (0..grid.len()).map(|at| {
                    let base = prior[at] + shift[at];
                    base + WIDER * (prior[at] + free[at] + pull[at] - base)
                });
                let drawn: Vec<f64> = drawn.collect();
                draws.push(Draw {
                    heights: self.on_piece(&drawn),
                    scale: 1.0,
                });
            }
            if n == CHOICES / 2 {
                let on_piece = |at: Mm| {
                    let near = self.coarse.fine.nearest(at);
                    near.is_some_and(|near| self.cover.inside[near])
                };
                next = next_probe(&held, &self.coarse, &on_piece, &places, &left);
            }
        }
        let sds = squares.iter().zip(&likely);
        let sds: Vec<f64> = sds.map(|(s, h)| (s - h * h).max(0.0).sqrt()).collect();
        let map = HeightMap::of(
            self.coarse.fine,
            self.on_piece(&likely),
            self.on_piece(&sds),
            0.0,
        );
        Some(Sounded {
            heights: Heights {
                map: map.ok()?,
                draws,
                sparse: 1,
            },
            next,
            notes: Vec::new(),
        })
    }

    fn on_piece(&self, values: &[f64]) -> Vec<f32> {
        within(&self.cover, self.coarse.refine(values))
    }
}

/// Heights inside the cover, none of them below the wall or out of reach.
pub(super) fn within(cover: &Cover, mut values: Vec<f32>) -> Vec<f32> {
    for (value, inside) in values.iter_mut().zip(&cover.inside) {
        *value = match inside {
            true => value.clamp(0.0, 1000.0),
            false => f32::NAN,
        };
    }
    values
}

/// One draw of the errors of what was seen.
pub(super) fn errors(seen: &[Seen], dice: &mut Dice) -> Vec<f64> {
    let groups = seen
        .iter()
        .filter_map(|s| s.shared)
        .map(|(group, _)| group + 1);
    let shared: Vec<f64> = (0..groups.max().unwrap_or(0))
        .map(|_| dice.normal())
        .collect();
    let error = |s: &Seen| s.sd * dice.normal() + s.shared.map_or(0.0, |(g, sd)| sd * shared[g]);
    seen.iter().map(error).collect()
}

fn normal(z: f64) -> f64 {
    -0.5 * z * z
}
