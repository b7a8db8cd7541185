//! Telling the user that a step is due: notification, sound, vibration, badge; and keeping the
//! screen on. Every one of them is asked for, never taken for granted.

use super::update;
use super::window::{document, window};
use crate::words::tr;
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{AudioContext, Notification, NotificationOptions, NotificationPermission};

/// What is due, as the user reads it.
#[derive(Clone, Debug, PartialEq)]
pub struct Alert {
    /// Tells this alert from all others; a later one of the same tag takes its place.
    pub tag: String,
    /// One line.
    pub title: String,
    /// What to do.
    pub body: String,
    /// The address in the app that it leads to, from the `#` on.
    pub hash: String,
}

/// Parts of the browser that web-sys holds back or that not every phone has.
#[wasm_bindgen]
extern "C" {
    type Extras;
    #[wasm_bindgen(method, getter, js_name = wakeLock)]
    fn wake_lock(this: &Extras) -> Option<WakeLock>;
    #[wasm_bindgen(method, catch, js_name = setAppBadge)]
    fn set_app_badge(this: &Extras, count: u32) -> Result<js_sys::Promise, JsValue>;

    type WakeLock;
    #[wasm_bindgen(method, catch)]
    fn request(this: &WakeLock, kind: &str) -> Result<js_sys::Promise, JsValue>;

    #[derive(Clone)]
    type Sentinel;
    #[wasm_bindgen(method, getter)]
    fn released(this: &Sentinel) -> bool;
    #[wasm_bindgen(method, catch)]
    fn release(this: &Sentinel) -> Result<js_sys::Promise, JsValue>;
}

thread_local! {
    static SOUND: RefCell<Option<AudioContext>> = const { RefCell::new(None) };
    static AWAKE_WANTED: Cell<bool> = const { Cell::new(false) };
    static AWAKE: RefCell<Option<Sentinel>> = const { RefCell::new(None) };
}

fn extras() -> Extras {
    JsValue::from(window().navigator()).unchecked_into()
}

fn navigator_has(name: &str) -> bool {
    js_sys::Reflect::has(&window().navigator(), &name.into()).unwrap_or(false)
}

fn window_has(name: &str) -> bool {
    js_sys::Reflect::has(&window(), &name.into()).unwrap_or(false)
}

/// Makes the sound ready, silent and asleep, which takes a phone a while: the tap that needs it then
/// doesn't wait.
pub fn make_ready() {
    if SOUND.with_borrow(Option::is_some) {
        return;
    }
    let sound = AudioContext::new().ok();
    if let Some(Ok(asleep)) = sound.as_ref().map(|sound| sound.suspend()) {
        wait_for(asleep);
    }
    SOUND.set(sound);
}

/// Unlocks the sound and asks leave for notifications. Call it in the tap that starts a coat:
/// browsers allow both only then.
pub fn prepare() {
    make_ready();
    SOUND.with_borrow(|sound| {
        if let Some(sound) = sound
            && let Ok(resumed) = sound.resume()
        {
            wait_for(resumed);
        }
    });
    if window_has("Notification")
        && Notification::permission() == NotificationPermission::Default
        && let Ok(asked) = Notification::request_permission()
    {
        wait_for(asked);
    }
}

/// Lets a promise end; where the phone says no, `limits` says so to the user.
fn wait_for(promise: js_sys::Promise) {
    spawn_local(async move {
        let _ = JsFuture::from(promise).await;
    });
}

/// Tells the user: as loud as this phone allows.
pub fn raise(alert: &Alert) {
    beep();
    if navigator_has("vibrate") {
        let pattern = js_sys::Array::of5(
            &400.into(),
            &150.into(),
            &400.into(),
            &150.into(),
            &800.into(),
        );
        window().navigator().vibrate_with_pattern(&pattern);
    }
    if window_has("Notification") && Notification::permission() == NotificationPermission::Granted {
        notify(alert);
    }
}

fn notify(alert: &Alert) {
    let data = js_sys::Object::new();
    let options = NotificationOptions::new();
    options.set_body(&alert.body);
    options.set_tag(&alert.tag);
    options.set_require_interaction(true);
    if js_sys::Reflect::set(&data, &"hash".into(), &alert.hash.as_str().into()).is_ok() {
        options.set_data(&data);
    }
    // Phones that know no buttons on a notification leave them out.
    let buttons = js_sys::Array::new();
    for (action, title) in [
        ("show", tr("Show the step")),
        ("again", tr("Again in 5 minutes")),
    ] {
        let button = js_sys::Object::new();
        let set =
            |name: &str, text: &str| js_sys::Reflect::set(&button, &name.into(), &text.into());
        if set("action", action).is_ok() && set("title", title).is_ok() {
            buttons.push(&button);
        }
    }
    let asked = js_sys::Reflect::set(&options, &"actions".into(), &buttons);
    let shown = match update::registration() {
        // Phones show notifications through the worker alone.
        Some(worker) => worker
            .show_notification_with_options(&alert.title, &options)
            .map(wait_for),
        None => Notification::new_with_options(&alert.title, &options).map(drop),
    };
    // Sound and vibration have told already where this fails.
    drop((asked, shown));
}

/// Three short notes.
fn beep() {
    SOUND.with_borrow(|sound| {
        if let Some(sound) = sound {
            for note in 0..3 {
                // A phone that plays no sound still shows the alert.
                let _ = play(sound, sound.current_time() + 0.35 * f64::from(note));
            }
        }
    });
}

fn play(sound: &AudioContext, at: f64) -> Result<(), JsValue> {
    let tone = sound.create_oscillator()?;
    let volume = sound.create_gain()?;
    tone.frequency().set_value(880.0);
    // Swelling and fading keep the loudspeaker from clicking.
    volume.gain().set_value_at_time(0.0, at)?;
    volume.gain().linear_ramp_to_value_at_time(0.6, at + 0.02)?;
    volume.gain().set_value_at_time(0.6, at + 0.2)?;
    volume.gain().linear_ramp_to_value_at_time(0.0, at + 0.25)?;
    tone.connect_with_audio_node(&volume)?;
    volume.connect_with_audio_node(&sound.destination())?;
    tone.start_with_when(at)?;
    tone.stop_with_when(at + 0.26)
}

/// Shows a number on the app's icon; 0 takes it away.
pub fn badge(count: u32) {
    if navigator_has("setAppBadge")
        && let Ok(shown) = extras().set_app_badge(count)
    {
        wait_for(shown);
    }
}

/// Whether this browser can keep the screen on at all.
pub fn can_keep_awake() -> bool {
    extras().wake_lock().is_some()
}

/// Keeps the screen on, or lets it go dark again.
pub fn keep_awake(wanted: bool) {
    AWAKE_WANTED.set(wanted);
    if wanted {
        ask_awake();
    } else if let Some(sentinel) = AWAKE.take()
        && let Ok(released) = sentinel.release()
    {
        wait_for(released);
    }
}

/// Asks again after the page was hidden: the phone takes the lock away then.
pub fn returned() {
    if AWAKE_WANTED.get() {
        ask_awake();
    }
}

fn ask_awake() {
    let held = AWAKE.with_borrow(|held| held.as_ref().is_some_and(|held| !held.released()));
    if held || document().hidden() {
        return;
    }
    let Some(Ok(asked)) = extras().wake_lock().map(|lock| lock.request("screen")) else {
        return;
    };
    spawn_local(async move {
        // A phone short of battery may refuse; `limits` cannot know that beforehand.
        if let Ok(sentinel) = JsFuture::from(asked).await {
            let sentinel: Sentinel = sentinel.unchecked_into();
            let unwanted = AWAKE.replace(Some(sentinel));
            if !AWAKE_WANTED.get() {
                keep_awake(false);
            }
            if let Some(Ok(released)) = unwanted.map(|old| old.release()) {
                wait_for(released);
            }
        }
    });
}

/// What this phone cannot do for a running coat, in plain sentences. The first one holds for
/// every phone.
pub fn limits() -> Vec<&'static str> {
    let mut limits = vec![tr(
        "While Peelcast is closed, or the phone is locked or asleep, no sound and no notice from it is sure to come. Set your phone's own alarm for the time that the Coat page shows.",
    )];
    if !window_has("Notification") {
        limits.push(
            tr("This browser shows no notifications for web pages. On an iPhone or iPad put Peelcast on the home screen and open it from there."),
        );
    } else if Notification::permission() == NotificationPermission::Denied {
        limits.push(
            tr("Notifications from Peelcast are turned off. Turn them on in the browser's settings for this page."),
        );
    }
    if !navigator_has("vibrate") {
        limits.push(tr("This phone does not vibrate for web pages."));
    }
    if !can_keep_awake() {
        limits.push(
            tr("This browser cannot keep the screen on. Set the phone's screen to stay on longer while you coat."),
        );
    }
    if !window_has("AudioContext") {
        limits.push(tr("This browser plays no alarm sound for web pages."));
    }
    if update::workers().is_none() {
        limits.push(
            tr("This page was not opened over https, so the app is not kept on the phone: it will not start without the network."),
        );
    }
    limits
}
