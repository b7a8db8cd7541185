//! The service worker that keeps the app on the phone, and new versions of the app.
//!
//! A new version is kept ready beside the running one; it takes over when the user says so.

use super::alert::Alert;
use super::window::{listen_on, window};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration, ServiceWorkerState,
};

const WORKER: &str = "service-worker.js";
/// How often a returning user makes the app look for a new version.
const LOOK_EVERY_MS: f64 = 3600.0 * 1000.0;

thread_local! {
    static REGISTRATION: RefCell<Option<ServiceWorkerRegistration>> = const { RefCell::new(None) };
    static LOOKED_AT: Cell<f64> = const { Cell::new(0.0) };
    static ASKED: Cell<bool> = const { Cell::new(false) };
}

/// The browser's service workers; `None` where it has none, as on a page without https.
pub fn workers() -> Option<ServiceWorkerContainer> {
    let navigator = window().navigator();
    let there = js_sys::Reflect::has(&navigator, &"serviceWorker".into()).unwrap_or(false);
    let workers = there.then(|| navigator.service_worker())?;
    (!workers.is_undefined()).then_some(workers)
}

/// The registered worker of this app, if there is one.
pub fn registration() -> Option<ServiceWorkerRegistration> {
    REGISTRATION.with_borrow(Clone::clone)
}

/// Registers the worker and calls `ready` whenever a new version waits. Builds for development
/// have no worker, so that a change shows at once.
pub async fn start(ready: impl Fn() + 'static) {
    if cfg!(debug_assertions) {
        return;
    }
    let Some(workers) = workers() else { return };
    listen_on(&workers, "controllerchange", |_| {
        if ASKED.take() {
            // A failed reload leaves the old version running, which is sound.
            let _ = window().location().reload();
        }
    });
    let Ok(registered) = JsFuture::from(workers.register(WORKER)).await else {
        // Without the worker the app still runs while online; `alert::limits` says so.
        return;
    };
    let registration: ServiceWorkerRegistration = registered.unchecked_into();
    REGISTRATION.set(Some(registration.clone()));
    let ready = Rc::new(ready);
    if registration.waiting().is_some() {
        ready();
    }
    let watched = registration.clone();
    listen_on(&registration, "updatefound", move |_| {
        if let Some(worker) = watched.installing() {
            follow(worker, ready.clone());
        }
    });
}

/// Calls `ready` once the worker waits behind a running one; the first worker of a phone has
/// nobody to wait for.
fn follow(worker: ServiceWorker, ready: Rc<impl Fn() + 'static>) {
    let watched = worker.clone();
    listen_on(&worker, "statechange", move |_| {
        let replaces = registration().is_some_and(|r| r.active().is_some());
        if watched.state() == ServiceWorkerState::Installed && replaces {
            ready();
        }
    });
}

/// Looks for a new version, at most once an hour; without a network nothing happens.
pub fn look() {
    let now = js_sys::Date::now();
    if now - LOOKED_AT.get() < LOOK_EVERY_MS {
        return;
    }
    if let Some(registration) = registration()
        && let Ok(looking) = registration.update()
    {
        LOOKED_AT.set(now);
        wasm_bindgen_futures::spawn_local(async move {
            // Offline is no error here.
            let _ = JsFuture::from(looking).await;
        });
    }
}

/// Lets the waiting version take over; the page loads anew when it has.
pub fn take_over() {
    let Some(waiting) = registration().and_then(|r| r.waiting()) else {
        // Another tab has let it take over already: this one only has to load it.
        let _ = window().location().reload();
        return;
    };
    ASKED.set(true);
    let message = js_sys::Object::new();
    let kind = js_sys::Reflect::set(&message, &"kind".into(), &"take-over".into());
    if kind.is_err() || waiting.post_message(&message).is_err() {
        ASKED.set(false);
    }
}

/// Calls `open` with the address that a tapped notification leads to, and `again` with what is to be
/// said once more later.
pub fn on_notification_tap(open: impl Fn(String) + 'static, again: impl Fn(Alert) + 'static) {
    let Some(workers) = workers() else { return };
    listen_on(&workers, "message", move |event| {
        let data = web_sys::MessageEvent::from(event).data();
        let field = |name: &str| {
            let value = js_sys::Reflect::get(&data, &name.into()).ok();
            value.and_then(|value| value.as_string())
        };
        match (field("kind").as_deref(), field("hash")) {
            (Some("open"), Some(hash)) => open(hash),
            (Some("again"), Some(hash)) => again(Alert {
                tag: field("tag").unwrap_or_default(),
                title: field("title").unwrap_or_default(),
                body: field("body").unwrap_or_default(),
                hash,
            }),
            _ => {}
        }
    });
}
