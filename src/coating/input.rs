//! What a plan is made from.

use super::bounds::{check_border, check_confidence, check_dab, check_highest, check_thickness};
use super::card::MaterialCard;
use super::caution::Finish;
use super::coat::{CoatChoice, default_coats};
use super::error::{CoatingError, within};
use super::fitness::Ground;
use super::hand::Hand;
use super::patch::PatchTest;
use super::practice;
use super::relief::{Posture, Relief};
use super::rim::Rings;
use super::sag::Dab;
use super::shell::ShellKind;
use super::starter::starter_cards;
use super::substrate::Substrate;
use crate::quantity::{Celsius, Estimate, Grams, Millimetres, SquareMillimetres};
use crate::relief::HeightMap;
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Everything a plan is made from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlanInput {
    /// Area of the footprint on the wall.
    pub area: Estimate<SquareMillimetres>,
    /// Perimeter of the footprint, holes included.
    pub perimeter: Estimate<Millimetres>,
    /// Where it lies on the wall, if its outline is known: the border follows it.
    #[serde(default)]
    pub rings: Option<Rings>,
    /// Its heights, if they are known: the surface follows them, and `relief` only gives the kind.
    #[serde(default)]
    pub heights: Option<HeightMap>,
    /// The part of its surface that was marked as closing behind its own forms, as seen from the
    /// front.
    #[serde(default)]
    pub overhung: SquareMillimetres,
    /// The third dimension.
    pub relief: Relief,
    /// Width of the border strip.
    pub border: Millimetres,
    /// The paste.
    pub card: MaterialCard,
    /// The coats, first to last.
    pub coats: Vec<CoatChoice>,
    /// How the piece stands.
    pub posture: Posture,
    /// How its surface is finished.
    #[serde(default)]
    pub finish: Finish,
    /// What it is made of.
    #[serde(default)]
    pub substrate: Substrate,
    /// Old, listed, valuable, or something rests on it.
    #[serde(default)]
    pub heritage: bool,
    /// Somewhere it closes behind its own forms.
    #[serde(default)]
    pub undercut: bool,
    /// The patch test, if one was started.
    #[serde(default)]
    pub patch_test: Option<PatchTest>,
    /// Temperature of the site.
    pub temperature: Celsius,
    /// What the scale reads to.
    pub scale_step: Grams,
    /// What the support shell is built of.
    #[serde(default)]
    pub shell: ShellKind,
    /// Dabs of the paste that were watched on an upright place.
    #[serde(default)]
    pub dabs: Vec<Dab>,
    /// How sure it shall be that what is brought suffices, as a share of such pieces.
    #[serde(default = "usual_confidence")]
    pub confidence: f64,
    /// How the one who brushes works.
    #[serde(default)]
    pub hand: Hand,
}

/// Enough in 95 of 100 such pieces.
pub(crate) fn usual_confidence() -> f64 {
    practice::CONFIDENCE.value
}

impl PlanInput {
    /// A piece with everything else as usual: one inch of border, three coats, the first
    /// starter card at its reference temperature, upright, a scale that reads to 1 g.
    pub fn of_piece(
        area: Estimate<SquareMillimetres>,
        perimeter: Estimate<Millimetres>,
        relief: Relief,
    ) -> Self {
        let card = starter_cards().swap_remove(0);
        Self {
            area,
            perimeter,
            rings: None,
            heights: None,
            overhung: SquareMillimetres(0.0),
            relief,
            border: practice::BORDER.value,
            coats: default_coats(),
            posture: Posture::default(),
            finish: Finish::default(),
            substrate: Substrate::default(),
            heritage: false,
            undercut: false,
            patch_test: None,
            temperature: card.reference,
            scale_step: Grams(1.0),
            shell: ShellKind::default(),
            dabs: Vec::new(),
            confidence: usual_confidence(),
            hand: Hand::default(),
            card,
        }
    }

    /// The piece as the paste meets it.
    pub fn ground(&self) -> Ground<'_> {
        Ground {
            card: &self.card,
            substrate: self.substrate,
            finish: self.finish,
            posture: self.posture,
            relief: Some(Relief {
                highest: self.highest(),
                ..self.relief
            }),
            border: self.border,
            heritage: self.heritage,
            undercut: self.undercut,
            patch: self.patch_test.as_ref(),
        }
    }

    /// The highest point over the wall.
    pub(crate) fn highest(&self) -> Millimetres {
        let read = |map: &HeightMap| map.highest();
        self.heights.as_ref().map_or(self.relief.highest, read)
    }

    /// Refuses what no plan can be made from.
    pub(crate) fn check(&self) -> Result<(), CoatingError> {
        let area = self.area.value.0;
        within(
            area,
            100.0..=2e7,
            tr("The footprint's area"),
            tr("between 1 cm² and 20 m² (0.16 sq in and 215 sq ft)"),
        )?;
        within(
            self.area.sd,
            0.0..=area,
            tr("The spread of the area"),
            tr("zero or more, and less than the area itself"),
        )?;
        let perimeter = self.perimeter.value.0;
        within(
            perimeter,
            1.0..=1e6,
            tr("The footprint's perimeter"),
            tr("between 1 mm and 1 km"),
        )?;
        within(
            self.perimeter.sd,
            0.0..=perimeter,
            tr("The spread of the perimeter"),
            tr("zero or more, and less than the perimeter itself"),
        )?;
        // No outline is shorter than the circle of its area; the slack is for rounding.
        if perimeter * perimeter < 4.0 * PI * area * 0.98 {
            return Err(CoatingError::PerimeterTooShort);
        }
        check_highest(self.relief.highest)?;
        check_border(self.border)?;
        within(
            self.temperature.0,
            -10.0..=60.0,
            tr("The temperature of the site"),
            tr("between -10 and 60 °C (14 and 140 °F)"),
        )?;
        within(
            self.hand.mix.value.0,
            0.1..=60.0,
            tr("The mixing time in each container"),
            tr("between 6 seconds and an hour"),
        )?;
        within(
            self.hand.residue.value.0,
            0.0..=1000.0,
            tr("The paste that stays in the containers and the tool"),
            tr("between 0 and 1000 g (35 oz) a batch"),
        )?;
        within(
            self.scale_step.0,
            0.001..=100.0,
            tr("What the scale reads to"),
            tr("between 0.001 and 100 g"),
        )?;
        check_confidence(self.confidence)?;
        if self.dabs.len() > 20 {
            return Err(CoatingError::Number {
                what: tr("The number of dabs").to_string(),
                wanted: tr("at most 20").to_string(),
            });
        }
        for dab in &self.dabs {
            check_dab(dab)?;
        }
        within(
            self.overhung.0,
            0.0..=1e8,
            tr("The surface marked as overhanging"),
            tr("between nothing and 100 m²"),
        )?;
        let problems = self.card.problems();
        if !problems.is_empty() {
            return Err(CoatingError::Card(
                problems.into_iter().map(|p| p.text).collect(),
            ));
        }
        if self.coats.is_empty() {
            return Err(CoatingError::NoCoats);
        }
        if self.coats.len() > 12 {
            return Err(CoatingError::TooManyCoats);
        }
        for (i, coat) in self.coats.iter().enumerate() {
            check_thickness(i + 1, coat.thickness)?;
            within(
                coat.speed.0,
                100.0..=1e6,
                &say!("The area brushed in a minute with coat {i}", i = i + 1),
                tr("between 1 cm² and 1 m²"),
            )?;
        }
        Ok(())
    }
}
