//! How fast a paste goes on one site: by its card, by the temperatures there, and by touch.

use super::age::Ageing;
use super::due::{minutes_between, span_of};
use super::pace::Pace;
use super::warmth::Warmth;
use crate::coating::MaterialCard;
use crate::quantity::{Celsius, Estimate, Minutes};
use chrono::{DateTime, Utc};

/// How fast one paste goes on one site.
#[derive(Clone, Debug, PartialEq)]
pub struct Tempo {
    card: MaterialCard,
    expected: Celsius,
    readings: Vec<(DateTime<Utc>, Celsius)>,
    /// The moment from which the ageing counts its minutes.
    origin: DateTime<Utc>,
    ageing: Ageing,
    pace: Option<Pace>,
}

impl Tempo {
    /// With one temperature all the time.
    pub fn steady(card: &MaterialCard, temperature: Celsius) -> Self {
        Self::of(card, temperature, Vec::new())
    }

    /// With the temperature that was expected until the first reading; each reading holds until the
    /// next one.
    pub fn of(
        card: &MaterialCard,
        expected: Celsius,
        readings: Vec<(DateTime<Utc>, Celsius)>,
    ) -> Self {
        let origin = readings.first().map_or(DateTime::UNIX_EPOCH, |(at, _)| *at);
        Self {
            origin,
            ageing: ageing(card, expected, &readings, origin),
            card: card.clone(),
            expected,
            readings,
            pace: None,
        }
    }

    /// The same with what fingertips have told of the paste.
    pub fn at_pace(self, pace: Pace) -> Self {
        Self {
            pace: Some(pace),
            ..self
        }
    }

    /// The paste's card.
    pub fn card(&self) -> &MaterialCard {
        &self.card
    }

    /// The temperature there at a moment: the last one that was read before it, or the expected.
    pub fn temperature_at(&self, moment: DateTime<Utc>) -> Celsius {
        let before = self.readings.iter().filter(|(at, _)| *at <= moment);
        let last = before.max_by_key(|(at, _)| *at);
        last.map_or(self.expected, |(_, celsius)| *celsius)
    }

    /// How many times as fast as its card says the coats of this paste cure.
    pub fn times(&self) -> f64 {
        self.pace.map_or(1.0, |pace| pace.times())
    }

    /// How the paste ages, in minutes from a moment of the caller's choice.
    pub fn ageing_from(&self, origin: DateTime<Utc>) -> Ageing {
        ageing(&self.card, self.expected, &self.readings, origin)
    }

    /// How long it takes from a moment on until an age, in minutes at the card's reference
    /// temperature, is reached.
    pub fn span(&self, from: DateTime<Utc>, age: Minutes) -> Estimate<Minutes> {
        self.ageing.span(minutes_between(self.origin, from), age)
    }

    /// The same for what a fingertip waits for: the next coat, and the peeling. What touches have
    /// told counts here; the working time is another clock.
    pub fn wait(&self, from: DateTime<Utc>, age: Minutes) -> Estimate<Minutes> {
        let Some(pace) = self.pace else {
            return self.span(from, age);
        };
        let begin = minutes_between(self.origin, from);
        let at = |age| self.ageing.reached(begin, age) - begin;
        let ages = pace.span(age);
        Estimate {
            value: at(ages.value),
            sd: at(ages.value).0 * (ages.sd / ages.value.0),
            low95: at(ages.low95),
            high95: at(ages.high95),
        }
    }

    /// What the paste ages between two moments.
    pub fn age(&self, from: DateTime<Utc>, to: DateTime<Utc>) -> Minutes {
        self.ageing.between(
            minutes_between(self.origin, from),
            minutes_between(self.origin, to),
        )
    }

    /// The most likely moment at which a paste that begins to age at `from` has reached an age.
    pub fn reached(&self, from: DateTime<Utc>, age: Minutes) -> DateTime<Utc> {
        from.checked_add_signed(span_of(self.span(from, age).value))
            .unwrap_or(DateTime::<Utc>::MAX_UTC)
    }
}

fn ageing(
    card: &MaterialCard,
    expected: Celsius,
    readings: &[(DateTime<Utc>, Celsius)],
    origin: DateTime<Utc>,
) -> Ageing {
    let steps = readings
        .iter()
        .map(|(at, celsius)| (minutes_between(origin, *at), *celsius));
    Ageing::of(card, &Warmth::of(expected, steps.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;
    use chrono::TimeDelta;

    #[test]
    fn a_wall_that_warms_up_is_ready_sooner() {
        let card = &starter_cards()[0];
        let from = DateTime::UNIX_EPOCH + TimeDelta::days(20_000);
        let cold = card.reference - Celsius(10.0);
        let steady = Tempo::steady(card, cold);
        // An hour's age takes two hours ten degrees below the reference.
        assert_eq!(
            steady.reached(from, Minutes(60.0)) - from,
            TimeDelta::hours(2)
        );
        // Half of it is done after one hour; the other half takes half an hour in the warmth.
        let warm = vec![(from + TimeDelta::hours(1), card.reference)];
        let tempo = Tempo::of(card, cold, warm);
        assert_eq!(
            tempo.reached(from, Minutes(60.0)) - from,
            TimeDelta::minutes(90)
        );
        assert_eq!(
            tempo.age(from, from + TimeDelta::minutes(90)),
            Minutes(60.0)
        );
    }
}
