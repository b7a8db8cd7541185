//! How much paste a piece takes: one model, asked for its best values, its slopes and its
//! spread by chance.

use super::high_spots::HighSpots;
use super::input::PlanInput;
use super::passes::Pass;
use super::practice;
use super::relief::{Between, Relief};
use super::rim::Rim;
use super::skin::cover_of;
use super::source::Source;
use super::spread::Factor;
use super::surface::Surface;
use crate::quantity::{Grams, Millimetres, SquareMillimetres};
use crate::relief::{HeightMap, Modelling};
use crate::say;
use crate::words::tr;

/// One input that is not known exactly.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Unsure {
    /// Its name.
    pub what: String,
    /// How to know it better.
    pub advice: &'static str,
}

/// The places of the inputs among their standard deviations; from [`COATS`] on the thickness of
/// each coat.
const OUTLINE: usize = 0;
const FRONT: usize = 1;
const SIDE: usize = 2;
const HEIGHT: usize = 3;
const DENSITY: usize = 4;
const SPOTS: usize = 5;
const RESIDUE: usize = 6;
const COATS: usize = 7;

/// The model of a piece's need.
pub(super) struct Need<'a> {
    input: &'a PlanInput,
    passes: &'a [Pass],
    rim: Rim,
    modelled: Option<Mapped>,
    /// The kind's shares, which take an integral to find.
    front: Between,
    side: Between,
    high_spots: Option<HighSpots>,
    residue: Grams,
    area: Factor,
    perimeter: Factor,
    height: Factor,
    density: Factor,
    spots: Factor,
    left: Factor,
    coats: Vec<Factor>,
}

/// The modelling of a height map, and how its excess grows with the heights.
struct Mapped {
    here: Modelling,
    power: f64,
}

impl Mapped {
    /// Over the outline where the map was laid on it, and over its own places otherwise.
    fn of(map: &HeightMap, input: &PlanInput) -> Self {
        const HIGHER: f64 = 1.05;
        let cover = cover_of(map, input);
        let here = Modelling::of(map.heights(), 1.0, &cover);
        let higher = Modelling::of(map.heights(), HIGHER, &cover);
        let power = (higher.excess / here.excess).ln() / HIGHER.ln();
        Self {
            here,
            power: if power.is_finite() { power } else { 1.0 },
        }
    }
}

/// All masses, in grams.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Sum {
    /// All coats.
    pub coats: f64,
    /// The extra on high spots.
    pub spots: f64,
    /// What stays in containers and tools.
    pub residue: f64,
}

impl Sum {
    /// Everything.
    pub fn total(self) -> f64 {
        self.coats + self.spots + self.residue
    }
}

impl<'a> Need<'a> {
    /// The model of these passes; what the batches leave behind comes with
    /// [`Need::leaving`], once the batches are known.
    pub fn of(input: &'a PlanInput, passes: &'a [Pass]) -> Self {
        let highest = input.highest();
        let read = match &input.heights {
            Some(map) => map.sd(),
            None => practice::HIGHEST_SPREAD.value.0.min(highest.0) / highest.0,
        };
        let density = match input.card.marks.density {
            Source::YourSheet | Source::Computed(_) => practice::DENSITY_SPREAD_SHEET.value,
            _ => practice::DENSITY_SPREAD_GENERAL.value,
        };
        let coats = passes
            .iter()
            .map(|pass| Factor::of(pass.choice.role.thickness_spread()));
        let mut need = Self {
            input,
            passes,
            rim: Rim::of(input),
            modelled: input.heights.as_ref().map(|map| Mapped::of(map, input)),
            front: input.relief.kind.front(),
            side: input.relief.kind.side(),
            high_spots: None,
            residue: Grams(0.0),
            area: Factor::of_estimate(&input.area),
            perimeter: Factor::of_estimate(&input.perimeter),
            height: Factor::of(read),
            density: Factor::of(density),
            spots: Factor::of(practice::HIGH_SPOT_SPREAD.value),
            left: Factor::of(practice::RESIDUE_SPREAD.value),
            coats: coats.collect(),
        };
        let surface = need.surface(&need.best());
        need.high_spots = HighSpots::of(input, passes, surface.area);
        need
    }

    /// The same with what stays in containers and tools.
    pub fn leaving(mut self, residue: Grams) -> Self {
        self.residue = residue;
        self
    }

    /// How many inputs are unsure.
    pub fn inputs(&self) -> usize {
        COATS + self.passes.len()
    }

    /// All inputs at their best values.
    pub fn best(&self) -> Vec<f64> {
        vec![0.0; self.inputs()]
    }

    /// The rim.
    pub fn rim(&self) -> Rim {
        self.rim
    }

    /// The extra on high spots.
    pub fn high_spots(&self) -> Option<&HighSpots> {
        self.high_spots.as_ref()
    }

    /// The piece's own surface, without its border.
    pub fn surface(&self, z: &[f64]) -> Surface {
        let area = self.input.area.value.0 * self.area.at(z[OUTLINE]);
        let p = self.input.perimeter.value.0 * self.perimeter.at(z[OUTLINE]);
        let up = self.height.at(z[HEIGHT]);
        let hidden = self.input.overhung.0 * practice::OVERHANG_EXTRA.value;
        if let Some(map) = &self.modelled {
            return Surface {
                area: SquareMillimetres(area + hidden + map.here.excess * up.powf(map.power)),
                mean_curvature: Millimetres(map.here.mean_curvature * up),
                total_curvature: map.here.total_curvature,
                reach: Millimetres(f64::INFINITY),
            };
        }
        let Relief { kind, highest } = self.input.relief;
        if highest.0 <= 0.0 {
            return Surface::flat(SquareMillimetres(area + hidden));
        }
        // A share can't pass zero: a front is never smaller than its footprint.
        let share = |between: Between, z: f64| (between.value + between.sd * z).max(0.0);
        let h = highest.0 * up;
        let front = area * (1.0 + share(self.front, z[FRONT]));
        let side = p * h * share(self.side, z[SIDE]);
        let relief = Relief {
            kind,
            highest: Millimetres(h),
        };
        Surface::of_kind(
            SquareMillimetres(front + side + hidden),
            Millimetres(p),
            &relief,
        )
    }

    /// The border strip.
    pub fn border(&self, z: &[f64]) -> SquareMillimetres {
        self.rim.area * self.perimeter.at(z[OUTLINE])
    }

    /// All masses; each coat's own is told on the way.
    pub fn masses(&self, z: &[f64], mut each: impl FnMut(usize, f64)) -> Sum {
        let surface = self.surface(z);
        let border = self.border(z);
        let density = self.input.card.density.0 * self.density.at(z[DENSITY]);
        let mut sum = Sum::default();
        let mut below = Millimetres(0.0);
        for (i, pass) in self.passes.iter().enumerate() {
            let thickness = pass.choice.thickness * self.coats[i].at(z[COATS + i]);
            let above = below + thickness;
            let volume = surface.between(below, above) + border * thickness;
            let mass = volume.0 * density;
            each(i, mass);
            sum.coats += mass;
            below = above;
        }
        if let Some(spots) = &self.high_spots {
            let volume = surface.area * spots.share * spots.thickness;
            sum.spots = volume.0 * density * self.spots.at(z[SPOTS]);
        }
        sum.residue = self.residue.0 * self.left.at(z[RESIDUE]);
        sum
    }

    /// The inputs in their order.
    pub fn unsure(&self) -> Vec<Unsure> {
        let named = |what: &str, advice| Unsure {
            what: what.to_string(),
            advice,
        };
        let height = match self.modelled {
            Some(_) => named(
                tr("Heights"),
                tr("Read a few heights on the piece with a probe or a skewer."),
            ),
            None => named(
                tr("Highest point"),
                tr("Read it with a straight edge and a rule."),
            ),
        };
        let mut all = vec![
            named(
                tr("Outline"),
                tr("Mark one more known length on the photo, or trace the outline closer."),
            ),
            named(
                tr("Modelling of the front"),
                tr("Compare your piece with the pictures of low, middle and high relief again."),
            ),
            named(
                tr("Shape of the edges"),
                tr("Measure how high the sides stand in three places."),
            ),
            height,
            named(
                tr("Density of the paste"),
                tr("Take it from the paste's sheet."),
            ),
            named(
                tr("Extra on high spots"),
                tr("Mark the high spots before you start."),
            ),
            named(
                tr("Left in containers and tools"),
                tr("Weigh an emptied container once."),
            ),
        ];
        all.extend((1..=self.passes.len()).map(|n| Unsure {
            what: say!("Thickness brushed, coat {n}", n),
            advice: tr(
                "Spread each batch over its own share of the surface, and check with a pin.",
            ),
        }));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::super::passes::passes;
    use super::super::spread::{Draws, root_sum, slopes};
    use super::*;
    use crate::coating::ReliefKind;
    use crate::quantity::{Estimate, Minutes};
    use std::f64::consts::{PI, TAU};

    fn piece(area: f64, perimeter: f64, kind: ReliefKind, highest: f64) -> PlanInput {
        PlanInput::of_piece(
            Estimate::exact(SquareMillimetres(area)),
            Estimate::exact(Millimetres(perimeter)),
            Relief {
                kind,
                highest: Millimetres(highest),
            },
        )
    }

    #[test]
    fn closed_form_bodies_lie_inside_the_range_of_their_kind() {
        let bodies = [
            // A box 300 x 200 x 40 on a wall (square edges, smooth front).
            (piece(60_000.0, 1000.0, ReliefKind::Middle, 40.0), 100_000.0),
            // A spherical cap, base radius 40, height 20: pi (a^2 + h^2).
            (
                piece(PI * 1600.0, TAU * 40.0, ReliefKind::Low, 20.0),
                6283.2,
            ),
            // A half-bead frame, tube radius 10 round a circle of 50, a ring with two rims:
            // 2 pi^2 R r.
            (
                piece(PI * 2000.0, TAU * 100.0, ReliefKind::Middle, 10.0),
                9869.6,
            ),
        ];
        for (input, truth) in bodies {
            let surface = crate::coating::plan(&input).unwrap().surface;
            assert!(
                surface.low95.0 < truth && truth < surface.high95.0,
                "{surface:?} for {truth}"
            );
        }
    }

    #[test]
    fn a_height_map_takes_the_place_of_the_kind() {
        let mut input = piece(60_000.0, 1000.0, ReliefKind::Low, 5.0);
        let slab = |_: i32| (0..310).map(|x| (5..305).contains(&x).then_some(40.0));
        let rows: Vec<Vec<_>> = (0..200).map(|y| slab(y).collect()).collect();
        input.heights = Some(HeightMap::new(Millimetres(1.0), &rows, 0.02).unwrap());
        let plan = crate::coating::plan(&input).unwrap();
        assert!(
            (plan.surface.value.0 / 1e5 - 1.0).abs() < 0.02,
            "{:?}",
            plan.surface
        );
        // Two hundredths of the height on 40,000 mm2 of sides.
        assert!(
            (plan.surface.sd / 800.0 - 1.0).abs() < 0.1,
            "{:?}",
            plan.surface
        );
        let what: Vec<_> = plan.uncertainties.iter().map(|line| &*line.what).collect();
        assert!(what.contains(&"Heights") && !what.contains(&"Shape of the edges"));
    }

    #[test]
    fn draws_and_first_order_agree() {
        let mut input = piece(34_000.0, 800.0, ReliefKind::Middle, 18.0);
        input.area.sd = 700.0;
        input.perimeter.sd = 8.0;
        for kind in ReliefKind::ALL {
            input.relief.kind = kind;
            let plan = crate::coating::plan(&input).unwrap();
            let (drawn, first) = (plan.total, plan.propagated);
            assert!(
                (drawn.sd / first.sd - 1.0).abs() < 0.08,
                "{drawn:?} {first:?}"
            );
            for (one, other) in [(drawn.low95, first.low95), (drawn.high95, first.high95)] {
                assert!((one / other - 1.0).abs() < 0.06, "{drawn:?} {first:?}");
            }
            assert!((plan.bring / first.enough95() - 1.0).abs() < 0.03);
        }
    }

    #[test]
    fn the_total_is_the_sum_of_what_is_told() {
        let input = piece(34_000.0, 800.0, ReliefKind::High, 18.0);
        let passes = passes(&input, Minutes(8.0), Minutes(1.0)).unwrap();
        let need = Need::of(&input, &passes).leaving(Grams(39.0));
        let mut told = 0.0;
        let sum = need.masses(&need.best(), |_, mass| told += mass);
        assert!((sum.coats - told).abs() < 1e-9 && sum.spots > 0.0 && sum.residue == 39.0);
        assert_eq!(need.unsure().len(), need.inputs());
        let total = |z: &[f64]| need.masses(z, |_, _| {}).total();
        let drawn: Estimate<Grams> = Draws::of(need.inputs(), total).about(Grams(sum.total()));
        assert!((drawn.sd / root_sum(&slopes(need.inputs(), total)) - 1.0).abs() < 0.08);
    }
}
