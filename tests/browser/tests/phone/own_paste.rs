//! A paste of the user's own, by volume and with the densities of its parts.

use peelcast_browser::{Phone, journey};
use serde_json::{Value, json};

/// The masses of A and B in one batch of the first coat, in grams.
async fn batch(phone: &Phone) -> (f64, f64) {
    let text = phone.text("#coat-1-batches summary .number").await;
    let numbers: Vec<f64> = text
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    let [a, b] = numbers[..] else {
        panic!("two masses, not {text:?}");
    };
    (a, b)
}

#[tokio::test]
async fn a_paste_by_volume_is_weighed() {
    let (phone, _host, _folder) = journey::phone_with_sample("own-paste").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let plan = journey::sample_page(&phone, "plan").await;
    journey::go(&phone, &plan).await;
    phone.wait("#material-own").await;
    phone.unfold("#material-own").await;
    phone.tap("#material-own").await;
    for (field, text) in [
        ("#own-name", "A paste made up for this test"),
        ("#own-volume-a", "2"),
        ("#own-volume-b", "1"),
        ("#own-working", "20"),
        ("#own-recoat-from", "60"),
        ("#own-demould", "240"),
        ("#own-reference", "23 C"),
        ("#own-elongation", "400"),
        ("#own-hardness", "250"),
        ("#own-levelling", "1.5"),
        ("#own-least-skin", "80 mm"),
    ] {
        phone.fill(field, text).await;
    }
    // Nothing is invented, and each slip is told beside its field.
    phone.tap("#own-use").await;
    let asked = ["A ratio by volume is not one by weight"];
    journey::says(&phone, "#own-density-a-error", &asked).await;
    phone.shot("asked").await;
    phone.fill("#own-density-a", "1.2").await;
    phone.fill("#own-density-b", "1").await;
    phone.tap("#own-use").await;
    journey::says(&phone, "#own-hardness-error", &["Shore A"]).await;
    phone.fill("#own-hardness", "25").await;
    journey::says(&phone, "#own-least-skin-error", &["50 mm"]).await;
    phone.fill("#own-least-skin", "2.5 mm").await;
    // By weight it would be 2.4 to 1.
    phone.fill("#own-ratio-a", "2").await;
    phone.tap("#own-use").await;
    journey::says(&phone, "#own-ratio-b-error", &["two numbers"]).await;
    phone.fill("#own-ratio-b", "1").await;
    phone.tap("#own-use").await;
    journey::says(&phone, "#own-volume-a-error", &["2:0.833", "contradict"]).await;
    phone.fill("#own-ratio-a", "").await;
    phone.fill("#own-ratio-b", "").await;
    phone.tap("#own-add-pack").await;
    phone.fill("#own-pack-size-1", "500 g").await;
    phone.fill("#own-pack-price-1", "30").await;

    // As it looks in each of the three colours.
    for theme in ["light", "dark", "sun"] {
        let class = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(class, vec![json!(theme)]).await;
        for field in ["ratio-a", "working", "service", "add-pack"] {
            let show = "document.querySelector('#own-' + arguments[0])\
                .closest('fieldset').scrollIntoView({block: 'start', behavior: 'instant'})";
            phone.js(show, vec![json!(field)]).await;
            phone.shot(&format!("form-{theme}-{field}")).await;
        }
        assert_eq!(journey::too_wide(&phone).await, Vec::<String>::new());
        assert_eq!(journey::small_targets(&phone).await, Vec::<String>::new());
    }
    phone.tap("#own-use").await;
    phone.tap("#toast-close").await;
    let piece = journey::sample_piece(&phone, "the paste", |piece| {
        piece.card.ratio_by_volume == Some((2.0, 1.0))
    })
    .await;
    let (of_a, of_b) = piece.card.ratio_by_mass;
    assert!((of_a / of_b - 2.4).abs() < 1e-9);
    assert!((piece.card.density.0 - 3.4 / 3.0).abs() < 1e-9);

    // The batch is in grams, to half a gram a part.
    let (a, b) = batch(&phone).await;
    assert!((a - 2.4 * b).abs() <= 1.0, "{a} g and {b} g");
    let cups = phone.text("#coat-1-cups").await;
    assert!(cups.contains("ml"), "{cups}");
    for theme in ["light", "dark", "sun"] {
        let class = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(class, vec![json!(theme)]).await;
        let show = "document.querySelector('#material dl')\
            .scrollIntoView({block: 'start', behavior: 'instant'})";
        phone.js(show, vec![]).await;
        phone.shot(&format!("card-{theme}")).await;
        assert_eq!(journey::too_wide(&phone).await, Vec::<String>::new());
    }
    let card = phone.text("#material dl").await;
    for said in ["2 : 1", "2 : 0.833", "1.133 g/ml", "400 %", "25 Shore A"] {
        assert!(card.contains(said), "{said} in {card}");
    }
    assert!(card.contains("computed: parts by volume"), "{card}");

    // Editing it shows what was typed, and never what was computed.
    phone.tap("#material-own").await;
    phone.wait("#own-volume-a").await;
    let typed = "return ['volume-a', 'ratio-a', 'density', 'density-a'] \
        .map((id) => document.querySelector('#own-' + id).value)";
    let wanted: Value = json!(["2", "", "", "1.2"]);
    assert_eq!(phone.js(typed, vec![]).await, wanted);
}

/// Fills the form of the shelf and puts the packs there.
async fn put_on_shelf(phone: &Phone, size: &str, lot: &str, expires: &str) {
    phone.fill("#shelf-size", size).await;
    phone.fill("#shelf-lot", lot).await;
    phone.choose("#shelf-expires", expires).await;
    phone.tap("#shelf-add").await;
    let there = "return document.querySelector('#shelf ul').innerText.includes(arguments[0])";
    let lot = format!("lot {lot}");
    phone
        .wait_until("it is there", there, vec![json!(lot)])
        .await;
}

#[tokio::test]
async fn what_has_expired_stays_on_the_shelf() {
    let (phone, _host, _folder) = journey::phone_with_sample("shelf").await;
    journey::go(&phone, "#/settings").await;
    phone.tap("#units-metric").await;
    let plan = journey::sample_page(&phone, "plan").await;
    journey::go(&phone, &plan).await;
    phone.wait("#buy").await;
    phone.unfold("#shelf-add").await;
    phone.tap("#shelf-add").await;
    journey::says(&phone, "#shelf-size-error", &["A and B together"]).await;
    put_on_shelf(&phone, "450 g", "old", "2020-01-31").await;
    journey::says(
        &phone,
        "#shelf-expired",
        &["not used", "lot old", "31 January 2020"],
    )
    .await;
    assert!(!phone.has("#from-shelf").await, "an expired pack is used");
    let before = phone.text("#buy ul").await;
    put_on_shelf(&phone, "450 g", "fresh", "2190-01-31").await;
    journey::says(&phone, "#from-shelf", &["1 × 450 g", "lot fresh"]).await;
    assert!(!phone.text("#from-shelf").await.contains("old"));
    assert_ne!(phone.text("#buy").await, before);
    for theme in ["light", "dark", "sun"] {
        let class = "document.documentElement.dataset.theme = arguments[0]";
        phone.js(class, vec![json!(theme)]).await;
        for part in ["#buy", "#shelf", "#shelf form"] {
            let show = "document.querySelector(arguments[0])\
                .scrollIntoView({block: 'start', behavior: 'instant'})";
            phone.js(show, vec![json!(part)]).await;
            let name = part.trim_start_matches('#').replace(' ', "-");
            phone.shot(&format!("{theme}-{name}")).await;
        }
        assert_eq!(journey::too_wide(&phone).await, Vec::<String>::new());
        assert_eq!(journey::small_targets(&phone).await, Vec::<String>::new());
    }

    // All bought new, and the shelf is still there after a reload.
    phone.tap("#shelf-first").await;
    let gone = "return !document.querySelector('#from-shelf')";
    phone.wait_until("nothing is taken", gone, vec![]).await;
    phone.reload().await;
    phone.wait("#buy").await;
    assert!(!phone.has("#from-shelf").await);
    phone.unfold("#shelf-first").await;
    phone.tap("#shelf-first").await;
    phone.wait("#from-shelf").await;
    phone.tap("#shelf-remove-2").await;
    phone
        .wait_until("nothing is left to take", gone, vec![])
        .await;
}
