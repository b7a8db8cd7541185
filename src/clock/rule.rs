//! The clock's own rules, each once, each with its mark.

use crate::coating::Marked;
use crate::quantity::Minutes;
use chrono::Duration;

/// After a wet touch the next test comes after this share of the card's time to the next coat,
/// taken to the temperature of the site: 12 minutes for a card that says an hour. The same share
/// of the time to demould holds for a skin that still clings.
pub(super) const WAIT_AGAIN: Marked<f64> = Marked::made_up(0.2);
/// Still wet after so many times the likely wait: something may keep it from curing.
pub(super) const WET_TOO_LONG: Marked<f64> = Marked::made_up(2.0);
/// From this wait on it is said that a late coat is fine.
pub(super) const WORTH_SAYING: Marked<Minutes> = Marked::made_up(Minutes(180.0));
/// A clock that differs by less than this from a stored moment is simply read late.
pub(super) const CLOCK_TOLERANCE: Duration = Duration::minutes(1);
