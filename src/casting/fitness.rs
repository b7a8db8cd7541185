//! Does the mould stand the medium, and may it be eaten?

use super::log::CastEntry;
use super::medium::MediumCard;
use crate::coating::{FoodStatement, MaterialCard, Source};
use crate::quantity::Celsius;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// How far below the mould's limit the medium has to stay to be called safe (common practice).
pub(crate) const MARGIN: Celsius = Celsius(20.0);

/// Whether the mould stands the heat.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum HeatVerdict {
    /// It stays at room temperature, or under the limit by the margin.
    Stands {
        /// The hottest the medium gets; `None` if it is cold.
        hottest: Option<Celsius>,
        /// The mould's limit, if known.
        limit: Option<Celsius>,
        /// Whether the limit is only common practice.
        limit_unproved: bool,
    },
    /// Under the limit, but within the margin.
    Close {
        /// The hottest the medium gets.
        hottest: Celsius,
        /// The mould's limit.
        limit: Celsius,
        /// Whether the limit is only common practice.
        limit_unproved: bool,
    },
    /// Over the limit.
    TooHot {
        /// The hottest the medium gets.
        hottest: Celsius,
        /// The mould's limit.
        limit: Celsius,
        /// Whether the limit is only common practice.
        limit_unproved: bool,
    },
    /// The card has no limit.
    UnknownAskSheet {
        /// The hottest the medium gets.
        hottest: Celsius,
    },
}

impl HeatVerdict {
    /// Compares the medium's hottest with the card's limit.
    pub fn of(medium: &MediumCard, card: &MaterialCard) -> Self {
        let limit_unproved = !matches!(
            card.marks.service_max,
            Source::YourSheet | Source::Published(_)
        );
        let Some(hottest) = medium.hottest().map(|mark| mark.value) else {
            return Self::Stands {
                hottest: None,
                limit: card.service_max,
                limit_unproved,
            };
        };
        let Some(limit) = card.service_max else {
            return Self::UnknownAskSheet { hottest };
        };
        if hottest > limit {
            Self::TooHot {
                hottest,
                limit,
                limit_unproved,
            }
        } else if hottest + MARGIN > limit {
            Self::Close {
                hottest,
                limit,
                limit_unproved,
            }
        } else {
            Self::Stands {
                hottest: Some(hottest),
                limit: Some(limit),
                limit_unproved,
            }
        }
    }

    /// The verdict as a sentence or two.
    pub fn sentence(&self, system: System) -> String {
        let t = |celsius: Celsius| show::temperature(celsius, system);
        let doubt = |unproved: bool| {
            if unproved {
                tr(" That limit is common practice only: the paste's sheet decides.")
            } else {
                ""
            }
        };
        match self {
            Self::Stands { hottest: None, .. } => {
                tr("It stays at room temperature; the mould stands that.").to_string()
            }
            Self::Stands {
                hottest: Some(hottest),
                limit: Some(limit),
                limit_unproved,
            } => say!(
                "The mould stands it: {hottest} at most, and its limit is {limit}.{limit_unproved}",
                hottest = t(*hottest),
                limit = t(*limit),
                limit_unproved = doubt(*limit_unproved)
            ),
            Self::Stands {
                hottest: Some(hottest),
                limit: None,
                ..
            } => {
                say!(
                    "The mould stands it: {hottest} at most.",
                    hottest = t(*hottest)
                )
            }
            Self::Close {
                hottest,
                limit,
                limit_unproved,
            } => say!(
                "That is close: {hottest} at most, and the mould's limit is {limit}. Let it cool a little first, and support the skin well.{limit_unproved}",
                hottest = t(*hottest),
                limit = t(*limit),
                limit_unproved = doubt(*limit_unproved)
            ),
            Self::TooHot {
                hottest,
                limit,
                limit_unproved,
            } => say!(
                "Too hot: {hottest} at most, over the mould's limit of {limit}. Take another medium or another paste.{limit_unproved}",
                hottest = t(*hottest),
                limit = t(*limit),
                limit_unproved = doubt(*limit_unproved)
            ),
            Self::UnknownAskSheet { hottest } => say!(
                "The card has no highest temperature for the mould. It gets {hottest}: look that up on the paste's sheet first.",
                hottest = t(*hottest)
            ),
        }
    }
}

/// Whether the copy may be eaten.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FoodVerdict {
    /// The medium is not food.
    NotFood,
    /// The card says that the maker declares the paste for food contact, the user has confirmed
    /// that, and the mould held nothing but food.
    AsDeclared,
    /// The card says so, but nobody has confirmed that the sheet does.
    Unconfirmed,
    /// Nothing is known of a declaration.
    NotDeclared,
    /// The sheet rules it out.
    RuledOut,
    /// The mould has held something else.
    NeverAgain,
}

impl FoodVerdict {
    /// Compares the medium with what the paste's maker declares, what the user has confirmed of
    /// that, and what the mould has held.
    pub fn of(
        medium: &MediumCard,
        card: &MaterialCard,
        confirmed: bool,
        casts: &[CastEntry],
    ) -> Self {
        if !medium.food {
            return Self::NotFood;
        }
        if casts.iter().any(|entry| !entry.food) {
            return Self::NeverAgain;
        }
        match card.food {
            FoodStatement::NotForFood => Self::RuledOut,
            FoodStatement::NotDeclared => Self::NotDeclared,
            FoodStatement::DeclaredByMaker if confirmed => Self::AsDeclared,
            FoodStatement::DeclaredByMaker => Self::Unconfirmed,
        }
    }

    /// The verdict as a sentence or two.
    pub fn sentence(self) -> &'static str {
        match self {
            Self::NotFood => tr("Not for eating. The mould never holds food again after this."),
            Self::AsDeclared => tr(
                "To be eaten only if the maker's declaration covers it, the skin was cured and washed as it says, and this mould never held anything but food.",
            ),
            Self::Unconfirmed => tr(
                "Not to be eaten yet: read on the paste's own sheet that it is declared for food, and confirm that here.",
            ),
            Self::NotDeclared => tr(
                "Not to be eaten: the card has no maker's declaration for food. Ask for it and set it on the card.",
            ),
            Self::RuledOut => {
                tr("Not to be eaten: the paste's sheet says that it is not for food.")
            }
            Self::NeverAgain => tr(
                "Not to be eaten: this mould has held something that is not food. Make a new mould for food.",
            ),
        }
    }
}
