//! `desk casting`: volume, mix, heat, food, release, size, time and cost of copies, and the mould's
//! life.

use super::coating::{estimate, heights, material, one_of, relief, whole};
use super::field::{Field, Fields};
use peelcast::casting::{
    CastEntry, CastInput, CastPlan, CastPrices, CastingError, Filling, Generation, Gypsum,
    HeatVerdict, MediumCard, MediumFamily, MixPart, OwnMedium, cast, own_medium, starter_media,
};
use peelcast::coating::{check_price, starter_cards};
use peelcast::quantity::show::System;
use peelcast::quantity::{
    Celsius, Estimate, Grams, GramsPerMillilitre, Millimetres, Minutes, Quantity, SquareMillimetres,
};
use serde_json::{Value, json};

const KNOWN: [&str; 19] = [
    "area_mm2",
    "relief",
    "highest_mm",
    "stands_out_ml",
    "heights",
    "surface_mm2",
    "mean_curvature_mm",
    "filling",
    "backing_mm",
    "copies",
    "moulds",
    "longer_side_mm",
    "confirmed_for_food",
    "casts",
    "prices",
    "medium",
    "material",
    "scale_step_g",
    "generations",
];
/// The most generations that are told.
const MOST_GENERATIONS: u32 = 20;

/// Answers one request.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let input = input(&fields)?;
    let plan = cast(&input).map_err(|why| format!("{}: {why}", field_of(&why)))?;
    let wanted = match fields.optional("generations") {
        Some(field) => whole(&field)?.min(MOST_GENERATIONS),
        None => 3,
    };
    let generations: Result<Vec<Generation>, String> = (1..=wanted)
        .map(|number| peelcast::casting::generation(&input.card, &input.medium, number))
        .collect();
    let generations = generations.unwrap_or_default();
    let notes: Vec<String> = fields
        .unknown(&KNOWN)
        .into_iter()
        .map(|name| format!("{name}: this field isn't known and wasn't used."))
        .collect();
    Ok(json!({
        "medium": medium_told(&input.medium),
        "volume_ml": plan.volume,
        "mass_each_g": plan.mass_each,
        "mass_total_g": plan.mass_total,
        "to_the_brim_g": plan.to_the_brim,
        "mix_each_g": parts(&plan.parts),
        "mix_total_g": parts(&plan.parts_total),
        "set_time_min": plan.set_time,
        "generations": generations.iter().map(|copy| generation(copy, &input)).collect::<Vec<_>>(),
        "size_unknown": plan.size_unknown,
        "heat": heat(&plan.heat),
        "food": { "verdict": plan.food, "text": plan.food.sentence() },
        "release": {
            "wanted": plan.release.wanted,
            "text": plan.release.text,
            "source": plan.release.source.to_string(),
        },
        "batch": batch(&plan),
        "life": {
            "made": plan.life.made,
            "spoiled": plan.life.spoiled,
            "done": plan.life.done,
            "still_copies": plan.life.still,
            "text": plan.life.sentence(),
            "source": plan.life.source.to_string(),
        },
        "cautions": plan.cautions.iter().map(|caution| json!({
            "topic": caution.topic,
            "text": caution.text,
            "advice": caution.advice,
            "source": caution.source.to_string(),
        })).collect::<Vec<_>>(),
        "notes": notes,
    }))
}

fn parts(parts: &[(String, Grams)]) -> Value {
    parts
        .iter()
        .map(|(name, mass)| json!({ "name": name, "mass_g": mass }))
        .collect()
}

fn batch(plan: &CastPlan) -> Value {
    let batch = &plan.batch;
    json!({
        "pours": batch.pours,
        "rounds": batch.rounds,
        "handling_min": batch.handling,
        "time_min": batch.time,
        "time_each_min": batch.time_each,
        "mixed_g": batch.mixed,
        "cost": batch.cost,
        "cost_each": batch.cost_each,
    })
}

fn heat(verdict: &HeatVerdict) -> Value {
    let word = match verdict {
        HeatVerdict::Stands { .. } => "stands",
        HeatVerdict::Close { .. } => "close",
        HeatVerdict::TooHot { .. } => "too_hot",
        HeatVerdict::UnknownAskSheet { .. } => "unknown",
    };
    json!({ "verdict": word, "text": verdict.sentence(System::Metric) })
}

fn generation(copy: &Generation, input: &CastInput) -> Value {
    json!({
        "number": copy.number,
        "change": copy.change,
        "change_mm": input.longer.map(|side| copy.of_length(side)),
        "make_longer": copy.make_longer,
        "text": copy.sentence(input.longer, System::Metric),
    })
}

/// The card that is used, each number with its mark.
fn medium_told(card: &MediumCard) -> Value {
    let dry = match (card.family, card.mix.value.as_slice()) {
        (MediumFamily::Gypsum, [plaster, water]) => Some(
            Gypsum {
                consistency: 100.0 * water.parts / plaster.parts,
            }
            .dry(),
        ),
        _ => None,
    };
    json!({
        "id": card.id,
        "name": card.name,
        "family": card.family,
        "food": card.food,
        "density_g_ml": card.density.value,
        "density_spread": card.density_spread,
        "density_source": card.density.source.to_string(),
        "dry_density_g_ml": dry,
        "mix_source": card.mix.source.to_string(),
        "set_time_source": card.set_time.source.to_string(),
        "linear_change": card.linear_change.as_ref().map(|change| change.value),
        "linear_spread": card.linear_spread,
        "linear_source": card.linear_change.as_ref().map(|change| change.source.to_string()),
    })
}

/// The field that a refused number stands in.
fn field_of(why: &CastingError) -> &'static str {
    match why {
        CastingError::Number { what, .. } => match *what {
            "The footprint's area" | "The spread of the area" => "area_mm2",
            "The highest point" => "highest_mm",
            "The developed surface" => "surface_mm2",
            "The backing" => "backing_mm",
            "The number of copies" => "copies",
            "The number of moulds" => "moulds",
            "What the scale reads to" => "scale_step_g",
            "The thickness of the shell or sheet" => "filling.thickness_mm",
            _ => "request",
        },
        CastingError::NoVolume => "highest_mm",
        CastingError::NoSurface => "surface_mm2",
        CastingError::Medium(_) => "medium",
    }
}

fn input(fields: &Fields<'_>) -> Result<CastInput, String> {
    let map = fields
        .optional("heights")
        .map(|f| heights(&f))
        .transpose()?;
    let area = match (fields.optional("area_mm2"), &map) {
        (Some(field), _) => estimate(&field)?,
        (None, Some(map)) => {
            let known = map.heights().iter().filter(|h| !h.is_nan()).count();
            let square = map.step().0 * map.step().0;
            Estimate::exact(SquareMillimetres(known as f64 * square))
        }
        (None, None) => {
            return Err("area_mm2: give the footprint's area, or heights.".to_owned());
        }
    };
    let relief = relief(fields, map.as_ref())?;
    let card = match fields.optional("material") {
        Some(field) => material(&field)?,
        None => starter_cards().swap_remove(0),
    };
    let medium = medium(&fields.required("medium")?)?;
    let mut input = CastInput::of_piece(area, relief, medium, card);
    input.heights = map;
    input.stands_out = spread(fields, "stands_out_ml")?;
    input.surface = spread(fields, "surface_mm2")?;
    input.mean_curvature = number(fields, "mean_curvature_mm")?.map(Millimetres);
    if let Some(field) = fields.optional("filling") {
        input.filling = filling(&field)?;
    }
    if let Some(backing) = number(fields, "backing_mm")? {
        input.backing = Millimetres(backing);
    }
    if let Some(field) = fields.optional("copies") {
        input.copies = whole(&field)?;
    }
    if let Some(field) = fields.optional("moulds") {
        input.moulds = whole(&field)?;
    }
    if let Some(field) = fields.optional("longer_side_mm") {
        input.longer = Some(Millimetres(field.positive()?));
    }
    if let Some(field) = fields.optional("confirmed_for_food") {
        input.confirmed_for_food = field.truth()?;
    }
    if let Some(field) = fields.optional("casts") {
        input.casts = field.list()?.iter().map(entry).collect::<Result<_, _>>()?;
    }
    if let Some(field) = fields.optional("prices") {
        input.prices = prices(&field)?;
    }
    if let Some(field) = fields.optional("scale_step_g") {
        input.scale_step = Grams(field.positive()?);
    }
    Ok(input)
}

fn number(fields: &Fields<'_>, name: &str) -> Result<Option<f64>, String> {
    fields.optional(name).map(|f| f.number()).transpose()
}

/// A number above 0, or one with its standard deviation.
fn spread<Q: Quantity>(fields: &Fields<'_>, name: &str) -> Result<Option<Estimate<Q>>, String> {
    let Some(field) = fields.optional(name) else {
        return Ok(None);
    };
    let found = estimate::<Q>(&field)?;
    if found.value.number() > 0.0 && found.sd >= 0.0 {
        Ok(Some(found))
    } else {
        Err(field.error("expected a number above 0 with a spread of 0 or more."))
    }
}

fn filling(field: &Field<'_>) -> Result<Filling, String> {
    let fields = field.fields()?;
    let kind = fields.required("kind")?;
    let thickness = || {
        let field = fields.required("thickness_mm")?;
        Ok::<_, String>(Millimetres(field.positive()?))
    };
    match kind.text()?.as_str() {
        "solid" => Ok(Filling::Solid),
        "slush" => Ok(Filling::Slush(thickness()?)),
        "sheet" => Ok(Filling::Sheet(thickness()?)),
        other => Err(kind.error(format!(
            "expected solid, slush or sheet, found \"{other}\"."
        ))),
    }
}

const FAMILIES: &str = "gypsum, cement, resin, wax, soap, chocolate, sugar or own";

fn entry(field: &Field<'_>) -> Result<CastEntry, String> {
    let fields = field.fields()?;
    let truth = |name: &str| fields.optional(name).map_or(Ok(false), |f| f.truth());
    let defects = match fields.optional("defects") {
        Some(field) => field
            .list()?
            .iter()
            .map(|f| one_of(f, "bubbles, warped, soft, lost_detail, tear or stuck"))
            .collect::<Result<_, _>>()?,
        None => Vec::new(),
    };
    Ok(CastEntry {
        family: one_of(&fields.required("family")?, FAMILIES)?,
        food: truth("food")?,
        copies: whole(&fields.required("copies")?)?,
        defects,
        worn_out: truth("worn_out")?,
        ..CastEntry::default()
    })
}

fn prices(field: &Field<'_>) -> Result<CastPrices, String> {
    let fields = field.fields()?;
    let price = |name: &str| {
        let one = |field: Field<'_>| {
            let number = field.number()?;
            check_price(number).map_err(|why| field.error(why))?;
            Ok::<_, String>(number)
        };
        fields.optional(name).map(one).transpose()
    };
    Ok(CastPrices {
        medium_kg: price("medium_kg")?,
        hour: price("hour")?,
        mould: price("mould")?,
    })
}

/// A starter card by its name, a plaster by its consistency, or the numbers of a sheet.
fn medium(field: &Field<'_>) -> Result<MediumCard, String> {
    if let Ok(id) = field.text() {
        let media = starter_media();
        let known: Vec<String> = media.iter().map(|medium| medium.id.clone()).collect();
        let card = media.into_iter().find(|medium| medium.id == id);
        return card.ok_or_else(|| {
            field.error(format!(
                "no starter medium \"{id}\"; there are {}.",
                known.join(", ")
            ))
        });
    }
    let fields = field.fields()?;
    if let Some(water) = fields.optional("plaster_consistency") {
        return plaster(&water);
    }
    let own = OwnMedium {
        name: fields.required("name")?.text()?,
        family: fields
            .optional("family")
            .map_or(Ok(MediumFamily::Own), |f| one_of(&f, FAMILIES))?,
        density: number(&fields, "density_g_ml")?.map(GramsPerMillilitre),
        mix: match fields.optional("mix") {
            Some(field) => field.list()?.iter().map(part).collect::<Result<_, _>>()?,
            None => Vec::new(),
        },
        pour_temperature: number(&fields, "pour_temperature_c")?.map(Celsius),
        peak_temperature: number(&fields, "peak_temperature_c")?.map(Celsius),
        set_time: number(&fields, "set_time_min")?.map(Minutes),
        linear_change: number(&fields, "linear_change")?,
        food: fields.optional("food").map_or(Ok(false), |f| f.truth())?,
    };
    own_medium("request", &own).map_err(|problems| field.error(problems.join(" ")))
}

fn part(field: &Field<'_>) -> Result<MixPart, String> {
    let fields = field.fields()?;
    Ok(MixPart {
        name: fields.required("name")?.text()?,
        parts: fields.required("parts")?.positive()?,
    })
}

/// Moulding plaster with another amount of water.
fn plaster(field: &Field<'_>) -> Result<MediumCard, String> {
    let consistency = field.number()?;
    if !(25.0..=120.0).contains(&consistency) {
        return Err(field.error("expected 25 to 120 g of water to 100 g of plaster."));
    }
    let mut card = starter_media()
        .into_iter()
        .find(|medium| medium.family == MediumFamily::Gypsum)
        .ok_or_else(|| field.error("there is no plaster to start from."))?;
    card.id = "request".to_owned();
    card.name = format!("Plaster, {consistency} water to 100");
    card.density.value = Gypsum { consistency }.slurry();
    card.mix.value = [("Plaster", 100.0), ("Water", consistency)]
        .map(|(name, parts)| MixPart {
            name: name.to_owned(),
            parts,
        })
        .to_vec();
    card.linear_change = None;
    card.linear_spread = 0.0;
    Ok(card)
}
