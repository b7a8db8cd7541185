//! Canvases that nobody sees, and pictures made from them.

use super::window::document;
use js_sys::Promise;
use wasm_bindgen::Clamped;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, ImageData};

/// How much of a picture's detail its JPEG keeps: no change that a mark could feel.
const QUALITY: f64 = 0.95;

/// A blank canvas of this size, outside the page.
pub fn blank(width: u32, height: u32) -> Result<HtmlCanvasElement, JsValue> {
    let canvas: HtmlCanvasElement = document().create_element("canvas")?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    Ok(canvas)
}

/// Paints red, green, blue and opacity, row by row, onto a canvas, which takes their size.
pub fn paint(
    canvas: &HtmlCanvasElement,
    width: u32,
    height: u32,
    rgba: &[u8],
) -> Result<(), JsValue> {
    canvas.set_width(width);
    canvas.set_height(height);
    let data = ImageData::new_with_u8_clamped_array_and_sh(Clamped(rgba), width, height)?;
    let context = canvas.get_context("2d")?.ok_or(JsValue::NULL)?;
    let context: CanvasRenderingContext2d = context.unchecked_into();
    context.put_image_data(&data, 0.0, 0.0)
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
