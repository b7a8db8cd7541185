//! A card of the user's own, from the paste's data sheet.

use super::card::{
    CardMarks, CardNumber, CardProblem, Cure, FoodStatement, Hold, MaterialCard, Part, parts,
};
use super::mix;
use super::packs::PackSize;
use super::practice;
use super::source::Source;
use crate::quantity::{Celsius, GramsPerMillilitre, KilojoulesPerMole, Millimetres, Minutes};
use crate::say;
use crate::words::tr;
use serde::{Deserialize, Serialize};

/// The numbers of a sheet as a user types them; what is not typed is `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SheetNumbers {
    /// What the user calls it.
    pub name: String,
    /// Names and colours of the parts, if they are not just A and B.
    pub parts: Option<[Part; 2]>,
    /// Parts by weight, A to B. Needed, unless they follow from the parts by volume.
    pub ratio_by_mass: Option<(f64, f64)>,
    /// How it cures, if the sheet says so: platinum is addition, tin is condensation.
    pub cure: Cure,
    /// Parts by volume, A to B, if the sheet has them.
    pub ratio_by_volume: Option<(f64, f64)>,
    /// Density of the mix. Needed, unless it follows from those of A and B.
    pub density: Option<GramsPerMillilitre>,
    /// Density of A alone, if the sheet has it.
    pub density_a: Option<GramsPerMillilitre>,
    /// Density of B alone, if the sheet has it.
    pub density_b: Option<GramsPerMillilitre>,
    /// Working time. Needed.
    pub working: Option<Minutes>,
    /// Earliest next coat. Needed.
    pub recoat_from: Option<Minutes>,
    /// Latest next coat, if the sheet has a limit.
    pub recoat_until: Option<Minutes>,
    /// Time to demould. Needed.
    pub demould: Option<Minutes>,
    /// The temperature of these times. Needed.
    pub reference: Option<Celsius>,
    /// Highest service temperature, if the sheet has it.
    pub service_max: Option<Celsius>,
    /// Rate per ten degrees, if the sheet has it; otherwise the general one, marked so.
    pub q10: Option<f64>,
    /// Activation energy, if the sheet has it; it goes before the rate per ten degrees.
    pub activation: Option<KilojoulesPerMole>,
    /// Linear shrinkage, if the sheet has it.
    pub shrinkage: Option<f64>,
    /// Elongation at break as a share of the length, if the sheet has it.
    pub elongation: Option<f64>,
    /// Hardness, Shore A, if the sheet has it.
    pub hardness: Option<f64>,
    /// What holds on a wall, if the sheet or a dab test says.
    pub hold: Option<Hold>,
    /// How far a wet coat draws back from what bulges, in times its own thickness, if it was
    /// measured; otherwise it follows from what holds on a wall.
    pub levelling: Option<f64>,
    /// The least thickness of a skin that can be peeled, if the sheet or a peeled skin says.
    pub least_skin: Option<Millimetres>,
    /// What the sheet says about food.
    pub food: FoodStatement,
    /// The sets it is sold in.
    pub packs: Vec<PackSize>,
}

/// A card of the user's own from the sheet's numbers, or every problem in a sentence. A number
/// that is needed and not typed is asked for, never invented; one that follows from others that
/// were typed is marked as computed.
pub fn own_card(id: &str, sheet: &SheetNumbers) -> Result<MaterialCard, Vec<CardProblem>> {
    let (ratio, ratio_mark) = ratio(sheet);
    let (density, density_mark) = density(sheet, ratio);
    let (
        Some(ratio_by_mass),
        Some(density),
        Some(working),
        Some(recoat_from),
        Some(demould),
        Some(reference),
    ) = (
        ratio,
        density,
        sheet.working,
        sheet.recoat_from,
        sheet.demould,
        sheet.reference,
    )
    else {
        return Err(missing(sheet, ratio, density));
    };
    let card = MaterialCard {
        id: id.to_string(),
        name: sheet.name.trim().to_string(),
        parts: sheet.parts.clone().unwrap_or_else(parts),
        ratio_by_mass,
        ratio_by_volume: sheet.ratio_by_volume,
        cure: sheet.cure,
        density,
        density_a: sheet.density_a,
        density_b: sheet.density_b,
        working,
        recoat_from,
        recoat_until: sheet.recoat_until,
        demould,
        reference,
        service_max: sheet.service_max,
        q10: sheet.q10.unwrap_or(practice::Q10.value),
        activation: sheet.activation,
        shrinkage: sheet.shrinkage,
        elongation: sheet.elongation,
        hardness: sheet.hardness,
        hold: sheet.hold,
        levelling: sheet.levelling,
        least_skin: sheet.least_skin,
        food: sheet.food,
        packs: sheet.packs.clone(),
        marks: CardMarks {
            ratio: ratio_mark,
            density: density_mark,
            q10: match sheet.q10 {
                Some(_) => Source::YourSheet,
                None => practice::Q10.source,
            },
            ..CardMarks::all(Source::YourSheet)
        },
    };
    let problems = of_what_was_typed(card.problems(), &card.marks);
    if problems.is_empty() {
        Ok(card)
    } else {
        Err(problems)
    }
}

/// The ratio by weight, typed or from the one by volume.
fn ratio(sheet: &SheetNumbers) -> (Option<(f64, f64)>, Source) {
    if sheet.ratio_by_mass.is_some() {
        return (sheet.ratio_by_mass, Source::YourSheet);
    }
    let by_volume = sheet.ratio_by_volume.zip(sheet.density_a);
    let follows = by_volume
        .zip(sheet.density_b)
        .map(|((by_volume, a), b)| mix::by_mass(by_volume, a, b));
    let form = tr("parts by volume times their densities");
    (follows, Source::Computed(form.to_string()))
}

/// The density of the mix, typed or from those of A and B.
fn density(
    sheet: &SheetNumbers,
    ratio: Option<(f64, f64)>,
) -> (Option<GramsPerMillilitre>, Source) {
    if sheet.density.is_some() {
        return (sheet.density, Source::YourSheet);
    }
    let follows = ratio
        .zip(sheet.density_a)
        .zip(sheet.density_b)
        .map(|((ratio, a), b)| mix::density(ratio, a, b));
    let form = tr("from those of A and B; mixing changes no volume");
    (follows, Source::Computed(form.to_string()))
}

/// A number that was computed is not at fault, but one of those that it follows from.
fn of_what_was_typed(problems: Vec<CardProblem>, marks: &CardMarks) -> Vec<CardProblem> {
    use CardNumber::{Density, DensityA, DensityB, Ratio, RatioByVolume};
    let computed = |mark: &Source| matches!(mark, Source::Computed(_));
    let wrong = |field| problems.iter().any(|problem| problem.field == field);
    let parts_wrong = [RatioByVolume, DensityA, DensityB].into_iter().any(wrong);
    let spare_ratio = computed(&marks.ratio) && parts_wrong;
    let spare_density = computed(&marks.density) && (parts_wrong || wrong(Ratio));
    problems
        .into_iter()
        .filter(|problem| match problem.field {
            Ratio => !spare_ratio,
            Density => !spare_density,
            _ => true,
        })
        .collect()
}

/// What is asked for, since it was not typed and does not follow from what was.
fn missing(
    sheet: &SheetNumbers,
    ratio: Option<(f64, f64)>,
    density: Option<GramsPerMillilitre>,
) -> Vec<CardProblem> {
    use CardNumber::*;
    let mut problems = Vec::new();
    let mut ask = |missing: bool, field, text: String| {
        if missing {
            problems.push(CardProblem { field, text });
        }
    };
    let by_volume_only = ratio.is_none() && sheet.ratio_by_volume.is_some();
    let first_density = match sheet.density_a {
        None => DensityA,
        Some(_) => DensityB,
    };
    ask(
        by_volume_only,
        first_density,
        tr("A ratio by volume is not one by weight: type the density of A and of B, or the ratio by weight.").to_string(),
    );
    let from_sheet = |what: &str| say!("Type {what} from the paste's sheet.", what);
    for (none, field, what) in [
        (
            ratio.is_none() && !by_volume_only,
            Ratio,
            tr("the mix ratio by weight, or by volume with the densities of A and B"),
        ),
        (
            // With the densities that are asked for above it follows.
            density.is_none() && !by_volume_only,
            Density,
            tr("the density of the mix (specific gravity), or those of A and B"),
        ),
        (
            sheet.working.is_none(),
            Working,
            tr("the working time (pot life)"),
        ),
        (
            sheet.recoat_from.is_none(),
            RecoatFrom,
            tr("the earliest next coat"),
        ),
        (sheet.demould.is_none(), Demould, tr("the time to demould")),
        (
            sheet.reference.is_none(),
            Reference,
            tr("the temperature its times hold at"),
        ),
    ] {
        ask(none, field, from_sheet(what));
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Grams;

    fn sheet() -> SheetNumbers {
        SheetNumbers {
            name: "My paste".to_string(),
            ratio_by_mass: Some((100.0, 10.0)),
            density: Some(GramsPerMillilitre(1.14)),
            working: Some(Minutes(14.0)),
            recoat_from: Some(Minutes(45.0)),
            demould: Some(Minutes(180.0)),
            reference: Some(Celsius(23.0)),
            ..SheetNumbers::default()
        }
    }

    #[test]
    fn a_full_sheet_makes_a_card_marked_as_the_users() {
        let card = own_card("mine", &sheet()).unwrap();
        assert_eq!(card.marks.density, Source::YourSheet);
        // The rate was not on the sheet, and the card says so.
        assert_eq!(card.marks.q10, Source::FromMemory);
        assert_eq!(card.service_max, None);
    }

    #[test]
    fn each_missing_number_is_asked_for() {
        let problems = own_card("mine", &SheetNumbers::default()).unwrap_err();
        assert_eq!(problems.len(), 6);
        assert!(
            problems
                .iter()
                .all(|p| p.text.ends_with("from the paste's sheet."))
        );
    }

    fn by_volume() -> SheetNumbers {
        SheetNumbers {
            ratio_by_mass: None,
            ratio_by_volume: Some((2.0, 1.0)),
            density: None,
            density_a: Some(GramsPerMillilitre(1.2)),
            density_b: Some(GramsPerMillilitre(1.0)),
            ..sheet()
        }
    }

    #[test]
    fn by_volume_with_the_densities_is_by_weight() {
        let card = own_card("mine", &by_volume()).unwrap();
        // 2.4 g of A and 1 g of B fill three millilitres.
        let (a, b) = card.ratio_by_mass;
        assert!((a / b - 2.4).abs() < 1e-12);
        assert!((card.density.0 - 3.4 / 3.0).abs() < 1e-12);
        assert!(matches!(card.marks.ratio, Source::Computed(_)));
        assert!(matches!(card.marks.density, Source::Computed(_)));
        assert_eq!(card.marks.density_a, Source::YourSheet);
        // What was typed is kept as it was.
        let typed = SheetNumbers {
            ratio_by_mass: Some((12.0, 5.0)),
            density: Some(GramsPerMillilitre(1.15)),
            ..by_volume()
        };
        let card = own_card("mine", &typed).unwrap();
        assert_eq!(card.ratio_by_mass, (12.0, 5.0));
        assert_eq!(card.density, GramsPerMillilitre(1.15));
        assert_eq!(card.marks.ratio, Source::YourSheet);
        assert_eq!(card.marks.density, Source::YourSheet);
    }

    #[test]
    fn by_volume_alone_asks_for_the_densities() {
        for (field, change) in [
            (
                CardNumber::DensityA,
                (|s| s.density_a = None) as fn(&mut SheetNumbers),
            ),
            (CardNumber::DensityB, |s| s.density_b = None),
            (CardNumber::DensityA, |s| {
                // Nor does the density of the mix tell.
                s.density = Some(GramsPerMillilitre(1.1));
                (s.density_a, s.density_b) = (None, None);
            }),
        ] {
            let mut sheet = by_volume();
            change(&mut sheet);
            let problems = own_card("mine", &sheet).unwrap_err();
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert_eq!(problems[0].field, field);
            assert!(problems[0].text.starts_with("A ratio by volume is not"));
        }
    }

    #[test]
    fn the_density_of_the_mix_is_asked_for_where_it_does_not_follow() {
        let unknown = SheetNumbers {
            density: None,
            density_a: Some(GramsPerMillilitre(1.1)),
            ..sheet()
        };
        let problems = own_card("mine", &unknown).unwrap_err();
        assert_eq!(problems.len(), 1);
        assert_eq!(problems[0].field, CardNumber::Density);
        let known = SheetNumbers {
            density_b: Some(GramsPerMillilitre(1.1)),
            ..unknown
        };
        let card = own_card("mine", &known).unwrap();
        assert!((card.density.0 - 1.1).abs() < 1e-12);
    }

    #[test]
    fn a_slip_is_told_where_it_was_typed_not_where_it_leads() {
        for (field, change) in [
            (
                CardNumber::RatioByVolume,
                (|s| s.ratio_by_volume = Some((0.0, 1.0))) as fn(&mut SheetNumbers),
            ),
            (CardNumber::DensityA, |s| {
                s.density_a = Some(GramsPerMillilitre(f64::NAN));
            }),
            (CardNumber::DensityB, |s| {
                s.density_b = Some(GramsPerMillilitre(1200.0));
            }),
            (CardNumber::Ratio, |s| s.ratio_by_mass = Some((-1.0, 1.0))),
        ] {
            let mut sheet = by_volume();
            change(&mut sheet);
            let problems = own_card("mine", &sheet).unwrap_err();
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert_eq!(problems[0].field, field);
        }
    }

    #[test]
    fn each_bad_number_is_named() {
        for (field, change) in [
            (
                CardNumber::Name,
                (|s| s.name = "  ".into()) as fn(&mut SheetNumbers),
            ),
            (CardNumber::Ratio, |s| s.ratio_by_mass = Some((0.0, 1.0))),
            (CardNumber::Ratio, |s| {
                s.ratio_by_mass = Some((1.0, f64::NAN));
            }),
            (CardNumber::Density, |s| {
                s.density = Some(GramsPerMillilitre(1140.0));
            }),
            (CardNumber::Working, |s| s.working = Some(Minutes(-1.0))),
            (CardNumber::RecoatFrom, |s| {
                s.recoat_from = Some(Minutes(0.0));
            }),
            (CardNumber::RecoatUntil, |s| {
                s.recoat_until = Some(Minutes(30.0));
            }),
            (CardNumber::Demould, |s| s.demould = Some(Minutes(5.0))),
            (CardNumber::Reference, |s| s.reference = Some(Celsius(73.0))),
            (CardNumber::ServiceMax, |s| {
                s.service_max = Some(Celsius(f64::INFINITY));
            }),
            (CardNumber::Q10, |s| s.q10 = Some(0.0)),
            (CardNumber::Activation, |s| {
                s.activation = Some(KilojoulesPerMole(50_000.0));
            }),
            (CardNumber::Shrinkage, |s| s.shrinkage = Some(0.5)),
            (CardNumber::RatioByVolume, |s| {
                s.ratio_by_volume = Some((1.0, 0.0));
            }),
            (CardNumber::DensityA, |s| {
                s.density_a = Some(GramsPerMillilitre(0.0));
            }),
            (CardNumber::DensityB, |s| {
                s.density_b = Some(GramsPerMillilitre(f64::NAN));
            }),
            (CardNumber::Elongation, |s| s.elongation = Some(500.0)),
            (CardNumber::Hardness, |s| s.hardness = Some(-1.0)),
            (CardNumber::Holding, |s| {
                s.hold = Some(Hold::Dab(Millimetres(0.0)));
            }),
            (CardNumber::Levelling, |s| s.levelling = Some(30.0)),
            (CardNumber::LeastSkin, |s| {
                s.least_skin = Some(Millimetres(0.0));
            }),
            (CardNumber::Packs, |s| {
                s.packs = vec![PackSize {
                    name: "tin".into(),
                    size: Grams(0.0),
                    price: None,
                }];
            }),
        ] {
            let mut sheet = sheet();
            change(&mut sheet);
            let problems = own_card("mine", &sheet).unwrap_err();
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert_eq!(problems[0].field, field);
            assert!(problems[0].text.ends_with('.'));
        }
    }
}
