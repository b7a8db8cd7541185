//! A step is shown as done once it is safely stored, and not before.

use peelcast_browser::{journey, stored};
use serde_json::json;

/// Keeps the journal busy, so that whoever wants to write has to wait.
const HOLD: &str = "const database = await new Promise((give) => { \
        const opening = indexedDB.open('peelcast'); \
        opening.onsuccess = () => give(opening.result); \
    }); \
    const journal = database.transaction('journal', 'readwrite').objectStore('journal'); \
    window.held = true; \
    const hold = () => { \
        if (window.held) journal.get('nothing').onsuccess = hold; else database.close(); \
    }; \
    hold()";
const LET_GO: &str = "window.held = false";
const TICKED: &str = "return document.querySelectorAll('#kit input:checked').length";

#[tokio::test]
async fn a_tick_on_the_packing_list_waits_for_the_journal() {
    let (phone, _host, _folder) = journey::phone_with_sample("confirmed").await;
    journey::go(&phone, &journey::sample_page(&phone, "pack").await).await;
    phone.wait("#kit").await;
    let ticked = phone.js(TICKED, vec![]).await.as_u64().expect("a count");
    let said = phone.text("#packed").await;
    let before = stored::read(&phone).await;

    phone.js_later(HOLD, vec![]).await;
    phone.tap("#kit input:not(:checked)").await;
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
    assert_eq!(
        phone.js(TICKED, vec![]).await,
        json!(ticked),
        "not stored, not shown"
    );
    assert_eq!(phone.text("#packed").await, said);

    phone.js(LET_GO, vec![]).await;
    let shown = "return document.querySelectorAll('#kit input:checked').length === arguments[0]";
    phone
        .wait_until("the tick is shown", shown, vec![json!(ticked + 1)])
        .await;
    assert_ne!(stored::read(&phone).await, before, "and it is stored");
    phone.reload().await;
    phone.wait("#kit").await;
    phone
        .wait_until("the tick is there", shown, vec![json!(ticked + 1)])
        .await;

    // The same the other way.
    phone.js_later(HOLD, vec![]).await;
    phone.tap("#kit input:checked").await;
    tokio::time::sleep(std::time::Duration::from_millis(700)).await;
    assert_eq!(phone.js(TICKED, vec![]).await, json!(ticked + 1));
    phone.js(LET_GO, vec![]).await;
    phone
        .wait_until("the tick is gone", shown, vec![json!(ticked)])
        .await;
}
