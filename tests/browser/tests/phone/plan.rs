//! Each choice of the Plan page by touch: what is brought, the dabs, the shell and the prices follow
//! at once, are stored, and stand on the printed sheet; a slip is told beside its field.

use peelcast::quantity::{Grams, parse, show::System};
use peelcast_browser::{Paper, Phone, journey};
use serde_json::json;

/// What stands at `css` once it is another text than `before`.
async fn changed(phone: &Phone, css: &str, before: &str) -> String {
    let other = "const e = document.querySelector(arguments[0]); \
        return !!e && e.innerText !== arguments[1]";
    let given = vec![json!(css), json!(before)];
    phone
        .wait_until(&format!("{css} is no longer {before}"), other, given)
        .await;
    phone.text(css).await
}

fn mass(text: &str) -> Grams {
    parse::mass(text, System::Metric).unwrap_or_else(|why| panic!("{text}: {why}"))
}

async fn count(phone: &Phone, css: &str) -> u64 {
    let script = "return document.querySelectorAll(arguments[0]).length";
    let found = phone.js(script, vec![json!(css)]).await;
    found.as_u64().expect("a count")
}

/// Unfolds what `css` stands in, brings it to the middle of the screen and takes a picture.
async fn look(phone: &Phone, name: &str, css: &str) {
    phone.unfold(css).await;
    let script = "document.querySelector(arguments[0]).scrollIntoView({ block: arguments[1] })";
    let tall = "return document.querySelector(arguments[0]).offsetHeight > innerHeight * 0.7";
    let tall = phone.js(tall, vec![json!(css)]).await == json!(true);
    let block = if tall { "start" } else { "center" };
    phone.js(script, vec![json!(css), json!(block)]).await;
    tokio::time::sleep(std::time::Duration::from_millis(250)).await;
    phone.shot(name).await;
}

#[tokio::test]
async fn each_choice_moves_the_plan_and_stays() {
    let (phone, _host, _folder) = journey::phone_with_sample("plan").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    journey::go(&phone, &journey::sample_page(&phone, "plan").await).await;
    phone.wait("#total-to-bring").await;

    // Surer is more.
    let usual = phone.text("#total-to-bring").await;
    phone.tap("#confidence-80").await;
    let less = changed(&phone, "#total-to-bring", &usual).await;
    phone.tap("#confidence-99").await;
    let more = changed(&phone, "#total-to-bring", &less).await;
    println!("80 %: {less}, 95 %: {usual}, 99 %: {more}");
    assert!(mass(&less).0 < mass(&usual).0 && mass(&usual).0 < mass(&more).0);
    let stored = |piece: &peelcast::job::Piece| piece.confidence == 0.99;
    journey::sample_piece(&phone, "99 of 100", stored).await;
    phone.tap("#confidence-95").await;
    assert_eq!(changed(&phone, "#total-to-bring", &more).await, usual);

    // The parts of the bar are the whole.
    let parts =
        "return [...document.querySelectorAll('#masses li .number')].map((e) => e.innerText)";
    let parts: Vec<String> = serde_json::from_value(phone.js(parts, vec![]).await).expect("masses");
    let sum: f64 = parts.iter().map(|part| mass(part).0).sum();
    // Each is rounded as it is shown.
    assert!((sum - mass(&usual).0).abs() < 6.0, "{parts:?} for {usual}");
    assert_eq!(count(&phone, "#masses svg[role=img]").await, 1);
    phone.unfold("#unsure li").await;
    assert!(count(&phone, "#unsure li").await >= 5);
    phone.tap("#unsure li summary").await;
    journey::says(&phone, "#unsure li details[open]", &["±"]).await;

    // A dab that is no dab is told so, and nothing is stored.
    phone.unfold("#dab-held").await;
    phone.tap("#dab-held").await;
    journey::says(&phone, "#dab-thickness-error", &["how thick"]).await;
    phone.fill("#dab-thickness", "0 mm").await;
    phone.fill("#dab-stood", "500").await;
    phone.tap("#dab-ran").await;
    journey::says(&phone, "#dab-thickness-error", &["between 0.1"]).await;
    journey::says(&phone, "#dab-stood-error", &["between 0 and 120"]).await;
    assert_eq!(count(&phone, "#dab-list li").await, 0);

    // A dab that held, thinner than the build coat: the coat goes on in two passes.
    assert_eq!(count(&phone, "[id^=coat-][id$=-mass]").await, 3);
    phone.fill("#dab-thickness", "2 mm").await;
    phone.fill("#dab-stood", "0").await;
    phone.tap("#dab-held").await;
    phone.wait("#dab-remove-1").await;
    let piece = journey::sample_piece(&phone, "a dab", |piece| piece.dabs.len() == 1).await;
    let coats = piece.plan().expect("a plan").coats;
    let passes = coats.iter().filter(|coat| coat.wanted == 2).count();
    assert_eq!(passes, 2);
    phone.wait("#coat-4-mass").await;
    assert_eq!(
        count(&phone, ".coat-plan:nth-child(2) [id$=-mass]").await,
        2
    );
    look(&phone, "two-passes", ".coat-plan:nth-child(2)").await;
    look(&phone, "dab", "#dab-list").await;
    let drawn = "return document.querySelector('#section svg').getAttribute('aria-label')";
    let drawn = phone.js(drawn, vec![]).await;
    let said = format!("{} coats", coats.len());
    assert!(drawn.as_str().is_some_and(|words| words.contains(&said)));

    // A thick one that held after a wait: the paste stands, and the coat is whole again.
    phone.fill("#dab-thickness", "5").await;
    phone.fill("#dab-stood", "3").await;
    phone.tap("#dab-held").await;
    phone.wait("#dab-remove-2").await;
    journey::says(&phone, ".coat-plan:nth-child(2)", &["let it stand 3 min"]).await;
    phone.tap("#dab-remove-2").await;
    phone.wait("#coat-4-mass").await;

    // The shell's kind changes its numbers and the bag.
    let shell = phone.text("#shell-numbers").await;
    phone.tap("#shell-laminate").await;
    changed(&phone, "#shell-numbers", &shell).await;
    journey::says(&phone, "#shell-numbers", &["thick", "Finished shell"]).await;

    // Prices make a bill.
    assert!(!phone.has("#bill").await);
    phone.unfold("#price-hour").await;
    phone.fill("#price-hour", "minus ten").await;
    journey::says(&phone, "#price-hour-error", &["minus ten"]).await;
    phone.fill("#price-hour", "-10").await;
    journey::says(&phone, "#price-hour-error", &["between 0 and"]).await;
    phone.fill("#price-hour", "40").await;
    phone.wait("#bill").await;
    let work = phone.text("#cost-mould").await;
    phone.fill("#price-shell", "12.50").await;
    let with_shell = changed(&phone, "#cost-mould", &work).await;
    phone.fill("#other-hours", "2").await;
    let all = changed(&phone, "#cost-mould", &with_shell).await;
    let number = |text: &str| parse::number(text).expect("a number");
    assert!((number(&all) - number(&with_shell) - 80.0).abs() < 0.02);
    let copy = number(&phone.text("#cost-copy").await);
    assert!((copy * 4.0 - number(&all)).abs() < 0.05, "four copies");
    journey::says(&phone, "#no-price", &["Everything else", "Paste to buy"]).await;

    // All of it is there after a reload, in the bag and on the sheet.
    phone.reload().await;
    phone.wait("#bill").await;
    assert_eq!(phone.text("#cost-mould").await, all);
    for theme in ["light", "dark", "sun"] {
        let set = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(set, vec![json!(theme)]).await;
        for (name, css) in [
            ("total", "#total-to-bring"),
            ("unsure", "#unsure figure"),
            ("masses", "#masses"),
            ("shell", "#shell-numbers"),
            ("bill", "#bill"),
        ] {
            look(&phone, &format!("{theme}-{name}"), css).await;
        }
    }
    phone.tap("#page-pack").await;
    phone.wait("[id*=shell-mat]").await;
    assert!(!phone.has("[id*=shell-bandage]").await);
    phone.tap("#back").await;
    phone.tap("#open-sheet").await;
    phone.wait(".sheet-pictures .masses").await;
    assert!(count(&phone, ".sheet-coats tbody tr").await >= 4);
    look(&phone, "sheet", ".sheet-pictures").await;
    for paper in Paper::ALL {
        assert_eq!(phone.print_to("plan-sheet", paper).await, 1, "{paper:?}");
    }
}
