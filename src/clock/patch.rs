//! The patch test's own timer.

use super::due::{Due, DueKind};
use crate::coating::{MaterialCard, PatchTest, cure};
use crate::quantity::Celsius;

/// When to look at a patch: once it has had the card's time to demould, taken to the temperature
/// of the site. `None` once it has its answer, and for a test of another paste.
pub fn patch_due(test: &PatchTest, card: &MaterialCard, temperature: Celsius) -> Option<Due> {
    let waits = test.result.is_none() && test.paste == card.id;
    waits.then(|| {
        let span = cure::at_temperature(card.demould, card, temperature);
        Due::after(DueKind::Patch, test.started, &span)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{PatchResult, starter_cards};
    use chrono::{DateTime, TimeDelta};

    #[test]
    fn a_patch_is_due_after_the_time_to_demould_at_this_temperature() {
        let card = &starter_cards()[0];
        let test = PatchTest {
            started: DateTime::UNIX_EPOCH,
            place: String::new(),
            paste: card.id.clone(),
            sealed: false,
            result: None,
        };
        let due = |test: &PatchTest, celsius| patch_due(test, card, Celsius(celsius));
        // Two hours at 23 C, and twice that ten degrees colder.
        for (celsius, minutes) in [(23.0, 120), (13.0, 240)] {
            let due = due(&test, celsius).unwrap();
            assert_eq!(due.at - test.started, TimeDelta::minutes(minutes));
            assert_eq!((due.at, due.from), (due.likely, test.started));
        }
        let answered = PatchTest {
            result: Some(PatchResult::Cured),
            ..test.clone()
        };
        assert_eq!(due(&answered, 23.0), None);
        let of_another = PatchTest {
            paste: starter_cards()[1].id.clone(),
            ..test
        };
        assert_eq!(due(&of_another, 23.0), None);
    }
}
