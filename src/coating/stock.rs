//! The whole shelf: all packs that someone has, of whatever paste.

use super::card::MaterialCard;
use super::packs::{PackChoice, PackError, Shelf};
use super::paste::Paste;
use super::shelf::OnShelf;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// All packs on the shelf.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stock {
    /// The packs.
    pub items: Vec<OnShelf>,
    /// Whether all is bought new and the shelf left as it is.
    pub left_alone: bool,
}

impl Stock {
    /// The packs of a paste.
    pub fn of(&self, card: &MaterialCard) -> Vec<OnShelf> {
        let of_it = self.items.iter().filter(|item| item.is_of(card));
        of_it.cloned().collect()
    }

    /// What to take and to buy of a paste; nothing where there is neither a set nor a pack. What
    /// is taken counts among the packs [of that paste](Self::of).
    pub fn choose(
        &self,
        paste: &Paste<'_>,
        today: NaiveDate,
    ) -> Option<Result<PackChoice, PackError>> {
        let items = self.of(paste.card);
        if self.left_alone || items.is_empty() {
            return paste.packs(None).ok().map(Ok);
        }
        let items = &items;
        Some(paste.packs(Some(Shelf { items, today })))
    }
}
