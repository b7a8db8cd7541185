//! What earlier work has taught: how fast each paste goes, by all touches in all jobs.

use super::{Job, JobId, Piece};
use crate::clock::{Heard, Learned, Pace, Tap, Tempo, Touch, Work, finished, learned, touches};
use crate::coating::Plan;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// From when on each paste is learned anew, by its card's id: what was felt before does not count.
pub type Begun = BTreeMap<String, DateTime<Utc>>;

/// What all jobs together have taught. Nothing of it is stored: it follows from their logs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Memory {
    heard: Vec<(JobId, String, Heard)>,
    begun: Begun,
}

impl Memory {
    /// What these jobs have taught.
    pub fn of<'a>(jobs: impl IntoIterator<Item = &'a Job>, begun: &Begun) -> Self {
        let mut heard: Vec<(JobId, String, Heard)> = Vec::new();
        for job in jobs {
            for piece in &job.pieces {
                let felt = piece.touches();
                let Some(Touch { .. }) = felt.first() else {
                    continue;
                };
                let known = heard
                    .iter_mut()
                    .find(|(id, card, _)| *id == job.id && *card == piece.card.id);
                match known {
                    Some((_, _, heard)) => heard.touches.extend(felt),
                    None => heard.push((
                        job.id.clone(),
                        piece.card.id.clone(),
                        Heard::of(&piece.card, piece.temperature, felt),
                    )),
                }
            }
        }
        Self {
            heard,
            begun: begun.clone(),
        }
    }

    /// How fast a piece's paste goes there: by the jobs before, and by what was felt in this one.
    pub fn pace(&self, job: &JobId, piece: &Piece) -> Pace {
        let (card, begun) = (&piece.card, self.begun.get(&piece.card.id).copied());
        let of_card = self.heard.iter().filter(|(_, id, _)| *id == card.id);
        let (here, before): (Vec<_>, Vec<_>) = of_card.partition(|(id, ..)| id == job);
        let before: Vec<Heard> = before
            .into_iter()
            .map(|(.., heard)| heard.clone())
            .collect();
        let felt = here
            .iter()
            .flat_map(|(.., heard)| heard.touches.iter().copied());
        let felt: Vec<Touch> = felt
            .filter(|touch| begun.is_none_or(|begun| touch.at >= begun))
            .collect();
        Pace::remembered(card, piece.temperature, &before, begun).after(&felt)
    }

    /// How many touches of a paste count.
    pub fn touches(&self, card: &str) -> usize {
        let begun = self.begun.get(card);
        let of_card = self.heard.iter().filter(|(_, id, _)| id == card);
        let touches = of_card.flat_map(|(.., heard)| &heard.touches);
        touches
            .filter(|touch| begun.is_none_or(|begun| touch.at >= *begun))
            .count()
    }

    /// How fast a piece's paste goes there, by temperature and touch.
    pub fn tempo(&self, job: &JobId, piece: &Piece) -> Tempo {
        piece.tempo().at_pace(self.pace(job, piece))
    }
}

/// The key in [`Begun`] of what is learned of the hand and not of a paste.
pub const HAND: &str = "hand";
/// The last so many works teach; a hand changes too.
const WORKS: usize = 20;

/// What the taps and weighings of these jobs teach of the one who brushes.
pub fn learned_from(jobs: &[Job], begun: &Begun) -> Learned {
    let pieces = jobs.iter().flat_map(|job| &job.pieces);
    let begins = |piece: &Piece| piece.coat_log.first().map(|moment| moment.at);
    let mut works: Vec<(DateTime<Utc>, &Piece)> = pieces
        .filter_map(|piece| Some((begins(piece)?, piece)))
        .collect();
    works.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    works.truncate(WORKS);
    let plans = works
        .into_iter()
        .filter_map(|(_, piece)| Some((piece, piece.plan().ok()?)));
    let plans: Vec<(&Piece, Plan)> = plans.collect();
    let works: Vec<Work> = plans
        .iter()
        .map(|(piece, plan)| Work {
            log: &piece.coat_log,
            notes: &piece.notes,
            plan,
        })
        .collect();
    learned(&works, begun.get(HAND).copied())
}

impl Piece {
    /// Plans it by what was learned.
    pub fn take_in(&mut self, learned: &Learned) {
        learned.put_into(&mut self.coats, &mut self.hand);
    }

    /// What fingertips found on it.
    fn touches(&self) -> Vec<Touch> {
        let numbers = self.coat_log.iter().filter_map(|moment| match moment.tap {
            Tap::BatchDone { coat, .. } => Some(coat),
            _ => None,
        });
        let Some(last) = numbers.max() else {
            return Vec::new();
        };
        // Of a peeled piece the log says how many coats it had; of another one its plan does.
        let coats = match finished(&self.coat_log) {
            true => last,
            false => self.plan().map_or(last, |plan| plan.coats.len() as u32),
        };
        let tempo = self.tempo();
        touches(&self.coat_log, coats, &self.card, |from, to| {
            tempo.age(from, to)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{Feel, Moment};
    use crate::job::sample_job;
    use chrono::TimeDelta;

    /// The sample with one coat on, touched after so many times its card's wait.
    fn touched(name: &str, share: f64, feel: Feel) -> Job {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        job.id = JobId::new(name);
        let piece = &mut job.pieces[0];
        piece.temperature = piece.card.reference;
        let minutes = |minutes: f64| TimeDelta::seconds((minutes * 60.0) as i64);
        let mut at = DateTime::UNIX_EPOCH;
        let mut tap = |after: f64, tap| {
            at += minutes(after);
            piece.coat_log.push(Moment { at, tap });
        };
        let (coat, batch) = (1, 1);
        tap(0.0, Tap::StartMix { coat, batch });
        tap(
            10.0,
            Tap::BatchDone {
                coat,
                batch,
                last: true,
            },
        );
        let wait = piece.card.recoat_from.0;
        let mut tap = |after: f64, tap| {
            at += minutes(after);
            piece.coat_log.push(Moment { at, tap });
        };
        tap(wait * share, Tap::Touch { coat, feel });
        job
    }

    #[test]
    fn a_touch_teaches_its_job_more_than_the_next_and_can_be_forgotten() {
        let slow = touched("slow", 1.6, Feel::Wet);
        let new = sample_job(DateTime::UNIX_EPOCH);
        let none = Begun::new();
        let memory = Memory::of([&slow, &new], &none);
        let here = memory.pace(&slow.id, &slow.pieces[0]);
        let next = memory.pace(&new.id, &new.pieces[0]);
        assert!(
            here.mean < next.mean && next.mean < -0.02,
            "{here:?} {next:?}"
        );
        let mut piece = new.pieces[0].clone();
        piece.card.id = "another".into();
        assert_eq!(memory.pace(&new.id, &piece).mean, 0.0);
        assert_eq!(
            (
                memory.touches("another"),
                memory.touches(&slow.pieces[0].card.id)
            ),
            (0, 1)
        );

        let later = DateTime::UNIX_EPOCH + TimeDelta::days(1);
        let begun = Begun::from([(slow.pieces[0].card.id.clone(), later)]);
        let memory = Memory::of([&slow, &new], &begun);
        assert_eq!(memory.pace(&slow.id, &slow.pieces[0]).mean, 0.0);
        assert_eq!(memory.touches(&slow.pieces[0].card.id), 0);
    }
}
