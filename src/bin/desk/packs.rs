//! `desk packs`: the cheapest packs that cover a need, with what is on the shelf.

use super::field::{Field, Fields};
use peelcast::coating::{OnShelf, PackError, PackPlace, PackSize, Shelf, choose_packs};
use peelcast::quantity::Grams;
use serde_json::{Map, Value, json};

/// Answers one request. Packs are named by their names, so these have to differ.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let need = Grams(fields.required("need_g")?.number()?);
    let listed = fields.required("packs")?.list()?;
    let read: Vec<Fields<'_>> = listed.iter().map(Field::fields).collect::<Result<_, _>>()?;
    let packs: Vec<PackSize> = read.iter().map(pack).collect::<Result<_, _>>()?;
    for (i, pack) in packs.iter().enumerate() {
        if packs[..i].iter().any(|other| other.name == pack.name) {
            return Err(format!(
                "packs[{i}].name: there are two packs named \"{}\". Give each its own name.",
                pack.name
            ));
        }
    }
    let owned: Vec<OnShelf> = read
        .iter()
        .zip(&packs)
        .map(|(fields, pack)| on_shelf(fields, pack))
        .collect::<Result<_, _>>()?;
    let use_shelf = uses_shelf(&fields)?;
    let today = match fields.optional("today") {
        Some(day) => Some(day.day()?),
        None => None,
    };
    if today.is_none() && owned.iter().any(|item| item.expires.is_some()) {
        return Err(
            "today: say which day it is, such as \"2026-05-03\"; some packs expire.".to_owned(),
        );
    }

    let today = today.unwrap_or_default();
    let items = &owned[..];
    let shelf = use_shelf.then_some(Shelf { items, today });
    let choice = choose_packs(need, &packs, shelf).map_err(named)?;

    let mut notes = Vec::new();
    for (i, item) in owned.iter().enumerate() {
        if use_shelf && item.count > 0 && item.has_expired(today) {
            notes.push(format!("packs[{i}].expires: expired, so none was used."));
        }
    }
    if let Some(i) = packs.iter().position(|pack| pack.price.is_none())
        && !choice.buy.is_empty()
    {
        notes.push(format!(
            "packs[{i}].price: without it the cheapest packs can't be known. These buy the least \
             mass."
        ));
    }
    if !choice.proven {
        notes.push(
            "packs: these are the best of very many ways, but not all could be tried.".to_owned(),
        );
    }
    let known = ["need_g", "packs", "shelf", "today"];
    let of_a_pack = ["name", "size_g", "price", "owned", "expires"];
    let unknown = fields.unknown(&known).into_iter();
    let unknown = unknown.chain(read.iter().flat_map(|fields| fields.unknown(&of_a_pack)));
    notes.extend(unknown.map(|name| format!("{name}: this field isn't known and wasn't used.")));

    let bought = choice
        .buy
        .iter()
        .map(|b| (b.pack.name.clone(), json!(b.count)));
    let taken = choice.from_shelf.iter();
    let taken = taken.map(|t| (owned[t.item].name.clone(), json!(t.count)));
    let mut answer = json!({
        "buy": bought.collect::<Map<_, _>>(),
        "use_owned": taken.collect::<Map<_, _>>(),
        "cost": choice.cost,
        "left_over_g": choice.left_over,
    });
    if !notes.is_empty() {
        answer["notes"] = json!(notes);
    }
    Ok(answer)
}

fn pack(fields: &Fields<'_>) -> Result<PackSize, String> {
    let field = fields.required("name")?;
    let name = field.text()?;
    if name.trim().is_empty() {
        return Err(field.error("a pack needs a name."));
    }
    Ok(PackSize {
        name,
        size: Grams(fields.required("size_g")?.number()?),
        price: fields.optional("price").map(|f| f.number()).transpose()?,
    })
}

fn on_shelf(fields: &Fields<'_>, pack: &PackSize) -> Result<OnShelf, String> {
    Ok(OnShelf {
        name: pack.name.clone(),
        card: String::new(),
        size: pack.size,
        price: None,
        count: fields.optional("owned").map_or(Ok(0), |f| f.count())?,
        lot: String::new(),
        opened: None,
        expires: fields.optional("expires").map(|f| f.day()).transpose()?,
    })
}

/// Whether the packs on the shelf are used first, as they are where the request doesn't say, or
/// kept.
fn uses_shelf(fields: &Fields<'_>) -> Result<bool, String> {
    let Some(field) = fields.optional("shelf") else {
        return Ok(true);
    };
    match field.text()?.as_str() {
        "first" => Ok(true),
        "keep" => Ok(false),
        other => Err(field.error(format!(
            "\"{other}\" isn't known; known are first (use what is owned first) and keep (buy all \
             new)."
        ))),
    }
}

fn named(error: PackError) -> String {
    let field = match error.place {
        PackPlace::Need => "need_g".to_owned(),
        PackPlace::Packs => "packs".to_owned(),
        PackPlace::Size(i) => format!("packs[{i}].size_g"),
        PackPlace::Price(i) => format!("packs[{i}].price"),
        PackPlace::Shelf(i) => format!("packs[{i}]"),
    };
    format!("{field}: {error}")
}
