//! `desk calendar`: the due moments of a plan, and of the plans it changes to, as calendar files.

use super::field::{Field, Fields};
use peelcast::clock::{Calendar, Call, Event};
use serde_json::{Value, json};

/// `{"plans": [{"now": "...", "events": [...]}, ...]}` gives a file for each plan in turn.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let mut calendar = Calendar::default();
    let mut files = Vec::new();
    for plan in fields.required("plans")?.list()? {
        let plan = plan.fields()?;
        let now = plan.required("now")?.moment()?;
        let events = plan.required("events")?.list()?;
        let events = events.iter().map(event).collect::<Result<_, _>>()?;
        calendar = calendar.next(events, now);
        files.push(calendar.text(now));
    }
    Ok(json!({ "ics": files }))
}

fn event(field: &Field<'_>) -> Result<Event, String> {
    let fields = field.fields()?;
    let at = fields.required("at")?.moment()?;
    let piece = fields.required("piece")?.text()?;
    let name = fields.required("name")?.text()?;
    let more = match fields.optional("more") {
        Some(field) => field.text()?,
        None => String::new(),
    };
    Ok(Event::new(call(&fields)?, at, (&piece, &name), &more))
}

fn call(fields: &Fields<'_>) -> Result<Call, String> {
    let coat = || fields.required("coat")?.count();
    let call = fields.required("call")?;
    Ok(match call.text()?.as_str() {
        "begin" => Call::Begin { coat: coat()? },
        "touch" => Call::Touch { coat: coat()? },
        "latest" => Call::Latest { coat: coat()? },
        "peel" => Call::Peel,
        "patch" => Call::Patch,
        other => {
            let known = "known are begin, touch, latest, peel and patch.";
            return Err(call.error(format!("\"{other}\" isn't known; {known}")));
        }
    })
}
