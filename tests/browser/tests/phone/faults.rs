//! The clock at the wall when things go wrong: the browser killed right after a tap, two tabs on one
//! job, a clock that someone sets, notices turned off, and no room left.
//!
//! `cargo verify --long` kills fifty times.

use peelcast::clock::Tap;
use peelcast::job::Piece;
use peelcast_browser::{Host, Phone, is_long, journey, stored};
use serde_json::json;
use std::time::Duration;

async fn at_the_wall(name: &str) -> (Phone, Host) {
    let (phone, host, _) = journey::phone_with_sample(name).await;
    journey::go(&phone, &journey::sample_page(&phone, "coat").await).await;
    phone.wait("#coat-main").await;
    (phone, host)
}

async fn taps(phone: &Phone) -> Vec<Tap> {
    let piece = journey::sample_piece(phone, "there", |_: &Piece| true).await;
    piece.coat_log.iter().map(|moment| moment.tap).collect()
}

/// How many taps the page says there were.
async fn said(phone: &Phone) -> usize {
    let lines = "return document.querySelectorAll('#coat-log ol li').length";
    let lines = phone.js(lines, vec![]).await;
    lines.as_u64().expect("a count") as usize
}

/// A tap, a fifth of a second, and the browser's process is gone: what the screen had shown by then
/// is there at the next start, and nothing is there twice.
#[tokio::test]
async fn a_kill_after_a_tap_loses_nothing() {
    let (mut phone, host) = at_the_wall("kills").await;
    let kills = if is_long() { 50 } else { 15 };
    let mut shown_before_kill = 0;
    let mut stored = 0;
    for kill in 0..kills {
        // A batch is begun and thrown away, over and over.
        let button = if stored % 2 == 0 {
            "#coat-main"
        } else {
            "#coat-other-1"
        };
        phone.wait(button).await;
        phone.tap(button).await;
        tokio::time::sleep(Duration::from_millis(200)).await;
        let shown = said(&phone).await;
        phone.kill().await;
        phone.switch_on().await;
        phone.open(&host.url("")).await;
        if stored == 0 && shown == 0 {
            // Nothing runs, so the app opens on its list.
            phone.wait(journey::READ).await;
            journey::go(&phone, &journey::sample_page(&phone, "coat").await).await;
        }
        phone.wait("#coat-main").await;
        let found = taps(&phone).await.len();
        assert!(
            found >= shown,
            "kill {kill}: {shown} were shown, {found} are stored"
        );
        assert!(
            found == stored || found == stored + 1,
            "kill {kill}: {stored} before the tap, {found} after it"
        );
        assert_eq!(said(&phone).await, found, "kill {kill}");
        shown_before_kill += usize::from(shown > stored);
        stored = found;
    }
    println!(
        "{kills} kills: {shown_before_kill} taps shown within 200 ms, {stored} stored, none lost"
    );
    assert!(
        shown_before_kill * 10 >= kills * 9,
        "most taps are shown by then"
    );
}

const WRITES: &str = "return !document.querySelector('#follows')";

#[tokio::test]
async fn two_tabs_on_one_job_lose_no_tap() {
    let (phone, host) = at_the_wall("two-tabs").await;
    let driver = phone.driver();
    let first = driver.window().await.expect("a tab");
    let page = journey::sample_page(&phone, "coat").await;
    let second = driver.new_tab().await.expect("another tab");
    driver
        .switch_to_window(second.clone())
        .await
        .expect("there");
    phone.open(&host.url(&page)).await;
    phone.wait("#coat-main").await;
    phone.wait("#follows").await;
    phone.shot("follows").await;
    // Who works in the second window makes it the one that writes.
    phone.tap("#coat-main").await;
    phone.wait("#coat-main.held").await;
    phone.wait_until("it writes", WRITES, vec![]).await;

    driver.switch_to_window(first.clone()).await.expect("back");
    phone.wait("#follows").await;
    phone.wait("#coat-main.held").await;
    tokio::time::sleep(Duration::from_millis(600)).await;
    phone.tap("#coat-other-1").await;
    phone.wait("#coat-main:not(.held)").await;
    driver.switch_to_window(second).await.expect("there");
    phone.wait("#coat-main:not(.held)").await;
    let taps = taps(&phone).await;
    let (coat, batch) = (1, 1);
    let expected = [
        Tap::StartMix { coat, batch },
        Tap::BatchLost { coat, batch },
    ];
    assert_eq!(taps, expected);
    assert_eq!(said(&phone).await, 2);
    phone.wait("#follows").await;
    phone.tap("#work-here").await;
    phone.wait_until("it writes", WRITES, vec![]).await;
    // The window that writes is closed: the other one is the writer without a word.
    driver.switch_to_window(first.clone()).await.expect("back");
    phone.wait("#follows").await;
    let all = driver.windows().await.expect("windows");
    let other = all.into_iter().find(|window| *window != first);
    let other = other.expect("the second window");
    driver.switch_to_window(other).await.expect("there");
    driver.close_window().await.expect("closed");
    driver.switch_to_window(first).await.expect("back");
    phone.wait_until("it writes", WRITES, vec![]).await;
}

/// Both windows change one list at the same time, over and over, without waiting for each other.
#[tokio::test]
async fn two_windows_at_once_lose_no_change() {
    const TICKS: usize = 8;
    let (phone, host, _) = journey::phone_with_sample("two-windows").await;
    let driver = phone.driver();
    let first = driver.window().await.expect("a window");
    let page = journey::sample_page(&phone, "pack").await;
    let second = driver.new_tab().await.expect("another window");
    for window in [&second, &first] {
        let there = driver.switch_to_window(window.clone()).await;
        there.expect("the window is there");
        match *window == second {
            true => phone.open(&host.url(&page)).await,
            false => journey::go(&phone, &page).await,
        }
        phone.wait("#kit input").await;
        // The even boxes of one window, the odd ones of the other.
        let odd = usize::from(*window == second);
        let later = "const [from, count] = arguments; const boxes = [...document.querySelectorAll('#kit input')]; \
            window.ticks = boxes.filter((_, n) => n % 2 === from).slice(0, count); \
            const channel = new BroadcastChannel('go'); \
            channel.onmessage = () => window.ticks.forEach((box, n) => \
                setTimeout(() => box.checked || box.click(), 20 * n)); \
            window.go = channel";
        phone.js(later, vec![json!(odd), json!(TICKS)]).await;
    }
    // A message reaches all windows but the one that sends it.
    let go = "window.go.postMessage(1); window.go.onmessage()";
    phone.js(go, vec![]).await;
    let done = "const boxes = [...document.querySelectorAll('#kit input')]; \
        return boxes.slice(0, 2 * arguments[0]).every((box) => box.checked)";
    for window in [first, second] {
        driver.switch_to_window(window).await.expect("there");
        phone
            .wait_until("all ticks are there", done, vec![json!(TICKS)])
            .await;
    }
}

#[tokio::test]
async fn a_clock_that_is_set_is_noticed() {
    let (mut phone, _host) = at_the_wall("clock").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    let day = 24.0 * 60.0;
    for (minutes, way, span) in [
        (60.0, "forward", "1 h"),
        (-60.0, "back", "1 h"),
        (day, "forward", "24 h"),
        (-day, "back", "24 h"),
    ] {
        phone.set_clock_by(minutes).await;
        let parts = [&format!("set {way} by {span}"), "go by touch"];
        journey::says(&phone, "#alarms .wrong", &parts).await;
        phone.shot(&format!("{way}-{span}")).await;
        phone.tap("#alarms button").await;
    }
    // With the clock set back further than a tap, the page itself goes on saying so.
    phone.set_clock_by(-60.0).await;
    journey::says(
        &phone,
        "#coat-notes",
        &["clock was set back", "go by touch"],
    )
    .await;
    assert_eq!(taps(&phone).await.len(), 1);
    phone.reload().await;
    journey::says(&phone, "#coat-notes", &["clock was set back"]).await;
    // Time that merely passes is no clock that is set.
    phone.set_clock_by(60.0).await;
    phone.tap("#alarms button").await;
    phone.pass_minutes(90.0).await;
    phone.wait_until_settled().await;
    assert!(!phone.has("#alarms .wrong").await);
    journey::says(&phone, "#coat-notes", &["working time ended"]).await;
}

#[tokio::test]
async fn with_notices_turned_off_the_page_says_all() {
    let (mut phone, host) = at_the_wall("silent").await;
    let origin = host.url("");
    let denied = json!({
        "origin": origin.trim_end_matches('/'),
        "permission": { "name": "notifications" },
        "setting": "denied",
    });
    phone.cdp("Browser.setPermission", denied).await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    phone.pass_minutes(40.0).await;
    journey::says(&phone, "#coat-notes", &["working time ended"]).await;
    let title = "return document.title.includes('working time ends')";
    phone.wait_until("the title says so", title, vec![]).await;
    phone.tap("#leave-steps").await;
    journey::go(&phone, "#/settings").await;
    phone
        .wait_text("Notifications from Peelcast are turned off")
        .await;
}

#[tokio::test]
async fn a_tap_that_finds_no_room_is_not_shown_as_done() {
    let (mut phone, host) = at_the_wall("no-room").await;
    let place = host.url(&journey::sample_page(&phone, "coat").await);
    phone.tap("#coat-main").await;
    phone.wait("#coat-main.held").await;
    phone.switch_off().await;
    phone.switch_on().await;
    let origin = format!("http://localhost:{}", host.port);
    stored::give_room(&phone, &origin, Some(1)).await;
    phone.open(&place).await;
    phone.wait("#coat-other-1").await;
    stored::fill_local(&phone).await;
    let full =
        "Storage.prototype.setItem = () => { throw new DOMException('', 'QuotaExceededError') }";
    phone.js(full, vec![]).await;
    phone.tap("#coat-other-1").await;
    let says = ["no room left", "Nothing stored before is lost"];
    journey::says(&phone, "#alarms", &says).await;
    phone.shot("not-stored").await;
    assert!(
        phone.has("#coat-main.held").await,
        "the step stays where it was"
    );
    assert_eq!(taps(&phone).await.len(), 1);
    phone.reload().await;
    phone.wait("#coat-main.held").await;
    assert_eq!(said(&phone).await, 1);
}

#[tokio::test]
async fn another_time_zone_moves_no_countdown() {
    let (phone, _host) = at_the_wall("zone").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    let left = async || {
        let text = phone.text("#coat-countdown").await;
        let (minutes, seconds) = text.split_once(':').expect("minutes and seconds");
        60 * minutes.parse::<i64>().expect("minutes") + seconds.parse::<i64>().expect("seconds")
    };
    let (before, until) = (left().await, phone.text("#coat-until").await);
    // Half the world away, where summer time is at another time of the year.
    for zone in ["Pacific/Chatham", "America/St_Johns"] {
        phone
            .cdp(
                "Emulation.setTimezoneOverride",
                json!({ "timezoneId": zone }),
            )
            .await;
        phone.reload().await;
        phone.wait("#coat-countdown").await;
        assert_ne!(
            phone.text("#coat-until").await,
            until,
            "the time of day is local"
        );
        let now = left().await;
        assert!(
            (before - 20..=before).contains(&now),
            "{before} s, then {now} s"
        );
        assert!(!phone.has("#alarms .wrong").await, "nobody set the clock");
    }
}
