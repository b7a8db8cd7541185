//! `desk pace`: how fast a paste goes, by touch, in this job and in those before it.

use super::field::{Field, Fields};
use chrono::DateTime;
use peelcast::clock::{
    CARD_SPREAD, FINGER_SPREAD, Feel, Heard, JOB_SPREAD, Pace, Touch, firm_from,
};
use peelcast::coating::{MaterialCard, Source, starter_cards};
use peelcast::quantity::{Celsius, Minutes};
use serde_json::{Value, json};

/// Answers one request.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let card = card(&fields.required("card")?)?;
    let (temperature, touches) = job(&fields, &card)?;
    let mut earlier = Vec::new();
    for field in list(&fields, "earlier")? {
        let (temperature, touches) = job(&field.fields()?, &card)?;
        earlier.push(Heard::of(&card, temperature, touches));
    }
    let prior = Pace::remembered(&card, temperature, &earlier, None);
    let pace = prior.after(&touches);
    let normal = |pace: &Pace| json!({"mean": pace.mean, "sd": pace.sd});
    Ok(json!({
        "prior": normal(&prior),
        "pace": normal(&pace),
        "recoat_min": pace.span(card.recoat_from),
        "demould_min": pace.span(card.demould),
        "firm_min": firm_from(&card),
        "card_sd": CARD_SPREAD.value,
        "job_sd": JOB_SPREAD.value,
        "finger_sd": FINGER_SPREAD.value,
        "said": pace.said(touches.len()),
    }))
}

/// The times of a card, and how its rate follows the temperature; known for sure where it is given.
fn card(field: &Field<'_>) -> Result<MaterialCard, String> {
    let fields = field.fields()?;
    let mut card = starter_cards().swap_remove(0);
    card.recoat_from = Minutes(fields.required("recoat_from_min")?.positive()?);
    card.demould = Minutes(fields.required("demould_min")?.positive()?);
    if let Some(field) = fields.optional("reference_c") {
        card.reference = Celsius(field.number()?);
    }
    if let Some(field) = fields.optional("q10") {
        card.q10 = field.positive()?;
        card.marks.q10 = Source::YourSheet;
    }
    Ok(card)
}

/// The temperature of a job, which is the card's own where it is not given, and what was felt.
fn job(fields: &Fields<'_>, card: &MaterialCard) -> Result<(Celsius, Vec<Touch>), String> {
    let temperature = match fields.optional("temperature_c") {
        Some(field) => Celsius(field.number()?),
        None => card.reference,
    };
    let touches = list(fields, "touches")?;
    let touches = touches.iter().map(|field| touch(field, card));
    Ok((temperature, touches.collect::<Result<_, _>>()?))
}

fn list<'a>(fields: &Fields<'a>, name: &str) -> Result<Vec<Field<'a>>, String> {
    fields.optional(name).map_or(Ok(Vec::new()), |f| f.list())
}

fn touch(field: &Field<'_>, card: &MaterialCard) -> Result<Touch, String> {
    let fields = field.fields()?;
    let said = fields.required("feel")?;
    let feel = match said.text()?.as_str() {
        "wet" => Feel::Wet,
        "tacky" => Feel::Tacky,
        "firm" => Feel::Firm,
        other => {
            let known = "known are wet, tacky and firm.";
            return Err(said.error(format!("\"{other}\" isn't known; {known}")));
        }
    };
    let given = fields.required("age_min")?;
    let age = Minutes(given.number()?);
    if age.0 < 0.0 {
        return Err(given.error("an age is 0 or more."));
    }
    let at = DateTime::UNIX_EPOCH;
    let of = fields.required("of")?;
    let touch = match of.text()?.as_str() {
        "coat" => Touch::of_coat(at, age, feel, card),
        "skin" => Touch::of_skin(at, age, feel == Feel::Firm, card),
        other => {
            return Err(of.error(format!("\"{other}\" isn't known; known are coat and skin.")));
        }
    };
    touch.ok_or_else(|| field.error("its age can't be set against the card's times."))
}
