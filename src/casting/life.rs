//! How many more copies a mould gives, by what is usual for the medium and what was cast so far.
//!
//! Each copy wears the mould by one over the copies that are usual for its medium. The mould
//! spoils copies at random, at a constant rate for its wear, and the rate differs from mould to
//! mould: a gamma distribution. What was cast is counted as wear without and with a spoiled copy,
//! and the gamma distribution moves as it does for a Poisson process (shape by the spoiled, rate by
//! the wear). The wear until the next spoiled copy then has a Lomax (Pareto) distribution, with
//! mean, spread and quantiles in closed form. Constant hazard with a gamma prior stands in textbooks
//! of reliability, as R. E. Barlow and F. Proschan, "Statistical Theory of Reliability and Life
//! Testing" (1975): from memory, not looked up.

use super::log::CastEntry;
use super::medium::MediumFamily;
use crate::coating::{Marked, Source};
use crate::quantity::{Copies, Estimate, show};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// The gamma distribution's shape before anything was cast (made up): moulds for the same medium
/// differ by half in their rates.
const SHAPE: f64 = 4.0;

impl MediumFamily {
    /// Copies that a mould gives on average before it spoils one (made up for the demo: resins
    /// attack silicone, hot and caustic media wear it, mild ones hardly do).
    pub fn usual_copies(self) -> Marked<Copies> {
        Marked::made_up(Copies(match self {
            Self::Resin => 20.0,
            Self::Own => 25.0,
            Self::Cement | Self::Sugar => 40.0,
            Self::Gypsum => 60.0,
            Self::Wax | Self::Soap => 80.0,
            Self::Chocolate => 100.0,
        }))
    }
}

/// How long a mould lasts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Life {
    /// Copies made so far.
    pub made: u32,
    /// How many times the mould spoiled copies.
    pub spoiled: u32,
    /// Whether it was logged as done for.
    pub done: bool,
    /// Copies until it spoils the next one.
    pub still: Estimate<Copies>,
    /// Where that comes from.
    pub source: Source,
}

/// What a mould with this log still gives of a medium of this family.
pub fn life(log: &[CastEntry], family: MediumFamily) -> Life {
    let usual = family.usual_copies().value.0;
    let made = log
        .iter()
        .fold(0_u32, |sum, entry| sum.saturating_add(entry.copies));
    let wear: f64 = log
        .iter()
        .map(|entry| f64::from(entry.copies) / entry.family.usual_copies().value.0)
        .sum();
    let spoiled = log.iter().filter(|entry| entry.shows_wear()).count() as u32;
    let done = log.iter().any(|entry| entry.worn_out);
    let shape = SHAPE + f64::from(spoiled);
    // At first one usual life is to be expected.
    let rate = (SHAPE - 1.0 + wear) * usual;
    let quantile = |p: f64| Copies(rate * ((1.0 - p).powf(-1.0 / shape) - 1.0));
    let mean = rate / (shape - 1.0);
    let still = match done {
        true => Estimate::exact(Copies(0.0)),
        false => Estimate {
            value: Copies(mean),
            sd: mean * (shape / (shape - 2.0)).sqrt(),
            low95: quantile(0.025),
            high95: quantile(0.975),
        },
    };
    let source = match log.is_empty() {
        true => Source::MadeUp,
        false => Source::Learned(tr("what you logged of this mould").to_string()),
    };
    Life {
        made,
        spoiled,
        done,
        still,
        source,
    }
}

impl Life {
    /// Copies in the mould's whole life, which its cost is shared among.
    pub fn in_all(&self) -> Copies {
        Copies(f64::from(self.made)) + self.still.value
    }

    /// The same in words.
    pub fn sentence(&self) -> String {
        if self.done {
            return say!(
                "This mould is done for, after {made} copies.",
                made = self.made
            );
        }
        let number = |copies: Copies| show::number(copies.0, 0);
        say!(
            "About {still} more copies until the mould spoils one; 95 in 100 such moulds: {low95} to {high95}.",
            still = number(self.still.value),
            low95 = number(self.still.low95),
            high95 = number(self.still.high95)
        )
    }
}
