//! What an ornament is made of, as far as it matters to a silicone.

use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What the ornament is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Substrate {
    /// Not known.
    #[default]
    Unknown,
    /// Gypsum plaster.
    Gypsum,
    /// Natural stone.
    Stone,
    /// Brick, fired clay or concrete.
    Brick,
    /// Wood.
    Wood,
    /// Metal.
    Metal,
    /// Glass, or ware with a glaze.
    Glazed,
    /// Clay or modelling paste; it may hold sulphur.
    Clay,
    /// Rubber or latex.
    Rubber,
    /// Silicone of addition (platinum) cure.
    SiliconeAddition,
    /// Silicone of condensation (tin) cure.
    SiliconeCondensation,
    /// A print in light-cured resin.
    ResinPrint,
}

impl Substrate {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::Unknown,
        Self::Gypsum,
        Self::Stone,
        Self::Brick,
        Self::Wood,
        Self::Metal,
        Self::Glazed,
        Self::Clay,
        Self::Rubber,
        Self::SiliconeAddition,
        Self::SiliconeCondensation,
        Self::ResinPrint,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Unknown => tr("not known"),
            Self::Gypsum => tr("gypsum plaster"),
            Self::Stone => tr("stone"),
            Self::Brick => tr("brick, fired clay or concrete"),
            Self::Wood => tr("wood"),
            Self::Metal => tr("metal"),
            Self::Glazed => tr("glass or glazed ware"),
            Self::Clay => tr("clay or modelling paste"),
            Self::Rubber => tr("rubber or latex"),
            Self::SiliconeAddition => tr("silicone, addition cure"),
            Self::SiliconeCondensation => tr("silicone, condensation cure"),
            Self::ResinPrint => tr("resin print"),
        }
    }

    /// Whether it drinks where it is bare. What is not known is taken to drink.
    pub fn porous(self) -> bool {
        matches!(
            self,
            Self::Unknown | Self::Gypsum | Self::Stone | Self::Brick | Self::Wood
        )
    }

    /// Whether it is silicone itself.
    pub fn silicone(self) -> bool {
        matches!(self, Self::SiliconeAddition | Self::SiliconeCondensation)
    }

    /// Whether its thin parts break rather than bend.
    pub(super) fn brittle(self) -> bool {
        !matches!(
            self,
            Self::Metal | Self::Rubber | Self::SiliconeAddition | Self::SiliconeCondensation
        )
    }
}
