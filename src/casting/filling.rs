//! How the mould is filled: to the brim, as a shell, or with a sheet.

use super::error::CastingError;
use crate::quantity::Millimetres;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// How the mould is filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    content = "thickness",
    rename_all = "snake_case",
    from = "Written"
)]
pub enum Filling {
    /// To the brim.
    #[default]
    Solid,
    /// A slush shell of this thickness: poured in, swilled around, and what does not stay poured
    /// out again.
    Slush(Millimetres),
    /// A sheet of this thickness, rolled out and pressed in: sugar paste, wax.
    Sheet(Millimetres),
}

/// A filling as it is written, its fields side by side: less code than reading a tagged enum takes.
#[derive(Deserialize)]
struct Written {
    kind: Kind,
    #[serde(default)]
    thickness: Millimetres,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    Solid,
    Slush,
    Sheet,
}

impl From<Written> for Filling {
    fn from(written: Written) -> Self {
        match written.kind {
            Kind::Solid => Self::Solid,
            Kind::Slush => Self::Slush(written.thickness),
            Kind::Sheet => Self::Sheet(written.thickness),
        }
    }
}

/// What stays in the bowl, as a share of what is mixed (made up for the demo).
const LEFT_IN_BOWL: f64 = 0.05;
/// What is cut off around a pressed sheet and kneaded in again, as a share of what is rolled out
/// (made up for the demo).
const CUT_OFF: f64 = 0.25;
/// How unevenly a shell comes out that is swilled around, as a share of its thickness (made up).
const SLUSH_SPREAD: f64 = 0.25;
/// The same of a rolled sheet (made up).
const SHEET_SPREAD: f64 = 0.1;

impl Filling {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Solid => tr("solid"),
            Self::Slush(_) => tr("a shell, poured out again"),
            Self::Sheet(_) => tr("a pressed sheet"),
        }
    }

    /// How thick it lies on the mould; `None` if it fills the mould.
    pub fn thickness(self) -> Option<Millimetres> {
        match self {
            Self::Solid => None,
            Self::Slush(thickness) | Self::Sheet(thickness) => Some(thickness),
        }
    }

    /// What is left of what was mixed or rolled out, as a share, and what that is called.
    pub(crate) fn left(self) -> (f64, &'static str) {
        match self {
            Self::Solid | Self::Slush(_) => (LEFT_IN_BOWL, tr("Stays in the bowl")),
            Self::Sheet(_) => (CUT_OFF, tr("Cut off around")),
        }
    }

    /// One standard deviation of the mean thickness, as a share of it.
    pub(crate) fn spread(self) -> f64 {
        match self {
            Self::Solid => 0.0,
            Self::Slush(_) => SLUSH_SPREAD,
            Self::Sheet(_) => SHEET_SPREAD,
        }
    }

    /// Accepts the thickness, or says what it has to be.
    pub fn check(self) -> Result<(), CastingError> {
        match self.thickness() {
            Some(thickness) if !(0.2..=100.0).contains(&thickness.0) => Err(CastingError::Number {
                what: tr("The thickness of the shell or sheet"),
                wanted: tr("between 0.2 and 100 mm (4 in)"),
            }),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_filling_is_read_as_it_was_written() {
        for filling in [
            Filling::Solid,
            Filling::Slush(Millimetres(4.0)),
            Filling::Sheet(Millimetres(2.5)),
        ] {
            let text = serde_json::to_string(&filling).unwrap();
            assert_eq!(serde_json::from_str::<Filling>(&text).unwrap(), filling);
        }
        let solid = serde_json::to_string(&Filling::Solid).unwrap();
        assert_eq!(solid, r#"{"kind":"solid"}"#);
    }
}
