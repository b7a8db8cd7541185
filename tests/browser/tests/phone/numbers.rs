//! Numbers people can use: each computed one opens to its inputs, its formula and its source, on
//! every screen; the units change at once, on any screen, and back again; what is typed is read in
//! the ways people write it, and what can't be read is explained beside its field and stays there.

use peelcast::job::Piece;
use peelcast_browser::{Phone, journey};
use serde_json::{Value, json};
use std::time::Duration;

/// Opens all folds of the page, also those that are filled as they open.
async fn unfold_all(phone: &Phone) {
    for _ in 0..3 {
        let unfold = "document.querySelectorAll('main details').forEach((e) => { e.open = true })";
        phone.js(unfold, vec![]).await;
        tokio::time::sleep(Duration::from_millis(300)).await;
    }
}

/// How many numbers of the page open, and what those lack that don't tell all.
const OPENED: &str = "const faults = []; \
    const all = [...document.querySelectorAll('main details.explain:not([id])')]; \
    const marks = ['published', 'computed', 'common practice', 'from your sheet', \
        'your own reading or choice', 'learned', 'from memory', 'made up']; \
    for (const e of all) { \
        const name = e.querySelector('.what')?.textContent ?? '?'; \
        const said = (css) => [...e.querySelectorAll(`:scope > ${css}`)] \
            .map((e) => e.textContent.trim()).filter((text) => text.length > 0); \
        if (said('dl.pairs > div > dd').length === 0) faults.push(`${name}: no input`); \
        if (!said('p:not(.source)').some((text) => text.length > 9)) \
            faults.push(`${name}: no formula`); \
        const source = said('p.source').join(' ').replace('Source: ', ''); \
        if (!marks.some((mark) => source.startsWith(mark))) \
            faults.push(`${name}: its source is ${source}`); \
        if (/NaN|undefined/.test(e.textContent)) faults.push(`${name}: ${e.textContent}`); \
    } return [all.length, faults]";

/// All numbers of the page, opened: at least so many, and each tells all.
async fn all_open(phone: &Phone, name: &str, least: u64, faults: &mut Vec<String>) {
    unfold_all(phone).await;
    let found = phone.js(OPENED, vec![]).await;
    let count = found[0].as_u64().expect("a count");
    println!("{name}: {count} numbers open");
    if count < least {
        faults.push(format!(
            "{name}: only {count} numbers open, {least} were expected"
        ));
    }
    let lacking = found[1].as_array().expect("faults").iter();
    faults.extend(
        lacking
            .filter_map(Value::as_str)
            .map(|it| format!("{name}, {it}")),
    );
}

/// Numbers on the page that are still in metric units.
const METRIC: &str = "return [...document.querySelectorAll('main .number, main dd')] \
    .map((e) => e.textContent.trim()) \
    .filter((text) => /\\d (mm|m|cm²|m²|ml|l|g|kg|°C)( |$|\\()/.test(text))";

/// Waits until what `css` says is, or is no longer, `text`.
async fn becomes(phone: &Phone, css: &str, text: &str, is: bool) {
    let script = "return (document.querySelector(arguments[0])?.innerText === arguments[1]) \
        === arguments[2]";
    let given = vec![json!(css), json!(text), json!(is)];
    let what = format!("{css} is {}{text:?}", if is { "" } else { "no longer " });
    phone.wait_until(&what, script, given).await;
}

async fn value_is(phone: &Phone, css: &str, value: &str) {
    let script = "return document.querySelector(arguments[0])?.value === arguments[1]";
    let what = format!("{css} holds {value:?}");
    let given = vec![json!(css), json!(value)];
    phone.wait_until(&what, script, given).await;
}

/// The units change by one tap on this page, and what `css` says comes back the same.
async fn there_and_back(phone: &Phone, name: &str, css: &str) {
    let metric = phone.text(css).await;
    phone.tap("#switch-units").await;
    becomes(phone, css, &metric, false).await;
    let us = phone.text(css).await;
    println!("{name}: {metric:?} is {us:?}");
    unfold_all(phone).await;
    let left = phone.js(METRIC, vec![]).await;
    assert_eq!(left, json!([]), "{name}: still metric");
    phone.shot(&format!("{name}-us")).await;
    phone.tap("#switch-units").await;
    becomes(phone, css, &metric, true).await;
}

/// A phone with the sample and metric units, and the address of the sample's piece.
async fn metric_phone(name: &str) -> (Phone, peelcast_browser::Host, String) {
    let (phone, host, _folder) = journey::phone_with_sample(name).await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let piece = journey::sample_page(&phone, "").await;
    (phone, host, piece)
}

#[tokio::test]
async fn every_number_opens_and_the_units_change_on_every_page() {
    let (mut phone, _host, piece) = metric_phone("numbers").await;
    let job = piece.split("/piece/").next().expect("a job").to_owned();
    let mut faults = Vec::new();

    journey::go(&phone, &format!("{piece}/measure")).await;
    phone.tap("#task-outline").await;
    journey::says(&phone, "#footprint-area", &["cm²"]).await;
    there_and_back(&phone, "measure", "#footprint-area").await;
    all_open(&phone, "measure", 5, &mut faults).await;

    for (page, css, least) in [
        ("plan", "#total-to-bring", 14),
        ("pack", "#weight", 10),
        ("cast", "#cast-mass", 7),
    ] {
        journey::go(&phone, &format!("{piece}/{page}")).await;
        phone.wait(css).await;
        there_and_back(&phone, page, css).await;
        all_open(&phone, page, least, &mut faults).await;
        phone.shot(&format!("{page}-opened")).await;
    }

    // The heights, once one is read.
    journey::go(&phone, &format!("{piece}/heights")).await;
    let laid = "return document.querySelector('#heights-picture img')?.naturalWidth > 0";
    phone
        .wait_until("the picture lies flat", laid, vec![])
        .await;
    let middle = "const e = document.querySelector('#heights-picture'); \
        e.scrollIntoView({ block: 'center' }); const r = e.getBoundingClientRect(); \
        return [r.left + r.width / 2, r.top + r.height / 2]";
    let at = phone.js(middle, vec![]).await;
    phone
        .touch(at[0].as_f64().expect("x"), at[1].as_f64().expect("y"))
        .await;
    phone.wait("#pin-form:not([hidden])").await;
    phone.fill("#pin-height", "22").await;
    phone.wait("#height-numbers .range").await;
    phone.wait("#skin-said").await;
    there_and_back(&phone, "heights", "#height-numbers .number").await;
    all_open(&phone, "heights", 6, &mut faults).await;

    journey::go(&phone, &format!("{job}/day")).await;
    phone.wait("#leave-at").await;
    all_open(&phone, "day", 1, &mut faults).await;

    // On the wall: the weights, and then the time that runs. The step has the screen to itself and
    // a switch of its own.
    journey::go(&phone, &format!("{piece}/coat")).await;
    phone.wait("#coat-weigh").await;
    all_open(&phone, "coat", 1, &mut faults).await;
    journey::coat_tap(&phone, "#coat-main").await;
    phone.wait("#coat-countdown").await;
    let weights = phone.text("#coat-weigh").await;
    phone.wait_until_settled().await;
    phone.tap("#step-units").await;
    becomes(&phone, "#coat-weigh", &weights, false).await;
    phone.tap("#step-units").await;
    becomes(&phone, "#coat-weigh", &weights, true).await;
    all_open(&phone, "coat-mixing", 2, &mut faults).await;
    phone.pass_minutes(2.0).await;
    phone.wait("#coat-main:not(.held)").await;
    all_open(&phone, "coat-mixed", 1, &mut faults).await;
    phone.shot("coat-opened").await;
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[tokio::test]
async fn the_switch_works_by_keyboard_and_keeps_what_is_typed() {
    let (phone, _host, piece) = metric_phone("numbers-switch").await;
    journey::go(&phone, &format!("{piece}/plan")).await;
    phone.wait("#total-to-bring").await;
    let metric = phone.text("#total-to-bring").await;
    let focus = "document.querySelector('#switch-units').focus()";
    phone.js(focus, vec![]).await;
    for kind in ["keyDown", "keyUp"] {
        let enter = json!({
            "type": kind, "key": "Enter", "code": "Enter",
            "windowsVirtualKeyCode": 13, "text": "\r"
        });
        phone.cdp("Input.dispatchKeyEvent", enter).await;
    }
    becomes(&phone, "#total-to-bring", &metric, false).await;
    phone.tap("#switch-units").await;
    becomes(&phone, "#total-to-bring", &metric, true).await;

    // Half typed, in millimetres: it counts as that, and is shown in inches.
    let half = "const e = document.querySelector('#border'); e.focus(); e.select(); \
        document.execCommand('insertText', false, '40')";
    phone.js(half, vec![]).await;
    phone.tap("#switch-units").await;
    value_is(&phone, "#border", "1 9/16 in").await;
    let forty = |piece: &Piece| (piece.border.0 - 40.0).abs() < 1e-9;
    journey::sample_piece(&phone, "a border of 40 mm", forty).await;
    phone.tap("#switch-units").await;
    value_is(&phone, "#border", "40 mm").await;

    // What can't be read stays as it is typed, whatever the units are.
    phone.fill("#border", "12 3/0").await;
    journey::says(&phone, "#border-error", &["Check the fraction"]).await;
    phone.tap("#switch-units").await;
    let inches = "return document.querySelector('#highest').value.endsWith('in')";
    phone
        .wait_until("the fields are in inches", inches, vec![])
        .await;
    value_is(&phone, "#border", "12 3/0").await;
    journey::says(&phone, "#border-error", &["Check the fraction"]).await;
    phone.fill("#border", "1 1/2").await;
    let inches = |piece: &Piece| (piece.border.0 - 38.1).abs() < 1e-9;
    journey::sample_piece(&phone, "a border of an inch and a half", inches).await;
}

#[tokio::test]
async fn lengths_are_read_as_people_write_them_and_wrong_ones_explained() {
    let (phone, _host, piece) = metric_phone("numbers-typed").await;
    journey::go(&phone, &format!("{piece}/plan")).await;
    phone.wait("#highest").await;
    for (typed, mm, shown) in [
        // No two that follow are shown alike: the field would not change.
        ("12 3/4 in", 323.85, "324 mm"),
        ("1' 2\"", 355.6, "356 mm"),
        ("32,4 cm", 324.0, "324 mm"),
        ("1 ft 2 1/2 in", 368.3, "368 mm"),
        ("12-3/4 in", 323.85, "324 mm"),
        ("31.5cm", 315.0, "315 mm"),
        ("12 3/4\"", 323.85, "324 mm"),
        ("1’ 2½″", 368.3, "368 mm"),
        ("12 3⁄4 in", 323.85, "324 mm"),
        ("1'-2\"", 355.6, "356 mm"),
        ("12\u{a0}¾”", 323.85, "324 mm"),
        ("22", 22.0, "22 mm"),
    ] {
        phone.fill("#highest", typed).await;
        let near = move |piece: &Piece| {
            let highest = piece.relief.map(|relief| relief.highest.0);
            highest.is_some_and(|highest| (highest - mm).abs() < 1e-9)
        };
        journey::sample_piece(&phone, &format!("{typed} as {mm} mm"), near).await;
        value_is(&phone, "#highest", shown).await;
    }
    for (typed, says) in [
        ("abc", "Type it like 32.4 cm or 12 3/4 in"),
        ("12 3/0", "Check the fraction"),
        ("-4", "Take the minus sign away"),
        ("1,2,3", "Use one point or one comma"),
        ("99999999999", "Check the number and its unit"),
        ("5 m", "between 0 and 1000 mm"),
        ("2 lb", "Use mm, cm, m, in or ft"),
    ] {
        phone.fill("#highest", typed).await;
        journey::says(&phone, "#highest-error", &[says]).await;
        value_is(&phone, "#highest", typed).await;
        let kept = |piece: &Piece| piece.relief.is_some_and(|relief| relief.highest.0 == 22.0);
        journey::sample_piece(&phone, "the height as it was", kept).await;
    }
    phone.shot("wrong").await;
    phone.fill("#highest", "7/8 in").await;
    let good = |piece: &Piece| {
        let highest = piece.relief.map(|relief| relief.highest.0);
        highest.is_some_and(|highest| (highest - 22.225).abs() < 1e-9)
    };
    journey::sample_piece(&phone, "seven eighths", good).await;
    let gone = "return document.querySelector('#highest-error').hidden";
    phone.wait_until("the error is gone", gone, vec![]).await;
}
