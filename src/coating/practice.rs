//! The constants of the trade, each once, each with its mark.

use super::source::Marked;
use crate::quantity::{
    Celsius, Grams, GramsPerMillilitre, Millimetres, Minutes, Pascals, SquareMillimetresPerMinute,
};

/// The flat rim of skin around the ornament: about one inch.
pub const BORDER: Marked<Millimetres> = Marked::practice(Millimetres(25.4));
/// The skim coat, brushed thin and worked into the detail: 0.8 to 1 mm.
pub const SKIM_THICKNESS: Marked<Millimetres> = Marked::practice(Millimetres(0.9));
/// The build coat is two to four times as thick as the skim coat.
pub const BUILD_PER_SKIM: Marked<f64> = Marked::practice(3.0);
/// All coats together: up to a quarter inch.
pub const WHOLE_THICKNESS: Marked<Millimetres> = Marked::practice(Millimetres(6.35));
/// A poured block is said to take two to four times the material of a brushed skin.
pub const POUR_PER_SKIN: Marked<(f64, f64)> = Marked::practice((2.0, 4.0));
/// Wall thickness of a poured block, around the piece and over its highest point.
pub const BLOCK_MARGIN: Marked<Millimetres> = Marked::memory(Millimetres(15.0));
/// Letting mixed paste stand about this long thickens it for an upright wall.
pub const THICKENING: Marked<Minutes> = Marked::practice(Minutes(5.0));
/// Where nothing is known of a paste, a wet coat over this thickness is taken to sag.
pub const THIN_ENOUGH_TO_HOLD: Marked<Millimetres> = Marked::memory(Millimetres(3.0));
/// Heat the cured skin is said to stand without harm (400 F). The paste's sheet decides.
pub const HEAT_WITHOUT_HARM: Marked<Celsius> = Marked::practice(Celsius(204.0));
/// Two containers a batch: mix in the first, move to the second, mix again.
pub const CONTAINERS_PER_BATCH: Marked<u32> = Marked::practice(2);
/// Building the shell over a cured skin, letting it stiffen, and peeling: hands and eyes are on it.
pub const PEEL: Marked<Minutes> = Marked::made_up(Minutes(30.0));
/// Mixing time in each container.
pub const MIX_PER_CONTAINER: Marked<Minutes> = Marked::made_up(Minutes(1.5));
/// The share of the working time that is planned; the rest is kept for a slow corner.
pub const PLANNED_SHARE_OF_WORKING: Marked<f64> = Marked::made_up(0.9);

/// Area a hand covers in a minute with the skim coat: stippled into every corner.
pub const SKIM_SPEED: Marked<SquareMillimetresPerMinute> =
    Marked::made_up(SquareMillimetresPerMinute(6_000.0));
/// Area a hand covers in a minute with the build coat.
pub const BUILD_SPEED: Marked<SquareMillimetresPerMinute> =
    Marked::made_up(SquareMillimetresPerMinute(9_000.0));
/// Area a hand covers in a minute with the final coat, by spatula.
pub const FINAL_SPEED: Marked<SquareMillimetresPerMinute> =
    Marked::made_up(SquareMillimetresPerMinute(8_000.0));

/// Spread of the mean thickness really brushed, as a share: the thin skim coat.
pub const SKIM_SPREAD: Marked<f64> = Marked::made_up(0.25);
/// Spread of the mean thickness really brushed, as a share: every later coat.
pub const BUILD_SPREAD: Marked<f64> = Marked::made_up(0.15);

/// How far a wet coat draws back from what bulges, in times its own thickness, where nothing is
/// known of the paste: on a ball of this radius half of it would go.
pub const LEVELLING: Marked<f64> = Marked::made_up(2.0);
/// The yield stress at which a paste levels like that; a stiffer one less in proportion.
pub const LEVELLING_STRESS: Marked<Pascals> = Marked::made_up(Pascals(25.0));
/// No hollow takes more than this many times the coat: beyond, the brush takes it out again.
pub const MOST_POOLED: Marked<f64> = Marked::made_up(2.0);
/// A coat feels bends down to this share of the whole skin's thickness; what is finer fills up.
pub const FELT_SHARE: Marked<f64> = Marked::made_up(0.5);
/// The least thickness of a skin that can be peeled without tearing, where the card says nothing.
pub const LEAST_SKIN: Marked<Millimetres> = Marked::made_up(Millimetres(3.0));
/// Where the skin comes out thinner than planned by this share, a high spot starves.
pub const STARVED: Marked<f64> = Marked::made_up(0.15);
/// The surface that hides behind an overhang, as a share of what is marked of it from the front:
/// a half-round that turns back to the wall hides about half of what it shows.
pub const OVERHANG_EXTRA: Marked<f64> = Marked::made_up(0.5);
/// The share of the surface that is high spots and starves under the brush.
pub const HIGH_SPOT_SHARE: Marked<f64> = Marked::made_up(0.10);
/// How thick the extra paste on the high spots lies, in build coats.
pub const HIGH_SPOT_LAYERS: Marked<f64> = Marked::practice(1.0);
/// Spread of the extra on high spots, as a share.
pub const HIGH_SPOT_SPREAD: Marked<f64> = Marked::made_up(0.5);

/// Paste that stays in each mixing container.
pub const RESIDUE_PER_CONTAINER: Marked<Grams> = Marked::made_up(Grams(4.0));
/// Paste that stays in the brush or on the spatula, per batch.
pub const RESIDUE_PER_TOOL: Marked<Grams> = Marked::made_up(Grams(5.0));
/// Paste lost with every batch: in its containers and its tool.
pub fn residue_per_batch() -> Grams {
    RESIDUE_PER_TOOL.value + RESIDUE_PER_CONTAINER.value * f64::from(CONTAINERS_PER_BATCH.value)
}

/// Spread of the residue, as a share.
pub const RESIDUE_SPREAD: Marked<f64> = Marked::made_up(0.4);

/// Reading error of the highest point with a rule and a straight edge: one standard deviation.
pub const HIGHEST_SPREAD: Marked<Millimetres> = Marked::made_up(Millimetres(1.0));

/// Standard deviation of the mix's density, as a share, if the number is the sheet's own.
pub const DENSITY_SPREAD_SHEET: Marked<f64> = Marked::made_up(0.01);
/// The same where the density is a general one: brush-on pastes lie between 1.05 and 1.30,
/// all equally likely (half the width over the root of three, over 1.18).
pub const DENSITY_SPREAD_GENERAL: Marked<f64> = Marked::memory(0.061);

/// Rate of cure per ten degrees, where the sheet says nothing.
pub const Q10: Marked<f64> = Marked::memory(2.0);
/// The 95 % band of that rate.
pub const Q10_BAND: Marked<(f64, f64)> = Marked::memory((1.7, 2.5));

/// Where dabs of a paste only ran, this share of the thinnest is taken to hold until one does.
pub const HOLDS_OF_RUN: Marked<f64> = Marked::made_up(0.5);
/// How sure it is planned to be that the paste suffices.
pub const CONFIDENCE: Marked<f64> = Marked::made_up(0.95);
/// Above this many times the least likely need, bringing more is waste: measure better.
pub const WASTEFUL: Marked<f64> = Marked::made_up(2.0);

/// Layers of plaster bandage in the support shell.
pub const SHELL_LAYERS: Marked<f64> = Marked::practice(4.0);
/// Dry mass of one layer of plaster bandage, in grams per square metre.
pub const BANDAGE_PER_LAYER: Marked<f64> = Marked::memory(450.0);
/// Thickness of one layer of plaster bandage.
pub const BANDAGE_THICKNESS: Marked<Millimetres> = Marked::memory(Millimetres(1.2));
/// Thickness of a shell of gypsum plaster and scrim: three quarters of an inch.
pub const GYPSUM_SHELL: Marked<Millimetres> = Marked::practice(Millimetres(19.05));
/// Grams of water to 100 g of plaster in such a shell.
pub const SHELL_CONSISTENCY: Marked<f64> = Marked::memory(70.0);
/// Layers of scrim in such a shell.
pub const SCRIM_LAYERS: Marked<f64> = Marked::practice(2.0);
/// Mass of one layer of scrim, in grams per square metre.
pub const SCRIM_PER_LAYER: Marked<f64> = Marked::memory(250.0);
/// Layers of glass mat in a laminated shell.
pub const LAMINATE_LAYERS: Marked<f64> = Marked::memory(3.0);
/// Mass of one layer of glass mat, in grams per square metre.
pub const MAT_PER_LAYER: Marked<f64> = Marked::memory(450.0);
/// Resin with its hardener that glass mat takes up, in times its mass.
pub const RESIN_PER_MAT: Marked<f64> = Marked::memory(2.5);
/// Thickness of one layer of such a laminate.
pub const LAMINATE_THICKNESS: Marked<Millimetres> = Marked::memory(Millimetres(1.0));
/// Water that the bandage takes up, in millilitres per gram; as much again stays in the bucket.
pub const BANDAGE_WATER: Marked<f64> = Marked::memory(0.6);
/// Width of the flanges where the parts of a shell meet.
pub const FLANGE: Marked<Millimetres> = Marked::memory(Millimetres(40.0));
/// Thickness of the wall of clay that stands for a part that is not built yet.
pub const DIVIDING_WALL: Marked<Millimetres> = Marked::made_up(Millimetres(10.0));
/// Density of modelling clay.
pub const CLAY_DENSITY: Marked<GramsPerMillilitre> = Marked::memory(GramsPerMillilitre(1.8));
/// Petroleum jelly on a flange, in grams per square millimetre (200 g/m2).
pub const PARTING: Marked<f64> = Marked::made_up(200e-6);
/// How far the bolts through the flanges stand apart.
pub const BOLTS_APART: Marked<Millimetres> = Marked::memory(Millimetres(150.0));
/// Release agent (and sealer on a porous surface), in millilitres per square millimetre, two
/// thin coats (100 ml/m2).
pub const RELEASE: Marked<f64> = Marked::made_up(100e-6);
/// Protective sheet, in times the surface and border.
pub const SHEET_PER_SURFACE: Marked<f64> = Marked::made_up(3.0);
