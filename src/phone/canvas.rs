//! Pixels onto the screen, a strip at a time, and the browser's turn in between.

use super::window::window;
use wasm_bindgen::{Clamped, JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, ImageData};

/// Puts rows of pixels (four bytes each) into a canvas, from row `top` on.
pub fn put_rows(canvas: &HtmlCanvasElement, top: u32, width: u32, rgba: &[u8]) {
    // A canvas without a context shows nothing; the marks and numbers stand all the same.
    let _ = draw(canvas, top, width, rgba);
}

fn draw(canvas: &HtmlCanvasElement, top: u32, width: u32, rgba: &[u8]) -> Result<(), JsValue> {
    let context = canvas.get_context("2d")?.ok_or(JsValue::NULL)?;
    let context: CanvasRenderingContext2d = context.unchecked_into();
    let data = ImageData::new_with_u8_clamped_array(Clamped(rgba), width)?;
    context.put_image_data(&data, 0.0, f64::from(top))
}

/// Waits until the browser has had its turn: taps, scrolling and drawing go on.
pub async fn next_turn() {
    let turn = js_sys::Promise::new(&mut |resolve, _| {
        // Without a timer there is no browser to wait for.
        let _ = window().set_timeout_with_callback(&resolve);
    });
    // The promise is only ever resolved.
    let _ = JsFuture::from(turn).await;
}
