//! Everything a cast is planned from.

use super::batch::CastPrices;
use super::error::CastingError;
use super::filling::Filling;
use super::log::CastEntry;
use super::medium::MediumCard;
use crate::coating::{MaterialCard, Relief};
use crate::quantity::{Estimate, Grams, Millilitres, Millimetres, SquareMillimetres};
use crate::relief::HeightMap;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// Everything a cast is planned from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CastInput {
    /// Area of the footprint.
    pub area: Estimate<SquareMillimetres>,
    /// The third dimension.
    pub relief: Relief,
    /// What stands out from the wall, by a height map; by the kind of relief where there is none.
    #[serde(default)]
    pub stands_out: Option<Estimate<Millilitres>>,
    /// The height map itself; a shell is only asked of it.
    #[serde(default)]
    pub heights: Option<HeightMap>,
    /// The developed surface, which a shell goes by where there is no height map.
    #[serde(default)]
    pub surface: Option<Estimate<SquareMillimetres>>,
    /// The integral of that surface's mean curvature, positive where it bulges outward.
    #[serde(default)]
    pub mean_curvature: Option<Millimetres>,
    /// How the mould is filled.
    #[serde(default)]
    pub filling: Filling,
    /// Thickness of a flat back behind the whole footprint.
    pub backing: Millimetres,
    /// How many copies.
    pub copies: u32,
    /// How many moulds are worked side by side.
    #[serde(default = "one")]
    pub moulds: u32,
    /// The longer side of the piece, to tell by how much a copy differs.
    #[serde(default)]
    pub longer: Option<Millimetres>,
    /// Whether the user has read on the paste's sheet that it is declared for food.
    #[serde(default)]
    pub confirmed_for_food: bool,
    /// What was cast in the mould so far.
    #[serde(default)]
    pub casts: Vec<CastEntry>,
    /// What things cost.
    #[serde(default)]
    pub prices: CastPrices,
    /// What is cast.
    pub medium: MediumCard,
    /// What the mould is made of.
    pub card: MaterialCard,
    /// What the scale reads to.
    pub scale_step: Grams,
}

fn one() -> u32 {
    1
}

impl CastInput {
    /// One solid copy without a backing, on a scale that reads to 1 g.
    pub fn of_piece(
        area: Estimate<SquareMillimetres>,
        relief: Relief,
        medium: MediumCard,
        card: MaterialCard,
    ) -> Self {
        Self {
            area,
            relief,
            stands_out: None,
            heights: None,
            surface: None,
            mean_curvature: None,
            filling: Filling::Solid,
            backing: Millimetres(0.0),
            copies: 1,
            moulds: 1,
            longer: None,
            confirmed_for_food: false,
            casts: Vec::new(),
            prices: CastPrices::default(),
            medium,
            card,
            scale_step: Grams(1.0),
        }
    }

    /// What stands out from the wall, where heights tell.
    pub(crate) fn known(&self) -> Option<Estimate<Millilitres>> {
        self.stands_out.or_else(|| {
            let map = self.heights.as_ref()?;
            let volume = map.volume();
            Some(Estimate::positive(volume, volume.0 * map.sd()))
        })
    }
}

fn within(
    x: f64,
    low: f64,
    high: f64,
    what: &'static str,
    wanted: &'static str,
) -> Result<(), CastingError> {
    if (low..=high).contains(&x) {
        Ok(())
    } else {
        Err(CastingError::Number { what, wanted })
    }
}

/// Accepts the thickness of a flat back, or says what it has to be.
pub fn check_backing(backing: Millimetres) -> Result<(), CastingError> {
    within(
        backing.0,
        0.0,
        500.0,
        tr("The backing"),
        tr("between 0 and 500 mm (20 in)"),
    )
}

/// Accepts a number of copies, or says what it has to be. More than the most come from no thin
/// skin.
pub fn check_copies(copies: f64) -> Result<(), CastingError> {
    let whole = if copies.fract() == 0.0 {
        copies
    } else {
        f64::NAN
    };
    within(
        whole,
        1.0,
        10_000.0,
        tr("The number of copies"),
        tr("a whole number from 1 to 10000"),
    )
}

/// Accepts a number of moulds, or says what it has to be.
pub fn check_moulds(moulds: f64) -> Result<(), CastingError> {
    let whole = if moulds.fract() == 0.0 {
        moulds
    } else {
        f64::NAN
    };
    within(
        whole,
        1.0,
        1_000.0,
        tr("The number of moulds"),
        tr("a whole number from 1 to 1000"),
    )
}

pub(super) fn check(input: &CastInput) -> Result<(), CastingError> {
    let area = input.area.value.0;
    within(
        area,
        100.0,
        2e7,
        tr("The footprint's area"),
        tr("between 1 cm² and 20 m² (0.16 sq in and 215 sq ft)"),
    )?;
    within(
        input.area.sd,
        0.0,
        area,
        tr("The spread of the area"),
        tr("zero or more, and less than the area itself"),
    )?;
    within(
        input.relief.highest.0,
        0.0,
        1000.0,
        tr("The highest point"),
        tr("between 0 and 1000 mm (39 in) over the wall"),
    )?;
    check_backing(input.backing)?;
    input.filling.check()?;
    check_copies(f64::from(input.copies))?;
    check_moulds(f64::from(input.moulds))?;
    within(
        input.scale_step.0,
        0.001,
        100.0,
        tr("What the scale reads to"),
        tr("between 0.001 and 100 g"),
    )?;
    if input.relief.highest.0 + input.backing.0 == 0.0 {
        return Err(CastingError::NoVolume);
    }
    if input.filling.thickness().is_some() && input.heights.is_none() && input.surface.is_none() {
        return Err(CastingError::NoSurface);
    }
    if let Some(surface) = input.surface {
        within(
            surface.value.0,
            100.0,
            1e8,
            tr("The developed surface"),
            tr("between 1 cm² and 100 m² (0.16 sq in and 1076 sq ft)"),
        )?;
    }
    let problems = input.medium.problems();
    if !problems.is_empty() {
        return Err(CastingError::Medium(problems));
    }
    Ok(())
}
