//! The day on site: several pieces in one plan, moved by hand, given to the phone's calendar,
//! followed at the wall, and rehearsed.

#[path = "../../../days/mod.rs"]
mod days;

use peelcast::clock::Calendar;
use peelcast::clock::day::{Ask, DayPlan};
use peelcast::job::Job;
use peelcast_browser::{Phone, journey};
use serde_json::json;

const NAME: &str = "Two roses and a rosette";

/// The sample's piece three times under one roof.
pub fn job() -> Job {
    let pieces = [
        ("left", "Left rose"),
        ("right", "Right rose"),
        ("over", "Rosette over the door"),
    ];
    journey::job_of_copies("day", NAME, &pieces)
}

/// The works of the list, a line each.
async fn works(phone: &Phone) -> Vec<String> {
    let lines = "return [...document.querySelectorAll('#day-list > li')].map((e) => e.innerText)";
    let lines = phone.js(lines, vec![]).await;
    serde_json::from_value(lines).expect("lines")
}

/// What was given to the calendar, once it is the one of that number.
async fn given(phone: &Phone, sequence: u32) -> Calendar {
    for _ in 0..100 {
        let calendar = journey::job_named(phone, NAME).await.calendar;
        if calendar.sequence == sequence && !calendar.events.is_empty() {
            return calendar;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("no calendar of sequence {sequence}");
}

#[tokio::test]
async fn three_pieces_in_one_day() {
    let (mut phone, _host, folder) = journey::phone_with_sample("day").await;
    journey::import(&phone, &folder, job()).await;

    journey::go(&phone, "#/job/day").await;
    phone.tap("#open-day").await;
    phone.wait("#leave-at").await;
    for theme in ["light", "dark", "sun"] {
        phone
            .js(
                "document.documentElement.dataset.theme = arguments[0]",
                vec![json!(theme)],
            )
            .await;
        phone.js("scrollTo(0, 0)", vec![]).await;
        phone.shot(&format!("{theme}-head")).await;
        phone
            .js(
                "document.querySelector('#day-list').scrollIntoView()",
                vec![],
            )
            .await;
        phone.shot(&format!("{theme}-list")).await;
    }
    let all = works(&phone).await;
    assert_eq!(
        all.len(),
        12,
        "three coats and the peeling of three pieces: {all:?}"
    );

    // A start of one's own is kept, and let go again.
    phone.tap("#move-4").await;
    phone.wait("#later-4").await;
    phone.tap("#later-4").await;
    phone.wait_text("your time").await;
    assert_eq!(journey::job_named(&phone, NAME).await.visit.pins.len(), 1);
    phone.shot("moved").await;
    let go = "return document.querySelector('[id^=let-go]').id";
    let go = phone.js(go, vec![]).await;
    phone
        .tap(&format!("#{}", go.as_str().expect("an id")))
        .await;
    phone
        .wait_until(
            "nothing is pinned",
            "return !document.querySelector('#day-list').innerText.includes('your time')",
            vec![],
        )
        .await;

    // A block dragged by a finger.
    let middle = "const r = document.querySelector(arguments[0]); \
        r.scrollIntoView({ block: 'center' }); \
        const b = r.getBoundingClientRect(); \
        return [b.left + b.width / 2, b.top + b.height / 2]";
    let place = phone.js(middle, vec![json!("#block-5 rect")]).await;
    let (x, y) = (
        place[0].as_f64().unwrap_or(0.0),
        place[1].as_f64().unwrap_or(0.0),
    );
    phone
        .drag(&[(x, y), (x, y + 20.0), (x, y + 40.0), (x, y + 60.0)])
        .await;
    phone.wait_text("your time").await;
    phone.shot("dragged").await;

    // Two pairs of hands leave earlier or at the same time; a site that closes too soon clashes.
    phone.tap("#hands-2").await;
    let hands = "return document.querySelector('#hands-2').checked";
    phone.wait_until("two pairs", hands, vec![]).await;

    // The calendar file, and its update once the plan has changed.
    phone.tap("#to-calendar").await;
    let file = phone.downloaded().await;
    let text = std::fs::read_to_string(&file).expect("a calendar file");
    assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && text.contains("VALARM"));
    assert_eq!(text.matches("BEGIN:VEVENT").count(), 12);
    let before = given(&phone, 0).await;
    assert_eq!(before.events.len(), 12);
    phone.pass_minutes(30.0).await;
    phone.wait("#calendar-old").await;
    phone.shot("calendar-old").await;
    phone.tap("#to-calendar").await;
    let after = given(&phone, 1).await;
    let uids = |calendar: &Calendar| {
        let mut all: Vec<_> = calendar.events.iter().map(|e| e.uid.clone()).collect();
        all.sort();
        all
    };
    assert_eq!(uids(&before), uids(&after), "the same events, moved");

    // A rehearsal runs at sixty times the speed and leaves no trace.
    let before = journey::job_named(&phone, NAME).await;
    phone.tap("#rehearse-day").await;
    phone.wait("#rehearsal").await;
    phone.wait("#coat-main").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-main.held").await;
    phone.shot("rehearsal").await;
    // A minute and a half of mixing is a second and a half.
    phone.wait("#coat-main:not(.held)").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-main.held").await;
    phone.tap("#end-rehearsal").await;
    let over = "return document.querySelector('#rehearsal') === null";
    phone.wait_until("it is over", over, vec![]).await;
    phone.wait("#coat-main:not(.held)").await;
    assert_eq!(journey::job_named(&phone, NAME).await, before);
}

/// From a question to its answer, days by chance, asked of the worker as the page asks it; printed.
#[tokio::test]
#[ignore = "measures; run it by itself"]
async fn the_worker_plans_six_pieces_of_three_coats() {
    let (phone, _host, _folder) = journey::phone_with_sample("day-speed").await;
    journey::rest_kept(&phone, "darkroom").await;
    let ask = "window.worker ??= new Worker(document.querySelector('#boot').dataset.darkroom); \
        const all = []; \
        for (const [id, day] of given[0].entries()) { \
            const answered = new Promise((done) => { \
                window.worker.onmessage = ({ data }) => { if (data.answer) done(data.answer); }; \
            }); \
            const begun = performance.now(); \
            window.worker.postMessage({ id, day }); \
            const answer = await answered; \
            all.push([performance.now() - begun, answer]); \
        } \
        return all";
    println!("{}", days::HEAD);
    for row in days::rows() {
        let ask_of = |seed| Ask {
            day: days::day(&row, seed),
            before: None,
        };
        let mut took = Vec::new();
        for seeds in [0..1, 0..20, 20..40, 40..60] {
            let asks = seeds.map(|seed| serde_json::to_string(&ask_of(seed)).expect("text"));
            let asks: Vec<_> = asks.collect();
            let first = asks.len() == 1;
            let answers = phone.js_later(ask, vec![json!(asks)]).await;
            let answers: Vec<(f64, String)> = serde_json::from_value(answers).expect("answers");
            let plans = answers.into_iter().map(|(took, text)| {
                let plan: Result<DayPlan, String> = serde_json::from_str(&text).expect("a plan");
                (took, plan.expect("each of these days has a plan").proven)
            });
            // The first one waits until the worker is there.
            took.extend(plans.filter(|_| !first));
        }
        days::print(&row, took);
    }
}
