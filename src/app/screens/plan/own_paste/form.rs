//! What is typed into the form for a paste, and how it is read.

use super::OWN;
use crate::app::parts::bench::Bench;
use crate::app::parts::blank::Blank;
use crate::coating::{
    CardMarks, CardNumber, Cure, FoodStatement, Hold, PackSize, SheetNumbers, Source,
};
use crate::quantity::parse;
use crate::quantity::show::{self, System};
use crate::quantity::{GramsPerMillilitre, KilojoulesPerMole, Minutes, Pascals};
use crate::words::tr;
use leptos::prelude::*;

/// One set as it is sold.
#[derive(Clone, Copy)]
pub struct PackBlanks {
    pub number: usize,
    pub size: Blank,
    pub price: Blank,
}

/// All blanks of the form.
#[derive(Clone, Copy)]
pub struct Form {
    pub name: Blank,
    pub ratio_a: Blank,
    pub ratio_b: Blank,
    pub volume_a: Blank,
    pub volume_b: Blank,
    pub density: Blank,
    pub density_a: Blank,
    pub density_b: Blank,
    pub working: Blank,
    pub recoat_from: Blank,
    pub recoat_until: Blank,
    pub demould: Blank,
    pub reference: Blank,
    pub service: Blank,
    pub rate: Blank,
    pub activation: Blank,
    pub shrinkage: Blank,
    pub elongation: Blank,
    pub hardness: Blank,
    pub dab: Blank,
    pub stress: Blank,
    pub levelling: Blank,
    pub least_skin: Blank,
    pub cure: RwSignal<Cure>,
    pub food: RwSignal<FoodStatement>,
    pub packs: RwSignal<Vec<PackBlanks>>,
}

impl Form {
    /// An empty form, or one with the numbers of the user's own card that the piece has now.
    pub fn new(bench: Bench) -> Self {
        let system = bench.desk.settings.get_untracked().system;
        let card = bench
            .piece
            .get_untracked()
            .map(|piece| piece.card)
            .filter(|card| card.id.starts_with(OWN));
        let blank = |text: Option<String>| Blank::new(text.unwrap_or_default());
        let card = card.as_ref();
        // What was computed is worked out anew from what was typed, and never shown as typed.
        let typed = |mark: fn(&CardMarks) -> &Source| {
            card.filter(|card| *mark(&card.marks) == Source::YourSheet)
        };
        let ratio = typed(|marks| &marks.ratio).map(|c| c.ratio_by_mass);
        let volume = card.and_then(|c| c.ratio_by_volume);
        let dense =
            |density: Option<GramsPerMillilitre>| blank(density.map(|d| show::number(d.0, 3)));
        let percent = |share: Option<f64>| blank(share.map(|s| show::number(s * 100.0, 3)));
        let span = |minutes: Minutes| show::number(minutes.0, 1);
        let packs = card.map_or(Vec::new(), |card| {
            let sold = card.packs.iter().enumerate();
            sold.map(|(i, pack)| PackBlanks {
                number: i + 1,
                size: Blank::new(show::mass(pack.size, system)),
                price: blank(pack.price.map(|price| show::number(price, 2))),
            })
            .collect()
        });
        Self {
            name: blank(card.map(|c| c.name.clone())),
            ratio_a: blank(ratio.map(|r| show::number(r.0, 3))),
            ratio_b: blank(ratio.map(|r| show::number(r.1, 3))),
            volume_a: blank(volume.map(|r| show::number(r.0, 3))),
            volume_b: blank(volume.map(|r| show::number(r.1, 3))),
            density: dense(typed(|marks| &marks.density).map(|c| c.density)),
            density_a: dense(card.and_then(|c| c.density_a)),
            density_b: dense(card.and_then(|c| c.density_b)),
            working: blank(card.map(|c| span(c.working))),
            recoat_from: blank(card.map(|c| span(c.recoat_from))),
            recoat_until: blank(card.and_then(|c| c.recoat_until).map(span)),
            demould: blank(card.map(|c| span(c.demould))),
            reference: blank(card.map(|c| show::temperature(c.reference, system))),
            service: blank(
                card.and_then(|c| c.service_max)
                    .map(|t| show::temperature(t, system)),
            ),
            rate: blank(typed(|marks| &marks.q10).map(|c| show::number(c.q10, 3))),
            activation: blank(
                card.and_then(|c| c.activation)
                    .map(|energy| show::number(energy.0, 2)),
            ),
            shrinkage: percent(card.and_then(|c| c.shrinkage)),
            elongation: percent(card.and_then(|c| c.elongation)),
            hardness: blank(
                card.and_then(|c| c.hardness)
                    .map(|shore| show::number(shore, 1)),
            ),
            dab: blank(card.and_then(|c| match c.hold {
                Some(Hold::Dab(thickness)) => Some(show::length(thickness, system)),
                _ => None,
            })),
            stress: blank(card.and_then(|c| match c.hold {
                Some(Hold::YieldStress(stress)) => Some(show::number(stress.0, 2)),
                _ => None,
            })),
            levelling: blank(
                card.and_then(|c| c.levelling)
                    .map(|times| show::number(times, 2)),
            ),
            least_skin: blank(
                card.and_then(|c| c.least_skin)
                    .map(|least| show::length(least, system)),
            ),
            cure: RwSignal::new(card.map(|c| c.cure).unwrap_or_default()),
            food: RwSignal::new(card.map(|c| c.food).unwrap_or_default()),
            packs: RwSignal::new(packs),
        }
    }

    /// Reads the whole form and says beside each field what is wrong with it.
    pub fn read(self, system: System) -> Option<SheetNumbers> {
        let temperature = |text: &str| parse::temperature(text, system);
        let share = |blank: Blank| blank.read(parse::number).map(|percent| percent / 100.0);
        let density = |blank: Blank| blank.read(parse::number).map(GramsPerMillilitre);
        let dab = self.dab.read(|text| parse::length(text, system));
        let stress = self.stress.read(parse::number).map(Pascals);
        if dab.is_some() && stress.is_some() {
            let text = tr("Give the yield stress or the dab, not both: leave one empty.");
            self.stress.error.set(Some(text.to_owned()));
        }
        let packs = self.packs.get_untracked();
        let sold = packs.iter().filter_map(|pack| {
            let price = pack.price.read(parse::number);
            let size = pack.size.read(|text| parse::mass(text, system))?;
            Some(PackSize {
                name: tr("Set").to_owned(),
                size,
                price,
            })
        });
        let sheet = SheetNumbers {
            name: self.name.text.get_untracked(),
            parts: None,
            ratio_by_mass: both(self.ratio_a, self.ratio_b),
            ratio_by_volume: both(self.volume_a, self.volume_b),
            cure: self.cure.get_untracked(),
            density: density(self.density),
            density_a: density(self.density_a),
            density_b: density(self.density_b),
            working: self.working.read(parse::minutes),
            recoat_from: self.recoat_from.read(parse::minutes),
            recoat_until: self.recoat_until.read(parse::minutes),
            demould: self.demould.read(parse::minutes),
            reference: self.reference.read(temperature),
            service_max: self.service.read(temperature),
            q10: self.rate.read(parse::number),
            activation: self.activation.read(parse::number).map(KilojoulesPerMole),
            shrinkage: share(self.shrinkage),
            elongation: share(self.elongation),
            hardness: self.hardness.read(parse::number),
            hold: dab.map(Hold::Dab).or(stress.map(Hold::YieldStress)),
            levelling: self.levelling.read(parse::number),
            least_skin: self.least_skin.read(|text| parse::length(text, system)),
            food: self.food.get_untracked(),
            packs: sold.collect(),
        };
        let readable = self.blanks().into_iter().all(|blank| !blank.wrong());
        readable.then_some(sheet)
    }

    fn blanks(self) -> Vec<Blank> {
        let packs = self.packs.get_untracked();
        [
            self.name,
            self.ratio_a,
            self.ratio_b,
            self.volume_a,
            self.volume_b,
            self.density,
            self.density_a,
            self.density_b,
            self.working,
            self.recoat_from,
            self.recoat_until,
            self.demould,
            self.reference,
            self.service,
            self.rate,
            self.activation,
            self.shrinkage,
            self.elongation,
            self.hardness,
            self.dab,
            self.stress,
            self.levelling,
            self.least_skin,
        ]
        .into_iter()
        .chain(packs.iter().flat_map(|pack| [pack.size, pack.price]))
        .collect()
    }

    /// The blank beside which a problem of the card is said.
    pub fn blank_of(self, field: CardNumber) -> Blank {
        match field {
            CardNumber::Name => self.name,
            CardNumber::Ratio => self.ratio_a,
            CardNumber::RatioByVolume => self.volume_a,
            CardNumber::Density => self.density,
            CardNumber::DensityA => self.density_a,
            CardNumber::DensityB => self.density_b,
            CardNumber::Working => self.working,
            CardNumber::RecoatFrom => self.recoat_from,
            CardNumber::RecoatUntil => self.recoat_until,
            CardNumber::Demould => self.demould,
            CardNumber::Reference => self.reference,
            CardNumber::ServiceMax => self.service,
            CardNumber::Q10 => self.rate,
            CardNumber::Activation => self.activation,
            CardNumber::Shrinkage => self.shrinkage,
            CardNumber::Elongation => self.elongation,
            CardNumber::Hardness => self.hardness,
            CardNumber::Holding if self.stress.text.with_untracked(|s| !s.trim().is_empty()) => {
                self.stress
            }
            CardNumber::Holding => self.dab,
            CardNumber::Levelling => self.levelling,
            CardNumber::LeastSkin => self.least_skin,
            CardNumber::Packs => self
                .packs
                .with_untracked(|packs| packs.first().map(|pack| pack.size))
                .unwrap_or(self.name),
        }
    }
}

/// The two numbers of a ratio; where one is there without the other, that one is asked for.
fn both(a: Blank, b: Blank) -> Option<(f64, f64)> {
    let numbers = (a.read(parse::number), b.read(parse::number));
    let empty = match numbers {
        (Some(_), None) => b,
        (None, Some(_)) => a,
        (a, b) => return a.zip(b),
    };
    if !empty.wrong() {
        let text = tr("A ratio has two numbers: type this one too.");
        empty.error.set(Some(text.to_owned()));
    }
    None
}
