//! How much memory the photo flow takes, from the file to the picture laid flat: what the page's
//! process has at most beyond what it had before the photo, and what the picture worker's program
//! has of it. Most of it is the browser's own: the photo decoded once to be shown and once to be
//! looked into.

use peelcast_browser::{Phone, Photo, journey, release, scratch_folder};
use serde_json::json;

/// The most a photo of twelve megapixels may take, in bytes: 250 million, and a tenth for the
/// moment at which the browser clears up, which differs from run to run.
const MOST: u64 = 275_000_000;

/// Starts the picture worker's script, named after the question mark, and tells how much memory
/// its program has.
const TELLING: &str = "
    let memory;
    for (const name of ['instantiate', 'instantiateStreaming']) {
        const make = WebAssembly[name];
        WebAssembly[name] = async (...given) => {
            const made = await make.apply(WebAssembly, given);
            memory = (made.instance ?? made).exports.memory;
            return made;
        };
    }
    const channel = new BroadcastChannel('memory');
    channel.onmessage = () => channel.postMessage(memory.buffer.byteLength);
    // The site's policy lets no text become a script; what is measured here is the site's own.
    self.trustedTypes?.createPolicy('default', { createScriptURL: (address) => address });
    importScripts(location.search.slice(1));";

const HOW_MUCH: &str = "const channel = new BroadcastChannel('memory'); \
    const told = new Promise((tell) => { channel.onmessage = ({ data }) => tell(data) }); \
    channel.postMessage('how much?'); \
    return await told";

#[tokio::test]
async fn a_photo_keeps_within_a_small_phones_memory() {
    let (mut phone, mut host, folder) = journey::phone_with_sample("memory").await;
    let site = scratch_folder("memory-site");
    release::copy(host.site(), &site);
    std::fs::write(site.join("telling.js"), TELLING).expect("it is written");
    host.serve_instead(&site);
    let mut peaks = Vec::new();
    for (name, size) in [("12 MP", [4000, 3000]), ("48 MP", [8000, 6000])] {
        let large = Photo::sample().enlarged(&phone, size, &folder).await;
        // The process that drew the photo goes.
        phone.switch_off().await;
        phone.switch_on().await;
        phone.open(&host.url("")).await;
        let telling = "const boot = document.querySelector('#boot'); \
            boot.dataset.darkroom = `telling.js?${boot.dataset.darkroom}`";
        phone.js(telling, vec![]).await;
        journey::own_piece(&phone, name).await;
        phone.wait_until_settled().await;
        phone.forget_peaks();
        let before = phone.memory();
        flow(&phone, &large, size[0]).await;
        let program = phone.js_later(HOW_MUCH, vec![]).await;
        let program = program.as_u64().expect("bytes");
        let after = phone.memory();
        let more = after.iter().filter_map(|(id, _, most)| {
            let (_, had, _) = before.iter().find(|(other, ..)| other == id)?;
            Some(most.saturating_sub(*had))
        });
        let peak = more.max().expect("the page's process");
        println!(
            "{name}: the page's process at most {} MB more, of it {} MB the picture worker's program",
            peak / 1_000_000,
            program / 1_000_000,
        );
        assert!(
            program > 20_000_000 && peak > program,
            "what was measured is no photo's"
        );
        peaks.push(peak);
    }
    assert!(peaks[0] <= MOST, "{} bytes", peaks[0]);
}

/// Takes a photo in, marks the card, draws a ring and lays the picture flat.
async fn flow(phone: &Phone, photo: &Photo, width: u32) {
    phone.give_file("#photo-file", &photo.file).await;
    phone.wait("#photo").await;
    let shown = "return document.querySelector('#photo').naturalWidth === arguments[0]";
    phone
        .wait_until("the photo is shown", shown, vec![json!(width)])
        .await;
    for corner in &photo.card {
        journey::touch_photo(phone, *corner).await;
    }
    phone.wait("#tool-said").await;
    phone.tap("#to-outline").await;
    phone.tap("#way-ring").await;
    phone.drag(&journey::loose_ring(phone, photo).await).await;
    phone.wait("#to-check:enabled").await;
    // At once after a stroke a tap would count to it.
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    phone.tap("#to-check").await;
    journey::laid_flat(phone).await;
}
