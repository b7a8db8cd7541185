//! What the user set once for all jobs.

use crate::phone::{language, local, window};
use crate::quantity::show::System;
use crate::words::Language;
use serde::{Deserialize, Serialize};

/// Day, night, full sun, or as the phone is set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// As the phone is set.
    #[default]
    Auto,
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
    /// Black on white with heavier strokes.
    Sun,
}

impl Theme {
    /// All themes.
    pub const ALL: [Self; 4] = [Self::Auto, Self::Light, Self::Dark, Self::Sun];

    /// Its name in the stored settings and in the style sheet.
    pub fn name(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Light => "light",
            Self::Dark => "dark",
            Self::Sun => "sun",
        }
    }
}

/// Units, colours, language.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Settings {
    /// Units that people read and type.
    pub system: System,
    /// Colours.
    pub theme: Theme,
    /// What the app speaks.
    #[serde(default = "language::of_phone")]
    pub language: Language,
}

impl Settings {
    /// The settings that were kept, or what fits the phone's language.
    pub fn load() -> Self {
        local::settings().unwrap_or_else(|| Self {
            system: if window::language() == "en-US" {
                System::UsCustomary
            } else {
                System::Metric
            },
            theme: Theme::Auto,
            language: language::of_phone(),
        })
    }
}
