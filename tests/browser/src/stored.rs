//! What lies in the phone's stores, read from outside the app: to prove that nothing is lost.

use crate::Phone;
use serde_json::json;
use std::collections::BTreeMap;
use std::time::Duration;

/// Every stored copy of every job, text by text, and the SHA-256 of every photo, by its place.
pub type Stored = BTreeMap<String, String>;

const READ: &str = "
    const found = {};
    for (const [key, text] of Object.entries(localStorage))
        if (key.startsWith('peelcast.job')) found[`local ${key}`] = text;
    const answer = (request) => new Promise((give, fail) => {
        request.onsuccess = () => give(request.result);
        request.onerror = () => fail(request.error);
    });
    const database = await answer(indexedDB.open('peelcast'));
    for (const name of database.objectStoreNames) {
        const store = database.transaction(name).objectStore(name);
        const [keys, values] = await Promise.all([answer(store.getAllKeys()), answer(store.getAll())]);
        for (const [i, key] of keys.entries()) {
            let text = values[i];
            if (text.bytes) {
                const digest = await crypto.subtle.digest('SHA-256', await text.bytes.arrayBuffer());
                text = [...new Uint8Array(digest)].map((b) => b.toString(16).padStart(2, '0')).join('');
            }
            found[`${name} ${key}`] = text;
        }
    }
    database.close();
    return found";

/// Reads it all, once the app has nothing more to store.
pub async fn read(phone: &Phone) -> Stored {
    let mut last = phone.js_later(READ, vec![]).await;
    loop {
        tokio::time::sleep(Duration::from_millis(250)).await;
        let now = phone.js_later(READ, vec![]).await;
        if now == last {
            return serde_json::from_value(now).expect("texts by place");
        }
        last = now;
    }
}

/// Fails where something that was stored is gone or another byte.
pub fn assert_kept(before: &Stored, after: &Stored, when: &str) {
    for (place, text) in before {
        assert_eq!(after.get(place), Some(text), "{place} {when}");
    }
}

/// Fails where anything at all is stored otherwise than before, now or after a reload.
pub async fn assert_unchanged(phone: &Phone, before: &Stored, when: &str) {
    let places = |stored: &Stored| stored.keys().cloned().collect::<Vec<_>>();
    for reloaded in [false, true] {
        if reloaded {
            phone.reload().await;
            phone.wait_text("Back").await;
        }
        let after = read(phone).await;
        assert_kept(before, &after, when);
        assert_eq!(places(before), places(&after), "nothing new {when}");
    }
}

/// Fills the app's local storage to the last byte.
pub async fn fill_local(phone: &Phone) {
    let fill = "for (let size = 1 << 20, i = 0; size >= 1; i += 1) \
        try { localStorage.setItem(`full-${i}`, 'x'.repeat(size)) } catch { size = size >> 1 }";
    phone.js(fill, vec![]).await;
}

/// Empties it again of all that filled it.
pub async fn free_local(phone: &Phone) {
    let free = "for (const key of Object.keys(localStorage)) \
        if (key.startsWith('full-')) localStorage.removeItem(key)";
    phone.js(free, vec![]).await;
}

/// Gives the app's database so many bytes, all in all; none for as many as usual. A browser that
/// has just stored something remembers for half a minute how much room there was: start it anew
/// before taking room away.
pub async fn give_room(phone: &Phone, origin: &str, bytes: Option<u64>) {
    let mut wish = json!({ "origin": origin });
    if let Some(bytes) = bytes {
        wish["quotaSize"] = json!(bytes);
    }
    phone.cdp("Storage.overrideQuotaForOrigin", wish).await;
}
