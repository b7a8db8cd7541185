//! The patch test's own timer.

use super::due::{Due, DueKind};
use super::tempo::Tempo;
use crate::coating::{MaterialCard, PatchTest};

/// When to look at a patch: once it has had the card's time to demould, taken to the temperatures
/// of the site. `None` once it has its answer, and for a test of another paste.
pub fn patch_due(test: &PatchTest, card: &MaterialCard, tempo: &Tempo) -> Option<Due> {
    let waits = test.result.is_none() && test.paste == card.id;
    waits.then(|| {
        let span = tempo.span(test.started, card.demould);
        Due::after(DueKind::Patch, test.started, &span)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::{PatchResult, starter_cards};
    use crate::quantity::Celsius;
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
        let due = |test: &PatchTest, celsius| {
            patch_due(test, card, &Tempo::steady(card, Celsius(celsius)))
        };
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
