//! How large a copy comes out beside the original, and the copy of a copy.
//!
//! Each generation is moulded anew from the copy before and changes by the same factor, the
//! paste's shrinkage times the medium's change: after `n` of them `((1 - s) (1 + c))^n - 1`. Paste
//! and medium are the same each time, so their errors add up and don't cancel.

use super::medium::MediumCard;
use crate::coating::MaterialCard;
use crate::quantity::show::{self, System};
use crate::quantity::{Estimate, Millimetres, Ratio};
use crate::say;
use crate::words::{lower, tr};
use serde::{Deserialize, Serialize};

/// One standard deviation of a paste's shrinkage, as a share of it (made up for the demo: sheets
/// give one number, and thickness and warmth move it).
const SHRINKAGE_SPREAD: f64 = 0.3;

/// The size of a copy some generations on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Generation {
    /// How many moulds lie between it and the original: 1 for a copy of the original.
    pub number: u32,
    /// How much longer (above zero) or shorter it is than the original, as a share.
    pub change: Estimate<Ratio>,
    /// How much longer the original has to be made, as a share, for this copy to have its size.
    pub make_longer: Ratio,
}

/// The size of a copy so many generations on, or a sentence that says which number is missing.
pub fn generation(
    card: &MaterialCard,
    medium: &MediumCard,
    number: u32,
) -> Result<Generation, String> {
    let shrinkage = card.shrinkage.ok_or(tr(
        "The paste's card has no shrinkage. Look it up on its sheet, or measure a copy.",
    ))?;
    let change = medium.linear_change.as_ref().ok_or_else(|| {
        say!(
            "It isn't known how much {medium} changes as it sets. Measure a copy beside the \
             original.",
            medium = lower(&medium.name)
        )
    })?;
    let [paste, set] = [1.0 - shrinkage, 1.0 + change.value];
    let once = paste * set;
    let once_sd = (set * shrinkage * SHRINKAGE_SPREAD).hypot(paste * medium.linear_spread);
    let n = f64::from(number);
    let whole = once.powf(n);
    let sd = n * once.powf(n - 1.0) * once_sd;
    Ok(Generation {
        number,
        change: Estimate::normal(Ratio(whole - 1.0), sd),
        make_longer: Ratio(1.0 / whole - 1.0),
    })
}

impl Generation {
    /// By how much a side of the original is longer or shorter on the copy.
    pub fn of_length(&self, side: Millimetres) -> Estimate<Millimetres> {
        self.change.scaled(side.0)
    }

    /// The same in words, for a piece whose longer side is this long.
    pub fn sentence(&self, longer: Option<Millimetres>, system: System) -> String {
        let of = |share: f64| {
            let percent = format!("{} %", show::number(share.abs() * 100.0, 2));
            match longer {
                Some(side) => {
                    let length = show::length(side * share.abs(), system);
                    say!("{percent} ({length} on the longer side)", percent, length)
                }
                None => percent,
            }
        };
        let who = match self.number {
            1 => tr("A copy").to_string(),
            n => say!(
                "A copy after {n} moulds, each taken from the copy before,",
                n
            ),
        };
        let change = self.change.value.0;
        let word = if change < 0.0 {
            tr("shorter")
        } else {
            tr("longer")
        };
        say!(
            "{who} comes out {change} {word} than the original.",
            who,
            change = of(change),
            word
        )
    }
}
