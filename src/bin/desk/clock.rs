//! `desk clock`: the plan of a day that is left earliest.

use super::field::{Field, Fields};
use chrono::{DateTime, TimeDelta, Utc};
use peelcast::clock::day::{
    Clash, ClashPlace, Day, DayPiece, DayPlan, DayStep, Gap, Hours, Settled, Work, plan, replan,
};
use peelcast::clock::{Ageing, Calendar, Call, Event, Warmth};
use peelcast::coating::{MaterialCard, practice, starter_cards};
use peelcast::quantity::{Celsius, KilojoulesPerMole, Minutes};
use serde_json::{Value, json};
use std::ops::RangeInclusive;

/// The most pieces and coats of a request.
const MOST_PIECES: usize = 60;
const MOST_COATS: usize = 20;
/// The longest time that counts, in minutes: two years.
const LONGEST: f64 = 1e6;

/// Answers one request.
pub fn answer(request: &Field<'_>) -> Result<Value, String> {
    let fields = request.fields()?;
    let asked = read(&fields)?;
    let planned = match &asked.before {
        Some(before) => replan(&asked.day, before),
        None => plan(&asked.day),
    };
    let plan = planned.map_err(|clash| asked.named(&clash))?;
    let minutes = |at: Minutes| (at.0 * 1e9).round() / 1e9;
    let steps = plan.steps.iter().map(|step| {
        let piece = &asked.day.pieces[step.piece];
        json!({
            "piece": piece.name,
            "work": piece.works[step.work].name,
            "start_min": minutes(step.start),
            "end_min": minutes(step.end),
        })
    });
    let mut answer = json!({
        "steps": steps.collect::<Vec<_>>(),
        "leave_min": minutes(plan.leave),
        "proven_best": plan.proven,
        "bound_min": minutes(plan.bound),
    });
    if let Some(calendar) = &asked.calendar {
        answer["ics"] = json!(calendar.file(&asked.day, &plan));
    }
    if !asked.notes.is_empty() {
        answer["notes"] = json!(asked.notes);
    }
    Ok(answer)
}

/// A request that was read.
struct Asked {
    day: Day,
    before: Option<Vec<DayStep>>,
    calendar: Option<WallClock>,
    /// Which member of `pins` and of `done` settles a work.
    settled: Vec<(usize, usize, String)>,
    notes: Vec<String>,
}

impl Asked {
    /// The clash with the field that it speaks of.
    fn named(&self, clash: &Clash) -> String {
        let field = match clash.place {
            ClashPlace::Day => "request".to_owned(),
            ClashPlace::Hours => "hours".to_owned(),
            ClashPlace::Work(piece, _) => format!("pieces[{piece}]"),
            ClashPlace::Settled(piece, work) => {
                let at = self.settled.iter().find(|s| (s.0, s.1) == (piece, work));
                at.map_or_else(|| format!("pieces[{piece}]"), |s| s.2.clone())
            }
        };
        format!("{field}: {clash}")
    }
}

/// When minute 0 is, and what the day is called.
struct WallClock {
    start: DateTime<Utc>,
    name: String,
}

impl WallClock {
    /// The plan as a calendar file that rings at each start that is still to come.
    fn file(&self, day: &Day, plan: &DayPlan) -> String {
        let ahead = plan.steps.iter().filter(|step| {
            let work = &day.pieces[step.piece].works[step.work];
            !matches!(work.settled, Settled::Begun(_))
        });
        let events = ahead.filter_map(|step| {
            let piece = &day.pieces[step.piece];
            let call = match step.work + 1 < piece.works.len() {
                true => Call::Begin {
                    coat: step.work as u32 + 1,
                },
                false => Call::Peel,
            };
            let since = TimeDelta::milliseconds((step.start.0 * 60_000.0).round() as i64);
            let at = self.start.checked_add_signed(since)?;
            let id = format!("{} {}", self.name, piece.name);
            Some(Event::new(call, at, (id.trim(), &piece.name), &self.name))
        });
        let events = events.collect();
        Calendar::default()
            .next(events, self.start)
            .text(self.start)
    }
}

/// What a request says of a card.
struct Card {
    name: String,
    paste: MaterialCard,
    recoat: Gap,
    demould: Minutes,
}

fn read(fields: &Fields<'_>) -> Result<Asked, String> {
    let known = [
        "cards",
        "temperature_c",
        "hands",
        "from_min",
        "hours",
        "pieces",
        "pins",
        "done",
        "before",
        "calendar",
    ];
    let unknown = |fields: &Fields<'_>, known: &[&str]| -> Vec<String> {
        let told = fields.unknown(known).into_iter();
        told.map(|name| format!("{name}: this field isn't known and wasn't used."))
            .collect()
    };
    let mut notes = unknown(fields, &known);
    let warm = fields.optional("temperature_c");
    let mut cards = Vec::new();
    let listed = fields.required("cards")?.fields()?;
    for name in listed.names() {
        let card = listed.required(&name)?.fields()?;
        notes.extend(unknown(&card, &CARD));
        let ruled = ["q10", "activation_kj_mol"].map(|law| card.optional(law).is_some());
        if warm.is_some() && ruled == [false, false] {
            notes.push(format!(
                "cards.{name}.q10: the usual {} times per ten degrees was taken ({}).",
                practice::Q10.value,
                practice::Q10.source
            ));
        }
        cards.push(self::card(name, &card)?);
    }
    let warmth = |card: &Card| match &warm {
        Some(field) => warmth(field),
        None => Ok(Warmth::steady(card.paste.reference)),
    };

    let list = fields.required("pieces")?;
    let members = list.list()?;
    if members.is_empty() || members.len() > MOST_PIECES {
        return Err(list.error(format!(
            "expected 1 to {MOST_PIECES} pieces, found {}.",
            members.len()
        )));
    }
    let mut pieces: Vec<DayPiece> = Vec::new();
    for member in &members {
        let piece = member.fields()?;
        notes.extend(unknown(
            &piece,
            &["name", "card", "coats_min", "demould_work_min"],
        ));
        let name = piece.required("name")?;
        let text = name.text()?;
        if text.trim().is_empty() {
            return Err(name.error("a piece needs a name."));
        }
        if pieces.iter().any(|other| other.name == text) {
            return Err(name.error(format!(
                "there are two pieces named \"{text}\". Give each its own name."
            )));
        }
        let card = of_piece(&piece, &cards)?;
        pieces.push(DayPiece {
            ageing: Ageing::of(&card.paste, &warmth(card)?),
            works: works(&piece, card)?,
            name: text,
        });
    }

    let works: usize = pieces.iter().map(|piece| piece.works.len()).sum();
    let hands = match fields.optional("hands") {
        Some(field) => match field.count()? {
            0 => return Err(field.error("expected a whole number from 1 to 1000000, found 0.")),
            // More pairs than works are idle.
            hands => (hands as usize).min(works),
        },
        None => 1,
    };
    let mut asked = Asked {
        day: Day {
            from: match fields.optional("from_min") {
                Some(field) => minutes(&field, -LONGEST..=LONGEST)?,
                None => Minutes(0.0),
            },
            crews: vec![hands],
            hours: match fields.optional("hours") {
                Some(field) => hours(&field)?,
                None => Hours::always(),
            },
            pieces,
        },
        before: None,
        calendar: None,
        settled: Vec::new(),
        notes,
    };
    settle(fields, &mut asked)?;
    if let Some(field) = fields.optional("before") {
        let mut steps = Vec::new();
        for step in field.list()? {
            let step = step.fields()?;
            let (piece, work) = find(&step, &asked.day)?;
            let start = minutes(&step.required("start_min")?, -LONGEST..=LONGEST)?;
            steps.push(DayStep {
                piece,
                work,
                start,
                end: start + asked.day.pieces[piece].works[work].takes,
            });
        }
        asked.before = Some(steps);
    }
    if let Some(field) = fields.optional("calendar") {
        let calendar = field.fields()?;
        asked.notes.extend(unknown(&calendar, &["start", "name"]));
        asked.calendar = Some(WallClock {
            start: calendar.required("start")?.moment()?,
            name: match calendar.optional("name") {
                Some(field) => field.text()?,
                None => String::new(),
            },
        });
    }
    Ok(asked)
}

const CARD: [&str; 7] = [
    "reference_c",
    "q10",
    "activation_kj_mol",
    "working_min",
    "recoat_from_min",
    "recoat_until_min",
    "demould_min",
];

fn card(name: String, fields: &Fields<'_>) -> Result<Card, String> {
    let span = |field: &Field<'_>| minutes(field, 0.0..=LONGEST);
    if let Some(field) = fields.optional("working_min") {
        span(&field)?;
    }
    let least = span(&fields.required("recoat_from_min")?)?;
    let most = match fields.optional("recoat_until_min") {
        Some(field) => {
            let most = span(&field)?;
            if most < least {
                return Err(field.error(format!(
                    "the gap between two coats has to be at least {} and at most {} min, so no \
                     start keeps both.",
                    least.0, most.0
                )));
            }
            Some(most)
        }
        None => None,
    };
    let mut paste = starter_cards().remove(0);
    paste.reference = match fields.optional("reference_c") {
        Some(field) => celsius(&field)?,
        None => paste.reference,
    };
    if let Some(field) = fields.optional("q10") {
        paste.q10 = within(&field, 1.0..=10.0)?;
    }
    if let Some(field) = fields.optional("activation_kj_mol") {
        paste.activation = Some(KilojoulesPerMole(within(&field, 0.0..=200.0)?));
    }
    Ok(Card {
        name,
        paste,
        recoat: Gap { least, most },
        demould: span(&fields.required("demould_min")?)?,
    })
}

/// The card that a piece names, or the only one there is.
fn of_piece<'c>(piece: &Fields<'_>, cards: &'c [Card]) -> Result<&'c Card, String> {
    let Some(field) = piece.optional("card") else {
        return match cards {
            [only] => Ok(only),
            _ => Err(piece
                .required("card")
                .map_or_else(|e| e, |f| f.error("name a card."))),
        };
    };
    let name = field.text()?;
    cards.iter().find(|card| card.name == name).ok_or_else(|| {
        let known: Vec<&str> = cards.iter().map(|card| card.name.as_str()).collect();
        field.error(format!(
            "there is no card \"{name}\"; there are {}.",
            known.join(", ")
        ))
    })
}

fn works(piece: &Fields<'_>, card: &Card) -> Result<Vec<Work>, String> {
    let list = piece.required("coats_min")?;
    let coats = list.list()?;
    if coats.is_empty() || coats.len() > MOST_COATS {
        return Err(list.error(format!(
            "expected 1 to {MOST_COATS} coats, found {}.",
            coats.len()
        )));
    }
    let work = |name: String, takes: Minutes, gap: Gap| Work {
        name,
        takes,
        gap,
        crew: 0,
        settled: Settled::Free,
    };
    let mut works = Vec::new();
    for (n, coat) in coats.iter().enumerate() {
        let takes = minutes(coat, 0.0..=LONGEST)?;
        works.push(work(format!("coat {}", n + 1), takes, card.recoat));
    }
    let takes = match piece.optional("demould_work_min") {
        Some(field) => minutes(&field, 0.0..=LONGEST)?,
        None => Minutes(0.0),
    };
    let gap = Gap {
        least: card.demould,
        most: None,
    };
    works.push(work("demould".to_owned(), takes, gap));
    Ok(works)
}

/// One temperature, or pairs of a minute and the temperature from it on; the first holds before.
fn warmth(field: &Field<'_>) -> Result<Warmth, String> {
    if let Ok(steady) = field.number() {
        return temperature(field, steady).map(Warmth::steady);
    }
    let mut steps = Vec::new();
    for step in field.list()? {
        let [at, degrees] = step.pair()?;
        if at.abs() > LONGEST {
            return Err(step.error(format!("the minute {at} is out of range.")));
        }
        steps.push((Minutes(at), temperature(&step, degrees)?));
    }
    let first = steps.iter().min_by(|a, b| a.0.0.total_cmp(&b.0.0));
    match first {
        Some(&(_, first)) => Ok(Warmth::of(first, steps)),
        None => Err(field.error("expected a temperature or pairs of minute and temperature.")),
    }
}

fn celsius(field: &Field<'_>) -> Result<Celsius, String> {
    temperature(field, field.number()?)
}

fn temperature(field: &Field<'_>, degrees: f64) -> Result<Celsius, String> {
    let range = -40.0..=100.0;
    match range.contains(&degrees) {
        true => Ok(Celsius(degrees)),
        false => Err(field.error(format!(
            "expected a temperature from -40 to 100 °C, found {degrees}."
        ))),
    }
}

fn within(field: &Field<'_>, range: RangeInclusive<f64>) -> Result<f64, String> {
    let number = field.number()?;
    match range.contains(&number) {
        true => Ok(number),
        false => Err(field.error(format!(
            "expected a number from {} to {}, found {number}.",
            range.start(),
            range.end()
        ))),
    }
}

fn minutes(field: &Field<'_>, range: RangeInclusive<f64>) -> Result<Minutes, String> {
    within(field, range).map(Minutes)
}

fn hours(field: &Field<'_>) -> Result<Hours, String> {
    let mut windows = Vec::new();
    for window in field.list()? {
        let [open, close] = window.pair()?;
        if !(open < close && open.abs() <= LONGEST && close.abs() <= LONGEST) {
            return Err(window.error(format!(
                "expected an opening before its closing, found {open} and {close}."
            )));
        }
        windows.push((Minutes(open), Minutes(close)));
    }
    if windows.is_empty() {
        return Err(field.error(
            "expected pairs of opening and closing; leave it out for a site that is always open.",
        ));
    }
    Ok(Hours::of(&windows))
}

/// Takes over what is pinned and what is done.
fn settle(fields: &Fields<'_>, asked: &mut Asked) -> Result<(), String> {
    for (list, begun) in [("done", true), ("pins", false)] {
        let Some(field) = fields.optional(list) else {
            continue;
        };
        for (n, member) in field.list()?.iter().enumerate() {
            let step = member.fields()?;
            let (piece, work) = find(&step, &asked.day)?;
            let start = minutes(&step.required("start_min")?, -LONGEST..=LONGEST)?;
            let settled = &mut asked.day.pieces[piece].works[work];
            if settled.settled != Settled::Free {
                return Err(member.error("this work is settled twice; leave one of them out."));
            }
            settled.settled = Settled::Pinned(start);
            if begun {
                settled.settled = Settled::Begun(start);
                if let Some(field) = step.optional("end_min") {
                    let end = minutes(&field, -LONGEST..=LONGEST)?;
                    if end < start {
                        return Err(field.error("a work can't end before it starts."));
                    }
                    settled.takes = end - start;
                }
            }
            asked.settled.push((piece, work, format!("{list}[{n}]")));
        }
    }
    Ok(())
}

/// The piece and the work that a step names.
fn find(step: &Fields<'_>, day: &Day) -> Result<(usize, usize), String> {
    let field = step.required("piece")?;
    let name = field.text()?;
    let piece = day.pieces.iter().position(|piece| piece.name == name);
    let piece = piece.ok_or_else(|| field.error(format!("there is no piece \"{name}\".")))?;
    let field = step.required("work")?;
    let name = field.text()?;
    let works = &day.pieces[piece].works;
    let work = works.iter().position(|work| work.name == name);
    let work = work.ok_or_else(|| {
        let known: Vec<&str> = works.iter().map(|work| work.name.as_str()).collect();
        field.error(format!(
            "there is no work \"{name}\" on it; there are {}.",
            known.join(", ")
        ))
    })?;
    Ok((piece, work))
}
