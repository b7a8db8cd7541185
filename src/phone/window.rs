//! The window: its address, title and theme, and whether anyone is looking at it.

use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, HtmlElement, Window};

/// The window itself. The app runs in one, never in a worker.
pub fn window() -> Window {
    web_sys::window().unwrap_throw()
}

/// The page in it.
pub fn document() -> Document {
    window().document().unwrap_throw()
}

/// The part of the address from the `#` on.
pub fn hash() -> String {
    window().location().hash().unwrap_or_default()
}

/// Goes to a place in the app; `replace` leaves no trace in the history.
pub fn go(address: &str, replace: bool) {
    let location = window().location();
    // A `#` address stays in the page, so neither can fail.
    let _ = if replace {
        location.replace(address)
    } else {
        location.set_hash(address)
    };
}

/// Calls `listener` whenever the window sends `event`, for as long as the app lives.
pub fn listen(event: &str, listener: impl FnMut(JsValue) + 'static) {
    listen_on(&window(), event, listener);
}

/// Calls `listener` whenever `target` sends `event`, for as long as the app lives.
pub fn listen_on(
    target: &web_sys::EventTarget,
    event: &str,
    listener: impl FnMut(JsValue) + 'static,
) {
    let listener = Closure::<dyn FnMut(JsValue)>::new(listener).into_js_value();
    let _ = target.add_event_listener_with_callback(event, listener.unchecked_ref());
}

/// Waits for so long; for ever where there is no timer.
pub async fn pause(milliseconds: i32) {
    let over = js_sys::Promise::new(&mut |resolve, _| {
        let _ =
            window().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, milliseconds);
    });
    let _ = wasm_bindgen_futures::JsFuture::from(over).await;
}

/// Whether the page can be seen.
pub fn visible() -> bool {
    !document().hidden()
}

/// Calls back once somebody has turned to the page, by a touch or otherwise (public/boot.js); at
/// once where that was before.
pub fn when_touched(then: impl FnOnce() + 'static) {
    if was_touched() {
        return then();
    }
    let mut then = Some(then);
    listen("touched", move |_| {
        if let Some(then) = then.take() {
            then();
        }
    });
}

/// Whether anybody has.
pub fn was_touched() -> bool {
    let root = document().document_element();
    root.is_some_and(|root| root.has_attribute("data-touched"))
}

/// Puts the window's title.
pub fn set_title(title: &str) {
    document().set_title(title);
}

/// Takes away the frame that stood there while the app was loaded (public/index.html).
pub fn end_boot_frame() {
    if let Some(frame) = document().get_element_by_id("boot-frame") {
        frame.remove();
    }
}

/// Puts the theme on the root element: `light`, `dark`, `sun`, or `auto` to follow the phone.
pub fn set_theme(theme: &str) {
    if let Some(root) = document().document_element() {
        let _ = root.set_attribute("data-theme", theme);
    }
}

/// Says in the page's root which language it speaks.
pub fn set_language(tag: &str) {
    if let Some(root) = document().document_element() {
        let _ = root.set_attribute("lang", tag);
    }
}

/// Loads the page anew.
pub fn reload() {
    let _ = window().location().reload();
}

/// Shows the top of a page that has just been opened, and tells a screen reader its title.
pub fn start_reading(heading: &Element) {
    window().scroll_to_with_x_and_y(0.0, 0.0);
    if let Some(heading) = heading.dyn_ref::<web_sys::HtmlElement>() {
        let _ = heading.focus();
    }
}

/// Gives an element the keyboard.
pub fn focus(id: &str) {
    let found = document().get_element_by_id(id);
    if let Some(element) = found.and_then(|found| found.dyn_into::<HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

/// Shows the top of the page.
pub fn to_top() {
    window().scroll_to_with_x_and_y(0.0, 0.0);
}

/// The language that the phone is set to, such as `en-US`.
pub fn language() -> String {
    window().navigator().language().unwrap_or_default()
}

/// Whether this page was loaded again rather than opened.
pub fn was_reloaded() -> bool {
    let entry = window()
        .performance()
        .map(|performance| performance.get_entries_by_type("navigation").get(0));
    let kind = entry.and_then(|entry| js_sys::Reflect::get(&entry, &"type".into()).ok());
    kind.is_some_and(|kind| kind == "reload")
}

/// Opens the phone's print dialogue; an error where there is none.
pub fn print() -> Result<(), JsValue> {
    window().print()
}

/// Leaves the words of a failure of the program where `boot.js`, which then takes the page over,
/// finds them. A release says where in the program it failed and no more.
#[cfg(debug_assertions)]
pub fn note_failures() {
    std::panic::set_hook(Box::new(|failure| {
        if let Some(root) = document().document_element() {
            // Without the words the page still says what is safe.
            let _ = root.set_attribute("data-failure", &failure.to_string());
        }
    }));
}

/// How much of the page lies below the window, in CSS pixels.
pub fn below() -> f64 {
    let number = |value: Result<JsValue, JsValue>| value.ok().and_then(|value| value.as_f64());
    let whole = document()
        .document_element()
        .map_or(0.0, |root| f64::from(root.scroll_height()));
    let seen = number(window().inner_height()).unwrap_or(0.0);
    whole - seen - window().scroll_y().unwrap_or(0.0)
}
