//! The service worker that keeps the app on the phone, and new versions of the app.
//!
//! A first start fetches and keeps what its list of jobs needs. The rest of the app, much more,
//! comes once somebody has turned to the page: who only looks in pays for no more.
//!
//! A new version is kept ready beside the running one; it takes over when the user says so.

use super::alert::Alert;
use super::local;
use super::window::{listen_on, was_touched, window};
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

/// How the rest of the app stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Nobody has turned to the page yet.
    Waits,
    /// It is being fetched.
    Comes,
    /// All of it is kept.
    Here,
    /// Some of it could not be fetched.
    Lacks,
}

/// Whether this is the first start on this phone and nobody has turned to the page yet.
pub fn awaits_touch() -> bool {
    let kept = workers().is_some_and(|workers| workers.controller().is_some());
    !kept && !local::started() && !was_touched()
}

/// Has the rest of the app kept, once the worker is there; [`on_word`] is told how it stands.
pub async fn keep_rest() {
    if cfg!(debug_assertions) {
        return;
    }
    let ready = workers().and_then(|workers| workers.ready().ok());
    let Some(ready) = ready else { return };
    if let Ok(registered) = JsFuture::from(ready).await
        && let Some(worker) = registered
            .unchecked_into::<ServiceWorkerRegistration>()
            .active()
    {
        // A worker that is gone is asked again at the next start.
        let _ = ask(&worker, "keep-rest");
    }
}

/// Sends the worker a message of that kind.
fn ask(worker: &ServiceWorker, kind: &str) -> Result<(), JsValue> {
    let message = js_sys::Object::new();
    js_sys::Reflect::set(&message, &"kind".into(), &kind.into())?;
    worker.post_message(&message)
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
    if ask(&waiting, "take-over").is_err() {
        ASKED.set(false);
    }
}

/// Calls `open` with the address that a tapped notification leads to, `again` with what is to be
/// said once more later, and `rest` with how the rest of the app stands.
pub fn on_word(
    open: impl Fn(String) + 'static,
    again: impl Fn(Alert) + 'static,
    rest: impl Fn(Rest) + 'static,
) {
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
            (Some("rest"), None) => rest(match field("rest").as_deref() {
                Some("comes") => Rest::Comes,
                Some("here") => Rest::Here,
                _ => Rest::Lacks,
            }),
            _ => {}
        }
    });
}
