//! Canvases that nobody sees, and pictures made from them.

use super::window::document;
use js_sys::Promise;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, HtmlCanvasElement};

/// How much of a picture's detail its JPEG keeps: no change that a mark could feel.
const QUALITY: f64 = 0.95;

/// A blank canvas of this size, outside the page.
pub fn blank(width: u32, height: u32) -> Result<HtmlCanvasElement, JsValue> {
    let canvas: HtmlCanvasElement = document().create_element("canvas")?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    Ok(canvas)
}

/// What the canvas shows, as a JPEG.
pub async fn jpeg(canvas: &HtmlCanvasElement) -> Result<Blob, JsValue> {
    let quality = JsValue::from_f64(QUALITY);
    let made = Promise::new(&mut |made, failed| {
        let asked = canvas.to_blob_with_type_and_encoder_options(
            made.unchecked_ref(),
            "image/jpeg",
            &quality,
        );
        if let Err(why) = asked {
            let _ = failed.call1(&JsValue::NULL, &why);
        }
    });
    JsFuture::from(made).await?.dyn_into()
}
