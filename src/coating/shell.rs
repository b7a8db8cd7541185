//! The support shell: a thin skin keeps its shape only in a stiff jacket that is built over it
//! before it is peeled.

use super::caution::{Caution, Topic};
use super::gypsum::Gypsum;
use super::practice;
use super::source::{Marked, Source};
use super::surface::Surface;
use crate::quantity::show;
use crate::quantity::{Grams, Millilitres, Millimetres, SquareMillimetres};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// What the shell is built of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShellKind {
    /// Plaster bandage in layers.
    #[default]
    PlasterBandage,
    /// Gypsum plaster with scrim.
    Gypsum,
    /// Resin with glass mat.
    Laminate,
}

impl ShellKind {
    /// All kinds.
    pub const ALL: [Self; 3] = [Self::PlasterBandage, Self::Gypsum, Self::Laminate];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::PlasterBandage => tr("plaster bandage"),
            Self::Gypsum => tr("gypsum plaster with scrim"),
            Self::Laminate => tr("resin and glass mat"),
        }
    }

    /// What can hurt while it is built.
    pub(super) fn caution(self) -> Option<Caution> {
        match self {
            Self::PlasterBandage => None,
            Self::Gypsum => Some(Caution::new(
                Topic::Burns,
                tr("A thick layer of plaster gets hot as it sets, and the dry powder makes dust."),
                tr(
                    "Never let a hand set in it, spread it in layers, and wear a dust mask while you mix.",
                ),
                Source::CommonPractice,
            )),
            Self::Laminate => Some(Caution::new(
                Topic::Air,
                tr(
                    "Laminating resin gives off vapour that harms and burns, its hardener can blind, and glass mat sheds fibres.",
                ),
                tr(
                    "Wear what its sheet names, and goggles; no flame; never mix accelerator and hardener by themselves. Or choose plaster.",
                ),
                Source::FromMemory,
            )),
        }
    }
}

/// One material of the shell, as it is carried.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShellPart {
    /// Stable name among the things in the bag.
    pub key: String,
    /// What it is.
    pub what: String,
    /// Its mass.
    pub mass: Grams,
    /// Why it is so much.
    pub why: String,
}

/// The shell over a finished skin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shell {
    /// What it is built of.
    pub kind: ShellKind,
    /// The surface it covers: the skin's outer face, its border included.
    pub area: SquareMillimetres,
    /// The length of the split line, if it has to come off in two parts.
    #[serde(default)]
    pub seam: Option<Millimetres>,
    /// The flanges on both sides of that line.
    #[serde(default)]
    pub flanges: SquareMillimetres,
    /// Its thickness.
    pub thickness: Millimetres,
    /// What is carried for it, without the water.
    pub parts: Vec<ShellPart>,
    /// Water for it; none for a laminate.
    pub water: Millilitres,
    /// The finished shell's own mass, dry: what is carried home.
    pub mass: Grams,
    /// How far its thickness can be trusted.
    pub source: Source,
}

impl Shell {
    /// The shell over a skin of this thickness on a surface and its border strip, split along a
    /// line of this length if it has to be.
    pub(super) fn over(
        kind: ShellKind,
        surface: &Surface,
        border: SquareMillimetres,
        skin: Millimetres,
        seam: Option<Millimetres>,
    ) -> Self {
        let area = surface.face(skin) + border;
        let line = seam.unwrap_or(Millimetres(0.0));
        let flanges = line * practice::FLANGE.value * 2.0;
        let layer = |thickness: Millimetres| {
            surface.between(skin, skin + thickness) + (border + flanges) * thickness
        };
        let square_metres = (area + flanges).0 / 1e6;
        let part = |key: &str, what: &str, mass: f64, why: String| ShellPart {
            key: key.to_string(),
            what: what.to_string(),
            mass: Grams(mass),
            why,
        };
        match kind {
            ShellKind::PlasterBandage => {
                let layers = practice::SHELL_LAYERS;
                let dry = square_metres * layers.value * practice::BANDAGE_PER_LAYER.value;
                Self {
                    kind,
                    area,
                    seam,
                    flanges,
                    thickness: practice::BANDAGE_THICKNESS.value * layers.value,
                    parts: vec![part(
                        "shell-bandage",
                        tr("Plaster bandage"),
                        dry,
                        say!(
                            "{layers} layers over the cured skin and its border.",
                            layers = layers.value
                        ),
                    )],
                    // What it takes up, and as much again to dip it in.
                    water: Millilitres(2.0 * dry * practice::BANDAGE_WATER.value),
                    mass: Grams(dry * Gypsum::SET_PER_PLASTER),
                    source: layers.source,
                }
            }
            ShellKind::Gypsum => {
                let Marked { value, source } = practice::GYPSUM_SHELL;
                let mix = Gypsum {
                    consistency: practice::SHELL_CONSISTENCY.value,
                };
                let volume = layer(value);
                let plaster = mix.plaster(volume);
                let layers = practice::SCRIM_LAYERS.value;
                let scrim = square_metres * layers * practice::SCRIM_PER_LAYER.value;
                Self {
                    kind,
                    area,
                    seam,
                    flanges,
                    thickness: value,
                    parts: vec![
                        part(
                            "shell-plaster",
                            tr("Gypsum plaster"),
                            plaster.0,
                            say!(
                                "A layer of that thickness, {consistency} g of water to 100 g of plaster.",
                                consistency = show::fixed(mix.consistency, 0)
                            ),
                        ),
                        part(
                            "shell-scrim",
                            tr("Scrim"),
                            scrim,
                            tr("Two layers in the plaster.").into(),
                        ),
                    ],
                    water: Millilitres(plaster.0 * mix.consistency / 100.0),
                    mass: volume * mix.dry() + Grams(scrim),
                    source,
                }
            }
            ShellKind::Laminate => {
                let layers = practice::LAMINATE_LAYERS;
                let mat = square_metres * layers.value * practice::MAT_PER_LAYER.value;
                let resin = mat * practice::RESIN_PER_MAT.value;
                Self {
                    kind,
                    area,
                    seam,
                    flanges,
                    thickness: practice::LAMINATE_THICKNESS.value * layers.value,
                    parts: vec![
                        part(
                            "shell-resin",
                            tr("Laminating resin with its hardener"),
                            resin,
                            say!(
                                "{resin_per_mat} times the mat's mass.",
                                resin_per_mat = practice::RESIN_PER_MAT.value
                            ),
                        ),
                        part(
                            "shell-mat",
                            tr("Glass mat"),
                            mat,
                            say!(
                                "{layers} layers of {mat_per_layer} g a square metre.",
                                layers = layers.value,
                                mat_per_layer = practice::MAT_PER_LAYER.value
                            ),
                        ),
                    ],
                    water: Millilitres(0.0),
                    mass: Grams(mat + resin),
                    source: layers.source,
                }
            }
        }
    }

    /// What is carried for it, without the water.
    pub fn carried(&self) -> Grams {
        self.parts.iter().map(|part| part.mass).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flat_shell_is_area_times_what_a_square_metre_takes() {
        let surface = Surface::flat(SquareMillimetres(900_000.0));
        let over = |kind| {
            Shell::over(
                kind,
                &surface,
                SquareMillimetres(100_000.0),
                Millimetres(6.35),
                None,
            )
        };
        let bandage = over(ShellKind::PlasterBandage);
        assert_eq!(bandage.area, SquareMillimetres(1e6));
        assert!((bandage.carried().0 - 1800.0).abs() < 1e-9);
        assert!((bandage.water.0 - 2160.0).abs() < 1e-9);
        // 19.05 mm over 1 m2 are 19.05 litres; at 70 g to 100 g a litre takes 0.940 kg (the
        // gypsum model) and weighs 1.115 kg when it is dry.
        let gypsum = over(ShellKind::Gypsum);
        assert!((gypsum.parts[0].mass.0 / (19.05 * 940.0) - 1.0).abs() < 1e-3);
        assert!((gypsum.water.0 / gypsum.parts[0].mass.0 - 0.7).abs() < 1e-9);
        let dry = gypsum.mass - gypsum.parts[1].mass;
        assert!((dry.0 / (19.05 * 1115.0) - 1.0).abs() < 1e-3);
        let laminate = over(ShellKind::Laminate);
        assert_eq!(laminate.water, Millilitres(0.0));
        assert_eq!(laminate.mass, laminate.carried());
    }

    #[test]
    fn a_shell_lies_on_the_skins_outer_face() {
        // A hemisphere of radius 50 under a skin of 10: the shell covers one of radius 60.
        use std::f64::consts::{PI, TAU};
        let surface = Surface {
            area: SquareMillimetres(TAU * 2500.0),
            mean_curvature: Millimetres(TAU * 50.0),
            total_curvature: TAU,
            reach: Millimetres(f64::INFINITY),
        };
        let shell = Shell::over(
            ShellKind::Gypsum,
            &surface,
            SquareMillimetres(0.0),
            Millimetres(10.0),
            None,
        );
        assert!((shell.area.0 - TAU * 3600.0).abs() < 1e-6);
        let volume = 2.0 / 3.0 * PI * (79.05_f64.powi(3) - 60_f64.powi(3)) / 1000.0;
        let dry = shell.mass - shell.parts[1].mass;
        assert!((dry.0 / (volume * 1.115) - 1.0).abs() < 1e-3);
    }
}
