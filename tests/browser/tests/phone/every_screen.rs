//! Every screen at 360 px, in each of the three colours, empty, with the longest names and with
//! text of double size: nothing is wider than the screen, nothing to touch is under 48 px, and
//! nothing lies over the main action, and axe-core finds nothing. The screenshots are for a person to look at.

use peelcast_browser::{Host, Phone, Screen, axe, journey, scratch_folder};
use serde_json::json;

/// What a look at the screens found.
struct Look<'a> {
    phone: &'a Phone,
    faults: Vec<String>,
}

impl<'a> Look<'a> {
    fn with(phone: &'a Phone) -> Self {
        Self {
            phone,
            faults: Vec::new(),
        }
    }

    /// Looks at what is on the screen now.
    async fn at(&mut self, name: &str) {
        tokio::time::sleep(std::time::Duration::from_millis(350)).await;
        self.phone.shot(name).await;
        let wide = journey::too_wide(self.phone).await;
        let small = journey::small_targets(self.phone).await;
        let covered = journey::covered_actions(self.phone).await;
        for (what, found) in [
            ("too wide", wide),
            ("too small", small),
            ("covered", covered),
        ] {
            self.faults
                .extend(found.iter().map(|it| format!("{name}, {what}: {it}")));
        }
        let found = axe::findings(self.phone).await;
        self.faults
            .extend(found.iter().map(|it| format!("{name}, axe-core: {it}")));
    }

    /// Goes to a place, waits for an element and looks.
    async fn go(&mut self, name: &str, place: &str, there: &str) {
        journey::go(self.phone, place).await;
        self.phone.wait(there).await;
        self.at(name).await;
    }

    /// All screens of the piece at `place` and of its job, but for the coats.
    async fn tour(&mut self, kind: &str, place: &str) {
        for (name, address, there) in journey::places(place) {
            self.go(&format!("{kind}-{name}"), &address, there).await;
            if name == "plan" {
                // All of it, with every fold open.
                let unfold = "document.querySelectorAll('details').forEach((e) => e.open = true)";
                self.phone.js(unfold, vec![]).await;
                self.at(&format!("{kind}-plan-unfolded")).await;
            }
        }
    }

    /// The steps of measuring, with the sample's photo.
    async fn measuring(&mut self, kind: &str, place: &str) {
        journey::go(self.phone, &format!("{place}/measure")).await;
        for task in ["reference", "outline", "check"] {
            self.phone.tap(&format!("#task-{task}")).await;
            self.at(&format!("{kind}-measure-{task}")).await;
        }
    }

    fn end(self) {
        assert!(self.faults.is_empty(), "{}", self.faults.join("\n"));
    }
}

#[tokio::test]
async fn all_screens_in_all_colours() {
    let (mut phone, _host, _folder) = journey::phone_with_sample("screens").await;
    let piece = journey::sample_page(&phone, "").await;
    let mut faults = Vec::new();
    for theme in ["light", "dark", "sun"] {
        journey::go(&phone, "#/settings").await;
        phone.tap(&format!("#theme-{theme}")).await;
        let mut look = Look::with(&phone);
        look.tour(theme, &piece).await;
        look.measuring(theme, &piece).await;
        faults.append(&mut look.faults);
    }
    // Once through a coat in the colours for the sun.
    journey::go(&phone, &format!("{piece}/coat")).await;
    for name in ["mix", "mix-second", "brush", "wait"] {
        while name == "wait" && !phone.has("#touch-tacky").await {
            journey::coat_on(&mut phone).await;
        }
        if name != "wait" {
            journey::coat_on(&mut phone).await;
        }
        let mut look = Look::with(&phone);
        look.at(&format!("coat-{name}")).await;
        faults.append(&mut look.faults);
    }
    phone.pass_minutes(90.0).await;
    phone.wait_until_settled().await;
    let mut look = Look::with(&phone);
    look.at("coat-touch").await;
    look.go("jobs-while-coating", "#/", "#running a").await;
    look.faults.append(&mut faults);
    look.end();
}

#[tokio::test]
async fn empty_screens() {
    let (phone, _host, _folder) = journey::phone_with_sample("empty-screens").await;
    let mut look = Look::with(&phone);
    look.go("nowhere", "#/nowhere/at/all", "main .button").await;
    look.go("no-such-job", "#/job/gone", "main .button").await;
    journey::go(&phone, "#/").await;
    // A message lies over the page, and not over what is to be done next.
    phone.tap("#jobs a").await;
    phone.wait("#delete-job").await;
    phone.unfold("#delete-job").await;
    phone.tap("#delete-job").await;
    phone.wait("#toast-undo").await;
    look.at("message").await;
    phone.tap("#toast-close").await;
    phone.wait("#no-jobs").await;
    look.at("no-jobs").await;
    phone.tap("#new-job").await;
    phone.wait("#add-piece").await;
    look.at("no-pieces").await;
    phone.tap("#add-piece").await;
    phone.wait("#piece-name").await;
    let place = phone.js("return location.hash", vec![]).await;
    let place = place.as_str().expect("an address");
    look.tour("empty", place).await;
    look.end();
    // Without a plan there is nothing to coat with: the way leads to what is missing.
    journey::go(&phone, &format!("{place}/pack")).await;
    phone.tap("#to-measure").await;
    phone.wait("#photo-file").await;
}

#[tokio::test]
async fn the_longest_names() {
    let (phone, _host, _folder) = journey::phone_with_sample("long-names").await;
    let piece = journey::sample_page(&phone, "").await;
    let long = "Stuckrosettenabformungsvorbereitungsbesichtigungstermin in der Orangerie zu \
        Hollowmere-Niederoberunterwaldhausen"
        .to_owned();
    let unbroken = "Deckenrosette".repeat(12);
    journey::go(&phone, piece.split("/piece/").next().expect("a job")).await;
    for (field, text) in [
        ("#job-name", &long),
        ("#job-place", &unbroken),
        ("#permission-by", &long),
        ("#job-note", &unbroken),
    ] {
        phone.wait(field).await;
        phone.unfold(field).await;
        phone.fill(field, text).await;
    }
    journey::go(&phone, &piece).await;
    phone.fill("#piece-name", &unbroken).await;
    phone.fill("#piece-material", &long).await;
    journey::go(&phone, &format!("{piece}/pack")).await;
    phone.fill("#own-item", &unbroken[..78]).await;
    phone.tap("#add-own-item").await;
    let mut look = Look::with(&phone);
    look.tour("long", &piece).await;
    look.measuring("long", &piece).await;
    look.end();
}

#[tokio::test]
async fn text_of_double_size() {
    let folder = scratch_folder("large-text-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::with_text("large-text", Screen::NARROW, 200).await;
    journey::first_start(&phone, &host).await;
    phone.wait(journey::READ).await;
    let size = "return getComputedStyle(document.querySelector('#new-job')).fontSize";
    assert_eq!(phone.js(size, vec![]).await, json!("32px"));
    let piece = journey::sample_page(&phone, "").await;
    let mut look = Look::with(&phone);
    look.tour("large", &piece).await;
    look.measuring("large", &piece).await;
    journey::go(&phone, &format!("{piece}/coat")).await;
    journey::coat_tap(&phone, "#coat-main").await;
    look.at("large-coat-mix").await;
    look.end();
}
