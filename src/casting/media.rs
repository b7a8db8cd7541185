//! Media to start from: kinds of things, not anyone's product. Each number carries its mark,
//! and the sheet or the recipe in hand replaces them all.

use super::hazard::Hazard;
use super::medium::{MediumCard, MediumFamily, MixPart};
use crate::coating::Gypsum;
use crate::coating::{Marked, Source};
use crate::quantity::{Celsius, GramsPerMillilitre, Minutes};
use crate::say;
use crate::words::tr;

/// The starter media, plasters first.
pub fn starter_media() -> Vec<MediumCard> {
    let mut all = gypsum_plasters();
    all.push(cement_mortar());
    all.extend(resins());
    all.extend([wax(), soap()]);
    all.extend(chocolates());
    all.extend(sugars());
    all
}

fn published<T>(value: T, name: &str) -> Marked<T> {
    Marked {
        value,
        source: Source::Published(name.to_string()),
    }
}

fn density_published(density: f64, name: &str) -> Marked<GramsPerMillilitre> {
    published(GramsPerMillilitre(density), name)
}

fn mix(parts: &[(&str, f64)]) -> Vec<MixPart> {
    parts
        .iter()
        .map(|(name, parts)| MixPart {
            name: (*name).to_string(),
            parts: *parts,
        })
        .collect()
}

/// A standard deviation for a density that is only known to lie between two values.
fn spread(low: f64, high: f64) -> f64 {
    (high - low) / (3f64.sqrt() * (high + low))
}

/// The least and the most linear change, and where they come from.
type Change = (f64, f64, Source);

/// The middle of a change that is only known to lie between two, and its standard deviation.
fn change((least, most, source): Change) -> (Option<Marked<f64>>, f64) {
    let value = (least + most) / 2.0;
    let spread = (most - least) / 12f64.sqrt();
    (Some(Marked { value, source }), spread)
}

fn gypsum_plasters() -> Vec<MediumCard> {
    // Consistency, what it is, setting expansion and where that was read.
    let table = tr("a plaster maker's table, read second-hand");
    let read =
        |least, most, what: &str| (least, most, Source::Published(format!("{table}: {what}")));
    let between = Source::Computed(say!(
        "between those of consistency 65 and 45 in {table}",
        table
    ));
    [
        (70.0, tr("Moulding plaster"), read(0.0020, 0.0022, "0.20 to 0.22 % at 65 to 70")),
        (60.0, tr("Casting plaster"), (0.0020, 0.0039, between)),
        (45.0, tr("Hard casting plaster"), read(0.0039, 0.0039, "0.39 % at 45")),
        (
            38.0,
            tr("Very hard casting plaster"),
            read(0.0008, 0.0024, tr("0.08 to 0.24 % with little water")),
        ),
    ]
    .into_iter()
    .map(|(water, name, expansion)| {
        let (linear_change, linear_spread) = change(expansion);
        MediumCard {
        id: format!("gypsum-{water}"),
        name: say!("{name}, {water} water to 100", name, water),
        family: MediumFamily::Gypsum,
        density: Marked {
            value: Gypsum { consistency: water }.slurry(),
            source: Source::Computed(
                tr("hemihydrate of 2.75 g/ml and water, no air; within 2 % of two makers' tables read second-hand; not for gypsum cements")
                    .to_string(),
            ),
        },
        density_spread: 0.02,
        mix: Marked::practice(mix(&[(tr("Plaster"), 100.0), (tr("Water"), water)])),
        pour_temperature: None,
        peak_temperature: Some(published(
            Celsius(60.0),
            tr("reports of plaster setting in bulk, read second-hand"),
        )),
        set_time: published(
            Minutes(50.0),
            tr("ASTM C59/C59M: sets within 10 to 50 minutes; the longest is taken"),
        ),
        linear_change,
        linear_spread,
        food: false,
        hazards: vec![Hazard::PlasterHeat, Hazard::Dust],
    }})
    .collect()
}

fn cement_mortar() -> MediumCard {
    MediumCard {
        id: "cement-mortar".to_string(),
        name: tr("Cement mortar, 1 to 3").to_string(),
        family: MediumFamily::Cement,
        density: Marked::memory(GramsPerMillilitre(2.1)),
        density_spread: spread(1.9, 2.3),
        mix: Marked::memory(mix(&[
            (tr("Cement"), 1.0),
            (tr("Sand"), 3.0),
            (tr("Water"), 0.5),
        ])),
        pour_temperature: None,
        peak_temperature: Some(Marked::memory(Celsius(45.0))),
        set_time: Marked::memory(Minutes(1440.0)),
        linear_change: None,
        linear_spread: 0.0,
        food: false,
        hazards: vec![Hazard::Caustic, Hazard::Dust],
    }
}

fn resins() -> [MediumCard; 3] {
    let polyurethane = MediumCard {
        id: "polyurethane-resin".to_string(),
        name: tr("Polyurethane casting resin, 1:1").to_string(),
        family: MediumFamily::Resin,
        density: Marked::memory(GramsPerMillilitre(1.1)),
        density_spread: spread(1.0, 1.2),
        mix: Marked::made_up(mix(&[(tr("Part A"), 1.0), (tr("Part B"), 1.0)])),
        pour_temperature: None,
        peak_temperature: Some(Marked::memory(Celsius(90.0))),
        set_time: Marked::made_up(Minutes(30.0)),
        linear_change: None,
        linear_spread: 0.0,
        food: false,
        hazards: vec![Hazard::Isocyanate],
    };
    let under_three = tr("resins in general under 3 % by volume, read second-hand");
    let (epoxy_change, epoxy_spread) = change((
        0.97f64.cbrt() - 1.0,
        0.0,
        Source::Published(under_three.to_string()),
    ));
    let epoxy = MediumCard {
        id: "epoxy-resin".to_string(),
        name: tr("Epoxy casting resin, 100:30").to_string(),
        density: Marked::memory(GramsPerMillilitre(1.15)),
        density_spread: spread(1.1, 1.2),
        mix: Marked::made_up(mix(&[(tr("Resin"), 100.0), (tr("Hardener"), 30.0)])),
        peak_temperature: Some(Marked::memory(Celsius(120.0))),
        set_time: Marked::made_up(Minutes(1440.0)),
        linear_change: epoxy_change,
        linear_spread: epoxy_spread,
        hazards: vec![Hazard::Sensitiser],
        ..polyurethane.clone()
    };
    let one_resin = tr("a resin page, read second-hand");
    let polyester = MediumCard {
        id: "polyester-resin".to_string(),
        name: tr("Polyester casting resin, 100:2").to_string(),
        density: density_published(1.13, one_resin),
        density_spread: 0.03,
        mix: Marked::made_up(mix(&[(tr("Resin"), 100.0), (tr("Hardener"), 2.0)])),
        peak_temperature: Some(published(Celsius(125.0), one_resin)),
        set_time: Marked::made_up(Minutes(240.0)),
        // 7 % by volume: 1 - 0.93^(1/3). Another page, read second-hand, has under 3 % (1.0 % by
        // length); it depends on the resin, and the spread reaches there.
        linear_change: Some(published(0.93f64.cbrt() - 1.0, one_resin)),
        linear_spread: 0.007,
        hazards: vec![Hazard::Styrene],
        ..polyurethane.clone()
    };
    [polyurethane, epoxy, polyester]
}

fn wax() -> MediumCard {
    // All of it sinks in at the open back and is topped up, or it shrinks alike in all directions.
    let (linear_change, linear_spread) = change((
        1.08f64.cbrt().recip() - 1.0,
        0.0,
        Source::Computed(
            tr("melted paraffin takes 5 to 8 % more room (read second-hand); between what sinks in at the open back and the cube root of 1.08")
                .to_string(),
        ),
    ));
    MediumCard {
        id: "wax".to_string(),
        name: tr("Wax").to_string(),
        family: MediumFamily::Wax,
        // The solid's: the mould is topped up while the wax shrinks.
        density: density_published(0.89, tr("handbook range 0.80 to 0.98, read second-hand")),
        density_spread: spread(0.80, 0.98),
        mix: Marked::practice(mix(&[(tr("Wax"), 1.0)])),
        pour_temperature: Some(Marked::memory(Celsius(80.0))),
        peak_temperature: None,
        set_time: Marked::memory(Minutes(120.0)),
        linear_change,
        linear_spread,
        food: false,
        hazards: vec![Hazard::HotWax],
    }
}

fn soap() -> MediumCard {
    MediumCard {
        id: "soap".to_string(),
        name: tr("Melted soap base").to_string(),
        family: MediumFamily::Soap,
        density: Marked::memory(GramsPerMillilitre(1.05)),
        density_spread: spread(1.0, 1.1),
        mix: Marked::practice(mix(&[(tr("Soap base"), 1.0)])),
        pour_temperature: Some(Marked::memory(Celsius(60.0))),
        peak_temperature: None,
        set_time: Marked::memory(Minutes(120.0)),
        linear_change: None,
        linear_spread: 0.0,
        food: false,
        hazards: vec![],
    }
}

fn chocolates() -> Vec<MediumCard> {
    let (linear_change, linear_spread) = change((
        (1.2f64 / 1.3).cbrt() - 1.0,
        0.0,
        Source::Computed(
            tr("1.2 g/ml liquid and 1.3 g/ml solid (Beckett, Industrial Chocolate Manufacture and Use, read second-hand); between what sinks in at the open back and the cube root")
                .to_string(),
        ),
    ));
    [("dark", 32.0), ("milk", 31.0), ("white", 30.0)]
        .into_iter()
        .map(move |(kind, temper)| MediumCard {
            id: format!("chocolate-{kind}"),
            name: say!("Tempered {kind} chocolate", kind),
            family: MediumFamily::Chocolate,
            density: density_published(
                1.2,
                tr("Beckett, Industrial Chocolate Manufacture and Use (liquid), read second-hand"),
            ),
            density_spread: 0.03,
            mix: Marked::practice(mix(&[(tr("Chocolate"), 1.0)])),
            pour_temperature: Some(published(
                Celsius(temper),
                tr("a recipe reference, read second-hand"),
            )),
            peak_temperature: None,
            set_time: Marked::memory(Minutes(30.0)),
            linear_change: linear_change.clone(),
            linear_spread,
            food: true,
            hazards: vec![],
        })
        .collect()
}

fn sugars() -> [MediumCard; 3] {
    let cooked = MediumCard {
        id: "cooked-sugar".to_string(),
        name: tr("Cooked sugar, hard crack").to_string(),
        family: MediumFamily::Sugar,
        density: density_published(
            1.45,
            tr("hard candy, specific gravity 1.4 to 1.5, read second-hand"),
        ),
        density_spread: spread(1.4, 1.5),
        mix: Marked::practice(mix(&[(tr("Cooked sugar"), 1.0)])),
        pour_temperature: Some(published(
            Celsius(152.0),
            tr("hard crack, 148 to 152 °C, read second-hand"),
        )),
        peak_temperature: None,
        set_time: Marked::memory(Minutes(30.0)),
        linear_change: None,
        linear_spread: 0.0,
        food: true,
        hazards: vec![Hazard::HotSugar],
    };
    let isomalt = MediumCard {
        id: "isomalt".to_string(),
        name: tr("Isomalt").to_string(),
        density: Marked::memory(GramsPerMillilitre(1.45)),
        density_spread: spread(1.4, 1.5),
        mix: Marked::practice(mix(&[(tr("Isomalt"), 1.0)])),
        pour_temperature: Some(published(
            Celsius(177.0),
            tr(
                "an artist's notes: cooked to about 177 °C, held near 135 °C to clear; the hotter is taken; read second-hand",
            ),
        )),
        ..cooked.clone()
    };
    let paste = MediumCard {
        id: "sugar-paste".to_string(),
        name: tr("Sugar paste (rolled fondant), pressed in").to_string(),
        density: Marked::memory(GramsPerMillilitre(1.35)),
        density_spread: spread(1.3, 1.4),
        mix: Marked::practice(mix(&[(tr("Sugar paste"), 1.0)])),
        pour_temperature: None,
        set_time: Marked::memory(Minutes(15.0)),
        hazards: vec![],
        ..cooked.clone()
    };
    [cooked, isomalt, paste]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn starter_media_are_sound_and_unlike_each_other() {
        let media = starter_media();
        let ids: std::collections::BTreeSet<_> = media.iter().map(|m| m.id.clone()).collect();
        assert_eq!(ids.len(), media.len());
        for medium in &media {
            assert_eq!(medium.problems(), Vec::<String>::new(), "{}", medium.name);
        }
    }

    #[test]
    fn seven_percent_by_volume_is_two_point_four_by_length() {
        let polyester = starter_media()
            .into_iter()
            .find(|m| m.id == "polyester-resin")
            .unwrap();
        let change = polyester.linear_change.unwrap().value;
        assert!((change + 0.0239).abs() < 5e-5, "{change}");
    }
}
