//! Any quantity, still with its unit, on its way to the reader's own system of units.

use super::show::{self, System};
use super::{
    Celsius, Estimate, Grams, GramsPerMillilitre, Millilitres, Millimetres, Minutes,
    SquareMillimetres, SquareMillimetresPerMinute,
};
use crate::say;
use serde::{Deserialize, Serialize};

/// A number for a list or an explanation. [`Amount::show`] makes its text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "amount", rename_all = "snake_case")]
pub enum Amount {
    /// So many pieces.
    Count(u32),
    /// A length.
    Length(Millimetres),
    /// A length with its spread.
    LengthRange(Estimate<Millimetres>),
    /// An area.
    Area(SquareMillimetres),
    /// An area with its spread.
    AreaRange(Estimate<SquareMillimetres>),
    /// A volume.
    Volume(Millilitres),
    /// A volume with its spread.
    VolumeRange(Estimate<Millilitres>),
    /// A mass.
    Mass(Grams),
    /// A mass with its spread.
    MassRange(Estimate<Grams>),
    /// A density.
    Density(GramsPerMillilitre),
    /// A span of time.
    Duration(Minutes),
    /// A span of time with its spread.
    DurationRange(Estimate<Minutes>),
    /// A temperature.
    Temperature(Celsius),
    /// An area covered in a minute.
    Speed(SquareMillimetresPerMinute),
    /// A share of one, shown in percent.
    Share(f64),
    /// A plain number.
    Number(f64),
    /// Words.
    Text(String),
}

impl Amount {
    /// The amount as its reader wants it.
    pub fn show(&self, system: System) -> String {
        match self {
            Self::Count(n) => n.to_string(),
            Self::Length(q) => show::length(*q, system),
            Self::LengthRange(q) => show::length_range(q, system),
            Self::Area(q) => show::area(*q, system),
            Self::AreaRange(q) => show::area_range(q, system),
            Self::Volume(q) => show::volume(*q, system),
            Self::VolumeRange(q) => show::volume_range(q, system),
            Self::Mass(q) => show::mass(*q, system),
            Self::MassRange(q) => show::mass_range(q, system),
            Self::Density(q) => format!("{} g/ml", show::number(q.0, 3)),
            Self::Duration(q) => show::duration(*q),
            Self::DurationRange(q) => show::duration_range(q),
            Self::Temperature(q) => show::temperature(*q, system),
            Self::Speed(q) => say!(
                "{area} a minute",
                area = show::area(SquareMillimetres(q.0), system)
            ),
            Self::Share(share) => format!("{} %", show::number(share * 100.0, 1)),
            Self::Number(number) => show::number(*number, 3),
            Self::Text(text) => text.clone(),
        }
    }
}
