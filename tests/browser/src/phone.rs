//! One phone: a browser with a profile of its own that outlives restarts.

use crate::host::wait_for_port;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;

/// A screen in CSS pixels.
#[derive(Clone, Copy)]
pub struct Screen {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

impl Screen {
    /// A common phone.
    pub const PHONE: Self = Self {
        width: 390,
        height: 844,
    };
    /// The narrowest phone that the app promises to serve.
    pub const NARROW: Self = Self {
        width: 360,
        height: 740,
    };
    /// A tablet held upright.
    pub const TABLET: Self = Self {
        width: 820,
        height: 1180,
    };
}

/// What a sheet is printed on.
#[derive(Clone, Copy, Debug)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    fn inches(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0 / 25.4, 297.0 / 25.4),
            Self::Letter => (8.5, 11.0),
        }
    }
}

/// A headless Chromium with touch, and what a thumb does with it.
pub struct Phone {
    driver: Option<WebDriver>,
    chromedriver: Child,
    port: u16,
    screen: Screen,
    text_percent: u32,
    folder: PathBuf,
    shots: PathBuf,
    shot_count: std::cell::Cell<u32>,
    ahead_min: f64,
    set_min: f64,
}

/// Replaces the page's clock by one that a test can move: time that passes moves what has run since
/// the page was opened too, a clock that someone sets does not.
const CLOCK: &str = "(() => { window.aheadMs = AHEAD_MS; window.setMs = SET_MS; \
    if (window.trueDate) return; \
    const Real = window.trueDate = Date; \
    const run = performance.now.bind(performance); \
    performance.now = () => run() + window.aheadMs; \
    const now = () => Real.now() + window.aheadMs + window.setMs; \
    window.Date = class extends Real { \
        constructor(...given) { given.length ? super(...given) : super(now()); } \
        static now() { return now(); } \
    }; })()";

/// What browsers take for text where the person has set nothing, in CSS pixels.
const USUAL_TEXT_PX: u32 = 16;

/// So long a slow machine with other tests beside may take; what goes wrong is told that much later.
const PATIENCE: Duration = Duration::from_secs(90);

/// A finger that is lifted sooner after it moved may throw the page.
const AT_REST: Duration = Duration::from_millis(250);

impl Phone {
    /// Takes a new phone out of its box; `name` names its files and screenshots.
    pub async fn new(name: &str, screen: Screen) -> Self {
        Self::with_text(name, screen, 100).await
    }

    /// The same with its text set to so many percent of the usual size.
    pub async fn with_text(name: &str, screen: Screen, text_percent: u32) -> Self {
        let folder = crate::scratch_folder(name);
        std::fs::create_dir_all(folder.join("downloads")).expect("a downloads folder");
        let shots = crate::screens_folder().join(name);
        let _ = std::fs::remove_dir_all(&shots);
        std::fs::create_dir_all(&shots).expect("a folder for screenshots");
        let port = crate::free_port();
        let program = std::env::var_os("CHROMEDRIVER").unwrap_or_else(|| "chromedriver".into());
        let chromedriver = Command::new(program)
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts (Debian: chromium-driver)");
        wait_for_port(port);
        let mut phone = Self {
            driver: None,
            chromedriver,
            port,
            screen,
            text_percent,
            folder,
            shots,
            shot_count: std::cell::Cell::new(0),
            ahead_min: 0.0,
            set_min: 0.0,
        };
        phone.switch_on().await;
        phone
    }

    /// Where downloads arrive.
    pub fn downloads(&self) -> PathBuf {
        self.folder.join("downloads")
    }

    /// The network log of the browser, complete once it is switched off.
    pub fn net_log(&self) -> PathBuf {
        self.folder.join("net.json")
    }

    /// Starts the browser on this phone's profile.
    pub async fn switch_on(&mut self) {
        let mut args = vec![
            "--headless=new".to_owned(),
            "--no-sandbox".into(),
            "--disable-gpu".into(),
            "--disable-quic".into(),
            "--no-first-run".into(),
            "--disable-background-networking".into(),
            "--disable-component-update".into(),
            "--disable-sync".into(),
            "--disable-extensions".into(),
            "--disable-default-apps".into(),
            "--disable-breakpad".into(),
            "--metrics-recording-only".into(),
            "--disable-dev-shm-usage".into(),
            "--touch-events=enabled".into(),
            "--use-fake-ui-for-media-stream".into(),
            "--use-fake-device-for-media-stream".into(),
        ];
        args.push(format!(
            "--user-data-dir={}",
            self.folder.join("profile").display()
        ));
        args.push(format!("--log-net-log={}", self.net_log().display()));
        args.push(format!(
            "--window-size={},{}",
            self.screen.width, self.screen.height
        ));
        let mut options = json!({
            "args": args,
            "prefs": {
                "download.default_directory": self.downloads(),
                "download.prompt_for_download": false,
                "webkit.webprefs.default_font_size": USUAL_TEXT_PX * self.text_percent / 100,
            },
            "mobileEmulation": {
                "deviceMetrics": {
                    "width": self.screen.width, "height": self.screen.height,
                    "pixelRatio": 2.0, "touch": true, "mobile": true,
                },
            },
        });
        if let Some(binary) = std::env::var_os("CHROMIUM") {
            options["binary"] = json!(binary.to_string_lossy());
        }
        let mut capabilities = DesiredCapabilities::chrome();
        capabilities
            .set("goog:chromeOptions", options)
            .expect("options");
        capabilities
            .set("unhandledPromptBehavior", "ignore")
            .expect("prompt behaviour");
        // The tests wait for what they need on the page themselves.
        capabilities
            .set("pageLoadStrategy", "none")
            .expect("load strategy");
        let driver = WebDriver::new(format!("http://127.0.0.1:{}", self.port), capabilities)
            .await
            .expect("the browser starts (Debian: chromium)");
        self.driver = Some(driver);
        self.set_clock().await;
    }

    /// Lets so many minutes pass, for this and later pages.
    pub async fn pass_minutes(&mut self, minutes: f64) {
        self.ahead_min += minutes;
        self.set_clock().await;
        self.js(
            "window.aheadMs = arguments[0]",
            vec![json!(self.ahead_min * 60_000.0)],
        )
        .await;
    }

    /// Sets the phone's clock forward (or back) by so many minutes, while no time passes.
    pub async fn set_clock_by(&mut self, minutes: f64) {
        self.set_min += minutes;
        self.set_clock().await;
        self.js(
            "window.setMs = arguments[0]",
            vec![json!(self.set_min * 60_000.0)],
        )
        .await;
    }

    async fn set_clock(&self) {
        let source = CLOCK
            .replace("AHEAD_MS", &(self.ahead_min * 60_000.0).to_string())
            .replace("SET_MS", &(self.set_min * 60_000.0).to_string());
        self.cdp(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({ "source": source }),
        )
        .await;
    }

    /// Closes the browser in good order.
    pub async fn switch_off(&mut self) {
        if let Some(driver) = self.driver.take() {
            let _ = driver.quit().await;
        }
    }

    /// Ends the browser's processes at once, as an empty battery does.
    pub async fn kill(&mut self) {
        self.end_processes();
        if let Some(driver) = self.driver.take() {
            let _ = tokio::time::timeout(Duration::from_secs(5), driver.quit()).await;
        }
        for lock in ["SingletonLock", "SingletonCookie", "SingletonSocket"] {
            let _ = std::fs::remove_file(self.folder.join("profile").join(lock));
        }
    }

    /// Ends the browser's processes.
    fn end_processes(&self) {
        for (id, _) in self.processes() {
            let mut kill = Command::new("kill");
            // Some are gone with their parent by now.
            let _ = kill.args(["-9", &id]).stderr(Stdio::null()).status();
        }
    }

    /// Number and command line of the browser's processes, found by the profile that no other
    /// browser has.
    fn processes(&self) -> Vec<(String, String)> {
        let profile = format!("user-data-dir={}", self.folder.join("profile").display());
        let all = std::fs::read_dir("/proc").into_iter().flatten().flatten();
        let processes = all.map(|entry| {
            let command = std::fs::read(entry.path().join("cmdline")).unwrap_or_default();
            let id = entry.file_name().into_string().unwrap_or_default();
            (id, String::from_utf8_lossy(&command).into_owned())
        });
        processes
            .filter(|(_, command)| command.contains(&profile))
            .collect()
    }

    /// The memory of each process that shows pages, in bytes: its number, what it has now, and the
    /// most it ever had since [`Self::forget_peaks`]. Linux tells it.
    pub fn memory(&self) -> Vec<(String, u64, u64)> {
        let pages = self.pages().into_iter();
        let told = pages.map(|id| {
            let status = std::fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
            let bytes = |name: &str| {
                let line = status.lines().find_map(|line| line.strip_prefix(name));
                let kib = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
                1024 * kib.unwrap_or(0)
            };
            (id, bytes("VmRSS"), bytes("VmHWM"))
        });
        told.collect()
    }

    /// From here on the most memory is counted anew.
    pub fn forget_peaks(&self) {
        for id in self.pages() {
            std::fs::write(format!("/proc/{id}/clear_refs"), "5").expect("Linux forgets the peak");
        }
    }

    fn pages(&self) -> Vec<String> {
        let mut all = self.processes();
        all.retain(|(_, command)| command.contains("--type=renderer"));
        all.into_iter().map(|(id, _)| id).collect()
    }

    /// The driver itself, for what has no gesture here.
    pub fn driver(&self) -> &WebDriver {
        self.driver.as_ref().expect("the phone is on")
    }

    /// Opens an address and touches the page, as whoever works with it does.
    pub async fn open(&self, url: &str) {
        self.look_at(url).await;
        let touch = "document.body.dispatchEvent(new Event('pointerdown', { bubbles: true }))";
        self.js(touch, vec![]).await;
    }

    /// Opens an address and touches nothing.
    pub async fn look_at(&self, url: &str) {
        self.leave(self.driver().goto(url)).await;
    }

    /// Loads the page anew.
    pub async fn reload(&self) {
        self.leave(self.driver().refresh()).await;
    }

    /// Leaves the page and waits until another one is there.
    async fn leave(&self, going: impl Future<Output = WebDriverResult<()>>) {
        self.js("window.oldPage = true", vec![]).await;
        going
            .await
            .unwrap_or_else(|e| panic!("the page opens: {e}"));
        let there = "return !window.oldPage && document.readyState === 'complete'";
        self.wait_until("the page is loaded", there, vec![]).await;
    }

    /// Runs JavaScript in the page; `arguments` are there.
    pub async fn js(&self, script: &str, arguments: Vec<Value>) -> Value {
        let answer = self.driver().execute(script, arguments).await;
        answer
            .unwrap_or_else(|e| panic!("script failed: {script}: {e}"))
            .json()
            .clone()
    }

    /// Runs JavaScript that may wait (`await`) and gives what it returns.
    pub async fn js_later(&self, script: &str, arguments: Vec<Value>) -> Value {
        let waited = format!(
            "const [given, done] = [[...arguments].slice(0, -1), arguments[arguments.length - 1]]; \
             (async function () {{ {script} }}).apply(null, given) \
             .then((it) => done({{ it }}), (why) => done({{ why: String(why) }}))"
        );
        let answer = self.driver().execute_async(&waited, arguments).await;
        let answer = answer.unwrap_or_else(|e| panic!("script failed: {script}: {e}"));
        let answer = answer.json();
        assert!(answer.get("why").is_none(), "{script}: {}", answer["why"]);
        answer["it"].clone()
    }

    /// A command of the browser's debugging protocol.
    pub async fn cdp(&self, command: &str, parameters: Value) -> Value {
        let answer = self.driver().cdp().send_raw(command, parameters).await;
        answer.unwrap_or_else(|e| panic!("{command}: {e}"))
    }

    /// Grants a permission to the page at `origin`.
    pub async fn grant(&self, origin: &str, permissions: &[&str]) {
        let wanted = json!({ "origin": origin, "permissions": permissions });
        self.cdp("Browser.grantPermissions", wanted).await;
    }

    /// Whether something that fits the CSS selector is on the page.
    pub async fn has(&self, css: &str) -> bool {
        self.js(
            "return document.querySelector(arguments[0]) !== null",
            vec![json!(css)],
        )
        .await
            == json!(true)
    }

    /// Waits for an element.
    pub async fn wait(&self, css: &str) {
        self.wait_until(
            &format!("{css} is there"),
            "return document.querySelector(arguments[0]) !== null",
            vec![json!(css)],
        )
        .await;
    }

    /// Waits until a script returns true.
    pub async fn wait_until(&self, what: &str, script: &str, arguments: Vec<Value>) {
        let begun = Instant::now();
        loop {
            let answer = self.driver().execute(script, arguments.clone()).await;
            if answer.is_ok_and(|a| a.json() == &json!(true)) {
                return;
            }
            if begun.elapsed() > PATIENCE {
                self.shot("stuck").await;
                let text = self.js("return document.body.innerText", vec![]).await;
                panic!(
                    "waited in vain until {what}; the page says:\n{}",
                    text.as_str().unwrap_or("")
                );
            }
            tokio::time::sleep(Duration::from_millis(60)).await;
        }
    }

    /// Waits until the page shows `text`.
    pub async fn wait_text(&self, text: &str) {
        self.wait_until(
            &format!("the page says {text:?}"),
            "return document.body.innerText.toLowerCase().includes(arguments[0].toLowerCase())",
            vec![json!(text)],
        )
        .await;
    }

    /// Touches the middle of an element with one finger, scrolling it into view first and waiting
    /// until it lies still, as a person would.
    pub async fn tap(&self, css: &str) {
        self.wait(css).await;
        let script = "const frame = () => new Promise(requestAnimationFrame); \
            const middle = () => { \
                const e = document.querySelector(given[0]); \
                if (!e) return [0, 0]; \
                e.scrollIntoView({block: 'nearest', behavior: 'instant'}); \
                const r = e.getBoundingClientRect(); \
                return [r.left + r.width / 2, r.top + r.height / 2]; \
            }; \
            let [before, still] = [middle(), 0]; \
            for (let frames = 0; frames < 60 && still < 3; frames++) { \
                await frame(); \
                const now = middle(); \
                still = String(now) === String(before) ? still + 1 : 0; \
                before = now; \
            } \
            return before";
        let place = self.js_later(script, vec![json!(css)]).await;
        let (x, y) = (
            place[0].as_f64().unwrap_or(0.0),
            place[1].as_f64().unwrap_or(0.0),
        );
        self.touch(x, y).await;
    }

    /// Opens every fold (`details`) in which an element is hidden.
    pub async fn unfold(&self, css: &str) {
        let script = "for (let e = document.querySelector(arguments[0]); e; e = e.parentElement) \
            if (e.tagName === 'DETAILS') e.open = true";
        self.js(script, vec![json!(css)]).await;
    }

    /// Waits until the page has caught up with a moved clock.
    pub async fn wait_until_settled(&self) {
        tokio::time::sleep(Duration::from_millis(1300)).await;
    }

    /// The newest finished download.
    pub async fn downloaded(&self) -> PathBuf {
        let begun = Instant::now();
        loop {
            let newest = std::fs::read_dir(self.downloads())
                .expect("the downloads")
                .filter_map(|entry| Some(entry.ok()?.path()))
                .filter(|path| path.extension().is_none_or(|e| e != "crdownload"))
                // The browser first holds the name with an empty file.
                .filter(|path| path.metadata().is_ok_and(|m| m.len() > 0))
                .max_by_key(|path| path.metadata().and_then(|m| m.modified()).ok());
            match newest {
                Some(path) => return path,
                None if begun.elapsed() > PATIENCE => panic!("nothing was downloaded"),
                None => tokio::time::sleep(Duration::from_millis(100)).await,
            }
        }
    }

    /// Prints the page to a PDF beside the screenshots and counts its sheets of paper.
    pub async fn print_to(&self, name: &str, paper: Paper) -> usize {
        let (width, height) = paper.inches();
        let wish = json!({"paperWidth": width, "paperHeight": height, "preferCSSPageSize": true});
        let answer = self.cdp("Page.printToPDF", wish).await;
        let data = answer["data"].as_str().expect("a PDF");
        let pdf = STANDARD.decode(data).expect("Base64");
        let file = format!("{name}-{paper:?}.pdf");
        std::fs::write(self.shots.join(file), &pdf).expect("the PDF is kept");
        let text = String::from_utf8_lossy(&pdf).into_owned();
        text.matches("/Type /Page\n").count()
            + text.matches("/Type /Page/").count()
            + text.matches("/Type /Page ").count()
    }

    /// Touches a place in CSS pixels of the window.
    pub async fn touch(&self, x: f64, y: f64) {
        self.finger("touchStart", &[(x, y)]).await;
        self.finger("touchEnd", &[]).await;
    }

    /// Draws a finger along a path, on a page that has come to rest, and lifts it from rest: lifted
    /// in motion it throws the page, and the next touch would only stop that.
    pub async fn drag(&self, path: &[(f64, f64)]) {
        let drawn = "const frame = () => new Promise(requestAnimationFrame); \
            for (let frames = 0; frames < 4; frames++) await frame(); return true";
        self.js_later(drawn, vec![]).await;
        self.finger("touchStart", &path[..1]).await;
        for place in &path[1..] {
            self.finger("touchMove", &[*place]).await;
        }
        tokio::time::sleep(AT_REST).await;
        self.finger("touchEnd", &[]).await;
    }

    /// One touch event with as many fingers as places.
    pub async fn finger(&self, kind: &str, places: &[(f64, f64)]) {
        let points: Vec<Value> = places
            .iter()
            .enumerate()
            .map(|(id, (x, y))| json!({"x": x, "y": y, "id": id}))
            .collect();
        self.cdp(
            "Input.dispatchTouchEvent",
            json!({"type": kind, "touchPoints": points}),
        )
        .await;
    }

    /// Replaces what stands in a field, as a person typing would.
    pub async fn fill(&self, css: &str, text: &str) {
        self.wait(css).await;
        let field = self.driver().find(By::Css(css)).await.expect("the field");
        self.js(
            "arguments[0].scrollIntoView({block: 'center'})",
            vec![field.to_json().expect("json")],
        )
        .await;
        field.focus().await.expect("focus");
        // A field that is drawn anew meanwhile loses its selection.
        for _ in 0..5 {
            let select = "arguments[0].select && arguments[0].select()";
            let given = vec![field.to_json().expect("json")];
            self.js(select, given.clone()).await;
            field.send_keys(Key::Delete + "").await.expect("cleared");
            let empty = "return (arguments[0].value ?? '') === ''";
            if self.js(empty, given).await == json!(true) {
                break;
            }
        }
        field.send_keys(text).await.expect("typed");
        self.js("arguments[0].blur()", vec![field.to_json().expect("json")])
            .await;
    }

    /// Chooses an option of a select by its words or its value.
    pub async fn choose(&self, css: &str, value: &str) {
        self.wait(css).await;
        let script = "const s = document.querySelector(arguments[0]); const o = \
            [...s.options ?? []].find((o) => o.text === arguments[1]); \
            const value = o ? o.value : arguments[1]; s.value = value; \
            if (s.value !== value) return false; \
            s.dispatchEvent(new Event('input', {bubbles: true})); \
            s.dispatchEvent(new Event('change', {bubbles: true})); return true";
        let done = self.js(script, vec![json!(css), json!(value)]).await;
        assert_eq!(done, json!(true), "{css} has no option {value}");
    }

    /// Gives a file to a file input.
    pub async fn give_file(&self, css: &str, path: &Path) {
        self.wait(css).await;
        let input = self
            .driver()
            .find(By::Css(css))
            .await
            .expect("the file input");
        let path = path.canonicalize().expect("the file is there");
        input
            .send_keys(path.display().to_string())
            .await
            .expect("the file is given");
    }

    /// The visible text of an element.
    pub async fn text(&self, css: &str) -> String {
        self.wait(css).await;
        let text = self
            .js(
                "return document.querySelector(arguments[0]).innerText",
                vec![json!(css)],
            )
            .await;
        text.as_str().unwrap_or("").to_owned()
    }

    /// Keeps a screenshot for a person to look at.
    pub async fn shot(&self, name: &str) {
        self.shot_count.set(self.shot_count.get() + 1);
        let path = self
            .shots
            .join(format!("{:02}-{name}.png", self.shot_count.get()));
        let answer = self.driver().screenshot(&path).await;
        answer.unwrap_or_else(|e| panic!("screenshot {name}: {e}"));
    }

    /// Where a photo pixel lies in the window, in CSS pixels. `css` names the photo's image.
    pub async fn photo_place(&self, css: &str, pixel: [f64; 2]) -> (f64, f64) {
        let script = "const e = document.querySelector(arguments[0]); \
            const r = e.getBoundingClientRect(); \
            return [r.left + (arguments[1] + 0.5) * r.width / (e.naturalWidth ?? e.width), \
                    r.top + (arguments[2] + 0.5) * r.height / (e.naturalHeight ?? e.height)]";
        let place = self
            .js(script, vec![json!(css), json!(pixel[0]), json!(pixel[1])])
            .await;
        (place[0].as_f64().expect("x"), place[1].as_f64().expect("y"))
    }
}

impl Drop for Phone {
    fn drop(&mut self) {
        self.end_processes();
        let _ = self.chromedriver.kill();
        let _ = self.chromedriver.wait();
        // The browser is gone already: a driver that said goodbye to it would wait for minutes.
        std::mem::forget(self.driver.take());
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}
