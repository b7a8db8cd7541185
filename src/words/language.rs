//! Which languages there are, and what each does its own way.

use super::verbatim;
use serde::{Deserialize, Serialize};

/// A language of the app.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Language {
    /// English.
    #[default]
    #[serde(rename = "en")]
    English,
    /// German.
    #[serde(rename = "de")]
    German,
}

impl Language {
    /// All languages.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag (BCP 47), which also names its file.
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// What it calls itself.
    pub fn own_name(self) -> &'static str {
        match self {
            Self::English => verbatim("English"),
            Self::German => verbatim("Deutsch"),
        }
    }

    /// The one that a phone with that tag speaks; English where there is none.
    ///
    /// ```
    /// use peelcast::words::Language;
    ///
    /// assert_eq!(Language::of_phone("de-AT"), Language::German);
    /// assert_eq!(Language::of_phone("den"), Language::English);
    /// ```
    pub fn of_phone(tag: &str) -> Self {
        let first = tag.split('-').next().unwrap_or_default();
        let mut all = Self::ALL.into_iter();
        all.find(|language| language.tag().eq_ignore_ascii_case(first))
            .unwrap_or_default()
    }

    /// Which of its forms a number of things takes (CLDR's cardinal categories, in their order).
    pub fn form(self, number: usize) -> usize {
        match self {
            Self::English | Self::German => usize::from(number != 1),
        }
    }

    /// The sign before the decimals.
    pub fn decimal_sign(self) -> char {
        match self {
            Self::English => '.',
            Self::German => ',',
        }
    }
}
