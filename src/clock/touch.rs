//! What a fingertip found, and how likely a paste of some pace is to be found so.
//!
//! Ages are equivalent ages, in minutes at the card's reference temperature. A coat of pace p
//! (see [`Pace`]) at the age a lies at `ln(a) + p` on a scale on which the card's own times are
//! the thresholds: wet below its time to the next coat, firm from [`firm_from`] on, tacky between;
//! a skin clings below its time to demould. The fingertip reads that place with a normal spread:
//! an ordered probit.

use super::course::Course;
use super::moment::{Feel, Moment, Tap};
use super::normal::{log_between, log_cdf};
use super::pace::Pace;
use super::step::Step;
use crate::coating::{Marked, MaterialCard};
use crate::quantity::{Minutes, Z95};
use chrono::{DateTime, Utc};

/// How far apart in time a fingertip calls the same coat tacky, as a standard deviation of the
/// logarithm.
pub const FINGER_SPREAD: Marked<f64> = Marked::made_up(0.15);
/// Where between the card's time to the next coat (0) and its time to demould (1) a coat is no
/// longer tacky but firm, on the scale of the logarithm.
pub const FIRM: Marked<f64> = Marked::made_up(0.5);

/// A coat stays tacky for at least this long, in log age, whatever a card says.
const LEAST_TACKY: f64 = 0.1;

/// One answer of a fingertip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// When, by the phone's clock.
    pub at: DateTime<Utc>,
    /// The age in times of the card's, as its logarithm.
    age: f64,
    /// From which such age on the card's paste is firm.
    firm: f64,
    feel: Feel,
}

impl Touch {
    /// A coat that waits for the next one. `None` where the age or the card is no number.
    pub fn of_coat(
        at: DateTime<Utc>,
        age: Minutes,
        feel: Feel,
        card: &MaterialCard,
    ) -> Option<Self> {
        let tacky = log_ratio(firm_from(card), card.recoat_from)?;
        Some(Self {
            at,
            age: log_ratio(age, card.recoat_from)?,
            firm: tacky,
            feel,
        })
    }

    /// The skin, once all coats are on: it comes off, or still clings. `None` where the age or the
    /// card is no number.
    pub fn of_skin(
        at: DateTime<Utc>,
        age: Minutes,
        comes_off: bool,
        card: &MaterialCard,
    ) -> Option<Self> {
        Some(Self {
            at,
            age: log_ratio(age, card.demould)?,
            firm: 0.0,
            feel: if comes_off { Feel::Firm } else { Feel::Wet },
        })
    }

    /// The same, taken no further from what the prior expects than one paste in forty lies: a slip
    /// of the finger on the phone then counts as a rare paste and not as an impossible one.
    pub(super) fn believed(self, prior: &Pace) -> Self {
        let far = Z95 * prior.sd.hypot(FINGER_SPREAD.value);
        let earliest = match self.feel {
            Feel::Wet => f64::NEG_INFINITY,
            Feel::Tacky => -prior.mean - far,
            Feel::Firm => -prior.mean + self.firm - far,
        };
        let latest = match self.feel {
            Feel::Wet => -prior.mean + far,
            Feel::Tacky => -prior.mean + self.firm + far,
            Feel::Firm => f64::INFINITY,
        };
        Self {
            age: self.age.max(earliest).min(latest),
            ..self
        }
    }

    /// The logarithm of the chance of this answer from a paste of that pace.
    pub(super) fn log_chance(&self, pace: f64) -> f64 {
        let at = |threshold: f64| (threshold - self.age - pace) / FINGER_SPREAD.value;
        match self.feel {
            Feel::Wet => log_cdf(at(0.0)),
            Feel::Tacky => log_between(at(0.0), at(self.firm)),
            Feel::Firm => log_cdf(-at(self.firm)),
        }
    }
}

/// The age from which a paste that goes as its card says is firm.
pub fn firm_from(card: &MaterialCard) -> Minutes {
    let whole = (card.demould / card.recoat_from).ln();
    card.recoat_from * (FIRM.value * whole).max(LEAST_TACKY).exp()
}

/// `None` unless both are numbers and the second is above zero. An age of nothing is taken for a
/// millionth.
fn log_ratio(age: Minutes, of: Minutes) -> Option<f64> {
    let ratio = age / of;
    (ratio.is_finite() && of.0 > 0.0).then(|| ratio.max(1e-6).ln())
}

/// The answers in a log, of coats that wait and of a skin that cures; a touch that can't be meant
/// where the work stands is passed over. `age` gives the equivalent age between two moments.
pub fn touches(
    log: &[Moment],
    coats: u32,
    card: &MaterialCard,
    age: impl Fn(DateTime<Utc>, DateTime<Utc>) -> Minutes,
) -> Vec<Touch> {
    let mut course = Course::of(&[], coats);
    let mut found = Vec::new();
    for moment in log {
        let Moment { at, tap } = *moment;
        if let Some((last, done)) = course.coat {
            let age = || age(done, at);
            found.extend(match (course.step, tap) {
                (Step::Wait { .. }, Tap::Touch { coat, feel }) if coat == last => {
                    Touch::of_coat(at, age(), feel, card)
                }
                (Step::Cure | Step::Peel, Tap::Touch { coat, feel }) if coat == last => {
                    Touch::of_skin(at, age(), feel == Feel::Firm, card)
                }
                (Step::Cure | Step::Peel, Tap::Demoulded) => Touch::of_skin(at, age(), true, card),
                _ => None,
            });
        }
        course.take(moment, coats);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;
    use chrono::TimeDelta;

    #[test]
    fn a_log_gives_the_touches_that_can_be_meant() {
        let mut card = starter_cards().remove(0);
        (card.recoat_from, card.demould) = (Minutes(60.0), Minutes(120.0));
        let at = |minute: i64| DateTime::UNIX_EPOCH + TimeDelta::minutes(minute);
        let tap = |minute, tap| Moment {
            at: at(minute),
            tap,
        };
        let (batch, last) = (1, true);
        let touch = |minute, coat, feel| tap(minute, Tap::Touch { coat, feel });
        let log = [
            touch(0, 1, Feel::Firm),
            tap(0, Tap::StartMix { coat: 1, batch }),
            touch(5, 1, Feel::Wet),
            tap(
                10,
                Tap::BatchDone {
                    coat: 1,
                    batch,
                    last,
                },
            ),
            touch(60, 1, Feel::Wet),
            touch(70, 2, Feel::Tacky),
            touch(80, 1, Feel::Tacky),
            // The next coat has begun in the log: this one can't be touched any more.
            touch(81, 1, Feel::Firm),
            tap(90, Tap::StartMix { coat: 2, batch }),
            tap(
                100,
                Tap::BatchDone {
                    coat: 2,
                    batch,
                    last,
                },
            ),
            touch(200, 2, Feel::Tacky),
            tap(240, Tap::Demoulded),
            touch(250, 2, Feel::Firm),
        ];
        // Twice as fast as at the reference temperature.
        let age = |from: DateTime<Utc>, to: DateTime<Utc>| {
            Minutes((to - from).num_seconds() as f64 / 60.0 * 2.0)
        };
        let coat = |minute, age, feel| Touch::of_coat(at(minute), Minutes(age), feel, &card);
        let skin = |minute, age, off| Touch::of_skin(at(minute), Minutes(age), off, &card);
        let wanted = [
            coat(60, 100.0, Feel::Wet),
            coat(80, 140.0, Feel::Tacky),
            skin(200, 200.0, false),
            skin(240, 280.0, true),
        ];
        let found = touches(&log, 2, &card, age);
        assert_eq!(found, wanted.map(Option::unwrap));
    }

    #[test]
    fn a_coat_stays_tacky_for_a_while_whatever_the_card_says() {
        let mut card = starter_cards().remove(0);
        (card.recoat_from, card.demould) = (Minutes(60.0), Minutes(240.0));
        assert!((firm_from(&card).0 - 120.0).abs() < 1e-9);
        card.demould = Minutes(30.0);
        assert!(firm_from(&card) > card.recoat_from);
    }
}
