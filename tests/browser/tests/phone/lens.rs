//! The lens card: the app's own sheet, drawn through a pinhole camera of known focal length, is
//! photographed, measured, kept and applied to the next photo of that camera.

use peelcast_browser::photo::drawn;
use peelcast_browser::{Host, Phone, Screen, scratch_folder};
use serde_json::json;

/// The true focal length of the drawn camera, in pixels of its 1600 x 1200 picture.
const FOCAL_PX: f64 = 1240.0;

/// Draws the sheet on the page as a camera sees it that is turned about the sheet's x and y axes
/// by so many degrees.
const DRAW: &str = "
    const [focal, about_x, about_y] = given;
    const svg = document.querySelector('#lens-sheet svg').outerHTML;
    const sheet = new Image();
    sheet.src = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
    await sheet.decode();
    const raster = new OffscreenCanvas(2100, 2970);
    const print = raster.getContext('2d');
    print.fillStyle = '#fff';
    print.fillRect(0, 0, 2100, 2970);
    print.drawImage(sheet, 0, 0, 2100, 2970);
    const ink = print.getImageData(0, 0, 2100, 2970).data;
    const [width, height] = [1600, 1200];
    const out = new ImageData(width, height);
    const [a, b] = [about_x, about_y].map((degrees) => degrees * Math.PI / 180);
    // The sheet's axes and middle in the camera's frame; the sheet lies on its side.
    const x = [0, Math.cos(a), Math.sin(a)];
    const y = [-Math.cos(b), Math.sin(a) * Math.sin(b), -Math.cos(a) * Math.sin(b)];
    const z = [x[1] * y[2] - x[2] * y[1], x[2] * y[0] - x[0] * y[2], x[0] * y[1] - x[1] * y[0]];
    const middle = [0, 0, 330];
    const dot = (p, q) => p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
    for (let v = 0; v < height; v++) for (let u = 0; u < width; u++) {
        let sum = 0;
        for (const [du, dv] of [[-0.25, -0.25], [0.25, -0.25], [-0.25, 0.25], [0.25, 0.25]]) {
            const ray = [(u + du - 799.5) / focal, (v + dv - 599.5) / focal, 1];
            const along = dot(z, middle) / dot(z, ray);
            const at = ray.map((c, k) => c * along - middle[k]);
            const [mx, my] = [dot(x, at) + 105, dot(y, at) + 148.5].map((mm) => Math.floor(mm * 10));
            const on = mx >= 0 && my >= 0 && mx < 2100 && my < 2970;
            sum += on ? ink[4 * (my * 2100 + mx)] * 0.8 + 20 : 70;
        }
        const i = 4 * (v * width + u);
        out.data.fill(sum / 4, i, i + 3);
        out.data[i + 3] = 255;
    }
    const paper = new OffscreenCanvas(width, height);
    paper.getContext('2d').putImageData(out, 0, 0)";

#[tokio::test]
async fn the_lens_is_measured_from_the_printed_sheet_and_kept() {
    let folder = scratch_folder("lens-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("lens", Screen::PHONE).await;
    phone.open(&host.url("#/settings")).await;
    phone.tap("#lens-card").await;
    phone.wait("#lens-sheet svg").await;
    phone.shot("sheet").await;
    let views = [
        [0.0, 3.0],
        [0.0, 32.0],
        [0.0, -30.0],
        [28.0, 5.0],
        [-27.0, -4.0],
    ];
    for (i, [about_x, about_y]) in views.into_iter().enumerate() {
        let given = vec![json!(FOCAL_PX), json!(about_x), json!(about_y)];
        let file = folder.join(format!("sheet-{i}.jpg"));
        let file = drawn(&phone, DRAW, given, &file).await;
        phone.give_file("#photo-file", &file).await;
        phone
            .wait(&format!("#lens-views li:nth-child({})", i + 1))
            .await;
    }
    let ready = "return document.querySelector('#lens-keep')?.disabled === false \
        && document.querySelectorAll('#lens-views .error').length === 0";
    phone
        .wait_until("the lens is measured", ready, vec![])
        .await;
    phone.shot("measured").await;
    phone.tap("#lens-keep").await;
    phone.wait("#lens-cards li").await;
    let cards = "return JSON.parse(localStorage.getItem('peelcast.lens-cards'))";
    let cards = phone.js(cards, vec![]).await;
    let focal = cards[0]["lens"]["focal_px"]
        .as_f64()
        .expect("a focal length");
    println!("focal length {focal:.1} px, true {FOCAL_PX}");
    assert!((focal / FOCAL_PX - 1.0).abs() < 0.01, "{focal}");
    phone.tap("#lens-forget-0").await;
    phone
        .wait_until(
            "the card is gone",
            "return document.querySelectorAll('#lens-cards li').length === 0",
            vec![],
        )
        .await;
}
