//! The job sheet: one page a piece, all lines ready to be read. Screen, print and file show the
//! same.

mod part;

use super::{Flat, Job, Measured, Memory, Piece, PieceId};
use crate::coating::{Plan, PlanInput, Stock};
use crate::quantity::Amount;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, NaiveDate, Utc};

/// A name and what stands beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// The name.
    pub what: String,
    /// Its value, with its range in words if it has one.
    pub value: String,
    /// The number itself where it has a range, to draw the range beside it.
    pub amount: Option<Amount>,
}

/// A part of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Names and values.
    Facts(Vec<Fact>),
    /// A table.
    Table {
        /// What its columns hold.
        head: Vec<String>,
        /// Its rows, each as long as the head.
        rows: Vec<Vec<String>>,
    },
    /// Sentences.
    Lines(Vec<String>),
    /// What has to be done before this section says anything: a sentence.
    Missing(String),
}

/// A section under its heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// A short stable name, for addresses and tests.
    pub key: &'static str,
    /// The heading.
    pub title: &'static str,
    /// What it says.
    pub body: Vec<Body>,
}

/// The sheet of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPage {
    /// The piece.
    pub piece: PieceId,
    /// The job's name.
    pub job: String,
    /// The piece's name.
    pub title: String,
    /// Said at the top of a sheet whose figures are made up.
    pub notice: Option<&'static str>,
    /// Place, day, people, permission; material, finish, posture, temperature.
    pub head: Vec<Fact>,
    /// The sections in the order of the work.
    pub sections: Vec<Section>,
    /// The first photo laid flat, to draw with the outline and a scale bar.
    pub flat: Option<Flat>,
    /// The distances measured on it.
    pub measured: Vec<Measured>,
    /// The plan, to draw its coats and where the paste goes; `None` while something is missing.
    pub plan: Option<Plan>,
}

/// How the sheet is to be written.
pub struct Style<'a> {
    /// The units.
    pub system: System,
    /// The phone's clock.
    pub now: DateTime<Utc>,
    /// The reader's day.
    pub today: NaiveDate,
    /// The reader's shelf, used before anything is bought.
    pub stock: &'a Stock,
    /// What earlier work has taught.
    pub memory: &'a Memory,
    /// Day and time as the reader's clock shows them.
    pub clock: &'a dyn Fn(DateTime<Utc>) -> String,
}

/// As fine as a printer shows in the place that the picture has on the page.
const MOST_PRINTED_PX: u32 = 600_000;

/// The sheets of a job, one for each piece.
pub fn sheet(job: &Job, style: &Style) -> Vec<SheetPage> {
    job.pieces
        .iter()
        .map(|piece| page(job, piece, style))
        .collect()
}

/// A plan with what it was made from, or what is missing.
type Planned = Result<(PlanInput, Plan), String>;

fn page(job: &Job, piece: &Piece, style: &Style) -> SheetPage {
    let found = piece.footprint();
    let shot = piece.shot(0);
    let wall = piece.wall(0).ok();
    let flat = wall.as_ref().zip(found.as_ref().ok());
    let flat = flat.and_then(|(wall, found)| Flat::of(shot, wall, found, MOST_PRINTED_PX));
    let measured = wall.as_ref().zip(flat.as_ref());
    let measured = measured.map(|(wall, flat)| shot.measured(wall, &flat.frame));
    let measured = measured.unwrap_or_default();
    let planned = piece.planned();
    let cast = piece.medium.is_some().then(|| piece.cast());
    let mut sections = vec![
        section(
            "measured",
            tr("Measured"),
            vec![part::measured(piece, &found, &measured, style)],
        ),
        section("coats", tr("Coats"), part::coats(piece, &planned, style)),
        section(
            "times",
            tr("Times at this temperature"),
            vec![part::times(piece)],
        ),
        section("fitness", tr("The surface"), vec![part::fitness(piece)]),
        section("bag", tr("Bag"), vec![part::bag(piece, &planned, style)]),
        section(
            "log",
            tr("What happened"),
            part::log(job, piece, &planned, style),
        ),
    ];
    if let Some(cast) = &cast {
        sections.push(section(
            "cast",
            tr("Copies"),
            part::casts(piece, cast, style),
        ));
    }
    sections.push(section(
        "card",
        tr("What the paste's card says"),
        vec![part::card(piece, style)],
    ));
    let cast = cast.as_ref().and_then(|cast| cast.as_ref().ok());
    let plan = planned.ok().map(|(_, plan)| plan);
    sections.push(section(
        "cautions",
        tr("Cautions"),
        vec![Body::Lines(part::cautions(plan.as_ref(), cast))],
    ));
    SheetPage {
        piece: piece.id.clone(),
        job: job.title().to_owned(),
        title: piece.title().to_owned(),
        notice: job.made_up.then_some(tr(
            "Sample: the place, the people and the figures are made up.",
        )),
        head: head(job, piece, style.system),
        sections,
        flat,
        measured,
        plan,
    }
}

fn section(key: &'static str, title: &'static str, body: Vec<Body>) -> Section {
    Section { key, title, body }
}

fn fact(what: &str, value: impl Into<String>) -> Fact {
    Fact {
        what: what.into(),
        value: value.into(),
        amount: None,
    }
}

/// A fact whose range can be drawn beside it.
fn ranged(what: &str, amount: Amount, system: System) -> Fact {
    Fact {
        what: what.into(),
        value: amount.show(system),
        amount: Some(amount),
    }
}

fn or(text: &str, stand_in: &str) -> String {
    let text = text.trim();
    (if text.is_empty() { stand_in } else { text }).to_owned()
}

fn head(job: &Job, piece: &Piece, system: System) -> Vec<Fact> {
    let mut facts = vec![
        fact(tr("Place"), or(&job.place, tr("not written down"))),
        fact(
            tr("Day"),
            job.date.map_or_else(|| tr("not set").to_owned(), show::day),
        ),
        fact(tr("Contact"), or(&job.contact, tr("not written down"))),
        fact(tr("Permission to mould"), permission(job)),
        fact(tr("Material"), or(&piece.material, piece.substrate.name())),
        fact(tr("Surface"), piece.finish.name()),
        fact(tr("Stands"), piece.posture.name()),
        fact(
            tr("Temperature"),
            show::temperature(piece.temperature, system),
        ),
    ];
    if !job.note.trim().is_empty() {
        facts.push(fact(tr("Note"), job.note.trim()));
    }
    facts
}

fn permission(job: &Job) -> String {
    let permission = &job.permission;
    if !permission.granted {
        return tr("not given, or not written down").into();
    }
    let mut text = match permission.by.trim() {
        "" => tr("given").to_owned(),
        by => say!("given by {by}", by),
    };
    if let Some(on) = permission.on {
        text += &format!(", {}", show::day(on));
    }
    match permission.note.trim() {
        "" => text,
        note => format!("{text}. {note}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{Moment, Tap};
    use crate::coating::{OnShelf, PatchResult, PatchTest, Verdict};
    use crate::job::sample_job;
    use crate::quantity::{Grams, iso};

    fn pages(job: &Job, system: System) -> Vec<SheetPage> {
        pages_with(job, system, &Stock::default())
    }

    fn pages_with(job: &Job, system: System, stock: &Stock) -> Vec<SheetPage> {
        let clock = |at: DateTime<Utc>| at.format("%H:%M").to_string();
        let now = DateTime::UNIX_EPOCH;
        sheet(
            job,
            &Style {
                system,
                now,
                today: now.date_naive(),
                stock,
                memory: &Memory::default(),
                clock: &clock,
            },
        )
    }

    fn body<'a>(page: &'a SheetPage, key: &str) -> &'a [Body] {
        &page.sections.iter().find(|s| s.key == key).unwrap().body
    }

    #[test]
    fn the_sheet_says_what_the_plan_says() {
        let job = sample_job(DateTime::UNIX_EPOCH);
        let page = &pages(&job, System::Metric)[0];
        assert!(page.notice.is_some());
        let plan = job.pieces[0].plan().unwrap();
        let Body::Table { head, rows } = &body(page, "coats")[1] else {
            panic!("no table")
        };
        assert_eq!(rows.len(), plan.coats.len());
        assert!(rows.iter().all(|row| row.len() == head.len()));
        assert_eq!(
            rows[0][3],
            show::mass_range(&plan.coats[0].mass, System::Metric)
        );
        let Body::Facts(facts) = &body(page, "coats")[2] else {
            panic!("no facts")
        };
        assert!(facts.contains(&fact("Bring", show::mass(plan.bring, System::Metric))));
        let Body::Table { rows, .. } = &body(page, "bag")[0] else {
            panic!("no bag")
        };
        let packed = rows.iter().filter(|row| row[0] == "packed").count();
        assert_eq!(packed, job.pieces[0].ticked.len());
        let Body::Lines(cautions) = &body(page, "cautions")[0] else {
            panic!("no cautions")
        };
        assert!(cautions.len() > plan.cautions.len());
        let outline = &job.pieces[0].footprint().unwrap().outline_mm;
        let flat = page.flat.as_ref().unwrap();
        let drawn = flat.rings[0].iter().map(|at| flat.frame.to_wall(*at));
        for (drawn, traced) in drawn.zip(outline) {
            assert!((drawn[0] - traced[0]).hypot(drawn[1] - traced[1]) < 1e-6);
        }
    }

    #[test]
    fn the_sheet_buys_what_the_shelf_lacks() {
        let job = sample_job(DateTime::UNIX_EPOCH);
        let card = &job.pieces[0].card;
        let bought = |stock: &Stock| {
            let page = pages_with(&job, System::Metric, stock).swap_remove(0);
            let Body::Facts(facts) = &body(&page, "coats")[2] else {
                panic!("no facts")
            };
            let found = |what: &str| facts.iter().find(|fact| fact.what == what);
            ["Sets to buy", "From the shelf"].map(|what| found(what).map(|fact| fact.value.clone()))
        };
        let [new, none] = bought(&Stock::default());
        assert!(new.unwrap().starts_with("1 × ") && none.is_none());
        let mut stock = Stock {
            items: vec![OnShelf {
                name: card.name.clone(),
                card: card.id.clone(),
                size: Grams(10_000.0),
                price: None,
                count: 1,
                lot: "17".into(),
                opened: None,
                expires: None,
            }],
            left_alone: false,
        };
        let [new, taken] = bought(&stock);
        assert_eq!(new.unwrap(), "none: the shelf holds enough");
        assert!(taken.unwrap().ends_with(", lot 17"));
        stock.items[0].expires = iso::read_day("1969-12-31");
        assert_eq!(bought(&stock)[1], None);
    }

    #[test]
    fn what_is_to_be_minded_of_the_surface_stands_in_a_line_each() {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        let lines = |job: &Job| match &body(&pages(job, System::Metric)[0], "fitness")[0] {
            Body::Lines(lines) => lines.clone(),
            other => panic!("{other:?}"),
        };
        let before = lines(&job);
        assert!(before.contains(&"No patch test yet (take care).".to_owned()));
        let piece = &mut job.pieces[0];
        piece.patch_test = Some(PatchTest {
            started: DateTime::UNIX_EPOCH,
            place: String::new(),
            paste: piece.card.id.clone(),
            sealed: false,
            result: Some(PatchResult::Cured),
        });
        let after = lines(&job);
        assert_eq!(after[0], "Patch test: cured clean.");
        let all = job.pieces[0].ground().checks();
        let minded = all.iter().filter(|check| check.verdict != Verdict::Fine);
        assert_eq!(after.len(), 1 + minded.count());
        assert!(after.len() < before.len());
    }

    #[test]
    fn units_are_the_readers_own() {
        let job = sample_job(DateTime::UNIX_EPOCH);
        let page = &pages(&job, System::UsCustomary)[0];
        let text = format!("{:?}", page.sections);
        assert!(text.contains(" oz") && text.contains(" in") && text.contains("°F"));
        let Body::Table { rows, .. } = &body(page, "coats")[1] else {
            panic!("no table")
        };
        assert!(rows.iter().all(|row| row[2].ends_with(" in")), "{rows:?}");
    }

    #[test]
    fn an_empty_piece_says_what_to_do_first() {
        let job = Job {
            pieces: vec![Piece::default()],
            ..Job::default()
        };
        let page = &pages(&job, System::Metric)[0];
        let missing = Body::Missing("Take or choose a photo first.".into());
        for key in ["measured", "coats", "bag"] {
            assert_eq!(body(page, key)[0], missing, "{key}");
        }
        assert_eq!(page.job, "Job without a name");
    }

    #[test]
    fn what_happened_stands_with_its_time() {
        let mut job = sample_job(DateTime::UNIX_EPOCH);
        job.pieces[0].coat_log.push(Moment {
            at: DateTime::UNIX_EPOCH,
            tap: Tap::StartMix { coat: 1, batch: 1 },
        });
        let page = &pages(&job, System::Metric)[0];
        let Body::Table { rows, .. } = &body(page, "log")[0] else {
            panic!("no log")
        };
        assert_eq!(rows[0], ["00:00", "Coat 1, batch 1: A and B together"]);
    }
}
