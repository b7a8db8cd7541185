//! The screens that come in parts of their own: a page whose part cannot be loaded says what to
//! do, disturbs nothing, and opens as soon as it can.

use peelcast_browser::{Host, Phone, Screen, journey, release, scratch_folder};
use std::path::{Path, PathBuf};

const HELD_BACK: &str = "held-back";

/// The later parts in the site, or those held back.
fn parts(site: &Path, ending: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(site.join("later")).expect("the later parts");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect()
}

/// Gives each part that is `meant` and has one ending another, by which the host knows it or does
/// not.
fn rename(site: &Path, from: &str, to: &str, meant: fn(&str) -> bool) {
    let mut parts = parts(site, from);
    parts.retain(|part| meant(&part.to_string_lossy()));
    assert!(!parts.is_empty(), "there are parts to rename");
    for part in parts {
        std::fs::rename(&part, part.with_extension(to)).expect("it is renamed");
    }
}

/// Whether a part holds screens.
fn has_screens(part: &str) -> bool {
    part.contains("-measure") || part.contains("-pages")
}

#[tokio::test]
async fn a_page_whose_part_is_not_there_says_so_and_opens_later() {
    let folder = scratch_folder("later-host");
    let mut host = Host::start("/", &folder.join("requests.log"));
    let site = folder.join("site");
    release::copy(host.site(), &site);
    rename(&site, "wasm", HELD_BACK, |_| true);
    host.serve_instead(&site);
    let phone = Phone::new("later", Screen::PHONE).await;
    phone.open(&host.url("")).await;
    // The list stands without any of them, and says that it can't open the jobs.
    phone.wait("#jobs a").await;
    let words = ["opens your jobs", "not kept it yet", "Your jobs are safe"];
    journey::says(&phone, "#part-missing", &words).await;
    phone.shot("jobs-missing").await;
    rename(&site, HELD_BACK, "wasm", |part| !has_screens(part));
    phone.tap("#part-again").await;
    phone.wait(journey::READ).await;
    assert!(!phone.has("#part-missing").await);

    for page in ["measure", "plan"] {
        journey::go(&phone, &journey::sample_page(&phone, page).await).await;
        phone.wait("#part-missing").await;
        phone.shot(&format!("{page}-missing")).await;
    }
    phone.tap("#part-again").await;
    journey::says(
        &phone,
        "#part-missing",
        &["not kept it yet", "Your jobs are safe"],
    )
    .await;
    // The first screen does without them.
    journey::go(&phone, "#/").await;
    phone.wait("#jobs a").await;
    assert!(!phone.has("#part-missing").await);

    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#part-missing").await;
    rename(&site, HELD_BACK, "wasm", has_screens);
    phone.tap("#part-again").await;
    phone.wait("#footprint-area").await;
    phone.tap("#page-plan").await;
    phone.wait("#total-to-bring").await;
}

#[tokio::test]
async fn a_page_of_an_outdated_release_leads_to_the_new_one() {
    let (phone, mut host, folder) = journey::phone_with_sample("outdated").await;
    release::next(host.site(), &folder.join("next"));
    host.serve_instead(&folder.join("next"));
    phone.js(release::COME_BACK, vec![]).await;
    let waits = "the new version is kept ready";
    phone.wait_until(waits, release::WAITS, vec![]).await;
    phone.wait("#use-new-version").await;

    // As if another window had taken the new version and the host had given up the old one.
    let gone = "caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name)))) \
        .then(() => { window.gone = true }); return window.gone === true";
    phone.wait_until("no release is kept", gone, vec![]).await;
    host.stop();
    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    journey::says(
        &phone,
        "#part-missing",
        &["new version", "Your jobs are safe"],
    )
    .await;
    phone.shot("outdated").await;
    host.resume();
    phone.tap("#part-again").await;
    phone
        .wait_until("the new version runs", release::IS_NEXT, vec![])
        .await;
    phone.wait("#footprint-area").await;
}

/// The files of a release that come once somebody has turned to the page, as its worker lists them.
fn later(host: &Host) -> Vec<String> {
    let worker = std::fs::read_to_string(host.site().join("service-worker.js"));
    let worker = worker.expect("the worker is there");
    let list = worker.split("later: [").nth(1).expect("its list");
    let list = list.split("],\n};").next().expect("its end");
    let names = list.lines().filter_map(|line| line.split('"').nth(1));
    names.map(str::to_owned).collect()
}

#[tokio::test]
async fn a_first_start_fetches_the_rest_once_it_is_touched() {
    let folder = scratch_folder("first-touch-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("first-touch", Screen::PHONE).await;
    phone.look_at(&host.url("")).await;
    phone.wait("#jobs a").await;
    journey::says(&phone, "#rest", &["not all on this phone yet"]).await;
    journey::first_part_kept(&phone).await;
    tokio::time::sleep(std::time::Duration::from_secs(3)).await;
    let later = later(&host);
    assert!(later.len() > 5, "{later:?}");
    let asked = host.requests();
    let early = later
        .iter()
        .filter(|name| asked.iter().any(|line| line.contains(*name)));
    // The browser itself looks for the icon that the manifest names.
    let early: Vec<_> = early.filter(|name| !name.starts_with("icons/")).collect();
    assert!(early.is_empty(), "{early:?} is fetched before a touch");
    phone.shot("untouched").await;

    phone.tap("#new-job").await;
    phone.wait("#job-name").await;
    journey::rest_kept(&phone, "").await;
    journey::go(&phone, "#/").await;
    journey::says(&phone, "#rest", &["works without a network"]).await;
    phone.shot("all-here").await;
    phone.reload().await;
    phone.wait(journey::READ).await;
    assert!(!phone.has("#rest p").await, "there is nothing to say of it");
}

#[tokio::test]
async fn who_only_looked_in_gets_the_rest_at_the_next_start() {
    let folder = scratch_folder("next-start-host");
    let mut host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("next-start", Screen::PHONE).await;
    phone.look_at(&host.url("")).await;
    phone.wait("#jobs a").await;
    journey::first_part_kept(&phone).await;
    // Without a network the list stands, and says what is missing.
    host.stop();
    phone.reload().await;
    phone.wait("#jobs a").await;
    let words = ["opens your jobs", "not kept it yet", "Your jobs are safe"];
    journey::says(&phone, "#part-missing", &words).await;
    journey::says(&phone, "#rest", &["Open it again where there is a network"]).await;
    phone.shot("part-lacks").await;
    host.resume();
    phone.reload().await;
    phone.wait(journey::READ).await;
    journey::rest_kept(&phone, "").await;
    journey::says(&phone, "#rest", &["works without a network"]).await;
}

#[tokio::test]
async fn the_list_loads_no_part_with_other_screens() {
    let folder = scratch_folder("first-screen-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("first-screen", Screen::PHONE).await;
    phone.open(&host.url("")).await;
    phone.wait(journey::READ).await;
    let loaded = "return performance.getEntriesByType('resource') \
        .filter((e) => e.name.includes('/later/')).map((e) => e.name)";
    let with_screens = async || {
        let parts = phone.js(loaded, vec![]).await;
        let parts = parts.as_array().expect("a list").clone();
        let names = parts.iter().filter_map(serde_json::Value::as_str);
        names.filter(|name| has_screens(name)).count()
    };
    assert_eq!(with_screens().await, 0, "the list of jobs needs none");

    journey::go(&phone, &journey::sample_page(&phone, "measure").await).await;
    phone.wait("#task-outline").await;
    assert_eq!(with_screens().await, 1, "the page that is open needs one");
}
