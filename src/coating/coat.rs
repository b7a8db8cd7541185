//! One coat as it is wanted.

use super::practice;
use super::source::Source;
use crate::quantity::{Millimetres, SquareMillimetresPerMinute};
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What puts the paste on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tool {
    /// A brush.
    #[default]
    Brush,
    /// A spatula.
    Spatula,
}

impl Tool {
    /// The tool's name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Brush => tr("brush"),
            Self::Spatula => tr("spatula"),
        }
    }
}

/// What a coat is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoatRole {
    /// Thin and worked into the detail.
    Skim,
    /// Thickness, and the extra on high spots.
    #[default]
    Build,
    /// The last one, smoothed.
    Final,
}

impl CoatRole {
    /// The coat's name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Skim => tr("skim coat"),
            Self::Build => tr("build coat"),
            Self::Final => tr("final coat"),
        }
    }

    /// Spread of the mean thickness really brushed, as a share of the wanted one.
    pub fn thickness_spread(self) -> f64 {
        match self {
            Self::Skim => practice::SKIM_SPREAD.value,
            Self::Build | Self::Final => practice::BUILD_SPREAD.value,
        }
    }

    fn usual_speed(self) -> SquareMillimetresPerMinute {
        match self {
            Self::Skim => practice::SKIM_SPEED.value,
            Self::Build => practice::BUILD_SPEED.value,
            Self::Final => practice::FINAL_SPEED.value,
        }
    }
}

/// One coat as the user wants it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoatChoice {
    /// What it is for.
    #[serde(default)]
    pub role: CoatRole,
    /// Its mean thickness.
    pub thickness: Millimetres,
    /// What puts it on.
    pub tool: Tool,
    /// The area one person covers in a minute.
    pub speed: SquareMillimetresPerMinute,
    /// Where the speed comes from.
    #[serde(default)]
    pub speed_source: Source,
}

impl CoatChoice {
    /// A coat with the usual speed for its role.
    pub fn usual(role: CoatRole, thickness: Millimetres, tool: Tool) -> Self {
        Self {
            role,
            thickness,
            tool,
            speed: role.usual_speed(),
            speed_source: Source::MadeUp,
        }
    }
}

/// Skim, build and final coat: common practice, a quarter inch in all.
pub fn default_coats() -> Vec<CoatChoice> {
    let skim = practice::SKIM_THICKNESS.value;
    let build = skim * practice::BUILD_PER_SKIM.value;
    let last = practice::WHOLE_THICKNESS.value - skim - build;
    vec![
        CoatChoice::usual(CoatRole::Skim, skim, Tool::Brush),
        CoatChoice::usual(CoatRole::Build, build, Tool::Brush),
        CoatChoice::usual(CoatRole::Final, last, Tool::Spatula),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_coats_are_a_quarter_inch_and_the_build_is_two_to_four_skims() {
        let coats = default_coats();
        let whole: f64 = coats.iter().map(|c| c.thickness.0).sum();
        assert!((whole - 6.35).abs() < 1e-12);
        let ratio = coats[1].thickness / coats[0].thickness;
        assert!((2.0..=4.0).contains(&ratio));
    }
}
