//! What stands on the shelf: packs of a paste that are already paid for.

use super::card::MaterialCard;
use crate::quantity::show::{self, System};
use crate::quantity::{Grams, iso};
use crate::say;
use crate::words::tr;
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};

/// Some packs on the shelf that are alike: of one paste, one size and one lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OnShelf {
    /// Its name, as on the label.
    pub name: String,
    /// The id of the card of the paste in it.
    #[serde(default)]
    pub card: String,
    /// What is in each now, A and B together.
    pub size: Grams,
    /// What one of them cost, if known.
    #[serde(default)]
    pub price: Option<f64>,
    /// How many there are; none once they are used up.
    pub count: u32,
    /// The lot number on the label; may be empty.
    #[serde(default)]
    pub lot: String,
    /// The day they were opened, if they are.
    #[serde(default, with = "iso::day")]
    pub opened: Option<NaiveDate>,
    /// The last day they may be used, if the label gives one.
    #[serde(default, with = "iso::day")]
    pub expires: Option<NaiveDate>,
}

/// A field of [`OnShelf`], to point at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShelfField {
    /// The name.
    Name,
    /// What is in each.
    Size,
    /// How many there are.
    Count,
    /// What one of them cost.
    Price,
    /// The day they were opened.
    Opened,
    /// The last day they may be used.
    Expires,
}

/// One thing that is wrong with what is said of the shelf.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShelfProblem {
    /// Where.
    pub field: ShelfField,
    /// What, and what to do, as a sentence.
    pub text: String,
}

impl OnShelf {
    /// Whether they are of the paste of that card. Each time that a card of the user's own is
    /// typed anew it is another card; its name then tells.
    pub fn is_of(&self, card: &MaterialCard) -> bool {
        self.card == card.id || (!self.name.is_empty() && self.name == card.name)
    }

    /// Whether they may no longer be used on that day. On the last day they may.
    pub fn has_expired(&self, today: NaiveDate) -> bool {
        self.expires.is_some_and(|last| last < today)
    }

    /// Some of them in words: "2 × 450 g, lot 17, opened 3 May 2026".
    pub fn in_words(&self, count: u32, system: System) -> String {
        let mut words = format!("{count} × {}", show::mass(self.size, system));
        if !self.lot.is_empty() {
            words += &say!(", lot {lot}", lot = self.lot);
        }
        if let Some(day) = self.opened {
            words += &say!(", opened {day}", day = show::day(day));
        }
        if let Some(day) = self.expires {
            words += &say!(", use by {day}", day = show::day(day));
        }
        words
    }

    /// Everything that is wrong; empty if they can be counted on.
    pub fn problems(&self) -> Vec<ShelfProblem> {
        let mut found = Vec::new();
        let mut check = |good: bool, field, text: &str| {
            if !good {
                found.push(ShelfProblem {
                    field,
                    text: text.to_string(),
                });
            }
        };
        let of_our_days =
            |day: Option<NaiveDate>| day.is_none_or(|day| (1990..=2200).contains(&day.year()));
        check(
            !self.name.trim().is_empty(),
            ShelfField::Name,
            tr("A pack on the shelf needs a name, so that you know which one to take."),
        );
        check(
            (1.0..=1e6).contains(&self.size.0),
            ShelfField::Size,
            tr(
                "What is in a pack on the shelf has to be between 1 g and 1000 kg, A and B together.",
            ),
        );
        check(
            self.count <= 100_000,
            ShelfField::Count,
            tr("That is more packs than a shelf holds. Count again."),
        );
        check(
            self.price.is_none_or(|price| (0.0..=1e6).contains(&price)),
            ShelfField::Price,
            tr(
                "What a pack cost is zero or more, and not above a million. Leave it empty if you don't know it.",
            ),
        );
        check(
            of_our_days(self.opened),
            ShelfField::Opened,
            tr("Check the year in which the pack was opened."),
        );
        check(
            of_our_days(self.expires),
            ShelfField::Expires,
            tr("Check the year in which the pack expires."),
        );
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tins() -> OnShelf {
        OnShelf {
            name: "Small set".to_string(),
            card: String::new(),
            size: Grams(450.0),
            price: Some(21.0),
            count: 3,
            lot: "L 7".to_string(),
            opened: None,
            expires: iso::read_day("2026-05-03"),
        }
    }

    #[test]
    fn the_last_day_still_counts() {
        let day = |text| iso::read_day(text).unwrap();
        assert!(!tins().has_expired(day("2026-05-03")));
        assert!(tins().has_expired(day("2026-05-04")));
        let unknown = OnShelf {
            expires: None,
            ..tins()
        };
        assert!(!unknown.has_expired(day("2199-01-01")));
    }

    #[test]
    fn a_paste_is_known_by_its_card_or_by_its_name() {
        let [first, other, ..] = &crate::coating::starter_cards()[..] else {
            panic!("two cards");
        };
        let by_card = OnShelf {
            card: first.id.clone(),
            ..tins()
        };
        assert!(by_card.is_of(first) && !by_card.is_of(other));
        let by_name = OnShelf {
            name: other.name.clone(),
            card: "typed before".to_string(),
            ..tins()
        };
        assert!(by_name.is_of(other) && !by_name.is_of(first));
    }

    #[test]
    fn every_slip_has_its_sentence() {
        type Change = fn(&mut OnShelf);
        let slips: [(Change, ShelfField); 7] = [
            (|s| s.name = " ".to_string(), ShelfField::Name),
            (|s| s.size = Grams(0.0), ShelfField::Size),
            (|s| s.size = Grams(f64::NAN), ShelfField::Size),
            (|s| s.count = u32::MAX, ShelfField::Count),
            (|s| s.price = Some(-1.0), ShelfField::Price),
            (
                |s| s.opened = iso::read_day("0026-05-03"),
                ShelfField::Opened,
            ),
            (
                |s| s.expires = iso::read_day("9026-05-03"),
                ShelfField::Expires,
            ),
        ];
        assert_eq!(tins().problems(), []);
        for (change, field) in slips {
            let mut slipped = tins();
            change(&mut slipped);
            let [problem] = &slipped.problems()[..] else {
                panic!("{:?}", slipped.problems());
            };
            assert_eq!(problem.field, field);
            assert!(problem.text.ends_with('.'), "{}", problem.text);
        }
    }

    #[test]
    fn it_is_stored_and_read_again_and_may_say_less() {
        let text = serde_json::to_string(&tins()).unwrap();
        assert_eq!(serde_json::from_str::<OnShelf>(&text).unwrap(), tins());
        let least = r#"{"name": "Small set", "size": 450.0, "count": 3}"#;
        let read: OnShelf = serde_json::from_str(least).unwrap();
        assert_eq!((read.opened, read.expires), (None, None));
    }
}
