//! The live camera, and how the phone is held while it looks.

use super::canvas;
use super::window::window;
use crate::survey::gravity_of_phone;
use crate::words::tr;
use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, CanvasRenderingContext2d, HtmlVideoElement, MediaStream, MediaStreamConstraints,
    MediaStreamTrack,
};

/// A running camera; it stops when this is dropped.
#[derive(Debug)]
pub struct Camera(MediaStream);

/// What is asked of a camera: the one at the back, as fine as it can.
const WANTED: &str =
    r#"{"facingMode":{"ideal":"environment"},"width":{"ideal":4096},"height":{"ideal":3072}}"#;

impl Camera {
    /// Starts the camera and shows it in `video`; a sentence that says what to do where it can't.
    pub async fn start(video: &HtmlVideoElement) -> Result<Self, String> {
        let devices = window().navigator().media_devices();
        let wanted = js_sys::JSON::parse(WANTED).unwrap_or(JsValue::TRUE);
        let constraints = MediaStreamConstraints::new();
        constraints.set_video(&wanted);
        let asked = devices.and_then(|d| d.get_user_media_with_constraints(&constraints));
        let stream = match asked {
            Ok(stream) => JsFuture::from(stream).await,
            Err(why) => Err(why),
        };
        let camera = Self(stream.map_err(refused)?.unchecked_into());
        video.set_src_object(Some(&camera.0));
        let playing = video.play().map_err(refused)?;
        JsFuture::from(playing).await.map_err(refused)?;
        Ok(camera)
    }
}

impl Drop for Camera {
    fn drop(&mut self) {
        for track in self.0.get_tracks().iter() {
            track.unchecked_into::<MediaStreamTrack>().stop();
        }
    }
}

fn refused(why: JsValue) -> String {
    let name = Reflect::get(&why, &"name".into()).ok();
    match name.and_then(|name| name.as_string()).as_deref() {
        Some("NotAllowedError" | "SecurityError") => {
            tr("The browser was not allowed to use the camera. Allow it in the browser’s settings for this page (behind the sign beside the address), or take the photo with the phone’s own camera app.")
        }
        Some("NotReadableError" | "AbortError") => {
            tr("The camera is in use. Close other apps that use it and try again, or take the photo with the phone’s own camera app.")
        }
        _ => {
            tr("This browser finds no camera. Take the photo with the phone’s own camera app, or choose one.")
        }
    }
    .into()
}

/// The picture that the camera shows now, as a JPEG.
pub async fn frame(video: &HtmlVideoElement) -> Result<Blob, JsValue> {
    let sheet = canvas::blank(video.video_width(), video.video_height())?;
    let context = sheet.get_context("2d")?.ok_or(JsValue::NULL)?;
    let context: CanvasRenderingContext2d = context.unchecked_into();
    context.draw_image_with_html_video_element(video, 0.0, 0.0)?;
    canvas::jpeg(&sheet).await
}

/// Follows how the phone is held until it is dropped.
#[derive(Debug)]
pub struct LevelWatch(Closure<dyn FnMut(JsValue)>);

/// Calls `changed` with the direction of gravity in the camera's frame whenever the phone tells
/// it. Some phones first ask the user, and only after a tap.
pub async fn watch_level(mut changed: impl FnMut([f64; 3]) + 'static) -> LevelWatch {
    if let Some(ask) = permission() {
        // Without leave there are simply no readings.
        let _ = JsFuture::from(ask).await;
    }
    let listener = Closure::new(move |event: JsValue| {
        let angle = |name: &str| Reflect::get(&event, &name.into()).ok()?.as_f64();
        if let (Some(beta), Some(gamma)) = (angle("beta"), angle("gamma")) {
            changed(gravity_of_phone(beta, gamma, screen_angle()));
        }
    });
    let _ = window()
        .add_event_listener_with_callback("deviceorientation", listener.as_ref().unchecked_ref());
    LevelWatch(listener)
}

impl Drop for LevelWatch {
    fn drop(&mut self) {
        let _ = window().remove_event_listener_with_callback(
            "deviceorientation",
            self.0.as_ref().unchecked_ref(),
        );
    }
}

/// The question that some phones put before they tell how they are held.
fn permission() -> Option<Promise> {
    let kind = Reflect::get(&window(), &"DeviceOrientationEvent".into()).ok()?;
    let ask = Reflect::get(&kind, &"requestPermission".into()).ok()?;
    ask.dyn_ref::<Function>()?
        .call0(&kind)
        .ok()?
        .dyn_into()
        .ok()
}

fn screen_angle() -> f64 {
    let part = |of: &JsValue, name: &str| Reflect::get(of, &name.into()).ok();
    let angle = part(&window(), "screen")
        .and_then(|screen| part(&screen, "orientation"))
        .and_then(|orientation| part(&orientation, "angle")?.as_f64());
    angle.unwrap_or(0.0)
}
