//! Nothing that the screen has confirmed is lost: the browser killed at any moment, no room at any
//! write, every stored value damaged.
//!
//! `cargo verify --long` kills two hundred times.

use peelcast_browser::{Host, Phone, is_long, journey, stored};
use serde_json::{Value, json};
use std::time::Duration;

/// A step of the scripted session, over and over.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Step {
    Create,
    Mark,
    Plan,
    Tick,
    Coat,
}

const STEPS: [Step; 5] = [Step::Create, Step::Mark, Step::Plan, Step::Tick, Step::Coat];

impl Step {
    /// Its page, below the sample's piece; none for the list of jobs.
    fn page(self) -> Option<&'static str> {
        match self {
            Self::Create => None,
            Self::Mark => Some("measure"),
            Self::Plan => Some("plan"),
            Self::Tick => Some("pack"),
            Self::Coat => Some("coat"),
        }
    }

    /// What stands there once the page is shown.
    fn there(self) -> &'static str {
        match self {
            Self::Create => journey::READ,
            Self::Mark => ".handle",
            Self::Plan => "#confidence-80",
            Self::Tick => "#kit input",
            Self::Coat => "#coat-main",
        }
    }

    /// What the screen says of it, in JavaScript.
    fn shown(self) -> &'static str {
        match self {
            // Of many jobs the list draws some at first, and says how many there are.
            Self::Create => {
                "const said = document.querySelector('#jobs-found'); \
                 return said ? parseInt(said.innerText) : document.querySelectorAll('#jobs a').length"
            }
            Self::Mark => {
                "const [mark, photo] = ['.handle', '#photo'].map((css) => \
                     document.querySelector(css).getBoundingClientRect()); \
                 return Math.round(1e4 * (mark.x + mark.width / 2 - photo.x) / photo.width)"
            }
            Self::Plan => "return document.querySelector('#total-to-bring').innerText",
            Self::Tick => "return document.querySelectorAll('#kit input:checked').length",
            Self::Coat => "return document.querySelectorAll('#coat-log ol li').length",
        }
    }

    async fn go(self, phone: &Phone, sample: &str) {
        let place = match self.page() {
            None => "#/".to_owned(),
            Some(page) => format!("{sample}/{page}"),
        };
        journey::go(phone, &place).await;
        if self == Self::Mark {
            phone.tap("#task-outline").await;
        }
        phone.wait(self.there()).await;
        phone.wait_until_settled().await;
    }

    /// The least time before a kill, in milliseconds. A mark is where the key puts it at once and
    /// stored when the key is let go; all else is shown once it is stored.
    fn least(self) -> u64 {
        match self {
            Self::Mark => 250,
            _ => 0,
        }
    }

    /// Does it; `n` counts the steps, so that what is switched is switched to and fro.
    async fn act(self, phone: &Phone, n: usize) {
        match self {
            Self::Create => phone.tap("#new-job").await,
            Self::Mark => {
                let key = "const mark = document.querySelector('.handle'); mark.focus(); \
                    for (const kind of ['keydown', 'keyup']) mark.dispatchEvent( \
                        new KeyboardEvent(kind, { key: 'ArrowRight', bubbles: true }))";
                phone.js(key, vec![]).await;
            }
            Self::Plan => {
                let other = phone
                    .has("#confidence-80:checked, #confidence-80[aria-pressed=true]")
                    .await;
                let css = ["#confidence-80", "#confidence-99"];
                phone.tap(css[usize::from(other)]).await;
            }
            Self::Tick => {
                let untick = n % 10 >= 5 && phone.has("#kit input:checked").await;
                let css = ["#kit input:not(:checked)", "#kit input:checked"];
                phone.tap(css[usize::from(untick)]).await;
            }
            Self::Coat => {
                let mixing = phone.has("#coat-other-1").await;
                phone
                    .tap(["#coat-main", "#coat-other-1"][usize::from(mixing)])
                    .await;
            }
        }
    }
}

async fn shown(phone: &Phone, step: Step) -> Value {
    phone.js(step.shown(), vec![]).await
}

/// The app after the phone has been switched on again: on its list, or where a coat runs.
async fn start(phone: &mut Phone, host: &Host) {
    phone.switch_on().await;
    phone.open(&host.url("")).await;
    phone.wait(&format!("{}, #coat-main", journey::READ)).await;
}

/// The list of jobs, read anew from the stores.
async fn list_anew(phone: &Phone) {
    journey::go(phone, "#/").await;
    phone.reload().await;
    phone.wait(journey::READ).await;
}

/// The browser's process is ended a random moment after each step: what the screen showed by then
/// is there at the next start, and every job can be read.
#[tokio::test]
async fn a_kill_at_any_moment_loses_no_step_that_was_shown() {
    let kills = if is_long() { 200 } else { 15 };
    let (mut phone, host, _folder) = journey::phone_with_sample("any-moment").await;
    let sample = journey::sample_page(&phone, "").await;
    // Where a run fails, its moments can be had again.
    let mut chance = fastrand::Rng::with_seed(7);
    let [mut confirmed, mut jobs] = [0, 1];
    for kill in 0..kills {
        let step = STEPS[kill % STEPS.len()];
        step.go(&phone, &sample).await;
        let before = shown(&phone, step).await;
        step.act(&phone, kill / STEPS.len()).await;
        tokio::time::sleep(Duration::from_millis(step.least() + chance.u64(0..400))).await;
        let last = match step {
            // The new job's page is shown once it is stored.
            Step::Create => {
                let there = phone.has("#add-piece").await;
                json!(jobs + usize::from(there))
            }
            _ => shown(&phone, step).await,
        };
        phone.kill().await;
        start(&mut phone, &host).await;
        assert!(!phone.has("#alarms .wrong").await, "kill {kill}, {step:?}");
        step.go(&phone, &sample).await;
        let found = shown(&phone, step).await;
        if last != before {
            confirmed += 1;
            assert_eq!(found, last, "kill {kill}, {step:?}: it was shown");
        }
        if step == Step::Create {
            jobs = found.as_u64().expect("a count") as usize;
        }
        let readable = journey::stored_jobs(&phone).await.len();
        assert_eq!(readable, jobs, "kill {kill}, {step:?}: all can be read");
    }
    println!("{kills} kills: {confirmed} steps shown before them, none lost, {jobs} jobs readable");
    assert!(confirmed * 2 >= kills, "most steps are shown by then");
}

/// Lets the `n`th write from here on fail for want of room, in either store.
const NO_ROOM: &str = "
    let left = arguments[0];
    const wanting = (prototype, name) => {
        const write = prototype[name];
        prototype[name] = function (...given) {
            left -= 1;
            if (left === 0) {
                window.failed = true;
                throw new DOMException('no room', 'QuotaExceededError');
            }
            return write.apply(this, given);
        };
    };
    window.failed = false;
    wanting(Storage.prototype, 'setItem');
    wanting(IDBObjectStore.prototype, 'put');";

/// No room at each write in turn, for each step: what was stored before is stored still, the user
/// is told, and what is shown then is what the next start shows.
#[tokio::test]
async fn no_room_at_any_write_damages_nothing() {
    let (phone, _host, _folder) = journey::phone_with_sample("any-write").await;
    let sample = journey::sample_page(&phone, "").await;
    let mut failures = 0;
    for step in STEPS {
        for n in 1.. {
            assert!(n < 30, "{step:?}: no end of writes");
            phone.reload().await;
            step.go(&phone, &sample).await;
            let jobs = journey::stored_jobs(&phone).await;
            phone.js(NO_ROOM, vec![json!(n)]).await;
            step.act(&phone, n).await;
            // The list of jobs is kept a second after the last change.
            tokio::time::sleep(Duration::from_millis(1500)).await;
            if phone.js("return window.failed", vec![]).await != json!(true) {
                break;
            }
            failures += 1;
            let told = phone.has("#alarms .wrong, #toasts .toast").await;
            let last = match step {
                Step::Create => json!(null),
                _ => shown(&phone, step).await,
            };
            phone.reload().await;
            step.go(&phone, &sample).await;
            assert!(!phone.has("#alarms .wrong").await, "{step:?} {n}");
            let found = shown(&phone, step).await;
            if step != Step::Create {
                assert_eq!(found, last, "{step:?}, write {n}");
            }
            let after = journey::stored_jobs(&phone).await;
            assert!(after.len() >= jobs.len(), "{step:?}, write {n}");
            println!("{step:?}, write {n}: told: {told}");
        }
    }
    println!("{failures} writes without room: nothing lost");
    assert!(failures >= 2 * STEPS.len());
}

/// All that is stored, by store and key.
const PLACES: &str = "
    const answer = (request) => new Promise((give, fail) => {
        request.onsuccess = () => give(request.result);
        request.onerror = () => fail(request.error);
    });
    const places = Object.keys(localStorage).map((key) => ['local', key]);
    const database = await answer(indexedDB.open('peelcast'));
    for (const name of database.objectStoreNames) {
        const store = database.transaction(name).objectStore(name);
        for (const key of await answer(store.getAllKeys())) places.push([name, key]);
    }
    database.close();
    return places";

/// Damages one of them, in a way of three.
const DAMAGE: &str = "
    const [name, key, how] = given;
    const spoil = (text) => {
        if (how === 'cut') return text.slice(0, text.length >> 1);
        if (how === 'foreign') return '{\"a recipe\": [\"flour\", 500]}';
        const at = text.length >> 1;
        const flipped = String.fromCharCode(text.charCodeAt(at) ^ 1);
        return text.slice(0, at) + flipped + text.slice(at + 1);
    };
    const any = (value) => typeof value === 'string' ? spoil(value) : how;
    if (name === 'local') {
        localStorage.setItem(key, any(localStorage.getItem(key)));
        return;
    }
    const answer = (request) => new Promise((give, fail) => {
        request.onsuccess = () => give(request.result);
        request.onerror = () => fail(request.error);
    });
    const database = await answer(indexedDB.open('peelcast'));
    const store = database.transaction(name, 'readwrite').objectStore(name);
    await answer(store.put(any(await answer(store.get(key))), key));
    database.close()";

/// Every stored value damaged in turn, in three ways: the app starts, and every job opens.
#[tokio::test]
async fn any_damaged_value_leaves_every_job_open() {
    let (phone, _host, _folder) = journey::phone_with_sample("any-value").await;
    journey::own_piece(&phone, "Frieze").await;
    journey::go(&phone, "#/lens").await;
    phone.wait("main").await;
    stored::read(&phone).await;
    let places = phone.js_later(PLACES, vec![]).await;
    let places = places.as_array().expect("places").clone();
    let mut damaged = 0;
    for place in &places {
        for how in ["flipped", "cut", "foreign"] {
            let given = vec![place[0].clone(), place[1].clone(), json!(how)];
            phone.js_later(DAMAGE, given).await;
            damaged += 1;
            list_anew(&phone).await;
            let count = "return document.querySelectorAll('#jobs a').length";
            assert_eq!(
                phone.js(count, vec![]).await,
                json!(2),
                "{place} {how}: both jobs are there"
            );
            phone.tap("#jobs a").await;
            phone.wait("#add-piece").await;
        }
    }
    println!(
        "{damaged} damaged values in {} places: no job lost",
        places.len()
    );
    assert!(places.len() >= 8);
}

/// All copies of one job damaged: the others open, and the broken one is saved as it is.
#[tokio::test]
async fn a_job_without_a_sound_copy_is_saved_as_it_is() {
    let (phone, _host, _folder) = journey::phone_with_sample("no-copy").await;
    journey::own_piece(&phone, "Frieze").await;
    stored::read(&phone).await;
    let sample = journey::sample_page(&phone, "").await;
    let id = sample.split('/').nth(2).expect("a job").to_owned();
    let places = phone.js_later(PLACES, vec![]).await;
    let of_sample = |place: &&Value| {
        let key = place[1].as_str().unwrap_or_default();
        let record = key.starts_with("peelcast.job") || place[0] == "journal";
        record && key.contains(&id)
    };
    for place in places.as_array().expect("places").iter().filter(of_sample) {
        let given = vec![place[0].clone(), place[1].clone(), json!("cut")];
        phone.js_later(DAMAGE, given).await;
    }
    list_anew(&phone).await;
    journey::says(&phone, "#alarms", &["damaged", "Backup page"]).await;
    phone.tap("#alarms button").await;
    let count = "return document.querySelectorAll('#jobs a').length";
    assert_eq!(phone.js(count, vec![]).await, json!(1));
    phone.tap("#open-backup").await;
    phone.wait("#unread").await;
    phone.shot("unread").await;
    phone.tap("#unread button").await;
    let file = phone.downloaded().await;
    let saved = std::fs::read(&file).expect("the file is there");
    let saved: Value = serde_json::from_slice(&saved).expect("JSON");
    assert_eq!(saved["id"], json!(id));
    let copies = saved["copies"].as_array().expect("copies");
    assert!(copies.len() >= 2, "{copies:?}");
    let read = stored::read(&phone).await;
    for copy in copies {
        assert!(
            read.values().any(|text| copy == text)
                || read
                    .values()
                    .any(|text| text.contains(copy.as_str().expect("a text"))),
            "the file has what is stored"
        );
    }
}
