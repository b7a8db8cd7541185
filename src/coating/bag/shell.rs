//! What the shell takes, and what one in two parts takes besides.

use super::{BY_MASS, BY_VOLUME, Bag, weight};
use crate::coating::input::PlanInput;
use crate::coating::kit::KitGroup;
use crate::coating::plan::Plan;
use crate::coating::practice;
use crate::coating::shell::ShellPart;
use crate::coating::source::Source;
use crate::quantity::{Amount, Grams, Millimetres};
use crate::words::tr;

impl Bag<'_> {
    pub(super) fn shell(&mut self) {
        self.group = KitGroup::Shell;
        let mut parts: Vec<&ShellPart> = Vec::new();
        for part in self.pieces.iter().flat_map(|(plan, _)| &plan.shell.parts) {
            if parts.iter().all(|other| other.key != part.key) {
                parts.push(part);
            }
        }
        for part in parts {
            let needs = |plan: &Plan, _: &PlanInput| {
                let mut all = plan.shell.parts.iter();
                let same = all.find(|other| other.key == part.key)?;
                Some((same.mass.0, same.why.clone()))
            };
            self.some(&part.key, &part.what, &needs, BY_MASS);
            self.from(&part.key, self.shell_inputs(), self.shell_source());
        }
        self.some(
            "shell-water",
            tr("Water for the shell"),
            &|plan, _| {
                let water = plan.shell.water.0;
                let why = tr("To mix or dip it. Leave it at home if there is water on site.");
                (water > 0.0).then(|| (water, why.to_string()))
            },
            BY_VOLUME,
        );
        self.from("shell-water", self.shell_inputs(), self.shell_source());
        self.seam();
        self.count(
            "bucket",
            tr("Bucket"),
            1,
            weight::BUCKET,
            tr("To mix or dip what the shell is built of."),
        );
    }

    fn shell_inputs(&self) -> Vec<(&'static str, Amount)> {
        let covered = self.sum(|plan, _| plan.shell.area + plan.shell.flanges);
        let carried = self.sum(|plan, _| plan.shell.carried());
        vec![
            (
                tr("Skin, border and flanges to cover"),
                Amount::Area(covered),
            ),
            (tr("Carried for all of it"), Amount::Mass(carried)),
        ]
    }

    /// The shell's mark; those of several pieces are of one kind, or the first one's stands.
    fn shell_source(&self) -> Source {
        let first = self.pieces.first();
        first.map_or(Source::MadeUp, |(plan, _)| plan.shell.source.clone())
    }

    /// What a shell in two parts takes besides: all of it common practice, without a source.
    fn seam(&mut self) {
        let seams: Millimetres = self.sum(|plan, _| plan.shell.seam.unwrap_or(Millimetres(0.0)));
        self.some(
            "shell-clay",
            tr("Modelling clay without sulphur"),
            &|plan, _| {
                let face = plan.shell.seam? * practice::FLANGE.value;
                let wall = face * practice::DIVIDING_WALL.value;
                let why = tr("Common practice: a wall of it on the cured skin along the split line; the first part of the shell is built against it. Stiff card does too.");
                Some(((wall * practice::CLAY_DENSITY.value).0, why.to_string()))
            },
            BY_MASS,
        );
        let seam = || (tr("Split lines"), Amount::Length(seams));
        let flange = || {
            (
                tr("Width of the flange"),
                Amount::Length(practice::FLANGE.value),
            )
        };
        let inputs = vec![
            seam(),
            flange(),
            (
                tr("Thickness"),
                Amount::Length(practice::DIVIDING_WALL.value),
            ),
            (tr("Density"), Amount::Density(practice::CLAY_DENSITY.value)),
        ];
        self.from("shell-clay", inputs, practice::DIVIDING_WALL.source);
        self.some(
            "shell-parting",
            tr("Petroleum jelly"),
            &|plan, _| {
                let flange = plan.shell.seam? * practice::FLANGE.value;
                let why = tr("Common practice: on the first part's flange, so that the second parts from it.");
                Some((flange.0 * practice::PARTING.value, why.to_string()))
            },
            BY_MASS,
        );
        let on_metre = Grams(practice::PARTING.value * 1e6);
        let inputs = vec![
            seam(),
            flange(),
            (tr("On a square metre"), Amount::Mass(on_metre)),
        ];
        self.from("shell-parting", inputs, practice::PARTING.source);
        self.some(
            "shell-bolts",
            tr("Bolts with wing nuts, or clamps"),
            &|plan, _| {
                let apart = plan.shell.seam? / practice::BOLTS_APART.value;
                let why = tr("Common practice: through both flanges, a hand's breadth and a half apart, so that the parts stay together.");
                Some((apart.ceil() + 1.0, why.to_string()))
            },
            |sum| (Amount::Count(sum as u32), sum * weight::BOLT),
        );
        let apart = practice::BOLTS_APART;
        let inputs = vec![
            seam(),
            (tr("Apart from each other"), Amount::Length(apart.value)),
        ];
        self.from("shell-bolts", inputs, apart.source);
    }
}
