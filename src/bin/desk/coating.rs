//! `desk coating`: coats, batches, paste to bring, packs, shell, bag, cost, fitness checks and
//! cautions.

use super::field::{Field, Fields};
use chrono::DateTime;
use peelcast::coating::{
    Check, CoatChoice, CoatPlan, CoatRole, CoatingError, Cost, Dab, Finish, MaterialCard,
    PatchTest, PlanInput, Posture, Prices, Relief, ReliefKind, Rings, SheetNumbers, ShellKind,
    SkinMap, Source, Substrate, Tool, Verdict, Whom, check_hours, check_price, kit, own_card,
    packs_for, plan, skin_map, starter_cards, weight_to_carry,
};
use peelcast::quantity::{
    Celsius, Estimate, Grams, Millimetres, Minutes, Quantity, SquareMillimetres,
    SquareMillimetresPerMinute,
};
use peelcast::relief::HeightMap;
use peelcast::survey::{Mm, Region, SurveyError, check_rings};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// Answers one request.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let input = input(&fields)?;
    let plan = plan(&input).map_err(|why| in_words(&why))?;
    let packs = packs_for(&plan, &input.card);
    let prices = match fields.optional("prices") {
        Some(field) => prices(&field)?,
        None => Prices::default(),
    };
    let copies = match fields.optional("copies") {
        Some(field) => whole(&field)?,
        None => 1,
    };
    let cost = Cost::of(&plan, packs.as_ref(), &prices, copies);
    let items = kit(&plan, &input);
    let mut notes: Vec<String> = fields
        .unknown(&KNOWN)
        .into_iter()
        .map(|name| format!("{name}: this field isn't known and wasn't used."))
        .collect();
    notes.extend(other_area(&input));
    Ok(json!({
        "surface_mm2": plan.surface,
        "border_mm2": plan.border_area,
        "border_edge_mm": plan.border_edge,
        "coats": plan.coats.iter().map(coat).collect::<Vec<_>>(),
        "high_spots": plan.high_spots.as_ref().map(|spots| json!({
            "with_coat": spots.with_coat,
            "share": spots.share,
            "thickness_mm": spots.thickness,
            "mass_g": spots.mass,
        })),
        "skin": skin_map(&input, &plan).as_ref().map(skin),
        "residue_g": plan.residue,
        "total_g": plan.total,
        "total_first_order_g": plan.propagated,
        "confidence": input.confidence,
        "bring_g": plan.bring,
        "bring_a_g": plan.bring_a,
        "bring_b_g": plan.bring_b,
        "spare_g": plan.spare,
        "working_min": plan.working,
        "hands_on_min": plan.hands_on(),
        "uncertainties": plan.uncertainties.iter().map(|line| json!({
            "what": line.what,
            "sd_g": line.sd,
            "advice": line.advice,
        })).collect::<Vec<_>>(),
        "packs": packs.as_ref().map(|choice| json!({
            "buy": choice.buy.iter().map(|line| json!({
                "name": line.pack.name,
                "size_g": line.pack.size,
                "count": line.count,
            })).collect::<Vec<_>>(),
            "mass_g": choice.mass,
            "left_over_g": choice.left_over,
            "cost": choice.cost,
        })),
        "block_g": plan.block,
        "shell": {
            "kind": plan.shell.kind,
            "area_mm2": plan.shell.area,
            "flanges_mm2": plan.shell.flanges,
            "thickness_mm": plan.shell.thickness,
            "carried_g": plan.shell.carried(),
            "water_ml": plan.shell.water,
            "mass_g": plan.shell.mass,
            "source": plan.shell.source.to_string(),
        },
        "kit": items.iter().map(|item| json!({
            "key": item.key,
            "what": item.what,
            "amount": item.amount,
            "weight_g": item.weight,
            "weight_source": item.weight_source.to_string(),
            "why": item.why,
        })).collect::<Vec<_>>(),
        "carry_g": weight_to_carry(&items),
        "cost": {
            "lines": cost.lines,
            "mould": cost.mould,
            "copy": cost.copy,
            "block_paste": cost.block_paste,
        },
        "fitness": input.ground().checks().iter().map(check).collect::<Vec<_>>(),
        "cautions": plan.cautions.iter().map(|caution| json!({
            "topic": caution.topic,
            "text": caution.text,
            "advice": caution.advice,
            "source": caution.source.to_string(),
        })).collect::<Vec<_>>(),
        "notes": notes,
    }))
}

const KNOWN: [&str; 24] = [
    "area_mm2",
    "perimeter_mm",
    "outline_mm",
    "holes_mm",
    "neighbours_mm",
    "relief",
    "highest_mm",
    "heights",
    "border_mm",
    "material",
    "coats",
    "posture",
    "finish",
    "substrate",
    "heritage",
    "undercut",
    "patch_test",
    "temperature_c",
    "scale_step_g",
    "dabs",
    "shell",
    "confidence",
    "prices",
    "copies",
];

fn coat(coat: &CoatPlan) -> Value {
    let batch = coat.batches[0];
    json!({
        "number": coat.number,
        "wanted": coat.wanted,
        "role": coat.role,
        "tool": coat.tool,
        "thickness_mm": coat.thickness,
        "volume_ml": coat.volume,
        "mass_g": coat.mass,
        "high_spots_g": coat.high_spots,
        "residue_g": coat.residue,
        "batches": { "count": coat.batches.len(), "a_g": batch.a, "b_g": batch.b },
        "mix_min": coat.mix,
        "stand_min": coat.stand,
        "brush_min": coat.brush,
    })
}

/// How thick the skin comes out where heights are known.
fn skin(skin: &SkinMap) -> Value {
    json!({
        "planned_mm": skin.planned,
        "least_mm": skin.least.value,
        "least_source": skin.least.source.to_string(),
        "too_thin_share": skin.too_thin,
        "grow": skin.grow,
        "thinnest": skin.thinnest.iter().map(|spot| json!({
            "at_mm": spot.at,
            "thickness_mm": spot.thickness,
            "dab_g": spot.dab,
            "too_thin": spot.too_thin,
        })).collect::<Vec<_>>(),
    })
}

fn check(check: &Check) -> Value {
    let (verdict, whom) = match check.verdict {
        Verdict::Fine => ("fine", None),
        Verdict::Care => ("care", None),
        Verdict::TestFirst => ("test_first", None),
        Verdict::NotAsItIs => ("not_as_it_is", None),
        Verdict::NotWithout(Whom::Conservator) => ("not_without", Some("conservator")),
        Verdict::NotWithout(Whom::Owner) => ("not_without", Some("owner")),
        Verdict::NotWithout(Whom::Maker) => ("not_without", Some("maker")),
    };
    json!({
        "key": check.key,
        "verdict": verdict,
        "whom": whom,
        "what": check.what,
        "reason": check.reason,
        "source": check.source.to_string(),
        "do": check.advice,
    })
}

/// An area that is not that of the outline beside it.
fn other_area(input: &PlanInput) -> Option<String> {
    let rings = input.rings.as_ref()?;
    let drawn = Region::of(&rings.outline, &rings.holes).area();
    let given = input.area.value.0;
    ((given / drawn - 1.0).abs() > 0.1).then(|| {
        format!("area_mm2: {given:.0} mm² is used, but outline_mm encloses {drawn:.0} mm².")
    })
}

fn in_words(why: &CoatingError) -> String {
    format!("request: {why}")
}

fn input(fields: &Fields<'_>) -> Result<PlanInput, String> {
    let rings = rings(fields)?;
    let heights = fields
        .optional("heights")
        .map(|f| heights(&f))
        .transpose()?;
    let outlined = rings.as_ref().map(|rings| {
        let region = Region::of(&rings.outline, &rings.holes);
        (region.area(), region.edge_length())
    });
    let area = match (fields.optional("area_mm2"), outlined) {
        (Some(field), _) => estimate(&field)?,
        (None, Some((area, _))) => Estimate::exact(SquareMillimetres(area)),
        (None, None) => {
            return Err("area_mm2: give the footprint's area, or its outline_mm.".to_owned());
        }
    };
    let perimeter = match (fields.optional("perimeter_mm"), outlined) {
        (Some(field), _) => estimate(&field)?,
        (None, Some((_, edge))) => Estimate::exact(Millimetres(edge)),
        (None, None) => {
            return Err(
                "perimeter_mm: give the footprint's perimeter, or its outline_mm.".to_owned(),
            );
        }
    };
    let relief = relief(fields, heights.as_ref())?;
    let mut input = PlanInput::of_piece(area, perimeter, relief);
    input.rings = rings;
    input.heights = heights;
    if let Some(field) = fields.optional("material") {
        input.card = material(&field)?;
        input.temperature = input.card.reference;
    }
    if let Some(field) = fields.optional("border_mm") {
        input.border = Millimetres(field.number()?);
    }
    if let Some(field) = fields.optional("coats") {
        input.coats = field.list()?.iter().map(wanted).collect::<Result<_, _>>()?;
    }
    if let Some(field) = fields.optional("posture") {
        input.posture = one_of::<Posture>(&field, "upright, flat or overhead")?;
    }
    if let Some(field) = fields.optional("finish") {
        let known = "unknown, bare_porous, bare_dense, painted, varnished, gilded or loose";
        input.finish = one_of::<Finish>(&field, known)?;
    }
    if let Some(field) = fields.optional("substrate") {
        let known = "unknown, gypsum, stone, brick, wood, metal, glazed, clay, rubber, silicone_addition, silicone_condensation or resin_print";
        input.substrate = one_of::<Substrate>(&field, known)?;
    }
    if let Some(field) = fields.optional("heritage") {
        input.heritage = field.truth()?;
    }
    if let Some(field) = fields.optional("undercut") {
        input.undercut = field.truth()?;
    }
    if let Some(field) = fields.optional("patch_test") {
        input.patch_test = Some(patch_test(&field, &input.card)?);
    }
    if let Some(field) = fields.optional("temperature_c") {
        input.temperature = Celsius(field.number()?);
    }
    if let Some(field) = fields.optional("scale_step_g") {
        input.scale_step = Grams(field.positive()?);
    }
    if let Some(field) = fields.optional("dabs") {
        input.dabs = field.list()?.iter().map(dab).collect::<Result<_, _>>()?;
    }
    if let Some(field) = fields.optional("shell") {
        input.shell = one_of::<ShellKind>(&field, "plaster_bandage, gypsum or laminate")?;
    }
    if let Some(field) = fields.optional("confidence") {
        input.confidence = field.number()?;
    }
    Ok(input)
}

/// A number, or one with its standard deviation: `{"value": 60000, "sd": 600}`.
pub(super) fn estimate<Q: Quantity>(field: &Field<'_>) -> Result<Estimate<Q>, String> {
    let Ok(parts) = field.fields() else {
        return Ok(Estimate::exact(Q::of(field.number()?)));
    };
    let value = parts.required("value")?.number()?;
    let sd = parts.optional("sd").map_or(Ok(0.0), |f| f.number())?;
    Ok(Estimate::positive(Q::of(value), sd))
}

/// The most points of a ring, and how far from the origin they may lie.
const MOST_POINTS: usize = 5_000;
const FARTHEST_MM: f64 = 100_000.0;

/// One of a few words.
pub(super) fn one_of<T: DeserializeOwned>(field: &Field<'_>, known: &str) -> Result<T, String> {
    let word = field.text()?;
    serde_json::from_value(json!(word))
        .map_err(|_| field.error(format!("expected {known}, found \"{word}\".")))
}

pub(super) fn whole(field: &Field<'_>) -> Result<u32, String> {
    let number = field.number()?;
    if number.fract() == 0.0 && (1.0..=10_000.0).contains(&number) {
        Ok(number as u32)
    } else {
        Err(field.error(format!(
            "expected a whole number from 1 to 10000, found {number}."
        )))
    }
}

fn rings(fields: &Fields<'_>) -> Result<Option<Rings>, String> {
    let several = |name: &str| -> Result<Vec<Vec<Mm>>, String> {
        let Some(field) = fields.optional(name) else {
            return Ok(Vec::new());
        };
        field.list()?.iter().map(Field::pairs).collect()
    };
    let Some(field) = fields.optional("outline_mm") else {
        return Ok(None);
    };
    let rings = Rings {
        outline: field.pairs()?,
        holes: several("holes_mm")?,
        neighbours: several("neighbours_mm")?,
    };
    let named = |why: SurveyError| format!("{}: {why}", why.field().replace("_px", "_mm"));
    check_rings(&rings.outline, &rings.holes).map_err(named)?;
    for (n, ring) in rings.neighbours.iter().enumerate() {
        let name = format!("neighbours_mm[{n}]");
        check_rings(ring, &[]).map_err(|why| format!("{name}: {why}"))?;
    }
    let all = std::iter::once(&rings.outline)
        .chain(&rings.holes)
        .chain(&rings.neighbours);
    for ring in all {
        if ring.len() > MOST_POINTS || ring.iter().flatten().any(|x| x.abs() > FARTHEST_MM) {
            return Err(field.error(format!(
                "a ring can have {MOST_POINTS} points at most, within {FARTHEST_MM} mm of the origin."
            )));
        }
    }
    Ok(Some(rings))
}

pub(super) fn heights(field: &Field<'_>) -> Result<HeightMap, String> {
    let fields = field.fields()?;
    let height = |field: &Field<'_>| match field.is_null() {
        true => Ok(None),
        false => field.number().map(Some),
    };
    let row = |field: &Field<'_>| field.list()?.iter().map(height).collect();
    let rows: Vec<Vec<Option<f64>>> = fields
        .required("rows")?
        .list()?
        .iter()
        .map(row)
        .collect::<Result<_, String>>()?;
    let step = Millimetres(fields.required("step_mm")?.positive()?);
    let sd = fields.optional("sd").map_or(Ok(0.0), |f| f.number())?;
    HeightMap::new(step, &rows, sd).map_err(|why| format!("heights.{}: {why}", why.field()))
}

fn wanted(field: &Field<'_>) -> Result<CoatChoice, String> {
    let fields = field.fields()?;
    let role = one_of::<CoatRole>(&fields.required("role")?, "skim, build or final")?;
    let thickness = Millimetres(fields.required("thickness_mm")?.positive()?);
    let tool = match fields.optional("tool") {
        Some(field) => one_of::<Tool>(&field, "brush or spatula")?,
        None => Tool::default(),
    };
    let usual = CoatChoice::usual(role, thickness, tool);
    Ok(match fields.optional("speed_mm2_min") {
        Some(field) => CoatChoice {
            speed: SquareMillimetresPerMinute(field.positive()?),
            speed_source: Source::YourChoice,
            ..usual
        },
        None => usual,
    })
}

fn dab(field: &Field<'_>) -> Result<Dab, String> {
    let fields = field.fields()?;
    Ok(Dab {
        thickness: Millimetres(fields.required("thickness_mm")?.positive()?),
        stood: Minutes(
            fields
                .optional("stood_min")
                .map_or(Ok(0.0), |f| f.number())?,
        ),
        held: fields.required("held")?.truth()?,
    })
}

/// What a patch of this paste left.
fn patch_test(field: &Field<'_>, card: &MaterialCard) -> Result<PatchTest, String> {
    let fields = field.fields()?;
    let result = fields.required("result")?;
    Ok(PatchTest {
        started: DateTime::UNIX_EPOCH,
        place: String::new(),
        paste: card.id.clone(),
        sealed: fields.optional("sealed").map_or(Ok(false), |f| f.truth())?,
        result: Some(one_of(&result, "cured, sticky or stained")?),
    })
}

/// The kind of relief and its highest point, which a height map tells as well.
pub fn relief(fields: &Fields<'_>, heights: Option<&HeightMap>) -> Result<Relief, String> {
    let kind = match fields.optional("relief") {
        Some(field) => one_of::<ReliefKind>(&field, "low, middle or high")?,
        None => ReliefKind::default(),
    };
    let highest = match (fields.optional("highest_mm"), heights) {
        (Some(field), _) => Millimetres(field.number()?),
        (None, Some(map)) => map.highest(),
        (None, None) => {
            return Err("highest_mm: give the height of the highest point, or heights.".to_owned());
        }
    };
    Ok(Relief { kind, highest })
}

/// A starter card by its name, or the numbers of a sheet.
pub(super) fn material(field: &Field<'_>) -> Result<MaterialCard, String> {
    if let Ok(id) = field.text() {
        let cards = starter_cards();
        let known: Vec<String> = cards.iter().map(|card| card.id.clone()).collect();
        let card = cards.into_iter().find(|card| card.id == id);
        return card.ok_or_else(|| {
            field.error(format!(
                "no starter card \"{id}\"; there are {}.",
                known.join(", ")
            ))
        });
    }
    field.fields()?;
    let sheet: SheetNumbers = field.parse("the numbers of a sheet, as its schema names them")?;
    own_card("request", &sheet).map_err(|problems| {
        let texts: Vec<String> = problems.into_iter().map(|problem| problem.text).collect();
        field.error(texts.join(" "))
    })
}

fn prices(field: &Field<'_>) -> Result<Prices, String> {
    let fields = field.fields()?;
    let checked = |name: &str, check: fn(f64) -> Result<(), CoatingError>| {
        let one = |field: Field<'_>| {
            let number = field.number()?;
            check(number).map_err(|why| field.error(why))?;
            Ok::<_, String>(number)
        };
        fields.optional(name).map(one).transpose()
    };
    let price = |name: &str| checked(name, check_price);
    Ok(Prices {
        hour: price("hour")?,
        batch: price("batch")?,
        shell_kg: price("shell_kg")?,
        medium_kg: None,
        other: price("other")?,
        other_hours: checked("other_hours", check_hours)?,
    })
}
