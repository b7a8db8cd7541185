//! A photo that is shared from the gallery becomes a new piece's photo, also without a network; a
//! file that is none is told of.

use peelcast_browser::journey;
use serde_json::json;

/// Does what the phone does with a shared file: a form to the address in the manifest.
const SHARE: &str = "const manifest = await (await fetch('manifest.webmanifest')).json(); \
    const { action, params } = manifest.share_target; \
    const form = new FormData(); \
    const [path, name, type] = arguments; \
    const bytes = path ? await (await fetch(path)).blob() : new Blob(['no such thing']); \
    form.append(params.files[0].name, new File([bytes], name, { type })); \
    const answer = await fetch(action, { method: 'POST', body: form, redirect: 'manual' }); \
    return answer.type";

#[tokio::test]
async fn a_shared_photo_becomes_a_new_piece() {
    let (phone, mut host, _folder) = journey::phone_with_sample("handed").await;
    let samples = "return [...document.scripts].length && fetch('service-worker.js') \
        .then((answer) => answer.text()) \
        .then((text) => text.match(/sample\\/[^\"]+\\.webp/)[0])";
    let photo = phone.js(samples, vec![]).await;
    host.stop();

    journey::go(&phone, "#/handed").await;
    phone.wait("#handed-nothing").await;
    journey::go(&phone, "#/").await;
    let shared = vec![
        photo.clone(),
        json!("Rose über der Tür.jpg"),
        json!("image/jpeg"),
    ];
    phone.js_later(SHARE, shared).await;
    journey::go(&phone, "#/handed").await;
    phone
        .wait_until(
            "the photo is shown",
            "return document.querySelector('#handed-photo')?.naturalWidth > 100",
            vec![],
        )
        .await;
    phone.shot("photo").await;
    phone.tap("#handed-new-job").await;
    phone.wait("#task-reference").await;
    let piece = journey::piece_of_own(&phone, "with the shared photo", |piece| {
        piece.photos().next().is_some()
    })
    .await;
    let name = &piece.photos().next().expect("a photo").name;
    assert_eq!(name, "Rose über der Tür.jpg");
    // It was taken, and waits no more.
    journey::go(&phone, "#/handed").await;
    phone.wait("#handed-nothing").await;

    journey::go(&phone, "#/").await;
    let broken = vec![json!(""), json!("jobs.zip"), json!("application/zip")];
    phone.js_later(SHARE, broken).await;
    journey::go(&phone, "#/handed").await;
    phone.wait(".toast.wrong").await;
    phone.shot("broken").await;
}
